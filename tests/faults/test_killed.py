"""Killed at a random moment: no half file is read as whole, and what is left does not pile up."""

from __future__ import annotations

import hashlib
import os
import shutil
import time
from pathlib import Path

import duckdb
import pytest

from tests.effort import ALL, some, times
from tests.faults.processes import BUILD, KILLS, finish, kill, start
from weldref.data import store as store_module
from weldref.data import validate
from weldref.data.folder import digest_of
from weldref.data.store import connect, open_store
from weldref.exchange.shop_chart import drafts

pytestmark = pytest.mark.skipif(os.name == "nt", reason="SIGKILL is of POSIX systems")


LINES = times(30_000, 100_000)


def contents(path: Path) -> dict[str, str]:
    """The digest of a file, or of each file of a folder."""
    files = sorted(path.iterdir()) if path.is_dir() else [path]
    return {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in files}


def apart(tmp_path: Path) -> dict[str, str]:
    """A cache of its own; a store in the system's temporary folder would serve too."""
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    return {"WELDREF_CACHE": str(tmp_path / "cache"), "TMPDIR": str(temporary)}


def remove(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink()


def age(folder: Path) -> None:
    """Make everything in a folder two days old."""
    for path in folder.iterdir():
        os.utime(path, (time.time() - 2 * 86_400,) * 2)


def test_a_build_of_the_store(tables_copy: Path, loaded: Path, tmp_path: Path) -> None:
    cache, environment = tmp_path / "cache", apart(tmp_path)
    command = ["-c", BUILD, str(tables_copy), str(loaded)]
    digest = digest_of(tables_copy)
    left = 0
    for _ in kill(command, cache, ".weldref-*", **environment):
        for path in cache.glob("*.duckdb"):  # it had come to its end
            with connect(path) as found:
                assert found.execute("SELECT digest FROM dataset").fetchall() == [(digest,)]
            path.unlink()
        left = len(list(cache.iterdir()))
    assert 0 < left <= 2 * KILLS
    age(cache)
    code, out, err = finish(command[:-1] if ALL else command, **environment)
    assert (code, out.split(maxsplit=1)[0]) == (0, digest), err
    assert [path.suffix for path in cache.iterdir()] == [".duckdb"]


def test_one_of_two_builds_at_once(
    tables_copy: Path, loaded: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache, environment = tmp_path / "cache", apart(tmp_path)
    command = ["-c", BUILD, str(tables_copy), str(loaded)]
    monkeypatch.setattr(store_module, "cache_folders", lambda: [cache])
    monkeypatch.setattr(store_module, "_opened", {})
    other = start(command, **environment)
    doomed = start(command, **environment)
    while doomed.poll() is None and len(list(cache.glob(".weldref-*"))) < 2:
        time.sleep(0.005)
    doomed.kill()
    doomed.communicate()
    out, err = other.communicate()
    assert other.returncode == 0, err
    assert out.split()[0] == digest_of(tables_copy)
    monkeypatch.setattr(validate, "load", None)  # it is opened, not built again
    found = open_store(tables_copy)
    assert out.split() == [found.digest, str(found.path)]


@pytest.mark.parametrize("name", some(["out", "out.zip", "out.sqlite"], 3))
def test_an_export(name: str, tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    target = folder / name
    command = ["-m", "weldref", "export", "-o", str(target)]
    seen: list[dict[str, str]] = []
    for _ in kill(command, folder, ".weldref-*/*", max(KILLS // 3, 1)):
        if target.exists():
            seen.append(contents(target))
            remove(target)
    assert len(list(folder.glob(".weldref-*"))) <= KILLS
    age(folder)
    assert finish(command)[0] == 0
    assert [one for one in seen if one != contents(target)] == []
    assert [path.name for path in folder.iterdir()] == [name]


def test_an_audit_of_a_log(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    lines = [f"SMAW,E7018,1/8,{n % 9}/8,{n % 250},{n % 40}\n" for n in range(LINES)]
    log.write_text("process,electrode,diameter,thickness,amps,volts\n" + "".join(lines))
    folder, scratch = tmp_path / "folder", tmp_path / "scratch"
    folder.mkdir()
    scratch.mkdir()
    target = folder / "out.parquet"
    command = ["-m", "weldref", "audit-log", str(log), "-o", str(target)]
    count = "SELECT count(*), count(DISTINCT record), sum(value), list_sort(list(DISTINCT verdict))"
    seen: list[object] = []
    for _ in kill(command, folder, ".weldref-*", TMPDIR=str(scratch)):
        if target.exists():
            with duckdb.connect() as found:
                seen += found.execute(f"{count} FROM read_parquet($1)", [str(target)]).fetchall()
            target.unlink()
    assert len(list(folder.iterdir())) <= KILLS
    age(folder)
    age(scratch)
    code, out, err = finish(command, TMPDIR=str(scratch))
    assert code in (0, 1), err
    assert "every verdict is in" in out
    with duckdb.connect() as found:
        read = found.execute(f"{count} FROM read_parquet($1)", [str(target)]).fetchall()
    assert read[0][1] == LINES
    assert [one for one in seen if one != read[0]] == []
    assert [path.name for path in folder.iterdir()] == ["out.parquet"]
    assert list(scratch.iterdir()) == []


TYPING = """
import sys
from pathlib import Path
from weldref.exchange.shop_chart import Chart, Column, drafts
columns = (Column("current"),)
for count in range(1, 201):
    rows = tuple({"current": f"{100 + number}"} for number in range(count))
    drafts.keep(Path(sys.argv[1]), "0123456789ab", Chart("Booth 3", "2026-11-28", "us",
                columns=columns, rows=rows))
    Path(sys.argv[1], "typed").write_text(str(count))
"""


def test_a_chart_that_is_being_typed(tmp_path: Path) -> None:
    """The draft of a chart has every row that was typed before the kill, and is whole."""
    typed = tmp_path / "typed"
    for _ in kill(["-c", TYPING, str(tmp_path)], tmp_path, "drafts/.weldref-*", max(KILLS // 2, 1)):
        found = drafts.drafts(tmp_path)
        if typed.exists() and typed.read_text():
            (draft,) = found
            assert len(draft.chart.rows) >= int(typed.read_text())
            assert draft.chart.rows[-1] == {"current": f"{99 + len(draft.chart.rows)}"}
            typed.unlink()
        drafts.discard(tmp_path, "0123456789ab")
