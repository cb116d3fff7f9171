"""Does a dossier say everything once, and keep its numbers over a round of replies?"""

from __future__ import annotations

import io
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pypdfium2
import pytest

from tests.audit.constructed.bases import a_copy, read
from tests.audit.constructed.pairs import record_of
from weldref.audit.dossier import dossier
from weldref.audit.dossier_xlsx import ANSWERS, COLUMNS, read_replies, replies_from
from weldref.audit.places import fields_at
from weldref.audit.procedure_audit import Report, audit_procedure
from weldref.audit.report import audit_files, render
from weldref.cli import main
from weldref.errors import InputError
from weldref.procedures.template import write_template

BASE = "smaw-d11-fillet"


@cache
def a_report(**changed: Any) -> Report:
    plain = a_copy(BASE)
    plain["passes"][0] |= {"current": "115 to 210 A", "heat_input": "9 to 12 kJ/in"} | changed
    return audit_procedure(
        read(plain), record=read(record_of(a_copy(BASE), "1/2 in")), code="D1.1 2015"
    )


def cells(data: bytes, sheet: str = ANSWERS) -> list[list[Any]]:
    book = openpyxl.load_workbook(io.BytesIO(data))
    return [[cell.value for cell in row] for row in book[sheet].iter_rows()]


def test_findings_are_numbered_and_name_field_and_place() -> None:
    made = dossier(a_report(), auditor="the inspector")
    every = [*made.findings, *made.unchecked]
    assert [item.number for item in every] == list(range(1, len(every) + 1))
    (current,) = [item for item in made.findings if item.rule == "published-range"]
    assert current.where == "pass 1, current (/passes/0/current)"
    assert current.closes
    heading = dict(made.heading)
    assert heading["Auditor"] == "the inspector"
    assert heading["Test record (PQR)"] == "R-1"
    assert heading["Rules of qualification"].startswith("AWS D1.1, edition 2015")
    assert heading["Organisation"] == "an invented school workshop"


def test_a_place_in_a_sheet_is_named_by_field_sheet_and_cell(tmp_path: Path) -> None:
    path = write_template(tmp_path / "a.xlsx", procedure=read(a_copy(BASE)))
    target = tmp_path / "dossier.html"
    audit_files([path], output=target)
    page = target.read_text("utf-8")
    assert "pass 1, voltage (sheet Passes, cell L2)" in page
    assert "SHA-256" in page
    csv = write_template(tmp_path / "a.csv", procedure=read(a_copy(BASE)))
    audit_files([csv], output=target)
    shown = target.read_text("utf-8")
    assert re.search(r"pass 1, voltage \(line \d+, column \d+\)", shown)


def test_the_corners_show_their_arithmetic() -> None:
    (corner,) = dossier(a_report()).corners
    # 20 V, 115 A, 8 in/min and 24 V, 210 A, 5 in/min: V x A x 60 / (speed x 1000).
    assert corner["least"].endswith("= 17.2 kJ/in")
    assert corner["greatest"] == "24 V x 210 A x 60 / (5 in/min x 1000) = 60.5 kJ/in"
    assert corner["printed"] == "9 to 12 kJ/in"


@pytest.mark.parametrize("form", ["html", "pdf", "xlsx"])
def test_every_line_of_the_matrix_is_in_every_form(form: str) -> None:
    report = a_report()
    made = render(report, form)
    if form == "xlsx":
        shown = json.dumps(cells(made, "Matrix"))
    elif form == "html":
        shown = made.decode()
    else:
        document = pypdfium2.PdfDocument(made)
        shown = " ".join(page.get_textpage().get_text_range() for page in document)
    plain = "".join(c for c in shown if c.isalnum())
    for line in report.matrix:
        for part in (line.variable, line.state, line.qualified):
            wanted = "".join(c for c in part if c.isalnum())
            assert wanted in plain or form == "html", part


def test_signs_that_no_font_has_do_not_stop_the_pdf() -> None:
    plain = a_copy(BASE)
    plain["title"] = "栏杆 \u0378 post \U0001f525"
    report = audit_procedure(read(plain))
    shown = pypdfium2.PdfDocument(render(report, "pdf"))[0].get_textpage().get_text_range()
    assert "post" in shown


def test_no_page_is_half_empty() -> None:
    document = pypdfium2.PdfDocument(render(a_report(), "pdf"))
    for number in range(len(document) - 1):  # the last one ends where it ends
        picture = document[number].render(scale=0.3).to_pil().convert("L")
        width, height = picture.size
        used = [y for y in range(int(height * 0.93))
                if min(picture.crop((0, y, width, y + 1)).get_flattened_data()) < 160]  # fmt: skip
        assert max(used) > height * 0.7, number + 1


def test_numbers_and_replies_are_carried_over() -> None:
    first = a_report()
    made = dossier(first)
    book = openpyxl.load_workbook(io.BytesIO(render(first, "xlsx")))
    sheet = book[ANSWERS]
    at = {part: turn for turn, (part, _, _) in enumerate(COLUMNS, 1)}
    rows = {sheet.cell(row, at["key"]).value: row for row in range(2, sheet.max_row + 1)}
    (current,) = [item for item in made.findings if item.rule == "published-range"]
    (heat,) = [item for item in made.findings if item.rule == "heat-input-corners"]
    sheet.cell(rows[current.key], at["reply"]).value = "=narrowed to 150 A"
    sheet.cell(rows[heat.key], at["closed"]).value = "shop, 2026-04-01"
    sheet.move_range(f"A{rows[heat.key]}:L{rows[heat.key]}", rows=200)  # sorted by hand
    data = io.BytesIO()
    book.save(data)
    replies = replies_from(data.getvalue(), "back.xlsx")
    assert replies[current.key].reply == "=narrowed to 150 A"

    # The second round: the heat input is mended, the current is another one, a gap is new.
    plain = a_copy(BASE)
    plain["passes"][0]["current"] = "115 to 205 A"
    plain["preheat_min"] = ["20 F"]
    second = audit_procedure(
        read(plain), record=read(record_of(a_copy(BASE), "1/2 in")), code="D1.1 2015"
    )
    again = dossier(second, replies=replies)
    (still,) = [item for item in again.findings if item.rule == "published-range"]
    assert (still.number, still.status, still.reply) == (
        current.number, "still open", "=narrowed to 150 A",
    )  # fmt: skip
    closed = {item.number: item.closed for item in again.closed}
    assert closed[heat.number] == "shop, 2026-04-01"
    highest = max(item.number for item in (*made.findings, *made.unchecked))
    new = [item for item in again.findings if item.status == "new"]
    assert new
    assert all(item.number > highest for item in new)
    assert "still open" in again.since


def test_a_reply_is_text_and_never_a_formula() -> None:
    made = cells(render(a_report(label="=1+1"), "xlsx"))
    assert all(not str(cell).startswith("=") for row in made for cell in row)


def test_the_second_round_from_the_command_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wps, record = tmp_path / "wps.json", tmp_path / "pqr.json"
    record.write_text(json.dumps(record_of(a_copy(BASE), "1/2 in")))
    first, second = tmp_path / "first.xlsx", tmp_path / "second.pdf"
    wps.write_text(json.dumps(a_copy(BASE) | {"preheat_min": ["20 F"]}))
    asked = ["audit", str(wps), "--pqr", str(record), "--code", "D1.1"]
    assert main([*asked, "-o", str(first), "--auditor", "an inspector"]) == 1
    assert main([*asked, "-o", str(second), "--reply", str(first)]) == 1
    assert second.read_bytes().startswith(b"%PDF-")
    assert len(read_replies(first)) > 3
    assert main([*asked, "--reply", str(first)]) == 2
    assert "reply: it is for a dossier" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is not a file"),
        (b"no workbook", "reply: 'r.xlsx': the XLSX file is damaged"),
        (b"x" * 30_000_000, "reply: 'r.xlsx': the file is larger than"),
    ],
)
def test_a_reply_that_is_none(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        replies_from(data, "r.xlsx")


def test_a_reply_whose_numbers_were_touched() -> None:
    for value, words in ((0, "is not the number of a finding"), (2, "number 2 is in row 3 too")):
        book = openpyxl.load_workbook(io.BytesIO(render(a_report(), "xlsx")))
        sheet = book[ANSWERS]
        sheet["A3"], sheet["A4"] = 2, value
        data = io.BytesIO()
        book.save(data)
        with pytest.raises(InputError, match=words):
            replies_from(data.getvalue(), "r.xlsx")
    book.remove(book[ANSWERS])
    data = io.BytesIO()
    book.save(data)
    with pytest.raises(InputError, match="has no sheet 'Findings'"):
        replies_from(data.getvalue(), "r.xlsx")


def test_fields_are_named_by_the_label_of_the_pass() -> None:
    named = fields_at(read(a_copy(BASE)))
    assert named["/passes/0/current"] == "passes[1].current"
    assert named["/preheat_min/0"] == "preheat_min[0]"
