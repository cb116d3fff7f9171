"""Readers at the desk who find what a test plants: agreements, differences, absences."""

from __future__ import annotations

from pathlib import Path

from weldref.data.reading_cells import Recalled, recalled
from weldref.data.store import Store
from weldref.exchange.reading_desk import record, sit_down

WINDOWS, TABLE = "en-1011-4", "aws-d18-2"
"""Two documents that nobody has read: one with settings, one with a table of its own."""


def rows_of(store: Store, source: str) -> list[Recalled]:
    return recalled(store.rows, source)


def as_printed(row: Recalled, more: float = 0) -> dict[str, str]:
    """What a reader types who finds the recalled value, or one that is so much higher."""
    return {
        name: f"{value + more:g}" if isinstance(value, float) else str(value)
        for name, value in row.values.items()
    }


def read_all(
    store: Store,
    file: Path,
    source: str,
    reader: str = "ab",
    *,
    differing: tuple[int, ...] = (),
    absent: tuple[int, ...] = (),
    edition: str = "2000",
    more: float = 5,
) -> list[Recalled]:
    """Read a whole document; some cells differ or are not there, by their number."""
    sitting = sit_down(store, source, reader, edition, "paper")
    rows = rows_of(store, source)
    for number, row in enumerate(rows):
        if number in absent:
            record(store, file, sitting, row.cell, "not there", place="Table 1")
        else:
            typed = as_printed(row, more if number in differing else 0)
            record(store, file, sitting, row.cell, "values", typed, place="Table 1")
    return rows
