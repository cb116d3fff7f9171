"""Return the rows of our own queries as dictionaries."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import duckdb

Row = dict[str, Any]
Ask = Callable[[str, dict[str, Any]], list[Row]]
"""What answers a query: `Store.rows`, say."""


def fetch(
    connection: duckdb.DuckDBPyConnection, sql: str, parameters: dict[str, Any] | None = None
) -> list[Row]:
    """Run a query of our own and return its rows as dictionaries."""
    cursor = connection.cursor().execute(sql, parameters or {})
    names = [column[0] for column in cursor.description or ()]
    return [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]


def tables_with(ask: Ask, column: str) -> list[str]:
    """Name the tables that have a column, in the order of the alphabet."""
    rows = ask(
        "SELECT name FROM table_list JOIN duckdb_columns() ON table_name = name "
        "WHERE column_name = $column ORDER BY 1",
        {"column": column},
    )
    return [str(row["name"]) for row in rows]


def graded_rows(ask: Ask) -> str:
    """Write the SQL of every graded row: its table's name, source and grade."""
    parts = (
        f"SELECT '{name}' AS name, source_id, how_read FROM \"{name}\""  # noqa: S608  known names
        for name in tables_with(ask, "how_read")
        if name != "sources"
    )
    return f"({' UNION ALL '.join(parts)})"
