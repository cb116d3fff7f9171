"""Judge one value by the published rows that apply.

- Only a row that says what one may set gives a verdict; what somebody once did is "also seen".
- Only a row that fits can pass a value. A row that ignores a stated condition on which the quantity
  depends, and one side of a machine setting, can only fail it.
- Within one document the most specific statement counts, and the table in the user's units.
- An answer that turns on something unsaid is "depends", with the question; "sources differ" is
  said only where documents disagree within one and the same case. Nothing is averaged.
- A row under a special condition (a technique, one specification) never decides alone.
- Rows recalled from memory never pass or fail anything: the verdict stays "no published range".
- Own rows of a shop or school are judged separately and change no verdict, unless they are asked
  for instead of the published ones.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from weldref.core.bands import Ends
from weldref.core.cases import (
    Answer,
    Ask,
    Case,
    Cases,
    Ranges,
    Settled,
    Word,
    depends,
    ids_of,
    most_specific,
)
from weldref.core.lookup import FITS, Fit, Match, find, judging
from weldref.core.nearest import neighbours
from weldref.core.rows import Near, Row, as_row, distinct_rows, near_rows, show_rows
from weldref.core.situation import Situation
from weldref.core.units import Units, UnitSystem, Value, tidy
from weldref.data.store import Store
from weldref.grades import GRADES

__all__ = [
    "Answer",
    "Ask",
    "Case",
    "Judgement",
    "Near",
    "Reading",
    "Row",
    "Word",
    "as_row",
    "judge",
    "near_rows",
    "show_rows",
]


@dataclass(frozen=True, slots=True)
class Judgement:
    """What one set of rows says of a value: the word, how far outside, the question, the rows.

    `rows` are those that decide or, where none does, those that could; `general` are those that
    can only fail the value, `conditional` those under a special condition that was not stated.
    `one_sided` is "min" or "max" where only that end is published.
    """

    verdict: Word
    by: float | None
    rows: tuple[Row, ...]
    ask: Ask | None = None
    cases: tuple[Case, ...] = ()
    general: tuple[Row, ...] = ()
    conditional: tuple[Row, ...] = ()
    one_sided: str = ""

    @property
    def fit(self) -> Fit | None:
        """The closest fit among the rows; None without rows."""
        return closest(row.fit for row in (*self.rows, *self.general))


def closest(fits: Iterable[Fit]) -> Fit | None:
    """Return the closest of several fits; None without any.

    >>> closest(["broad", "near"])
    'near'
    """
    return max(fits, key=FITS.index, default=None)


@dataclass(frozen=True, slots=True)
class Reading:
    """The verdict on one proposed value.

    `by` is the distance to the nearest published range in the value's own unit (0 inside, None
    without a range). `fit` is the closest fit among the rows on which the verdict rests. `ask` is
    the question where the verdict is "depends", `cases` all its answers in full. `general` are
    rows too broad to pass a value, `conditional` rows under a condition that was not stated,
    `neighbours` the nearest rows where nothing fits.
    `grade` is the weakest grade among the rows on which the verdict rests, `strongest_grade` the
    strongest. `from_memory` is what recalled rows say of the value, `from_own` what own rows say
    beside the published ones; neither changes the verdict. With `own`, own rows were judged
    instead, and the verdict is theirs. `held_back` names the set-up rules because of which a value
    that would pass got no verdict.
    """

    quantity: str
    value: float
    unit: str
    verdict: Word
    by: float | None
    fit: Fit | None
    ask: Ask | None
    cases: tuple[Case, ...]
    grade: str | None
    strongest_grade: str | None
    rows: tuple[Row, ...]
    general: tuple[Row, ...]
    conditional: tuple[Row, ...]
    one_sided: str
    from_memory: Judgement | None
    single_settings: tuple[Row, ...]
    also_seen: tuple[Row, ...]
    neighbours: tuple[Near, ...]
    from_own: Judgement | None = None
    own: bool = False
    held_back: tuple[str, ...] = ()

    @property
    def nothing_passes(self) -> bool:
        """Whether a set-up rule keeps what printed or recalled rows would pass from passing."""
        recalled = self.from_memory
        emptied = recalled and recalled.rows and recalled.verdict == "no published range"
        return self.verdict == "no published range" and bool(self.held_back or emptied)


def judge(
    store: Store,
    situation: Situation,
    quantity: str,
    value: Value,
    grade: str = "memory",
    matches: Sequence[Match] | None = None,
) -> Reading:
    """Compare one value with every published row that applies.

    Parameters
    ----------
    store, situation
        The open store and the resolved question.
    quantity, value
        Stored name of the quantity and the proposed value.
    grade
        The lowest evidence grade to accept.
    matches
        The rows of the quantity that apply, if the caller already has them.
    """
    if matches is None:
        matches = find(store, situation, quantity, grade)
    units = Units(store)
    printed, recalled = judging(matches)
    judgement = _judged(store, printed, value)
    from_memory = _judged(store, recalled, value) if recalled else None
    if from_memory and _says_nothing(from_memory):
        from_memory = None
    deciding = judgement.rows or judgement.conditional or judgement.general
    grades = [row.how_read for row in (deciding or (from_memory.rows if from_memory else ()))]
    # A row that ignores the stated plate or metal is not an example for it.
    singles = [m for m in matches if m.gives_verdict and not m.is_range and not m.ignores]
    aside = [m for m in matches if not m.gives_verdict and not m.ignores]
    near = (
        neighbours(store, situation, quantity, grade)
        if judgement.verdict == "no published range"
        else []
    )
    return Reading(
        quantity=quantity,
        value=value.number,
        unit=value.unit,
        verdict=judgement.verdict,
        by=judgement.by,
        fit=judgement.fit,
        ask=judgement.ask,
        cases=judgement.cases,
        grade=max(grades, key=GRADES.index, default=None),
        strongest_grade=min(grades, key=GRADES.index, default=None),
        rows=judgement.rows,
        general=judgement.general,
        conditional=judgement.conditional,
        one_sided=judgement.one_sided,
        from_memory=from_memory,
        single_settings=distinct_rows(as_row(units, m, value) for m in singles),
        also_seen=distinct_rows(as_row(units, m, value) for m in aside),
        neighbours=near_rows(store, near, situation),
        from_own=_from_own(store, situation, quantity, value, grade) if store.beside else None,
        own=store.instead,
    )


def _judged(store: Store, matches: Sequence[Match], value: Value) -> Judgement:
    return Evidence(store, matches, system_of(value.unit)).judge(value)


def _says_nothing(recalled: Judgement) -> bool:
    """Tell whether only differing ranges are recalled that name no plate or no metal.

    Such are the capacities of tungstens, from 5 to 1000 A: none of them is a setting.
    """
    return (
        recalled.verdict == "no published range"
        and not recalled.rows
        and not recalled.conditional
        and len({(row.min, row.max) for row in recalled.general}) > 1
    )


def _from_own(
    store: Store, situation: Situation, quantity: str, value: Value, grade: str
) -> Judgement | None:
    """Judge own rows separately from published ones; None if none applies.

    The rows of the answer are those that were judged, then single settings and what was also seen.
    """
    units, matches = Units(store), find(store, situation, quantity, grade, own=True)
    if not matches:
        return None
    printed, recalled = judging(matches)
    asked = printed or recalled
    others = distinct_rows(as_row(units, match, value) for match in matches if match not in asked)
    judged = _judged(store, asked, value)
    return replace(judged, rows=(*judged.rows, *others))


class Evidence:
    """Rows of one quantity and of one kind (printed, recalled or own), asked about many values.

    `deciding` are the rows that can pass and fail a value, `general` those that can only fail it,
    `conditional` those under a special condition that was not stated.

    Parameters
    ----------
    store
        The open store.
    matches
        Ranges that apply and give verdicts.
    system
        The reader's unit system: of a table printed in both systems, that version is used.
    """

    def __init__(self, store: Store, matches: Sequence[Match], system: UnitSystem | None) -> None:
        self.store = store
        kept = [m for rows in by_document(matches, system).values() for m in rows]
        self.deciding = tuple(m for m in kept if not m.bounds and not m.special)
        self.general = tuple(m for m in kept if m.bounds and not m.special)
        self.conditional = tuple(m for m in kept if m.special)
        self._cases = Cases(store, self.deciding)
        self._bounds = Ranges.of(self.general)
        self._lone = self._lone_driver()
        self._conditional = _by_special(store, [m for m in self.conditional if not m.bounds])

    def settle(self, si: float) -> Settled:
        """Return the word for a value in SI.

        The rows that decide come first; where they all add the same value of a condition that
        matters, that is the question. The general rows may fail what nothing passes. A row under
        a special condition may only turn the answer into a question.
        """
        settled = self._cases.settle(si)
        if self._lone is not None and settled.word not in ("depends", "no published range"):
            condition, value = self._lone
            settled = depends(condition, [(value, settled, ids_of(self.deciding))])
        bound = self._bound(si)
        if bound is not None and settled.word in ("inside", "no published range"):
            word: Word = "sources differ" if settled.word == "inside" else bound[0]
            settled = Settled(word, bound[1])
        return self._with_conditional(settled, si)

    def _lone_driver(self) -> tuple[str, str] | None:
        """Find a condition that matters, was not said, and is printed with only one value."""
        unsaid = dict.fromkeys(name for m in self.deciding for name in m.drivers_unsaid)
        for name in unsaid:
            value = self._cases.lone_answer(name)
            if value is not None:
                return name, value
        return None

    def _bound(self, si: float) -> tuple[Word, float] | None:
        """Return the word of the general rows where they all fail a value.

        Beside rows that decide, only limits count.
        """
        broken, windows = self._bounds.broken(si), self._bounds.windows
        if broken or self.deciding or not windows:
            return broken
        outside = Ends.of(windows).one_word(si) in ("low", "high")
        return self._bounds.says(si) if outside else None

    def _with_conditional(self, settled: Settled, si: float) -> Settled:
        """Turn an answer into a question where rows under a special condition differ from it."""
        if not self._conditional or settled.word in ("inside", "depends", "sources differ"):
            return settled
        found = [(stated, cases.settle(si), cases.matches) for stated, cases in self._conditional]
        rescued = any(
            one.word == "inside" and not all(m.is_limit for m in rows) for _, one, rows in found
        )
        if settled.word != "no published range" and not rescued:
            return settled
        answers = tuple(
            Answer(", ".join(stated.values()), one.word, one.by, ids_of(rows))
            for stated, one, rows in found
        )
        cases = tuple(Case(stated, one.word, one.by, ids_of(rows)) for stated, one, rows in found)
        name = next(iter(found[0][0]))
        return Settled(
            "depends", None, Ask(name, answers, Answer("", settled.word, settled.by)), cases
        )

    def judge(self, value: Value) -> Judgement:
        """Judge a value, with the rows beside it and distances in the value's own unit."""
        units = Units(self.store)
        factor = units.by_spelling[value.unit].factor
        settled, ask = self.settle(value.si), None
        if settled.ask is not None:
            answers = tuple(_in_unit(answer, factor) for answer in settled.ask.answers)
            ask = Ask(settled.ask.condition, answers, _in_unit(settled.ask.other, factor))
        rows, general, conditional = (
            distinct_rows(as_row(units, match, value) for match in matches)
            for matches in (self.deciding, self.general, self.conditional)
        )
        sides = {(m.row["min"] is None, m.row["max"] is None) for m in self.deciding}
        one_sided = {(False, True): "min", (True, False): "max"}
        return Judgement(
            settled.word,
            None if settled.by is None else tidy(settled.by / factor),
            rows,
            ask,
            tuple(_in_unit(case, factor) for case in settled.cases),
            general,
            conditional,
            one_sided.get(next(iter(sides)), "") if len(sides) == 1 else "",
        )


_Distant = TypeVar("_Distant", Answer, Case)


def _in_unit(one: _Distant, factor: float) -> _Distant:
    """Write the distance of an answer or a case in a unit."""
    return one if one.by is None else replace(one, by=tidy(one.by / factor))


def _by_special(store: Store, matches: Sequence[Match]) -> list[tuple[dict[str, str], Cases]]:
    """Group rows under a special condition by what that condition is."""
    gathered: dict[tuple[tuple[str, str], ...], list[Match]] = defaultdict(list)
    for match in matches:
        gathered[tuple((name, match.state(name)) for name in match.special)].append(match)
    return [(dict(stated), Cases(store, rows)) for stated, rows in gathered.items()]


def by_document(matches: Iterable[Match], system: UnitSystem | None) -> dict[str, list[Match]]:
    """Keep the most specific rows of each document, in the reader's unit system."""
    found: dict[str, list[Match]] = defaultdict(list)
    for match in matches:
        found[match.row["source_id"]].append(match)
    return {source: most_specific(in_system(rows, system)) for source, rows in found.items()}


def in_system(matches: Sequence[Match], system: UnitSystem | None) -> list[Match]:
    """Keep one version of a table that is printed in both unit systems: that in the user's units.

    The inch and metric versions of one standard's table have limits of their own; where both
    have a row for the situation, only that in the user's system counts.
    """
    if system is None or len(matches) == 1:
        return list(matches)
    systems = {match.row["window_id"]: _row_system(match.row) for match in matches}
    if not {"us", "metric"} <= set(systems.values()):
        return list(matches)
    return [m for m in matches if systems[m.row["window_id"]] in (system, None)]


_US_UNITS = {
    "in", "ft", "in/min", "ft/min", "ft3/h", "ft3/min", "gal/min", "F", "psi", "kJ/in", "J/in",
}  # fmt: skip
_NEUTRAL_UNITS = {"A", "V", "kW", "W", "deg", "rad", "Hz", "ms", "s", "count", "%", "min", "h"}


def system_of(unit: str) -> UnitSystem | None:
    """Say which unit system a unit belongs to; None for one that both use.

    >>> system_of("in/min"), system_of("L/min"), system_of("A")
    ('us', 'metric', None)
    """
    if unit in _NEUTRAL_UNITS:
        return None
    return "us" if unit in _US_UNITS else "metric"


def _row_system(row: dict[str, Any]) -> UnitSystem | None:
    if row["thickness_unit"] in ("in", "mm"):
        return system_of(row["thickness_unit"])
    return system_of(row["unit"])
