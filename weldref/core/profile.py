"""What is the verdict on every value? The answer of rows written down once, for many values.

Between two neighbouring edges of rows nothing about a verdict changes but the distance. So
`Evidence.settle` is asked once for each such piece of the value axis, and every further value is
only looked up. Situations that the same rows fit in the same way share one profile.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from weldref.core.bands import SLACK
from weldref.core.cases import Settled, Word
from weldref.core.index import CONTRADICTS, Band, Standing, each, index_of
from weldref.core.lookup import (
    APART,
    GRADES,
    Fit,
    Match,
    accepted_grades,
    cannot_go,
    in_order,
    match_of,
)
from weldref.core.situation import Situation
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import Evidence, Row, as_row, closest, distinct_rows
from weldref.data.store import Store


class Piece(NamedTuple):
    """From `begin` (SI) up to the next piece: the word, and the edges it is measured from.

    The value is above the edge `below` or under the edge `above`; of two the nearer counts. Where
    the word is "depends", `ask` is the condition to ask for first, and `settles` tells whether
    every answer then has a word.
    """

    begin: float
    word: Word
    below: float | None = None
    above: float | None = None
    ask: str = ""
    settles: bool = False

    def by(self, si: float) -> float | None:
        """Return how far outside a value is, as `Evidence.settle` says it."""
        if self.below is not None:
            low = math.inf if self.above is None else self.above - si
            return min(si - self.below, low)
        if self.above is not None:
            return self.above - si
        return 0.0 if self.word == "inside" else None


@dataclass(frozen=True, slots=True)
class Profile:
    """A verdict against the value: pieces from minus to plus infinity, in order."""

    pieces: tuple[Piece, ...]

    def at(self, si: float) -> Piece:
        """Return the piece that holds a value in SI."""
        return self.pieces[bisect_right(self.pieces, si, key=_begin) - 1]

    def settle(self, si: float) -> tuple[Word, float | None]:
        """Return the word for a value in SI and how far outside it is."""
        piece = self.at(si)
        return piece.word, piece.by(si)


def _begin(piece: Piece) -> float:
    return piece.begin


def profile(store: Store, matches: Sequence[Match], system: UnitSystem | None) -> Profile:
    """Say what rows answer to every value.

    Parameters
    ----------
    store, matches, system
        As `weldref.core.verdict.Evidence` takes them: ranges of one quantity and one kind.

    Examples
    --------
    >>> from weldref.core.lookup import find
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> situation = describe(store, process="SMAW", electrode="E7018", diameter="1/8")
    >>> rows = [m for m in find(store, situation, "current", "read") if m.gives_verdict]
    >>> profile(store, [m for m in rows if m.is_range], "us").settle(250.0)
    ('high', 90.0)
    """
    return _profile(store, [Known(match) for match in matches], system)


@dataclass(slots=True)
class Known:
    """A match that works out once how it can speak."""

    match: Match
    kind: str = field(init=False)
    source: str = field(init=False)

    def __post_init__(self) -> None:
        match = self.match
        limit = match.row["basis"] == "limit"
        if match.special:
            self.kind = "special"
        elif match.bounds:
            self.kind = "bounding limit" if limit else "bounding"
        else:
            self.kind = "assuming" if match.assumed else "plain"
        self.source = match.row["source_id"]


def _profile(store: Store, known: Sequence[Known], system: UnitSystem | None) -> Profile:
    kinds = {one.kind for one in known}
    if "plain" in kinds <= {"plain", "bounding"}:
        sources = {one.source for one in known}
        if len(sources) == len(known):
            return _one_range_each([one.match for one in known if one.kind == "plain"])
    matches = in_order(one.match for one in known)
    return _asked(Evidence(store, matches, system))


def _one_range_each(matches: Sequence[Match]) -> Profile:
    """Write down what documents say of which each has one range, under nothing unsaid.

    This is what `Evidence.settle` answers in the commonest case, without asking it.
    """
    edges = []
    for match in matches:
        low, high = match.row["min_si"], match.row["max_si"]
        if low is not None:
            edges.append((_from(low), False, low))
        if high is not None:
            edges.append((_beyond(high), True, high))
    edges.sort()
    lows = [low for _, is_high, low in edges if not is_high]
    documents, left, passed = len(matches), len(lows), 0
    below: float | None = None
    begin = -math.inf
    found: list[Piece] = []
    for following, is_high, edge in (*edges, (math.inf, False, 0.0)):
        if following > begin:
            word: Word = "sources differ"
            if not left and not passed:
                word = "inside"
            elif left == documents:
                word = "low"
            elif passed == documents:
                word = "high"
            found.append(Piece(begin, word, below, lows[-left] if left else None))
            begin = following
        if is_high:
            below, passed = edge, passed + 1
        else:
            left -= 1
    return Profile(tuple(found))


def _from(low: float) -> float:
    """The first value that is not low (see `weldref.core.cases.compare_value`)."""
    return low - SLACK * abs(low)


def _beyond(high: float) -> float:
    """The first value that is high."""
    return math.nextafter(high + SLACK * abs(high), math.inf)


def _asked(evidence: Evidence) -> Profile:
    """Ask at every edge and once between neighbouring edges; join what is equal."""
    rows = [m.row for m in (*evidence.deciding, *evidence.general, *evidence.conditional)]
    lows = {row["min_si"] for row in rows} - {None}
    highs = {row["max_si"] for row in rows} - {None}
    ties = _ties(evidence)
    begins = sorted(
        {_from(low) for low in lows}
        | {_beyond(high) for high in highs}
        | ties
        | {math.nextafter(tie, math.inf) for tie in ties}
    )
    found: list[Piece] = []
    for begin, end in zip([-math.inf, *begins], [*begins, math.inf], strict=True):
        probe = begin if begin in ties else _between(begin, end)
        piece = _piece(begin, evidence.settle(probe), probe, lows, highs)
        if piece.word == "sources differ":
            # The nearest edge below is told at the begin, the nearest above at the end.
            ends = (begin, math.nextafter(end, -math.inf))
            for at in (probe if math.isinf(one) else one for one in ends):
                told = _piece(begin, evidence.settle(at), at, lows, highs)
                below = piece.below if told.below is None else told.below
                above = piece.above if told.above is None else told.above
                piece = piece._replace(below=below, above=above)
        if not found or found[-1][1:] != piece[1:]:
            found.append(piece)
    return Profile(tuple(found))


def _ties(evidence: Evidence) -> set[float]:
    """List the values half-way between ranges of which the nearer or the farther one speaks."""
    groups: dict[tuple[str, bool], list[Match]] = defaultdict(list)
    for match in (*evidence.deciding, *evidence.conditional):
        groups[match.row["source_id"], match.row["basis"] == "limit"].append(match)
    groups["", True] = [m for m in evidence.general if m.row["basis"] == "limit"]
    return {
        (one.row["min_si"] + other.row["max_si"]) / 2
        for group in groups.values()
        for one in group
        for other in group
        if one.row["min_si"] is not None
        and other.row["max_si"] is not None
        and other.row["max_si"] < one.row["min_si"]
    }


def _between(begin: float, end: float) -> float:
    if math.isinf(begin):
        return 0.0 if math.isinf(end) else end - 1 - abs(end)
    return begin + 1 + abs(begin) if math.isinf(end) else begin + (end - begin) / 2


def _piece(
    begin: float, settled: Settled, si: float, lows: Iterable[float], highs: Iterable[float]
) -> Piece:
    ask = settled.ask
    if ask is not None:
        words = {answer.verdict for answer in (*ask.answers, ask.other)}
        return Piece(begin, settled.word, ask=ask.condition, settles="depends" not in words)
    if not settled.by:
        return Piece(begin, settled.word)
    below = next((high for high in highs if si - high == settled.by), None)
    above = next((low for low in lows if low - si == settled.by), None)
    return Piece(begin, settled.word, below, above)


@dataclass(frozen=True, slots=True)
class State:
    """Rows of one quantity as they fit some situations: what they say, and which they are.

    Recalled rows pass and fail nothing and have no part in the profile.
    """

    profile: Profile
    printed: tuple[Known, ...]
    recalled: tuple[Known, ...]
    system: UnitSystem | None


@dataclass(frozen=True, slots=True)
class Base:
    """The rows that apply to a situation whatever its thickness, for each that is asked.

    `fixed` holds the numbers of matches without a band of thickness, `banded` each other row and
    its band, `applying` all of them as bits. `met` keeps the matches of rows with a band.
    """

    situation: Situation
    standings: dict[str, Standing]
    fixed: tuple[tuple[int, ...], ...]
    banded: tuple[tuple[tuple[int, Band], ...], ...]
    applying: int
    met: dict[tuple[int, int], int] = field(default_factory=dict)


class Profiles:
    """What is published for many situations; what the same rows answer is asked once.

    Parameters
    ----------
    store
        The open store.
    asked
        Stored names of quantities, each with the unit system of its values.
    grade
        The lowest evidence grade to accept.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> profiles = Profiles(store, [("current", None)])
    >>> situation = describe(store, process="SMAW", electrode="E7018", diameter="1/8")
    >>> profiles.profile(situation).settle(250.0)
    ('high', 90.0)
    """

    def __init__(
        self,
        store: Store,
        asked: Sequence[tuple[str, UnitSystem | None]],
        grade: str = "memory",
    ) -> None:
        self.store = store
        self.asked = tuple(asked)
        self.states: list[State] = []
        self._accepted = accepted_grades(grade)
        self._index = index_of(store, "windows", None)
        self._speaking = self._rows_that_speak()
        self._bands: dict[float, Standing] = {}
        self._numbers: dict[tuple[object, ...], int] = {}
        self._known: list[Known] = []
        self._state_of: dict[tuple[int, tuple[int, ...]], int] = {}
        self._profiles: dict[tuple[UnitSystem | None, tuple[int, ...]], Profile] = {}
        self._rows: dict[int, Row] = {}

    @property
    def bands(self) -> set[Band]:
        """The bands of thickness that the rows state."""
        speaking = 0
        for rows in self._speaking:
            speaking |= rows
        bands = self._index.values["thickness"].items()
        return {band for band, rows in bands if rows & speaking}

    def base(self, situation: Situation) -> Base:
        """Choose the rows that apply, leaving open which thickness is stated, if one is."""
        standings = self._index.standings(replace(situation, thickness=None))
        bits = self._index.applying(situation, standings)
        fixed: list[tuple[int, ...]] = []
        banded: list[tuple[tuple[int, Band], ...]] = []
        applying = 0
        for speaking in self._speaking:
            rows, apart = [], []
            for n in each(bits & speaking):
                codes = self._index.codes(n, standings)
                if cannot_go(self.store, situation, self._index.rows[n], codes):
                    continue
                applying |= 1 << n
                band = self._index.states[n].get("thickness")
                if band and situation.thickness:
                    apart.append((n, band))
                else:
                    rows.append(self._number(n, codes, standings, situation))
            banded.append(tuple(apart))
            fixed.append(tuple(rows))
        return Base(situation, standings, tuple(fixed), tuple(banded), applying)

    def of(self, base: Base, thickness: float | None = None) -> list[int]:
        """Return the number of the state for each that is asked, at a thickness in metres.

        A thickness is given where the situation of the base states one, and only there.
        """
        found = []
        for place, (fixed, banded) in enumerate(zip(base.fixed, base.banded, strict=True)):
            key = (place, (*fixed, *self._at_thickness(base, banded, thickness)))
            if key not in self._state_of:
                self._state_of[key] = len(self.states)
                self.states.append(self._state(*key))
            found.append(self._state_of[key])
        return found

    def profile(self, situation: Situation) -> Profile:
        """Return what is published for the first that is asked."""
        thickness = situation.thickness.si if situation.thickness else None
        return self.states[self.of(self.base(situation), thickness)[0]].profile

    def rests_on(self, state: State) -> tuple[tuple[str, ...], str | None]:
        """Return the rows that an answer rests on, and the weakest of their grades.

        They are those that decide, else the general ones, else recalled ones, as
        `weldref.core.verdict.judge` tells them.
        """
        for known in (state.printed, state.recalled):
            number = {id(one.match): one for one in known}
            evidence = Evidence(self.store, in_order(one.match for one in known), state.system)
            general = evidence.general if known is state.printed else ()
            resting = [number[id(match)] for match in evidence.deciding or general]
            if resting:
                rows = distinct_rows(self._row(one) for one in resting)
                grades = [row.how_read for row in rows]
                return tuple(row.window_id for row in rows), max(grades, key=GRADES.index)
        return (), None

    def fit(self, state: State) -> Fit | None:
        """Return the closest fit among the rows that decide and the general ones, as `judge` does.

        None where there are none.
        """
        matches = in_order(one.match for one in state.printed)
        evidence = Evidence(self.store, matches, state.system)
        return closest(match.fit for match in (*evidence.deciding, *evidence.general))

    def _rows_that_speak(self) -> list[int]:
        """Return for each that is asked the rows that are ranges and give verdicts, as bits."""
        by_quantity: dict[str, int] = defaultdict(int)
        for number, row in enumerate(self._index.rows):
            match = Match(row, {}, (), row["how_read"])
            if match.is_range and match.gives_verdict:
                by_quantity[row["quantity"]] |= 1 << number
        return [by_quantity[quantity] for quantity, _ in self.asked]

    def _at_thickness(
        self, base: Base, banded: Sequence[tuple[int, Band]], thickness: float | None
    ) -> list[int]:
        if not banded or thickness is None:
            return []
        standing = self._bands.get(thickness)
        if standing is None:
            stated = Situation(thickness=Value(thickness, "m", thickness, f"{thickness:g} m"))
            standing = self._index.standings(stated)["thickness"]
            if len(self._bands) < MOST_THICKNESSES:
                self._bands[thickness] = standing
        found = []
        for number, band in banded:
            code = standing.codes[band]
            if code == CONTRADICTS:
                continue
            if (number, code) not in base.met:
                standings = base.standings | {"thickness": standing}
                codes = self._index.codes(number, standings)
                base.met[number, code] = self._number(number, codes, standings, base.situation)
            found.append(base.met[number, code])
        return found

    def _number(
        self,
        number: int,
        codes: dict[str, int],
        standings: dict[str, Standing],
        situation: Situation,
    ) -> int:
        """Return the number of a row's match: one for all situations that it fits alike."""
        row = self._index.rows[number]
        process, material = situation.terms.get("process"), situation.terms.get("material")
        key = (
            number,
            tuple(codes.values()),
            process and process.name,
            situation.stated,
            material and material.membership.get(row["material"]),
            material and material.name if row["quantity"] in APART else None,
        )
        if key not in self._numbers:
            self._numbers[key] = len(self._known)
            self._known.append(Known(match_of(self._index, number, standings, situation)))
        return self._numbers[key]

    def _state(self, place: int, numbers: tuple[int, ...]) -> State:
        known = [(n, one) for n in numbers if (one := self._known[n]).match.grade in self._accepted]
        recalled = tuple(one for _, one in known if one.match.grade == "memory")
        printed = [(n, one) for n, one in known if one.match.grade != "memory"]
        system = self.asked[place][1]
        key = (system, tuple(n for n, _ in printed))
        if key not in self._profiles:
            self._profiles[key] = _profile(self.store, [one for _, one in printed], system)
        return State(self._profiles[key], tuple(one for _, one in printed), recalled, system)

    def _row(self, known: Known) -> Row:
        if id(known) not in self._rows:
            self._rows[id(known)] = as_row(Units(self.store), known.match, None)
        return self._rows[id(known)]


MOST_THICKNESSES = 10_000
"""Thicknesses of which is kept how they stand to every band."""
