"""Run someone else's SELECT without harm, in a child process with limits.

duckdb's own memory limit does not hold for every function, so the query runs in a process of
its own under the system's limits, on a read-only connection without files or network.
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from typing import Any

from weldref.data.own import Given
from weldref.data.store import open_tables
from weldref.errors import InputError

MEMORY_MB = 1024
SECONDS = 10
MOST_ROWS = 1000
ANSWER_MB = 20
LONGEST_SQL = 100_000


@dataclass(frozen=True, slots=True)
class Answer:
    """Rows of a query; `cut` says that there are more than were asked for.

    `types` holds the database's type of each column; a value that JSON cannot hold (a date, say)
    is returned as text.
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]
    cut: bool
    types: tuple[str, ...]


def run_query(sql: str, most_rows: int = MOST_ROWS, own: Given = None) -> Answer:
    """Run one SELECT against the store.

    Parameters
    ----------
    sql
        One SELECT statement.
    most_rows
        How many rows to return at most (1 to 100,000).
    own
        Own tables, as `weldref.check` takes them: then `windows` and `own_windows` have the
        column `own`, and so have `sources` and `documents`.

    Raises
    ------
    InputError
        If it is not exactly one SELECT, if it fails, if it needs more than 10 s or 1 GB, or if
        its answer is larger than 20 MB.

    Examples
    --------
    >>> run_query("SELECT count(*) > 1000 AS enough FROM windows").rows
    ((True,),)
    """
    if not 1 <= most_rows <= 100_000:
        raise InputError(f"rows: {most_rows} is not accepted; give 1 to 100000")
    if len(sql) > LONGEST_SQL:
        raise InputError(f"query: it is longer than {LONGEST_SQL:,} characters; shorten it")
    store = open_tables(own)  # built here if need be, where no limit holds
    used = store.own
    given = [
        str(SECONDS),
        str(store.readings or ""),
        *([str(used.folder), used.mode] if used else []),
    ]
    try:
        done = subprocess.run(  # noqa: S603  our own module, no shell
            # -P: a folder called weldref in the working folder must not be imported instead.
            [sys.executable, "-P", "-m", "weldref.data.query_worker", str(most_rows), *given],
            input=sql,
            capture_output=True,
            text=True,
            encoding="utf-8",
            errors="replace",
            timeout=SECONDS + 5,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise InputError(f"query: it did not finish within {SECONDS} s") from None
    try:
        answer = json.loads(done.stdout)
    except ValueError:
        raise InputError(f"query: it needs more than {MEMORY_MB} MB or {SECONDS} s") from None
    if "error" in answer:
        raise InputError(f"query: {answer['error']}")
    rows = tuple(tuple(row) for row in answer["rows"])
    return Answer(tuple(answer["columns"]), rows, answer["cut"], tuple(answer["types"]))
