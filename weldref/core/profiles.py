"""Share profiles among many situations: those that the same rows fit alike have the same one.

The conditions of a situation are compared with all rows as sets of bits, each condition once, and
its thickness last: a log has many thicknesses for each combination of the other conditions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, reduce
from operator import or_
from typing import NamedTuple

from weldref.core import setup
from weldref.core.bands import Band
from weldref.core.index import CONDITIONS, Standing, each, index_of
from weldref.core.lookup import APART, Fit, Match, cannot_go, in_order, match_of
from weldref.core.profile import Documents, Known, Profile, profile_of
from weldref.core.rows import Row, as_row, distinct_rows
from weldref.core.situation import Situation, joined
from weldref.core.terms import Term
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import Evidence, closest
from weldref.data.store import Store
from weldref.grades import accepted_grades, weakest

MOST_THICKNESSES = 10_000
"""Thicknesses for which it is kept how they compare with every band."""


@dataclass(frozen=True, slots=True)
class State:
    """The rows of one quantity as they fit some situations, with their profile.

    Recalled rows pass and fail nothing and are not in the profile. `asked` are the quantity and the
    unit system of its values.
    """

    profile: Profile
    printed: tuple[Known, ...]
    recalled: tuple[Known, ...]
    asked: tuple[str, UnitSystem | None]


_Bands = frozenset[Band | None]
"""The bands of values that nothing passes; None means every value."""


@dataclass(frozen=True, slots=True)
class Part:
    """Some stated conditions and what they exclude, as bits.

    Of a thickness only that one was stated is kept. `contradicted` are the rows that contradict
    the conditions, `differing` those that match them but not word for word, `ruled_out` the set-up
    rules that they rule out.
    """

    situation: Situation
    standings: dict[str, Standing]
    contradicted: int
    differing: int
    ruled_out: int


@dataclass
class Base:
    """The rows that apply to a situation whatever its thickness.

    As bits: `applying` are these rows, `banded` those whose thickness is still to be compared,
    `differing` those that match the situation but not word for word, `silent` the set-up rules
    that do not apply. As numbers of matches: `exact` are those of the rows that match word for
    word, `others` those of other rows by the code of their thickness, `fixed` those of the rows
    that are not banded, for each quantity that is asked. `found` are the states for each set of
    rows that match a thickness.
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
    """What follows from which conditions were stated, whatever their values, as bits.

    `never` are the rows for special surroundings, `assuming` the rows that add a condition,
    `asking_more` the set-up rules that ask for more; `exact` is that of `Base`.
    """

    never: int
    assuming: int
    asking_more: int
    exact: dict[int, int]


class Profiles:
    """What is published for many situations; the profile of the same rows is worked out once.

    Parameters
    ----------
    store
        The open store.
    asked
        Stored names of quantities, each with the unit system of its values.
    grade
        The lowest evidence grade to accept.
    distances
        Whether to keep distances where sources differ, which takes longer.

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
        self._judging = self._judging_rows()
        self._banded = self._index.stating("thickness")
        self._places_of = [self._places.get(row["quantity"], ()) for row in self._index.rows]
        self._thick: dict[float | None, tuple[Standing | None, int]] = {}
        self._unsaid: dict[tuple[str | None, tuple[str, ...], bool], _Unsaid] = {}
        self._never: dict[int, list[_Bands]] = {}
        self._numbers: dict[tuple[object, ...], int] = {}
        self._known: list[Known] = []
        self._states: list[dict[tuple[tuple[int, ...], _Bands], int]] = [{} for _ in self.asked]
        self._profiles: dict[tuple[UnitSystem | None, tuple[int, ...]], Profile] = {}
        self._documents: Documents = {}
        self._rows: dict[int, Row] = {}

    @property
    def bands(self) -> set[Band]:
        """The bands of thickness that rows or set-up rules tell apart."""
        bands = self._index.values["thickness"].items()
        of_rows = (band for band, rows in bands if rows & self._judging)
        return {*of_rows, *setup.bands_of_thickness(self.store)}

    def part(self, situation: Situation) -> Part:
        """Work out what some or all of the conditions exclude; a thickness comes last."""
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
        """Choose the rows that apply, whatever the thickness, if one is stated."""
        applying, differing, silent = self._judging, 0, 0
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
        """Work out once what follows from which conditions were stated."""
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
        """Return for each quantity the values that nothing passes at a thickness.

        `silent` are the set-up rules that do not apply.
        """
        if silent not in self._never:
            rules = setup.among(self.store, silent)
            self._never[silent] = [
                frozenset(rule.value for rule in rules if rule.holds_at(quantity, thickness))
                for quantity, _ in self.asked
            ]
        return self._never[silent]

    def of(self, base: Base, thickness: float | None = None) -> list[int]:
        """Return the number of the state of each quantity, at a thickness in metres.

        A thickness is given if and only if the situation of the base states one.
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
            every = enumerate(zip(listed, never, strict=True))
            base.found[key] = [self._state_of(place, *one) for place, one in every]
        return base.found[key]

    def _state_of(self, place: int, numbers: tuple[int, ...], never: _Bands) -> int:
        """Return the number of the state of some matches, made once."""
        states = self._states[place]
        state = states.get((numbers, never))
        if state is None:
            state = states[numbers, never] = len(self.states)
            self.states.append(self._state(place, numbers, never))
        return state

    def profile(self, situation: Situation) -> Profile:
        """Return the profile of the first quantity that is asked."""
        thickness = situation.thickness.si if situation.thickness else None
        return self.states[self.of(self.base(self.part(situation)), thickness)[0]].profile

    def rests_on(self, state: State) -> tuple[tuple[str, ...], str | None]:
        """Return the rows on which an answer rests, and the weakest of their grades.

        As in `weldref.core.verdict.judge`, they are the rows that decide, else those under a
        special condition, else the general ones, else recalled ones that would decide.
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
        """Return the closest fit of an answer's rows, as `judge` does; None without rows."""
        matches = in_order(one.match for one in state.printed)
        evidence = Evidence(self.store, matches, state.asked[1])
        return closest(match.fit for match in (*evidence.deciding, *evidence.general))

    def _judging_rows(self) -> int:
        """Return as bits the rows of the quantities that are ranges and give verdicts."""
        judging = bytearray(len(self._index.rows) // 8 + 1)
        for number, row in enumerate(self._index.rows):
            if row["quantity"] in self._places:
                match = Match(row, {}, (), row["how_read"])
                if match.is_range and match.gives_verdict:
                    judging[number // 8] |= 1 << number % 8
        return int.from_bytes(judging, "little")

    def _by_place(self, base: Base, rows: int, thickness: Standing | None) -> list[tuple[int, ...]]:
        """Return for each quantity the numbers of the matches of some rows."""
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
        """Compare rows with a thickness in metres, and list the rules for other thicknesses."""
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
        """Return the number of a row's match, the same for all situations that it fits alike."""
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

    def _state(self, place: int, numbers: tuple[int, ...], never: _Bands) -> State:
        known = [(n, one) for n in numbers if (one := self._known[n]).match.grade in self._accepted]
        recalled = tuple(one for _, one in known if one.recalled)
        printed = tuple(one for _, one in known if not one.recalled)
        key = tuple(n for n, one in known if not one.recalled)
        system = self.asked[place][1]
        if (system, key) not in self._profiles:
            self._profiles[system, key] = profile_of(
                self.store, printed, system, self._documents, distances=self.distances
            )
        found = self._profiles[system, key]
        if never:
            found = found.held_back(never)
        return State(found, printed, recalled, self.asked[place])

    def _row(self, known: Known) -> Row:
        if id(known) not in self._rows:
            self._rows[id(known)] = as_row(Units(self.store), known.match, None)
        return self._rows[id(known)]
