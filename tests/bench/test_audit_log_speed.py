"""How fast is the audit of a log, beside a bare scan, a naive join, pandas and a loop?

    WELDREF_BENCH_RECORDS=10000000 .venv/bin/python -m pytest \
        tests/bench/test_audit_log_speed.py --benchmark-only -s

prints a table of ratios; without the variable the log is small. Windows and log are invented
for this (see tests/logs/invented.py). The aims, in times of a bare scan of the same file: 3,000
windows at most 8, 100,000 windows at most 25, every verdict written at most 35; and less than 1 GB
of memory. An audit is timed as a whole process. Nothing here asserts a time or a size.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import duckdb
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.logs import invented
from weldref.core.check import check_situation
from weldref.core.situation import describe
from weldref.data.store import Store, connect

RECORDS = int(os.environ.get("WELDREF_BENCH_RECORDS", "20000"))
WINDOWS = (1_000, 3_000, 100_000) if RECORDS > 1_000_000 else (300, 1_000)
USUAL = WINDOWS[1]
JOINED, PANDAS, LOOPED = (min(n, RECORDS) for n in (200_000, 5_000, 20))
"""The naive ways are measured on so many records."""

WORDS = ("process", "transfer mode", "material", "electrode", "diameter", "joint type",
         "position", "polarity", "gas", "joint", "welder")  # fmt: skip
NUMBERS = ("thickness (in)", *(f"{q} ({u[0]})" for q, u in invented.QUANTITIES.items()))
AUDIT = """
import sys
from pathlib import Path
from weldref.logs.audit import audit_log
from weldref.data.store import Store, connect
path = Path(sys.argv[1])
options = {"output": sys.argv[3]} if len(sys.argv) > 3 else {}
audit_log(sys.argv[2], store=Store(connect(path), "invented", path), **options)
status = Path("/proc/self/status")
# Not ru_maxrss, which a process takes over from the one that started it.
lines = status.read_text().splitlines() if status.exists() else []
print(next((int(line.split()[1]) // 1024 for line in lines if line.startswith("VmHWM")), 0))
"""
"""An audit as a whole process, start and imports included; it prints its peak memory in MB."""

pytestmark = pytest.mark.benchmark(group="audit of a log")


class Bench:
    """The invented files, and the rates that were measured."""

    def __init__(self, store: Store, folder: Path) -> None:
        self.folder = folder
        self.log = folder / "log.parquet"
        invented.write_log(store, self.log, RECORDS, 7, templates=min(20_000, RECORDS // 100 + 1))
        self.paths = {}
        for count in WINDOWS:
            self.paths[count] = folder / f"{count}.duckdb"
            rows = invented.windows(store, count, 1, wild=False)
            invented.store_of(store, rows, self.paths[count]).connection.close()
        self.store = Store(connect(self.paths[USUAL]), "invented", self.paths[USUAL])
        self.measured: list[tuple[str, int, float]] = []
        self.memory: dict[str, int] = {}

    def run(
        self, benchmark: BenchmarkFixture, name: str, records: int, work: Callable[[], object]
    ) -> None:
        times = []

        def timed() -> None:
            begun = time.perf_counter()
            work()
            times.append(time.perf_counter() - begun)

        benchmark.pedantic(timed, rounds=3 if records == RECORDS else 1, warmup_rounds=0)
        self.measured.append((name, records, min(times)))

    def audit(self, benchmark: BenchmarkFixture, name: str, count: int, *more: str) -> None:
        arguments = [sys.executable, "-c", AUDIT, str(self.paths[count]), str(self.log), *more]
        used: list[int] = []

        def process() -> None:
            done = subprocess.run(arguments, capture_output=True, text=True, check=True)
            used.append(int(done.stdout))

        self.run(benchmark, name, RECORDS, process)
        self.memory[name] = max(used)

    def scan(self, word: str) -> str:
        cells = [f'{word}("{name}")' for name in WORDS] + [f'sum("{name}")' for name in NUMBERS]
        return f"SELECT {', '.join(cells)}, max(time) FROM read_parquet('{self.log}')"  # noqa: S608

    def table(self) -> str:
        bare = next((n / s for name, n, s in self.measured if name.startswith("bare scan")), 0.0)
        lines = [f"{'':44} {'records':>10} {'s':>8} {'records/s':>12} {'bare scan is':>14}"]
        for name, records, seconds in self.measured:
            times = f"{bare / (records / seconds):,.1f} x" if bare else ""
            rate = f"{records / seconds:,.0f}"
            lines.append(f"{name:44} {records:>10,} {seconds:>8.2f} {rate:>12} {times:>14}")
        lines += [f"{name}: peak memory {used} MB" for name, used in self.memory.items()]
        return "\n".join(lines)


@pytest.fixture(scope="module")
def bench(store: Store, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    made = Bench(store, tmp_path_factory.mktemp("audit-log"))
    yield made
    print(f"\n\n{made.table()}\n")


def test_bare_scan(benchmark: BenchmarkFixture, bench: Bench) -> None:
    """Every cell is read: the greatest of the words, the sum of the numbers."""
    with duckdb.connect() as connection:
        bench.run(
            benchmark,
            "bare scan, every cell read",
            RECORDS,
            lambda: connection.execute(bench.scan("max")).fetchall(),
        )


def test_lightest_scan(benchmark: BenchmarkFixture, bench: Bench) -> None:
    """Words are only counted, which does not look at them."""
    with duckdb.connect() as connection:
        bench.run(
            benchmark,
            "lightest scan, words only counted",
            RECORDS,
            lambda: connection.execute(bench.scan("count")).fetchall(),
        )


@pytest.mark.parametrize("count", WINDOWS)
def test_audit_log(benchmark: BenchmarkFixture, bench: Bench, count: int) -> None:
    bench.audit(benchmark, f"audit-log, {count:,} windows", count)


def test_audit_log_with_every_verdict_written(benchmark: BenchmarkFixture, bench: Bench) -> None:
    target = str(bench.folder / "verdicts.parquet")
    bench.audit(benchmark, f"audit-log, {USUAL:,} windows, verdicts written", USUAL, target)


def _naive(quantity: str, column: str, records: int, log: Path) -> str:
    """The join that comes to mind: a row applies if each condition is empty or equal."""
    pairs = {"process": "process", "transfer_mode": "transfer mode", "material": "material",
             "filler_class": "electrode", "electrode_size": "diameter", "joint": "joint type",
             "position": "position", "polarity": "polarity", "gas": "gas"}  # fmt: skip
    same = " AND ".join(f'(w.{c} IS NULL OR w.{c} = l."{h}")' for c, h in pairs.items())
    thick = 'l."thickness (in)" * 0.0254'
    return f"""
        SELECT count(*), sum(CASE WHEN inside THEN 1 ELSE 0 END) FROM (
            SELECT l.file_row_number, bool_and(l."{column}" BETWEEN w.min AND w.max) AS inside
            FROM read_parquet('{log}', file_row_number = true) l
            JOIN windows w ON w.quantity = '{quantity}' AND {same}
                AND (w.thickness_min_si IS NULL OR w.thickness_min_si <= {thick})
                AND (w.thickness_max_si IS NULL OR w.thickness_max_si >= {thick})
            WHERE l.file_row_number < {records} GROUP BY 1)"""  # noqa: S608


def test_naive_join(benchmark: BenchmarkFixture, bench: Bench) -> None:
    """Simpler than a verdict: no trees of terms, no documents, no unit systems."""
    windows = bench.store.connection.cursor().execute("FROM windows").df()
    with duckdb.connect() as connection:
        connection.register("frame", windows)
        connection.execute("CREATE TABLE windows AS FROM frame")

        def join() -> None:
            for quantity, (unit, *_) in invented.QUANTITIES.items():
                column = f"{quantity} ({unit})"
                connection.execute(_naive(quantity, column, JOINED, bench.log)).fetchall()

        bench.run(benchmark, "naive SQL join", JOINED, join)


def test_pandas(benchmark: BenchmarkFixture, bench: Bench) -> None:
    """Merge on the process, then mask, in chunks: simpler than a verdict as well."""
    import pandas as pd

    windows = bench.store.connection.cursor().execute("FROM windows").df()
    log = pd.read_parquet(bench.log).head(PANDAS)
    pairs = {"material": "material", "filler_class": "electrode", "electrode_size": "diameter"}

    def merge() -> int:
        inside = 0
        for quantity, (unit, *_) in invented.QUANTITIES.items():
            some = windows[windows["quantity"] == quantity]
            for start in range(0, len(log), 1000):
                both = log[start : start + 1000].merge(some, on="process", suffixes=("", "_w"))
                for condition, heading in pairs.items():
                    own = condition if condition != heading else f"{condition}_w"
                    both = both[both[own].isna() | (both[own] == both[heading])]
                value = both[f"{quantity} ({unit})"]
                inside += int(((value >= both["min"]) & (value <= both["max"])).sum())
        return inside

    bench.run(benchmark, "pandas merge and mask", PANDAS, merge)


def test_python_loop(benchmark: BenchmarkFixture, bench: Bench) -> None:
    """A check for each record: the same verdicts, one at a time."""
    store = bench.store
    with duckdb.connect() as connection:
        cursor = connection.execute(f"FROM read_parquet('{bench.log}') LIMIT {LOOPED}")
        names = [column[0] for column in cursor.description or ()]
        rows: list[dict[str, Any]] = [
            dict(zip(names, row, strict=True)) for row in cursor.fetchall()
        ]

    def loop() -> None:
        for row in rows:
            situation = describe(
                store,
                process=row["process"],
                transfer_mode=row["transfer mode"],
                material=row["material"],
                electrode=row["electrode"],
                diameter=row["diameter"],
                thickness=f"{row['thickness (in)']!r} in",
                joint=row["joint type"],
                position=row["position"],
                polarity=row["polarity"],
                gas=row["gas"],
            )
            readings = {q: repr(row[f"{q} ({u[0]})"]) for q, u in invented.QUANTITIES.items()}
            check_situation(store, situation, readings)

    bench.run(benchmark, "Python loop over weldref.check", LOOPED, loop)
