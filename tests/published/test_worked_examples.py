"""The published examples about windows and conversions, each against the engine."""

from __future__ import annotations

import json
import math
from typing import Any

import pint
import pytest

from tests.conftest import read_csv
from weldref.core.check import check, published
from weldref.core.gas import Gases, holds, parse_designation
from weldref.data.folder import datasets_folder
from weldref.data.store import Store

EXAMPLES = [
    row
    for row in read_csv(datasets_folder() / "worked_examples.csv")
    if row["kind"] == "published" and row["how_read"] != "memory"
]
PINT: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def example(example_id: str) -> tuple[dict[str, Any], dict[str, Any], dict[str, str]]:
    """The inputs, the expected answer and the row of an example."""
    (row,) = [row for row in EXAMPLES if row["example_id"] == example_id]
    return json.loads(row["inputs"]), json.loads(row["expected"]), row


def of_topic(topic: str) -> list[str]:
    return [row["example_id"] for row in EXAMPLES if row["topic"] == topic]


NO_WINDOW = {
    "pr-q-flow",  # compares a flow with one shop's own procedure, which no table here holds
    "sm-20",  # of its two sizes, the cell of 1/4 in awaits a second reading and gives no verdict
}
CAPACITIES = ("g2-tungsten-2p4-inside", "g2-tungsten-2p4-outside")
"""What a tungsten carries: a fact about the electrode, and no window to be inside of."""

WINDOWS = [n for n in of_topic("window_check") if n not in NO_WINDOW and n not in CAPACITIES]


@pytest.mark.parametrize("example_id", CAPACITIES)
def test_capacity_of_a_tungsten(store: Store, example_id: str) -> None:
    inputs, expected, row = example(example_id)
    (fact,) = store.rows(
        "SELECT min, max FROM process_facts WHERE quantity = 'tungsten_current_capacity' "
        "AND source_id = $source AND electrode_size = $size",
        {"source": row["source_id"], "size": f"{inputs['electrode_diameter_mm']} mm"},
    )
    assert (fact["min"], fact["max"]) == (expected["min"], expected["max"])
    held = fact["min"] <= inputs["current_A"] <= fact["max"]
    assert held == expected["inside"]


@pytest.mark.parametrize("example_id", WINDOWS)
def test_window_examples(example_id: str) -> None:
    inputs, expected, row = example(example_id)
    source_id = row["source_id"]
    millimetres = inputs.get("electrode_diameter_mm")
    sizes = inputs.get("diameters_in") or [inputs.get("diameter_in")]
    for size in sizes:
        situation: dict[str, Any] = {
            "process": inputs.get("process", "SMAW"),
            "material": inputs.get("material"),
            "electrode": inputs.get("class"),
            "polarity": inputs.get("polarity"),
            "gas": inputs.get("gas"),
            "diameter": f"{millimetres} mm" if millimetres else f"{size} in",
        }
        found = published(**situation, quantity="current").rows
        ours = [r for r in found if r.source_id == source_id and not r.status]
        ranges = [(r.min, r.max) for r in ours if r.typical is None]
        if "window" in expected:
            assert ranges == []
            continue
        if "min" in expected or "min_A" in expected:
            low, high = (expected.get(k, expected.get(f"{k}_A")) for k in ("min", "max"))
            assert ranges == [(low, high)]
        given = inputs.get("current_A", [])
        for current in given if isinstance(given, list) else [given]:
            (reading,) = check(**situation, current=current).readings
            shown = (*reading.rows, *reading.conditional)
            words = {r.verdict for r in shown if r.source_id == source_id}
            assert (words == {"inside"}) == expected.get("inside", expected.get("inside_both"))


@pytest.mark.parametrize(
    "example_id",
    # Z, for whatever no other group holds, is a letter that nobody types here.
    [
        name
        for name in of_topic("shielding_gas_code")
        if "designation" in example(name)[1] and example(name)[1]["code"] != "Z"
    ],
)
def test_gas_designations_of_iso_14175(store: Store, example_id: str) -> None:
    """A designation that the standard prints says the mixture and its group, which holds it.

    Helium in place of argon leaves the group what it is; the table has no rows for that.
    """
    inputs, expected, _ = example(example_id)
    group, composition = parse_designation(expected["designation"])
    assert composition is not None
    assert {gas: share.low for gas, share in composition.items()} == pytest.approx(inputs)
    assert group == f"ISO 14175 {expected['code']}"
    if "He" not in composition or "CO2" not in composition:
        assert holds(Gases(store).compositions[group], composition)


_UNITS = {
    "F": "degF",
    "C": "degC",
    "ft3/h": "ft**3/hour",
    "L/min": "liter/minute",
    "ft3/min": "ft**3/minute",
    "m3/min": "m**3/minute",
    "ft3": "ft**3",
    "m3": "m**3",
    "psia": "psi",
    "mph": "mile/hour",
    "km/h": "km/hour",
    "ft/min": "ft/minute",
    "m/min": "m/minute",
}


@pytest.mark.parametrize(
    "example_id",
    [
        name
        for name in of_topic("unit_conversion")
        if {"value", "unit", "to"} <= set(example(name)[0])
        or {"value", "from", "to"} <= set(example(name)[0])
    ],
)
def test_printed_conversions_agree_with_pint(example_id: str) -> None:
    inputs, expected, row = example(example_id)
    given = inputs.get("unit", inputs.get("from"))
    converted = (
        PINT.Quantity(inputs["value"], _UNITS.get(given, given))
        .to(_UNITS.get(inputs["to"], inputs["to"]))
        .magnitude
    )
    assert math.isclose(converted, expected["value"], abs_tol=float(row["tolerance"]) + 1e-9)
