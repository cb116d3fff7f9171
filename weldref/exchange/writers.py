"""Write the dataset in each format: Parquet, CSV, JSON and SQLite."""

from __future__ import annotations

import csv
import json
import sqlite3
import zipfile
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from weldref.cells import harmless
from weldref.data.schemas.declared import declared
from weldref.exchange.datapackage import FILE, descriptor, statement, text_of
from weldref.exchange.dataset import Cell, Dataset, Table, text
from weldref.exchange.table_schema import key_of, table_schema

GUARD_NOTE = "spreadsheet.txt"
"""The file in a zip that says that its cells are guarded."""

_GUARDED = (
    "These CSV files are for a spreadsheet. A cell that it could take for a formula has an\n"
    "apostrophe in front, and so has a cell that begins with one: take away the first apostrophe\n"
    "of a cell to have it as published. The plain files are written without --spreadsheet.\n"
)
_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The earliest time that a zip can hold: the real time would change the bytes of each export."""

_DUCKDB = {"number": "DOUBLE", "boolean": "BOOLEAN"}
_SQLITE = {"number": "REAL", "boolean": "INTEGER"}
"""The database's type for each type of a Table Schema; any other is text."""


def _statement(dataset: Dataset) -> dict[str, Any]:
    return statement() | {"digest": f"sha256:{dataset.digest}"}


def write_parquet(dataset: Dataset, folder: Path) -> None:
    """Write a Parquet file of each table; its metadata describe the dataset and the columns."""
    import duckdb
    import pandas as pd

    folder.mkdir()
    # One thread: the order of row groups never changes.
    with duckdb.connect(config={"threads": "1", "autoinstall_known_extensions": "false"}) as one:
        for name, table in dataset.tables.items():
            schema = table_schema(name)
            metadata = {
                "dataset": json.dumps(statement(), ensure_ascii=False),
                "version": dataset.version or "",
                "digest": f"sha256:{dataset.digest}",
                "table": name,
                "schema": json.dumps(schema, ensure_ascii=False),
            }
            listed = ", ".join(f'"{key}": {_quoted(value)}' for key, value in metadata.items())
            columns = ", ".join(
                f'CAST("{f["name"]}" AS {_DUCKDB.get(f["type"], "VARCHAR")}) AS "{f["name"]}"'
                for f in schema["fields"]
            )
            one.register("frame", pd.DataFrame(table.rows, columns=table.columns, dtype=object))
            # Copied from a table and not from the frame itself, which would give other bytes.
            one.execute(f"CREATE OR REPLACE TABLE published AS SELECT {columns} FROM frame")
            one.execute(
                f"COPY published TO {_quoted(str(folder / f'{name}.parquet'))} "
                f"(FORMAT parquet, COMPRESSION zstd, KV_METADATA {{{listed}}})"
            )


def _quoted(value: str) -> str:
    return "'" + value.replace("'", "''") + "'"


def write_sqlite(dataset: Dataset, path: Path) -> None:
    """Write one SQLite file with keys and references.

    Two more tables describe the others: `dataset` and `dataset_columns`.
    """
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA page_size = 4096")
        connection.execute("BEGIN")
        connection.execute("CREATE TABLE dataset (property TEXT PRIMARY KEY, value TEXT)")
        said = [
            (name, value if isinstance(value, str) else json.dumps(value, ensure_ascii=False))
            for name, value in _statement(dataset).items()
        ]
        _fill(connection, "dataset", said)
        connection.execute(
            'CREATE TABLE dataset_columns ("table" TEXT, "column" TEXT, title TEXT, '
            "description TEXT, type TEXT, unit TEXT, unit_column TEXT, "
            'PRIMARY KEY ("table", "column"))'
        )
        described = ("name", "title", "description", "type", "unit", "unitColumn")
        for name, table in dataset.tables.items():
            schema = table_schema(name)
            columns = [(name, *map(field.get, described)) for field in schema["fields"]]
            _fill(connection, "dataset_columns", columns)
            connection.execute(_create(name, schema))
            _fill(connection, name, table.rows)
        connection.execute("COMMIT")


def _fill(connection: sqlite3.Connection, table: str, rows: Sequence[tuple[Any, ...]]) -> None:
    if rows:
        marks = ", ".join("?" * len(rows[0]))
        connection.executemany(f'INSERT INTO "{table}" VALUES ({marks})', rows)


def _create(name: str, schema: dict[str, Any]) -> str:
    parts = []
    for field in schema["fields"]:
        required = field.get("constraints", {}).get("required")
        kind = _SQLITE.get(field["type"], "TEXT") + (" NOT NULL" if required else "")
        parts.append(f'"{field["name"]}" {kind}')
    key = ", ".join(f'"{column}"' for column in key_of(name))
    parts.append(f"{'PRIMARY KEY' if 'primaryKey' in schema else 'UNIQUE'} ({key})")
    for link in schema.get("foreignKeys", ()):
        table, column = link["reference"]["resource"], link["reference"]["fields"][0]
        # SQLite refers to a key only; units.dimension, say, is not one.
        if key_of(table) == (column,):
            parts.append(f'FOREIGN KEY ("{link["fields"][0]}") REFERENCES "{table}" ("{column}")')
    return f'CREATE TABLE "{name}" ({", ".join(parts)})'


def write_csv(dataset: Dataset, path: Path) -> None:
    """Write a zip with a CSV file of each table, exactly as published, and a Data Package."""
    files = {name: _csv(table, text) for name, table in dataset.tables.items()}
    sources = dataset.tables["sources"]
    described = descriptor(
        [(name, name, f"{name}.csv", content) for name, content in files.items()],
        [dict(zip(sources.columns, row, strict=True)) for row in sources.rows],
        dataset.digest or "",
    )
    _zip(path, FILE, text_of(described), files)


def write_spreadsheet(dataset: Dataset, path: Path) -> None:
    """Write a zip of CSV files in which a spreadsheet computes no cell."""
    files = {name: _csv(table, guard) for name, table in dataset.tables.items()}
    said = json.dumps(statement() | {"digest": dataset.digest}, indent=1)
    _zip(path, GUARD_NOTE, f"{_GUARDED}\n{said}\n", files)


def guard(value: Cell) -> str:
    """Write a cell so that a spreadsheet computes nothing and `unguard` finds it again.

    >>> guard("=1+1"), guard("'twas"), guard(-20.0), guard("E7018")
    ("'=1+1", "''twas", '-20', 'E7018')
    """
    plain = text(value)
    return f"'{plain}" if plain.startswith("'") else harmless(plain)


def unguard(value: str) -> str:
    """Remove what `guard` added."""
    return value.removeprefix("'")


def _csv(table: Table, write: Callable[[Cell], str]) -> bytes:
    """Write a table as CSV in UTF-8 with LF line ends."""
    lines: list[str] = []
    # With LF alone a carriage return would not be quoted, and would start a line of its own.
    writer = csv.writer(SimpleNamespace(write=lines.append), lineterminator="\r\n")
    writer.writerow(table.columns)
    writer.writerows([write(cell) for cell in row] for row in table.rows)
    return "".join(f"{line[:-2]}\n" for line in lines).encode()


def _zip(path: Path, about: str, said: str, tables: dict[str, bytes]) -> None:
    """Write a zip of tables, with a file about them first."""
    files = {about: said.encode(), **{f"{name}.csv": content for name, content in tables.items()}}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
        for name, content in files.items():
            info = zipfile.ZipInfo(name, _EARLIEST)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 3
            info.external_attr = 0o644 << 16
            packed.writestr(info, content)


def write_json(dataset: Dataset, path: Path) -> None:
    """Write one JSON object: what the dataset is, and each table with its schema and rows.

    A row is an object without its empty cells, on a line of its own.
    """
    head = json.dumps(_statement(dataset), ensure_ascii=False, indent=1)
    tables = ",\n".join(_json_table(name, table) for name, table in dataset.tables.items())
    whole = f'{head.removesuffix("}").rstrip()},\n "tables": {{\n{tables}\n }}\n}}\n'
    path.write_bytes(whole.encode())


def _json_table(name: str, table: Table) -> str:
    said = {"description": declared()[name].about, "schema": table_schema(name)}
    head = json.dumps(said, ensure_ascii=False)[:-1]
    rows = ",\n".join(json.dumps(_object(table, row), ensure_ascii=False) for row in table.rows)
    return f'{json.dumps(name)}: {head}, "rows": [\n{rows}\n]}}'


def _object(table: Table, row: tuple[Cell, ...]) -> dict[str, Any]:
    return {
        column: int(value) if isinstance(value, float) and value.is_integer() else value
        for column, value in zip(table.columns, row, strict=True)
        if value is not None
    }


WRITERS = {
    "parquet": write_parquet,
    "csv": write_csv,
    "json": write_json,
    "sqlite": write_sqlite,
}
