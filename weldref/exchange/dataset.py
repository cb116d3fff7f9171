"""Hold a dataset in memory: its tables as they are published, with cells of plain types."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from weldref.errors import InputError
from weldref.exchange.table_schema import key_of, types

if TYPE_CHECKING:
    from weldref.data.store import Store

Cell = str | float | bool | None
"""What a cell holds: text, a finite number, true or false, or nothing."""

Row = tuple[Cell, ...]

MB = 1024 * 1024
MOST_BYTES = 40 * MB
MOST_COLUMNS = 500
MOST_ROWS = 200_000
"""Limits of an untrusted dataset: some forty times what ours needs."""


@dataclass(frozen=True, slots=True)
class Table:
    """The columns of a table and its rows."""

    columns: tuple[str, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Dataset:
    """Tables by name; `name` is for messages, version and digest are None if it states none."""

    name: str
    tables: dict[str, Table]
    version: str | None = None
    digest: str | None = None


def cell(value: object, kind: str = "string") -> Cell:
    """Turn what a format holds into a plain cell of a column's type.

    A value that does not fit the type stays as text: it is compared, never lost.

    >>> cell("110", "number"), cell(1, "boolean"), cell("", "string"), cell("abc", "number")
    (110.0, True, None, 'abc')

    Raises
    ------
    InputError
        If the value is not a text, a number, a boolean or nothing.
    """
    if value is None or value == "":
        return None
    if not isinstance(value, str | float | int):
        raise InputError(f"a cell holds a {type(value).__name__}; give text or a number")
    if kind == "boolean" and value in (True, False, "true", "false"):
        return value in (True, "true")
    if kind == "number" and not isinstance(value, bool):
        try:
            number = float(value)
        except (ValueError, OverflowError):
            return text(value)
        # "Not a number" would differ from itself.
        return number if math.isfinite(number) else text(value)
    return text(value)


def text(value: Cell) -> str:
    """Write a cell as text: whole numbers without a point, booleans as true or false.

    >>> text(110.0), text(0.035), text(True), text(None)
    ('110', '0.035', 'true', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return str(value)


def shown(name: object) -> str:
    """Shorten an untrusted name for a message."""
    return str(name)[:60]


def table_of(name: str, columns: Iterable[str], rows: Iterable[Iterable[object]]) -> Table:
    """Make a table of what was read, each cell of its column's type.

    Raises
    ------
    InputError
        If a name is not plain or appears twice, or there are too many rows or columns.
    """
    columns = tuple(columns)
    if len(columns) > MOST_COLUMNS or len(set(columns)) < len(columns):
        raise InputError(
            f"table '{shown(name)}' has more than {MOST_COLUMNS} columns, or one of them twice"
        )
    for one in (name, *columns):
        if not re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]{0,59}", one):
            raise InputError(f"'{shown(one)}' is not a name of a table or column")
    known = types().get(name, {})
    kinds = [known.get(column, "string") for column in columns]
    return Table(columns, tuple(_rows(name, rows, kinds)))


def _rows(name: str, rows: Iterable[Iterable[object]], kinds: list[str]) -> Iterator[Row]:
    for number, row in enumerate(rows):
        if number >= MOST_ROWS:
            raise InputError(f"table '{shown(name)}' has more than {MOST_ROWS:,} rows")
        try:
            cells = tuple(cell(value, kind) for value, kind in zip(row, kinds, strict=True))
        except InputError as error:
            raise InputError(f"table '{shown(name)}': {error}") from error
        yield cells


def published(store: Store) -> Dataset:
    """Read the published columns of every table out of a store, sorted by key.

    >>> from weldref.data.store import open_store
    >>> "min_si" in published(open_store()).tables["windows"].columns
    False
    """
    found = {}
    for table, columns in types().items():
        names = ", ".join(f'"{column}"' for column in columns)
        order = ", ".join(f'"{column}"' for column in (*key_of(table), *columns))
        cursor = store.connection.cursor()
        cursor.execute(f'SELECT {names} FROM "{table}" ORDER BY {order}')
        kinds = tuple(columns.values())
        rows = (map(cell, row, kinds) for row in cursor.fetchall())
        found[table] = Table(tuple(columns), tuple(tuple(row) for row in rows))
    (said,) = store.rows("SELECT version, digest FROM dataset")
    return Dataset("the tables of this package", found, said["version"], said["digest"])
