"""Prints of quantities as forms have them."""

from __future__ import annotations

import pytest

from weldref.procedures.fields import field
from weldref.procedures.keys import Match
from weldref.procedures.quantity import parse_quantity, suspect_date
from weldref.procedures.ranges import quantities
from weldref.procedures.tree import as_tree


@pytest.mark.parametrize(
    ("text", "dimension", "low", "high", "unit"),
    [
        ("90-150", "current", 90, 150, ""),
        ("90–150 A", "current", 90, 150, "A"),
        ("90 A - 150 A", "current", 90, 150, "A"),
        ("min 90 max 150", "current", 90, 150, ""),
        ("between 90 and 150 A", "current", 90, 150, "A"),
        ("180 amps max", "current", None, 180, "A"),
        ("120 ± 10 %", "current", 108, 132, ""),
        ("120 +/- 10 A", "current", 110, 130, "A"),
        ("20/23", "voltage", 20, 23, ""),
        ("20V-23V", "voltage", 20, 23, "V"),
        ("1/8", "length", 0.125, 0.125, ""),
        ('1/8" - 1/4"', "length", 0.125, 0.25, "in"),
        ("1/8 to 1-1/2 in", "length", 0.125, 1.5, "in"),
        ("0-1/16 in", "length", 0, 0.0625, "in"),
        ("1½ in", "length", 1.5, 1.5, "in"),
        ("over 3/4 thru 1-1/2", "length", 0.75, 1.5, ""),
        ("up to 3/4", "length", None, 0.75, ""),
        (".035", "length", 0.035, 0.035, ""),
        ("16 ga", "length", 16, 16, "ga"),
        ("3,2 mm", "length", 3.2, 3.2, "mm"),
        ("150°F min. (65°C)", "temperature", 150, None, "F"),
        ("-20 to 5 C", "temperature", -20, 5, "C"),
        ("50 degrees F", "temperature", 50, 50, "F"),
        ("≤ 250", "temperature", None, 250, ""),
        ("100+", "temperature", 100, None, ""),
        ("17,013 J/in", "heat input", 17013, 17013, "J/in"),
        ("17,013.5 J/in", "heat input", 17013.5, 17013.5, "J/in"),
        ("0,8-1,2 kJ/mm", "heat input", 0.8, 1.2, "kJ/mm"),
        ("30-35 ft3/h", "flow", 30, 35, "ft3/h"),
        ("45 ft³/hr", "flow", 45, 45, "ft3/h"),
        ("80 ÷ 120 mm/min", "speed", 80, 120, "mm/min"),
        ("60°±5°", "angle", 55, 65, "deg"),
    ],
)
def test_prints(
    text: str, dimension: str, low: float | None, high: float | None, unit: str
) -> None:
    found = parse_quantity(text, dimension)
    assert (found.low, found.high, found.unit) == (low, high, unit)
    assert found.doubts == ()


@pytest.mark.parametrize(
    "text",
    ["unlimited", "N/A", "as required", "none", "-", "see table", "ambient", "all", "2T", "1.5 T"],
)
def test_usual_words_are_no_slip(text: str) -> None:
    found = parse_quantity(text, "length")
    assert (found.low, found.high, found.words, found.doubts) == (None, None, text, ())


@pytest.mark.parametrize(
    ("text", "dimension", "kind"),
    [
        ("E7018", "current", "text for a number"),
        ("hot", "current", "text for a number"),
        ("NaN", "current", "not a number"),
        ("#REF!", "current", "not a number"),
        ("1e400", "current", "not a number"),
        ("1/0", "length", "not a number"),
        ("Mar-32", "length", "date"),
        ("2032-03-03", "length", "date"),
        ("90, 150", "current", "several numbers"),
        ("1 2 3", "current", "several numbers"),
        ("90 V", "current", "unknown unit"),
        ("5 mm - 1 in", "length", "unknown unit"),
        ("1,234 mm", "length", "comma"),
        ("150 0C", "temperature", "degree sign"),
        ("9" * 500, "current", "text for a number"),
    ],
)
def test_doubts(text: str, dimension: str, kind: str) -> None:
    assert kind in [doubt for doubt, _ in parse_quantity(text, dimension).doubts]


@pytest.mark.parametrize(
    ("printed", "meant"),
    [
        ("Mar-32", "3/32"),
        ("3-Mar", "3/3 or 3-3"),
        ("2032-03-01", "3/32"),
        ("2032-03-03", "3/32"),
        ("2026-03-03", "3/3 or 3-3"),
        ("1-Aug", "8/1 or 8-1"),
        ("Jan-8", "1/8"),
        ("2026-10-15 00:00:00", "10/15 or 10-15"),
        ("3/3/2032", "3/32"),
    ],
)
def test_dates_of_spreadsheets(printed: str, meant: str) -> None:
    assert suspect_date(printed) == meant


def test_sizes_are_kept_apart() -> None:
    asked = Match(field("pass.sizes"))
    for given in (["1/8", "5/32"], "1/8, 5/32", "1/8 & 5/32 in", "1/8 / 5/32", "1/8 and 5/32"):
        found = quantities(as_tree(given), asked)
        assert [str(piece) for piece in found] == ["0.125 in", "0.15625 in"], given
    assert [str(p) for p in quantities(as_tree(".035/.045"), asked)] == ["0.035", "0.045"]
    assert [str(p) for p in quantities(as_tree("2.4-3.2 mm"), asked)] == ["2.4 to 3.2 mm"]
    assert [str(p) for p in quantities(as_tree("Ø 1.2 mm"), asked)] == ["1.2 mm"]


def test_zero_is_not_stated_where_it_cannot_be_meant() -> None:
    cases = {
        "pass.current": ([90, 0], "at least 90 A"),
        "procedure.interpass_max": (0, ""),
        "procedure.preheat_min": (0, "at least 0"),
        "joint.root_opening": ([0, 3], "0 to 3"),
    }
    for target, (given, expected) in cases.items():
        (piece,) = quantities(as_tree(given), Match(field(target)))
        assert str(piece) == expected, target


def test_an_open_limit() -> None:
    asked = Match(field("pass.current"))
    assert str(quantities(as_tree([90, None]), asked)[0]) == "at least 90 A"
    assert str(quantities(as_tree([None, 150]), asked)[0]) == "at most 150 A"
    assert str(quantities(as_tree({"min": 90, "max": ""}), asked)[0]) == "at least 90 A"
