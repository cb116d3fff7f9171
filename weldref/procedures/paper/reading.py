"""Hold what was read from paper: cells with their places and doubts, confirmed or not.

Everything follows from the cells: correct one, and the procedure is made again from all of them.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from weldref.errors import InputError
from weldref.procedures.fields import in_words
from weldref.procedures.grid import Form, Row, forms_of, is_label, procedures_of
from weldref.procedures.model import Entry, MachineRead, Procedure, Range
from weldref.procedures.model import values as values_of
from weldref.procedures.paper.page import Box, Page, Sheet, box_of, cutter, place_of
from weldref.procedures.paper.rows import rows_of
from weldref.procedures.tree import Items, Leaf, leaves

NOT_UNDERSTOOD = "not understood"
FORMAT = "weldref-reading/1"


@dataclass(frozen=True, slots=True)
class Cell:
    """A text of a page: where it is, what was read, what it says now.

    `doubt` says in one clause why the reading may be wrong. `confirmed` is set once a person has
    compared the text with the picture.
    """

    page: int
    row: int
    column: int
    box: Box
    read: str
    text: str
    doubt: str = ""
    confirmed: bool = False

    @property
    def place(self) -> str:
        """The page and the box, as findings name it."""
        return place_of(self.page, self.box)


@dataclass(frozen=True, slots=True)
class Value:
    """A value of the procedure that is in a cell: its field, and how it is understood.

    `title` is the field in words; "not understood" where no field takes it.
    """

    field: str
    title: str
    said: str
    cell: Cell
    label: Cell | None
    doubt: str


@dataclass(frozen=True, slots=True)
class Reading:
    """A document that a machine has read; `digest` is the SHA-256 of its file."""

    file: str
    digest: str
    sheets: tuple[Sheet, ...]
    cells: tuple[Cell, ...]

    def procedures(self, *, pictures: bool = True) -> tuple[Procedure, ...]:
        """Make the procedures of the cells: one, or one for each page that states another number.

        With `pictures` each value has its picture cut out of its page.

        Raises `InputError` if no field of a procedure is recognised.
        """
        sheets: dict[str, dict[str, Row]] = {}
        for cell in self.cells:
            rows = sheets.setdefault(f"page {cell.page}", {})
            row = rows.setdefault(f"page {cell.page} row {cell.row}", {})
            row[cell.column] = Leaf(cell.text, cell.place)
        cut = cutter(self.sheets) if pictures else lambda _page, _box: b""
        forms = forms_of((title, rows.items()) for title, rows in sheets.items())
        nothing = (
            f"procedure: no field of a procedure is recognised in '{self.file}'; "
            "write its contents into the form (weldref procedure-template)"
        )
        return tuple(
            replace(made, machine_read=self._machine_read(made, form, cut))
            for made, form in zip(
                procedures_of(forms, self.file, "paper", nothing), forms, strict=True
            )
        )

    def _machine_read(
        self, made: Procedure, form: Form, cut: Callable[[int, Box], bytes]
    ) -> dict[str, MachineRead]:
        slips = {slip.place: slip.suspected for slip in reversed(made.slips)}
        # One of several texts behind one label may be a label itself.
        lists = (node for _, node in form.fields if isinstance(node, Items))
        several = {leaf.place for node in lists for leaf in leaves(node)}
        places = {*_fields_by_place(made), *(entry.place for entry in made.other)}
        found = {}
        for cell in self.cells:
            if cell.place in places:
                label = self._label_of(cell)
                doubts = (
                    cell.doubt,
                    label.doubt if label else "",
                    "several texts behind one label" if cell.place in several else "",
                    slips.get(cell.place, ""),
                )
                doubt = "; ".join(dict.fromkeys(filter(None, doubts)))
                picture = cut(cell.page, cell.box)
                found[cell.place] = MachineRead(doubt, cell.confirmed, picture)
        return found

    def values(self) -> tuple[Value, ...]:
        """List the values of the procedure with their cells, in reading order.

        What no field takes is listed too, as "not understood".
        """
        found = []
        for made in self.procedures(pictures=False):
            fields = _fields_by_place(made)
            other = {entry.place: entry.name for entry in made.other}
            passes = {
                f"passes[{turn}]": f"passes[{weld.label or turn + 1}]"
                for turn, weld in enumerate(made.passes)
            }
            for cell in self.cells:
                if cell.place not in made.machine_read:
                    continue
                at = fields.get(cell.place, [])
                if at:
                    name = at[0][0]
                    head, dot, rest = name.partition(".")
                    title = in_words(f"{passes.get(head, head)}{dot}{rest}")
                else:
                    name = title = f"{NOT_UNDERSTOOD}: {other[cell.place]}".rstrip(": ")
                said = "; ".join(dict.fromkeys(text for _, text in at))
                doubt = made.machine_read[cell.place].doubt
                found.append(Value(name, title, said, cell, self._label_of(cell), doubt))
        return tuple(found)

    def _label_of(self, cell: Cell) -> Cell | None:
        """Find the label of a value: the nearest to its left, or the heading above it."""
        labels = (
            one
            for one in self.cells
            if one.page == cell.page
            and (one.row, one.column) < (cell.row, cell.column)
            and (one.row == cell.row or one.column == cell.column)
            and is_label(one.text)
        )
        return max(labels, key=lambda one: (one.row == cell.row, one.row, one.column), default=None)

    @property
    def unconfirmed(self) -> int:
        """How many values nobody has confirmed."""
        return sum(not value.cell.confirmed for value in self.values())

    def confirm(self, place: str, text: str | None = None) -> Reading:
        """Mark a cell as confirmed by a person: it says what was read, or this text."""
        said = {} if text is None else {"text": text}
        return self._with(place, confirmed=True, **said)

    def open_again(self, place: str) -> Reading:
        """Undo a confirmation; what was typed stays."""
        return self._with(place, confirmed=False)

    def _with(self, place: str, **changes: Any) -> Reading:
        cells = (replace(one, **changes) if one.place == place else one for one in self.cells)
        return replace(self, cells=tuple(cells))

    def as_json(self) -> bytes:
        """Write the reading with its pictures, so that work on it can go on later."""
        value = {
            "format": FORMAT,
            "file": self.file,
            "sha256": self.digest,
            "pages": [
                asdict(sheet) | {"picture": base64.b64encode(sheet.picture).decode()}
                for sheet in self.sheets
            ],
            "cells": [
                asdict(cell) | {"box": [round(edge, 1) for edge in cell.box]} for cell in self.cells
            ],
        }
        return (json.dumps(value, ensure_ascii=False, indent=1) + "\n").encode()


def _fields_by_place(made: Procedure) -> dict[str, list[tuple[str, str]]]:
    """List the fields and the values that each place gives."""
    found: dict[str, list[tuple[str, str]]] = {}
    for name, value in values_of(made):
        if not isinstance(value, Entry):
            for place in (value.place, *(value.also_at if isinstance(value, Range) else ())):
                found.setdefault(place, []).append((name, str(value)))
    return found


def reading_of(pages: Iterable[Page], data: bytes, name: str = "") -> Reading:
    """Make a reading of the pages that were read from a file."""
    cells: list[Cell] = []
    sheets = []
    for page in pages:
        sheets.append(page.sheet)
        for number, row in enumerate(rows_of(page)):
            for column, word in row.items():
                text = " ".join(word.text.split())
                box = box_of(round(edge, 1) for edge in word.box)
                cells.append(Cell(page.number, number, column, box, text, text, word.doubt))
    return Reading(name, hashlib.sha256(data).hexdigest(), tuple(sheets), tuple(cells))


def saved_reading(data: bytes) -> Reading | None:
    r"""Open a reading that was saved as JSON; None for any other file.

    >>> saved_reading(b'{"wps": "7"}') is None
    True
    """
    if not data.startswith(b"{") or FORMAT.encode() not in data[:200]:
        return None
    try:
        value = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise InputError("procedure: the reading is not whole: it is not JSON") from error
    return reading_from(value)


def reading_from(value: Mapping[str, Any]) -> Reading:
    """Read a reading that was saved.

    Raises `InputError` if it is not one that this package wrote.
    """
    try:
        sheets = tuple(
            Sheet(
                float(one["width"]),
                float(one["height"]),
                base64.b64decode(one["picture"], validate=True),
            )
            for one in value["pages"]
        )
        cells = tuple(
            Cell(int(one["page"]), int(one["row"]), int(one["column"]), box_of(one["box"]),
                 str(one["read"]), str(one["text"]), str(one["doubt"]), one["confirmed"] is True)
            for one in value["cells"]
        )  # fmt: skip
        return Reading(str(value["file"]), str(value["sha256"]), sheets, cells)
    except (KeyError, TypeError, ValueError, OverflowError, AttributeError) as error:
        raise InputError(
            f"procedure: the reading is not one that weldref wrote ({FORMAT})"
        ) from error
