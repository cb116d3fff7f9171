"""What the tests share."""

from __future__ import annotations

import csv
import gc
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from tests.effort import ALL, times
from weldref.data.folder import datasets_folder
from weldref.data.own import OwnTables
from weldref.data.store import Store, open_store

# How long an example takes depends on the machine, not on whether the answer is right.
# On a change the same examples are drawn each time; `scripts/test --all` draws others.
settings.register_profile(
    "weldref", deadline=None, max_examples=times(30, 200), derandomize=not ALL
)
settings.load_profile("weldref")


SLOW = ("test_spark", "test_docs", "browser", "test_killed", "test_disks", "test_release")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the slow files: at the end one process would wait for the other."""
    items.sort(key=lambda item: not any(name in item.nodeid for name in SLOW))


def pytest_collection_finish() -> None:
    """Keep what is imported by now out of garbage collection, which took a tenth of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000)


TOGETHER = ("tests/dashboard/browser/", "tests/faults/", "tests/site/")
"""Folders whose files share what is dear to make: they go to one process."""


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Give each process whole files, and whole folders of these."""
    from xdist.scheduler import LoadFileScheduling

    class ByFolder(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            folder = next((one for one in TOGETHER if nodeid.startswith(one)), None)
            return folder or super()._split_scope(nodeid)

    return ByFolder(config, log)


@pytest.fixture(scope="session")
def store() -> Store:
    """The store of the tables that ship with the package."""
    return open_store()


@pytest.fixture(scope="session")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tables as they are loaded, checked once: a build then only writes."""
    import pickle

    from weldref.data.validate import load

    path = tmp_path_factory.mktemp("loaded") / "tables.pickle"
    path.write_bytes(pickle.dumps(load(datasets_folder())))
    return path


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One browser for all tests of a process: a second one cannot be driven beside it."""
    from tests.dashboard.browser.visits import launched

    with launched() as started:
        yield started


@pytest.fixture
def tables_copy(tmp_path: Path) -> Path:
    """A copy of the datasets folder that a test may spoil."""
    import shutil

    target = tmp_path / "datasets"
    shutil.copytree(datasets_folder(), target)
    return target


@pytest.fixture(scope="session")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of a school workshop's own tables, all invented."""
    from tests.own_workshop import MORE, make, rows_of

    return make(tmp_path_factory.mktemp("own") / "workshop", rows_of(*MORE))


@pytest.fixture(scope="session")
def beside(workshop: Path) -> OwnTables:
    """Its rows beside the published ones."""
    return OwnTables(workshop)


@pytest.fixture(scope="session")
def instead(workshop: Path) -> OwnTables:
    """Its rows instead of the published ones."""
    return OwnTables(workshop, "instead")


@pytest.fixture
def spoiled(tmp_path: Path) -> Path:
    """A folder of own tables that a test may spoil."""
    from tests.own_workshop import make, rows_of

    return make(tmp_path / "workshop", rows_of({}, {"locator": "p. 4"}))


def read_csv(path: Path) -> list[dict[str, str]]:
    """Read a CSV file as text."""
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def write_csv(path: Path, rows: list[dict[str, str]]) -> None:
    """Write a CSV file with the columns of the first row."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
