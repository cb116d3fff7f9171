"""The rules of a verdict, on small tables of our own and by property."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import weldref
from weldref.core import verdict
from weldref.core.bands import compare_value
from weldref.core.cases import Ask, most_specific
from weldref.core.check import CheckResult, check, published, read_value
from weldref.core.index import ASSUMED, CONTRADICTS
from weldref.core.lookup import Match
from weldref.core.nearest import Neighbour
from weldref.core.situation import Situation, describe, sizes_of
from weldref.core.together import together
from weldref.core.units import Value
from weldref.core.verdict import (
    Evidence,
    Judgement,
    Reading,
    Row,
    in_system,
    judge,
    near_rows,
    show_rows,
    system_of,
)
from weldref.data.store import Store, open_store
from weldref.errors import InputError
from weldref.text import check_text

IN_MIN = 0.0254 / 60
"""One inch a minute in metres a second."""

_COLUMNS = """
    line process transfer_mode material filler_class tungsten_class electrode_size joint position
    polarity gas technique pass environment other_condition scope thickness_min thickness_max
    thickness_unit thickness_min_si thickness_max_si thickness_min_inclusive
    thickness_max_inclusive typical typical_si status remark locator
""".split()


def made(
    low: float | None,
    high: float | None,
    *,
    source: str = "one",
    basis: str = "recommended",
    how_read: str = "read",
    codes: dict[str, int] | None = None,
    ignores: tuple[str, ...] = (),
    unsaid: tuple[str, ...] = (),
    on_machine: bool = False,
    **columns: Any,
) -> Match:
    """An invented row for current in amperes."""
    row: dict[str, Any] = dict.fromkeys(_COLUMNS)
    row |= {
        "window_id": f"{source}:{low}-{high}",
        "quantity": "current",
        "source_id": source,
        "source": source,
        "how_read": how_read,
        "basis": basis,
        "unit": "A",
        "min": low,
        "max": high,
        "min_si": low,
        "max_si": high,
    } | columns
    return Match(row, codes or {}, (), how_read, (), ignores, unsaid, on_machine)


def amps(number: float) -> Value:
    return Value(number, "A", number, f"{number:g}")


def word(store: Store, number: float, *matches: Match) -> tuple[str, float | None]:
    judgement = said_by(store, matches, amps(number))
    return judgement.verdict, judgement.by


def said_by(store: Store, matches: Sequence[Match], value: Value) -> Judgement:
    return Evidence(store, matches, system_of(value.unit)).judge(value)


def test_inside_low_high(store: Store) -> None:
    row = made(110, 160)
    assert word(store, 130, row) == ("inside", 0.0)
    assert word(store, 110, row) == ("inside", 0.0)
    assert word(store, 160, row) == ("inside", 0.0)
    assert word(store, 100, row) == ("low", 10.0)
    assert word(store, 250, row) == ("high", 90.0)


def test_sources_differ_only_when_one_holds_the_value(store: Store) -> None:
    one, two = made(110, 160), made(140, 200, source="two")
    assert word(store, 150, one, two)[0] == "inside"
    assert word(store, 120, one, two) == ("sources differ", 20.0)
    assert word(store, 100, one, two) == ("low", 10.0)
    assert word(store, 210, one, two) == ("high", 10.0)


def test_between_two_acceptable_bands_is_outside(store: Store) -> None:
    # Two windows of one document under the same conditions are alternatives with a bad band
    # between them: controlled short-circuit GMAW of zinc-coated lap joints, wj-zinc-lap-2016.
    bands = made(200, 250, basis="acceptable-window"), made(350, 550, basis="acceptable-window")
    assert word(store, 220, *bands)[0] == "inside"
    assert word(store, 400, *bands)[0] == "inside"
    assert word(store, 260, *bands) == ("high", 10.0)
    assert word(store, 340, *bands) == ("low", 10.0)


def test_a_limit_always_holds(store: Store) -> None:
    limit, window = made(None, 200, basis="limit"), made(150, 260)
    assert word(store, 190, limit, window)[0] == "inside"
    assert word(store, 230, limit, window) == ("high", 30.0)
    assert word(store, 140, limit, window) == ("low", 10.0)


def test_the_most_specific_statement_of_a_document_speaks() -> None:
    general = made(75, 175, codes={"process": 0, "electrode_size": 0})
    exact = made(110, 150, codes={"process": 0, "electrode_size": 0, "thickness": 0})
    assert most_specific([general, exact]) == [exact]
    left_open = made(110, 150, codes={"process": 0, "electrode_size": 0, "thickness": ASSUMED})
    assert most_specific([general, left_open]) == [general, left_open]
    nearer = made(1, 2, codes={"process": 0, "material": 0})
    farther = made(1, 3, codes={"process": 0, "material": 2})
    assert most_specific([farther, nearer]) == [nearer]


def test_a_more_specific_limit_replaces_a_general_one(store: Store) -> None:
    general = made(None, 200, basis="limit", codes={"process": 0})
    exact = made(None, 240, basis="limit", codes={"process": 0, "material": 0})
    assert most_specific([general, exact]) == [exact]
    assert word(store, 230, general, exact) == ("inside", 0.0)


def test_a_recommendation_never_lifts_a_limit() -> None:
    limit = made(None, 200, basis="limit", codes={"process": 0})
    window = made(150, 260, codes={"process": 0, "material": 0})
    assert most_specific([limit, window]) == [limit, window]


def test_the_table_in_the_users_units_speaks() -> None:
    inch = made(0.125, None, unit="in", thickness_unit="in")
    metric = made(3, None, unit="mm", thickness_unit="mm")
    assert in_system([inch, metric], "us") == [inch]
    assert in_system([inch, metric], "metric") == [metric]
    assert in_system([metric], "us") == [metric]


def test_a_thickness_tells_the_system_where_the_value_does_not() -> None:
    inch = made(100, 120, thickness_unit="in")
    metric = made(110, 130, thickness_unit="mm")
    neither = made(90, 140)
    assert in_system([inch, metric, neither], "us") == [inch, neither]
    assert in_system([inch, metric, neither], "metric") == [metric, neither]
    assert in_system([inch, metric], None) == [inch, metric]


def test_a_value_is_judged_by_the_table_in_its_own_units(store: Store) -> None:
    speed = {"quantity": "travel_speed"}
    inch = made(10, 20, unit="in/min", min_si=10 * IN_MIN, max_si=20 * IN_MIN, **speed)
    metric = made(300, 600, unit="mm/min", min_si=0.005, max_si=0.010, **speed)
    said = said_by(store, [inch, metric], Value(25, "in/min", 25 * IN_MIN, "25 in/min"))
    assert (said.verdict, said.by, len(said.rows)) == ("high", 5.0, 1)
    assert (said.rows[0].unit, said.rows[0].by) == ("in/min", 5.0)
    said = said_by(store, [inch, metric], Value(240, "mm/min", 0.004, "240 mm/min"))
    assert (said.verdict, said.by, len(said.rows)) == ("low", 60.0, 1)
    assert (said.rows[0].unit, said.rows[0].by) == ("mm/min", 60.0)


def test_a_shown_row_carries_what_its_row_holds(store: Store) -> None:
    columns = {
        "line": "one:1",
        "locator": "p. 3",
        "remark": "invented",
        "process": "SMAW",
        "electrode_size": "1/8 in",
    }
    match = made(110, 160, codes={"process": 0, "electrode_size": ASSUMED}, typical=130, **columns)
    (row,) = said_by(store, [match], amps(170)).rows
    names = """
        window_id quantity line source_id source locator how_read basis status min max typical unit
        remark
    """.split()
    assert {name: getattr(row, name) for name in names} == {n: match.row[n] for n in names}
    assert row.conditions == {"process": "SMAW", "electrode_size": "1/8 in"}
    assert row.assumed == {"electrode_size": "1/8 in"}
    assert (row.verdict, row.by, row.own) == ("high", 10.0, False)
    assert said_by(store, [made(110, 160, own=True)], amps(170)).rows[0].own


def test_one_statement_is_shown_once_and_two_are_two(store: Store) -> None:
    flat, overhead = (
        made(110, 160, locator="p. 3", codes={"position": 0}, position=position)
        for position in ("flat", "overhead")
    )
    assert len(show_rows(store, [flat, overhead])) == 1  # one printed cell that named both
    thin, thick = (made(110, 160, locator="p. 3", polarity=polarity) for polarity in ("AC", "DCEP"))
    (first, second) = show_rows(store, [thin, thick])
    assert first.conditions != second.conditions
    assert first.assumptions == second.assumptions == ()


def test_every_grade_is_accepted_unless_said_otherwise(store: Store) -> None:
    situation = describe(store, process="GTAW", material="titanium", thickness="1/8")
    found = judge(store, situation, "current", amps(110))
    assert found == judge(store, situation, "current", amps(110), "memory")
    assert found.from_memory is not None


@pytest.mark.parametrize("edge", [1e-3, 1.0, 1e6])
def test_a_value_converted_is_the_same_value_and_no_other_is(edge: float) -> None:
    assert compare_value(edge, edge, edge * (1 + 5e-10)) == ("inside", 0.0)
    assert compare_value(edge, edge, edge * (1 - 5e-10)) == ("inside", 0.0)
    assert compare_value(edge, edge, edge * (1 + 2e-9))[0] == "high"
    assert compare_value(edge, edge, edge * (1 - 2e-9))[0] == "low"


bounds = st.one_of(st.none(), st.floats(1, 1000))


@given(bounds, bounds, st.floats(0.1, 2000))
def test_by_is_the_distance_to_the_range(
    one: float | None, two: float | None, value: float
) -> None:
    low, high = one, two
    if one is not None and two is not None:
        low, high = min(one, two), max(one, two)
    answer, by = compare_value(low, high, value)
    assert by >= 0
    if answer == "inside":
        assert by == 0
    else:
        edge = low if answer == "low" else high
        assert edge is not None
        assert math.isclose(by, abs(value - edge))
        assert compare_value(low, high, edge)[0] == "inside"


@given(st.lists(st.tuples(st.floats(1, 500), st.floats(1, 500)), min_size=1, max_size=6),
       st.floats(1, 600))  # fmt: skip
def test_the_word_follows_from_the_rows(pairs: list[tuple[float, float]], value: float) -> None:
    from weldref.data.store import open_store

    matches = [
        made(min(pair), max(pair), source=f"document {index}") for index, pair in enumerate(pairs)
    ]
    judgement = said_by(open_store(), matches, amps(value))
    words = {compare_value(min(pair), max(pair), value)[0] for pair in pairs}
    assert judgement.verdict == (words.pop() if len(words) == 1 else "sources differ")
    assert (judgement.by == 0) == (judgement.verdict == "inside")


def reading(store: Store, number: float, *matches: Match, grade: str = "memory") -> Reading:
    situation = describe(store, process="SMAW", electrode="E7018", diameter="1/16")
    return judge(store, situation, "current", amps(number), grade, matches)


def test_a_reading_carries_what_was_asked_and_what_it_rests_on(store: Store) -> None:
    found = reading(store, 250, made(110, 160), made(90, 150, source="two", how_read="secondary"))
    assert (found.quantity, found.value, found.unit) == ("current", 250, "A")
    assert (found.verdict, found.by) == ("high", 90.0)
    assert (found.strongest_grade, found.grade) == ("read", "secondary")
    assert [(row.source_id, row.verdict, row.by) for row in found.rows] == [
        ("one", "high", 90.0),
        ("two", "high", 100.0),
    ]
    assert found.from_memory is found.from_own is None
    assert found.neighbours == ()
    assert not found.own


def own(store: Store, number: float, *matches: Match, grade: str = "memory") -> Judgement | None:
    """What own rows say that are found, under the grade that was asked for."""

    def found(*asked: Any, own: bool) -> list[Match]:
        assert own
        assert asked[2:] == ("current", grade)
        return list(matches)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(verdict, "find", found)
        return verdict._from_own(store, describe(store), "current", amps(number), grade)


def test_own_rows_are_judged_with_what_was_also_seen(store: Store) -> None:
    printed, recalled = made(110, 160), made(100, 140, source="two", how_read="memory")
    single = made(None, None, source="three", typical=120.0, typical_si=120.0)
    assert own(store, 130) is None
    said = own(store, 170, printed, recalled, single, grade="secondary")
    assert said is not None
    assert (said.verdict, said.by) == ("high", 10.0)
    assert [(row.source_id, row.verdict) for row in said.rows] == [
        ("one", "high"),
        ("two", "high"),
        ("three", ""),
    ]


def test_an_own_single_setting_judges_nothing(store: Store) -> None:
    said = own(store, 90, made(None, None, typical=120.0, typical_si=120.0))
    assert said is not None
    assert (said.verdict, said.by) == ("no published range", None)
    assert [row.typical for row in said.rows] == [120.0]


def test_rows_that_give_no_verdict_are_shown_apart(store: Store) -> None:
    single = made(None, None, typical=120.0, typical_si=120.0)
    used = made(None, None, source="two", basis="procedure-used", typical=90.0, typical_si=90.0)
    seen = made(80, 100, source="three", basis="test-condition")
    found = reading(store, 130, single, used, seen)
    assert [row.source_id for row in found.single_settings] == ["one"]
    assert [row.source_id for row in found.also_seen] == ["two", "three"]
    assert found.rows == ()
    assert {row.verdict for row in (*found.single_settings, *found.also_seen)} == {""}


def test_memory_rows_never_pass_or_fail() -> None:
    # Only recalled rows cover GTAW current on 1/8 in titanium.
    for current in (110, 500):
        result = check(process="GTAW", material="titanium", thickness="1/8", current=current)
        (reading,) = result.readings
        assert result.verdict == "no published range"
        assert reading.grade == "memory"
        assert reading.from_memory is not None
        assert reading.rows == ()
        assert {row.how_read for row in reading.from_memory.rows} == {"memory"}


def test_memory_never_overturns_print() -> None:
    # 112 A: Machinery's Handbook prints 110 to 160; the recalled A5.1 annex has 115 to 165.
    result = check(process="SMAW", electrode="E7018", diameter="1/8", current=112)
    (reading,) = result.readings
    assert reading.verdict == "inside"
    assert reading.grade == "read"
    assert reading.from_memory is not None
    # A recalled row for 1/4 in plate has 105 to 150 A: memory depends on the thickness.
    assert reading.from_memory.verdict == "depends"


def test_grade_leaves_recalled_rows_out() -> None:
    result = check(process="GTAW", material="titanium", thickness="1/8", current=110, grade="read")
    assert result.readings[0].from_memory is None


def test_single_setting_passes_nothing() -> None:
    # Table 17-2 of the plasma cutting chapter prints 300 A alone for 1/4 in stainless steel.
    result = check(process="PAC", material="stainless steel", thickness="1/4", current=300)
    (reading,) = result.readings
    assert reading.verdict == "no published range"
    assert [row.typical for row in reading.single_settings if row.source_id ==
            "welding-textbook-ch17"] == [300.0]  # fmt: skip


def test_uncertain_rows_are_shown_and_silent() -> None:
    # The E6010 rows of Table 13 lost the table's grid: figures read, place inferred.
    result = check(process="SMAW", electrode="E6010", diameter="3/32", current=60, grade="read")
    (reading,) = result.readings
    assert reading.verdict == "no published range"
    assert any(row.status == "uncertain" for row in reading.also_seen)


def test_under_water_rows_hold_under_water_only() -> None:
    dry = check(process="CAC", current=400)
    wet = check(process="CAC", under_water=True, current=400)

    def wet_rows(result: CheckResult) -> list[Row]:
        (reading,) = result.readings
        rows = (*reading.rows, *reading.general, *reading.conditional)
        return [row for row in rows if "environment" in row.conditions]

    assert not wet_rows(dry)
    assert {row.conditions["environment"] for row in wet_rows(wet)} == {"under water"}


def test_one_printed_line_holds_values_together() -> None:
    # Fig. 8-17 prints 24 to 30 V with 200 to 300 A for 0.045 in wire on one line.
    situation: dict[str, Any] = {
        "process": "GMAW",
        "transfer_mode": "spray",
        "material": "304",
        "gas": "98 Ar / 2 O2",
    }
    together = check(**situation, diameter=".045", current=220, voltage=29).together
    assert together is not None
    assert len(together.lines) == 1
    # 220 A belongs to the line of 0.045 in, 31 V to that of 1/16 in: no line holds both.
    mixed = check(**situation, current=200, voltage=31).together
    assert mixed is not None
    assert mixed.covered >= 2
    assert not mixed.lines


def line(name: str, how_read: str = "read", *, volts: bool = True, last: str = "") -> list[Match]:
    """An invented line: 100 to 200 A, 10 to 20 V; `last` is how its voltage was read."""
    rows = [made(100, 200, line=name, how_read=how_read)]
    if volts:
        rows.append(made(10, 20, line=name, how_read=last or how_read, quantity="voltage"))
    return rows


PAIR: dict[str, Any] = {"current": 150, "voltage": 15}
HELD = "current and voltage hold together on one printed line: "


@pytest.mark.parametrize(
    ("rows", "asked", "covered", "printed", "recalled", "said"),
    [
        ([line("a")], PAIR, 1, ("a",), (), f"{HELD}a"),
        ([line("a"), line("b", volts=False)], PAIR, 1, ("a",), (), f"{HELD}a"),
        (
            [line("m", "memory")], PAIR, 0, (), ("m",),
            "no printed line covers current and voltage together; a line recalled from memory, "
            "which passes nothing, holds them: m",
        ),
        (
            # A line is recalled where any part of it is.
            [line("m", "read", last="memory")], PAIR, 0, (), ("m",),
            "no printed line covers current and voltage together; a line recalled from memory, "
            "which passes nothing, holds them: m",
        ),
        (
            [line("a"), line("m", "memory")], PAIR, 1, ("a",), ("m",),
            f"{HELD}a; a line recalled from memory, which passes nothing, holds them: m",
        ),
        (
            [line("a"), line("m", "memory")], PAIR | {"voltage": 25}, 1, (), (),
            "no printed line holds current and voltage together, of 1 that print them; what is "
            "recalled from memory does not hold them either",
        ),
        (
            # Preheat stands on no line: of the others the line speaks all the same.
            [line("a"), [made(1, 2, quantity="preheat")]], PAIR | {"preheat": "100 F"}, 1, ("a",),
            (), f"{HELD}a; preheat not on it",
        ),
        (
            # Two lines, each with two of the three: none prints them all.
            [line("a"), [made(100, 200, line="b"),
                         made(1, 2, line="b", quantity="travel_speed")]],
            PAIR | {"travel_speed": 10}, 1, ("a",), (), f"{HELD}a; travel speed not on it",
        ),
    ],
)  # fmt: skip
def test_only_a_printed_line_holds_values_together(
    rows: list[list[Match]], asked: dict[str, Any],
    covered: int, printed: tuple[str, ...], recalled: tuple[str, ...], said: str,
) -> None:  # fmt: skip
    store = open_store()
    values = dict(read_value(store, name, value, "us") for name, value in asked.items())
    every = [match for one in rows for match in one]
    matches = {name: [m for m in every if m.row["quantity"] == name] for name in values}
    result = together(store, values, matches)
    assert (result.covered, result.lines, result.recalled) == (covered, printed, recalled)
    assert str(result) == said


def test_a_recalled_line_passes_nothing() -> None:
    result = check(
        process="GMAW", material="carbon steel", diameter=".030", thickness="1/8", gas="C25",
        transfer_mode="short-circuiting", current=115, voltage=18,
    )  # fmt: skip
    assert result.together is not None
    assert all(line.startswith("common-practice") for line in result.together.recalled)
    assert not any(line.startswith("common-practice") for line in result.together.lines)
    assert result.together.recalled


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ({}, "no value to check"),
        ({"current": "130 V"}, "not a unit of current"),
        ({"current": "lots"}, "not a number"),
        ({"current": 90000}, "not plausible"),
        ({"speed of light": 1}, "quantity: 'speed of light' is not known"),
        (
            {"current": 300, "amps": 130},
            r"^current: given twice \(current, amps\); give it once$",
        ),
        ({"wfs": 300, "wire feed": 310}, r"wire feed speed: given twice \(wfs, wire feed\)"),
    ],
)
def test_bad_readings_get_one_sentence(readings: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words):
        check(process="SMAW", **readings)


@pytest.mark.parametrize("asked", [weldref.windows, published, partial(check, current=130)])
def test_an_unknown_grade_is_one_sentence(asked: Callable[..., object]) -> None:
    with pytest.raises(
        InputError, match=r"^grade: 'good' is not a grade; give read, secondary, memory$"
    ):
        asked(process="SMAW", grade="good")


def test_every_unit_belongs_to_its_system(store: Store) -> None:
    printed_by_inches = ("inch", "foot", "gallon", "pound", "degF")
    for unit in store.rows("SELECT * FROM units"):
        us = any(word in unit["pint_expression"] for word in printed_by_inches)
        assert (system_of(unit["unit"]) == "us") == us, unit["unit"]
    for row in store.rows("SELECT * FROM quantities"):
        us_unit, metric_unit = row["us_unit"], row["metric_unit"]
        both = (None, None) if us_unit == metric_unit else ("us", "metric")
        assert (system_of(us_unit), system_of(metric_unit)) == both, row["quantity"]


@given(st.floats(10, 600))
def test_units_do_not_change_a_verdict(inches: float) -> None:
    us = check(process="OFC", material="steel", thickness="1/2", travel_speed=f"{inches} in/min")
    metric = check(
        process="OFC", material="steel", thickness="1/2", travel_speed=f"{inches * 25.4} mm/min"
    )
    assert us.verdict == metric.verdict


SIZES = {"electrode_size": ASSUMED}


def sized(low: float, high: float, size: str, **more: Any) -> Match:
    return made(low, high, codes=SIZES, electrode_size=size, **more)


def test_one_document_that_prints_two_sizes_asks_which(store: Store) -> None:
    thin, thick = sized(40, 75, "3/32 in"), sized(75, 130, "1/8 in")
    said = said_by(store, [thin, thick], amps(95))
    assert (said.verdict, said.by) == ("depends", None)
    assert said.ask is not None
    assert said.ask.condition == "electrode_size"
    answers = [(a.value, a.verdict, a.by) for a in said.ask.answers]
    assert answers == [("3/32 in", "high", 20.0), ("1/8 in", "inside", 0.0)]
    assert said.ask.other.verdict == "no published range"
    assert [case.when for case in said.cases] == [
        {"electrode_size": "3/32 in"},
        {"electrode_size": "1/8 in"},
    ]


def test_answers_that_agree_are_the_answer(store: Store) -> None:
    rows = [sized(40, 100, "3/32 in"), sized(75, 130, "1/8 in")]
    assert word(store, 90, *rows)[0] == "inside"
    assert word(store, 200, *rows) == ("high", 70.0)


def test_the_question_is_the_one_that_settles_most(store: Store) -> None:
    # The position decides nothing; the size decides all.
    both = {"electrode_size": ASSUMED, "position": ASSUMED}
    rows = [
        made(low, high, codes=both, electrode_size=size, position=position)
        for size, low, high in (("3/32 in", 40, 75), ("1/8 in", 75, 130))
        for position in ("flat", "overhead")
    ]
    ask = said_by(store, rows, amps(95)).ask
    assert ask is not None
    assert ask.condition == "electrode_size"


def test_documents_that_disagree_in_one_case_differ(store: Store) -> None:
    rows = [sized(40, 75, "1/8 in"), sized(90, 130, "1/8 in", source="two")]
    assert word(store, 100, *rows)[0] == "sources differ"
    # One size sold under two names is one case.
    rows = [sized(40, 75, "1/8 in"), sized(90, 130, "3.2 mm", source="two")]
    assert word(store, 100, *rows)[0] == "sources differ"


def test_a_condition_that_one_row_adds_is_asked_where_it_matters(store: Store) -> None:
    general = made(110, 160, codes={"process": 0})
    overhead = made(90, 120, codes={"process": 0, "position": ASSUMED}, position="overhead")
    assert word(store, 115, general, overhead)[0] == "inside"
    said = said_by(store, [general, overhead], amps(150))
    assert said.verdict == "depends"
    assert said.ask is not None
    assert [(a.value, a.verdict) for a in said.ask.answers] == [("overhead", "high")]
    assert said.ask.other.verdict == "inside"


def test_bands_of_thickness_are_asked_as_spans(store: Store) -> None:
    def band(low: float | None, high: float | None, least: float, **more: Any) -> Match:
        return made(
            least, None, codes={"thickness": ASSUMED}, basis="limit", thickness_unit="in",
            thickness_min=low, thickness_max=high,
            thickness_min_si=None if low is None else low * 0.0254,
            thickness_max_si=None if high is None else high * 0.0254,
            thickness_min_inclusive=False, thickness_max_inclusive=True, **more,
        )  # fmt: skip

    rows = [band(None, 0.75, 32), band(0.75, 1.5, 150), band(1.5, None, 225)]
    assert word(store, 230, *rows)[0] == "inside"
    said = said_by(store, rows, amps(100))
    assert said.verdict == "depends"
    assert said.ask is not None
    assert [(a.verdict, a.by) for a in said.ask.answers if a.verdict == "low"] == [
        ("low", 50.0),
        ("low", 125.0),
    ]
    assert said.ask.answers[0].value == "up to 0.75 in"


def test_a_broad_row_fails_and_never_passes(store: Store) -> None:
    broad = made(50, 225, ignores=("electrode_size",))
    said = said_by(store, [broad], amps(180))
    assert (said.verdict, said.by, said.rows) == ("no published range", None, ())
    assert [row.fit for row in said.general] == ["broad"]
    assert word(store, 300, broad) == ("high", 75.0)
    # Another broad range that holds the value: the union over both fails nothing.
    assert word(store, 300, broad, made(200, 400, ignores=("thickness",)))[0] == (
        "no published range"
    )
    # A row that fits speaks for itself.
    assert word(store, 300, broad, made(280, 320, source="two"))[0] == "inside"
    assert word(store, 100, broad, made(110, 160, source="two")) == ("low", 10.0)


def test_a_broad_limit_still_holds(store: Store) -> None:
    limit = made(70, None, basis="limit", ignores=("material",))
    assert word(store, 150, limit)[0] == "no published range"
    assert word(store, 50, limit) == ("low", 20.0)
    assert word(store, 50, limit, made(40, 90, source="two"))[0] == "sources differ"


def test_one_side_of_a_setting_is_no_window(store: Store) -> None:
    # 15 psi is a ceiling for acetylene (29 CFR 1910.253): below it is no setting to be inside of.
    ceiling = made(None, 15, basis="limit", on_machine=True)
    assert word(store, 5, ceiling)[0] == "no published range"
    assert word(store, 16, ceiling) == ("high", 1.0)
    least = made(50, None, basis="limit")
    assert said_by(store, [least], amps(60)).one_sided == "min"
    assert said_by(store, [made(None, 50, basis="limit")], amps(40)).one_sided == "max"
    assert said_by(store, [made(10, 50)], amps(40)).one_sided == ""


def test_a_row_under_a_special_condition_never_decides_alone(store: Store) -> None:
    special = made(200, 250, source="two", codes={"technique": ASSUMED}, technique="mechanised")
    said = said_by(store, [special], amps(220))
    assert said.verdict == "depends"
    assert said.ask is not None
    assert said.ask.condition == "technique"
    assert [(a.value, a.verdict) for a in said.ask.answers] == [("mechanised", "inside")]
    assert said.ask.other.verdict == "no published range"
    plain = made(110, 160)
    assert word(store, 130, plain, special)[0] == "inside"
    assert word(store, 100, plain, special) == ("low", 10.0)
    assert word(store, 220, plain, special)[0] == "depends"
    by_hand = made(110, 160, codes={"technique": ASSUMED}, technique="manual")
    assert word(store, 130, by_hand)[0] == "inside"


def test_a_lone_printed_size_is_a_question(store: Store) -> None:
    lone = sized(310, 425, "5/16 in", unsaid=("electrode_size",))
    said = said_by(store, [lone], amps(25))
    assert said.verdict == "depends"
    assert said.ask is not None
    assert [(a.value, a.verdict, a.by) for a in said.ask.answers] == [("5/16 in", "low", 285.0)]
    assert said.ask.other.verdict == "no published range"


def test_a_near_row_says_all_that_differs(store: Store) -> None:
    off = {"material": CONTRADICTS, "polarity": CONTRADICTS}
    match = made(110, 160, codes=off, material="aluminum", polarity="AC")
    (near,) = near_rows(store, [Neighbour(match, match.contradicted)], Situation())
    assert near.differs == {"material": "aluminum", "polarity": "AC"}
    assert (near.row.verdict, near.row.by, near.side) == ("", 0.0, "")


def test_the_nearest_rungs_stand_first_with_their_distance() -> None:
    # Machinery's Handbook Table 14 prints E7018 from 3/32 in on.
    result = check(process="SMAW", electrode="E7018", diameter="1/16", current=60)
    (reading,) = result.readings
    assert reading.verdict == "no published range"
    first = reading.neighbours[0]
    assert (first.side, first.away, first.away_unit) == ("above", 0.0312, "in") or (
        first.differs == {"electrode_size": "3/32 in"}
    )


def test_memory_is_said_and_decides_nothing(store: Store) -> None:
    recalled, printed = made(110, 160, how_read="memory"), made(100, 150, source="two")
    found = reading(store, 130, recalled)
    assert (found.verdict, found.by, found.grade) == ("no published range", None, "memory")
    assert found.from_memory is not None
    assert found.from_memory.verdict == "inside"
    found = reading(store, 105, recalled, printed)
    assert found.verdict == "inside"
    assert found.from_memory is not None
    assert found.from_memory.verdict == "low"


ROWS = st.lists(
    st.tuples(
        st.integers(1, 20),
        st.integers(1, 20),
        st.sampled_from(["one", "two"]),
        st.sampled_from([None, "3/32 in", "1/8 in", "5/32 in"]),
        st.sampled_from([None, "flat", "overhead"]),
    ),
    min_size=1,
    max_size=6,
)


def invented(rows: Any) -> list[Match]:
    found = []
    for one, two, source, size, position in rows:
        codes = {"electrode_size": ASSUMED} if size else {}
        codes |= {"position": ASSUMED} if position else {}
        low, high = sorted((10.0 * one, 10.0 * two))
        found.append(
            made(low, high, source=source, codes=codes, electrode_size=size, position=position)
        )
    return found


def leaves(ask: Ask) -> set[str]:
    return {answer.verdict for answer in ask.answers}


@given(ROWS, st.integers(1, 420))
def test_depends_is_never_said_when_all_answers_agree(rows: Any, number: int) -> None:
    said = said_by(open_store(), invented(rows), amps(number / 2))
    if said.verdict == "depends":
        assert said.ask is not None
        words = leaves(said.ask)
        if said.ask.other.rows:
            words.add(said.ask.other.verdict)
        assert len(words) > 1 or words == {"depends"}
    else:
        assert said.ask is None


@given(ROWS, st.integers(1, 420))
def test_one_document_never_differs_with_itself(rows: Any, number: int) -> None:
    alone = [(*row[:2], "one", *row[3:]) for row in rows]
    assert word(open_store(), number / 2, *invented(alone))[0] != "sources differ"


@given(ROWS, st.integers(1, 420), st.data())
def test_splitting_a_band_in_two_changes_no_verdict(rows: Any, number: int, data: Any) -> None:
    store = open_store()
    before = invented(rows)
    split = data.draw(st.sampled_from(before))

    def half(low: float, high: float) -> Match:
        banded = {
            "thickness_min": low, "thickness_max": high, "thickness_unit": "mm",
            "thickness_min_si": low / 1000, "thickness_max_si": high / 1000,
            "thickness_min_inclusive": True, "thickness_max_inclusive": True,
        }  # fmt: skip
        row = split.row | banded | {"window_id": f"{split.row['window_id']}:{low}-{high}"}
        return Match(row, split.codes | {"thickness": ASSUMED}, (), split.grade)

    rest = [match for match in before if match is not split]
    value = number / 2
    whole = word(store, value, *rest, half(3, 9))
    assert word(store, value, *rest, half(3, 6), half(6, 9)) == whole


@given(ROWS, st.integers(1, 420))
def test_saying_more_settles_only_by_leaving_rows_out(rows: Any, number: int) -> None:
    store = open_store()
    matches = invented(rows)
    before = word(store, number / 2, *matches)[0]
    for size in ("3/32 in", "1/8 in"):
        kept = [
            Match(m.row, {**m.codes, "electrode_size": 0}, (), m.grade)
            if m.row["electrode_size"] == size else m
            for m in matches if m.row["electrode_size"] in (None, size)
        ]  # fmt: skip
        if len(kept) == len(matches) and before not in ("depends", "sources differ"):
            assert word(store, number / 2, *kept)[0] == before


@pytest.mark.parametrize("said", [
    {"process": "GMAW", "material": "6061", "thickness": "1/4", "gas": "C25"},
    {"process": "SMAW", "electrode": "E6010", "diameter": "1/8", "polarity": "AC"},
    {"process": "GMAW", "electrode": "ER70S-6", "diameter": "1/8"},
], ids=lambda said: " ".join(said.values()))  # fmt: skip
def test_where_the_set_up_cannot_be_no_row_says_inside(said: dict[str, str]) -> None:
    assert check(**said, current=100).readings[0].nothing_passes  # type: ignore[arg-type]
    for amperes in (100, 180, 500):
        (found,) = check(**said, current=amperes).readings  # type: ignore[arg-type]
        assert found.verdict == "no published range"
        for judged in filter(None, (found, found.from_memory)):
            assert "inside" not in {row.verdict for row in (*judged.rows, *judged.general)}
        text = check_text(check(**said, current=amperes))  # type: ignore[arg-type]
        assert "inside" not in text


def test_capacities_of_tungstens_are_no_recalled_setting_of_a_plate() -> None:
    """From 15 A to 1000 A: the recalled table of sizes names no metal and no thickness."""
    (found,) = check(process="GTAW", material="304", thickness="2 mm", current=80).readings
    assert found.from_memory is None
    assert found.neighbours
    (high,) = check(process="GTAW", polarity="DCEP", material="304", current=900).readings
    assert high.from_memory is not None
    assert high.from_memory.verdict == "high"


def test_sizes_are_asked_from_the_smallest_to_the_largest(store: Store) -> None:
    ask = check(process="SMAW", current=120).ask
    assert ask is not None
    sizes = [sizes_of(store)[answer.value] for answer in ask.answers]
    assert len(sizes) > 4
    assert sizes == sorted(sizes)
