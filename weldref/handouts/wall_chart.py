"""Lay out a wall chart: one process on one page, with sources and cautions below."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from weldref.advice import choices
from weldref.advice.card import unit_of
from weldref.core.situation import Situation
from weldref.handouts.blocks import Block, ChartRow, Heading, Items, Matrix, Paragraph
from weldref.handouts.chart_cells import legend, worded
from weldref.handouts.chart_grid import Grid
from weldref.handouts.conversion import fraction, with_metric
from weldref.handouts.selection import Selection
from weldref.handouts.texts import Notes, situation_spelled, situation_title, statement_text
from weldref.text import unit_sign


def chart_blocks(selection: Selection, grid: Grid, notes: Notes) -> Iterator[Block]:
    """Lay out a chart: its title, the matrix, and how to read it."""
    words = notes.words
    yield Heading(situation_title(grid.shared, words), 1)
    yield Paragraph(situation_spelled(notes.store, grid.shared, words), "lead")
    yield _matrix(selection, grid, notes)
    yield Heading(words.say("How to read this chart"), 2)
    yield Items((*legend(words), *grid.left_out), look="small")


def _matrix(selection: Selection, grid: Grid, notes: Notes) -> Matrix:
    """Word the cells of a chart."""
    words, store = notes.words, notes.store
    units = {quantity: unit_of(store, quantity, selection.typed) for _, quantity in grid.columns}
    one_quantity = len(units) == 1 and len(grid.columns) > 1
    titles = tuple(
        (notes.size(_fraction(title)), "" if one_quantity else unit_sign(units[quantity]))
        for title, quantity in grid.columns
    )
    heads, rows = grid.heads, []
    electrodes = one_quantity and "SMAW" in grid.shared.terms["process"].broader
    if electrodes:
        heads = (*heads, words.say("polarity"))
    for line in grid.lines:
        first, *more = line.labels
        labels = [with_metric(_fraction(first), words)]
        labels += [notes.size(_fraction(label)) for label in more]
        if electrodes:
            labels.append(_polarity(line.cells[0].situation, notes))
        cells = (worded(cell, units[cell.quantity], notes) for cell in line.cells)
        rows.append(ChartRow(tuple(labels), tuple(cells)))
    caption = []
    if one_quantity:
        ((quantity, unit),) = units.items()
        caption.append(f"{notes.quantity(quantity)}, {unit_sign(unit)}")
    entries = [entry for row in rows for cell in row.cells for entry in cell.entries]
    shared = [text for text in entries[0].holds if all(text in e.holds for e in entries)]
    rows = [_without(row, shared) for row in rows]
    return Matrix(heads, titles, tuple(rows), words.listed([*caption, *shared]))


def _without(row: ChartRow, shared: Sequence[str]) -> ChartRow:
    """Remove from the cells of a row the conditions that all cells share."""
    cells = []
    for cell in row.cells:
        entries = (
            replace(one, holds=tuple(text for text in one.holds if text not in shared))
            for one in cell.entries
        )
        cells.append(replace(cell, entries=tuple(entries)))
    return replace(row, cells=tuple(cells))


def _fraction(label: str) -> str:
    """Write a size in inches as the trade does: as a fraction where it is one."""
    value, _, unit = label.rpartition(" ")
    if unit == "in" and value.replace(".", "").isdigit() and "/" in fraction(float(value)):
        return f"{fraction(float(value))} in"
    return label


def _polarity(situation: Situation, notes: Notes) -> str:
    found = choices.polarities(notes.store, situation)
    printed = [one for one in found if one.how_read != "memory"] or found
    said = [statement_text(replace(one, only_for=()), notes) for one in printed]
    return notes.words.listed(dict.fromkeys(said))
