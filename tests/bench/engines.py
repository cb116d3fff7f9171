"""Measure what an audit of a log costs in each engine, by records, rows and distinct conditions.

    .venv/bin/python -m tests.bench.engines

prints the table of the page "When to change engine" (scripts/site/pages/about/engines.md). Each
audit is a process of its own. Its processor time hardly depends on what else the machine does;
its duration does. Rows and logs are invented.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.dashboard.server import resident_kb, with_children
from tests.logs import invented
from weldref.data.store import open_store

AUDIT = """
import sys
from pathlib import Path
from weldref.logs.audit import audit_log
from weldref.data.store import Store, connect
path = Path(sys.argv[1])
store = Store(connect(path), "invented", path)
print(audit_log(sys.argv[2], store=store, engine=sys.argv[3]).conditions)
"""
TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True)
class Case:
    """How many records, rows that could apply, and set-ups in the log; and the engine."""

    records: int
    rows: int
    set_ups: int
    engine: str


CASES = (
    Case(100_000, 1_000, 200, "duckdb"),
    Case(1_000_000, 1_000, 2_000, "duckdb"),
    Case(10_000_000, 1_000, 2_000, "duckdb"),
    Case(1_000_000, 1_000, 20_000, "duckdb"),
    Case(1_000_000, 100_000, 2_000, "duckdb"),
    Case(100_000, 1_000, 200, "spark"),
    Case(1_000_000, 1_000, 2_000, "spark"),
    Case(10_000_000, 1_000, 2_000, "spark"),
)


def ticks(pid: int) -> int:
    """Return the processor time of a process; 0 once it is gone."""
    stat = Path(f"/proc/{pid}/stat")
    try:
        fields = stat.read_text().rpartition(")")[2].split()
    except OSError:
        return 0
    return int(fields[11]) + int(fields[12])


def measured(case: Case, tables: Path, log: Path) -> str:
    """Audit a log in a process of its own, and write the line of the table."""
    began = time.perf_counter()
    arguments = [sys.executable, "-c", AUDIT, str(tables), str(log), case.engine]
    used: dict[int, int] = {}
    peak = 0
    with subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True) as process:
        while process.poll() is None:
            pids = with_children(process.pid)
            used.update({pid: max(used.get(pid, 0), ticks(pid)) for pid in pids})
            peak = max(peak, sum(resident_kb(pid) for pid in pids))
            time.sleep(0.1)
        assert process.stdout is not None
        conditions = int(process.stdout.read().split()[-1])
    took = time.perf_counter() - began
    cells = (
        case.engine, f"{case.records:,}", f"{case.rows:,}", f"{conditions:,}",
        f"{sum(used.values()) / TICKS:.1f}", f"{took:.0f}", f"{peak / 1024:.0f}",
    )  # fmt: skip
    return f"| {' | '.join(cells)} |"


def main() -> None:
    """Measure every case whose number of records is given, or all."""
    wanted = {int(text) for text in sys.argv[1:]}
    print("| engine | records | rows | distinct conditions | processor s | duration s | MB |")
    print("|---|--:|--:|--:|--:|--:|--:|")
    store = open_store()
    with TemporaryDirectory(prefix="engines-") as folder:
        for case in CASES:
            if wanted and case.records not in wanted:
                continue
            tables = Path(folder, f"{case.rows}.duckdb")
            if not tables.exists():
                rows = invented.windows(store, case.rows, 1, wild=False)
                invented.store_of(store, rows, tables).connection.close()
            log = Path(folder, f"{case.records}-{case.set_ups}.parquet")
            if not log.exists():
                invented.write_log(store, log, case.records, 7, templates=case.set_ups)
            print(measured(case, tables, log), flush=True)


if __name__ == "__main__":
    main()
