"""Names of files that mean harm: refused in one sentence, and nothing else is touched."""

from __future__ import annotations

import os
import stat
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.effort import ALL
from weldref.audit.uploads import Upload, packed_reports, read_upload
from weldref.cli import main
from weldref.exchange.read_dataset import read_dataset
from weldref.logs.audit import audit_log

WPS = "WPS No.,7\nProcess,SMAW\n"
LOG = "process,electrode,diameter,amps\nSMAW,E7018,1/8,130\n"
SMAW = ("--process", "SMAW", "--electrode", "E7018", "--quantity", "current")
Says = pytest.CaptureFixture[str]


def outputs(path: Path, log: Path) -> dict[str, list[str]]:
    """Every command that writes a file, told to write it there."""
    return {
        "export": ["export", "-o", f"{path}.json"],
        "handout": ["handout", *SMAW, "-o", f"{path}.csv"],
        "practice": ["practice", "-o", f"{path}.csv"],
        "template": ["procedure-template", "-o", f"{path}.csv"],
        "audit": ["audit", str(log.parent / "wps.csv"), "--format", "json", "-o", f"{path}.json"],
        "audit-log": ["audit-log", str(log), "-o", f"{path}.parquet"],
    }


INPUTS: dict[str, Callable[[str], list[str]]] = {
    "audit": lambda path: ["audit", path],
    "audit --pqr": lambda path: ["audit", "wps.csv", "--pqr", path],
    "audit --baseline": lambda path: ["audit", "wps.csv", "--baseline", path],
    "audit-log": lambda path: ["audit-log", path],
    "diff": lambda path: ["diff", path, path],
    "validate": lambda path: ["validate", path],
    "template": lambda path: ["procedure-template", "-o", "x.csv", "--fill", path],
}


def refused(command: list[str], said: Says) -> str:
    """Run a command and see one plain line on the error stream, exit code 2."""
    assert main(command) == 2, command
    error = said.readouterr().err
    assert error.count("\n") == 1, error
    assert error[:-1].isprintable()
    assert len(error) < 1200
    return error


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "log.csv"
    path.write_text(LOG)
    (tmp_path / "wps.csv").write_text(WPS)
    return path


def fifo(path: Path) -> None:
    os.mkfifo(path)


def device(path: Path) -> None:
    try:
        os.mknod(path, stat.S_IFCHR | 0o600, os.makedev(1, 3))  # as /dev/null is
    except PermissionError:
        pytest.skip("only an administrator may make a device")


def link_to_pipe(path: Path) -> None:
    os.mkfifo(path.with_suffix(".pipe"))
    path.symlink_to(path.with_suffix(".pipe"))


def link_to_file(path: Path) -> None:
    path.with_suffix(".precious").write_text("precious")
    path.symlink_to(path.with_suffix(".precious"))


def link_to_nothing(path: Path) -> None:
    path.symlink_to(path.with_suffix(".nothing"))


def loop(path: Path) -> None:
    path.symlink_to(path)


@pytest.mark.parametrize("name", outputs(Path(), Path()))
@pytest.mark.parametrize(
    "make", [fifo, device, link_to_pipe, link_to_file, link_to_nothing, loop, Path.mkdir]
)
def test_no_output_takes_the_place_of_what_is_no_file(
    name: str, make: Callable[[Path], None], tmp_path: Path, log: Path, capsys: Says
) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    command = outputs(folder / "x", log)[name]
    place = Path(command[-1])
    if make is Path.mkdir and name == "audit":
        pytest.skip("a folder is where an audit puts its reports")
    make(place)
    before = kinds(folder)
    assert str(place) in refused(command, capsys)
    assert kinds(folder) == before


def kinds(folder: Path) -> dict[str, tuple[int, int, int]]:
    """What is in a folder: the kind, the size and the age of each."""
    found = {path.name: path.lstat() for path in folder.iterdir()}
    return {name: (one.st_mode, one.st_size, one.st_mtime_ns) for name, one in found.items()}


LONG = "a" * 300
LONGER = "b" * 5000


@pytest.mark.parametrize("name", outputs(Path(), Path()))
@pytest.mark.parametrize("stem", [LONG, LONGER, "no/such/folder/x", "file/x", "a\0b"])
def test_outputs_that_cannot_be(
    name: str, stem: str, tmp_path: Path, log: Path, capsys: Says
) -> None:
    (tmp_path / "file").write_text("a file")
    refused(outputs(tmp_path / stem, log)[name], capsys)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "log.csv", "wps.csv"]


@pytest.mark.parametrize("name", INPUTS)
@pytest.mark.parametrize("path", [LONG, LONGER, "a\0b", "no\n\x1b[31mfile", "../" * 40 + "x", ""])
def test_inputs_that_cannot_be(
    name: str, path: str, tmp_path: Path, capsys: Says, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "wps.csv").write_text(WPS)
    refused(INPUTS[name](path), capsys)
    assert [one.name for one in tmp_path.iterdir()] == ["wps.csv"]


@pytest.mark.parametrize("name", [name for name in INPUTS if name != "validate"])
@pytest.mark.parametrize("make", [fifo, device, link_to_pipe, link_to_nothing, loop])
def test_inputs_that_would_never_end(
    name: str,
    make: Callable[[Path], None],
    tmp_path: Path,
    capsys: Says,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "wps.csv").write_text(WPS)
    make(tmp_path / "in.json")
    refused(INPUTS[name]("in.json"), capsys)


@pytest.mark.parametrize(
    "stem", ["a\nb", "a\x1b[31mb", "a'b", 'a"b', "-x", "a b", "*", "[x]", "?", "\udcff", "%s", "ö"]
)
def test_strange_names_are_names_like_others(
    stem: str, tmp_path: Path, log: Path, capsys: Says, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for command in outputs(tmp_path / stem, log).values():
        if command[0] in ("audit-log", "procedure-template", *(["export"] if ALL else [])):
            assert main(command) in (0, 1), command
            assert Path(command[-1]).is_file()
    out = capsys.readouterr().out
    assert all(c.isprintable() or c == "\n" for c in out)


@pytest.mark.parametrize("name", ["a[1].csv", "a*.csv", "a?.csv", "**.csv", "a[!b].csv"])
def test_a_name_is_no_pattern(name: str, tmp_path: Path) -> None:
    for other in ("a1.csv", "ab.csv", "ac.csv"):
        (tmp_path / other).write_text(LOG + "SMAW,E7018,1/8,500\n" * 9)
    (tmp_path / name).write_text(LOG)
    assert audit_log(tmp_path / name).records == 1
    folder = tmp_path / f"d{name}"
    folder.mkdir()
    (folder / "units.csv").write_text("unit\nA\n")
    assert len(read_dataset(folder).tables["units"].rows) == 1


def test_a_folder_without_permission(tmp_path: Path, log: Path, capsys: Says) -> None:
    if os.getuid() == 0:
        pytest.skip("an administrator may write everywhere")
    folder = tmp_path / "closed"
    folder.mkdir(mode=0o500)
    for command in outputs(folder / "x", log).values():
        refused(command, capsys)
    log.chmod(0)
    refused(["audit-log", str(log)], capsys)


def test_names_within_an_upload_stay_in_the_archive(tmp_path: Path) -> None:
    from weldref.audit.uploads import audit_read

    names = ["../../x.csv", "/etc/passwd", "C:\\x.csv", "..", "a\x1b[31m.csv", "x" * 400, "."]
    reports = [
        report
        for name in names
        for report in audit_read(read_upload(Upload(name, b"WPS No.,7\nProcess,SMAW\n")))
    ]
    _, packed = packed_reports(reports, "json")
    path = tmp_path / "reports.zip"
    path.write_bytes(packed)
    with zipfile.ZipFile(path) as archive:
        inside = archive.namelist()
    assert len(set(inside)) == len(names) + 1
    for name in inside:
        assert name.isprintable()
        assert not set("/\\") & set(name)
        assert len(name) < 120
