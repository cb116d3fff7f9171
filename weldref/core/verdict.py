"""Is one setting inside what is published? One value against the rows that apply.

- Only a row that says what one may set gives a verdict; what somebody once did is "also seen".
- Within one document the most specific statement speaks, and the table in the user's units.
- Two windows under the same conditions are alternatives; a limit always holds.
- Documents that disagree give "sources differ"; nothing is averaged.
- Rows recalled from memory never pass or fail anything: the verdict stays "no published range".
- Own rows of a shop or school are judged apart and change no verdict, unless they are asked for
  instead of the published ones.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Literal

from weldref.core.lookup import GRADES, Match, find, nearby, thickness_text
from weldref.core.situation import LABELS, Situation
from weldref.core.units import Units, UnitSystem, Value
from weldref.data.store import Store

Word = Literal["inside", "low", "high", "sources differ", "no published range"]

SLACK = 1e-9
"""Relative difference below which two values are one value in different units."""


@dataclass(frozen=True, slots=True)
class Row:
    """A published row beside a proposed value.

    `source` names the document in full; `assumed` holds the conditions that the row adds to
    the situation (`assumptions` says the same in sentences). `verdict` is empty for a single
    setting, which is shown and passes or fails nothing; `by` is how far outside the value is,
    in the row's unit. `own` marks a row of a shop's or school's own tables.
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
    assumptions: tuple[str, ...]
    remark: str | None
    verdict: str
    by: float
    own: bool = False


@dataclass(frozen=True, slots=True)
class Judgement:
    """What one set of rows says of a value: the word, how far outside, and the rows."""

    verdict: Word
    by: float | None
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """The verdict on one proposed value.

    `by` is the distance to the nearest published range in the value's own unit (0 inside, None
    without a range). `grade` is the weakest grade among the rows the verdict rests on and
    `strongest_grade` the strongest. `from_memory` says what recalled rows say of the value: it
    never changes the verdict, nor does `from_own`, which says what own rows say beside the
    published ones. With `own` they were judged instead: the verdict, by whatever word, is theirs.
    """

    quantity: str
    value: float
    unit: str
    verdict: Word
    by: float | None
    grade: str | None
    strongest_grade: str | None
    rows: tuple[Row, ...]
    from_memory: Judgement | None
    single_settings: tuple[Row, ...]
    also_seen: tuple[Row, ...]
    nearby: tuple[Row, ...]
    notes: tuple[str, ...]
    from_own: Judgement | None = None
    own: bool = False


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
    speaking = [m for m in matches if m.gives_verdict and is_range(m.row)]
    printed = [m for m in speaking if m.grade != "memory"]
    recalled = [m for m in speaking if m.grade == "memory"]
    judgement = weigh(units, printed, value) if printed else None
    from_memory = weigh(units, recalled, value) if recalled else None
    rests_on = judgement or from_memory
    grades = [row.how_read for row in rests_on.rows] if rests_on else []
    notes = list(judgement.notes if judgement else ())
    if judgement is None and from_memory is not None:
        notes.append("only rows recalled from memory cover this: they pass or fail nothing")
    if judgement and from_memory and from_memory.verdict not in (judgement.verdict, "inside"):
        notes.append(f"rows recalled from memory say otherwise: {from_memory.verdict}")
    singles = [m for m in matches if m.gives_verdict and not is_range(m.row)]
    aside = [m for m in matches if not m.gives_verdict]
    near = nearby(store, situation, quantity, grade) if not speaking else []
    return Reading(
        quantity=quantity,
        value=value.number,
        unit=value.unit,
        verdict=judgement.verdict if judgement else "no published range",
        by=judgement.by if judgement else None,
        grade=max(grades, key=GRADES.index, default=None),
        strongest_grade=min(grades, key=GRADES.index, default=None),
        rows=rests_on.rows if rests_on else (),
        from_memory=from_memory,
        single_settings=distinct_rows(as_row(units, m, value) for m in singles),
        also_seen=distinct_rows(as_row(units, m, value) for m in aside),
        nearby=distinct_rows(as_row(units, m, value, near=True) for m in near),
        notes=tuple(dict.fromkeys(notes)),
        from_own=_from_own(store, situation, quantity, value, grade) if store.beside else None,
        own=store.instead,
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
    speaking = [m for m in matches if m.gives_verdict and is_range(m.row)]
    printed = [m for m in speaking if m.grade != "memory"]
    recalled = [m for m in speaking if m.grade == "memory"]
    judged = weigh(units, printed or recalled, value) if speaking else None
    notes = judged.notes if judged else ()
    if recalled and not printed:
        notes = ("recalled from memory: these rows pass or fail nothing", *notes)
    aside = [m for m in matches if m not in speaking] + (recalled if printed else [])
    others = distinct_rows(as_row(units, match, value) for match in aside)
    if judged is None:
        return Judgement("no published range", None, others)
    return Judgement(judged.verdict, judged.by, (*judged.rows, *others), notes)


def weigh(units: Units, matches: Sequence[Match], value: Value) -> Judgement:
    """Let each document speak once and compare what they say."""
    kept: list[Match] = []
    words: dict[str, list[tuple[str, float]]] = {}
    notes: list[str] = []
    for source, speaking in by_document(matches, system_of(value.unit)).items():
        kept += speaking
        words[source] = source_says(speaking, value)
        if len({word for word, _ in words[source]}) > 1:
            notes.append(f"{source} {_depends(speaking)}")
    said = [answer for answers in words.values() for answer in answers]
    outside = [by for word, by in said if word != "inside"]
    distinct = {word for word, _ in said}
    word: Any = distinct.pop() if len(distinct) == 1 else "sources differ"
    how = "given" if any(m.row.get("own") for m in kept) else "published"
    if not any(m.row["max"] is not None for m in kept):
        notes.append(f"one-sided: a minimum is {how}, no maximum")
    elif not any(m.row["min"] is not None for m in kept):
        notes.append(f"one-sided: a maximum is {how}, no minimum")
    factor = units.by_spelling[value.unit].factor
    return Judgement(
        verdict=word,
        by=_tidy(min(outside) / factor) if outside else 0.0,
        rows=distinct_rows(as_row(units, match, value) for match in kept),
        notes=tuple(notes),
    )


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
    systems = {match.row["window_id"]: _row_system(match.row) for match in matches}
    if system is None or not {"us", "metric"} <= set(systems.values()):
        return list(matches)
    return [m for m in matches if systems[m.row["window_id"]] in (system, None)]


def most_specific(matches: Sequence[Match]) -> list[Match]:
    """Drop a row where another of the same document states more of the situation.

    A limit is dropped only for a limit: a recommendation never lifts it.
    """

    def outdone(one: Match, other: Match) -> bool:
        if (one.row["basis"] == "limit") != (other.row["basis"] == "limit"):
            return False
        if not (other.matched >= one.matched and other.assumed <= one.assumed):
            return False
        nearer = [other.codes[n] <= one.codes[n] for n in one.matched]
        closer = [other.codes[n] < one.codes[n] for n in one.matched]
        more = other.matched > one.matched or other.assumed < one.assumed
        return all(nearer) and (more or any(closer))

    return [m for m in matches if not any(outdone(m, other) for other in matches)]


def source_says(matches: Sequence[Match], value: Value) -> list[tuple[str, float]]:
    """Judge a value for each set of conditions that one document leaves open."""
    said = []
    for _, members in groupby(sorted(matches, key=left_open), key=left_open):
        limits: list[tuple[str, float]] = []
        windows: list[tuple[str, float]] = []
        for match in members:
            answer = compare_value(match.row, value.si)
            (limits if match.row["basis"] == "limit" else windows).append(answer)
        broken = [answer for answer in limits if answer[0] != "inside"]
        if broken:
            said.append(max(broken, key=lambda answer: answer[1]))
        elif windows:
            said.append(min(windows, key=lambda answer: answer[1]))
        else:
            said.append(("inside", 0.0))
    return said


def left_open(match: Match) -> tuple[tuple[str, str], ...]:
    """List the conditions that a row adds, with what it states for each."""
    return tuple(sorted((name, _condition(match.row, name)) for name in match.assumed))


def compare_value(row: dict[str, Any], si: float) -> tuple[Literal["inside", "low", "high"], float]:
    """Compare a value with one row, both in SI; ends belong to the range.

    >>> compare_value({"min_si": 110.0, "max_si": 160.0}, 250.0)
    ('high', 90.0)
    """
    low, high = row["min_si"], row["max_si"]
    if low is not None and si < low - SLACK * abs(low):
        return "low", low - si
    if high is not None and si > high + SLACK * abs(high):
        return "high", si - high
    return "inside", 0.0


def _depends(matches: Sequence[Match]) -> str:
    """Say which condition decides where one document gives several answers."""
    values: dict[str, set[str]] = defaultdict(set)
    for match in matches:
        for name in match.assumed:
            values[name].add(_condition(match.row, name))
    deciding = [LABELS[name] for name, found in values.items() if len(found) > 1]
    return "depends on what you left out: " + (", ".join(sorted(deciding)) or "its conditions")


def _condition(row: dict[str, Any], name: str) -> str:
    return thickness_text(row) if name == "thickness" else str(row[name])


def is_range(row: dict[str, Any]) -> bool:
    """Tell a range, open or closed, from a single setting."""
    return row["min"] is not None or row["max"] is not None


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


def show_rows(store: Store, matches: Iterable[Match], *, near: bool = False) -> tuple[Row, ...]:
    """Prepare rows to be shown without a proposed value."""
    units = Units(store)
    return distinct_rows(as_row(units, match, None, near=near) for match in matches)


def as_row(units: Units, match: Match, value: Value | None, *, near: bool = False) -> Row:
    """Put a row beside a value, with what it assumes."""
    row = match.row
    word, by = "", 0.0
    if value is not None and is_range(row) and match.gives_verdict and not near:
        word, by = compare_value(row, value.si)
    assumptions = match.assumptions
    if near:
        differs = ", ".join(
            f"{LABELS[name]} {_condition(row, name)}" for name in match.contradicted
        )
        assumptions = (f"differs: {differs}",)
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
            name: _condition(row, name)
            for name in LABELS
            if (thickness_text(row) if name == "thickness" else row[name])
        },
        assumed={name: _condition(row, name) for name in LABELS if name in match.assumed},
        assumptions=assumptions,
        remark=row["remark"],
        verdict=word,
        by=_tidy(by / units.by_spelling[row["unit"]].factor),
        own=bool(row.get("own")),
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
