"""Read the tables of a database or of a folder of Parquet files, and nothing else in it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from weldref.data.folder import HARDENED
from weldref.data.store import connect
from weldref.errors import InputError
from weldref.exchange.dataset import (
    MOST_BYTES,
    MOST_COLUMNS,
    MOST_ROWS,
    Dataset,
    Table,
    shown,
    table_of,
)
from weldref.exchange.table_schema import types
from weldref.exchange.write_sqlite import ABOUT, COLUMNS

if TYPE_CHECKING:
    import duckdb


def read_sqlite(path: Path) -> Dataset:
    """Read a SQLite file that weldref exported."""
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as found:
            found.execute("PRAGMA trusted_schema = OFF")
            found.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, MOST_BYTES)
            names = [
                str(name)
                for (name,) in found.execute(
                    "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE "
                    "'sqlite%' AND sql NOT LIKE 'CREATE VIRTUAL%' ORDER BY rootpage"
                )
            ]
            if ABOUT not in names or COLUMNS not in names:
                raise InputError("it is not an SQLite file that weldref exported")
            said = dict(found.execute(f"SELECT property, value FROM {ABOUT} LIMIT 100"))
            tables = {
                name: _sqlite_table(found, name) for name in names if name not in (ABOUT, COLUMNS)
            }
    except sqlite3.Error as error:
        raise InputError("it is a damaged SQLite file, or not one that weldref exported") from error
    return Dataset(str(path), tables, _said(said.get("version")), _said(said.get("digest")))


def _sqlite_table(found: sqlite3.Connection, name: str) -> Table:
    # Plain columns only: a generated one (hidden) would be computed by the file's own expression.
    about = found.execute("SELECT name FROM pragma_table_xinfo(?) WHERE hidden = 0", (name,))
    columns = [str(column) for (column,) in about]
    return table_of(name, columns, found.execute(_select(columns, _name(name))))


def read_store(path: Path) -> Dataset:
    """Read the published columns of a store that weldref built."""
    import duckdb

    try:
        with connect(path) as found:
            known = {str(n) for (n,) in found.execute("SELECT name FROM table_list").fetchall()}
            base = found.execute(
                "SELECT table_name FROM duckdb_tables() WHERE NOT internal"
            ).fetchall()
            tables = {
                str(name): _duckdb_table(found, str(name), _name(str(name)))
                for (name,) in base
                if name in known
            }
            version, digest = found.execute("SELECT version, digest FROM dataset").fetchall()[0]
    except (duckdb.Error, RuntimeError, IndexError) as error:
        raise InputError("it is damaged, or no store that weldref built") from error
    return Dataset(str(path), tables, _said(version), _said(digest))


def read_parquet(folder: Path, files: Sequence[Path]) -> Dataset:
    """Read a folder of Parquet files that weldref exported."""
    import duckdb

    # The files have to be read from outside; nothing else is fetched or loaded.
    outside = {"enable_external_access": "true", "memory_limit": "1GB"}
    try:
        with duckdb.connect(config={**HARDENED, **outside}) as found:
            tables = {
                file.stem: _duckdb_table(found, file.stem, f"read_parquet({_text(str(file))})")
                for file in files
            }
            said = {
                bytes(key): bytes(value).decode()
                for key, value in found.execute(
                    "SELECT key, value FROM parquet_kv_metadata($1) LIMIT 100", [str(files[0])]
                ).fetchall()
            }
    except (duckdb.Error, RuntimeError) as error:
        raise InputError("it holds a damaged Parquet file") from error
    return Dataset(str(folder), tables, said.get(b"version"), _said(said.get(b"digest")))


def _duckdb_table(found: duckdb.DuckDBPyConnection, name: str, place: str) -> Table:
    described = found.execute(f"DESCRIBE SELECT * FROM {place}").fetchall()
    # Columns that a store computes are not published.
    known = types().get(name, {})
    computed = {f"{column}_si" for column in known} - set(known)
    columns = [str(row[0]) for row in described if row[0] not in computed][: MOST_COLUMNS + 1]
    if not columns:
        raise InputError(f"table '{shown(name)}' has no columns")
    length = " + ".join(f"coalesce(strlen({_name(c)}::VARCHAR), 0)" for c in columns)
    rows, size = found.execute(f"SELECT count(*), sum({length}) FROM {place}").fetchall()[0]
    # A few packed bytes may stand for any number of long cells: ask before they are fetched.
    if rows > MOST_ROWS or (size or 0) > MOST_BYTES:
        raise InputError(f"table '{shown(name)}' is larger than accepted")
    return table_of(name, columns, found.execute(_select(columns, place)).fetchall())


def _select(columns: Iterable[str], place: str) -> str:
    return f"SELECT {', '.join(map(_name, columns))} FROM {place}"


def _said(value: object) -> str | None:
    return value.removeprefix("sha256:") if isinstance(value, str) else None


def _name(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _text(value: str) -> str:
    return "'" + value.replace("'", "''") + "'"
