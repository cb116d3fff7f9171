"""The same SQL on Spark gives the same counts: where Java is present."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.effort import ALL, times
from tests.logs import invented
from weldref.data.store import Store

SCRIPT = """
import json, sys
from pathlib import Path
from weldref.audit.welded_log import audit_against
from weldref.logs.audit import audit_log
from weldref.data.own import OwnTables
from weldref.data.store import Store, connect
from weldref.procedures.model import Pass, Procedure, Range, Text
tables, log, workshop = map(Path, sys.argv[1:4])
store = Store(connect(tables), "invented", tables)
wide = {"voltage": Range(18, 26, "V"), "travel_speed": Range(8, 20, "in/min")}
passes = (Pass(process=Text("SMAW"), current=Range(90, 150, "A"), **wide),
          Pass(process=Text("GMAW"), current=Range(150, 250, "A"), **wide,
               heat_input=Range(None, 40, "kJ/in")))
runs = {
    "published": lambda engine: audit_log(log, store=store, engine=engine),
    "own": lambda engine: audit_log(log, own=OwnTables(workshop, "instead"), engine=engine),
    "procedure": lambda engine: audit_against(log, Procedure(passes=passes), engine=engine),
}
for name in sys.argv[4:]:
    run = runs[name]
    duck, spark = (run(engine).as_dict() for engine in ("duckdb", "spark"))
    print(json.dumps([name, duck, spark], default=str))
"""

INTERPRETED = (
    "--conf spark.sql.codegen.wholeStage=false --conf spark.sql.codegen.factoryMode=NO_CODEGEN "
    "--conf spark.sql.adaptive.enabled=false "
    "--conf 'spark.driver.extraJavaOptions=-XX:TieredStopAtLevel=1 -XX:+UseSerialGC'"
)
RECORDS = times(4_000, 1_000_000)
RUNS = ("published", "own", "procedure") if ALL else ("published", "procedure")
"""Own rows are joined by the statements that join the published ones."""


def moved(answer: dict[str, Any]) -> list[tuple[object, ...]]:
    """Which readings drift, and by how much: the engines round the last digit differently."""
    return [
        (one["joint"], one["quantity"], one["readings"], round(one["change"], 9))
        for one in answer.get("drifts", ())
    ]


@pytest.mark.skipif(
    shutil.which("java") is None and not os.environ.get("CI"), reason="Spark needs Java"
)
def test_spark_counts_what_duckdb_counts(store: Store, workshop: Path, tmp_path: Path) -> None:
    # Rows with gaps and limits, so that readings are weighed group by group as well.
    rows = invented.windows(store, times(500, 1500), 3, wild=True)
    invented.store_of(store, rows, tmp_path / "invented.duckdb").connection.close()
    log = tmp_path / "log.parquet"
    invented.write_log(store, log, RECORDS, 11, templates=times(300, 2000),
                       each=times(20, 400), spoiled=True)  # fmt: skip
    # A process of its own: Spark warns of pandas 3 and keeps sockets open. One start serves all.
    arguments = ["-c", SCRIPT, str(tmp_path / "invented.duckdb"), str(log), str(workshop), *RUNS]
    # So few records are not worth compiling every statement for.
    few = {} if ALL else {"PYSPARK_SUBMIT_ARGS": f"{INTERPRETED} pyspark-shell"}
    done = subprocess.run(
        [sys.executable, *arguments],
        env={**os.environ, **few}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    found = {name: both for name, *both in map(json.loads, done.stdout.splitlines())}
    assert tuple(found) == RUNS
    for name, (duck, spark) in found.items():
        assert spark["counts"] == duck["counts"], name
        assert moved(spark) == moved(duck), name
        assert spark.get("worst") == duck.get("worst"), name
        assert sum(count["low"] + count["high"] for count in duck["counts"]) > 0, name
    counts = found["published"][0]["counts"]
    for word in ("inside", "low", "high", "sources_differ", "no_published_range"):
        assert sum(count[word] for count in counts) > times(0, 1000)
    assert {"not a number", "implausible", "unknown material"} <= set(counts[0]["reasons"])
    against = found["procedure"]
    assert against[0]["unplaced"] == against[1]["unplaced"]
    assert {count["quantity"] for count in against[0]["counts"]} >= {"current", "heat_input"}
