"""Look-ups in the reference tables, against the printed tables."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.conftest import read_csv
from weldref.errors import InputError
from weldref.handbook import filter_shade, minimum_fillet, minimum_partial_joint, sheet_gauge
from weldref.store import datasets_folder

EXAMPLES = read_csv(datasets_folder() / "worked_examples.csv")


def examples(topic: str) -> list[tuple[str, dict[str, Any], dict[str, Any], str]]:
    return [
        (r["example_id"], json.loads(r["inputs"]), json.loads(r["expected"]), r["source_id"])
        for r in EXAMPLES
        if r["topic"] == topic and r["kind"] == "published"
    ]


def shade(source_id: str, **question: Any) -> list[float | None]:
    return [
        s.value
        for s in filter_shade(**question)
        if s.source_id == source_id and s.what == "minimum shade"
    ]


@pytest.mark.parametrize(
    ("inputs", "expected", "source_id"), [example[1:] for example in examples("filter_shade")]
)
def test_shade_examples(inputs: dict[str, Any], expected: dict[str, Any], source_id: str) -> None:
    # 29 CFR 1910.133(a)(5), cell by cell as the examples print it.
    plate = inputs.get("plate_in")
    found = shade(
        source_id,
        process=inputs["process"],
        current=inputs.get("current_A"),
        plate=None if plate is None else plate * 0.0254,
    )
    assert found == [expected["shade_min"]]


@pytest.mark.parametrize(
    ("current", "darker"), [(60, 8), (160, 10), (250, 11), (59.9, 7), (160.1, 10)]
)
def test_at_a_boundary_the_darker_shade(current: float, darker: float) -> None:
    # 29 CFR 1910.133(a)(5) prints 60-160, 160-250 and 250-550 A for SMAW.
    assert shade("cfr-29-1910-133", process="SMAW", current=current) == [darker]


def test_above_the_end_of_a_table() -> None:
    # The federal table ends at 550 A for SMAW.
    assert shade("cfr-29-1910-133", process="SMAW", current=600) == [None]


def test_minimum_and_suggested_stay_apart() -> None:
    whats = {s.what for s in filter_shade("GMAW", current=130)}
    assert whats == {"minimum shade", "suggested shade"}


def test_shade_asks_for_what_it_depends_on() -> None:
    with pytest.raises(InputError, match="current"):
        filter_shade("SMAW")
    assert filter_shade("SAW", current=400) == []


@pytest.mark.parametrize(
    ("inputs", "expected"), [example[1:3] for example in examples("sheet_gauge")]
)
def test_gauge_examples(inputs: dict[str, Any], expected: dict[str, Any]) -> None:
    # 15 U.S.C. 206.
    assert [s.value for s in sheet_gauge(inputs["gauge"])] == [expected["thickness_in"]]


def test_unknown_gauge_and_system() -> None:
    with pytest.raises(InputError, match="gauge: '99'"):
        sheet_gauge("99")
    with pytest.raises(InputError, match="system: 'moon'"):
        sheet_gauge("11", "moon")


@pytest.mark.parametrize(
    ("inputs", "expected", "source_id"), [example[1:] for example in examples("minimum_fillet")]
)
def test_minimum_fillet_examples(
    inputs: dict[str, Any], expected: dict[str, Any], source_id: str
) -> None:
    # ANSI/AISC 360-05, Table J2.4.
    found = [s.value for s in minimum_fillet(inputs["t_thin_in"]) if s.source_id == source_id]
    assert found == [expected["min_leg_in"]]


@pytest.mark.parametrize(
    ("inputs", "expected"), [example[1:3] for example in examples("minimum_pjp")]
)
def test_minimum_partial_joint_examples(inputs: dict[str, Any], expected: dict[str, Any]) -> None:
    # Steel designers' handbook, Table 5.4 (AISC Table J2.3).
    assert [s.value for s in minimum_partial_joint(inputs["t_thin_in"])] == [
        expected["min_throat_in"]
    ]


def test_metric_table_has_limits_of_its_own() -> None:
    # AISC Table J2.4 in SI: 5 mm for over 6 to 13 mm; 6.35 mm is not 1/4 in here.
    assert {s.value for s in minimum_fillet(6.35, "mm")} == {5.0}
    assert {s.value for s in minimum_fillet(0.25, "in")} == {0.125}


@pytest.mark.parametrize("thickness", [0, -1, float("nan")])
def test_impossible_thickness(thickness: float) -> None:
    with pytest.raises(InputError, match="thickness"):
        minimum_fillet(thickness)
