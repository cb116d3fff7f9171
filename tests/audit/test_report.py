"""Reports as an auditor gets them: formats, files, what changed, exit codes, hostile documents."""

from __future__ import annotations

import io
import json
import re
import shutil
import sys
from functools import cache
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pikepdf
import pypdfium2
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.effort import times
from tests.procedures.conftest import SAMPLES
from weldref.audit.finding import SEVERITIES
from weldref.audit.procedure_audit import Report, audit_file, audit_procedure
from weldref.audit.report import _page, audit_files, render
from weldref.cli import main
from weldref.errors import InputError
from weldref.procedures.model import Filler, Pass, Procedure, Range, Text

POSTS = SAMPLES / "demo-posts.json"
SHEET = SAMPLES / "wps-a.json"
SCHEMA = json.loads(files("weldref.audit").joinpath("report.schema.json").read_text("utf-8"))
valid = jsonschema.Draft202012Validator(SCHEMA).validate


def visible(page: str) -> str:
    """The text of an HTML page, without its style sheet."""

    told: list[str] = []
    reader = HTMLParser()
    reader.handle_data = told.append  # type: ignore[method-assign]
    reader.feed(re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL))
    return " ".join(" ".join(told).split())


def pdf_text(data: bytes) -> str:
    document = pypdfium2.PdfDocument(data)
    pages = [document[number].get_textpage().get_text_range() for number in range(len(document))]
    return " ".join(" ".join(pages).split())


def letters(text: str) -> str:
    return re.sub(r"[\W_]+", "", text)


@pytest.mark.parametrize("name", ["wps-a", "wps-e", "wps-k", "pqr-v", "demo-brackets"])
def test_json_follows_the_published_schema(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    report = json.loads(render(audit_file(SAMPLES / f"{name}.json"), "json"))
    valid(report)
    assert sum(report["counts"].values()) == len(report["findings"])


def test_the_schema_names_every_severity() -> None:
    finding = SCHEMA["$defs"]["finding"]["properties"]["severity"]["enum"]
    assert finding == SCHEMA["properties"]["counts"]["required"] == list(SEVERITIES)


@pytest.mark.parametrize("form", ["text", "html", "pdf"])
def test_every_format_shows_every_finding(form: str) -> None:
    report = of_sheet()
    made = render(report, form)
    shown = {"text": bytes.decode, "html": lambda b: visible(b.decode()), "pdf": pdf_text}[form](
        made
    )
    plain = letters(shown)
    for finding in report.findings:
        for part in (finding.what, finding.place, finding.value, finding.expected,
                     finding.locator, finding.next_step):  # fmt: skip
            assert letters(part) in plain, part
    for name in report.sources.values():
        assert letters(name) in plain
    assert letters(report.reminder) in plain


def test_the_page_needs_nothing_from_elsewhere() -> None:
    page = render(of_sheet(), "html").decode()
    assert re.findall(r"<(?:script|link|img|iframe)\b|https?://|url\(", page) == []


def test_the_pdf_is_tagged_and_carries_its_fonts() -> None:
    with pikepdf.open(io.BytesIO(render(of_sheet(), "pdf"))) as document:
        assert document.Root.MarkInfo.Marked
        assert document.Root.Lang == "en"
        assert "WPS-A" in str(document.docinfo["/Title"])


def hostile(text: str) -> Procedure:
    return Procedure(
        number=Text(text),
        processes=(Text("SMAW"),),
        fillers=(Filler(classification=Text(text)),),
        passes=(Pass(process=Text("SMAW"), label=Text(text), filler_class=Text("E7018"),
                     sizes=(Range(0.125, 0.125, "in"),), current=Range(300, 300, "A")),),
        standards=(Text(text),),
    )  # fmt: skip


@cache
def of_hostile(text: str) -> Report:
    return audit_procedure(hostile(text))


@cache
def of_sheet() -> Report:
    return audit_file(SHEET)


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "{{ 7 * 7777 }}{% raw %}",
        '#panic("x") $x$ *b* @ref <tag> \\',
        "\x1b[31mred\x1b[0m\x07",
        "=cmd|' /C calc'!A0",
        "a\u202eb\u0000c",
        "x" * 20_000,
    ],
)
@pytest.mark.parametrize("form", ["text", "html", "pdf"])
def test_what_a_document_says_is_text_and_nothing_else(text: str, form: str) -> None:
    made = render(of_hostile(text), form)
    if form != "pdf":
        shown = made.decode()
        assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f]", shown)
        assert "<script>" not in shown or form == "text"
        assert "54439" not in visible(shown) or form == "text"
    else:
        assert made.startswith(b"%PDF-")


@settings(max_examples=times(4, 25), suppress_health_check=[HealthCheck.too_slow])
@given(st.text(max_size=60))
def test_any_text_gives_every_format(text: str) -> None:
    report = audit_procedure(hostile(text))
    for form in ("text", "html"):
        assert render(report, form)
    valid(json.loads(render(report, "json")))


def test_a_baseline_shows_new_open_and_closed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = tmp_path / "before.json"
    assert main(["audit", str(SHEET), "--format", "json", "-o", str(before)]) == 1
    capsys.readouterr()
    # Nothing is mended: everything is open, and so is the exit code.
    assert main(["audit", str(SHEET), "--baseline", str(before)]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "since the earlier report: 0 new, " in told
    assert "still open, 0 closed" in told
    assert "90 A is low by 20 A" in told
    changed = tmp_path / "wps-a.json"
    changed.write_text(SHEET.read_text("utf-8").replace("[90, 150]", "[110, 400]"), "utf-8")
    assert main(["audit", str(changed), "--baseline", str(before)]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "- new: all passes: current: 400 A is high by 240 A" in told
    assert "CLOSED (in the earlier report, and no longer found)" in told
    assert "90 A is low by 20 A" in told.partition("CLOSED")[2]
    for form in ("html", "json"):
        report = tmp_path / f"report.{form}"
        assert main(["audit", str(changed), "--baseline", str(before), "--format", form, "-o",
                     str(report)]) == 1  # fmt: skip
    valid(json.loads((tmp_path / "report.json").read_text("utf-8")))
    assert "New: all passes: current" in (tmp_path / "report.html").read_text("utf-8")


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", '{"findings": [1]}', '{"findings": [{}]}', "\xff"]
)
def test_a_baseline_that_is_no_report(text: str, tmp_path: Path) -> None:
    path = tmp_path / "before.json"
    path.write_text(text, "latin-1")
    with pytest.raises(InputError, match="baseline: "):
        audit_files([SHEET], baseline=path)


def test_several_files_give_a_summary_and_one_report_each(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other" / "wps-a.yaml"
    other.parent.mkdir()
    shutil.copy(SHEET, other)  # JSON is YAML
    assert main(["audit", str(SHEET), str(other), str(POSTS), "--format", "html",
                 "-o", str(tmp_path / "reports")]) == 1  # fmt: skip
    out = capsys.readouterr().out
    assert sorted(path.name for path in (tmp_path / "reports").iterdir()) == [
        "demo-posts-audit.html", "wps-a-audit-2.html", "wps-a-audit.html",
    ]  # fmt: skip
    assert out.splitlines()[0].split() == [*" ".join(list(SEVERITIES)[:-1]).split(), "document"]
    counts = [line.split()[:6] for line in out.splitlines() if re.match(r"\d", line)]
    assert counts == [
        ["0", "1", "0", "0", "4", "5"],
        ["0", "1", "0", "0", "4", "5"],
        ["0", "0", "0", "0", "0", "1"],
    ]


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        ([str(POSTS)], 3),
        ([str(SHEET)], 1),
        ([str(POSTS), str(SHEET)], 1),
        ([str(SAMPLES / "demo-brackets.json")], 1),
        (["--rules"], 0),
        ([], 2),
        (["nowhere.json"], 2),
        ([str(SHEET), "--format", "docx"], 2),
        ([str(SHEET), "--format", "pdf"], 2),
        ([str(SHEET), "--pqr", str(SHEET)], 2),
        ([str(SHEET), "--code", "ASME IX"], 1),
        ([str(SHEET), "--code", "AWS D1.6"], 2),
        ([str(SHEET), "--code", "ASME 9000", "--pqr", str(SHEET)], 2),
        ([str(SHEET), "--standard", "ISO 9001"], 2),
        ([str(SHEET), str(POSTS), "--baseline", "x.json"], 2),
        ([str(SHEET), "-o", "/nowhere/at/all.txt"], 2),
    ],
)
def test_exit_codes(arguments: list[str], code: int, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", *arguments]) == code
    out, err = capsys.readouterr()
    if code == 2:
        assert out == ""
        assert re.fullmatch(r"weldref: .+\n", err)
    else:
        assert err == ""


def test_a_bad_file_among_several_leaves_nothing_behind(tmp_path: Path) -> None:
    bad = tmp_path / "bad.json"
    bad.write_text("{")
    target = tmp_path / "reports"
    with pytest.raises(InputError):
        audit_files([SHEET, bad], form="json", output=target)
    assert not target.exists()


def test_a_report_is_there_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "report.txt"
    target.write_text("earlier")

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(InputError, match="No space left"):
        audit_files([SHEET], output=target)
    assert [path.name for path in tmp_path.iterdir()] == ["report.txt"]
    assert target.read_text() == "earlier"


def test_it_works_without_the_extra_that_prints(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _page.cache_clear()
    for name in ("typst", "jinja2"):
        monkeypatch.setitem(sys.modules, name, None)
    assert main(["audit", str(POSTS)]) == 3
    for form in ("html", "pdf"):
        asked = ["audit", str(POSTS), "--format", form, "-o", str(tmp_path / "r")]
        assert main(asked) == 2
    assert capsys.readouterr().err.count("install weldref[print]") == 2


@pytest.mark.parametrize("name", ["wps.json", "record.json"])
def test_a_report_never_takes_the_place_of_what_it_reads(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sample = Path(__file__).parents[1] / "procedures" / "samples" / "wps-a.json"
    for copy in ("wps.json", "record.json"):
        (tmp_path / copy).write_bytes(sample.read_bytes())
    asked = ["audit", str(tmp_path / "wps.json"), "--pqr", str(tmp_path / "record.json")]
    code = main([*asked, "--code", "ASME IX", "--format", "html", "-o", str(tmp_path / name)])
    assert (code, (tmp_path / name).read_bytes()) == (2, sample.read_bytes())
    assert "is the file that is read" in capsys.readouterr().err
