"""Turn recalled rows into cells that ask for a value without showing the recalled one.

A cell is one row: the document, the place, the conditions in words, and the names of the values
that the document should print. The recalled values stay in the store.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
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

    `sentences` are those of the shown columns that are kept back when they name the answer.
    """

    shown: tuple[str, ...]
    numbers: tuple[str, ...]
    words: tuple[str, ...]
    sentences: tuple[str, ...]


@cache
def asked_tables() -> dict[str, Columns]:
    """Return the tables whose recalled rows can be asked for; rows of sentences alone cannot.

    >>> asked_tables()["densities"].numbers
    ('density',)
    """
    return {
        line.pop("table"): Columns(**{name: tuple(cell.split()) for name, cell in line.items()})
        for line in csv_rows(Path(__file__).with_suffix(".csv"))
    }


_NAMES = {"min": "minimum", "max": "maximum", "typical": "single value", "to": "up to",
          "co2": "CO2", "o2": "O2", "h2": "H2", "he": "He", "n2": "N2"}  # fmt: skip
_UNITS = {"1": "", "degF": "F", "degC": "C", "ft*lbf": "ft-lb"}
"""What a reader calls a unit; "1" is a plain number."""
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
"""Columns that tell rows apart or belong to another column: none is a condition of its own."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One value that the document should print: its column, its name and the unit of the row."""

    column: str
    name: str
    unit: str
    kind: Kind


@dataclass(frozen=True, slots=True)
class Cell:
    """A recalled row as a reader sees it: all but what was recalled.

    `kept_back` says that a condition is not shown because it names the answer.
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
    def key(self) -> tuple[str, str]:
        """The table and the row."""
        return self.table, self.row

    @property
    def title(self) -> str:
        """The quantity; in a table that has no quantities, the name of the table."""
        return self.quantity or self.table.replace("_", " ")

    @property
    def words(self) -> str:
        """What is asked for, in a line."""
        conditions = (f"{label} {value}" for label, value in self.conditions)
        return "; ".join(part for part in (self.place, self.title, *conditions) if part)[:400]

    def said(self, values: Mapping[str, Any]) -> str:
        """Write values with their names, and with the unit of the row where none was typed."""
        parts = []
        for asked in self.asked:
            value = _shown(values.get(asked.column, "-"))
            unit = asked.unit if value.replace(".", "").replace("-", "").isdecimal() else ""
            parts.append(f"{asked.name} {value} {unit}".strip())
        return ", ".join(parts)


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
    for table in asked_tables():
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
            cell = cell_of(table, row)
            if cell.asked:
                found.append(Recalled(cell, row, rowid))
    return found


def cell_of(table: str, row: Row) -> Cell:
    """Describe a row without its values."""
    columns = asked_tables()[table]
    asked = tuple(_asked(table, row))
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
        shown = _shown(value)
        if isinstance(value, float):
            shown = f"{shown} {_unit(table, row, name)}".strip()
        conditions.append((_LABELS.get(name, name.replace("_", " ")), shown))
    return Cell(
        row["source_id"], table, row_id(table, row), row.get("locator") or "", tuple(conditions),
        str(row.get("quantity") or "").replace("_", " "), asked, kept_back,
    )  # fmt: skip


def _shown(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def _asked(table: str, row: Row) -> Iterator[Asked]:
    for column in asked_tables()[table].numbers:
        if row[column] is not None:
            yield Asked(column, _name(column), _unit(table, row, column), "number")
    for column in asked_tables()[table].words:
        if row[column] is not None:
            yield Asked(column, column.replace("_", " "), "", "words")


def _unit(table: str, row: Row, column: str) -> str:
    (line,) = (line for line in declared()[table].lines if line["column"] == column)
    unit = line["unit"] or row[line["unit_in"]] or ""
    return _UNITS.get(unit, unit)


def _name(column: str) -> str:
    """Write the name of a column as words, without the unit, which is shown beside it."""
    for unit in _UNITS_IN_NAMES:
        column = column.removesuffix(unit)
    return " ".join(_NAMES.get(part, part) for part in column.split("_"))


def _names(text: str, numbers: set[float], answers: set[str]) -> bool:
    """Tell whether a sentence names one of the answers."""
    if any(abs(float(one)) in {abs(n) for n in numbers} for one in re.findall(r"\d+\.?\d*", text)):
        return True
    return any(word in re.findall(r"[\w.]+", text.casefold()) for word in answers)


def row_id(table: str, row: Row) -> str:
    """Name a row by what a reader is shown of it: its value cannot be told from the name.

    >>> row_id("densities", {"material": "copper", "unit": "g/cm3", "source_id": "a"})
    'densities:f9e131faa52a'
    """
    if table == "windows":
        return str(row["window_id"])
    held = [str(row["source_id"]), *(_plain(row.get(name)) for name in asked_tables()[table].shown)]
    return f"{table}:{hashlib.sha256(chr(0).join(held).encode()).hexdigest()[:12]}"


def _plain(value: Any) -> str:
    """Write a cell in the same way whether it comes from the store or from a CSV file."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    try:
        return f"{float(value):.12g}"
    except (TypeError, ValueError):
        return str(value)
