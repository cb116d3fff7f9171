"""Apply readings on this machine: rows that agree are graded read, others are added beside.

A recalled row that was found in print as recalled is graded read, and marked `local`. Where the
print has another value, that value becomes a row of its own, also `local`, beside the recalled
one. The published tables stay as they are: these marks live in the store of this machine alone.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from weldref.data.fetch import fetch
from weldref.data.judge_readings import Outcome, outcomes, printed, units_of
from weldref.data.readings import NOT_PRINTED, parse
from weldref.errors import InputError

if TYPE_CHECKING:
    import duckdb

MADE_HERE = ".local"
"""Ends the key of a row that holds what was read on this machine."""

ABOUT = "What was read in print on this machine, by row; published nowhere."


def add(connection: duckdb.DuckDBPyConnection, content: bytes, name: str) -> None:
    """Apply a file of readings to a store that may be written to.

    The store gets the column `local` and the tables of what was read. A file that is not accepted
    is an `InputError`.
    """
    ask = partial(fetch, connection)
    digest = hashlib.sha256(content).hexdigest()
    for table in ("windows", "own_windows"):
        connection.execute(f"ALTER TABLE IF EXISTS {table} ADD COLUMN local BOOLEAN DEFAULT false")
    connection.execute(
        "CREATE TABLE local_readings(table_name VARCHAR, row_key VARCHAR, source VARCHAR, "
        "outcome VARCHAR, readers VARCHAR, read_on VARCHAR, edition VARCHAR, copy VARCHAR, "
        "place VARCHAR)"
    )
    raised = differing = 0
    # All are judged before any row is raised: only recalled rows are asked for.
    for outcome in outcomes(ask, parse(content, name).found):
        if outcome.kind == "agrees":
            _raise(connection, outcome)
            raised += 1
        elif outcome.kind == "differs" and _add_beside(connection, outcome):
            differing += 1
        _keep(connection, outcome)
    connection.execute(
        "CREATE TABLE readings_file(name VARCHAR, digest VARCHAR, raised INTEGER, "
        "differing INTEGER)"
    )
    connection.execute("INSERT INTO readings_file VALUES ($1, $2, $3, $4)",
                       [name, digest, raised, differing])  # fmt: skip
    connection.execute(
        "INSERT INTO table_list VALUES ('local_readings', $1, $2, $3)", [name, ABOUT, digest]
    )


def _keep(connection: duckdb.DuckDBPyConnection, outcome: Outcome) -> None:
    cell, first = outcome.cell, outcome.readings[0]
    connection.execute(
        "INSERT INTO local_readings VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
        [cell.table, cell.row, cell.source_id, outcome.kind, ", ".join(outcome.readers),
         max(one.date for one in outcome.readings), first.edition, first.copy,
         "; ".join(outcome.places) or cell.place],
    )  # fmt: skip


def _raise(connection: duckdb.DuckDBPyConnection, outcome: Outcome) -> None:
    cell = outcome.cell
    local = ", local = true" if cell.table == "windows" else ""
    connection.execute(
        f"UPDATE \"{cell.table}\" SET how_read = 'read', "  # noqa: S608  a known name
        f"locator = coalesce($1, locator){local} WHERE rowid = $2",
        ["; ".join(outcome.places) or None, outcome.recalled.rowid],
    )


def _add_beside(connection: duckdb.DuckDBPyConnection, outcome: Outcome) -> bool:
    """Add a window with the values as read; tell whether one was added.

    A reference table has one row for each key: there the difference is in `local_readings` alone.
    """
    cell = outcome.cell
    if cell.table != "windows":
        return False
    units = units_of(partial(fetch, connection))
    row = outcome.recalled.row
    values: dict[str, float | None] = {"min": None, "max": None, "typical": None}
    typed_units = set()
    for asked in cell.asked:
        text = outcome.readings[0].values.get(asked.column, NOT_PRINTED)
        if text != NOT_PRINTED:
            try:
                typed = printed(text, asked.name)
            except InputError:  # a file that somebody wrote by hand
                return False
            values[asked.column] = typed.value
            typed_units.add(units[typed.unit][0] if typed.unit in units else row["unit"])
    found = [values[name] for name in ("min", "typical", "max") if values[name] is not None]
    if not found or found != sorted(found) or len(typed_units) > 1:  # type: ignore[type-var]
        return False
    unit = typed_units.pop()
    factor, shift = units[unit][2:]
    if not _plausible(
        connection, row["quantity"], [v * factor + shift for v in found if v is not None]
    ):
        return False
    si = {f"{name}_si": None if value is None else value * factor + shift
          for name, value in values.items()}  # fmt: skip
    said = ", ".join(f"{row[asked.column]:g}" for asked in cell.asked)
    given = {
        **values, **si, "unit": unit, "window_id": row["window_id"] + MADE_HERE, "status": None,
        "line": row["line"] and row["line"] + MADE_HERE, "how_read": "read", "local": True,
        "locator": "; ".join(outcome.places) or row["locator"],
        "remark": f"read on this machine by {', '.join(outcome.readers)}; recalled was {said} "
        f"{row['unit']}",
    }  # fmt: skip
    replaced = ", ".join(f'${name} AS "{name}"' for name in given)
    connection.execute(
        f"INSERT INTO windows SELECT * REPLACE ({replaced}) FROM windows "  # noqa: S608
        "WHERE rowid = $rowid", {**given, "rowid": outcome.recalled.rowid},
    )  # fmt: skip
    return True


def _plausible(connection: duckdb.DuckDBPyConnection, quantity: str, values: list[float]) -> bool:
    """Tell whether values (SI) are within what the trade ever sets; others are a slip."""
    (limit,) = fetch(
        connection,
        "SELECT plausible_min * factor + shift AS low, plausible_max * factor + shift AS high "
        "FROM quantities JOIN conversions ON unit = plausible_unit WHERE quantity = $quantity",
        {"quantity": quantity},
    )
    slack = 1e-9 * max(abs(limit["low"]), abs(limit["high"]))
    return all(limit["low"] - slack <= value <= limit["high"] + slack for value in values)


def line(used: dict[str, Any] | None) -> str:
    """Say which readings count; nothing where none do.

    >>> line({"name": "readings.jsonl", "digest": "0123456789abcdef", "raised": 2, "differing": 1})
    'local readings: readings.jsonl, 0123456789ab (on this machine alone 2 recalled rows are \
graded read and 1 row is shown beside what was recalled)'
    """
    if used is None:
        return ""
    raised, differing = used["raised"], used["differing"]
    read = f"{raised} recalled row{'s are' if raised != 1 else ' is'} graded read"
    beside = f"{differing} row{'s are' if differing != 1 else ' is'} shown beside what was recalled"
    return (
        f"local readings: {used['name']}, {used['digest'][:12]} (on this machine alone {read} "
        f"and {beside})"
    )


def rests_on(keys: Sequence[str]) -> str:
    """Say that an answer rests on readings of this machine; nothing where it does not.

    >>> rests_on(["a:001"])
    'This answer rests on local readings, made on this machine and published nowhere: a:001.'
    """
    if not keys:
        return ""
    return (
        "This answer rests on local readings, made on this machine and published nowhere: "
        f"{', '.join(keys)}."
    )
