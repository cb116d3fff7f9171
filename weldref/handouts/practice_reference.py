"""Lay out the published rows that answer practice sheets, and no others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from weldref.core.situation import LABELS
from weldref.core.verdict import Row
from weldref.handouts.answers import SUBJECTS, basis_text, range_text
from weldref.handouts.blocks import Block, Column, Facts, Heading, Rows, Table
from weldref.handouts.conversion import number
from weldref.handouts.facts import GRADES, remark_text, statement_text
from weldref.handouts.practice_draw import Practice
from weldref.handouts.selection import quantity_names
from weldref.handouts.settings import stated_text
from weldref.handouts.sources import Notes
from weldref.handouts.tickets import Finding
from weldref.handouts.words import sentence
from weldref.handouts.worked import formula


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
        f"{say(GRADES[row.how_read])}\u00a0{notes.mark(row.source_id, row.locator)}",
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
