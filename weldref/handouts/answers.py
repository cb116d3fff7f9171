"""Word the tickets and their answers in the key, around the engine's verdict."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from weldref.core.situation import LABELS
from weldref.core.units import parse_number
from weldref.core.verdict import Reading, Row
from weldref.data.store import Store
from weldref.handouts.arithmetic import Question
from weldref.handouts.blocks import Exercise
from weldref.handouts.conversion import Converter, number, rounded, sign
from weldref.handouts.facts import remark_text, statement_text
from weldref.handouts.sources import Notes
from weldref.handouts.tables import GRADES
from weldref.handouts.tickets import Finding, Ticket, heat_finding, resolve
from weldref.handouts.titles import situation_title
from weldref.handouts.words import Words, later

MOST_ROWS = 8
"""Printed rows that a line of the key names; more would hide the reason."""

SHEET_HEADER = ("sheet", "number", "situation", "set")
KEY_HEADER = (*SHEET_HEADER, "planted", "expected", "unit", "answer", "reasoning", "sources")

RIGHT, WRONG, ASK = later("right"), later("wrong"), later("ask")
"""What a ticket is answered by."""

OUTSIDE = {"low": later("low by {by} {unit}"), "high": later("high by {by} {unit}")}
"""How far outside a value is."""

Texts = tuple[str, str, str, str]


def asked(store: Store, ticket: Ticket | Question, words: Words) -> tuple[str, tuple[str, ...]]:
    """Write a ticket as the sheet shows it: the situation and what was set; or a question."""
    if isinstance(ticket, Question):
        return words.say(ticket.message, **ticket.values), ()
    names = {r["quantity"]: r["name"] for r in store.rows("SELECT quantity, name FROM quantities")}
    title = situation_title(resolve(store, ticket.conditions), words)
    lines = []
    if ticket.procedure:
        spans = [
            words.say("{name} {low} to {high} {unit}", name=words.term(names[quantity]), low=low,
                      high=high, unit=sign(unit))
            for quantity, (low, high, unit) in ticket.procedure.items()
        ]  # fmt: skip
        lines.append(words.say("The written procedure says: {ranges}", ranges=words.listed(spans)))
    for quantity, typed in {**ticket.readings, **ticket.shown}.items():
        value = _for_readers(store, quantity, typed, words)
        if quantity == "preheat":
            text = words.say("Base metal before welding: {value}", value=value)
        else:
            name = _sentence(words.term(names[quantity]))
            text = words.say("{name}: {value}", name=name, value=value)
        lines.append(text)
    if ticket.recorded_heat is not None:
        lines.append(
            words.say(
                "Heat input recorded, with k = {k}: {value} kJ/in",
                k=number(heat_finding(store, resolve(store, ticket.conditions), ticket).efficiency),
                value=number(ticket.recorded_heat),
            )
        )
    if ticket.family == "written":
        title = words.say("Written procedure, invented: {situation}", situation=title)
    for name, value in ticket.numbers.items():
        lines.append(words.say("{name}: {value}", name=words.say(NUMBERED[name]), value=value))
    if ticket.family in JUDGED_BY:
        lines.append(words.say(JUDGED_BY[ticket.family]))
    return title, tuple(lines)


NUMBERED = {"p_number": later("P-Number"), "f_number": later("F-number")}
JUDGED_BY = {
    "set-up": later(
        "Can it be set up this way? Most rules about it are trade practice from memory."
    ),
    "written": later(
        "Is every line of it possible? Some rules about it are trade practice from memory."
    ),
}
"""What is asked of a ticket, where recalled practice may answer it: that is said on the sheet."""


def shown_value(typed: str) -> str:
    """Write a value as typed with its unit as a person would.

    >>> shown_value("60 F"), shown_value("24 ft3/h")
    ('60 °F', '24 ft³/h')
    """
    value, _, unit = typed.partition(" ")
    return f"{value} {sign(unit)}"


def _for_readers(store: Store, quantity: str, typed: str, words: Words) -> str:
    """Write a value as typed; readers of other languages than English get the metric beside it."""
    text, (value, _, unit) = shown_value(typed), typed.partition(" ")
    converter, number_typed = Converter(store), parse_number(value)
    metric = converter.target(quantity, unit, "metric") if words.language != "en" else None
    if metric is None or number_typed is None:
        return text
    there = rounded(converter.number_in(number_typed, unit, metric), metric)
    return f"{text} (≈ {there} {sign(metric)})"


def exercise(store: Store, index: int, one: Ticket | Question, words: Words) -> Exercise:
    """Write a ticket or a question with room for the answer."""
    title, lines = asked(store, one, words)
    labels = (words.say("Right, wrong, or what to ask"), words.say("Why, and which source"))
    if isinstance(one, Question):
        labels = (words.say("Answer"),)  # type: ignore[assignment]
    return Exercise(index, title, ("; ".join(lines),) if lines else (), labels)


def key_row(
    store: Store,
    index: int,
    ticket: Ticket | Question,
    findings: Sequence[Finding],
    words: Words,
    notes: Notes,
) -> Texts:
    """Write a line of the key: what was asked, the answer, the reasoning with its sources."""
    title, lines = asked(store, ticket, words)
    if isinstance(ticket, Question):
        answer = f"{ticket.answer} {ticket.unit}".strip()
        return str(index), title, answer, basis_text(ticket, words, notes)
    if ticket.family == "depends":
        answer = words.say("Depends: {mistake}", mistake=words.say(ticket.mistake))
    elif ticket.mistake:
        answer = words.say("Wrong: {mistake}", mistake=words.say(ticket.mistake))
    else:
        answer = words.say("Right")
    names = {r["quantity"]: r["name"] for r in store.rows("SELECT quantity, name FROM quantities")}
    reasons = [reason(finding, names, words, notes) for finding in findings]
    if ticket.meant:
        reasons.append(
            words.say("Meant was {value}, which is inside.", value=shown_value(ticket.meant))
        )
    return str(index), ". ".join([title, *lines]), answer, " ".join(reasons)


def reason(finding: Finding, names: dict[str, str], words: Words, notes: Notes) -> str:
    """Say what the engine found for one line, and on what it rests."""
    say = words.say
    if finding.limits is not None:
        low, high, unit = finding.limits
        return say(
            "{name} {value}: {word}. Written procedure: {low} to {high} {unit}.",
            name=_sentence(words.term(names[finding.subject])),
            value=shown_value(finding.value),
            word=say(finding.word),
            low=low,
            high=high,
            unit=sign(unit),
        )
    if finding.reading is not None:
        reading = finding.reading
        name = _sentence(words.term(names[finding.subject]))
        word = say(reading.verdict)
        if reading.by and reading.verdict in OUTSIDE:
            by = rounded(reading.by, "")
            word = say(OUTSIDE[reading.verdict], by=by, unit=sign(reading.unit))
        if reading.ask:
            word = f"{word}: {question_text(reading, words)}"
        apart = reading.verdict in ("sources differ", "depends")
        rows = reading.rows or reading.conditional
        texts = [row_text(row, words, notes, apart=apart) for row in rows]
        printed = "; ".join(list(dict.fromkeys(texts))[:MOST_ROWS])
        return say(
            "{name} {value}: {word}. Printed: {rows}.",
            name=name,
            value=shown_value(finding.value),
            word=word,
            rows=printed,
        )
    if finding.computed is not None:
        return say(
            "Heat input from the numbers above, k = {k}: {computed} kJ/in; recorded {value}: "
            "{word}.",
            k=number(finding.efficiency),
            computed=rounded(finding.computed, "kJ/in"),
            value=shown_value(finding.value),
            word=say(finding.word),
        )
    said = "; ".join(
        dict.fromkeys(statement_text(s, words, notes) for s in finding.statements[:MOST_ROWS])
    )
    if finding.rule is not None:
        return remark_text(finding.rule, words, notes, why=True)
    if finding.subject == "set-up":
        printed = said or say("nothing published in this dataset")
        word = _sentence(say(finding.word))
        return say("{word}. Polarity and gas by the tables: {rows}.", word=word, rows=printed)
    names_of = {"polarity": later("Polarity"), "gas": later("Gas"), **NUMBERED}
    name = say(names_of[finding.subject])
    if finding.subject in NUMBERED:
        word = say(finding.word)
        return say(
            "{name} {value}: {word}. By the tables: {rows}.",
            name=name,
            value=finding.value,
            word=word,
            rows=said,
        )
    return say(
        "{name} {value}: {word}. Printed: {rows}.",
        name=name,
        value=words.term(finding.value),
        word=say(finding.word),
        rows=said,
    )


def question_text(reading: Reading, words: Words) -> str:
    """Write the question that a verdict depends on, with the word for each answer."""
    said = []
    for case in reading.cases:
        values = [words.term(value) for value in case.when.values() if value]
        named = words.listed(values) or words.say("another")
        said.append(words.say("{name}: {value}", name=named, value=words.say(case.verdict)))
    asked = words.say(LABELS[reading.ask.condition]) if reading.ask else ""
    return words.say("which {condition}? {answers}", condition=asked, answers=words.listed(said))


def row_text(row: Row, words: Words, notes: Notes, *, apart: bool) -> str:
    """Say one printed row: its range, for what it holds, its mark; `apart` adds its own verdict."""
    text = range_text(row.min, row.max, None, row.unit, words)
    assumed = [words.term(value) for name, value in row.assumed.items() if name != "thickness"]
    if assumed:
        text += f" ({words.listed(assumed)})"
    if row.how_read != "read":
        text += f", {words.say(GRADES[row.how_read])}"
    if apart and row.verdict:
        text += f": {words.say(row.verdict)}"
    return f"{text}\u00a0{notes.mark(row.source_id, row.locator)}"


def range_text(
    low: float | None, high: float | None, typical: float | None, unit: str, words: Words
) -> str:
    """Write a printed range or setting with its unit.

    >>> from weldref.handouts.words import words
    >>> range_text(110.0, 160.0, None, "A", words("en"))
    '110 to 160 A'
    >>> range_text(None, None, 25.0, "ft3/h", words("en"))
    '25 ft³/h'
    """
    values = {"low": number(low), "high": number(high), "unit": sign(unit)}
    if low is None and high is None:
        return f"{number(typical)} {sign(unit)}"
    if low is None:
        return words.say("at most {high} {unit}", **values)
    if high is None:
        return words.say("at least {low} {unit}", **values)
    if low == high:
        return f"{number(low)} {sign(unit)}"
    text = words.say("{low} to {high} {unit}", **values)
    if typical is not None:
        text += words.say(", typical {typical}", typical=number(typical))
    return text


def basis_text(question: Question, words: Words, notes: Notes) -> str:
    """Write what answers a question, how it was read and where it stands."""
    marks = "".join(dict.fromkeys(notes.mark(*source) for source in question.sources))
    grade = words.say(GRADES.get(question.grade, question.grade))
    basis = question.basis if question.formula_name else words.say(question.basis)
    return words.say("{equation} ({grade}) {marks}", equation=basis, grade=grade, marks=marks)


def key_record(
    sheet: int, one: Ticket | Question, row: Texts, words: Words, notes: Notes
) -> tuple[Any, ...]:
    """Write a line of the key as a line of a flat table, its sources written out."""
    index, asked_text, answer, reasoning = row
    planted = words.say(one.mistake) if isinstance(one, Ticket) and one.mistake else ""
    unit = one.unit if isinstance(one, Question) else ""
    texts = notes.texts()
    marks = dict.fromkeys(int(mark) for mark in re.findall(r"\[(\d+)\]", reasoning))
    sources = " | ".join(f"[{mark}] {texts[mark - 1]}" for mark in marks)
    return sheet, index, asked_text, "", planted, expected(one), unit, answer, reasoning, sources


def expected(one: Ticket | Question) -> str:
    """Say what a ticket or a question is answered by, in English as a file of answers has it.

    >>> expected(Ticket("setting", {}, mistake="a slip of unit"))
    'wrong'
    """
    if isinstance(one, Question):
        return one.answer
    if one.family == "depends":
        return ASK
    return WRONG if one.mistake else RIGHT


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
