"""Tables that are edited while a store is built of them: the digest belongs to the content."""

from __future__ import annotations

import pickle
import threading
import time
from pathlib import Path

import pytest

from tests.conftest import read_csv, write_csv
from tests.effort import ALL, times
from weldref.data import store as store_module
from weldref.data import validate
from weldref.data.folder import digest_of
from weldref.data.store import open_store
from weldref.errors import DataError

TIMES = 10


def edit(folder: Path, text: str) -> None:
    rows = read_csv(folder / "sources.csv")
    rows[0]["remark"] = text
    new = folder / "sources.new"
    write_csv(new, rows)
    new.replace(folder / "sources.csv")


@pytest.fixture(autouse=True)
def apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cache of its own, and nothing opened before."""
    monkeypatch.setattr(store_module, "cache_folders", lambda: [tmp_path / "cache"])
    monkeypatch.setattr(store_module, "_opened", {})


def test_an_edit_between_digest_and_content_is_seen(
    tables_copy: Path, loaded: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def edited(folder: Path, *_: object) -> object:
        edit(folder, "changed")
        return pickle.loads(loaded.read_bytes())  # noqa: S301  written by this test's fixture

    with monkeypatch.context() as patched:
        patched.setattr(validate, "load", edited)
        with pytest.raises(DataError, match="changed while they were read; try again"):
            open_store(tables_copy)
    assert list((tmp_path / "cache").iterdir()) == []
    found = open_store(tables_copy)
    assert found.digest == digest_of(tables_copy)
    assert found.rows("SELECT count(*) AS n FROM sources WHERE remark = 'changed'")[0]["n"] == 1


@pytest.mark.skipif(not ALL, reason="an edit at one moment is tried above; --all tries any")
def test_edits_at_any_moment(tables_copy: Path) -> None:
    content: dict[str, str] = {}
    done = threading.Event()

    def keep_editing() -> None:
        number = 0
        while not done.wait(0.7):
            number += 1
            edit(tables_copy, f"edit {number}")
            content[digest_of(tables_copy)] = f"edit {number}"

    edit(tables_copy, "edit 0")
    content[digest_of(tables_copy)] = "edit 0"
    editor = threading.Thread(target=keep_editing)
    editor.start()
    opened = refused = 0
    try:
        for _ in range(TIMES):
            try:
                found = open_store(tables_copy)
            except DataError as error:
                assert "try again" in str(error)
                refused += 1
                continue
            opened += 1
            time.sleep(0.05)
            key = read_csv(tables_copy / "sources.csv")[0]["source_id"]
            (row,) = found.rows("SELECT remark FROM sources WHERE source_id = $k", {"k": key})
            assert row["remark"] == content[found.digest]
    finally:
        done.set()
        editor.join()
    assert opened + refused == TIMES
    assert open_store(tables_copy).digest == digest_of(tables_copy)


def test_a_damaged_store_is_built_anew(
    tables_copy: Path, loaded: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk may lose what it said that it had written."""
    monkeypatch.setattr(validate, "load", lambda *_: pickle.loads(loaded.read_bytes()))  # noqa: S301
    first = open_store(tables_copy)
    assert first.path is not None
    whole = first.path.read_bytes()
    first.connection.close()
    for damaged in (whole[:5000], b"", b"\0" * len(whole))[: times(1, 3)]:
        first.path.write_bytes(damaged)
        monkeypatch.setattr(store_module, "_opened", {})
        found = open_store(tables_copy)
        assert found.rows("SELECT digest FROM dataset")[0]["digest"] == first.digest
        found.connection.close()
