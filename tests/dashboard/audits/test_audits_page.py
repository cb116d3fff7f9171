"""The audit page without a browser: files of every kind, findings, filters, logs."""

import io
import json
import re
import tempfile
import zipfile
from html import unescape
from pathlib import Path

import openpyxl
import pytest
from streamlit.testing.v1 import AppTest

from tests.audit.constructed.bases import a_copy
from tests.audit.test_welder import certificate
from tests.dashboard.apptest import downloads, drawn, opened, problems, ran, words
from weldref.audit import examples
from weldref.audit.finding import SEVERITIES
from weldref.audit.report import render
from weldref.audit.uploads import Upload, audit_read, read_upload
from weldref.procedures.template import template

SAMPLES = Path(__file__).parents[2] / "procedures" / "samples"
JSON, CSV = "application/json", "text/csv"


@pytest.fixture
def page():
    return opened("audits")


def drop(page, *files, tab="audits"):
    page.file_uploader(key=f"{tab}-files").set_value([(n, d, "") for n, d in files])
    return ran(page)


def sample(name):
    return name, (SAMPLES / name).read_bytes()


def findings(page):
    return re.findall(r'<article class="finding ([a-z-]+)">(.*?)</article>', drawn(page))


def test_the_reminder_is_always_there_and_the_severity_words_are_explained(page):
    reminder = "Inside a published range is not safe, qualified or sound"
    assert reminder in words(page)
    drop(page, sample("wps-o.json"))
    for text in (reminder, *SEVERITIES.values()):
        assert text in words(page)
    assert [name for name in downloads(page) if "report" in name] == ["Download the report"]
    drop(page, sample("wps-o.json"), sample("wps-g.json"))
    assert reminder in words(page)
    assert "Download 2 reports and a summary" in downloads(page)


def test_the_invented_example_is_audited_and_its_record_is_chosen(page):
    page.toggle(key="audits-example").set_value(True).run()
    assert "DEMO-POSTS-9 (posts-with-mistakes.json)" in words(page)
    assert page.multiselect(key="audits-record").value == ["DEMO-RECORD-9 (posts-record.json)"]
    assert "The test record is not used yet: choose the code too." in words(page)
    assert "not-covered" not in {look for look, _ in findings(page)}
    # A finding opens its document, place and row.
    (outside,) = [body for look, body in findings(page) if look == "outside"]
    cited = unescape(re.sub(r"<[^>]+>", " ", re.search(r"<details>.*</details>", outside)[0]))
    for part in ("Machinery's Handbook", "31st edition", "p. 1594 Table 14", "read in the source",
                 "current 110 to 160 A", "diameter 1/8 in"):  # fmt: skip
        assert part in cited
    page.selectbox(key="audits-code").set_value("ASME IX")
    page.multiselect(key="audits-standards").set_value(["ASME IX"]).run()
    assert not page.exception
    looks = {look for look, _ in findings(page)}
    assert {"outside", "not-covered", "missing"} <= looks
    assert "210 A is high by 50 A" in words(page)
    page.selectbox(key="audits-code").set_value("AWS D1.1").run()
    assert not page.exception
    said = words(page)
    for part in ("what DEMO-RECORD-9 qualifies", "preheat (Table 4.5)", "not covered",
                 "you must check", "a preheat of 45 F and up from at least 70 F"):  # fmt: skip
        assert part in said


@pytest.mark.parametrize("upload", examples.procedures(), ids=lambda one: one.name)
def test_the_examples_say_that_they_are_invented(upload):
    (procedure,) = read_upload(upload).procedures
    assert "Invented" in str(procedure.remarks)
    assert b"invented" in upload.name.encode() + upload.data


def test_what_was_not_compared_and_what_rests_on_memory_is_shown(page):
    drop(page, sample("wps-g.json"))
    looks = {look for look, _ in findings(page)}
    assert {"note", "not-checked"} <= looks
    (report,) = audit_read(read_upload(Upload(*sample("wps-g.json"))))
    recalled = [f for f in report.findings if f.grade == "memory"]
    assert recalled
    marked = [body for _, body in findings(page) if "from memory, verify" in body]
    assert len(marked) == len(recalled)
    page.get_by_key("audits-severity").set_value(["outside"]).run()
    assert {look for look, _ in findings(page)} <= {"outside", "not-checked"}
    assert "not-checked" in {look for look, _ in findings(page)}
    page.selectbox(key="audits-code").set_value("ASME IX").run()
    assert not page.exception
    assert "Without a test record the matrix shows what the code wants stated." in words(page)
    assert "ASME IX, what has to be stated" in words(page)
    assert "base metal thickness (QW-451.1)" in words(page)


def test_findings_are_filtered_by_severity_rule_document_and_words(page):
    drop(page, sample("wps-g.json"), sample("wps-k.json"))
    every = [
        finding
        for name in ("wps-g.json", "wps-k.json")
        for report in audit_read(read_upload(Upload(*sample(name))))
        for finding in report.findings
    ]
    assert len(findings(page)) == len(every)
    page.multiselect(key="audits-rules").set_value(["slips"]).run()
    assert len(findings(page)) == sum(f.rule == "slips" for f in every)
    page.multiselect(key="audits-rules").set_value([]).run()
    page.multiselect(key="audits-documents").set_value(["WPS-G (wps-g.json)"]).run()
    assert "WPS-K (wps-k.json)" not in "".join(re.findall(r"<h2>(.*?)</h2>", drawn(page)))
    page.text_input(key="audits-text").set_value("no such word").run()
    assert findings(page) == []
    assert "No finding fits what is chosen here" in words(page)
    # A chosen rule or document may go away with its file.
    page.text_input(key="audits-text").set_value("").run()
    drop(page, sample("wps-o.json"))
    assert "WPS-O (wps-o.json)" in words(page)


def bomb():
    """A workbook whose sheet unpacks to far more than it is packed."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/workbook.xml", "<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", b" " * 50_000_000)
    return packed.getvalue()


HOSTILE = {
    "bomb.xlsx": bomb(),
    "nothing.json": b"",
    "noise.xlsx": bytes(range(256)) * 20,
    "deep.json": b"[" * 100_000,
    "entities.yaml": b"a: &a [x]\nb: &b [*a,*a]\n" + b"c: [*b,*b]\n" * 50,
    "../../../etc/passwd\x1b[31m<script>alert(1)</script>.json": b"{",
    "page.pdf": b"%PDF-1.7",
    "n" * 3000 + ".json": b"x",
}


def test_hostile_files_get_a_sentence_each_and_the_others_are_audited(page):
    drop(page, *HOSTILE.items(), sample("wps-o.json"))
    assert len(problems(page)) == len(HOSTILE)
    every = drawn(page)
    assert "<script>" not in every
    assert "\x1b" not in every
    assert "../" not in every
    assert len(every) < 100_000
    assert "WPS-O (wps-o.json)" in words(page)
    assert findings(page)


def test_a_number_or_value_that_is_markup_is_shown_as_text(page):
    data = b'{"number": "<img src=x onerror=alert(1)>", "processes": ["<b>SMAW</b>"]}'
    drop(page, ("<i>.json", data))
    page.get_by_key("audits-severity").set_value(list(SEVERITIES)).run()
    every = drawn(page)
    assert "<img" not in every
    assert "<b>SMAW" not in every
    assert "<i>" not in every


def test_too_many_files_are_refused(page):
    drop(page, *[(f"{n}.json", b"{}") for n in range(61)])
    assert problems(page) == ["Files: 61 are too many; give 60"]


def test_the_invented_log_shows_counts_the_farthest_and_drift(page):
    page.toggle(key="logs-example").set_value(True).run()
    assert not page.exception
    said = words(page)
    assert "160 records" in said
    assert "high by 100 A (62%)" in said
    assert "110 to 160 A . Machinery's Handbook" in said
    assert "post 3 current, A" in said
    assert "It describes, and judges nothing" in said
    assert downloads(page)[-1] == "Download every verdict (Parquet)"


def test_a_heading_that_is_not_understood_can_be_named(page):
    drop(page, ("a.csv", b"process,electrode,diameter,ch1\nSMAW,E7018,1/8,250\n"), tab="logs")
    assert "no column holds readings" in problems(page)[0]
    page.text_input(key="logs-columns").set_value("current = ch1").run()
    assert problems(page) == []
    assert "high by 90 A" in words(page)
    page.text_input(key="logs-columns").set_value("nonsense").run()
    assert problems(page) == ["Heading: 'nonsense' is not accepted; give NAME=VALUE"]


def test_a_bad_log_gets_one_sentence_and_the_others_are_audited(page):
    good = b"process,electrode,diameter,amps\nSMAW,E7018,1/8,250\n"
    bad = ("../a\x1b[31m.parquet", b"no parquet")
    drop(page, bad, ("empty.csv", b""), ("good.csv", good), tab="logs")
    assert len(problems(page)) == 2
    assert "\x1b" not in drawn(page)
    assert "high by 90 A" in words(page)


def test_nothing_stays_on_the_disk(monkeypatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    page = opened("audits")
    drop(page, *HOSTILE.items(), sample("wps-g.json"))
    page.toggle(key="audits-example").set_value(True)
    page.toggle(key="logs-example").set_value(True)
    drop(page, ("bad.csv", b"\xff\xfe"), ("cut.csv", b"amps\n1,2,3\n"), tab="logs")
    # What stays is the script that the test itself makes of the function above.
    left = [
        path
        for path in tmp_path.rglob("*")
        if path.is_file() and b"import draw" not in path.read_bytes()
    ]
    assert left == []


def test_files_stay_while_another_page_is_open_until_they_are_taken_away():
    def pages():
        import streamlit as st

        from weldref.dashboard.audits.page import draw
        from weldref.data.store import open_store

        # What is not drawn is forgotten, as when another page is open.
        if not st.session_state.get("elsewhere"):
            draw(open_store())

    page = AppTest.from_function(pages, default_timeout=120).run()
    drop(page, sample("wps-o.json"))
    page.session_state["elsewhere"] = True
    page.run()
    assert drawn(page) == ""
    page.session_state["elsewhere"] = False
    page.run()
    assert page.file_uploader(key="audits-files").value == []
    assert "Still here: wps-o.json." in words(page)
    drop(page, sample("wps-g.json"))
    assert {"WPS-O (wps-o.json)", "WPS-G (wps-g.json)"} == set(
        re.findall(r'<th scope="row">(WPS-.*?)</th>', drawn(page))
    )
    page.button(key="audits-forget").click().run()
    assert "WPS-O" not in words(page)
    page.file_uploader(key="audits-files").set_value(None).run()
    assert "WPS-G" not in words(page)
    assert "Drop a procedure above" in words(page)


def test_a_redraw_audits_nothing_again(page, monkeypatch):
    drop(page, sample("wps-g.json"))
    before = findings(page)

    def refuse(*_args, **_options):
        raise AssertionError("audited again")

    monkeypatch.setattr("weldref.dashboard.audits.procedures.audit_read", refuse)
    monkeypatch.setattr("weldref.dashboard.audits.procedures.packed_reports", refuse)
    page.run()
    assert not page.exception
    assert findings(page) == before


def test_an_empty_form_is_offered_and_known_as_one(page):
    assert downloads(page) == ["Empty form to fill in (XLSX)"]
    read = read_upload(Upload("procedure.xlsx", template(".xlsx", units="metric")))
    assert read.problem == "procedure: the form is not filled in: it states nothing"


@pytest.mark.parametrize(
    ("earlier", "says"),
    [
        (b"no report", "Earlier round: 'e.json' cannot be read as a report in JSON"),
        (b"[]", "Earlier round: 'e.json' is not a report in JSON"),
        (b"", "Earlier round: the file is empty"),
        (b'{"number": "7<b>"}', "is of '7<b>'; give the report of one document"),
        (b'{"number": "WPS-O"}', "the file is not a report in JSON; give one"),
        (b'{"number": "WPS-O", "findings": [{"rule": []}]}', "the file is not a report in JSON"),
    ],
)
def test_an_earlier_report_that_is_none_leaves_the_findings_as_they_are(page, earlier, says):
    drop(page, sample("wps-o.json"))
    before = findings(page)
    page.file_uploader(key="audits-earlier").set_value([("e.json", earlier, "")]).run()
    assert not page.exception
    (problem,) = problems(page)
    assert says in problem
    assert findings(page) == before


def test_an_earlier_report_tells_new_open_and_closed_apart(page):
    drop(page, sample("wps-o.json"), sample("wps-g.json"))
    before = findings(page)
    (report,) = audit_read(read_upload(Upload(*sample("wps-o.json"))))
    stored = json.loads(render(report, "json"))
    gone = stored["findings"].pop()
    stored["findings"].append(gone | {"what": "something that was mended", "rule": "slips"})
    earlier = ("e.json", json.dumps(stored).encode(), "")
    page.file_uploader(key="audits-earlier").set_value([earlier]).run()
    assert not page.exception
    left = len(report.findings) - 1
    assert f"Since the earlier report: 1 new, {left} still open, 1 closed" in words(page)
    assert len(findings(page)) == len(before)
    assert words(page).count("New: ") == 1
    assert "something that was mended" in words(page).partition("Closed since the earlier")[2]


def test_an_answered_workbook_goes_into_the_dossier(page):
    drop(page, sample("wps-o.json"))
    (report,) = audit_read(read_upload(Upload(*sample("wps-o.json"))))
    book = openpyxl.load_workbook(io.BytesIO(render(report, "xlsx")))
    sheet = book["Findings"]
    reply = [cell.value for cell in sheet[1]].index("Your reply") + 1
    sheet.cell(2, reply).value = "measured again"
    data = io.BytesIO()
    book.save(data)
    page.file_uploader(key="audits-earlier").set_value([("r.xlsx", data.getvalue(), "")]).run()
    assert not page.exception
    assert "1 of them answered" in words(page)
    page.file_uploader(key="audits-earlier").set_value([("r.xlsx", b"PK", "")]).run()
    assert not page.exception
    assert "the XLSX file is damaged" in problems(page)[0]


def test_a_welders_certificate_is_compared_and_is_no_procedure(page):
    wps = a_copy("gmaw-iso-spray")
    made = certificate()
    drop(page, ("w.json", json.dumps(wps).encode()), ("c.json", json.dumps(made).encode()))
    (chosen,) = [one for one in page.multiselect if one.label.startswith("Welders' certificates")]
    assert chosen.value == ["C-1 (c.json)"]
    assert "what the certificate C-1 covers" in words(page)
    assert "1 document" in words(page)


def test_a_procedure_is_changed_on_the_page_and_audited_again(page):
    drop(page, sample("wps-o.json"))
    assert "Nothing is typed in yet" in words(page)
    page.selectbox(key="audits-typed-start").set_value("WPS-O (wps-o.json)").run()
    assert not page.exception
    assert "WPS-O (typed-in.json)" in words(page)
    page.toggle(key="audits-typed-audit").set_value(False).run()
    assert "WPS-O (typed-in.json)" not in words(page)


def test_a_log_is_compared_with_the_procedure_it_was_welded_to(page):
    log = b"weld,process,amps\n1,GMAW,250\n1,GMAW,320\n"
    drop(page, ("log.csv", log, CSV)[:2], tab="logs")
    wps = json.dumps(a_copy("gmaw-iso-spray")).encode()
    page.file_uploader(key="logs-wps").set_value(("w.json", wps, JSON)).run()
    assert "Against gmaw-iso-spray: outside" in words(page)
    page.file_uploader(key="logs-wps").set_value(("w.json", b"{", JSON)).run()
    assert any("Procedure w.json" in one for one in problems(page))
