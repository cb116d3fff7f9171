"""PDFs with text: every value with its place, nothing audited that is not confirmed."""

from __future__ import annotations

import json
from collections import defaultdict
from functools import cache

import pytest

from tests.procedures.paper.documents import document, printed
from tests.procedures.paper.measure import Score, compare
from weldref.audit.places import spot
from weldref.audit.procedure_audit import audit_procedure
from weldref.audit.report import render
from weldref.errors import InputError
from weldref.procedures.paper.page import box_at
from weldref.procedures.paper.read import read_paper
from weldref.procedures.paper.reading import Reading, saved_reading
from weldref.procedures.read import read_bytes

NUMBERS = (0, 7, 14, 21, 28, 35)
"""One document of each layout; English, German and Spanish, in inches and in millimetres."""


@cache
def reading(number: int) -> Reading:
    return read_paper(printed(number), f"{number}.pdf")


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
