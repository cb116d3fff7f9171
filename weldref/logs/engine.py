"""Run the SQL of an audit in duckdb, in memory and in a temporary folder."""

from __future__ import annotations

import glob
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from weldref.files import sweep

if TYPE_CHECKING:
    import duckdb

SCRATCH = "weldref-log-"
"""How the names of the temporary folders of audits begin."""

Rows = Sequence[Sequence[Any]]


class Engine(Protocol):
    """What the program that runs the SQL of an audit has to do; the SQL is that of duckdb."""

    def make(self, name: str, sql: str) -> None:
        """Keep the result of a query as a table."""

    def drop(self, *names: str) -> None:
        """Forget tables that are no longer needed."""

    def load(self, name: str, columns: Mapping[str, str], rows: Iterable[Sequence[Any]]) -> None:
        """Make a table of rows; `columns` maps names to SQL types."""

    def fetch(self, sql: str) -> Rows:
        """Run a query and return its rows."""

    def log(self, path: str) -> str:
        """Return the SQL source of a log's records, numbered from 1."""


class DuckEngine:
    """duckdb in memory, which reads only the files that it is given.

    Parameters
    ----------
    memory
        How much duckdb may hold before it spills to the temporary folder.
    """

    def __init__(self, memory: str = "700MB") -> None:
        import duckdb

        sweep(Path(tempfile.gettempdir()), f"{SCRATCH}*")
        self._folder = tempfile.TemporaryDirectory(prefix=SCRATCH)
        self.connection: duckdb.DuckDBPyConnection = duckdb.connect(
            config={
                "autoinstall_known_extensions": "false",
                "autoload_known_extensions": "false",
                "memory_limit": memory,
                "temp_directory": self._folder.name,
            }
        )
        self._runner = ThreadPoolExecutor()
        self._running: set[duckdb.DuckDBPyConnection] = set()

    def run(self, sql: str, parameters: Rows | None = None) -> Rows:
        """Run a statement so that Ctrl-C or SIGTERM stops it at once.

        A thread that runs a statement gets no signal until the statement ends, so another thread
        runs it while this one waits. Several threads may call this at once.
        """
        cursor = self.connection.cursor()

        def answer() -> Rows:
            # Otherwise a progress bar is written into the answer.
            cursor.execute("SET enable_progress_bar = false")
            return cursor.execute(sql, parameters or []).fetchall()

        self._running.add(cursor)
        try:
            return self._runner.submit(answer).result()
        except BaseException:
            cursor.interrupt()
            raise
        finally:
            self._running.discard(cursor)

    def stop(self) -> None:
        """Stop the statements that other threads are running."""
        for cursor in tuple(self._running):
            cursor.interrupt()

    @property
    def folder(self) -> str:
        """A temporary folder that is removed when the engine is closed."""
        return self._folder.name

    def close(self) -> None:
        """Close the connection and remove the temporary folder."""
        self._runner.shutdown()
        self.connection.close()
        self._folder.cleanup()

    def make(self, name: str, sql: str) -> None:
        """Keep the result of a query as a table."""
        self.run(f"CREATE OR REPLACE TABLE {name} AS {sql}")

    def drop(self, *names: str) -> None:
        """Forget tables that are no longer needed."""
        for name in names:
            self.run(f"DROP TABLE {name}")

    def load(self, name: str, columns: Mapping[str, str], rows: Iterable[Sequence[Any]]) -> None:
        """Make a table of rows; `columns` maps names to SQL types."""
        # Whole columns as lists: inserting rows takes thirty times as long.
        lists = [list(column) for column in zip(*rows, strict=True)] or [[] for _ in columns]
        cells = ", ".join(
            f"unnest(${number}::{kind}[]) AS {column}"
            for number, (column, kind) in enumerate(columns.items(), 1)
        )
        self.run(f"CREATE OR REPLACE TABLE {name} AS SELECT {cells}", lists)

    def fetch(self, sql: str) -> Rows:
        """Run a query and return its rows."""
        return self.run(sql)

    def log(self, path: str) -> str:
        """Return the SQL source of a log's records, numbered from 1."""
        # A record is found by its place without reading the others.
        return (
            "(SELECT *, file_row_number AS place, file_row_number + 1 AS record "
            f"FROM read_parquet({place(path)}, file_row_number = true))"
        )


def text(value: str) -> str:
    """Write a text as an SQL literal.

    >>> text("O'Neil")
    "'O''Neil'"
    """
    return "'" + value.replace("'", "''") + "'"


def place(path: str) -> str:
    """Write the path of a file as an SQL literal; `*`, `?` and `[` are part of its name.

    >>> place("log[1].csv")
    "'log[[]1].csv'"
    """
    return text(glob.escape(path))


def name(value: str) -> str:
    """Write a name as an SQL identifier.

    >>> name("gas flow")
    '"gas flow"'
    """
    return '"' + value.replace('"', '""') + '"'


def number(value: float) -> str:
    """Write a number as an SQL literal of type DOUBLE with every digit.

    >>> float(number(0.1)) == 0.1, number(0.1)
    (True, '1.00000000000000006e-01')
    """
    return f"{value:.17e}"


def unreal(cell: str) -> str:
    """Write the SQL of a test for NaN (which is greater than all numbers) and infinity."""
    return f"abs({cell}) > 1.7e308"
