"""Write down the verdict of a set of rows on every value once, to judge many values by it.

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
from functools import cached_property, lru_cache, reduce
from operator import or_
from typing import NamedTuple

from weldref.core import setup
from weldref.core.bands import beyond_of, start_of
from weldref.core.cases import Settled, Word
from weldref.core.index import CONDITIONS, Band, Standing, each, index_of
from weldref.core.lookup import (
    APART,
    Fit,
    Match,
    cannot_go,
    in_order,
    match_of,
)
from weldref.core.situation import Situation, joined
from weldref.core.terms import Term
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import Evidence, Row, as_row, closest, distinct_rows
from weldref.data.store import Store
from weldref.grades import accepted_grades, weakest


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

    def held_back(self, bands: Iterable[setup.Band | None]) -> Profile:
        """Take back what would pass values that nothing may pass; a failing word stays.

        Parameters
        ----------
        bands
            Of such values, in SI; None stands for every value.
        """
        if all(piece.word not in ("inside", "depends") for piece in self.pieces):
            return self
        cuts = {piece.begin for piece in self.pieces}
        for band in bands:
            cuts |= band.edges if band else set()
        found: list[Piece] = []
        for begin in sorted(cuts):
            piece = self.at(begin)._replace(begin=begin)
            held = any(band is None or band.holds(begin) for band in bands)
            if held and piece.word in ("inside", "depends"):
                piece = Piece(begin, "no published range")
            if not found or found[-1][1:] != piece[1:]:
                found.append(piece)
        return Profile(tuple(found))


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
    return _profile(store, [Known(match) for match in matches], system, {})


@dataclass(slots=True)
class Known:
    """A match that works out once how it can speak."""

    match: Match
    kind: str = field(init=False)
    source: str = field(init=False)
    made_for: tuple[tuple[str, str], ...] = field(init=False)

    def __post_init__(self) -> None:
        match = self.match
        self.made_for = match.made_for
        limit = match.row["basis"] == "limit"
        if match.special:
            self.kind = "special"
        elif match.bounds:
            self.kind = "bounding limit" if limit else "bounding"
        else:
            self.kind = "assuming" if match.assumed else "plain"
        self.source = match.row["source_id"]


_Documents = dict[tuple[UnitSystem | None, tuple[int, ...]], Profile | None]


def _profile(
    store: Store,
    known: Sequence[Known],
    system: UnitSystem | None,
    documents: _Documents,
    *,
    distances: bool = True,
) -> Profile:
    """Ask about rows, or where each document speaks for itself, let each and compare.

    `documents` keeps what each document says, for other rows beside it; without `distances`
    nothing is kept of how far a value is from sources that differ.
    """
    kinds = {one.kind for one in known}
    said: list[Profile] = []
    if "plain" in kinds <= {"plain", "bounding"}:
        said = _each_document(store, known, system, documents)
    if not said:
        evidence = Evidence(store, in_order(one.match for one in known), system)
        return _asked(evidence, distances=distances)
    return said[0] if len(said) == 1 else _merged(said, distances=distances)


def _each_document(
    store: Store, known: Sequence[Known], system: UnitSystem | None, documents: _Documents
) -> list[Profile]:
    """Write down what each document says that decides."""
    by_source: dict[str, list[Known]] = defaultdict(list)
    for one in known:
        by_source[one.source].append(one)
    said = []
    for own in by_source.values():
        if len(own) == 1:
            span = own[0].match.span
            told = _range(span.low, span.high) if own[0].kind == "plain" else None
        else:
            key = (system, tuple(map(id, own)))
            if key not in documents:
                documents[key] = _document(store, [one.match for one in own], system)
            told = documents[key]
        if told is not None:
            said.append(told)
    return said


def _document(store: Store, matches: Sequence[Match], system: UnitSystem | None) -> Profile | None:
    """Write down what one document says under nothing unsaid; None if it only bounds."""
    deciding = Evidence(store, in_order(matches), system).deciding
    return _asked(Evidence(store, deciding, system)) if deciding else None


@lru_cache(maxsize=100_000)
def _range(low: float | None, high: float | None) -> Profile:
    """Write down what one range says (see `weldref.core.bands.compare_value`).

    >>> [(piece.word, piece.above) for piece in _range(110.0, None).pieces]
    [('low', 110.0), ('inside', None)]
    """
    pieces = [Piece(-math.inf, "inside")]
    if low is not None:
        pieces = [Piece(-math.inf, "low", above=low), Piece(start_of(low), "inside")]
    if high is not None:
        pieces.append(Piece(beyond_of(high), "high", below=high))
    return Profile(tuple(pieces))


def _merged(documents: Sequence[Profile], *, distances: bool) -> Profile:
    """Compare what documents say under nothing unsaid: one word, or they differ."""
    events = [
        (piece.begin, number, piece) for number, one in enumerate(documents) for piece in one.pieces
    ]
    events.sort()
    words: list[Word] = ["inside"] * len(documents)
    belows, aboves = [-math.inf] * len(documents), [math.inf] * len(documents)
    found: list[Piece] = []
    for (begin, number, piece), following in zip(events, [*events[1:], None], strict=True):
        words[number] = piece.word
        belows[number] = -math.inf if piece.below is None else piece.below
        aboves[number] = math.inf if piece.above is None else piece.above
        if following is None or following[0] > begin:
            word = words[0] if words.count(words[0]) == len(words) else "sources differ"
            below, above = max(belows), min(aboves)
            if word == "sources differ" and not distances:
                below, above = -math.inf, math.inf
            piece = Piece(
                begin,
                word,
                None if below == -math.inf else below,
                None if above == math.inf else above,
            )
            if not found or found[-1][1:] != piece[1:]:
                found.append(piece)
    return Profile(tuple(found))


def _asked(evidence: Evidence, *, distances: bool = True) -> Profile:
    """Ask at every edge and once between neighbouring edges; join what is equal."""
    lows, highs = _ends(evidence)
    ties = _ties(evidence)
    behind = {math.nextafter(tie, math.inf) for tie in ties}
    begins = sorted({*edges(evidence), *ties, *behind})
    found: list[Piece] = []
    for begin, end in zip([-math.inf, *begins], [*begins, math.inf], strict=True):
        # Just behind a tie a float may not tell the two distances apart.
        probe = _between(begin, end) if begin in behind or math.isinf(begin) else begin
        piece = _piece(begin, evidence.settle(probe), probe, lows, highs)
        if piece.word == "sources differ" and not distances:
            piece = Piece(begin, piece.word)
        elif piece.word == "sources differ" and begin not in ties and end < math.inf:
            # The nearest edge below was told at the begin, the nearest above is at the end.
            last = math.nextafter(end, -math.inf)
            told = _piece(begin, evidence.settle(last), last, lows, highs)
            below = piece.below if told.below is None else told.below
            above = piece.above if told.above is None else told.above
            piece = piece._replace(below=below, above=above)
        if not found or found[-1][1:] != piece[1:]:
            found.append(piece)
    return Profile(tuple(found))


def edges(evidence: Evidence) -> set[float]:
    """Return the values in SI from which on something else than the distance may change."""
    lows, highs = _ends(evidence)
    return {*map(start_of, lows), *map(beyond_of, highs)}


def _ends(evidence: Evidence) -> tuple[set[float], set[float]]:
    rows = [m.row for m in (*evidence.deciding, *evidence.general, *evidence.conditional)]
    return {row["min_si"] for row in rows} - {None}, {row["max_si"] for row in rows} - {None}


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
    asked: tuple[str, UnitSystem | None]


_Bands = frozenset[setup.Band | None]
_Key = tuple[tuple[int, ...], _Bands]


@dataclass(frozen=True, slots=True)
class Part:
    """Conditions that were stated together, and what they exclude, as bits.

    Of a thickness nothing is kept but that one was stated. `differing` are rows that are met
    otherwise than word for word, `ruled_out` rules of the set-up that hold values back.
    """

    situation: Situation
    standings: dict[str, Standing]
    contradicted: int
    differing: int
    ruled_out: int


@dataclass
class Base:
    """The rows that apply to a situation whatever its thickness, for each that is asked.

    `applying`, `banded` and `differing` hold rows as bits: all, those whose thickness is to be
    compared, and those that meet the situation otherwise than word for word; `silent` the rules of
    the set-up that do not apply. `fixed` holds for each that is asked the numbers of matches of
    the rows that are not banded. `exact` keeps the matches of rows that are met word for word,
    `others` those of other rows by how their thickness stands, `found` the states for each set of
    rows that a thickness meets.
    """

    parts: Sequence[Part]
    standings: dict[str, Standing]
    applying: int
    banded: int
    differing: int
    silent: int
    exact: dict[int, int]
    others: dict[tuple[int, int], int | None] = field(default_factory=dict)
    fixed: list[tuple[int, ...]] = field(default_factory=list)
    found: dict[tuple[int, int, int], list[int]] = field(default_factory=dict)

    @cached_property
    def situation(self) -> Situation:
        """All that was stated."""
        parts = [part.situation for part in self.parts]
        return parts[0] if len(parts) == 1 else joined(parts)

    @cached_property
    def terms(self) -> dict[str, Term]:
        """The terms that were stated."""
        return {name: term for part in self.parts for name, term in part.situation.terms.items()}

    @property
    def thick(self) -> bool:
        """Whether a thickness was stated."""
        return self.parts[-1].situation.thickness is not None


class _Unsaid(NamedTuple):
    """What follows from which conditions were stated: rows, rows and rules as bits.

    Rows that are never meant, rows that add a condition, rules of the set-up that ask for more;
    and the matches of rows that are met word for word.
    """

    never: int
    assuming: int
    asking_more: int
    exact: dict[int, int]


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
    distances
        Whether to keep how far a value is from sources that differ, which takes longer.

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
        *,
        distances: bool = True,
    ) -> None:
        self.store = store
        self.distances = distances
        self.asked = tuple(asked)
        self.states: list[State] = []
        self._accepted = accepted_grades(grade)
        self._index = index_of(store, "windows", None)
        self._places: dict[str, list[int]] = {}
        for place, (quantity, _) in enumerate(self.asked):
            self._places.setdefault(quantity, []).append(place)
        self._speaking = self._rows_that_speak()
        self._banded = self._index.stating("thickness")
        self._places_of = [self._places.get(row["quantity"], ()) for row in self._index.rows]
        self._thick: dict[float | None, tuple[Standing | None, int]] = {}
        self._unsaid: dict[tuple[str | None, tuple[str, ...], bool], _Unsaid] = {}
        self._never: dict[int, list[_Bands]] = {}
        self._numbers: dict[tuple[object, ...], int] = {}
        self._known: list[Known] = []
        self._states: list[dict[_Key, int]] = [{} for _ in self.asked]
        self._profiles: dict[tuple[UnitSystem | None, tuple[int, ...]], Profile] = {}
        self._documents: _Documents = {}
        self._rows: dict[int, Row] = {}

    @property
    def bands(self) -> set[Band]:
        """The bands of thickness that are told apart."""
        bands = self._index.values["thickness"].items()
        of_rules = (
            Band(band.low, band.high, band.low_included, band.high_included)
            for band in setup.bands_of_thickness(self.store)
        )
        return {*(band for band, rows in bands if rows & self._speaking), *of_rules}

    def part(self, situation: Situation) -> Part:
        """Work out what some of the conditions exclude, or all; a thickness comes last."""
        said = replace(situation, thickness=None) if situation.thickness else situation
        standings = self._index.standings(said)
        return Part(
            situation,
            standings,
            self._index.contradicted(said, standings),
            reduce(or_, (standing.differing for standing in standings.values()), 0),
            setup.ruled_out(self.store, said),
        )

    def base(self, *parts: Part) -> Base:
        """Choose the rows that apply, leaving open which thickness is stated, if one is."""
        applying, differing, silent = self._speaking, 0, 0
        standings: dict[str, Standing] = {}
        for part in parts:
            applying &= ~part.contradicted
            differing |= part.differing
            silent |= part.ruled_out
            standings |= part.standings
        thick = parts[-1].situation.thickness is not None
        process = next(
            (p.situation.terms["process"].name for p in parts if "process" in p.standings), ""
        )
        unsaid = self._unsaid_for(process, tuple(standings), thick)
        applying &= ~unsaid.never
        base = Base(
            parts,
            standings,
            applying,
            applying & self._banded if thick else 0,
            differing | unsaid.assuming,
            silent | unsaid.asking_more,
            unsaid.exact,
        )
        base.fixed = self._by_place(base, applying & ~base.banded, None)
        return base

    def _unsaid_for(self, process: str | None, stated: tuple[str, ...], thick: bool) -> _Unsaid:
        """Work out what follows from which conditions were stated."""
        key = process, stated, thick
        if key not in self._unsaid:
            silent = [n for n in CONDITIONS if n not in stated and not (thick and n == "thickness")]
            self._unsaid[key] = _Unsaid(
                0 if "environment" in stated else self._index.unusual,
                reduce(or_, map(self._index.stating, silent), 0),
                setup.asking_more(self.store, stated),
                {},
            )
        return self._unsaid[key]

    def _never_for(self, silent: int, thickness: float | None) -> list[_Bands]:
        """List for each that is asked the values that nothing passes at a thickness.

        `silent` are the rules of the set-up that do not apply.
        """
        found = self._never.get(silent)
        if found is None:
            held = setup.among(self.store, silent)
            found = self._never[silent] = [
                frozenset(one.value for one in held if one.holds(quantity, thickness))
                for quantity, _ in self.asked
            ]
        return found

    def of(self, base: Base, thickness: float | None = None) -> list[int]:
        """Return the number of the state for each that is asked, at a thickness in metres.

        A thickness is given where the situation of the base states one, and only there.
        """
        standing, not_at = self._at(thickness)
        met = differing = 0
        if standing is not None:
            met = base.banded & ~standing.contradicting
            differing = met & standing.differing
        key = met, differing, not_at
        if key not in base.found:
            never = self._never_for(base.silent | not_at, thickness)
            listed = base.fixed
            if standing is not None and met:
                banded = self._by_place(base, met, standing)
                listed = [(*fixed, *others) for fixed, others in zip(listed, banded, strict=True)]
            every = zip(listed, never, strict=True)
            base.found[key] = [self._state_of(place, *one) for place, one in enumerate(every)]
        return base.found[key]

    def _state_of(self, place: int, numbers: tuple[int, ...], never: _Bands) -> int:
        """Return the number of the state of some matches."""
        states = self._states[place]
        state = states.get((numbers, never))
        if state is None:
            state = states[numbers, never] = len(self.states)
            self.states.append(self._state(place, numbers, never))
        return state

    def profile(self, situation: Situation) -> Profile:
        """Return what is published for the first that is asked."""
        thickness = situation.thickness.si if situation.thickness else None
        return self.states[self.of(self.base(self.part(situation)), thickness)[0]].profile

    def rests_on(self, state: State) -> tuple[tuple[str, ...], str | None]:
        """Return the rows that an answer rests on, and the weakest of their grades.

        They are those that decide, else those under a condition or the general ones, else
        recalled ones, as `weldref.core.verdict.judge` tells them.
        """
        for known in (state.printed, state.recalled):
            number = {id(one.match): one for one in known}
            evidence = Evidence(self.store, in_order(one.match for one in known), state.asked[1])
            others = (evidence.conditional or evidence.general) if known is state.printed else ()
            resting = [number[id(match)] for match in evidence.deciding or others]
            if resting:
                rows = distinct_rows(self._row(one) for one in resting)
                grades = [row.how_read for row in rows]
                return tuple(row.window_id for row in rows), weakest(grades)
        return (), None

    def fit(self, state: State) -> Fit | None:
        """Return the closest fit among the rows that decide and the general ones, as `judge` does.

        None where there are none.
        """
        matches = in_order(one.match for one in state.printed)
        evidence = Evidence(self.store, matches, state.asked[1])
        return closest(match.fit for match in (*evidence.deciding, *evidence.general))

    def _rows_that_speak(self) -> int:
        """Return the rows of what is asked that are ranges and give verdicts, as bits."""
        speaking = bytearray(len(self._index.rows) // 8 + 1)
        for number, row in enumerate(self._index.rows):
            if row["quantity"] in self._places:
                match = Match(row, {}, (), row["how_read"])
                if match.is_range and match.gives_verdict:
                    speaking[number // 8] |= 1 << number % 8
        return int.from_bytes(speaking, "little")

    def _by_place(self, base: Base, rows: int, thickness: Standing | None) -> list[tuple[int, ...]]:
        """Return for each that is asked the numbers of the rows' matches."""
        found: list[list[int]] = [[] for _ in self.asked]
        differing = rows & (base.differing | (thickness.differing if thickness else 0))
        exact = base.exact
        for row in each(rows & ~differing):
            match = exact.get(row)
            if match is None:
                match = exact[row] = self._number(row, base, thickness)
            for place in self._places_of[row]:
                found[place].append(match)
        for row in each(differing):
            code = thickness.codes[self._index.states[row]["thickness"]] if thickness else 0
            if (row, code) not in base.others:
                base.others[row, code] = self._matching(row, base, thickness)
            other = base.others[row, code]
            if other is not None:
                for place in self._places_of[row]:
                    found[place].append(other)
        return [tuple(numbers) for numbers in found]

    def _at(self, thickness: float | None) -> tuple[Standing | None, int]:
        """Return how rows stand to a thickness in metres, and the rules that are for others."""
        found = self._thick.get(thickness)
        if found is None:
            standing = None
            if thickness is not None:
                stated = Situation(thickness=Value(thickness, "m", thickness, f"{thickness:g} m"))
                standing = self._index.standings(stated)["thickness"]
            found = standing, setup.not_at(self.store, thickness)
            if len(self._thick) < MOST_THICKNESSES:
                self._thick[thickness] = found
        return found

    def _matching(self, row: int, base: Base, thickness: Standing | None) -> int | None:
        """Return the number of a row's match; None if it cannot go with the situation."""
        number = self._number(row, base, thickness)
        made_for = self._known[number].made_for
        if made_for and cannot_go(self.store, base.situation, made_for):
            return None
        return number

    def _number(self, number: int, base: Base, thickness: Standing | None) -> int:
        """Return the number of a row's match: one for all situations that it fits alike."""
        standings = base.standings | {"thickness": thickness} if thickness else base.standings
        row, codes = self._index.rows[number], self._index.codes(number, standings)
        process, material = base.terms.get("process"), base.terms.get("material")
        key = (
            number,
            tuple(codes.values()),
            process and process.name,
            base.thick,
            tuple(base.standings),
            material and material.membership.get(row["material"]),
            material and material.name if row["quantity"] in APART else None,
        )
        if key not in self._numbers:
            self._numbers[key] = len(self._known)
            match = match_of(self._index, number, standings, base.situation)
            self._known.append(Known(match))
        return self._numbers[key]

    def _state(
        self, place: int, numbers: tuple[int, ...], never: frozenset[setup.Band | None]
    ) -> State:
        known = [(n, one) for n in numbers if (one := self._known[n]).match.grade in self._accepted]
        recalled = tuple(one for _, one in known if one.match.grade == "memory")
        printed = [(n, one) for n, one in known if one.match.grade != "memory"]
        system = self.asked[place][1]
        key = (system, tuple(n for n, _ in printed))
        if key not in self._profiles:
            rows = [one for _, one in printed]
            self._profiles[key] = _profile(
                self.store, rows, system, self._documents, distances=self.distances
            )
        found = self._profiles[key]
        if never:
            found = found.held_back(never)
        return State(found, tuple(one for _, one in printed), recalled, self.asked[place])

    def _row(self, known: Known) -> Row:
        if id(known) not in self._rows:
            self._rows[id(known)] = as_row(Units(self.store), known.match, None)
        return self._rows[id(known)]


MOST_THICKNESSES = 10_000
"""Thicknesses of which is kept how they stand to every band."""
