"""What is released: the wheel holds what it needs, and works away from the checkout.

In a fresh environment it borrows the packages of this one, so that no network is needed. With
``scripts/test --all`` it is also installed, with all that it depends on, for each other Python that
is found, which asks the package registry.
"""

from __future__ import annotations

import glob
import json
import os
import shutil
import socket
import subprocess
import sys
import sysconfig
import tarfile
import time
import urllib.request
import zipfile
from pathlib import Path

import pytest

from tests.effort import ALL

ROOT = Path(__file__).parent.parent.parent
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
HERE = f"{sys.version_info.major}.{sys.version_info.minor}"


def run(*command: object, cwd: Path, expect: int = 0) -> str:
    """Run a command as a user would who has no checkout; return what it prints."""
    outside = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(
        [str(word) for word in command],
        cwd=cwd,
        env={**outside, "WELDREF_CACHE": str(cwd / "cache")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == expect, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The source distribution, and the wheel that is made of it alone."""
    folder = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", folder, ROOT, cwd=folder)
    return next(folder.glob("*.tar.gz")), next(folder.glob("*.whl"))


def test_the_wheel_holds_what_the_program_reads(built: tuple[Path, Path]) -> None:
    with zipfile.ZipFile(built[1]) as wheel:
        held = set(wheel.namelist())
    program = [
        path
        for path in (ROOT / "weldref").rglob("*")
        if path.is_file() and not {"__pycache__", "pictures"} & set(path.parts)
    ]
    tables = [path for path in (ROOT / "datasets").rglob("*") if path.is_file()]
    wanted = {path.relative_to(ROOT).as_posix() for path in program}
    wanted |= {f"weldref/{path.relative_to(ROOT).as_posix()}" for path in tables}
    about = {name for name in held if ".dist-info/" in name}
    assert held - about == wanted
    endings = {Path(name).suffix for name in wanted}
    assert endings >= {".py", ".csv", ".typ", ".css", ".html", ".po", ".json", ".typed"}
    assert {Path(name).name for name in about} >= {"METADATA", "LICENSE", "entry_points.txt"}


def test_the_source_distribution_holds_the_tests_too(built: tuple[Path, Path]) -> None:
    with tarfile.open(built[0]) as packed:
        held = {name.partition("/")[2] for name in packed.getnames()}
    assert held >= {
        "CITATION.cff",
        "LICENSE",
        "app.py",
        "datasets/sources.csv",
        "pyproject.toml",
        "scripts/map.svg",
        "tests/project/test_release.py",
    }


def interpreter(version: str) -> Path:
    """Find a Python; skip the test where there is none, or where it was not asked for."""
    if version == HERE:
        return Path(sys.executable)
    if not ALL:
        pytest.skip(f"only Python {HERE} was asked for; scripts/test --all tries the others")
    places = glob.glob(f"{Path.home()}/.pyenv/versions/{version}.*/bin/python")  # noqa: PTH207
    found = next(iter(places), None) or shutil.which(f"python{version}")
    if found is None:
        pytest.skip(f"there is no Python {version} on this machine")
    return Path(found)


@pytest.fixture(params=PYTHONS)
def installed(
    request: pytest.FixtureRequest, built: tuple[Path, Path], tmp_path: Path
) -> tuple[Path, Path]:
    """An environment that holds nothing but the wheel and what it depends on; and a folder."""
    python = interpreter(request.param)
    environment, work = tmp_path / "environment", tmp_path / "work"
    work.mkdir()
    run(python, "-m", "venv", "--without-pip", environment, cwd=work)
    place = environment / "bin" / "python"
    pip = (sys.executable, "-m", "pip", "--python", place, "install", "--quiet")
    if python == Path(sys.executable):
        # The packages of this environment, but not the checkout that is installed in it.
        (site,) = environment.glob("lib/*/site-packages")
        (site / "borrowed.pth").write_text(sysconfig.get_path("purelib"))
        run(*pip, "--no-index", "--no-deps", "--ignore-installed", built[1], cwd=work)
    else:
        run(*pip, f"{built[1]}[app,print]", cwd=work)
    return environment / "bin", work


def test_the_wheel_works_away_from_the_checkout(installed: tuple[Path, Path]) -> None:
    programs, work = installed
    weldref, python = programs / "weldref", programs / "python"
    folder = Path(run(python, "-c", "import weldref; print(weldref.__path__[0])", cwd=work).strip())
    assert folder.is_relative_to(programs.parent)

    check = ("check", "--process", "SMAW", "--electrode", "E7018", "--diameter", "1/8")
    assert "INSIDE" in run(weldref, *check, "--current", "130", cwd=work)
    assert "HIGH" in run(weldref, *check, "--current", "250", cwd=work, expect=1)
    card = ("bench", "--process", "GMAW", "--material", "mild steel", "--thickness", "1/8")
    assert "wire feed speed" in run(weldref, *card, cwd=work)
    handout = ("handout", "--process", "GMAW", "--material", "aluminum", "--thickness", "1/4")
    run(weldref, *handout, "--language", "es", "-o", work / "ramp.pdf", cwd=work)
    assert (work / "ramp.pdf").read_bytes().startswith(b"%PDF")
    if ALL:
        other_commands_answer(weldref, folder, work)
    dashboard_answers(weldref, work)


def other_commands_answer(weldref: Path, folder: Path, work: Path) -> None:
    """Ask what the tests ask of the checkout; the wheel is known to hold the same files."""
    check = ("check", "--process", "SMAW", "--electrode", "E7018", "--diameter", "1/8")
    (work / "booth.csv").write_text(
        "name,Booth 3\nprocess,SMAW\nmetal,mild steel\n\nelectrode size,amps\n1/8,90-120\n"
    )
    run(weldref, "chart", "add", work / "booth.csv", "--tables", work / "own", cwd=work)
    own = run(weldref, *check, "--current", "130", "--tables", work / "own", cwd=work)
    assert "own rows of own, not published: high" in " ".join(own.split())
    heat = ("voltage=24 V", "current=150 A", "travel_speed=10 in/min", "--json")
    answer = json.loads(run(weldref, "compute", "arc-energy", *heat, cwd=work))
    assert answer["value"] == pytest.approx(24 * 150 / (10 * 0.0254 / 60))  # J/m

    examples = folder / "audit" / "examples"
    files = (examples / "posts-with-mistakes.json", "--pqr", examples / "posts-record.json")
    audit = ("audit", *files, "--code", "ASME IX")
    run(weldref, *audit, "-o", work / "report.html", cwd=work, expect=1)
    assert "posts-with-mistakes" in (work / "report.html").read_text(encoding="utf-8")

    run(weldref, "export", "-o", work / "tables.sqlite", cwd=work)
    assert (work / "tables.sqlite").read_bytes().startswith(b"SQLite format 3")


def dashboard_answers(weldref: Path, work: Path) -> None:
    """Start the dashboard, ask for its state and for its page, stop it."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    outside = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    with (work / "log").open("w") as log:
        server = subprocess.Popen(
            [weldref, "dashboard", "--port", str(port)],
            cwd=work,
            env={**outside, "WELDREF_CACHE": str(work / "cache"), "CI": "true"},
            stdout=log,
            stderr=subprocess.STDOUT,
        )
        try:
            assert answer(server, f"http://127.0.0.1:{port}/_stcore/health") == 200
            assert answer(server, f"http://127.0.0.1:{port}/") == 200
        finally:
            server.terminate()
            server.wait(timeout=60)
    assert "Traceback" not in (work / "log").read_text()


def answer(server: subprocess.Popen[bytes], address: str) -> int:
    """Wait for an answer as long as the server runs, at most two minutes."""
    for _ in range(1200):
        assert server.poll() is None, "the dashboard ended"
        try:
            with urllib.request.urlopen(address, timeout=60) as reply:  # noqa: S310
                return int(reply.status)
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"no answer from {address}")
