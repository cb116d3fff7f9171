"""What the tests of faults share."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from weldref.data.folder import datasets_folder
from weldref.data.validate import load


@pytest.fixture(scope="session")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tables as they are loaded, checked once: a build then only writes."""
    path = tmp_path_factory.mktemp("loaded") / "tables.pickle"
    path.write_bytes(pickle.dumps(load(datasets_folder())))
    return path
