"""What rows say of every value, written as pieces, is what a verdict says of each value."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from weldref.core.lookup import Match
from weldref.core.units import Value
from weldref.core.verdict import source_says
from weldref.logs.answers import WORDS, Group, pieces

DOMAIN = (0.1, 3000.0)
ENDS = st.sampled_from([10.0, 20.0, 20.000000001, 30.0, 45.5, 60.0, 90.0, 100.0])


@st.composite
def matches(draw: st.DrawFn) -> Match:
    low, high = draw(st.none() | ENDS), draw(st.none() | ENDS)
    if low is None and high is None:
        low = 10.0
    if low is not None and high is not None:
        low, high = min(low, high), max(low, high)
    basis = draw(st.sampled_from(["limit", "recommended", "acceptable-window"]))
    row: dict[str, Any] = {"min_si": low, "max_si": high, "basis": basis, "status": None}
    return Match(row, {}, (), "read")


@st.composite
def values(draw: st.DrawFn) -> float:
    middle = (draw(ENDS) + draw(ENDS)) / 2
    factor = draw(st.sampled_from([1, 1 + 1e-9, 1 - 1e-9, 1 + 2e-9, 1.01, 0.99, 0.5, 3]))
    near = middle * factor * (1 + draw(st.integers(-3, 3)) * 2.0**-52)
    return draw(st.just(near) | st.floats(*DOMAIN))


@given(st.lists(matches(), min_size=1, max_size=5), st.lists(values(), max_size=10))
def test_pieces_say_what_a_verdict_says(members: list[Match], tried: list[float]) -> None:
    found = pieces(members, DOMAIN)
    for value in tried:
        ((word, by),) = source_says(members, Value(value, "A", value, ""))
        piece = [p for p in found if p.begin <= value][-1]
        assert WORDS[piece.word] == word
        assert (0.0 if word == "inside" else abs(value - piece.end)) == by


def one(low: float | None, high: float | None, basis: str = "recommended") -> Match:
    return Match({"min_si": low, "max_si": high, "basis": basis, "status": None}, {}, (), "read")


def test_overlapping_alternatives_are_plain_and_a_gap_is_not() -> None:
    assert Group(pieces([one(10, 30), one(20, 60)], DOMAIN)).plain
    assert not Group(pieces([one(10, 20), one(30, 60)], DOMAIN)).plain
    assert Group(pieces([one(10, 60), one(20, None, "limit")], DOMAIN)).bounds()[2] == 20
