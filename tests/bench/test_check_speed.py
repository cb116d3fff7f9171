"""How long does one check take, as a whole process, beside a bare duckdb query?

    .venv/bin/python -m pytest tests/bench --benchmark-only

prints both with their ratio in brackets; the aim is 1.5 or less. Nothing here asserts a time.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from weldref.data.store import Store

BARE = (
    "import duckdb, sys; c = duckdb.connect(sys.argv[1], read_only=True); "
    "print(c.execute(\"SELECT min, max FROM windows WHERE filler_class = 'E7018' "
    "AND electrode_size = '1/8 in' AND quantity = 'current'\").fetchall())"
)
ROUNDS = 15


@pytest.fixture
def path(store: Store) -> Path:
    assert store.path is not None
    return store.path


def run(*arguments: str) -> None:
    subprocess.run([sys.executable, *arguments], capture_output=True, check=True)


@pytest.mark.benchmark(group="one check, whole process")
def test_bare_duckdb_query(benchmark: BenchmarkFixture, path: Path) -> None:
    benchmark.pedantic(lambda: run("-c", BARE, str(path)), rounds=ROUNDS, warmup_rounds=2)


@pytest.mark.benchmark(group="one check, whole process")
@pytest.mark.parametrize("output", ["text", "json"])
@pytest.mark.usefixtures("path")
def test_weldref_check(benchmark: BenchmarkFixture, output: str) -> None:
    arguments = ["-m", "weldref", "check", "--process", "SMAW", "--electrode", "E7018"]
    arguments += ["--diameter", "1/8", "--current", "130"]
    arguments += ["--json"] if output == "json" else []
    benchmark.pedantic(lambda: run(*arguments), rounds=ROUNDS, warmup_rounds=2)
