"""The published examples about windows and conversions, each against the engine."""

from __future__ import annotations

import json
import math
from typing import Any

import pint
import pytest

from tests.conftest import read_csv
from weldref.core.check import check, published
from weldref.data.folder import datasets_folder

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


# pr-q-flow compares a flow with one shop's own procedure, which no table here holds.
WINDOWS = [name for name in of_topic("window_check") if name != "pr-q-flow"]


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
            words = {r.verdict for r in reading.rows if r.source_id == source_id}
            assert (words == {"inside"}) == expected.get("inside", expected.get("inside_both"))


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
