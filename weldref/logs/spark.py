"""Run the same SQL on Spark, translated by sqlglot statement by statement.

duckdb still reads the file; every statement of the audit that comes after is the same text. The
file of verdicts is left out.
"""

from __future__ import annotations

import importlib.util
import shutil
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from weldref.errors import InputError
from weldref.logs import engine as sql
from weldref.logs.engine import DuckEngine, Engine, Rows
from weldref.logs.files import Log

if TYPE_CHECKING:
    from pyspark.sql import SparkSession

ENGINES = ("duckdb", "spark")


@contextmanager
def run_by(name: str, duck: DuckEngine, log: Log) -> Iterator[tuple[Engine, Log]]:
    """Give the engine of this name, and the log in the form that it reads."""
    if name == "duckdb":
        yield duck, log
        return
    with closing(SparkEngine()) as spark:
        yield spark, hand_over(duck, spark, log)


def check_engine(name: str) -> None:
    """Refuse an engine that is none.

    >>> check_engine("abacus")
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: engine: 'abacus' is not an engine; give duckdb or spark
    """
    if name not in ENGINES:
        raise InputError(f"engine: '{name}' is not an engine; give {' or '.join(ENGINES)}")


@cache
def to_spark(statement: str) -> str:
    """Translate a statement of the audit.

    >>> to_spark("SELECT list_sort(list(id)) AS ids FROM t")
    'SELECT ARRAY_SORT(COLLECT_LIST(id)) AS ids FROM t'
    """
    import sqlglot

    translated: list[str] = sqlglot.transpile(statement, read="duckdb", write="spark")
    # Spark's own `hash` has 32 bits.
    return translated[0].replace("HASH(", "XXHASH64(")


class SparkEngine:
    """Spark in this process and on this machine.

    Raises
    ------
    InputError
        If pyspark, sqlglot or Java is not there.
    """

    def __init__(self) -> None:
        for module in ("pyspark", "sqlglot"):
            if importlib.util.find_spec(module) is None:
                raise InputError(f"engine: spark needs {module}; install weldref[spark]")
        if shutil.which("java") is None:
            raise InputError("engine: spark needs Java; install a Java runtime of 17 or newer")
        from pyspark.sql import SparkSession

        self.session: SparkSession = (
            SparkSession.builder.master("local[*]")
            .appName("weldref")
            .config("spark.ui.enabled", "false")
            .config("spark.ui.showConsoleProgress", "false")
            .config("spark.driver.bindAddress", "127.0.0.1")
            .config("spark.driver.host", "127.0.0.1")
            .config("spark.sql.shuffle.partitions", "4")
            .config("spark.log.level", "ERROR")
            .getOrCreate()
        )

    def close(self) -> None:
        """Stop the session."""
        self.session.stop()

    def make(self, name: str, sql: str) -> None:
        """Keep the result of a query as a table."""
        frame = self.session.sql(to_spark(sql)).localCheckpoint()
        frame.createOrReplaceTempView(name)

    def drop(self, *names: str) -> None:
        """Forget tables that are no longer needed."""
        for name in names:
            self.session.catalog.dropTempView(name)

    def load(self, name: str, columns: Mapping[str, str], rows: Iterable[Sequence[Any]]) -> None:
        """Make a table of rows from Python; `columns` maps names to SQL types."""
        kinds = {"VARCHAR": "STRING", "INTEGER": "INT"}
        schema = ", ".join(f"{column} {kinds.get(k, k)}" for column, k in columns.items())
        content = [tuple(row) for row in rows]
        self.session.createDataFrame(content, schema).createOrReplaceTempView(name)

    def fetch(self, sql: str) -> Rows:
        """Run a query and return its rows."""
        return [tuple(row) for row in self.session.sql(to_spark(sql)).collect()]

    def log(self, path: str) -> str:
        """Write the source of a query that reads a log's records."""
        self.session.read.parquet(path).createOrReplaceTempView("log")
        return "log"


def hand_over(duck: DuckEngine, spark: SparkEngine, log: Log) -> Log:
    """Give Spark the log in the form that the audit reads."""
    path = str(Path(duck.folder) / "log-for-spark.parquet")
    duck.run(f"COPY (SELECT * FROM {log.source} l) TO {sql.text(path)} (FORMAT parquet)")
    return replace(log, source=spark.log(path))
