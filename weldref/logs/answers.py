"""What do the rows of one document say of any value? The rules of a verdict, asked once a set.

Which rows speak, which are alternatives and which are limits is decided by the functions of
`weldref.core.verdict`. Their answer to every possible value is then written down as pieces: between
two neighbouring ends of ranges the word and the nearest end stay the same.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from weldref.core.lookup import ASSUMED, GRADES, NARROWER, UNSTATABLE, Match
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import (
    SLACK,
    Row,
    as_row,
    distinct_rows,
    in_system,
    left_open,
    most_specific,
    source_says,
)
from weldref.data.store import Store
from weldref.logs.terms import code
from weldref.logs.thickness import after, switch
from weldref.logs.windows import BASE, Windows

WORDS = ("inside", "low", "high", "sources differ", "no published range")
"""The words of a verdict by number."""


@dataclass(frozen=True, slots=True)
class Piece:
    """From `begin` (SI) up to the next piece, the word and the nearest end of a range."""

    begin: float
    word: int
    end: float


@dataclass(frozen=True, slots=True)
class Group:
    """What one set of alternatives says: pieces over all values, in order."""

    pieces: tuple[Piece, ...]

    @property
    def plain(self) -> bool:
        """Whether it is low, then inside, then high, each at most once."""
        words = [piece.word for piece in self.pieces]
        order = {"low": 0, "inside": 1, "high": 2}
        places = [order[WORDS[word]] for word in words]
        return places == sorted(set(places))

    def bounds(self) -> tuple[float, float, float, float]:
        """First value that is not low, first that is high, and the ends that they lie at."""
        low, high = -math.inf, math.inf
        low_end, high_end = -math.inf, math.inf
        for piece, following in zip(self.pieces, (*self.pieces[1:], None), strict=True):
            if WORDS[piece.word] == "low":
                low = following.begin if following else math.inf
                low_end = piece.end
            elif WORDS[piece.word] == "high":
                high, high_end = piece.begin, piece.end
        return low, high, low_end, high_end


@dataclass(frozen=True, slots=True)
class Answer:
    """What one document says for one set of matching rows.

    `windows` are the rows that it rests on; `grade` is the weakest of them, by its place in
    GRADES.
    """

    groups: tuple[Group, ...]
    windows: tuple[str, ...]
    grade: int


@dataclass(frozen=True, slots=True, eq=False)
class Known(Match):
    """A match that works out once what the rules ask of it again and again."""

    met: frozenset[str]
    added: frozenset[str]

    @property
    def matched(self) -> frozenset[str]:
        """The conditions that the row states and the situation meets."""
        return self.met

    @property
    def assumed(self) -> frozenset[str]:
        """The conditions that the row adds to the situation."""
        return self.added

    @property
    def order(self) -> tuple[int, int, int, str]:
        """The order in which `weldref.core.lookup.find` lists matches."""
        return (
            -len(self.met),
            len(self.assumptions),
            GRADES.index(self.grade),
            self.row["window_id"],
        )


@dataclass(frozen=True, slots=True)
class _Codes:
    """How a row stands to a situation, read from its digits."""

    codes: dict[str, int]
    met: frozenset[str]
    added: frozenset[str]
    twins: int


class Answers:
    """Asks the rules about sets of matching rows.

    Parameters
    ----------
    store
        The open store.
    windows
        The rows and the order of their digits.
    matches
        Each match by number: the row's number, its digits, and its membership.
    plausible
        The least and the greatest plausible value of each quantity, in SI.
    """

    def __init__(
        self,
        store: Store,
        windows: Windows,
        matches: Mapping[int, tuple[int, int, int]],
        plausible: Mapping[str, tuple[float, float]],
    ) -> None:
        self.units = Units(store)
        self.plausible = plausible
        self.conditions = (*windows.unsaid, *windows.levels)
        self.rows = windows.rows(store, {win for win, _, _ in matches.values()})
        self.matches = matches
        # Libraries and logs repeat themselves: what was worked out once is kept.
        self._codes: dict[tuple[int, tuple[str, ...]], _Codes] = {}
        self._known: dict[int, Known] = {}
        self._shown: dict[str, Row] = {}
        self._groups: dict[tuple[str, ...], Group] = {}

    def answer(self, numbers: Sequence[int], system: UnitSystem | None) -> Answer:
        """Say what the matches of one document answer to a value in a unit system."""
        found = sorted((self._match(number) for number in numbers), key=lambda m: m.order)
        known: Sequence[Match] = found
        if len(found) > 1:
            known = most_specific(in_system(found, system))
        if len(known) == 1:
            alternatives, resting = [known], known
        else:
            ordered = sorted(known, key=left_open)
            alternatives = [list(members) for _, members in groupby(ordered, key=left_open)]
            shown = {row.window_id for row in distinct_rows(self._row(match) for match in known)}
            resting = [match for match in known if match.row["window_id"] in shown]
        return Answer(
            tuple(self._group(members) for members in alternatives),
            tuple(match.row["window_id"] for match in resting),
            max(GRADES.index(match.grade) for match in resting),
        )

    def _match(self, number: int) -> Known:
        if number not in self._known:
            win, digits, member = self.matches[number]
            row = self.rows[win]
            found = self._read(digits, tuple(name for name in UNSTATABLE if row[name] is not None))
            # Only their number counts here: it orders the rows (see `weldref.core.lookup.compare`).
            assumptions = ("",) * (len(found.added) + found.twins + bool(member))
            grade = GRADES[max(GRADES.index(row["how_read"]), member - 1)]
            self._known[number] = Known(
                row, found.codes, assumptions, grade, found.met, found.added
            )
        return self._known[number]

    def _read(self, digits: int, unstated: tuple[str, ...]) -> _Codes:
        """Unpack digits; `unstated` are a row's conditions that no situation can state."""
        if (digits, unstated) not in self._codes:
            codes = {}
            left = digits
            for condition in reversed(self.conditions):
                left, digit = divmod(left, BASE)
                found = code(digit)
                if found is not None:
                    codes[condition] = found
            codes |= dict.fromkeys(unstated, ASSUMED)
            self._codes[digits, unstated] = _Codes(
                codes,
                frozenset(name for name, found in codes.items() if found >= 0),
                frozenset(name for name, found in codes.items() if found in (ASSUMED, NARROWER)),
                sum(codes.get(name) == 1 for name in ("thickness", "electrode_size")),
            )
        return self._codes[digits, unstated]

    def _row(self, match: Match) -> Row:
        """Show a row; what tells statements apart does not depend on the situation."""
        name = match.row["window_id"]
        if name not in self._shown:
            self._shown[name] = as_row(self.units, match, None)
        return self._shown[name]

    def _group(self, members: Sequence[Match]) -> Group:
        key = tuple(match.row["window_id"] for match in members)
        if key not in self._groups:
            row = members[0].row
            self._groups[key] = (
                Group(window_pieces(row["min_si"], row["max_si"]))
                if len(members) == 1
                else Group(pieces(members, self.plausible[row["quantity"]]))
            )
        return self._groups[key]


def window_pieces(low: float | None, high: float | None) -> tuple[Piece, ...]:
    """Write down what one range says (see `weldref.core.verdict.compare_value`).

    >>> [(WORDS[p.word], p.end) for p in window_pieces(110.0, None)]
    [('low', 110.0), ('inside', 0.0)]
    """
    found = []
    begin = -math.inf
    if low is not None:
        found.append(Piece(begin, WORDS.index("low"), low))
        begin = low - SLACK * abs(low)
    found.append(Piece(begin, WORDS.index("inside"), 0.0))
    if high is not None:
        found.append(Piece(after(high + SLACK * abs(high)), WORDS.index("high"), high))
    return tuple(found)


def pieces(members: Sequence[Match], domain: tuple[float, float]) -> tuple[Piece, ...]:
    """Write down what alternatives and limits under the same conditions say of every value.

    `domain` holds the least and the greatest plausible value: far outside it distances round
    to each other.
    """
    lows = {m.row["min_si"] for m in members if m.row["min_si"] is not None}
    highs = {m.row["max_si"] for m in members if m.row["max_si"] is not None}

    def said(value: float) -> tuple[int, float]:
        ((word, by),) = source_says(members, Value(value, "", value, ""))
        if word == "inside":
            return WORDS.index(word), 0.0
        ends = lows if word == "low" else highs
        return WORDS.index(word), min(ends, key=lambda end: abs(abs(value - end) - by))

    cuts = {low - SLACK * abs(low) for low in lows}
    cuts |= {after(high + SLACK * abs(high)) for high in highs}
    # Between two ranges the nearer one speaks; of two broken limits, the farther.
    cuts |= {(low + high) / 2 for low in lows for high in highs}
    least, greatest = domain
    begins = [least, *sorted(cut for cut in cuts if least < cut <= greatest)]
    lasts = [*(math.nextafter(begin, -math.inf) for begin in begins[1:]), greatest]
    found: list[Piece] = []
    for begin, last in zip(begins, lasts, strict=True):
        first = begin
        while True:
            answer = said(first)

            def unchanged(value: float, answer: tuple[int, float] = answer) -> bool:
                return said(value) == answer

            if not found:
                found.append(Piece(-math.inf, *answer))
            elif (found[-1].word, found[-1].end) != answer:
                found.append(Piece(first, *answer))
            if unchanged(last):
                break
            first = switch(unchanged, first, last)
    return tuple(found)
