"""Are the values of every pass inside what is published?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from weldref.audit.case import Case
from weldref.audit.finding import Finding, Rule, Severity, rule
from weldref.lookup import GRADES, find
from weldref.own_tables import BY_OWN, OWN_DOCUMENT
from weldref.procedures.model import Pass, Range
from weldref.situation import Situation
from weldref.text import span, verdict_word
from weldref.verdict import Reading, Row, judge

QUANTITIES = {
    "current": "current",
    "voltage": "voltage",
    "wire_feed_speed": "speed",
    "travel_speed": "speed",
    "gas_flow": "flow",
    "heat_input": "heat input",
    "contact_tip_distance": "length",
    "electrode_extension": "length",
}
"""Quantities of a pass that are compared, with what they measure."""

MOST_ROWS = 4
"""More rows than this in one finding say less: the reader is told how many more there are."""


@rule(
    "published-range",
    "published ranges",
    "Is each value of each pass inside the published ranges that apply?",
    "",
    "",
    "read",
)
def published_range(case: Case, this: Rule) -> Iterator[Finding]:
    """Judge both ends of each range as a check would, for each metal and size.

    Metals and sizes of which the same is said share a finding, and so do the quantities of a
    pass for which nothing is published.
    """
    said: dict[tuple[Finding, str], list[str]] = {}
    nothing: dict[tuple[str, str], list[tuple[str, Range]]] = {}
    for weld in case.procedure.passes:
        label = weld.label.text if weld.label else "pass"
        situations = list(case.situations(weld))
        for quantity, dimension in QUANTITIES.items():
            given = _given(case, weld, quantity)
            if given is None or not given.stated:
                continue
            answers: dict[Finding, list[Situation]] = {}
            for situation in situations:
                if readings := _readings(case, situation, quantity, dimension, given):
                    answers.setdefault(_say(this, quantity, given, readings), []).append(situation)
                    for own in _own(this, quantity, given, readings):
                        answers.setdefault(own, []).append(situation)
            for found, where in answers.items():
                if found.severity == "note" and not found.source_id:
                    nothing.setdefault((label, _joined(where)), []).append((quantity, given))
                else:
                    said.setdefault((found, _joined(where)), []).append(label)
    for (found, where_text), labels in said.items():
        named = ", ".join(dict.fromkeys(labels))
        yield replace(found, what=f"{named}: {found.what} ({where_text})")
    nothing_by = f"no own range, {BY_OWN}," if case.store.instead else "no published range"
    for (label, where_text), given_values in nothing.items():
        names = ", ".join(dict.fromkeys(name.replace("_", " ") for name, _ in given_values))
        yield this.finding(
            "note",
            f"{label}: {nothing_by} for {names} ({where_text})",
            place=given_values[0][1].place,
            value=", ".join(dict.fromkeys(str(given) for _, given in given_values)),
            source_id="",
        )


def _given(case: Case, weld: Pass, quantity: str) -> Range | None:
    given: Range | None = getattr(weld, quantity)
    if quantity == "gas_flow" and given is None:
        flows = [g.flow for g in case.procedure.gases if g.role == "shielding" and g.flow]
        return flows[0] if len(flows) == 1 else None
    return given


def _readings(
    case: Case, situation: Situation, quantity: str, dimension: str, given: Range
) -> list[Reading]:
    """Judge each end of a range; empty if its unit is not known, which is told as a slip."""
    readings = []
    matches = find(case.store, situation, quantity, case.grade)
    for number in dict.fromkeys(n for n in (given.low, given.high, given.typical) if n is not None):
        value = case.value(number, given, dimension)
        if value is None:
            return []
        readings.append(judge(case.store, situation, quantity, value, case.grade, matches))
    return readings


def _say(this: Rule, quantity: str, given: Range, readings: Sequence[Reading]) -> Finding:
    """Put what the ends of a range were judged to be in one finding, without the situation."""
    name = quantity.replace("_", " ")
    instead = readings[0].own
    shown: dict[str, Any] = {"place": given.place, "value": str(given)}
    if all(reading.verdict == "no published range" for reading in readings):
        recalled = [r.from_memory for r in readings if r.from_memory]
        outside = [j for j in recalled if j.verdict in ("low", "high")]
        if not outside:
            return this.finding("note", f"{name}: no published range", source_id="", **shown)
        return this.finding(
            "question",
            f"{name}: {' and '.join(j.verdict for j in outside)} of what is recalled; "
            + (f"nothing else is, {BY_OWN}" if instead else "nothing is published"),
            next_step="compare with the consumable maker's data",
            **shown | _cited(row for judged in outside for row in judged.rows),
            grade="memory",
        )
    outside_print = [r for r in readings if r.verdict in ("low", "high")]
    differing = [r for r in readings if r.verdict == "sources differ"]
    severity: Severity
    if outside_print:
        severity, speaking = "outside", outside_print
        words = " and ".join(
            f"{r.value:g} {r.unit} is {r.verdict} by {r.by:g} {r.unit}" for r in outside_print
        )
        after = "justify by the test record or the consumable maker's data, or mend"
    elif differing:
        severity, speaking = "question", differing
        words = " and ".join(f"{r.value:g} {r.unit}" for r in differing)
        words += " is" if len(differing) == 1 else " are"
        kind = "own" if instead else "published"
        words += f" inside one {kind} range and outside another"
        after = "see which source fits the work"
    else:
        severity, speaking = "note", list(readings)
        words, after = f"inside {'an own' if instead else 'a published'} range", ""
    if instead:
        words += f", {BY_OWN}"
    return this.finding(
        severity,
        f"{name}: {words}",
        next_step=after,
        grade=speaking[0].grade or "memory",
        **shown | _cited(row for reading in speaking for row in reading.rows),
    )


def _own(this: Rule, quantity: str, given: Range, readings: Sequence[Reading]) -> Iterator[Finding]:
    """Tell what own rows say beside published ones: for information, whatever it is."""
    judged = [(reading, reading.from_own) for reading in readings if reading.from_own]
    ranges = [(reading, own) for reading, own in judged if own.by is not None]
    if not ranges:
        return
    says = dict.fromkeys(
        f"{reading.value:g} {reading.unit} is {verdict_word(own.verdict, own=True)}"
        + (f" by {own.by:g} {reading.unit}" if own.verdict in ("low", "high") else "")
        for reading, own in ranges
    )
    rows = [row for _, own in ranges for row in own.rows if row.verdict]
    grade = max((row.how_read for row in rows), key=GRADES.index)
    recalled = ", from memory" if grade == "memory" else ""
    yield this.finding(
        "note",
        f"{quantity.replace('_', ' ')}, own table ({OWN_DOCUMENT}{recalled}): {' and '.join(says)}",
        place=given.place,
        value=str(given),
        grade=grade,
        **_cited(rows),
    )


def _cited(rows: Iterable[Row]) -> dict[str, str]:
    """Cite the rows a judgement rests on: each range as printed, and where the first stands."""
    listed = list(rows)
    speaking = [row for row in listed if row.verdict != "inside"] or listed
    ranges = dict.fromkeys(_range(row) for row in speaking)
    left = len(ranges) - MOST_ROWS
    shown = "; ".join(list(ranges)[:MOST_ROWS]) + (f"; and {left} more" if left > 0 else "")
    row = speaking[0]
    return {"expected": shown, "source_id": row.source_id, "locator": row.locator or ""}


def _range(row: Row) -> str:
    """Write a row's range with what it assumes beyond the document."""
    more = ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in row.assumed.items())
    return f"{span(row)} (if {more})" if more else span(row)


def _joined(situations: Sequence[Situation]) -> str:
    """Name situations in one breath: a condition in which they differ lists its values."""
    values: dict[str, dict[str, None]] = {}
    for situation in situations:
        for name, value in situation.given().items():
            shown = f"{value} thick" if name == "thickness" else value
            values.setdefault(name, {})[shown] = None
    return ", ".join(" or ".join(each) for each in values.values()) or "any situation"
