"""Lay out a wall chart: one process on one page, with sources and cautions below."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from weldref.advice import choices
from weldref.advice.card import unit_of
from weldref.core.situation import LABELS, Situation
from weldref.data.store import Store
from weldref.handouts.blocks import (
    Block,
    ChartCell,
    ChartRow,
    Entry,
    EntryLook,
    Heading,
    Items,
    Matrix,
    Paragraph,
)  # fmt: skip
from weldref.handouts.chart_grid import Charted, Grid
from weldref.handouts.conversion import Converter, number, rounded, sign
from weldref.handouts.facts import statement_text
from weldref.handouts.selection import Selection
from weldref.handouts.settings import Setting, band_text, conditions_said
from weldref.handouts.sources import Notes
from weldref.handouts.tables import fraction
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
    yield Items(
        (
            say("Each number is one printed statement and ends with the number of its source."),
            say("Plain: seen in the source's text. Dashed frame: quoted in another document."),
            say("Dotted frame, slanted: from memory, not seen in print; it decides nothing."),
            say("Double frame: the school's own, not published."),
            say("≈: converted, with the printed number below. –: nothing is known here."),
            *grid.left_out,
        ),
        look="small",
    )


def matrix(store: Store, selection: Selection, grid: Grid, notes: Notes) -> Matrix:
    """Word the cells of a chart."""
    words, converter = selection.words, Converter(store)
    units = {quantity: unit_of(store, quantity, selection.typed) for _, quantity in grid.columns}
    one_quantity = len(set(units)) == 1 and len(grid.columns) > 1
    titles = tuple(
        (title, "" if one_quantity else sign(units[quantity])) for title, quantity in grid.columns
    )
    heads, rows = list(grid.heads), []
    electrodes = one_quantity and "SMAW" in grid.shared.terms["process"].broader
    if electrodes:
        heads.append(words.say("polarity"))
    for line in grid.lines:
        labels = [_size(label) for label in line.labels]
        if electrodes:
            labels.append(_polarity(store, line.cells[0].situation, selection, notes))
        cells = [_worded(cell, units, words, converter, notes) for cell in line.cells]
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


def _size(label: str) -> str:
    """Write a size in inches as the trade does."""
    value, _, unit = label.rpartition(" ")
    if unit == "in" and value.replace(".", "").isdigit() and "/" in fraction(float(value)):
        return f"{fraction(float(value))} in"
    return label


def _polarity(store: Store, situation: Situation, selection: Selection, notes: Notes) -> str:
    words = selection.words
    found = choices.polarities(store, situation)
    printed = [one for one in found if one.how_read != "memory"] or found
    said = [replace(one, only_for=()) for one in printed]
    return words.listed(dict.fromkeys(statement_text(one, words, notes) for one in said))


def _worded(
    cell: Charted,
    units: Mapping[str, str],
    words: Words,
    converter: Converter,
    notes: Notes,
) -> ChartCell:
    entries: dict[tuple[str, tuple[str, ...], EntryLook], list[str]] = {}
    for setting in (*cell.settings, *cell.own):
        text, printed = _text(setting, units[cell.quantity], converter, words)
        said = tuple(filter(None, (printed, *_holds(cell.situation, setting, words))))
        mark = notes.mark(setting.row.source_id, setting.row.locator)
        marks = entries.setdefault((text, said, _look(setting)), [])
        if mark not in marks:
            marks.append(mark)
    worded = tuple(
        Entry(text, "".join(marks), said, look) for (text, said, look), marks in entries.items()
    )
    depends = ""
    if cell.depends:
        asked = words.listed(words.say(LABELS.get(name, name)) for name in cell.depends)
        depends = words.say("depends: which {condition}?", condition=asked)
    return ChartCell(worded, "" if worded else depends)


def _holds(situation: Situation, setting: Setting, words: Words) -> list[str]:
    """Say for what a row holds beyond its row of the chart; its thickness where it is another."""
    said, raw = conditions_said(setting, words), setting.raw
    low, high = raw["thickness_min_si"], raw["thickness_max_si"]
    asked = situation.thickness
    slack = 1e-6
    if asked and (low or 0.0) - slack <= asked.si <= (asked.si if high is None else high) + slack:
        return said
    band = band_text(raw, words)
    return [*said, words.say("thickness {band}", band=band)] if band else said


def _look(setting: Setting) -> EntryLook:
    if setting.row.own:
        return "own"
    return {"read": "printed", "secondary": "quoted", "memory": "recalled"}[setting.row.how_read]  # type: ignore[return-value]


def _text(setting: Setting, unit: str, converter: Converter, words: Words) -> tuple[str, str]:
    """Write a row in the column's unit, and as printed where that is another one."""
    row = setting.row
    if row.unit == unit:
        values = [value for value in (row.min, row.max, row.typical) if value is not None]
        whole = unit == "in" and all(fraction(value) for value in values)
        if whole:
            return _span(row.min, row.max, row.typical, fraction, "\u2009–\u2009"), ""
        return _span(row.min, row.max, row.typical, number), ""
    printed = _span(row.min, row.max, row.typical, number)
    converted = _span(
        row.min, row.max, row.typical,
        lambda n: rounded(converter.number_in(n, row.unit, unit), unit),
    )  # fmt: skip
    return f"≈ {converted}", words.say("printed {value} {unit}", value=printed, unit=sign(row.unit))


def _span(
    low: float | None,
    high: float | None,
    typical: float | None,
    write: Callable[[float], str],
    to: str = "–",
) -> str:
    if low is not None and high is not None:
        text = f"{write(low)}{to}{write(high)}" if low != high else write(low)
    elif low is not None:
        text = f"≥ {write(low)}"
    elif high is not None:
        text = f"≤ {write(high)}"
    else:
        return "" if typical is None else write(typical)
    return text if typical is None else f"{text} ({write(typical)})"
