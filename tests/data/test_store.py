"""The store: built once for a content, never half, never writable."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import duckdb
import pytest

from tests.conftest import read_csv, write_csv
from tests.effort import ALL
from tests.faults.processes import BUILD, finish
from weldref.data import store as store_module
from weldref.data.folder import digest_of
from weldref.data.store import Store, open_store
from weldref.errors import DataError


def test_rebuilt_when_a_table_changes(
    tables_copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store_module, "cache_folders", lambda: [tmp_path / "cache"])
    monkeypatch.setattr(store_module, "_opened", {})
    first = open_store(tables_copy)
    monkeypatch.setattr(store_module, "_opened", {})
    assert open_store(tables_copy).path == first.path
    rows = read_csv(tables_copy / "sources.csv")
    rows[0]["remark"] = "changed"
    write_csv(tables_copy / "sources.csv", rows)
    second = open_store(tables_copy)
    assert second.digest != first.digest
    assert {path.name for path in (tmp_path / "cache").glob("*.duckdb")} == {
        str(one.path and one.path.name) for one in (first, second)
    }


def test_two_processes_may_build_at_once(tables_copy: Path, loaded: Path, tmp_path: Path) -> None:
    command = ["-c", BUILD, str(tables_copy), *([] if ALL else [str(loaded)])]
    apart = {"WELDREF_CACHE": str(tmp_path / "cache"), "TMPDIR": str(tmp_path)}
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(lambda _: finish(command, **apart), range(2)))
    assert {code for code, _, _ in found} == {0}, found
    assert len({out for _, out, _ in found}) == 1
    assert [path.suffix for path in (tmp_path / "cache").iterdir()] == [".duckdb"]


def test_without_a_writable_folder_it_lives_in_memory(
    tables_copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store_module, "cache_folders", lambda: [Path("/proc/nowhere")])
    monkeypatch.setattr(store_module, "_opened", {})
    store = open_store(tables_copy)
    assert store.path is None
    assert store.rows("SELECT count(*) AS n FROM windows")[0]["n"] > 1000
    with pytest.raises(duckdb.PermissionException):
        store.connection.execute("SELECT * FROM read_csv('/etc/passwd')")


def test_unsound_tables_are_not_built(tables_copy: Path) -> None:
    rows = read_csv(tables_copy / "windows/saw.csv")
    rows[0]["unit"] = "furlong"
    write_csv(tables_copy / "windows/saw.csv", rows)
    with pytest.raises(DataError, match=r"windows/saw.csv:2: unit: 'furlong'"):
        open_store(tables_copy)


def test_the_store_is_read_only_and_cut_off(store: Store) -> None:
    for sql in (
        "INSERT INTO sources (source_id) VALUES ('x')",
        "DROP TABLE windows",
        "COPY windows TO '/tmp/x.csv'",
        "SELECT * FROM read_csv('/etc/passwd')",
        "ATTACH '/tmp/x.duckdb'",
        "INSTALL httpfs",
    ):
        with pytest.raises(duckdb.Error):
            store.connection.cursor().execute(sql)


def test_digest_is_of_names_and_content(tables_copy: Path) -> None:
    before = digest_of(tables_copy)
    (tables_copy / "windows/saw.csv").rename(tables_copy / "windows/saw2.csv")
    assert digest_of(tables_copy) != before


def test_importing_weldref_imports_nothing_heavy() -> None:
    code = (
        "import sys, weldref.cli; weldref.cli.build_parser(); "
        "print([m for m in ('pandas', 'pandera', 'duckdb', 'streamlit', 'pint') "
        "if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_check_needs_neither_pandas_nor_pint(store: Store) -> None:
    assert store.path is not None  # it is built: only the lookup runs in the child
    code = (
        "import sys, contextlib, io, weldref.cli\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        "    weldref.cli.main(['check', '--process', 'SMAW', '--current', '130'])\n"
        "print([m for m in ('pandas', 'pandera', 'pint', 'numpy') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
