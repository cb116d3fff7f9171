"""Find the rows of a table that contain given words.

Every word that is asked for must stand somewhere in a row or in the name of its document;
capitals do not count. Nothing is changed or left out but what the words and the grades exclude.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import import_module
from typing import Any

from weldref.cells import harmless
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.grades import GRADES

NO_GRADE = "no grade"
"""Stands for rows of a graded table that carry no grade of their own."""

MOST_WORDS = 12


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of a table in its order; `total` counts those that fit before the rest was cut off."""

    columns: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]
    total: int


@dataclass(frozen=True, slots=True)
class Document:
    """A document that rows point to; `name` is title, number and edition in one line."""

    source_id: str
    name: str
    title: str
    issuer: str | None
    document_number: str | None
    edition: str | None
    address: str | None
    terms: str | None
    how_read: str
    remark: str | None


# A store holds one content of the tables for good: what is kept by store cannot go stale.
@lru_cache(maxsize=4)
def documents(store: Store) -> dict[str, Document]:
    """Return every document by its key."""
    found = store.rows("SELECT s.*, d.name FROM sources s JOIN documents d USING (source_id)")
    for row in found:
        row.pop("own", None)  # the name of an own document says so
    return {row["source_id"]: Document(**row) for row in found}


@lru_cache(maxsize=256)
def columns(store: Store, table: str) -> tuple[str, ...]:
    """Name the columns of a table.

    Raises
    ------
    InputError
        If there is no table of that name.
    """
    if not store.rows("SELECT 1 FROM table_list WHERE name = $name", {"name": table}):
        raise InputError(f"table: '{table}' is not known; see weldref tables")
    found = store.rows(
        "SELECT column_name FROM duckdb_columns() WHERE table_name = $name ORDER BY column_index",
        {"name": table},
    )
    return tuple(str(row["column_name"]) for row in found)


def grades(store: Store, table: str) -> tuple[str, ...]:
    """Name the grades that rows of a table carry; none for a table without grades.

    >>> from weldref.data.store import open_store
    >>> grades(open_store(), "gases"), grades(open_store(), "units")
    (('read', 'no grade'), ())
    """
    if "how_read" not in columns(store, table):
        return ()
    found = store.rows(f'SELECT DISTINCT how_read FROM "{table}"')  # noqa: S608  a known name
    seen = {row["how_read"] or NO_GRADE for row in found}
    return tuple(grade for grade in (*GRADES, NO_GRADE) if grade in seen)


def find(
    store: Store,
    table: str,
    text: str = "",
    of_grades: Sequence[str] = (),
    first: int = 0,
    most: int | None = None,
) -> Rows:
    """Find the rows of a table that hold every word of a text.

    Parameters
    ----------
    store, table
        The store and the name of one of its tables.
    text
        Words; a row must hold each of them in some column or in its document's name.
    of_grades
        Only rows of these grades ("read", "secondary", "memory", `NO_GRADE`); none means all.
    first, most
        How many of the rows found to pass over, and how many to return at most.

    Raises
    ------
    InputError
        If there is no such table or more than a dozen words are given.

    Examples
    --------
    >>> from weldref.data.store import open_store
    >>> found = find(open_store(), "sheet_gauges", "standard 15/32", most=1)
    >>> found.columns[:2], found.total > 0
    (('gauge_system', 'gauge'), True)
    """
    names = columns(store, table)
    source, where, values = _selected(names, table, text, of_grades)
    (count,) = store.rows(f"SELECT count(*) AS n FROM {source}{where}", values)  # noqa: S608
    cut = "" if most is None else f" LIMIT {int(most)}"
    listed = ", ".join(f't."{name}"' for name in names)
    sql = f"SELECT {listed} FROM {source}{where} ORDER BY t.rowid{cut} OFFSET {int(first)}"  # noqa: S608
    rows = store.connection.cursor().execute(sql, values).fetchall()
    return Rows(names, tuple(rows), int(count["n"]))


def tables_with(store: Store, text: str) -> dict[str, int]:
    """Count the rows of every table that hold every word of a text; tables without are left out.

    >>> from weldref.data.store import open_store
    >>> "windows" in tables_with(open_store(), "E7018")
    True
    """
    if not text.split():
        return {}
    counts = []
    values: dict[str, Any] = {}
    for listed in store.rows("SELECT name FROM table_list"):
        table = str(listed["name"])
        source, where, values = _selected(columns(store, table), table, text, ())
        counts.append(f"SELECT '{table}' AS name, count(*) AS n FROM {source}{where}")  # noqa: S608
    found = store.rows(" UNION ALL ".join(counts), values)
    return {row["name"]: int(row["n"]) for row in found if row["n"]}


def _selected(
    names: Sequence[str], table: str, text: str, of_grades: Sequence[str]
) -> tuple[str, str, dict[str, Any]]:
    """Write FROM and WHERE; names come from the store itself, what people typed is bound."""
    words = text.lower().split()
    if len(words) > MOST_WORDS:
        raise InputError(f"text: {len(words)} words are too many; give at most {MOST_WORDS}")
    source = f'"{table}" t'
    searched = [f't."{name}"' for name in names]
    if "source_id" in names and words:
        source += " LEFT JOIN documents d ON d.source_id = t.source_id"
        searched.append("d.name")
    values: dict[str, Any] = {f"word{number}": word for number, word in enumerate(words)}
    line = f"lower(concat_ws(' ', {', '.join(searched)}))"
    conditions = [f"contains({line}, ${name})" for name in values]
    if of_grades and "how_read" in names:
        values["grades"] = list(of_grades)
        conditions.append(f"list_contains($grades, coalesce(t.how_read, '{NO_GRADE}'))")
    return source, " WHERE " + " AND ".join(conditions) if conditions else "", values


def csv_bytes(names: Iterable[str], rows: Iterable[Iterable[Any]]) -> bytes:
    r"""Write rows as CSV in which no text is taken for a formula by a spreadsheet.

    A text that starts like a formula gets an apostrophe in front; numbers stay as they are. The
    mark at the start lets a spreadsheet know the file for UTF-8.

    >>> csv_bytes(["a", "b"], [("=1+1", -2.5)]).decode("utf-8-sig")
    "a,b\r\n'=1+1,-2.5\r\n"
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([harmless(name) for name in names])
    for row in rows:
        writer.writerow([v if isinstance(v, (int, float)) else harmless(v) for v in row])
    return out.getvalue().encode("utf-8-sig")


def parquet_bytes(store: Store, table: str, text: str = "", of_grades: Sequence[str] = ()) -> bytes:
    """Write what `find` finds as Parquet, types and values as they stand.

    Raises
    ------
    InputError
        As `find`.
    """
    parquet = import_module("pyarrow.parquet")  # heavy, and needed for a file only
    names = columns(store, table)
    source, where, values = _selected(names, table, text, of_grades)
    listed = ", ".join(f't."{name}"' for name in names)
    sql = f"SELECT {listed} FROM {source}{where} ORDER BY t.rowid"  # noqa: S608
    found = store.connection.cursor().sql(sql, params=values).to_arrow_table()
    out = io.BytesIO()
    parquet.write_table(found, out, compression="zstd")
    return out.getvalue()
