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
