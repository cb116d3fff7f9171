"""Turn the words and ruled cells of a page into rows of cells, as a sheet has them.

A ruled table keeps its rows and columns. A cell with several labels and their values is split.
Words outside of rules are joined to texts by the gaps between them; in lines below a row of
headings, each text belongs to the heading above it.
"""

from __future__ import annotations

import re
from bisect import bisect
from collections import defaultdict
from collections.abc import Iterable
from itertools import chain, groupby, pairwise

from weldref.procedures.grid import below_heading, is_label
from weldref.procedures.paper.page import MARKS, Box, Page, Word, around, holds, joined, ticked

Line = list[Word]
Row = dict[int, Word]
TOUCH = 3.0
"""Points within which two edges are one rule."""
GAP = 0.85
"""Heights of a line that separate two texts on it."""


def rows_of(page: Page) -> list[Row]:
    """List the rows of a page from top to bottom; the rows of one table stay together.

    >>> from weldref.procedures.paper.page import Sheet
    >>> words = [Word("WPS", (10, 10, 40, 20)), Word("No.", (43, 10, 60, 20)),
    ...          Word("7", (120, 10, 126, 20))]
    >>> page = Page(1, Sheet(600, 800, b""), words, ())
    >>> [[cell.text for cell in row.values()] for row in rows_of(page)]
    [['WPS No.', '7']]
    """
    tables = _tables(page.cells)
    inside = [[word for word in page.words if _cell_at(table, word)] for table in tables]
    ruled = {id(word) for words in inside for word in words}
    blocks = [
        (min(cell[1] for cell in table), _ruled_rows(table, words))
        for table, words in zip(tables, inside, strict=True)
    ]
    free = _lines([word for word in page.words if id(word) not in ruled])
    tops = sorted(top for top, _ in blocks)
    # The lines between two tables are read together.
    for _, between in groupby(free, key=lambda line: bisect(tops, line[0].box[1])):
        block = list(between)
        blocks.append((block[0][0].box[1], _free_rows(block)))
    blocks.sort(key=lambda pair: pair[0])
    return [row for _, rows in blocks for row in rows if row]


def _tables(cells: Iterable[Box]) -> list[list[Box]]:
    """Put the cells together that share a rule."""
    tables: list[list[Box]] = []
    for cell in cells:
        near = [table for table in tables if any(_touch(cell, other) for other in table)]
        tables = [table for table in tables if table not in near]
        tables.append([cell, *(other for table in near for other in table)])
    return tables


def _touch(one: Box, other: Box) -> bool:
    return (
        one[0] <= other[2] + TOUCH
        and other[0] <= one[2] + TOUCH
        and one[1] <= other[3] + TOUCH
        and other[1] <= one[3] + TOUCH
    )


def _cell_at(table: list[Box], word: Word) -> Box | None:
    """Return the smallest cell that a word is in."""
    return min(
        (cell for cell in table if holds(cell, word.box)),
        key=lambda box: (box[2] - box[0]) * (box[3] - box[1]),
        default=None,
    )


def _ruled_rows(table: list[Box], words: list[Word]) -> list[Row]:
    """Read a ruled table; a cell that holds more than one text gets rows of its own."""
    tops = _edges(cell[1] for cell in table)
    lefts = _edges(cell[0] for cell in table)
    held: dict[Box, list[Word]] = defaultdict(list)
    for word in words:
        if cell := _cell_at(table, word):
            held[cell].append(word)
    lines_of = {cell: _lines(some) for cell, some in held.items()}
    # A row in which nearly every cell is a label is a row of headings without values.
    known: dict[int, list[bool]] = defaultdict(list)
    for cell, lines in lines_of.items():
        known[_at(tops, cell[1])].append(is_label(_text(chain(*lines))))
    rows: dict[int, Row] = defaultdict(dict)
    apart: dict[int, list[Row]] = defaultdict(list)
    for cell, lines in lines_of.items():
        row, column = _at(tops, cell[1]), _at(lefts, cell[0])
        headings = len(known[row]) > 3 and sum(known[row]) > 0.6 * len(known[row])
        if own := [] if headings else _own_rows(lines):
            apart[row] += own
        else:
            rows[row][column] = joined(list(chain(*lines)))
    found: list[Row] = []
    for row in range(len(tops)):
        found += [dict(sorted(rows[row].items())), *apart[row]]
    return found


def _own_rows(lines: list[Line]) -> list[Row]:
    """Split a cell that holds labels with values; an empty list if it holds one text."""
    if any(
        is_label(one.text) and not is_label(other.text)
        for line in lines
        for one, other in pairwise(line)
    ):
        return [dict(enumerate(line)) for line in lines]
    if len(lines) > 1 and _stands_over(lines):
        return [{0: joined(lines[0]), 1: joined(list(chain(*lines[1:])))}]
    return []


def _stands_over(lines: list[Line]) -> bool:
    """Whether the first line of a cell is a label and what is below it the value."""
    first, below = _text(lines[0]), _text(chain(*lines[1:]))
    if not is_label(first) or below_heading(below):
        return False
    if _height(lines[0]) < 0.9 * _height(lines[1]):
        return True  # labels are printed smaller than what is filled in
    if is_label(below):
        return False
    # A label may continue in the second line, but not with a number or a designation.
    plain = not below.isupper() and not re.search(r"\d", below)
    return not (plain and is_label(f"{first} {below}"))


def _edges(values: Iterable[float]) -> list[float]:
    """List the rules at some values: values close together are one rule."""
    edges: list[float] = []
    for value in sorted(values):
        if not edges or value - edges[-1] > TOUCH:
            edges.append(value)
    return edges


def _at(edges: list[float], value: float) -> int:
    return min(range(len(edges)), key=lambda index: abs(edges[index] - value))


def _lines(words: Iterable[Word]) -> list[Line]:
    """Put words on lines, from top to bottom, joined to texts by the gaps between them."""
    lines: list[list[Word]] = []
    for word in sorted(words, key=lambda one: (one.box[1] + one.box[3]) / 2):
        middle = (word.box[1] + word.box[3]) / 2
        if lines and middle < _middle(lines[-1]) + 0.5 * _height(lines[-1]):
            lines[-1].append(word)
        else:
            lines.append([word])
    return [_texts(sorted(line, key=lambda one: one.box[0])) for line in lines]


def _middle(line: Line) -> float:
    return sum((word.box[1] + word.box[3]) / 2 for word in line) / len(line)


def _height(line: Line) -> float:
    return max(word.box[3] - word.box[1] for word in line)


def _texts(line: Line) -> Line:
    """Join the words of a line; boxes to tick stay in one text with what is beside them."""
    height = _height(line)
    texts = [[line[0]]]
    for before, word in pairwise(line):
        gap = word.box[0] - before.box[2]
        marks = any(one.text in MARKS for one in texts[-1])
        beside = marks and (word.text in MARKS or before.text in MARKS)
        first = word.text in MARKS and not marks
        if (gap > GAP * height and not beside) or (first and is_label(_text(texts[-1]))):
            texts.append([word])
        else:
            texts[-1].append(word)
    return [ticked(joined(part)) for words in texts for part in _label_and_value(words)]


def _label_and_value(words: list[Word]) -> list[list[Word]]:
    """Separate a label that ends with a colon from the value behind it."""
    for index in range(1, len(words)):
        if words[index - 1].text.endswith(":") and is_label(_text(words[:index])):
            return [words[:index], words[index:]]
    return [words]


def _text(words: Iterable[Word]) -> str:
    return " ".join(word.text for word in words)


def _free_rows(lines: list[Line]) -> list[Row]:
    """Read lines without rules: headings with what is below them, else texts side by side."""
    rows: list[Row] = []
    index = 0
    while index < len(lines):
        headings, after = _headings(lines, index)
        if not headings:
            rows.append(dict(enumerate(lines[index])))
            index += 1
            continue
        rows.append(dict(enumerate(headings)))
        index = after
        while index < len(lines) and _below(lines[index], lines[index - 1]):
            row: Row = {}
            for text in lines[index]:
                column = _column(text, headings)
                row[column] = joined([row[column], text]) if column in row else text
            rows.append(dict(sorted(row.items())))
            index += 1
    return rows


def _headings(lines: list[Line], start: int) -> tuple[Line, int]:
    """Join the lines of a heading, which ends at the first line with numbers."""
    end = start
    while end < min(start + 4, len(lines)) and not re.search(r"\d", _text(lines[end])):
        end += 1
    if end == start or end == len(lines) or len(lines[end]) < 4:
        return [], start
    first = end - 1
    while first > start and _close(lines[first - 1], lines[first]):
        first -= 1
    columns = _columns([text for line in lines[first:end] for text in line])
    known = [one for one in columns if is_label(one.text)]
    if first > start or len(columns) < 4 or len(known) < 0.6 * len(columns):
        return [], start
    return columns, end


def _close(line: Line, below: Line) -> bool:
    """Whether a line is close above another, as the lines of one heading are."""
    gap = min(word.box[1] for word in below) - max(word.box[3] for word in line)
    return gap < 0.45 * _height(below)


def _columns(texts: Line) -> Line:
    """Join texts that are below each other."""
    columns: list[Line] = []
    for text in sorted(texts, key=lambda one: one.box[0]):
        reach = around([one.box for one in columns[-1]])[2] if columns else -1.0
        if columns and text.box[0] < reach:
            columns[-1].append(text)
        else:
            columns.append([text])
    return [joined(sorted(some, key=lambda one: one.box[1])) for some in columns]


def _below(line: Line, before: Line) -> bool:
    """Whether a line still belongs to the table above it."""
    apart = line[0].box[1] - before[0].box[3] > 2.5 * _height(line)
    return len(line) > 2 and not apart and not is_label(line[0].text)


def _column(text: Word, headings: Line) -> int:
    """Return the heading above a text: the one it overlaps most, else the nearest."""

    def distance(index: int) -> tuple[float, float]:
        left, _, right, _ = headings[index].box
        overlap = min(right, text.box[2]) - max(left, text.box[0])
        return -overlap, abs(left - text.box[0])

    return min(range(len(headings)), key=distance)
