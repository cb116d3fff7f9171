"""Every output marks own rows: text, JSON, data frames, SQL, paper, audits, charts, pages."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pandas as pd
import pytest

import weldref
from tests.own_workshop import (
    ASKED,
    BENCH,
    MORE,
    make,
    procedure,
    rows_of,
)
from weldref.audit.procedure_audit import audit_procedure
from weldref.cli import main
from weldref.core.check import check, published
from weldref.core.units import Units
from weldref.data.own import BY_OWN, OwnTables
from weldref.data.store import open_tables
from weldref.handouts import make_handout
from weldref.procedures.model import Pass, Procedure, Range, Text
from weldref.text import check_text, published_text

# Every output marks them.


def test_text_of_a_check(beside: OwnTables, instead: OwnTables) -> None:
    text = check_text(check(**BENCH, current=130, own=beside))
    assert "current 130 A: INSIDE (grade: read)" in text
    assert "own rows of workshop, not published: high" in text
    assert text.count("own row: school-binder") == 3
    assert "(beside published rows)" in text
    assert f"HIGH by 5 A {BY_OWN} (grade" in check_text(check(**BENCH, current=130, own=instead))


def test_text_of_a_window(beside: OwnTables, instead: OwnTables) -> None:
    text = published_text(published(**BENCH, quantity="current", own=beside))
    before, after = text.split("own rows of workshop, not published:")
    assert "machinerys-handbook-31" in before
    assert "own row" not in before
    assert after.count("own row: school-binder") == 3
    text = published_text(published(**BENCH, quantity="current", own=instead))
    assert "machinerys-handbook-31" not in text
    assert "\npublished:" not in text


@pytest.mark.parametrize("mode", ["beside", "instead"])
def test_json_of_check_and_window(
    workshop: Path, capsys: pytest.CaptureFixture[str], mode: str
) -> None:
    more = ["--tables", str(workshop), "--json", *(["--instead"] if mode == "instead" else [])]
    main(["check", *ASKED, "--current", "130", *more])
    answer = json.loads(capsys.readouterr().out)
    (reading,) = answer["readings"]
    assert answer["own_tables"]["mode"] == mode
    assert reading["own"] is (mode == "instead")
    assert [row["own"] for row in reading["rows"]] == [mode == "instead"]
    main(["window", *ASKED, *more])
    answer = json.loads(capsys.readouterr().out)
    assert any(row["own"] for row in answer["rows"]) is (mode == "instead")
    assert all(row["own"] for row in answer["own_rows"])


def test_data_frame(beside: OwnTables, instead: OwnTables) -> None:
    frame = weldref.windows(**BENCH, quantity="current", own=beside)
    assert frame.loc[frame.own, "source_id"].unique().tolist() == ["school-binder"]
    assert "school-binder" not in set(frame.loc[~frame.own.astype(bool), "source_id"])
    assert weldref.windows(**BENCH, own=instead).own.all()


def test_query(workshop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sql = "SELECT own, count(*) AS n FROM windows GROUP BY 1"
    counted = {}
    for mode in ([], ["--instead"]):
        assert main(["query", sql, "--json", "--tables", str(workshop), *mode]) == 0
        answer = json.loads(capsys.readouterr().out)
        counted[answer["own_tables"]["mode"]] = answer["rows"]
    assert counted["beside"] == [[False, len(weldref.query("SELECT * FROM windows", 9999))]]
    assert counted["instead"] == [[True, len(MORE)]]
    main(["query", "SELECT DISTINCT own FROM own_windows", "--tables", str(workshop)])
    assert capsys.readouterr().out.startswith("own\nTrue\n\nown tables: workshop, ")


def test_source_and_tables(workshop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["source", "school-binder", "--tables", str(workshop)]) == 0
    assert "a document of own tables, not published" in capsys.readouterr().out
    assert main(["source", "school-binder"]) == 2
    capsys.readouterr()
    main(["tables", "--json", "--tables", str(workshop)])
    listed = {t["name"]: t["rows"] for t in json.loads(capsys.readouterr().out)["tables"]}
    assert listed["own_windows"] == len(MORE)
    assert listed["windows"] > 1000


@pytest.mark.parametrize("language", ["en", "es"])
def test_handout(tmp_path: Path, beside: OwnTables, instead: OwnTables, language: str) -> None:
    headings = {
        "en": "Own rows of workshop, not published",
        "es": "Filas propias de workshop, no publicadas",
    }
    for own in (beside, instead):
        asked = {**BENCH, "own": own, "language": language, "kind": "booklet"}
        (page,) = make_handout(tmp_path / "x.html", **asked)
        text = page.read_text(encoding="utf-8")
        assert headings[language] in text
        assert "(own, not published)" in text
        (table,) = make_handout(tmp_path / "x.csv", **BENCH, own=own, language=language)
        with table.open(encoding="utf-8-sig", newline="") as file:
            lines = list(csv.DictReader(file))
        marked = {line["source id"] for line in lines if line["own tables"]}
        assert marked == {"school-binder"}
        assert all(line["own tables"] for line in lines if line["source id"] == "school-binder")


def test_audit(beside: OwnTables, instead: OwnTables) -> None:
    alone = audit_procedure(procedure(130))
    report = audit_procedure(procedure(130), own=beside)
    added = [f for f in report.findings if f not in alone.findings]
    assert [(f.severity, f.source_id) for f in added] == [("note", "school-binder")]
    assert "own table (own, not published): 130 A is high by 5 A" in added[0].what
    assert (report.outcome, len(added)) == (
        alone.outcome, len(report.findings) - len(alone.findings),
    )  # fmt: skip
    theirs = audit_procedure(procedure(130), own=instead)
    (found,) = [f for f in theirs.findings if f.rule == "published-range"]
    assert (found.severity, found.source_id) == ("outside", "school-binder")
    assert BY_OWN in found.what


def test_own_rows_alone_are_no_comparison_with_print(spoiled: Path) -> None:
    make(spoiled, rows_of({"quantity": "travel_speed", "unit": "in/min", "min": "4", "max": "6"}))
    weld = Pass(process=Text("SMAW"), filler_class=Text("E7018"),
                sizes=(Range(0.125, 0.125, "in"),), travel_speed=Range(5, 5, "in/min"))  # fmt: skip
    asked = Procedure(passes=(weld,), processes=(Text("SMAW"),))
    alone, report = audit_procedure(asked), audit_procedure(asked, own=spoiled)
    assert report.outcome == alone.outcome
    assert any("own table" in f.what for f in report.findings)


@pytest.mark.parametrize("form", ["text", "json", "html", "pdf"])
def test_audit_reports_name_the_tables(tmp_path: Path, workshop: Path, form: str) -> None:
    from weldref.audit.report import audit_files

    sample = Path(weldref.__file__).parent / "audit/examples/posts-with-mistakes.json"
    target = tmp_path / f"report.{form}"
    audit_files([sample], form=form, output=target, own=OwnTables(workshop, "instead"))
    content = target.read_bytes()
    if form == "pdf":
        import pypdfium2

        pages = pypdfium2.PdfDocument(content)
        text = "".join(page.get_textpage().get_text_range() for page in pages)
        content = " ".join(text.split()).encode()
    if form == "json":
        import jsonschema

        schema = Path(weldref.__file__).parent / "audit/report.schema.json"
        jsonschema.validate(json.loads(content), json.loads(schema.read_text(encoding="utf-8")))
    assert b"workshop" in content
    assert b"not published" in content


def test_audit_log(tmp_path: Path, beside: OwnTables, instead: OwnTables) -> None:
    from weldref.logs.text import audit_text

    log = tmp_path / "log.csv"
    log.write_text("process,electrode,diameter,amps\nSMAW,E7018,1/8,130\n")
    alone = weldref.audit_log(log)
    with_own = weldref.audit_log(log, own=beside)
    assert with_own.counts == alone.counts
    assert "own rows were ignored" in " ".join(audit_text(with_own).split())
    target = tmp_path / "verdicts.parquet"
    theirs = weldref.audit_log(log, own=instead, output=target)
    assert theirs.verdict == "high"
    assert f"every verdict is {BY_OWN}" in " ".join(audit_text(theirs).split())
    assert pd.read_parquet(target).own_tables.tolist() == [f"workshop: {BY_OWN}"]


def test_a_chart_stripes_them(beside: OwnTables) -> None:
    from weldref.charts import ranges as charts

    reading = check(**BENCH, current=130, own=beside).readings[0]
    assert reading.from_own is not None
    store = open_tables(beside)
    made = charts.bars((*reading.rows, *reading.from_own.rows), "A", Units(store).by_spelling)
    assert [bar.own for bar in made] == [False, True, True, True]
    assert all(("own row" in bar.label) == bar.own for bar in made)
    spec = charts.range_chart(made, "current", "A").to_dict()
    fills = [
        layer["mark"].get("fill") for layer in spec["layer"] if layer["mark"]["type"] == "rect"
    ]
    assert [isinstance(fill, dict) for fill in fills] == [False, True]


@pytest.mark.parametrize("mode", ["beside", "instead"])
def test_the_students_page(workshop: Path, monkeypatch: pytest.MonkeyPatch, mode: str) -> None:
    from streamlit.testing.v1 import AppTest

    monkeypatch.setenv("WELDREF_TABLES", str(workshop))
    monkeypatch.setenv("WELDREF_TABLES_MODE", mode)
    page = AppTest.from_file(str(Path(weldref.__file__).parent / "dashboard/entry.py"))
    for name, text in (*BENCH.items(), ("current", "130 A")):
        page.query_params[name] = text
    page.run(timeout=60)
    assert not page.exception
    text = " ".join(element.proto.body for element in page.get("html"))
    assert "own tables: workshop" in text
    assert "(own, not published)" in text
    if mode == "beside":
        assert "Own rows, not published, say: high by 5 A." in text
        assert "lies inside the one published range" in text
    else:
        assert f"High by 5 A, {BY_OWN}" in text


def test_practice_sheets_stay_with_published_rows(
    workshop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from weldref.handouts.practice import make_practice

    def made() -> list[str]:
        files = make_practice(tmp_path / "x.csv", seed=7, date="2026-11-25")
        return [file.read_text(encoding="utf-8") for file in files]

    before = made()
    monkeypatch.setenv("WELDREF_TABLES", str(workshop))
    monkeypatch.setenv("WELDREF_TABLES_MODE", "instead")
    assert made() == before
