"""The same SQL on Spark gives the same counts: where Java is present."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.effort import times
from tests.logs import invented
from weldref.data.store import Store

SCRIPT = """
import json, sys
from pathlib import Path
from dataclasses import asdict
from weldref.logs.audit import audit_log
from weldref.data.store import Store, connect
path = Path(sys.argv[1])
store = Store(connect(path), "invented", path)
found = [audit_log(sys.argv[2], store=store, engine=engine) for engine in ("duckdb", "spark")]
print(json.dumps([[asdict(count) for count in audit.counts] for audit in found]))
"""


RECORDS = times(20_000, 1_000_000)


@pytest.mark.skipif(
    shutil.which("java") is None and not os.environ.get("CI"), reason="Spark needs Java"
)
def test_spark_counts_what_duckdb_counts(store: Store, tmp_path: Path) -> None:
    # Rows with gaps and limits, so that readings are weighed group by group as well.
    rows = invented.windows(store, 1500, 3, wild=True)
    invented.store_of(store, rows, tmp_path / "invented.duckdb").connection.close()
    log = tmp_path / "log.parquet"
    invented.write_log(store, log, RECORDS, 11, templates=2000, spoiled=True)
    # A process of its own: Spark warns of pandas 3 and keeps sockets open.
    arguments = ["-c", SCRIPT, str(tmp_path / "invented.duckdb"), str(log)]
    done = subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    duck, spark = json.loads(done.stdout.splitlines()[-1])
    assert spark == duck
    for name in ("inside", "low", "high", "sources_differ", "no_published_range"):
        assert sum(count[name] for count in duck) > times(0, 1000)
    assert {"not a number", "implausible", "unknown material"} <= set(duck[0]["reasons"])
