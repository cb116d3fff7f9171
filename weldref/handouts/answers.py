"""Word the tickets, their answers in the key, and the published rows that answer them."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from weldref.core.situation import LABELS
from weldref.core.units import parse_number
from weldref.core.verdict import Reading, Row
from weldref.grades import SHORT
from weldref.handouts.arithmetic import Question
from weldref.handouts.blocks import Block, Exercise, Facts, Heading, Rows, Table
from weldref.handouts.conversion import number, rounded
from weldref.handouts.practice_draw import Practice
from weldref.handouts.selection import quantity_names
from weldref.handouts.settings import stated_text
from weldref.handouts.texts import (
    Notes,
    remark_text,
    row_text,
    situation_title,
    statement_text,
)
from weldref.handouts.tickets import Finding, Ticket, heat_finding, resolve
from weldref.handouts.words import Words, later, sentence
from weldref.handouts.worked import EQUATION
from weldref.text import unit_sign

MOST_ROWS = 8
"""The most printed rows that a line of the key names: with more the reason is hard to find."""

SHEET_HEADER = ("sheet", "number", "situation", "set")
KEY_HEADER = (*SHEET_HEADER, "planted", "expected", "unit", "answer", "reasoning", "sources")

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
"""What a ticket asks where recalled practice may answer it; the sheet says so."""

Texts = tuple[str, str, str, str]


def asked(ticket: Ticket | Question, notes: Notes) -> tuple[str, tuple[str, ...]]:
    """Write a question, or a ticket as the sheet shows it: its situation and what was set."""
    words, say = notes.words, notes.words.say
    if isinstance(ticket, Question):
        return say(ticket.message, **ticket.values), ()
    situation = resolve(notes.store, ticket.conditions)
    title, lines = situation_title(situation, words), []
    if ticket.procedure:
        spans = words.listed(
            say("{name} {low} to {high} {unit}", name=notes.quantity(quantity), low=low,
                high=high, unit=unit_sign(unit))
            for quantity, (low, high, unit) in ticket.procedure.items()
        )  # fmt: skip
        lines.append(say("The written procedure says: {ranges}", ranges=spans))
    for quantity, typed in {**ticket.readings, **ticket.shown}.items():
        message = later("{name}: {value}")
        if quantity == "preheat":
            message = later("Base metal before welding: {value}")
        value = _for_readers(quantity, typed, notes)
        lines.append(say(message, name=sentence(notes.quantity(quantity)), value=value))
    if ticket.recorded_heat is not None:
        k = number(heat_finding(notes.store, situation, ticket).efficiency)
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


def _for_readers(quantity: str, typed: str, notes: Notes) -> str:
    """Write a value as typed, with its metric value in any language but English."""
    text, (value, _, unit) = shown_value(typed), typed.partition(" ")
    converter, parsed = notes.converter, parse_number(value)
    metric = converter.target(quantity, unit, "metric") if notes.words.language != "en" else None
    if metric is None or parsed is None:
        return text
    return f"{text} (≈ {converter.text_in(parsed, unit, metric)} {unit_sign(metric)})"


def exercise(index: int, one: Ticket | Question, notes: Notes) -> Exercise:
    """Write a ticket or a question with room for the answer."""
    (title, lines), say = asked(one, notes), notes.words.say
    labels: tuple[str, ...] = (say("Answer"),)
    if isinstance(one, Ticket):
        labels = (say("Right, wrong, or what to ask"), say("Why, and which source"))
    return Exercise(index, title, ("; ".join(lines),) if lines else (), labels)


def key_row(
    index: int, ticket: Ticket | Question, findings: Sequence[Finding], notes: Notes
) -> Texts:
    """Write a line of the key: what was asked, the answer, the reasoning with its sources."""
    (title, lines), say = asked(ticket, notes), notes.words.say
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
    """Say what the engine found for one line, and why."""
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
    """Write a printed row: its range, conditions and mark; `apart` adds its own verdict."""
    words = notes.words
    text = row_text(replace(row, typical=None), words)
    assumed = [words.term(value) for name, value in row.assumed.items() if name != "thickness"]
    if assumed:
        text += f" ({words.listed(assumed)})"
    if row.how_read != "read":
        text += f", {words.say(SHORT[row.how_read])}"
    if apart and row.verdict:
        text += f": {words.say(row.verdict)}"
    return notes.marked(text, row)


def basis_text(question: Question, notes: Notes) -> str:
    """Write what answers a question, how it was read and its source."""
    say = notes.words.say
    marks = "".join(dict.fromkeys(map(notes.mark, question.sources)))
    grade = say(SHORT.get(question.grade, question.grade))
    basis = question.basis if question.formula_name else say(question.basis)
    return say("{equation} ({grade}) {marks}", equation=basis, grade=grade, marks=marks)


def key_record(sheet: int, one: Ticket | Question, row: Texts, notes: Notes) -> tuple[Any, ...]:
    """Write a line of the key for a spreadsheet, with its sources in full."""
    number, asked_text, answer, reasoning = row
    planted = notes.words.say(one.mistake) if one.mistake else ""
    texts = notes.texts()
    marks = dict.fromkeys(int(mark) for mark in re.findall(r"\[(\d+)\]", reasoning))
    sources = " | ".join(f"[{mark}] {texts[mark - 1]}" for mark in marks)
    head = (sheet, number, asked_text, "", planted, one.answer, one.unit)
    return *head, answer, reasoning, sources


def reference_blocks(made: Practice, notes: Notes) -> Iterator[Block]:
    """Write the rows by quantity; the statements by subject, then the equations and rules."""
    say = made.words.say
    findings = [f for sheet in made.sheets for _, found in sheet.tickets for f in found]
    if groups := tuple(_groups(findings, notes)):
        columns = ((say("range"), 1.4), (say("for"), 3.6), (say("read [source]"), 1.2))
        yield Table.of(columns, *groups)
    for subject, title in SUBJECTS.items():
        texts = dict.fromkeys(
            statement_text(statement, notes)
            for finding in findings
            if finding.subject == subject
            for statement in finding.statements
        )
        if texts:
            yield Facts(((say(title), tuple(texts)),))
    if rules := tuple(dict.fromkeys(_rules(made, findings, notes))):
        yield Heading(say("Equations and rules"), 2)
        yield Facts(((say("Rule"), rules),))


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
    """Write a row: its range, its conditions, how it was read and its source."""
    words, say = notes.words, notes.words.say
    holds = []
    for name, value in row.conditions.items():
        stated = stated_text(notes.store, row.window_id, name, value, words)
        holds.append(say("{name}: {value}", name=say(LABELS[name]), value=stated))
    return (
        row_text(row, words),
        words.listed(holds),
        notes.marked(say(SHORT[row.how_read]), row),
    )


def _rules(made: Practice, findings: list[Finding], notes: Notes) -> Iterator[str]:
    for finding in findings:
        if finding.rule is not None:
            yield remark_text(finding.rule, notes, why=True)
        if finding.efficiency is not None:
            k = number(finding.efficiency)
            yield notes.words.say("{equation}; here k = {k}", equation=EQUATION, k=k)
    for sheet in made.sheets:
        for question in sheet.questions:
            yield basis_text(question, notes)
