"""The class's bench: 1/8, 3/16 and 1/4 in answered with a source or plainly not at all."""

from __future__ import annotations

import pytest

from weldref.core.check import check, published

BENCH = [
    ("GMAW", "carbon steel"),
    ("GTAW", "carbon steel"),
    ("SMAW", "carbon steel"),
    ("GTAW", "304"),
    ("GTAW", "aluminium"),
]


@pytest.mark.parametrize(("process", "material"), BENCH)
@pytest.mark.parametrize("thickness", ["1/8", "3/16", "1/4"])
def test_the_bench_is_answered(process: str, material: str, thickness: str) -> None:
    found = published(process=process, material=material, thickness=thickness, quantity="current")
    speaking = [row for row in found.rows if row.verdict == "" and not row.status]
    assert speaking
    assert all(row.source and row.source_id and row.how_read for row in speaking)
    result = check(process=process, material=material, thickness=thickness, current=120)
    (reading,) = result.readings
    # A word rests on print; without a row that decides, it is at most a question.
    assert all(row.how_read != "memory" for row in reading.rows)
    if not reading.rows:
        assert reading.verdict in ("no published range", "depends")
    assert (reading.ask is not None) == (reading.verdict == "depends")
    assert result.cautions


def test_nothing_published_is_said_plainly() -> None:
    result = check(process="EGW", material="aluminium", thickness="1/8", current=120)
    assert result.verdict == "no published range"
    assert result.readings[0].rows == ()
