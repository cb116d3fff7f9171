"""Look-ups in the reference tables, against the printed tables."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.conftest import read_csv
from weldref.advice.handbook import filter_shade, minimum_fillet, minimum_partial_joint, sheet_gauge
from weldref.core.units import Units
from weldref.data.folder import datasets_folder
from weldref.data.store import open_store
from weldref.errors import InputError

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
    def aisc(thickness: float, unit: str) -> set[float | None]:
        found = minimum_fillet(thickness, unit)
        return {s.value for s in found if s.condition.startswith("AISC 360")}

    assert aisc(6.35, "mm") == {5.0}
    assert aisc(0.25, "in") == {0.125}


def test_a_minimum_fillet_says_its_code_its_part_and_its_loading() -> None:
    # AWS D1.1, minimum fillet sizes, note c: not under 3/16 in under cyclic loading.
    found = minimum_fillet(0.25)
    by_loading = {
        loading: {s.value for s in found if s.condition.endswith(f"{loading} loading")}
        for loading in ("cyclic", "static")
    }
    assert by_loading == {"cyclic": {0.1875}, "static": {0.125}}
    parts = {s.condition for s in found if s.condition.startswith("AWS D1.1")}
    for part in ("thinner part joined", "thicker part joined"):
        assert any(part in condition for condition in parts)


def test_of_two_copies_that_differ_the_darker_speaks() -> None:
    # ANSI Z49.1:2012, plasma cutting, 40 to 60 A: one copy prints 6, another 8.
    found = [s for s in filter_shade("PAC", current=50) if "2012" in s.condition]
    assert {s.value for s in found} == {8.0}
    assert all("copies of the source differ" in s.note for s in found)


def test_where_no_row_holds_both_size_and_current_the_darker_speaks() -> None:
    # 29 CFR 1910.133(a)(5): 1/8 in goes with 60-160 A (8), 200 A with 5/32 to 1/4 in (10).
    found = [
        s for s in filter_shade("SMAW", current=200, electrode=0.125 * 0.0254)
        if s.source_id == "cfr-29-1910-133"
    ]  # fmt: skip
    assert [s.value for s in found] == [10.0]
    assert "no row holds both" in found[0].note
    # Beyond the end of the table nothing is said, whatever the size.
    assert shade("cfr-29-1910-133", process="SMAW", current=600, electrode=0.125 * 0.0254) == [None]


def test_tables_by_current_stand_before_fixed_lists() -> None:
    order = [s.source_id for s in filter_shade("SMAW", current=130, electrode=0.125 * 0.0254)]
    assert order.index("cfr-29-1915-153") < order.index("ccr-8-3382")


@pytest.mark.parametrize("thickness", [0, -1, float("nan")])
def test_impossible_thickness(thickness: float) -> None:
    with pytest.raises(InputError, match="thickness"):
        minimum_fillet(thickness)


@pytest.mark.parametrize(
    ("typed", "current", "darker"),
    # 29 CFR 1910.133(a)(5): 3-5 thirty-seconds 60-160 A: 8; 5-8, 160-250 A: 10; over 8: 11.
    [
        ("3/32 in", 80, 8),
        ("1/8 in", 80, 8),
        ("5/32 in", 140, 8),
        ("3/16 in", 200, 10),
        ("1/4 in", 240, 10),
        ("5/16 in", 300, 11),
        ("1/16 in", 40, 7),
    ],
)
def test_shade_by_the_size_of_the_electrode(typed: str, current: float, darker: float) -> None:
    size = Units(open_store()).parse(typed, "length", "in", "electrode").si
    assert shade("cfr-29-1910-133", process="SMAW", current=current, electrode=size) == [darker]


def test_shade_of_every_size_that_a_fixed_list_names() -> None:
    # 8 CCR 3382: 10 for 1/16 to 5/32 in, 12 for 3/16 to 1/4 in, 14 for 5/16 and 3/8 in.
    for size, printed in ((2, 10), (3, 10), (4, 10), (5, 10), (6, 12), (7, 12), (8, 12),
                          (10, 14), (12, 14)):  # fmt: skip
        found = filter_shade("SMAW", current=200, electrode=size / 32 * 0.0254)
        assert [s.value for s in found if s.source_id == "ccr-8-3382"] == [printed]


@pytest.mark.parametrize(("millimetres", "sold_as"), [(4.0, 5), (6.4, 8)])
def test_a_size_in_millimetres_is_the_inch_size_it_is_sold_as(
    millimetres: float, sold_as: int
) -> None:
    # 4 mm is sold as 5/32 in, 6.4 mm as 1/4 in: a rounded name is no other side of an edge.
    for current in (100.0, 200.0):
        inch = filter_shade("SMAW", current=current, electrode=sold_as / 32 * 0.0254)
        metric = filter_shade("SMAW", current=current, electrode=millimetres / 1000)
        assert [s.value for s in metric] == [s.value for s in inch]
        assert any("sold as" in s.note for s in metric)
        assert not any("sold as" in s.note for s in inch)


def test_a_size_between_two_sizes_of_the_trade_is_no_other() -> None:
    # 5.6 mm is 7.06 thirty-seconds: inside 5 to 8, near no edge.
    found = filter_shade("SMAW", current=200, electrode=0.0056)
    assert not any("sold as" in s.note for s in found)
