"""Full and read-only disks: one sentence, exit code 2, and nothing half-written."""

from __future__ import annotations

import errno
import os
import resource
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import NoReturn

import pytest

from tests.effort import ALL, some
from tests.faults.processes import BUILD
from weldref.cli import main
from weldref.data.folder import datasets_folder, digest_of
from weldref.data.store import Store

SAMPLE = Path(__file__).parents[1] / "procedures" / "samples" / "wps-a.json"
LOG = "process,electrode,diameter,amps\n" + "".join(f"SMAW,E7018,1/8,{n}\n" for n in range(1, 9000))
MOUNTED = """
mount -t tmpfs -o "$1" none "$2" && cd "$2" && ls -A > ../before && shift 2 || exit 99
"$@"; code=$?
rmdir weldref-* 2> ../rmdir  # the folder of a store, where it is empty
ls -A > ../after; exit $code
"""


@cache
def may_mount() -> bool:
    """Whether a file system may be mounted where nobody else sees it."""
    try:
        with tempfile.TemporaryDirectory() as folder:
            command = ["unshare", "-m", "sh", "-c", MOUNTED, "sh", "size=4k", f"{folder}", "true"]
            inside = Path(folder, "in")
            inside.mkdir()
            command[7] = str(inside)
            return subprocess.run(command, capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def on_disk(folder: Path, options: str, command: list[str], **more: str) -> tuple[int, str, str]:
    """Run weldref on a disk of its own; see that the disk is afterwards as it was."""
    if not may_mount():
        pytest.skip("mounting a file system is not permitted here")
    place = folder / "disk"
    place.mkdir()
    done = subprocess.run(
        ["unshare", "-m", "sh", "-c", MOUNTED, "sh", options, str(place),
         sys.executable, *command],
        env={**os.environ, **more},
        capture_output=True,
        text=True,
        check=False,
    )  # fmt: skip
    assert (folder / "after").read_text() == (folder / "before").read_text()
    return done.returncode, done.stdout, done.stderr


def commands(log: Path) -> dict[str, list[str]]:
    """Every command that writes a file, into the folder in which it is run."""
    smaw = ["--process", "SMAW", "--electrode", "E7018", "--quantity", "current"]
    return {
        "export zip": ["export", "-o", "x.zip"],
        "export json": ["export", "-o", "x.json"],
        "export sqlite": ["export", "-o", "x.sqlite"],
        "export parquet": ["export", "-o", "x"],
        "handout": ["handout", *smaw, "-o", "x.pdf"],
        "practice": ["practice", "-o", "x.pdf"],
        "template": ["procedure-template", "-o", "x.xlsx"],
        "audit": ["audit", str(SAMPLE), "--format", "pdf", "-o", "x.pdf"],
        "audit-log": ["audit-log", str(log), "-o", "x.parquet"],
    }


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "log.csv"
    path.write_text(LOG)
    return path


FULL = commands(Path()) if ALL else ("export sqlite", "audit-log")
READ_ONLY = ("export json", "template", "audit-log") if ALL else ("export json",)
TOO_LARGE = ("export parquet", "handout", *(("export sqlite", "audit-log") if ALL else ()))
"""Of a change each way to write is tried once; below, every second command in one process."""


@pytest.mark.parametrize(
    ("options", "name"),
    [*(("size=4k", name) for name in FULL), *(("ro", name) for name in READ_ONLY)],
)
def test_a_file_on_a_disk_that_takes_none(
    name: str, options: str, tmp_path: Path, log: Path, store: Store
) -> None:
    assert store.path is not None
    code, _, said = on_disk(tmp_path, options, ["-m", "weldref", *commands(log)[name]])
    assert code == 2, said
    assert said.count("\n") == 1, said
    assert "Traceback" not in said
    assert "x" in said
    words = ("Read-only file system", "not writable", "No space left", "is full")
    assert any(word in said for word in words), said


@pytest.mark.parametrize(("options", "temporary"), [("ro", "other"), ("size=12m", "disk")])
def test_a_store_goes_where_there_is_room_or_lives_in_memory(
    options: str, temporary: str, loaded: Path, tmp_path: Path
) -> None:
    (tmp_path / "other").mkdir()
    folder = datasets_folder()
    code, out, said = on_disk(
        tmp_path,
        options,
        ["-c", BUILD, str(folder), str(loaded)],
        WELDREF_CACHE=str(tmp_path / "disk"),
        TMPDIR=str(tmp_path / temporary),
    )
    assert code == 0, said
    digest, place = out.split()
    assert digest == digest_of(folder)
    assert place.startswith(str(tmp_path / "other")) if temporary == "other" else place == "None"
    assert said == ""


def test_an_audit_without_room_for_temporary_files(tmp_path: Path, log: Path, store: Store) -> None:
    assert store.path is not None
    code, _, said = on_disk(
        tmp_path, "size=4k", ["-m", "weldref", "audit-log", str(log)], TMPDIR=str(tmp_path / "disk")
    )
    assert code == 2, said
    assert said.count("\n") == 1, said
    assert "room" in said


@pytest.mark.parametrize("name", TOO_LARGE)
def test_a_file_larger_than_the_system_allows(
    name: str, tmp_path: Path, log: Path, store: Store
) -> None:
    """The same where nothing may be mounted: the system ends each write after some bytes."""
    assert store.path is not None
    place = tmp_path / "place"
    place.mkdir()
    done = subprocess.run(
        [sys.executable, "-m", "weldref", *commands(log)[name]],
        cwd=place,
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (900, 900)),
    )
    assert done.returncode == 2, done.stderr
    assert done.stderr.count("\n") == 1, done.stderr
    assert list(place.iterdir()) == []


@pytest.mark.parametrize("number", [errno.EROFS])
def test_what_the_system_says_is_in_the_sentence(
    number: int,
    tmp_path: Path,
    log: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def refuse(*_: object, **__: object) -> NoReturn:
        raise OSError(number, os.strerror(number))

    monkeypatch.chdir(tmp_path)
    for name, command in some(commands(log).items(), 2):
        with monkeypatch.context() as patched:
            patched.setattr(Path, "replace", refuse)
            assert main(command) == 2, name
        said = capsys.readouterr().err
        assert os.strerror(number) in said, name
        assert said.count("\n") == 1
    assert [path.name for path in tmp_path.iterdir()] == ["log.csv"]
