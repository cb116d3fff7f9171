"""The verdict on every reading of a log is the one that a check gives for its record.

What a profile says is compared with a check in `tests/core/test_profile.py`; here the whole way
from file to file is compared, on a few records near the rows of the tables, and so is the reason
where a check refuses the record.
"""

from __future__ import annotations

import tempfile
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.effort import times
from tests.logs import invented
from tests.logs.compare import audited, differences, write_log
from tests.logs.records import QUANTITIES, Records
from weldref.core.profile import Profiles
from weldref.core.situation import describe
from weldref.core.verdict import system_of
from weldref.data.store import Store, open_store
from weldref.grades import GRADES

OPTIONS = st.fixed_dictionaries(
    {
        "units": st.sampled_from(["us", "metric"]),
        "grade": st.sampled_from(GRADES),
        "under_water": st.booleans(),
    }
)
SEEDS = st.integers(0, 2**32)


@pytest.fixture(scope="module")
def wild() -> Store:
    """Invented tables with everything at once: gaps, limits, both unit systems, memory."""
    store = open_store()
    return invented.store_of(store, invented.windows(store, 300, 5, wild=True))


@settings(max_examples=times(3, 6))
@given(seed=SEEDS, options=OPTIONS)
def test_shipped_tables(store: Store, seed: int, options: dict[str, object]) -> None:
    records = Records(store).draw(seed, 12)
    with tempfile.TemporaryDirectory() as folder:
        assert differences(store, records, QUANTITIES, Path(folder), **options) == []


@settings(max_examples=times(3, 6))
@given(seed=SEEDS, options=OPTIONS)
def test_wild_tables(wild: Store, seed: int, options: dict[str, object]) -> None:
    records = Records(wild).draw(seed, 12)
    with tempfile.TemporaryDirectory() as folder:
        assert differences(wild, records, QUANTITIES, Path(folder), **options) == []


@settings(max_examples=times(2, 4))
@given(seed=SEEDS)
def test_many_values_at_once_are_settled_as_a_log_is(wild: Store, seed: int) -> None:
    records = Records(wild).draw(seed, 8)
    with tempfile.TemporaryDirectory() as folder:
        write_log(Path(folder, "log.csv"), records)
        lines = audited(wild, Path(folder, "log.csv"), Path(folder))
    for (number, quantity), line in lines.items():
        if line["verdict"] is None:
            continue
        record = records[number - 1]
        said = {
            name.replace("joint_type", "joint"): text
            for name, text in record.items()
            if name not in QUANTITIES and text.strip()
        }
        situation = describe(wild, **said)  # type: ignore[arg-type]
        (unit,) = wild.rows(
            "SELECT factor, shift FROM conversions WHERE unit = $unit", {"unit": line["unit"]}
        )
        si = line["value"] * unit["factor"] + unit["shift"]
        system = system_of(line["unit"])
        word, _ = Profiles(wild, [(quantity, system)]).profile(situation).settle(si)
        assert word == line["verdict"], (record, quantity)


def test_the_samples_reach_every_verdict_and_reason(wild: Store, tmp_path: Path) -> None:
    write_log(tmp_path / "log.csv", Records(wild).draw(1, 150))
    lines = audited(wild, tmp_path / "log.csv", tmp_path)
    found = Counter(line["verdict"] or line["reason"] for line in lines.values())
    words = {"inside", "low", "high", "sources differ", "depends", "no published range"}
    assert words <= set(found)
    assert {"not a number", "implausible", "unknown material", "unreadable thickness"} <= set(found)
    assert {line["grade"] for line in lines.values()} >= {"read", "memory", None}
    assert max(line["windows"].count(";") for line in lines.values()) >= 2
