"""Ordinary bench situations, each with a value a sound instructor would take and a wrong one.

The values are trade knowledge (common practice), written without a look at the tables.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from weldref.core.check import CheckResult, check

CONDITIONS = (
    "process", "transfer_mode", "material", "electrode", "diameter", "thickness", "joint",
    "position", "polarity", "gas",
)  # fmt: skip

PRINTED_OTHERWISE = {
    "V126": "nimi-cits-welder-theory",  # 70 to 90 A for a fillet in 1.6 mm aluminium
    "V175": "nimi-cits-welder-practical",  # 1.4 to 2.1 kgf/cm2 of oxygen for 12 mm
}
"""Sound values that a printed row which fits holds to be outside, with the document."""

with (Path(__file__).parent / "bench_values.csv").open(encoding="utf-8", newline="") as file:
    CASES = list(csv.DictReader(file))


def asked(case: dict[str, str], value: str) -> CheckResult:
    conditions = {name: case[name] for name in CONDITIONS if case[name]}
    return check(**conditions, **{case["quantity"]: value})  # type: ignore[arg-type]


def test_there_are_enough_of_them() -> None:
    assert len(CASES) >= 60
    assert len({(case["process"], case["material"], case["quantity"]) for case in CASES}) >= 60


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["case"])
def test_no_wrong_value_passes_and_no_sound_one_fails(case: dict[str, str]) -> None:
    if case["wrong"]:
        (reading,) = asked(case, case["wrong"]).readings
        assert reading.verdict != "inside", reading.rows
        assert reading.verdict in ("no published range", "depends", case["wrong_is"])
    if case["sound"]:
        (reading,) = asked(case, case["sound"]).readings
        if case["case"] in PRINTED_OTHERWISE:
            assert reading.verdict in ("low", "high")
            assert {row.source_id for row in reading.rows} == {PRINTED_OTHERWISE[case["case"]]}
        else:
            assert reading.verdict in ("inside", "depends", "no published range"), reading.rows


def recalled() -> tuple[int, int]:
    """Count the values of which only recalled practice speaks, and how often it is right."""
    right = heard = 0
    for case in CASES:
        for value, words in ((case["sound"], {"inside"}), (case["wrong"], {case["wrong_is"]})):
            if not value:
                continue
            (reading,) = asked(case, value).readings
            said = reading.from_memory
            if reading.verdict == "no published range" and said and not said.ask:
                heard += said.verdict in ("inside", "low", "high")
                right += said.verdict in words
    return heard, right


def test_recalled_practice_judges_most_of_them_rightly() -> None:
    """Memory passes nothing; what it says is still worth hearing where print is silent."""
    heard, right = recalled()
    assert heard >= 100
    assert right >= 0.95 * heard
