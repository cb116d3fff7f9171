"""An export: the same rows in each format, the same bytes each time, whole or not at all."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import sqlite3
import subprocess
import sys
import warnings
import zipfile
from collections.abc import Callable
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow.parquet as pq
import pytest

from tests.conftest import read_csv
from tests.exchange.test_datapackage import problems
from weldref.cells import harmless
from weldref.cli import main
from weldref.data.folder import DATASET_VERSION, datasets_folder
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange import export as export_module
from weldref.exchange.export import export
from weldref.exchange.table_schema import key_of, types

NAMES = {"parquet": "weldref", "csv": "weldref.zip", "json": "weldref.json", "sqlite": "w.sqlite"}

Rows = set[tuple[str, ...]]


def plain(value: Any) -> str:
    """Write any library's cell in one way, for a comparison that uses nothing of weldref."""
    if value is None or value is pd.NA or value != value:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        return repr(float(value))
    return str(value)


def as_rows(table: str, records: list[dict[str, Any]]) -> Rows:
    kinds = types()[table]

    def one(column: str, value: Any) -> str:
        text = plain(value)
        if text and kinds[column] == "number":
            return repr(float(text))
        return (
            {"1.0": "true", "0.0": "false"}.get(text, text) if kinds[column] == "boolean" else text
        )

    return {tuple(one(c, record.get(c)) for c in kinds) for record in records}


def from_parquet(path: Path, table: str) -> list[dict[str, Any]]:
    return pq.read_table(path / f"{table}.parquet").to_pylist()


def from_csv(path: Path, table: str) -> list[dict[str, Any]]:
    with zipfile.ZipFile(path) as packed:
        text = packed.read(f"{table}.csv").decode()
    return list(csv.DictReader(io.StringIO(text, newline="")))


@cache
def whole(path: Path) -> dict[str, Any]:
    """Read the tables of the one JSON file once."""
    tables: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))["tables"]
    return tables


def from_json(path: Path, table: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = whole(path)[table]["rows"]
    return found


def from_sqlite(path: Path, table: str) -> list[dict[str, Any]]:
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        return [dict(row) for row in connection.execute(f'SELECT * FROM "{table}"')]  # noqa: S608


READERS: dict[str, Callable[[Path, str], list[dict[str, Any]]]] = {
    "parquet": from_parquet,
    "csv": from_csv,
    "json": from_json,
    "sqlite": from_sqlite,
}


@pytest.fixture(scope="module")
def exports(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("exports")
    for form, name in NAMES.items():
        export(folder / name, form)
    return {form: folder / name for form, name in NAMES.items()}


def shipped(table: str, pattern: str) -> Rows:
    paths = sorted(datasets_folder().glob(pattern))
    return as_rows(table, [row for path in paths for row in read_csv(path)])


def test_every_format_has_the_rows_of_the_shipped_tables(
    exports: dict[str, Path], store: Store
) -> None:
    listed = store.rows("SELECT name, path FROM table_list")
    assert len(listed) == len(types())
    for table in listed:
        wanted = shipped(table["name"], table["path"])
        for form, read in READERS.items():
            records = read(exports[form], table["name"])
            assert as_rows(table["name"], records) == wanted, (form, table["name"])
            assert len(records) == len(wanted), (form, table["name"])


def test_numbers_and_truths_keep_their_types(exports: dict[str, Path]) -> None:
    schema = pq.read_schema(exports["parquet"] / "windows.parquet")
    assert str(schema.field("min").type) == "double"
    assert str(schema.field("thickness_min_inclusive").type) == "bool"
    with closing(sqlite3.connect(exports["sqlite"])) as connection:
        kinds = "SELECT DISTINCT typeof(min) FROM windows WHERE min IS NOT NULL"
        assert connection.execute(kinds).fetchall() == [("real",)]


def test_every_format_says_version_and_digest(exports: dict[str, Path], store: Store) -> None:
    digest = f"sha256:{store.digest}"
    metadata = pq.read_schema(exports["parquet"] / "windows.parquet").metadata
    assert metadata[b"version"].decode() == DATASET_VERSION
    assert metadata[b"digest"].decode() == digest
    fields = {f["name"]: f for f in json.loads(metadata[b"schema"])["fields"]}
    assert fields["min"]["unitColumn"] == "unit"
    with closing(sqlite3.connect(exports["sqlite"])) as connection:
        said = dict(connection.execute("SELECT property, value FROM dataset"))
        columns = connection.execute("SELECT count(*) FROM dataset_columns").fetchone()[0]
    assert (said["version"], said["digest"]) == (DATASET_VERSION, digest)
    assert columns == sum(map(len, types().values()))
    with zipfile.ZipFile(exports["csv"]) as packed:
        described = json.loads(packed.read("datapackage.json"))
    single = json.loads(exports["json"].read_text(encoding="utf-8"))
    for one in (described, single):
        assert (one["version"], one["digest"]) == (DATASET_VERSION, digest)


def test_sqlite_keeps_keys_and_references(exports: dict[str, Path]) -> None:
    with closing(sqlite3.connect(exports["sqlite"])) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        links = connection.execute("PRAGMA foreign_key_list(windows)").fetchall()
        assert {link[2] for link in links} >= {"sources", "processes", "units"}
        connection.execute("PRAGMA foreign_keys = ON")
        with pytest.raises(sqlite3.IntegrityError):
            connection.execute("UPDATE windows SET source_id = 'nobody'")


def test_another_program_finds_the_csv_export_sound(
    exports: dict[str, Path], tmp_path: Path
) -> None:
    with zipfile.ZipFile(exports["csv"]) as packed:
        packed.extractall(tmp_path)
    assert problems(tmp_path) == []


def test_rows_are_sorted_by_key(exports: dict[str, Path]) -> None:
    for table in ("windows", "sources", "units"):
        keys = [row[key_of(table)[0]] for row in from_json(exports["json"], table)]
        assert keys == sorted(keys)


def digests(path: Path) -> dict[str, str]:
    files = sorted(path.iterdir()) if path.is_dir() else [path]
    return {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in files}


AGAIN = """
import sys
from weldref.exchange.export import export
for form, name in {names!r}.items():
    export({folder!r} + "/" + name, form)
"""


def test_same_tables_give_same_bytes_in_another_process(
    exports: dict[str, Path], tmp_path: Path
) -> None:
    script = AGAIN.format(names=NAMES, folder=str(tmp_path))
    # Another order of hashes, another time zone, a store built anew.
    elsewhere = {"PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo", "WELDREF_CACHE": str(tmp_path / "new")}
    subprocess.run([sys.executable, "-c", script], env={**os.environ, **elsewhere}, check=True)
    for form, name in NAMES.items():
        assert digests(tmp_path / name) == digests(exports[form]), form


def test_digests_are_those_of_the_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", "-o", str(tmp_path / "out")]) == 0
    lines = capsys.readouterr().out.splitlines()
    for line in lines[:-1]:
        digest, _, path = line.removeprefix("sha256:").partition("  ")
        assert hashlib.sha256(Path(path).read_bytes()).hexdigest() == digest
    assert len(lines) == len(types()) + 1
    assert lines[-1].startswith(f"dataset {DATASET_VERSION}, ")


def test_spreadsheet_export_holds_no_formula_and_loses_nothing(
    exports: dict[str, Path], tmp_path: Path
) -> None:
    export(tmp_path / "s.zip", spreadsheet=True)
    guarded = 0
    for table in types():
        for row, safe in zip(
            from_csv(exports["csv"], table), from_csv(tmp_path / "s.zip", table), strict=True
        ):
            assert all(harmless(cell) == cell for cell in safe.values())
            assert {c: v.removeprefix("'") for c, v in safe.items()} == row
            guarded += row != safe
    assert guarded > 10


def test_a_failure_leaves_nothing_and_spoils_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_: Any, path: Path) -> None:
        path.write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(export_module, "WRITERS", dict.fromkeys(export_module.WRITERS, fail))
    (tmp_path / "old.json").write_text("old")
    for name in ("old.json", "new.zip", "folder"):
        with pytest.raises(InputError, match="No space left"):
            export(tmp_path / name)
    assert [path.name for path in tmp_path.iterdir()] == ["old.json"]
    assert (tmp_path / "old.json").read_text() == "old"


def test_a_file_is_replaced_and_a_folder_is_not(tmp_path: Path) -> None:
    (tmp_path / "w.json").write_text("old")
    export(tmp_path / "w.json")
    assert json.loads((tmp_path / "w.json").read_text(encoding="utf-8"))["name"] == "weldref"
    (tmp_path / "there").mkdir()
    with pytest.raises(InputError, match="new folder"):
        export(tmp_path / "there")


REFUSED = {
    "w.csv": ([], "in .zip, .json, .sqlite"),
    "w.xlsx": ([], "is not accepted"),
    "none/w.zip": ([], "does not exist"),
    "w.json": (["--format", "csv"], "which says json"),
    "w": (["--format", "xml"], "parquet, csv, json, sqlite"),
    "v.json": (["--spreadsheet"], "goes with the format csv"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_bad_input_is_one_sentence(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    options, words = REFUSED[name]
    assert main(["export", "-o", str(tmp_path / name), *options]) == 2
    said = capsys.readouterr().err
    assert words in said
    assert said.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_pandas_reads_the_parquet_folder(exports: dict[str, Path]) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        frame = pd.read_parquet(exports["parquet"] / "windows.parquet")
    assert (frame["unit"].notna()).all()
    assert "min_si" not in frame
