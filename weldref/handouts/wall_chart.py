"""Lay out a wall chart: one process on one page, with sources and cautions below."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from weldref.advice import choices
from weldref.advice.card import unit_of
from weldref.core.situation import Situation, electrode_size
from weldref.data.store import Store
from weldref.handouts.blocks import (
    Block,
    ChartRow,
    Heading,
    Items,
    Matrix,
    Paragraph,
)  # fmt: skip
from weldref.handouts.chart_cells import legend, worded
from weldref.handouts.chart_grid import Grid
from weldref.handouts.conversion import Converter, fraction, sign, with_metric
from weldref.handouts.facts import statement_text
from weldref.handouts.selection import Selection
from weldref.handouts.sources import Notes
from weldref.handouts.titles import situation_spelled, situation_title
from weldref.handouts.words import Words


def chart_blocks(store: Store, selection: Selection, grid: Grid, notes: Notes) -> Iterator[Block]:
    """Lay out a chart: its title, the matrix, and how to read it."""
    words = selection.words
    say = words.say
    yield Heading(situation_title(grid.shared, words), 1)
    yield Paragraph(situation_spelled(store, grid.shared, words), "lead")
    yield matrix(store, selection, grid, notes)
    yield Heading(say("How to read this chart"), 2)
    yield Items((*legend(words), *grid.left_out), look="small")


def matrix(store: Store, selection: Selection, grid: Grid, notes: Notes) -> Matrix:
    """Word the cells of a chart."""
    words, converter = selection.words, Converter(store)
    units = {quantity: unit_of(store, quantity, selection.typed) for _, quantity in grid.columns}
    one_quantity = len(set(units)) == 1 and len(grid.columns) > 1
    titles = tuple(
        (_size(store, title, words, wire=True), "" if one_quantity else sign(units[quantity]))
        for title, quantity in grid.columns
    )
    heads, rows = list(grid.heads), []
    electrodes = one_quantity and "SMAW" in grid.shared.terms["process"].broader
    if electrodes:
        heads.append(words.say("polarity"))
    for line in grid.lines:
        first, *more = line.labels
        labels = [
            _size(store, first, words),
            *(_size(store, one, words, wire=True) for one in more),
        ]
        if electrodes:
            labels.append(_polarity(store, line.cells[0].situation, selection, notes))
        cells = [worded(cell, units[cell.quantity], words, converter, notes) for cell in line.cells]
        rows.append(ChartRow(tuple(labels), tuple(cells)))
    caption = []
    if one_quantity:
        name = words.term(grid.lines[0].cells[0].group.name)
        caption.append(f"{name}, {sign(units[grid.columns[0][1]])}")
    entries = [entry for row in rows for cell in row.cells for entry in cell.entries]
    shared = [text for text in entries[0].holds if all(text in e.holds for e in entries)]
    caption += shared
    return Matrix(
        tuple(heads), titles, tuple(_without(row, shared) for row in rows), words.listed(caption)
    )


def _without(row: ChartRow, shared: Sequence[str]) -> ChartRow:
    """Leave out of the cells what holds for all of them."""
    cells = [
        replace(cell, entries=tuple(
            replace(entry, holds=tuple(text for text in entry.holds if text not in shared))
            for entry in cell.entries
        ))
        for cell in row.cells
    ]  # fmt: skip
    return replace(row, cells=tuple(cells))


def _size(store: Store, label: str, words: Words, *, wire: bool = False) -> str:
    """Write a size in inches as the trade does; of a wire the size that it is sold as."""
    value, _, unit = label.rpartition(" ")
    if unit != "in":
        return label
    if value.replace(".", "").isdigit() and "/" in fraction(float(value)):
        label = f"{fraction(float(value))} in"
    return with_metric(label, words, electrode_size(store, label, "us")[1] if wire else None)


def _polarity(store: Store, situation: Situation, selection: Selection, notes: Notes) -> str:
    words = selection.words
    found = choices.polarities(store, situation)
    printed = [one for one in found if one.how_read != "memory"] or found
    said = [replace(one, only_for=()) for one in printed]
    return words.listed(dict.fromkeys(statement_text(one, words, notes) for one in said))
