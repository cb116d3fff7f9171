"""Lay out the published rows that answer practice sheets, and no others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from weldref.core.situation import LABELS
from weldref.core.verdict import Row
from weldref.data.store import Store
from weldref.handouts.answers import basis_text, range_text
from weldref.handouts.blocks import Block, Column, Facts, Heading, Rows, Table
from weldref.handouts.conversion import number
from weldref.handouts.facts import remark_text, statement_text
from weldref.handouts.practice_draw import Practice
from weldref.handouts.settings import stated_text
from weldref.handouts.sources import Notes
from weldref.handouts.tables import GRADES
from weldref.handouts.tickets import Finding
from weldref.handouts.words import Words, later
from weldref.handouts.worked import formula

Cells = tuple[str, str, str]
SUBJECTS = {"polarity": later("Polarity"), "gas": later("Gas")}


def reference_blocks(made: Practice, notes: Notes) -> Iterator[Block]:
    """Write the rows by quantity, the statements by subject, then the equations and rules."""
    words, say = made.words, made.words.say
    findings = [f for sheet in made.sheets for _, found in sheet.tickets for f in found]
    columns = (
        Column(say("range"), 1.4), Column(say("for"), 3.6), Column(say("read [source]"), 1.2),
    )  # fmt: skip
    groups = tuple(_groups(made, findings, notes))
    if groups:
        yield Table(columns, groups)
    for subject, title in SUBJECTS.items():
        texts = dict.fromkeys(
            statement_text(statement, words, notes)
            for finding in findings
            if finding.subject == subject
            for statement in finding.statements
        )
        if texts:
            yield Facts(((say(title), tuple(texts)),))
    rules = tuple(dict.fromkeys(_rules(made, findings, notes)))
    if rules:
        yield Heading(say("Equations and rules"), 2)
        yield Facts(((say("Rule"), rules),))


def _groups(made: Practice, findings: list[Finding], notes: Notes) -> Iterator[Rows]:
    names = {
        row["quantity"]: row["name"]
        for row in made.store.rows("SELECT quantity, name FROM quantities ORDER BY rowid")
    }
    found: dict[str, dict[str, Row]] = defaultdict(dict)
    for finding in findings:
        if finding.reading is not None:
            rows = finding.reading.rows or finding.reading.conditional
            found[finding.subject] |= {row.window_id: row for row in rows}
    for quantity, name in names.items():
        if quantity in found:
            title = made.words.term(name)
            listed = found[quantity].values()
            cells = {row_cells(made.store, one, made.words, notes) for one in listed}
            yield Rows(
                title[:1].upper() + title[1:],
                tuple(sorted(cells, key=lambda one: (one[1], one[0]))),
            )


def row_cells(store: Store, row: Row, words: Words, notes: Notes) -> Cells:
    """Write a row: its range, all that it holds for, how it was read and where it stands."""
    holds = [
        words.say(
            "{name}: {value}",
            name=words.say(LABELS[name]),
            value=stated_text(store, row.window_id, name, value, words),
        )
        for name, value in row.conditions.items()
    ]
    return (
        range_text(row.min, row.max, row.typical, row.unit, words),
        words.listed(holds),
        f"{words.say(GRADES[row.how_read])}\u00a0{notes.mark(row.source_id, row.locator)}",
    )


def _rules(made: Practice, findings: list[Finding], notes: Notes) -> Iterator[str]:
    say = made.words.say
    for finding in findings:
        if finding.rule is not None:
            yield remark_text(finding.rule, made.words, notes, why=True)
        if finding.efficiency is not None:
            equation = formula("heat-input").equation
            yield say("{equation}; here k = {k}", equation=equation, k=number(finding.efficiency))
    for sheet in made.sheets:
        for question in sheet.questions:
            yield basis_text(question, made.words, notes)
