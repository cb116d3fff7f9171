"""The child process of `weldref.data.query`: reads SQL, prints one JSON object."""

from __future__ import annotations

import json
import signal
import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import Any, cast

import duckdb

from weldref.data.own import Mode, OwnTables
from weldref.data.query import ANSWER_MB, MEMORY_MB, SECONDS
from weldref.data.store import open_store
from weldref.errors import WeldrefError


def limit_process(seconds: int = SECONDS) -> None:
    """Set the system's limits for this process, where the system has them."""
    try:
        import resource
    except ImportError:  # not a POSIX system: duckdb's own limit and the timeout remain
        return
    size = MEMORY_MB * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_DATA, (size, size))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds * 2, seconds * 2))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)


def answer(
    sql: str,
    most_rows: int,
    own: OwnTables | None = None,
    readings: Path | None = None,
    seconds: int = SECONDS,
) -> dict[str, Any]:
    """Run one SELECT and return its rows or one sentence that says what is wrong."""
    connection = open_store(own=own, readings=readings).connection
    try:
        statements = connection.extract_statements(sql)
    except duckdb.Error as error:
        return {"error": _sentence(error)}
    if len(statements) != 1 or statements[0].type != duckdb.StatementType.SELECT:
        return {"error": "give exactly one SELECT statement"}
    limit_process(seconds)
    for setting in (
        "memory_limit = '512MB'",
        "max_temp_directory_size = '0B'",
        "lock_configuration = true",
    ):
        connection.execute(f"SET {setting}")
    timer = threading.Timer(seconds, connection.interrupt)
    timer.daemon = True
    timer.start()
    try:
        cursor = connection.execute(statements[0])
        rows = cursor.fetchmany(most_rows + 1)
        columns = [column[0] for column in cursor.description or ()]
        types = [str(column[1]) for column in cursor.description or ()]
    except duckdb.InterruptException:
        return {"error": f"it did not finish within {seconds} s"}
    except duckdb.Error as error:
        return {"error": _sentence(error)}
    finally:
        timer.cancel()
    cut = len(rows) > most_rows
    return {"columns": columns, "types": types, "rows": rows[:most_rows], "cut": cut}


def _sentence(error: duckdb.Error) -> str:
    return str(error).strip().splitlines()[0]


def main() -> None:
    """Answer the query on standard input."""
    sys.stdin.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    try:
        most_rows, seconds, read, *given = sys.argv[1:]
        folder, mode = given or ("", "")
        own = OwnTables(Path(folder), cast(Mode, mode)) if folder else None
        readings = Path(read) if read else None
        found = answer(sys.stdin.read(), int(most_rows), own, readings, int(seconds))
        text = json.dumps(found, default=str)
    except WeldrefError as error:
        text = json.dumps({"error": str(error).splitlines()[0]})
    except MemoryError:
        text = json.dumps({"error": f"it needs more than {MEMORY_MB} MB"})
    if len(text) > ANSWER_MB * 1024 * 1024:  # the process that asked has no such limits
        text = json.dumps({"error": f"its answer is larger than {ANSWER_MB} MB; ask for less"})
    with suppress(BrokenPipeError):
        sys.stdout.write(text)


if __name__ == "__main__":
    main()
