"""Write profiles as a few numbers each, by which SQL gives a reading the code of its verdict.

Nearly every profile is plain: low below one value, high above another, and few words between. How
many edges a reading has passed then gives its code. The rest (a document with two ranges and a
gap, say) are looked up among the pieces of their profile.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from weldref.core.cases import SAID_FIRST
from weldref.core.profile import Piece, Profile
from weldref.core.situation import plausible_limits
from weldref.core.units import Units, UnitSystem
from weldref.core.verdict import system_of
from weldref.data.store import Store
from weldref.logs import engine as sql
from weldref.logs.files import Readings

WORDS = ("inside", "low", "high", "sources differ", "no published range")
"""The words of a verdict by code; "depends" has a code for each question."""
INSIDE, LOW, HIGH, DIFFER, NOTHING = range(len(WORDS))
LOOK_UP, NOT_A_NUMBER, IMPLAUSIBLE = 5, 6, 7
"""More codes: a reading that is looked up, and reasons why one has no verdict."""
READING_REASONS = {NOT_A_NUMBER: "not a number", IMPLAUSIBLE: "implausible"}
FIRST_REASON, DEPENDS = 8, 64
"""The first code of the reasons of a whole record, and of the questions: each condition to ask for
has two codes, for whether every answer to it has a word."""
LOW_BETWEEN, HIGH_BETWEEN = 125, 126
"""Codes of readings that are low or high between two ranges."""
IN_PIECES = (LOOK_UP, LOW_BETWEEN, HIGH_BETWEEN)
"""Codes of readings whose distance is looked up in their profile."""
NO_READING, PACK = 127, 128
"""The code of no reading; and the factor by which codes are packed into one number."""
SPANS = 9
"""How many codes fit into one number of 63 bits."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A column of readings with what is needed to judge it.

    `place` is that of its profiles; `between` is the most edges that any of these has between low
    and high.
    """

    readings: Readings
    system: UnitSystem | None
    place: int
    factor: float
    shift: float
    plausible: tuple[float, float]
    between: int = 0

    @property
    def asked(self) -> tuple[str, UnitSystem | None]:
        """The quantity and the unit system of the readings."""
        return self.readings.quantity, self.system

    @property
    def edges(self) -> tuple[str, ...]:
        """The names of the edges with which a reading is compared."""
        return ("low", "high", *(f"middle{number}_" for number in range(self.between)))

    @property
    def si(self) -> str:
        """The SQL of a reading in SI."""
        value = f"l.{self.readings.name} * {sql.number(self.factor)}"
        return f"({value} + {sql.number(self.shift)})" if self.shift else f"({value})"

    @property
    def is_plausible(self) -> str:
        """The SQL that tells whether a reading is plausible; NULL without one."""
        low, high = map(sql.number, self.plausible)
        return f"{self.si} >= {low} AND {self.si} <= {high}"


def measures(store: Store, readings: Sequence[Readings]) -> tuple[Measure, ...]:
    """Look up the factors and the plausible limits of a log's readings."""
    by_spelling = Units(store).by_spelling
    asked = list(dict.fromkeys((r.quantity, system_of(r.unit)) for r in readings))
    return tuple(
        Measure(
            r,
            system_of(r.unit),
            asked.index((r.quantity, system_of(r.unit))),
            by_spelling[r.unit].factor,
            by_spelling[r.unit].shift,
            plausible_limits(store, r.quantity),
        )
        for r in readings
    )


def code_of(piece: Piece) -> int:
    """Return the code of a piece.

    >>> code_of(Piece(0.0, "high")), code_of(Piece(0.0, "depends", ask="thickness", settles=True))
    (2, 65)
    """
    if piece.word != "depends":
        return WORDS.index(piece.word)
    return DEPENDS + 2 * SAID_FIRST.index(piece.ask or SAID_FIRST[-1]) + piece.settles


def question(code: int) -> tuple[str, bool] | None:
    """Return the condition that a code asks for and whether that settles it; None for a word.

    >>> question(65), question(2)
    (('thickness', True), None)
    """
    place, settles = divmod(code - DEPENDS, 2)
    return (SAID_FIRST[place], bool(settles)) if 0 <= place < len(SAID_FIRST) else None


class Plain(NamedTuple):
    """A profile as numbers: a reading is low below `low` and high from `high`.

    `codes` packs a code for each span between the edges `low`, `middle` and `high`; an edge that
    is not needed is infinite. Distances are measured from `low_end` and `high_end`. `between` is
    the number of edges of `middle` that are needed. `gap` is how far outside a reading between two
    ranges can be, as a share of the nearest edge; infinite if readings are looked up.
    """

    low: float
    high: float
    low_end: float
    high_end: float
    codes: int
    middle: tuple[float, ...]
    between: int
    gap: float


MOST_BETWEEN = SPANS - 3
"""The most edges between low and high."""
LOOKED_UP = LOW + LOOK_UP * PACK + HIGH * PACK**2
"""The codes of a profile with more edges: its readings are looked up."""


def plain(profile: Profile) -> Plain:
    """Write a profile as numbers.

    >>> from weldref.core.profile import Profile
    >>> one = Profile((Piece(-math.inf, "low", above=2.0), Piece(2.0, "inside")))
    >>> found = plain(one)
    >>> found.low, found.high, [found.codes // PACK**n % PACK for n in range(2)]
    (2.0, inf, [1, 0])
    """
    runs = [
        (code, end, next(pieces).begin) for (code, end), pieces in groupby(profile.pieces, _coded)
    ]
    low, high, low_end, high_end = -math.inf, math.inf, 0.0, 0.0
    if runs[0][0] == LOW and len(runs) > 1:
        low_end, low = runs.pop(0)[1] or 0.0, runs[0][2]
    if runs[-1][0] == HIGH and len(runs) > 1:
        _, end, high = runs.pop()
        high_end = end or 0.0
    middle = [begin for _, _, begin in runs[1:]]
    between = {LOW: LOW_BETWEEN, HIGH: HIGH_BETWEEN}
    codes = [between.get(code, code) for code, _, _ in runs]
    if len(middle) > MOST_BETWEEN:
        low, high, middle, codes = -math.inf, math.inf, [], [LOOK_UP]
    packed = sum(code * PACK**place for place, code in enumerate([LOW, *codes, HIGH]))
    widths = [
        max(abs(end - begin), abs(end - beyond)) / abs(end) if end else math.inf
        for (code, end, begin), beyond in zip(runs, [*middle, high], strict=False)
        if code in between
    ]
    gap = math.inf if LOOK_UP in codes else max(widths, default=0.0)
    needed = len(middle)
    middle += [math.inf] * (MOST_BETWEEN - needed)
    return Plain(low, high, low_end, high_end, packed, tuple(middle), needed, gap)


def _coded(piece: Piece) -> tuple[int, float | None]:
    """Return the code of a piece and, if it is low or high, the edge of its distance."""
    code = code_of(piece)
    return code, {LOW: piece.above, HIGH: piece.below}.get(code)
