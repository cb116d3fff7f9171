"""Are the values of every pass inside what is published?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from weldref.audit.case import GAS_PROCESSES, Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Finding, Rule, Severity, rule
from weldref.core.lookup import GRADES, find
from weldref.core.situation import LABELS, Situation
from weldref.core.verdict import Reading, Row, judge
from weldref.data.own import BY_OWN, OWN_DOCUMENT
from weldref.procedures.model import Pass, Range
from weldref.text import span, verdict_word

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
    yield from _unread(case, this)
    said: dict[tuple[Finding, str], dict[str, None]] = {}
    for weld, label, process in passes(case):
        if process is None:
            continue
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
                said.setdefault((found, _joined(where)), {})[label] = None
    nothing_by = f"no own range, {BY_OWN}," if case.store.instead else "no published range"
    # What needs no mending is told once for all passes of which it holds.
    notes: dict[tuple[Finding, str], list[tuple[Finding, dict[str, None]]]] = {}
    for (found, where_text), labels in said.items():
        if found.severity != "note":
            yield replace(found, what=f"{', '.join(labels)}: {found.what} ({where_text})")
            continue
        nothing = not found.source_id
        alike = replace(found, place="", value="", what="" if nothing else found.what)
        notes.setdefault((alike, where_text), []).append((found, labels))
    for (alike, where_text), each in notes.items():
        named = ", ".join(dict.fromkeys(label for _, labels in each for label in labels))
        what = alike.what
        if not what:
            names = dict.fromkeys(found.what.partition(":")[0] for found, _ in each)
            what = f"{nothing_by} for {', '.join(names)}"
        yield replace(
            alike,
            what=f"{named}: {what} ({where_text})",
            place=each[0][0].place,
            value=", ".join(dict.fromkeys(found.value for found, _ in each)),
        )


def _unread(case: Case, this: Rule) -> Iterator[Finding]:
    """Without a process a value would be held against rows of every process: it is not compared."""
    for text in case.unread_processes:
        yield this.finding(
            "question",
            f"process '{text.text}' is not understood: its values were not compared",
            place=text.place,
            value=text.text,
            source_id="",
            next_step="write the process by its letters or its ISO 4063 number",
        )
    open_passes = [w for w in case.procedure.passes if not w.process]
    if open_passes and len(case.processes) != 1 and not case.unread_processes:
        several = " or ".join(case.processes)
        yield this.finding(
            "question",
            f"{'which of ' + several if several else 'no process'} is stated for "
            f"{len(open_passes)} of the passes: their values were not compared",
            place=open_passes[0].place,
            source_id="",
            next_step="state the process of each pass",
        )


def _given(case: Case, weld: Pass, quantity: str) -> Range | None:
    given: Range | None = getattr(weld, quantity)
    if quantity == "gas_flow" and given is None and case.process_of(weld) in GAS_PROCESSES:
        flows = [g.flow for g in case.procedure.gases if g.role == "shielding" and g.flow]
        return flows[0] if len(flows) == 1 else None
    return given


def _readings(
    case: Case, situation: Situation, quantity: str, dimension: str, given: Range
) -> list[Reading]:
    """Judge each end of a range; empty if its unit is not known, which is told as a slip."""
    readings = []
    matches = list(case.of_its_thickness(find(case.store, situation, quantity, case.grade)))
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
    kind = "own" if instead else "published"
    between = [r for r in differing if not any(row.verdict == "inside" for row in r.rows)]
    if outside_print or between:
        speaking = [*outside_print, *between]
        opens = {
            reading.value: _unsaid([row for row in reading.rows if row.verdict != "inside"])
            for reading in speaking
        }
        words = " and ".join(
            f"{r.value:g} {r.unit} is "
            + (
                f"in none of the {kind} ranges"
                if r in between
                else f"{r.verdict} by {r.by:g} {r.unit}"
            )
            + (f" if {opens[r.value]}" if opens[r.value] and "" in opens.values() else "")
            for r in speaking
        )
        if "" in opens.values():
            severity = "outside"
            after = "justify by the test record or the consumable maker's data, or mend"
        else:
            severity, after = "question", "state it, and compare again"
            conditions = " or ".join(dict.fromkeys(opens.values()))
            words += f" if {conditions}, which the document leaves open"
    elif differing:
        severity, speaking = "question", differing
        words = " and ".join(f"{r.value:g} {r.unit}" for r in differing)
        words += " is" if len(differing) == 1 else " are"
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


def _unsaid(rows: Sequence[Row]) -> str:
    """Name what has to hold for a value to be outside; empty if it is outside whatever holds.

    That is so if a row adds nothing to what the document says, or if each adds the same
    condition and the value is outside for every way in which that condition is printed.
    """
    added = [
        # A filler metal that is stated stands for the metal that it is made for.
        {n: v for n, v in row.assumed.items() if n != "material" or not _of_its_filler(row)}
        for row in rows
    ]
    if not all(added):
        return ""
    names = set().union(*added)
    if len(names) == 1 and len({str(each) for each in added}) > 1:
        return ""
    each = {" and ".join(f"{LABELS[name]} is {one[name]}" for name in one): None for one in added}
    return " or ".join(list(each)[:MOST_ROWS])


def _of_its_filler(row: Row) -> bool:
    return "filler_class" in row.conditions and "filler_class" not in row.assumed


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
