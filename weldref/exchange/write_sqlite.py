"""Write the dataset as one SQLite file, with keys, references and a description of every column."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from weldref.exchange import release
from weldref.exchange.dataset import Dataset
from weldref.exchange.table_schema import key_of, table_schema

_TYPES = {"number": "REAL", "boolean": "INTEGER"}
ABOUT, COLUMNS = "dataset", "dataset_columns"
"""The tables that describe the others."""

DESCRIBED = ("name", "title", "description", "type", "unit", "unitColumn")
"""What is said of a column: these properties of its Table Schema."""


def write_sqlite(dataset: Dataset, path: Path) -> None:
    """Write the tables, and two that describe them: `dataset` and `dataset_columns`."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA page_size = 4096")
        connection.execute("BEGIN")
        connection.execute(f"CREATE TABLE {ABOUT} (property TEXT PRIMARY KEY, value TEXT)")
        said = release.statement() | {"digest": f"sha256:{dataset.digest}"}
        _fill(connection, ABOUT, [(name, _plain(value)) for name, value in said.items()])
        connection.execute(
            f'CREATE TABLE {COLUMNS} ("table" TEXT, "column" TEXT, title TEXT, description TEXT, '
            'type TEXT, unit TEXT, unit_column TEXT, PRIMARY KEY ("table", "column"))'
        )
        for name, table in dataset.tables.items():
            schema = table_schema(name)
            described = [(name, *map(field.get, DESCRIBED)) for field in schema["fields"]]
            _fill(connection, COLUMNS, described)
            connection.execute(_create(name, schema))
            _fill(connection, name, list(table.rows))
        connection.execute("COMMIT")


def _plain(value: Any) -> str:
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _fill(connection: sqlite3.Connection, table: str, rows: list[tuple[Any, ...]]) -> None:
    if rows:
        marks = ", ".join("?" * len(rows[0]))
        connection.executemany(f'INSERT INTO "{table}" VALUES ({marks})', rows)


def _create(name: str, schema: dict[str, Any]) -> str:
    parts = []
    for field in schema["fields"]:
        kind = _TYPES.get(field["type"], "TEXT")
        required = field.get("constraints", {}).get("required")
        parts.append(f'"{field["name"]}" {kind}' + (" NOT NULL" if required else ""))
    key = ", ".join(f'"{column}"' for column in key_of(name))
    parts.append(f"{'PRIMARY KEY' if 'primaryKey' in schema else 'UNIQUE'} ({key})")
    for link in schema.get("foreignKeys", ()):
        table, column = link["reference"]["resource"], link["reference"]["fields"][0]
        # SQLite refers to a key only; units.dimension, say, is none.
        if key_of(table) == (column,):
            parts.append(f'FOREIGN KEY ("{link["fields"][0]}") REFERENCES "{table}" ("{column}")')
    return f'CREATE TABLE "{name}" ({", ".join(parts)})'
