"""How long does a handout of four pages take, as a whole process? And a class's practice sheets?

    .venv/bin/python -m pytest tests/bench/test_handout_speed.py --benchmark-only

The aim is 1 s for four pages; the imports alone stand beside it. Nothing here asserts a time.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture


def run(*arguments: str) -> None:
    subprocess.run([sys.executable, *arguments], capture_output=True, check=True)


@pytest.mark.benchmark(group="handout, whole process")
def test_imports_alone(benchmark: BenchmarkFixture) -> None:
    benchmark.pedantic(lambda: run("-c", "import duckdb, typst"), rounds=5, warmup_rounds=1)


@pytest.mark.benchmark(group="handout, whole process")
@pytest.mark.parametrize("ending", ["pdf", "html"])
def test_four_pages(benchmark: BenchmarkFixture, tmp_path: Path, ending: str) -> None:
    arguments = ["-m", "weldref", "handout", "--process", "SMAW", "--material", "A36"]
    arguments += ["--electrode", "E7018", "--diameter", "1/8"]
    arguments += ["--thickness", "1/8", "--thickness", "1/4", "-o", str(tmp_path / f"h.{ending}")]
    benchmark.pedantic(lambda: run(*arguments), rounds=5, warmup_rounds=1)


@pytest.mark.benchmark(group="practice, whole process")
def test_ten_sheets(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    arguments = ["-m", "weldref", "practice", "--sheets", "10", "-o", str(tmp_path / "p.pdf")]
    benchmark.pedantic(lambda: run(*arguments), rounds=2, warmup_rounds=0)
