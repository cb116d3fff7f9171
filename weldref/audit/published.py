"""Compare the values of every pass with the published ranges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from weldref.audit.case import GAS_PROCESSES, Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Alike, Finding, Rule, Severity, conditions_of, rule
from weldref.core.cases import Ask
from weldref.core.index import UNSTATABLE
from weldref.core.lookup import find
from weldref.core.situation import LABELS, Situation
from weldref.core.verdict import Judgement, Reading, Row, judge
from weldref.data.own import BY_OWN, OWN_DOCUMENT
from weldref.grades import GRADES
from weldref.procedures.model import Pass, Range
from weldref.text import question, span, verdict_word

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
"""Quantities of a pass that are compared, with their dimension."""

ROUGHLY = 0.1
"""A value is questioned if it is outside a recalled range by more than this share: our choice."""

MOST_ROWS = 4
"""The most rows that one finding lists; it says how many more there are."""

Kind = Literal["outside", "sources differ", "depends", "recalled", "nothing", "inside"]


@dataclass(frozen=True, slots=True)
class Judged:
    """A window of a pass, both ends judged in one situation."""

    label: str
    quantity: str
    given: Range
    situation: Situation
    readings: tuple[Reading, ...]

    @property
    def kind(self) -> Kind:
        """The result for the window: the gravest of its ends."""
        words = {reading.verdict for reading in self.readings}
        if words & {"low", "high"}:
            return "outside"
        if "sources differ" in words:
            return "sources differ"
        if "depends" in words:
            return "depends"
        if "no published range" in words:
            return "recalled" if _against_memory(self.readings) else "nothing"
        return "inside"

    @property
    def name(self) -> str:
        """The quantity in words."""
        return self.quantity.replace("_", " ")


@rule("published-range")
def published_range(case: Case, this: Rule) -> Iterator[Finding]:
    """Judge both ends of each range as a check would, for each metal and size.

    One cause gives one finding: passes, metals and sizes with the same result share it, and so
    does all that depends on the same unstated condition, or for which nothing is printed.
    """
    judged = list(_judged(case))
    compared, own = Alike(this), Alike(this)
    for kind in ("outside", "sources differ", "recalled", "inside"):
        for one in (one for one in judged if one.kind == kind):
            # What needs no correction is reported once, whatever the values are.
            given = "" if kind == "inside" else str(one.given)
            _add(compared, one, given=given, **_said(case, one))
    yield from compared.findings()
    yield from _open(case, this, [one for one in judged if one.kind == "depends"])
    yield from _nothing(case, this, judged)
    for one in judged:
        if said := _said_by_own(case, one):
            _add(own, one, **said)
    yield from own.findings()


def _add(alike: Alike, one: Judged, **said: Any) -> None:
    alike.add(
        at=one.given.place, value=str(one.given), label=one.label, situation=one.situation,
        name=one.name, **said,
    )  # fmt: skip


def _judged(case: Case) -> Iterator[Judged]:
    for weld, label, process in passes(case):
        if process is None:
            continue  # the rule "understood" says so
        for situation in case.situations(weld):
            for quantity, dimension in QUANTITIES.items():
                given = stated_of(case, weld, quantity)
                if given is None or not given.stated:
                    continue
                readings = tuple(_readings(case, situation, quantity, dimension, given))
                if readings:
                    yield Judged(label, quantity, given, situation, readings)


def stated_of(case: Case, weld: Pass, quantity: str) -> Range | None:
    """A quantity of a pass, or the only one that the document states for such passes."""
    given: Range | None = getattr(weld, quantity)
    if given is not None:
        return given
    procedure = case.procedure
    shared: list[Range] = []
    if quantity == "gas_flow" and case.process_of(weld) in GAS_PROCESSES:
        process = case.process_of(weld)
        gases = [gas for gas in procedure.gases if gas.role == "shielding" and gas.flow]
        named = [gas for gas in gases if gas.process and case.process(gas.process.text) == process]
        shared = [gas.flow for gas in named or gases if gas.flow]
    elif quantity in ("preheat_min", "interpass_max"):
        shared = [*getattr(procedure, quantity)]
    return shared[0] if len(shared) == 1 else None


def _readings(
    case: Case, situation: Situation, quantity: str, dimension: str, given: Range
) -> list[Reading]:
    """Judge each end of a range; empty if its unit is not known ("understood" reports it)."""
    readings = []
    matches = list(case.for_its_work(find(case.store, situation, quantity, case.grade)))
    for number in dict.fromkeys(n for n in (given.low, given.high, given.typical) if n is not None):
        value = case.value(number, given, dimension)
        if value is None:
            return []
        readings.append(judge(case.store, situation, quantity, value, case.grade, matches))
    return readings


def _against_memory(readings: Sequence[Reading]) -> list[Judgement]:
    """The judgements of recalled rows that a value is outside.

    Rows that assume one of the document's thicknesses do not count, nor does a value only just
    beyond the round numbers that people recall.
    """
    recalled = [(r.value, r.from_memory) for r in readings if r.from_memory]
    return [
        judged
        for value, judged in recalled
        if judged.verdict in ("low", "high")
        and (judged.by or 0.0) > ROUGHLY * abs(value)
        and not all("thickness" in row.assumed for row in judged.rows or judged.general)
    ]


def _said(case: Case, judged: Judged) -> dict[str, Any]:
    """The text and the words of a finding about a range, without the pass and the situation."""
    readings, unit = judged.readings, judged.given.unit
    instead = readings[0].own
    if judged.kind == "recalled":
        outside = _against_memory(readings)
        rows = [row for one in outside for row in one.rows or one.general]
        nothing = f"nothing else is, {BY_OWN}" if instead else "nothing is published"
        words = " and ".join(one.verdict for one in outside)
        return {"key": "recalled", "words": words, "nothing": nothing,
                **cite(case, rows, unit, "memory")}  # fmt: skip
    severity: Severity
    if judged.kind == "outside":
        deciding = [r for r in readings if r.verdict in ("low", "high")]
        opens = [_unsaid(r.rows or r.general) for r in deciding]
        severity, after = "outside", "justify by the test record or the maker's data, or correct it"
        words = " and ".join(
            f"{r.value:g} {r.unit} is {r.verdict} by {r.by:g} {r.unit}"
            + (f" if {unsaid}" if unsaid and "" in opens else "")
            for r, unsaid in zip(deciding, opens, strict=True)
        )
        if "" not in opens:
            severity, after = "question", "state it, and compare again"
            words += f" if {' or '.join(dict.fromkeys(opens))}, which the document does not settle"
        if not any(reading.rows for reading in deciding):
            words += " of a general range; nothing printed is for just this work"
    elif judged.kind == "sources differ":
        severity, after = "question", "see which source fits the work"
        deciding = [r for r in readings if r.verdict == "sources differ"]
        words = " and ".join(f"{r.value:g} {r.unit}" for r in deciding)
        words += " is" if len(deciding) == 1 else " are"
        words += f" inside one {'own' if instead else 'published'} range and outside another"
    else:
        severity, after, deciding = "note", "", list(readings)
        words = f"inside {'an own' if instead else 'a published'} range"
    words += f", {BY_OWN}" if instead else ""
    rows = [row for reading in deciding for row in reading.rows or reading.general]
    return {"key": "judged", "severity": severity, "words": words, "next_step": after,
            **cite(case, rows, unit, deciding[0].grade or "memory")}  # fmt: skip


def _unsaid(rows: Sequence[Row]) -> str:
    """Name the conditions under which a value is outside; empty if it is outside in any case.

    That is so if a row adds nothing to what the document says, or if each adds the same
    condition and the value is outside for every way in which that condition is printed; of
    thickness there is always another than those printed.
    """
    added = [
        {
            name: value
            for name, value in row.assumed.items()
            # A stated filler metal implies the metal that it is made for.
            if name != "material"
            or "filler_class" in row.assumed
            or "filler_class" not in row.conditions
        }
        for row in rows
        if row.verdict != "inside"
    ]
    if not all(added):
        return ""
    names = set().union(*added)
    if len(names - {"thickness"}) == len(names) == 1 and len({str(each) for each in added}) > 1:
        return ""
    each = {" and ".join(f"{LABELS[name]} is {one[name]}" for name in one): None for one in added}
    return " or ".join(list(each)[:MOST_ROWS])


def _open(case: Case, this: Rule, judged: Sequence[Judged]) -> Iterator[Finding]:
    """Ask once for each condition that decides an answer and that the document leaves open."""
    asked: dict[str, list[tuple[Judged, Reading, Ask]]] = {}
    for one in judged:
        for reading in one.readings:
            if reading.verdict == "depends" and reading.ask is not None:
                asked.setdefault(reading.ask.condition, []).append((one, reading, reading.ask))
    for condition, turning in asked.items():
        named: dict[tuple[str, str], dict[str, None]] = {}
        for one, _, _ in turning:
            named.setdefault((one.name, str(one.given)), {})[one.label] = None
        listed = "; ".join(f"{name} {given} of {', '.join(labels)}"
                           for (name, given), labels in named.items())  # fmt: skip
        first, reading, ask = turning[0]
        rows = reading.rows or reading.conditional
        yield this.finding(
            # The author cannot be asked for what no document states.
            "special" if condition in UNSTATABLE else "open",
            [one.given.place for one, _, _ in turning],
            value=", ".join(dict.fromkeys(given for _, given in named)),
            condition=LABELS[condition],
            listed=listed,
            ask=f"{first.name} {reading.value:g} {reading.unit}, {question(ask, reading.unit)}",
            **cite(case, rows, reading.unit, reading.grade or "memory"),
        )


def _nothing(case: Case, this: Rule, judged: Sequence[Judged]) -> Iterator[Finding]:
    """Report once what could not be compared because nothing printed applies."""
    silent: dict[str, dict[str, list[Judged]]] = {}
    compared = {(one.name, one.label) for one in judged if one.kind != "nothing"}
    for one in (one for one in judged if one.kind == "nothing"):
        silent.setdefault(one.name, {}).setdefault(one.label, []).append(one)
    if not silent:
        return
    parts = []
    for name, labels in silent.items():
        of = []
        for label, alike in labels.items():
            in_part = (name, label) in compared
            said = f" for {conditions_of(one.situation for one in alike)}" if in_part else ""
            recalled = " (inside what is recalled)" if all(map(_in_memory, alike)) else ""
            of.append(f"{label}{said}{recalled}")
        parts.append(f"{name} of {', '.join(of)}")
    every = [one for labels in silent.values() for alike in labels.values() for one in alike]
    yield this.finding(
        "nothing",
        [one.given.place for one in every],
        value=", ".join(dict.fromkeys(str(one.given) for one in every)),
        nothing=f"no own range fits, {BY_OWN}" if case.store.instead else "no published range fits",
        parts="; ".join(parts),
    )


def _in_memory(judged: Judged) -> bool:
    """Whether both ends are inside recalled ranges, which pass nothing."""
    return all(r.from_memory and r.from_memory.verdict == "inside" for r in judged.readings)


def _said_by_own(case: Case, one: Judged) -> dict[str, Any]:
    """What own rows say beside published ones: for information, whatever it is."""
    ranges = [(reading, own) for reading in one.readings
              if (own := reading.from_own) and own.verdict != "no published range"]  # fmt: skip
    if not ranges:
        return {}
    says = dict.fromkeys(
        f"{reading.value:g} {reading.unit} is {verdict_word(own.verdict, own=True)}"
        + (f" by {own.by:g} {reading.unit}" if own.verdict in ("low", "high") else "")
        + (f" ({question(own.ask, reading.unit)})" if own.ask else "")
        for reading, own in ranges
    )
    rows = [row for _, own in ranges for row in own.rows if row.verdict]
    grade = max((row.how_read for row in rows), key=GRADES.index, default="read")
    recalled = ", from memory" if grade == "memory" else ""
    return {"key": "own", "document": OWN_DOCUMENT, "recalled": recalled,
            "says": " and ".join(says), **cite(case, rows, one.given.unit, grade)}  # fmt: skip


def cite(case: Case, rows: Sequence[Row], unit: str, grade: str) -> dict[str, Any]:
    """Cite the rows of a judgement: each range as printed, and the place of the first.

    `unit` is the document's; a range printed in another unit is given in both.
    """
    if not rows:
        return {"source": ("", "", grade)}
    deciding = [row for row in rows if row.verdict != "inside"] or rows
    ranges = dict.fromkeys(_range(case, row, unit) for row in deciding)
    left = len(ranges) - MOST_ROWS
    shown = "; ".join(list(ranges)[:MOST_ROWS]) + (f"; and {left} more" if left > 0 else "")
    row = deciding[0]
    return {"expected": shown, "source": (row.source_id, row.locator or "", grade)}


def _range(case: Case, row: Row, unit: str) -> str:
    """Write a row's range, in the document's unit too, with the conditions that it assumes."""
    text = span(row)
    printed, wanted = (case.units.by_spelling.get(name) for name in (row.unit, unit))
    if printed and wanted and printed.label != wanted.label:
        ends = [
            None
            if end is None
            else float(
                f"{(end * printed.factor + printed.shift - wanted.shift) / wanted.factor:.3g}"
            )
            for end in (row.min, row.max, row.typical)
        ]
        own = replace(row, min=ends[0], max=ends[1], typical=ends[2], unit=wanted.label)
        text += f", that is {span(own)}"
    more = ", ".join(f"{LABELS[name]} {value}" for name, value in row.assumed.items())
    return f"{text} (if {more})" if more else text
