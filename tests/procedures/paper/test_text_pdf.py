"""PDFs with text: every value with its place, nothing audited that is not confirmed."""

from __future__ import annotations

import io
import json
from collections import defaultdict
from dataclasses import replace
from functools import cache
from pathlib import Path

import openpyxl
import pytest
import typst
from PIL import Image

from tests.procedures.paper.documents import document, printed
from tests.procedures.paper.measure import Score, compare
from weldref.audit.places import spot
from weldref.audit.procedure_audit import audit_procedure
from weldref.audit.report import render
from weldref.cli import main
from weldref.errors import InputError
from weldref.procedures.paper.draft import HEADINGS, draft_from, save_draft
from weldref.procedures.paper.page import box_at
from weldref.procedures.paper.read import read_paper
from weldref.procedures.paper.reading import Reading, reading_of, saved_reading
from weldref.procedures.paper.text_pdf import OVER_A_PICTURE, read_pages
from weldref.procedures.read import read_bytes

NUMBERS = (0, 7, 14, 21, 28, 35)
"""One document of each layout; English, German and Spanish, in inches and in millimetres."""


@cache
def reading(number: int) -> Reading:
    """Read a document in this process; others are read in the child that keeps harm away."""
    data = printed(number)
    return reading_of((page for page in read_pages(data) if page), data, f"{number}.pdf")


@pytest.mark.parametrize("number", NUMBERS)
def test_every_layout_is_read(number: int) -> None:
    by: dict[str, Score] = defaultdict(Score)
    compare(reading(number), number, by)
    counts = by["all"].counts
    assert counts["right"] >= 0.95 * counts["wanted"], by["all"].failures
    assert counts["right"] >= 0.98 * counts["found"], by["all"].failures
    assert counts["silent"] == 0, by["all"].failures


def test_a_value_keeps_its_page_and_box() -> None:
    found = {value.field: value.cell for value in reading(28).values()}  # the passes are on page 2
    assert found["number"].page == 1
    current = found["passes[0].current"]
    page, box = box_at(current.place) or (0, ())
    assert page == current.page == 2
    assert "mm from the left" in spot(current.place)
    assert all(abs(a - b) <= 0.5 for a, b in zip(box, current.box, strict=True))
    assert document(28).layout == "pages"


def test_boxes_that_are_ticked() -> None:
    fields = dict(document(35).fields)
    found = {value.field: value.said for value in reading(35).values()}
    assert found["modes[0]"] == fields["mode"]
    assert found["technique.bead"] == fields["bead"]


def test_nothing_is_audited_that_nobody_confirmed() -> None:
    data = printed(0)
    with pytest.raises(InputError, match="confirm what was read"):
        read_bytes(data, "a.pdf")
    saved = reading(0).as_json()
    with pytest.raises(
        InputError, match=r"^procedure: \d+ values of 'a.json' were read by machine"
    ):
        read_bytes(saved, "a.json")
    kept = saved_reading(saved)
    assert kept == reading(0)
    for value in kept.values():
        kept = kept.confirm(value.cell.place)
    (procedure,) = read_bytes(kept.as_json(), "a.json")
    report = audit_procedure(procedure)
    assert report.unconfirmed == 0
    assert all(not finding.machine_read for finding in report.findings)


def test_a_finding_says_that_a_machine_read_it_and_shows_the_paper() -> None:
    (procedure,) = read_bytes(printed(0), "a.pdf", unconfirmed=True)
    report = audit_procedure(procedure)
    placed = [finding for finding in report.findings if box_at(finding.place)]
    assert placed
    assert all(one.machine_read.startswith("read by machine, not conf") for one in report.findings)
    assert all(report.pictures[one.place].startswith(b"\x89PNG") for one in placed)
    page = render(report, "html").decode()
    assert page.count('src="data:image/png;base64,') >= len(placed)
    assert "read by machine, not confirmed" in page
    assert "read by machine, not confirmed" in render(report, "text").decode()
    assert render(report, "pdf").startswith(b"%PDF-")
    json.loads(render(report, "json"))


def test_a_correction_makes_the_procedure_again() -> None:
    one = next(v for v in reading(0).values() if v.field == "passes[0].current")
    corrected = reading(0).confirm(one.cell.place, "95 - 125")
    (procedure,) = corrected.procedures()
    assert str(procedure.passes[0].current) == "95 to 125 A"
    assert procedure.machine_read[one.cell.place].confirmed
    again = next(v for v in corrected.values() if v.field == "passes[0].current")
    assert (again.cell.read, again.cell.text) == (one.cell.read, "95 - 125")


def test_a_draft_as_a_workbook_is_read_back(tmp_path: Path) -> None:
    draft = save_draft(reading(0), tmp_path / "draft.xlsx")
    kept = draft_from(draft.read_bytes())
    assert {cell.place: cell for cell in kept.cells} == {
        cell.place: replace(cell, doubt=doubts.get(cell.place, cell.doubt))
        for doubts in [{value.cell.place: value.doubt for value in reading(0).values()}]
        for cell in reading(0).cells
    }
    with pytest.raises(InputError, match="were read by machine and are not confirmed"):
        read_bytes(draft.read_bytes(), "draft.xlsx")
    book = openpyxl.load_workbook(draft)
    sheet = book["weldref reading"]
    assert len(sheet._images) == sheet.max_row - 1  # a picture beside each value
    for row in range(2, sheet.max_row + 1):
        sheet.cell(row, HEADINGS.index("Confirmed") + 1).value = "yes"
    book.save(draft)
    (procedure,) = read_bytes(draft.read_bytes(), "draft.xlsx")
    assert not [place for place, one in procedure.machine_read.items() if not one.confirmed]


def test_the_command_writes_a_draft(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    paper = tmp_path / "wps.pdf"
    paper.write_bytes(printed(0))
    assert main(["read-procedure", str(paper), "-o", str(tmp_path / "d.json")]) == 0
    assert "values read by machine" in capsys.readouterr().out
    assert main(["audit", str(tmp_path / "d.json")]) == 2
    assert "are not confirmed" in capsys.readouterr().err
    assert main(["audit", str(tmp_path / "d.json"), "--unconfirmed"]) in (0, 1, 3)
    assert "read by machine, not confirmed" in capsys.readouterr().out.replace("\n    ", " ")


def test_a_file_that_is_no_document_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (paper := tmp_path / "wps.pdf").write_bytes(b"")
    assert main(["read-procedure", str(paper), "-o", str(tmp_path / "d.json")]) == 2
    assert "'wps.pdf' is not a PDF, a picture or a draft" in capsys.readouterr().err


def test_text_over_a_picture_is_what_a_scanner_read() -> None:
    dot = io.BytesIO()
    Image.new("L", (2, 2), 255).save(dot, "PNG")
    source = (
        f"#set page(background: image(bytes({tuple(dot.getvalue())}), width: 100%, height: 100%))\n"
        "#table(columns: 2, [WPS No.], [RAIL-7], [Welding process], [SMAW], [Position], [2F])"
    )
    values = read_paper(typst.compile(source.encode()), "a.pdf").values()
    assert [value.cell.text for value in values] == ["RAIL-7", "SMAW", "2F"]
    assert {value.doubt for value in values} == {OVER_A_PICTURE}
