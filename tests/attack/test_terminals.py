"""What a file says never steers the terminal that shows it: no control character comes through."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.conftest import read_csv, write_csv
from tests.effort import ALL
from weldref.audit.report import render
from weldref.audit.uploads import Upload, audit_read, read_upload
from weldref.cli import main
from weldref.data import store as store_module
from weldref.data.folder import datasets_folder

ESCAPES = (
    "\x1b[31mred\x1b[0m", "\x1b]0;title\x07", "\x1b[2J", "\x9b31m", "\r over", "a\x08\x08b", "\x7f",
    "\x00", "\u202etxt.exe", "\u2066x", "\x1bP+q544e\x1b\\", "line\nbreak", "\u2028", "\ufeff",
)  # fmt: skip
NASTY = " ".join(ESCAPES).replace("\x00", "")
Says = pytest.CaptureFixture[str]


def shown(command: list[str], said: Says) -> str:
    """Run a command; whatever it prints is printable lines."""
    assert main(command) in (0, 1, 2, 3), command
    out, err = said.readouterr()
    for stream in (out, err):
        strange = {c for c in stream if not (c.isprintable() or c == "\n")}
        assert strange == set(), command
    return out + err


def procedure() -> dict[str, object]:
    return {
        "wps": f"7 {NASTY}",
        "process": f"SMAW {NASTY}",
        "base metal": NASTY,
        NASTY: NASTY,
        "passes": [{"pass": NASTY, "amps": f"500 {NASTY}", "filler class": f"E7018 {NASTY}"}],
        "preheat": NASTY,
    }


def test_a_procedure(tmp_path: Path, capsys: Says) -> None:
    path = tmp_path / f"wps {NASTY[:40]}.json"
    path.write_text(json.dumps(procedure()))
    assert "red" in shown(["audit", str(path)], capsys)
    shown(["audit", str(path), "--pqr", str(path), "--code", NASTY], capsys)
    shown(["audit", str(path), "--code", "ASME IX", "--pqr", str(path)], capsys)
    shown(["audit", str(path), str(path), "-o", str(tmp_path / "reports")], capsys)
    shown(["audit", str(path), "--baseline", str(path)], capsys)
    shown(["procedure-template", "--fill", str(path), "-o", str(tmp_path / "form.csv")], capsys)


def test_a_report_as_page_and_as_print() -> None:
    read = read_upload(Upload("x.json", json.dumps(procedure()).encode()))
    (report,) = audit_read(read)
    html = render(report, "html").decode()
    assert "\x1b" not in html
    assert "\u202e" not in html
    assert render(report, "pdf")[:4] == b"%PDF"


def test_markup_in_a_file_is_text_in_a_report() -> None:
    value = {"wps": "<script>alert(1)</script>", "process": "<img src=x onerror=alert(1)>"}
    (report,) = audit_read(read_upload(Upload("<b>.json", json.dumps(value).encode())))
    html = render(report, "html").decode()
    assert "<script>alert" not in html
    assert "<img" not in html
    assert render(report, "pdf")[:4] == b"%PDF"


def test_a_log(tmp_path: Path, capsys: Says) -> None:
    path = tmp_path / "log.csv"
    plain = NASTY.replace("\n", " ").replace("\r", " ")
    path.write_text(
        f"process,electrode,diameter,joint,welder,amps,{plain}\n"
        f"SMAW,E7018,1/8,{plain},{plain},500,{plain}\n{plain},E7018,1/8,J,W,{plain},1\n"
    )
    text = shown(["audit-log", str(path)], capsys)
    assert "columns not used" in text
    shown(["audit-log", str(path), "--map", f"{NASTY}=x"], capsys)
    shown(["audit-log", str(path), "--unit", f"current={NASTY}"], capsys)
    path.write_text(f"process,{plain}\nSMAW,1\n")
    shown(["audit-log", str(path)], capsys)


@pytest.mark.parametrize("text", ESCAPES if ALL else [NASTY])
def test_a_query(text: str, capsys: Says) -> None:
    quoted = text.replace("\x00", "").replace('"', "")
    shown(["query", f"SELECT '{quoted}' AS \"{quoted}x\", chr(27) || '[31m'"], capsys)
    shown(["query", f"SELECT error('{quoted}')"], capsys)


def test_words_that_are_typed(capsys: Says) -> None:
    for text in (NASTY, *ESCAPES):
        shown(["source", text], capsys)
        shown(["check", "--process", text, "--current", text], capsys)
        shown(["window", "--process", "SMAW", "--gas", text], capsys)
        shown(["compute", text, f"{text}=1"], capsys)
        shown(["diff", text, text], capsys)
        shown([text], capsys)


def test_tables_of_somebody_else(
    tables_copy: Path, tmp_path: Path, capsys: Says, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Own tables may hold anything; validate, diff and source show them all the same."""
    spoilt = tmp_path / "spoilt"
    shutil.copytree(tables_copy, spoilt)
    rows = read_csv(tables_copy / "sources.csv")
    rows[0]["title"] = rows[0]["remark"] = NASTY.replace("\r", " ")
    write_csv(tables_copy / "sources.csv", rows)
    windows = read_csv(spoilt / "windows/saw.csv")
    windows[0]["unit"] = windows[0]["remark"] = NASTY
    windows[1]["window_id"] = NASTY
    write_csv(spoilt / "windows/saw.csv", windows)
    assert "red" in shown(["validate", str(spoilt)], capsys)
    assert "red" in shown(["diff", str(datasets_folder()), str(tables_copy)], capsys)
    shown(["diff", str(datasets_folder()), str(tables_copy), "--changelog"], capsys)
    monkeypatch.setattr(store_module, "datasets_folder", lambda: tables_copy)
    monkeypatch.setattr(store_module, "_opened", {})
    shown(["source", rows[0]["source_id"]], capsys)
