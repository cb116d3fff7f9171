"""List the documents and printed rows that a finding cites."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from weldref.core.lookup import Match
from weldref.core.verdict import Row, show_rows
from weldref.data.browse import Document, documents
from weldref.data.store import Store
from weldref.text import span

MOST_ROWS = 6
_ELSEWHERE = ("windows", "audit_findings")  # shown as ranges; what other auditors once found
_NOT_PRINTED = ("source_id", "locator", "how_read", "line")


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row of a table other than the windows, as printed: table, grade and filled cells."""

    table: str
    how_read: str
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class Cited:
    """What is printed at the place that a finding cites.

    `ranges` are the published ranges there, only those that the finding expects where it names
    some; `others` are rows of other tables. `left` counts the rows not listed.
    """

    source: Document
    ranges: tuple[Row, ...]
    others: tuple[TableRow, ...]
    left: int


def cited(store: Store, source_id: str, locator: str, expected: str = "") -> Cited | None:
    """Look up the document and the rows at a place; None if the store has no such document.

    Parameters
    ----------
    store
        The open store.
    source_id, locator, expected
        As a finding has them.

    Examples
    --------
    >>> from weldref.data.store import open_store
    >>> found = cited(open_store(), "machinerys-handbook-31", "p. 1594 Table 14",
    ...               "110 to 160 A (if material carbon steel)")
    >>> [(row.min, row.max, row.conditions["electrode_size"]) for row in found.ranges]
    [(110.0, 160.0, '1/8 in')]
    """
    document = documents(store).get(source_id)
    if document is None:
        return None
    ranges, others = _standing_at(store, source_id, locator)
    named = tuple(row for row in ranges if span(row) in expected)
    ranges = named or ranges
    shown = ranges[:MOST_ROWS]
    beside = others[: MOST_ROWS - len(shown)] if not named else ()
    left = len(ranges) + (0 if named else len(others)) - len(shown) - len(beside)
    return Cited(document, shown, beside, left)


# The content of a store never changes, so what is cached for it stays true.
@lru_cache(maxsize=512)
def printed_rows(store: Store, window_ids: tuple[str, ...]) -> tuple[Row, ...]:
    """Look up published ranges by their keys, in the order of the keys.

    >>> from weldref.data.store import open_store
    >>> [span(row) for row in printed_rows(open_store(), ("machinerys-handbook-31:026",))]
    ['110 to 160 A']
    """
    rows = store.rows(
        """
        SELECT w.*, d.name AS source FROM windows w JOIN documents d USING (source_id)
        WHERE list_contains($ids, window_id) ORDER BY list_position($ids, window_id)
        """,
        {"ids": list(window_ids)},
    )
    return show_rows(store, [Match(row, {}, (), row["how_read"]) for row in rows])


@lru_cache(maxsize=512)
def _standing_at(
    store: Store, source_id: str, locator: str
) -> tuple[tuple[Row, ...], tuple[TableRow, ...]]:
    at = {"source": source_id, "place": locator}
    windows = store.rows(
        """
        SELECT window_id FROM windows
        WHERE source_id = $source AND coalesce(locator, '') = $place ORDER BY window_id
        """,
        at,
    )
    ranges = printed_rows(store, tuple(row["window_id"] for row in windows))
    others = []
    for table in _tables_at(store).get((source_id, locator), ()):
        rows = store.rows(
            f"""
            SELECT * FROM "{table}"
            WHERE source_id = $source AND coalesce(locator, '') = $place ORDER BY rowid
            """,  # noqa: S608  the name is one of our own tables
            at,
        )
        for row in rows:
            cells = {
                name: f"{value:g}" if isinstance(value, float) else str(value)
                for name, value in row.items()
                if value not in (None, "") and name not in _NOT_PRINTED and name[-3:] != "_si"
            }
            others.append(TableRow(table, row.get("how_read") or "", cells))
    return ranges, tuple(others)


@lru_cache(maxsize=4)
def _tables_at(store: Store) -> dict[tuple[str, str], tuple[str, ...]]:
    """Name the tables that have rows at each place: to query every table each time is slow."""
    named = store.rows(
        "SELECT name FROM table_list JOIN duckdb_columns() ON table_name = name "
        "WHERE column_name IN ('source_id', 'locator') GROUP BY name HAVING count(*) = 2"
    )
    each = " UNION ".join(
        f"SELECT '{row['name']}' AS name, source_id, coalesce(locator, '') AS place "  # noqa: S608  our own tables
        f'FROM "{row["name"]}"'
        for row in named
        if row["name"] not in _ELSEWHERE
    )
    rows = store.rows(
        f"SELECT source_id, place, list(name ORDER BY name) AS names FROM ({each}) GROUP BY ALL"  # noqa: S608
    )
    return {(row["source_id"], row["place"]): tuple(row["names"]) for row in rows}
