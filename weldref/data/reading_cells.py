"""Turn recalled rows into cells that ask for a value without showing the recalled one.

A cell is one row: the document, the place, the conditions in words, and the names of the values
that the print should have. What was recalled stays in the store.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from weldref.data.fetch import Ask, Row
from weldref.data.schemas.declared import declared
from weldref.files import csv_rows

Kind = Literal["number", "words"]


@dataclass(frozen=True, slots=True)
class Columns:
    """Which columns of a table are shown to a reader, and which are asked.

    `sentences` are shown columns of which one that names the answer is kept back. `units` gives
    the unit of each column of numbers, or after a "=" the column that holds it.
    """

    shown: tuple[str, ...]
    numbers: tuple[str, ...]
    words: tuple[str, ...]
    sentences: tuple[str, ...]
    units: dict[str, str]


@cache
def asked_tables() -> dict[str, Columns]:
    """Return the tables whose recalled rows can be asked for; rows of sentences alone cannot.

    >>> asked_tables()["densities"].numbers
    ('density',)
    """
    found = {}
    for line in csv_rows(Path(__file__).with_suffix(".csv")):
        table = line.pop("table")
        units = {
            one["column"]: one["unit"] or f"={one['unit_in']}"
            for one in declared()[table].lines
            if one["kind"] == "number"
        }
        cells = {name: tuple(cell.split()) for name, cell in line.items()}
        found[table] = Columns(**cells, units=units)
    return found


_NAMES = {"min": "minimum", "max": "maximum", "typical": "single value", "to": "up to",
          "co2": "CO2", "o2": "O2", "h2": "H2", "he": "He", "n2": "N2"}  # fmt: skip
_UNITS = {"1": "", "degF": "F", "degC": "C", "ft*lbf": "ft-lb"}
"""What a reader calls a unit; "1" stands for a plain number."""
_UNITS_IN_NAMES = ("_ksi", "_mpa", "_in", "_oz_per_ft2", "_lb_per_ft2")
_LABELS = {
    "decimal_in": "decimal size",
    "other_condition": "condition",
    "filler_class": "filler",
    "electrode_size": "diameter",
    "basis": "kind of statement",
    "material": "metal",
    "thickness_min": "thickness from",
    "thickness_max": "thickness up to",
    "thickness_to": "thickness up to",
    "tested_min": "tested from",
    "tested_max": "tested up to",
    "component_min": "component from",
    "component_max": "component up to",
}
_KEYS = ("fact_id", "unit", "thickness_unit", "tested_unit", "locator", "quantity")
"""Columns that tell rows apart or serve others, and are no condition of their own."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One value that the print should have: its column, its name and the unit of the row."""

    column: str
    name: str
    unit: str
    kind: Kind


@dataclass(frozen=True, slots=True)
class Cell:
    """A recalled row as a reader sees it: all but what was recalled.

    `kept_back` tells that a condition is not shown because it names the answer.
    """

    source_id: str
    table: str
    row: str
    place: str
    conditions: tuple[tuple[str, str], ...]
    quantity: str
    asked: tuple[Asked, ...]
    kept_back: bool = False

    @property
    def words(self) -> str:
        """What is asked for, in a line."""
        parts = [self.place, self.quantity or self.table.replace("_", " ")]
        parts += [f"{label} {value}" for label, value in self.conditions]
        return "; ".join(part for part in parts if part)[:400]


@dataclass(frozen=True, slots=True)
class Recalled:
    """A cell with the row that was recalled; `rowid` is its place in the store."""

    cell: Cell
    row: Row
    rowid: int

    @property
    def values(self) -> dict[str, Any]:
        """The recalled value of each column that is asked."""
        return {asked.column: self.row[asked.column] for asked in self.cell.asked}


def recalled(
    ask: Ask, source_id: str | None = None, *, every_grade: bool = False
) -> list[Recalled]:
    """List the recalled rows that can be asked for, of one document or of all.

    With `every_grade`, also the rows that have been read. `ask` is `rows` of a store of the
    published tables.

    >>> from weldref.data.store import open_store
    >>> found = recalled(open_store().rows, "en-1011-4")
    >>> bool(found[0].cell.conditions), bool(found[0].cell.asked)
    (True, True)
    """
    found = []
    for table, columns in asked_tables().items():
        rows = ask(
            f"""
            SELECT t.rowid AS _rowid, t.* FROM "{table}" t JOIN sources s USING (source_id)
            WHERE ($every OR t.how_read = 'memory') AND s.issuer IS DISTINCT FROM 'none'
                AND ($id IS NULL OR source_id = $id) ORDER BY t.rowid
            """,  # noqa: S608
            {"every": every_grade, "id": source_id},
        )
        for row in rows:
            rowid = row.pop("_rowid")
            cell = cell_of(table, columns, row)
            if cell.asked:
                found.append(Recalled(cell, row, rowid))
    return found


def cell_of(table: str, columns: Columns, row: Row) -> Cell:
    """Describe a row without its values."""
    asked = tuple(_asked(columns, row))
    answers = {str(row[one.column]).casefold() for one in asked if one.kind == "words"}
    numbers = {float(row[one.column]) for one in asked if one.kind == "number"}
    conditions, kept_back = [], False
    for name in columns.shown:
        value = row.get(name)
        if name in _KEYS or value is None:
            continue
        if name in columns.sentences and _names(str(value), numbers, answers):
            kept_back = True
            continue
        shown = f"{value:g}" if isinstance(value, float) else str(value)
        if isinstance(value, float):
            shown = f"{shown} {_unit(columns, row, name)}".strip()
        conditions.append((_LABELS.get(name, name.replace("_", " ")), shown))
    return Cell(
        row["source_id"], table, row_id(table, row), row.get("locator") or "", tuple(conditions),
        str(row.get("quantity") or "").replace("_", " "), asked, kept_back,
    )  # fmt: skip


def _asked(columns: Columns, row: Row) -> Iterator[Asked]:
    for column in columns.numbers:
        if row[column] is not None:
            yield Asked(column, _name(column), _unit(columns, row, column), "number")
    for column in columns.words:
        if row[column] is not None:
            yield Asked(column, column.replace("_", " "), "", "words")


def _unit(columns: Columns, row: Row, column: str) -> str:
    unit = columns.units[column]
    unit = row[unit[1:]] or "" if unit.startswith("=") else unit
    return _UNITS.get(unit, unit)


def _name(column: str) -> str:
    """Write the name of a column as words: its unit stands beside it."""
    for unit in _UNITS_IN_NAMES:
        column = column.removesuffix(unit)
    return " ".join(_NAMES.get(part, part) for part in column.split("_"))


def _names(text: str, numbers: set[float], answers: set[str]) -> bool:
    """Tell whether a sentence names one of the answers."""
    if any(abs(float(one)) in {abs(n) for n in numbers} for one in re.findall(r"\d+\.?\d*", text)):
        return True
    return any(word in re.findall(r"[\w.]+", text.casefold()) for word in answers)


def row_id(table: str, row: Row) -> str:
    """Name a row by what a reader is shown of it, so that the name tells nothing of its value.

    >>> row_id("densities", {"material": "copper", "unit": "g/cm3", "source_id": "a"})
    'densities:f9e131faa52a'
    """
    if table == "windows":
        return str(row["window_id"])
    held = [str(row["source_id"]), *(_plain(row.get(name)) for name in asked_tables()[table].shown)]
    return f"{table}:{hashlib.sha256(chr(0).join(held).encode()).hexdigest()[:12]}"


def _plain(value: Any) -> str:
    """Write a cell alike whether it comes from the store or from a CSV file."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    try:
        return f"{float(value):.12g}"
    except (TypeError, ValueError):
        return str(value)
