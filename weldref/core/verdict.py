"""Judge one value against the published rows that apply.

- Only a row that says what one may set gives a verdict; what somebody once did is "also seen".
- Only a row that fits passes a value. A row that ignores a stated condition on which the quantity
  depends, and one side of a machine setting, can fail a value and never pass one.
- Within one document the most specific statement counts, and the table in the user's units.
- An answer that turns on something unsaid is "depends", with the question; "sources differ" is
  said only where documents disagree within one and the same case. Nothing is averaged.
- A row under a special condition (a technique, one specification) never decides alone.
- Rows recalled from memory never pass or fail anything: the verdict stays "no published range".
- Own rows of a shop or school are judged apart and change no verdict, unless they are asked for
  instead of the published ones.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from operator import itemgetter
from typing import Any

from weldref.core.bands import Ends, Span, compare_value
from weldref.core.cases import (
    Answer,
    Ask,
    Case,
    Cases,
    Settled,
    Word,
    ids_of,
    most_specific,
)
from weldref.core.lookup import (
    Assumption,
    Fit,
    Match,
    Neighbour,
    find,
    neighbours,
)
from weldref.core.situation import LABELS, Situation
from weldref.core.units import Units, UnitSystem, Value
from weldref.data.store import Store
from weldref.grades import GRADES

__all__ = ["Answer", "Ask", "Case", "Judgement", "Near", "Reading", "Row", "Word", "judge"]


@dataclass(frozen=True, slots=True)
class Row:
    """A published row beside a proposed value.

    `source` names the document in full; `assumed` holds the conditions that the row adds to
    the situation, `assumptions` those and the names under which it meets others. `fit` says how
    closely it fits, `silent_on` which stated conditions it says nothing of, `ignores` on which of
    them the quantity depends, and `special` which of its conditions no situation states.
    `verdict` is empty for a single setting, which is shown and passes or fails nothing; `by` is
    how far outside the value is, in the row's unit. `own` marks a row of a shop's or school's own
    tables, `local` one that was read on this machine and published nowhere.
    """

    window_id: str
    quantity: str
    line: str | None
    source_id: str
    source: str
    locator: str | None
    how_read: str
    basis: str
    status: str | None
    min: float | None
    max: float | None
    typical: float | None
    unit: str
    conditions: dict[str, str]
    assumed: dict[str, str]
    assumptions: tuple[Assumption, ...]
    fit: Fit
    silent_on: tuple[str, ...]
    ignores: tuple[str, ...]
    special: tuple[str, ...]
    remark: str | None
    verdict: str
    by: float
    own: bool = False
    local: bool = False


@dataclass(frozen=True, slots=True)
class Near:
    """A row that nearly applies, and how: what it differs in, on which side, how far away.

    `away` is in `away_unit`, for the nearest printed rungs of thickness or of size alone.
    """

    row: Row
    differs: dict[str, str]
    side: str = ""
    away: float = 0.0
    away_unit: str = ""


@dataclass(frozen=True, slots=True)
class Judgement:
    """What one set of rows says of a value: the word, how far outside, the question, the rows.

    `rows` are those that decide, or where none does those that could; `general` are those that
    only bound the value, `conditional` those under a special condition that was not stated.
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
    found = set(fits)
    return next((fit for fit in _CLOSEST if fit in found), None)


_CLOSEST: tuple[Fit, ...] = ("exact", "near", "broad")


@dataclass(frozen=True, slots=True)
class Reading:
    """The verdict on one proposed value.

    `by` is the distance to the nearest published range in the value's own unit (0 inside, None
    without a range). `fit` is the closest fit among the rows it rests on. `ask` is the question
    where the verdict depends, `cases` all its answers in full. `general` are rows too broad to
    pass a value, `conditional` rows under a condition that was not stated, `neighbours` the
    nearest rows where nothing fits.
    `grade` is the weakest grade among the rows the verdict rests on and `strongest_grade` the
    strongest. `from_memory` says what recalled rows say of the value: it never changes the
    verdict, nor does `from_own`, which says what own rows say beside the published ones. With
    `own` they were judged instead: the verdict, by whatever word, is theirs. `held_back` names
    the set-up rules because of which a value that would pass got no verdict.
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
        """Whether a set-up rule took back what printed or recalled rows would pass."""
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
        The rows of the quantity that apply, where they are at hand already.
    """
    if matches is None:
        matches = find(store, situation, quantity, grade)
    units = Units(store)
    speaking = [m for m in matches if m.gives_verdict and m.is_range]
    printed = [m for m in speaking if m.grade != "memory"]
    recalled = [m for m in speaking if m.grade == "memory"]
    judgement = Evidence(store, printed, system_of(value.unit)).judge(value)
    from_memory = (
        Evidence(store, recalled, system_of(value.unit)).judge(value) if recalled else None
    )
    if from_memory and _says_nothing(from_memory):
        from_memory = None
    deciding = judgement.rows or judgement.conditional or judgement.general
    grades = [row.how_read for row in (deciding or (from_memory.rows if from_memory else ()))]
    # What ignores the plate or the metal that was stated is no setting and no example of it.
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


def _says_nothing(recalled: Judgement) -> bool:
    """Tell whether all that is recalled are ranges that differ and name no plate or no metal.

    So are the capacities of tungstens, from 5 to 1000 A: none of them is a setting.
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
    """Judge own rows apart from published ones; None if none applies.

    Its rows are those that were judged, then single settings and what was also seen.
    """
    units, matches = Units(store), find(store, situation, quantity, grade, own=True)
    if not matches:
        return None
    speaking = [m for m in matches if m.gives_verdict and m.is_range]
    printed = [m for m in speaking if m.grade != "memory"]
    judged = Evidence(store, printed or speaking, system_of(value.unit)).judge(value)
    aside = [m for m in matches if m not in (printed or speaking)]
    others = distinct_rows(as_row(units, match, value) for match in aside)
    return replace(judged, rows=(*judged.rows, *others))


class Evidence:
    """Rows of one quantity and of one kind (printed, recalled or own), asked of many values.

    Parameters
    ----------
    store
        The open store.
    matches
        Ranges that apply and give verdicts.
    system
        The reader's unit system: of a table printed in both, that version speaks.
    """

    def __init__(self, store: Store, matches: Sequence[Match], system: UnitSystem | None) -> None:
        self.store = store
        kept = [m for rows in by_document(matches, system).values() for m in rows]
        self.deciding = tuple(m for m in kept if not m.bounds and not m.special)
        self.general = tuple(m for m in kept if m.bounds and not m.special)
        self.conditional = tuple(m for m in kept if m.special)
        self._cases = Cases(store, self.deciding)
        self._bounds: tuple[list[Span], list[Span]] = ([], [])
        for match in self.general:
            self._bounds[match.row["basis"] != "limit"].append(match.span)
        self.lone = self._lone_driver()
        self._conditional = _by_special(store, [m for m in self.conditional if not m.bounds])

    def settle(self, si: float) -> Settled:
        """Return the word for a value in SI.

        Rows that decide speak first; where they all add one and the same value of a condition
        that matters, that is the question. The general ones may fail what nothing passes; a row
        under a special condition may only turn the answer into a question.
        """
        settled = self._cases.settle(si)
        if self.lone is not None and settled.word not in ("depends", "no published range"):
            condition, value = self.lone
            ids = ids_of(self.deciding)
            answer = Answer(value, settled.word, settled.by, ids)
            ask = Ask(condition, (answer,), Answer("", "no published range", None))
            case = Case({condition: value}, settled.word, settled.by, ids)
            settled = Settled("depends", None, ask, (case,))
        bound = self._bound(si, limits_only=bool(self.deciding))
        if bound is not None and settled.word in ("inside", "no published range"):
            word: Word = "sources differ" if settled.word == "inside" else bound[0]
            settled = Settled(word, bound[1])
        return self._with_conditional(settled, si)

    def _lone_driver(self) -> tuple[str, str] | None:
        """Find a condition that matters, was not said, and is printed with one value alone."""
        unsaid = dict.fromkeys(name for m in self.deciding for name in m.drivers_unsaid)
        for name in unsaid:
            value = self._cases.lone_answer(name)
            if value is not None:
                return name, value
        return None

    def _bound(self, si: float, *, limits_only: bool) -> tuple[Word, float] | None:
        """Return the word of the general rows where the value is outside all that they allow."""
        limits, others = self._bounds
        broken = [said for span in limits if (said := span.compare(si))[0] != "inside"]
        if broken:
            return max(broken, key=itemgetter(1))
        if limits_only or not others or Ends.of(others).one_word(si) in (None, "inside"):
            return None
        return min((span.compare(si) for span in others), key=itemgetter(1))

    def _with_conditional(self, settled: Settled, si: float) -> Settled:
        """Turn an answer into a question where rows under a special condition say otherwise."""
        if not self._conditional or settled.word in ("inside", "depends", "sources differ"):
            return settled
        found = [(stated, cases.settle(si), cases.matches) for stated, cases in self._conditional]
        rescued = any(
            one.word == "inside" and any(m.row["basis"] != "limit" for m in rows)
            for _, one, rows in found
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
        """Judge a value, with distances in its own unit and the rows beside it."""
        units = Units(self.store)
        factor = units.by_spelling[value.unit].factor
        settled = self.settle(value.si)
        rows = self.deciding
        sides = {(m.row["min"] is None, m.row["max"] is None) for m in rows}
        one_sided = {(False, True): "min", (True, False): "max"}
        return Judgement(
            settled.word,
            _in_unit(settled.by, factor),
            distinct_rows(as_row(units, match, value) for match in rows),
            _ask_in_unit(settled.ask, factor),
            tuple(replace(case, by=_in_unit(case.by, factor)) for case in settled.cases),
            distinct_rows(as_row(units, match, value) for match in self.general),
            distinct_rows(as_row(units, match, value) for match in self.conditional),
            one_sided.get(next(iter(sides)), "") if len(sides) == 1 else "",
        )


def _by_special(store: Store, matches: Sequence[Match]) -> list[tuple[dict[str, str], Cases]]:
    """Gather rows under a special condition by what they ask for, the askable ones first."""
    gathered: dict[tuple[tuple[str, str], ...], list[Match]] = defaultdict(list)
    for match in matches:
        gathered[tuple((name, match.state(name)) for name in match.special)].append(match)
    return [(dict(stated), Cases(store, rows)) for stated, rows in gathered.items()]


def _in_unit(by: float | None, factor: float) -> float | None:
    return None if by is None else _tidy(by / factor)


def _ask_in_unit(ask: Ask | None, factor: float) -> Ask | None:
    if ask is None:
        return None
    answers = tuple(replace(a, by=_in_unit(a.by, factor)) for a in ask.answers)
    return Ask(ask.condition, answers, replace(ask.other, by=_in_unit(ask.other.by, factor)))


def by_document(matches: Iterable[Match], system: UnitSystem | None) -> dict[str, list[Match]]:
    """Let each document speak once: its most specific rows, in the reader's unit system."""
    found: dict[str, list[Match]] = defaultdict(list)
    for match in matches:
        found[match.row["source_id"]].append(match)
    return {source: most_specific(in_system(rows, system)) for source, rows in found.items()}


def in_system(matches: Sequence[Match], system: UnitSystem | None) -> list[Match]:
    """Keep one version of a table printed in both unit systems: that of the user's units.

    The inch and metric versions of one standard's table have limits of their own; where both
    have a row for the situation, only the user's own speaks.
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


def show_rows(store: Store, matches: Iterable[Match]) -> tuple[Row, ...]:
    """Prepare rows to be shown without a proposed value."""
    units = Units(store)
    return distinct_rows(as_row(units, match, None) for match in matches)


def near_rows(store: Store, found: Iterable[Neighbour], situation: Situation) -> tuple[Near, ...]:
    """Prepare the nearest rows to be shown, with how far away a rung is in the reader's unit."""
    units = Units(store)
    shown = []
    for one in found:
        match = one.match
        unit = "in" if situation.units == "us" else "mm"
        away = _tidy(one.away / units.by_spelling[unit].factor) if one.side else 0.0
        differs = {name: match.state(name) for name in one.differs}
        row = replace(as_row(units, match, None), assumptions=())
        shown.append(Near(row, differs, one.side, away, unit if one.side else ""))
    return tuple(shown)


def as_row(units: Units, match: Match, value: Value | None) -> Row:
    """Put a row beside a value, with what it assumes."""
    row = match.row
    word, by = "", 0.0
    if value is not None and match.is_range and match.gives_verdict:
        word, by = compare_value(row["min_si"], row["max_si"], value.si)
    return Row(
        window_id=row["window_id"],
        quantity=row["quantity"],
        line=row["line"],
        source_id=row["source_id"],
        source=row["source"],
        locator=row["locator"],
        how_read=match.grade,
        basis=row["basis"],
        status=row["status"],
        min=row["min"],
        max=row["max"],
        typical=row["typical"],
        unit=row["unit"],
        conditions={
            name: stated
            for name in LABELS
            if row.get(name) or name == "thickness"
            if (stated := match.state(name))
        },
        assumed={name: match.state(name) for name in LABELS if name in match.assumed},
        assumptions=match.assumptions,
        fit=match.fit,
        silent_on=match.silent_on,
        ignores=match.ignores,
        special=match.special,
        remark=row["remark"],
        verdict=word,
        by=_tidy(by / units.by_spelling[row["unit"]].factor),
        own=bool(row.get("own")),
        local=bool(row.get("local")),
    )


def distinct_rows(rows: Iterable[Row]) -> tuple[Row, ...]:
    """Show a statement once where a printed cell named several things and gave several rows."""
    seen: set[tuple[Any, ...]] = set()
    kept = []
    for row in rows:
        shared = {n: v for n, v in row.conditions.items() if n not in _SPLIT_CELLS}
        key = (
            row.source_id,
            row.locator,
            row.quantity,
            row.min,
            row.max,
            row.typical,
            str(shared),
            row.basis,
        )
        if key not in seen:
            seen.add(key)
            kept.append(row)
    return tuple(kept)


_SPLIT_CELLS = ("process", "material", "filler_class", "gas", "position", "joint")


def _tidy(number: float) -> float:
    return float(f"{number:.6g}")
