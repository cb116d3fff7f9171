"""Malformed files by the thousand: refused in one sentence or accepted, within fixed means.

Two seconds of processor time and 512 MB for each file are the limits themselves. All 10,000 are
read by ``scripts/test --all``.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from tests.attack.corpus import make
from tests.effort import times
from weldref.data.store import Store

COUNT = times(150, 10_000)
CHUNK = times(150, 250)


def run(folder: Path, first: int) -> dict[str, Any]:
    place = folder / str(first)
    place.mkdir()
    done = subprocess.run(
        [sys.executable, "-m", "tests.attack.bounded", str(place), str(first), str(CHUNK)],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"{first}: {done.returncode} {done.stderr[-800:]}"
    assert list(place.iterdir()) == []
    return dict(json.loads(done.stdout))


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads Linux's /proc")
def test_every_file_is_refused_or_accepted_within_its_limits(store: Store, tmp_path: Path) -> None:
    assert store.path is not None  # built here, so that no child has to
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(lambda first: run(tmp_path, first), range(0, COUNT, CHUNK)))
    outcomes: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    for one in found:
        outcomes.update(one["outcomes"])
        kinds.update(one["kinds"])
    print(dict(outcomes), dict(kinds))
    print("slowest", max(one["slowest"] for one in found))
    print("largest", max(one["largest"] for one in found))
    faults = [fault for one in found for fault in one["faults"]]
    assert faults == [], "\n".join(faults[:20])
    for kind in ("procedure", "log", "dataset", "report"):
        assert kinds[f"{kind} refused"] > 0
    assert outcomes["refused"] > outcomes["accepted"] / 4


def test_a_file_is_the_same_on_every_run() -> None:
    for number in (0, 7, 123, 9_999):
        assert make(number) == make(number)
    assert len({make(number).data for number in range(100)}) > 90
