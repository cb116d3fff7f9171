"""Word the tickets, their answers in the key, and the published rows that answer them."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from weldref.core.situation import LABELS
from weldref.core.units import parse_number
from weldref.core.verdict import Reading, Row
from weldref.data.store import Store
from weldref.grades import SHORT
from weldref.handouts.arithmetic import Question
from weldref.handouts.blocks import Block, Column, Exercise, Facts, Heading, Rows, Table
from weldref.handouts.conversion import Converter, number, rounded
from weldref.handouts.practice_draw import Practice
from weldref.handouts.selection import quantity_names
from weldref.handouts.settings import stated_text
from weldref.handouts.texts import Notes, remark_text, situation_title, statement_text
from weldref.handouts.tickets import Finding, Ticket, heat_finding, resolve
from weldref.handouts.words import Words, later, sentence
from weldref.handouts.worked import formula
from weldref.text import unit_sign

MOST_ROWS = 8
"""Printed rows that a line of the key names; more would hide the reason."""

SHEET_HEADER = ("sheet", "number", "situation", "set")
KEY_HEADER = (*SHEET_HEADER, "planted", "expected", "unit", "answer", "reasoning", "sources")

RIGHT, WRONG, ASK = later("right"), later("wrong"), later("ask")
"""What a ticket is answered by."""

OUTSIDE = {"low": later("low by {by} {unit}"), "high": later("high by {by} {unit}")}
"""How far outside a value is."""

NUMBERED = {"p_number": later("P-Number"), "f_number": later("F-number")}
SUBJECTS = {"polarity": later("Polarity"), "gas": later("Gas")}

JUDGED_BY = {
    "set-up": later(
        "Can it be set up this way? Most rules about it are trade practice from memory."
    ),
    "written": later(
        "Is every line of it possible? Some rules about it are trade practice from memory."
    ),
}
"""What is asked of a ticket, where recalled practice may answer it: that is said on the sheet."""

Texts = tuple[str, str, str, str]


def asked(store: Store, ticket: Ticket | Question, words: Words) -> tuple[str, tuple[str, ...]]:
    """Write a ticket as the sheet shows it: the situation and what was set; or a question."""
    say = words.say
    if isinstance(ticket, Question):
        return say(ticket.message, **ticket.values), ()
    situation, names = resolve(store, ticket.conditions), quantity_names(store)
    title, lines = situation_title(situation, words), []
    if ticket.procedure:
        spans = words.listed(
            say("{name} {low} to {high} {unit}", name=words.term(names[quantity]), low=low,
                high=high, unit=unit_sign(unit))
            for quantity, (low, high, unit) in ticket.procedure.items()
        )  # fmt: skip
        lines.append(say("The written procedure says: {ranges}", ranges=spans))
    for quantity, typed in {**ticket.readings, **ticket.shown}.items():
        name, message = sentence(words.term(names[quantity])), later("{name}: {value}")
        if quantity == "preheat":
            message = later("Base metal before welding: {value}")
        value = _for_readers(store, quantity, typed, words)
        lines.append(say(message, name=name, value=value))
    if ticket.recorded_heat is not None:
        k = number(heat_finding(store, situation, ticket).efficiency)
        recorded = number(ticket.recorded_heat)
        lines.append(say("Heat input recorded, with k = {k}: {value} kJ/in", k=k, value=recorded))
    if ticket.family == "written":
        title = say("Written procedure, invented: {situation}", situation=title)
    for field, value in ticket.numbers.items():
        lines.append(say("{name}: {value}", name=say(NUMBERED[field]), value=value))
    if ticket.family in JUDGED_BY:
        lines.append(say(JUDGED_BY[ticket.family]))
    return title, tuple(lines)


def shown_value(typed: str) -> str:
    """Write a value as typed with its unit as a person would: 60 °F."""
    value, _, unit = typed.partition(" ")
    return f"{value} {unit_sign(unit)}"


def _for_readers(store: Store, quantity: str, typed: str, words: Words) -> str:
    """Write a value as typed; readers of other languages than English get the metric beside it."""
    text, (value, _, unit) = shown_value(typed), typed.partition(" ")
    converter, parsed = Converter(store), parse_number(value)
    metric = converter.target(quantity, unit, "metric") if words.language != "en" else None
    if metric is None or parsed is None:
        return text
    return f"{text} (≈ {converter.text_in(parsed, unit, metric)} {unit_sign(metric)})"


def exercise(store: Store, index: int, one: Ticket | Question, words: Words) -> Exercise:
    """Write a ticket or a question with room for the answer."""
    title, lines = asked(store, one, words)
    labels = (words.say("Answer"),)
    if isinstance(one, Ticket):
        labels = (words.say("Right, wrong, or what to ask"), words.say("Why, and which source"))  # type: ignore[assignment]
    return Exercise(index, title, ("; ".join(lines),) if lines else (), labels)


def key_row(
    index: int, ticket: Ticket | Question, findings: Sequence[Finding], notes: Notes
) -> Texts:
    """Write a line of the key: what was asked, the answer, the reasoning with its sources."""
    words, say = notes.words, notes.words.say
    title, lines = asked(notes.store, ticket, words)
    if isinstance(ticket, Question):
        answer = f"{ticket.answer} {ticket.unit}".strip()
        return str(index), title, answer, basis_text(ticket, notes)
    answer = say("Right")
    if ticket.family == "depends":
        answer = say("Depends: {mistake}", mistake=say(ticket.mistake))
    elif ticket.mistake:
        answer = say("Wrong: {mistake}", mistake=say(ticket.mistake))
    reasons = [_reason(finding, notes) for finding in findings]
    if ticket.meant:
        reasons.append(say("Meant was {value}, which is inside.", value=shown_value(ticket.meant)))
    return str(index), ". ".join([title, *lines]), answer, " ".join(reasons)


def _reason(finding: Finding, notes: Notes) -> str:
    """Say what the engine found for one line, and on what it rests."""
    words, say, subject = notes.words, notes.words.say, finding.subject
    name = sentence(words.term(quantity_names(notes.store).get(subject, "")))
    value, word = shown_value(finding.value), say(finding.word)
    printed = later("{name} {value}: {word}. Printed: {rows}.")
    if finding.limits is not None:
        low, high, unit = finding.limits
        return say(
            "{name} {value}: {word}. Written procedure: {low} to {high} {unit}.",
            name=name, value=value, word=word, low=low, high=high, unit=unit_sign(unit),
        )  # fmt: skip
    if reading := finding.reading:
        if reading.by and reading.verdict in OUTSIDE:
            by = rounded(reading.by, "")
            word = say(OUTSIDE[reading.verdict], by=by, unit=unit_sign(reading.unit))
        if reading.ask:
            word = f"{word}: {_question_text(reading, words)}"
        apart = reading.verdict in ("sources differ", "depends")
        rows = reading.rows or reading.conditional
        texts = dict.fromkeys(_row_text(row, notes, apart=apart) for row in rows)
        return say(printed, name=name, value=value, word=word, rows="; ".join([*texts][:MOST_ROWS]))
    if finding.computed is not None:
        k, computed = number(finding.efficiency), rounded(finding.computed, "kJ/in")
        return say(
            "Heat input from the numbers above, k = {k}: {computed} kJ/in; recorded {value}: "
            "{word}.",
            k=k, computed=computed, value=value, word=word,
        )  # fmt: skip
    statements = (statement_text(s, notes) for s in finding.statements[:MOST_ROWS])
    said = "; ".join(dict.fromkeys(statements))
    if finding.rule is not None:
        return remark_text(finding.rule, notes, why=True)
    if subject == "set-up":
        rows_said = said or say("nothing published in this dataset")
        word = sentence(word)
        return say("{word}. Polarity and gas by the tables: {rows}.", word=word, rows=rows_said)
    name = say({**SUBJECTS, **NUMBERED}[subject])
    if subject in NUMBERED:
        printed = later("{name} {value}: {word}. By the tables: {rows}.")
    return say(printed, name=name, value=words.term(finding.value), word=word, rows=said)


def _question_text(reading: Reading, words: Words) -> str:
    """Write the question that a verdict depends on, with the word for each answer."""
    said = []
    for case in reading.cases:
        values = [words.term(value) for value in case.when.values() if value]
        named = words.listed(values) or words.say("another")
        said.append(words.say("{name}: {value}", name=named, value=words.say(case.verdict)))
    asked = words.say(LABELS[reading.ask.condition]) if reading.ask else ""
    return words.say("which {condition}? {answers}", condition=asked, answers=words.listed(said))


def _row_text(row: Row, notes: Notes, *, apart: bool) -> str:
    """Say one printed row: its range, for what it holds, its mark; `apart` adds its own verdict."""
    words = notes.words
    text = range_text(row.min, row.max, None, row.unit, words)
    assumed = [words.term(value) for name, value in row.assumed.items() if name != "thickness"]
    if assumed:
        text += f" ({words.listed(assumed)})"
    if row.how_read != "read":
        text += f", {words.say(SHORT[row.how_read])}"
    if apart and row.verdict:
        text += f": {words.say(row.verdict)}"
    return f"{text}\u00a0{notes.mark(row.source_id, row.locator)}"


def range_text(
    low: float | None, high: float | None, typical: float | None, unit: str, words: Words
) -> str:
    """Write a printed range or setting with its unit."""
    values = {"low": number(low), "high": number(high), "unit": unit_sign(unit)}
    if low is None and high is None:
        return f"{number(typical)} {unit_sign(unit)}"
    if low is None:
        return words.say("at most {high} {unit}", **values)
    if high is None:
        return words.say("at least {low} {unit}", **values)
    if low == high:
        return f"{number(low)} {unit_sign(unit)}"
    text = words.say("{low} to {high} {unit}", **values)
    if typical is not None:
        text += words.say(", typical {typical}", typical=number(typical))
    return text


def basis_text(question: Question, notes: Notes) -> str:
    """Write what answers a question, how it was read and where it stands."""
    say = notes.words.say
    marks = "".join(dict.fromkeys(notes.mark(*source) for source in question.sources))
    grade = say(SHORT.get(question.grade, question.grade))
    basis = question.basis if question.formula_name else say(question.basis)
    return say("{equation} ({grade}) {marks}", equation=basis, grade=grade, marks=marks)


def key_record(sheet: int, one: Ticket | Question, row: Texts, notes: Notes) -> tuple[Any, ...]:
    """Write a line of the key as a line of a flat table, its sources written out."""
    index, asked_text, answer, reasoning = row
    planted = notes.words.say(one.mistake) if isinstance(one, Ticket) and one.mistake else ""
    unit = one.unit if isinstance(one, Question) else ""
    texts = notes.texts()
    marks = dict.fromkeys(int(mark) for mark in re.findall(r"\[(\d+)\]", reasoning))
    sources = " | ".join(f"[{mark}] {texts[mark - 1]}" for mark in marks)
    return sheet, index, asked_text, "", planted, expected(one), unit, answer, reasoning, sources


def expected(one: Ticket | Question) -> str:
    """Say what a ticket or a question is answered by, in English as a file of answers has it."""
    if isinstance(one, Question):
        return one.answer
    if one.family == "depends":
        return ASK
    return WRONG if one.mistake else RIGHT


def reference_blocks(made: Practice, notes: Notes) -> tuple[list[Table], list[Block]]:
    """Write the rows by quantity; the statements by subject, then the equations and rules."""
    say = made.words.say
    findings = [f for sheet in made.sheets for _, found in sheet.tickets for f in found]
    columns = (
        Column(say("range"), 1.4),
        Column(say("for"), 3.6),
        Column(say("read [source]"), 1.2),
    )
    groups = tuple(_groups(findings, notes))
    blocks: list[Block] = []
    for subject, title in SUBJECTS.items():
        texts = dict.fromkeys(
            statement_text(statement, notes)
            for finding in findings
            if finding.subject == subject
            for statement in finding.statements
        )
        if texts:
            blocks.append(Facts(((say(title), tuple(texts)),)))
    if rules := tuple(dict.fromkeys(_rules(made, findings, notes))):
        blocks += [Heading(say("Equations and rules"), 2), Facts(((say("Rule"), rules),))]
    return [Table(columns, groups)] if groups else [], blocks


def _groups(findings: list[Finding], notes: Notes) -> Iterator[Rows]:
    found: dict[str, dict[str, Row]] = defaultdict(dict)
    for finding in findings:
        if finding.reading is not None:
            rows = finding.reading.rows or finding.reading.conditional
            found[finding.subject] |= {row.window_id: row for row in rows}
    for quantity, name in quantity_names(notes.store).items():
        if quantity in found:
            cells = {_cells(row, notes) for row in found[quantity].values()}
            ordered = sorted(cells, key=lambda one: (one[1], one[0]))
            yield Rows(sentence(notes.words.term(name)), tuple(ordered))


def _cells(row: Row, notes: Notes) -> tuple[str, str, str]:
    """Write a row: its range, all that it holds for, how it was read and where it stands."""
    words, say = notes.words, notes.words.say
    holds = []
    for name, value in row.conditions.items():
        stated = stated_text(notes.store, row.window_id, name, value, words)
        holds.append(say("{name}: {value}", name=say(LABELS[name]), value=stated))
    return (
        range_text(row.min, row.max, row.typical, row.unit, words),
        words.listed(holds),
        f"{say(SHORT[row.how_read])}\u00a0{notes.mark(row.source_id, row.locator)}",
    )


def _rules(made: Practice, findings: list[Finding], notes: Notes) -> Iterator[str]:
    for finding in findings:
        if finding.rule is not None:
            yield remark_text(finding.rule, notes, why=True)
        if finding.efficiency is not None:
            equation, k = formula("heat-input").equation, number(finding.efficiency)
            yield notes.words.say("{equation}; here k = {k}", equation=equation, k=k)
    for sheet in made.sheets:
        for question in sheet.questions:
            yield basis_text(question, notes)
