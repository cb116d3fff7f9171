"""The verdict on every reading of a log is the one that a check gives for its record.

Samples of records near the rows of the tables that ship, and of invented tables whose rows
overlap, contradict and repeat each other; every verdict, distance, grade and set of rows is
compared, and so is the reason where a check refuses the record.
"""

from __future__ import annotations

import tempfile
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.audit.logs import invented
from tests.audit.logs.compare import audited, differences, write_log
from tests.audit.logs.records import QUANTITIES, Records
from weldref.core.lookup import GRADES
from weldref.data.store import Store, open_store
from weldref.logs.terms import remembering

OPTIONS = st.fixed_dictionaries(
    {
        "units": st.sampled_from(["us", "metric"]),
        "grade": st.sampled_from(GRADES),
        "under_water": st.booleans(),
    }
)
SEEDS = st.integers(0, 2**32)


@pytest.fixture(scope="module")
def shipped() -> Store:
    return remembering(open_store())


@pytest.fixture(scope="module")
def wild() -> Store:
    """Invented tables with everything at once: gaps, limits, both unit systems, memory."""
    store = open_store()
    return remembering(invented.store_of(store, invented.windows(store, 900, 5, wild=True)))


@settings(max_examples=15)
@given(seed=SEEDS, options=OPTIONS)
def test_shipped_tables(shipped: Store, seed: int, options: dict[str, object]) -> None:
    records = Records(shipped).draw(seed, 20)
    with tempfile.TemporaryDirectory() as folder:
        assert differences(shipped, records, QUANTITIES, Path(folder), **options) == []


@settings(max_examples=15)
@given(seed=SEEDS, options=OPTIONS)
def test_wild_tables(wild: Store, seed: int, options: dict[str, object]) -> None:
    records = Records(wild).draw(seed, 20)
    with tempfile.TemporaryDirectory() as folder:
        assert differences(wild, records, QUANTITIES, Path(folder), **options) == []


@pytest.mark.parametrize("name", ["shipped", "wild"])
def test_the_samples_reach_every_verdict_and_reason(
    name: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    store = request.getfixturevalue(name)
    write_log(tmp_path / "log.csv", Records(store).draw(1, 300))
    lines = audited(store, tmp_path / "log.csv", tmp_path)
    found = Counter(line["verdict"] or line["reason"] for line in lines.values())
    assert {"inside", "low", "high", "sources differ", "no published range"} <= set(found)
    assert {"not a number", "implausible", "unknown material", "unreadable thickness"} <= set(found)
    assert {line["grade"] for line in lines.values()} >= {"read", "memory", None}
    assert max(line["windows"].count(";") for line in lines.values()) >= 2
