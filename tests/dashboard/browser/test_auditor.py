"""The auditor's job in a real browser: drop files, find what is wrong, take the report."""

from __future__ import annotations

import io
import json
import zipfile

import pytest

from tests.dashboard.browser.visits import JOURNEYS
from tests.effort import some
from weldref.audit import examples

pytestmark = pytest.mark.browser

BEGINS = {
    "PDF": b"%PDF-",
    "workbook for replies (XLSX)": b"PK",
    "HTML page": b"<!doctype html>",
    "plain text": b"posts-",
    "JSON": b"{",
}


def dropped(uploads):
    return [
        {"name": one.name, "mimeType": "application/octet-stream", "buffer": one.data}
        for one in uploads
    ]


def drop(at, label, uploads):
    place = at.page.get_by_test_id("stFileUploader").filter(has_text=label)
    place.locator("input[type=file]").set_input_files(dropped(uploads))


def packed(archive):
    with zipfile.ZipFile(io.BytesIO(archive)) as found:
        return {name: found.read(name) for name in found.namelist()}


def looks(at, count=None):
    """How grave are the findings shown? Wait for so many, where the number is known."""
    if count is not None:
        at.page.wait_for_function(f"document.querySelectorAll('.finding').length === {count}")
    return at.page.locator(".finding").evaluate_all("all => all.map(one => one.classList[1])")


@pytest.mark.parametrize("width", JOURNEYS)
def test_a_procedure_is_audited_with_its_record(visit, left, width):
    at = visit(width)
    at.open_page("Audit")
    drop(at, "Procedures, test records and welders' certificates", examples.procedures())
    at.wait_for("caption", "Findings of each document")
    at.choose("Code whose rules say what it covers", "ASME", "ASME IX")
    at.page.locator(".finding.not-covered").first.wait_for()
    at.wait_until_drawn()
    before = looks(at)
    assert {"outside", "not-covered"} <= set(before)
    at.legible_at_each_width()
    at.accessible()
    at.photograph(f"audit-{width}")

    # Only one kind: the others are switched off.
    for name in ("Contradiction", "Missing", "Not covered", "Question", "Note"):
        pill = at.page.get_by_role("button", name=name, exact=True)
        if pill.count() and pill.get_attribute("aria-pressed") != "false":
            pill.click()
            at.wait_until_drawn()
    shown = before.count("outside") + before.count("not-checked")
    assert set(looks(at, shown)) == {"outside", "not-checked"}
    at.page.get_by_text("Cited: ").first.click()
    at.wait_for(".finding details[open]", "110 to 160 A")
    at.wait_for(".finding details[open]", "p. 1594 Table 14")
    at.enter("Words", "no such word")
    at.wait_for(".empty", "No finding fits what is chosen here")

    for form, begins in some(BEGINS.items(), 2):
        at.pick("Report as", form)

        def fits(archive, begins=begins):
            files = dict(packed(archive))
            files.pop("summary.txt")
            starts = [content[:15].lower() for content in files.values()]
            return len(starts) == 2 and all(one.startswith(begins.lower()) for one in starts)

        name, archive = at.download_when(fits, "Download 2 reports and a summary")
        assert name.startswith("audits-")
        assert fits(archive), form
    # What the server wrote to work with is gone.
    assert [path for path in left.rglob("*") if path.is_file()] == []


def test_a_log_is_audited_and_every_verdict_taken(visit, left):
    at = visit(1024, "audit")
    at.page.get_by_role("tab", name="Weld logs").click()
    drop(at, "Weld logs", examples.logs())
    at.wait_for("h2", "160 records")
    at.wait_for("td", "high by 100 A")
    at.wait_until_drawn()
    at.legible()
    at.accessible()
    at.photograph("log-1024")
    name, table = at.download("Download every verdict (Parquet)")
    assert (name, table[:4]) == ("invented-posts-log-verdicts.parquet", b"PAR1")
    assert [path for path in left.rglob("*") if path.is_file()] == []


def test_what_is_new_since_an_earlier_report_is_told(visit):
    at = visit(1024, "audit")
    drop(at, "Procedures, test records and welders' certificates", examples.procedures()[:1])
    at.pick("Report as", "JSON")
    every = looks(at)
    name, report = at.download_when(lambda data: data[:1] == b"{", "Download the report")
    assert name.endswith(".json")
    earlier = json.loads(report)
    new = next(one for one in earlier["findings"] if one["severity"] == "outside")
    earlier["findings"].remove(new)
    at.page.get_by_text("Compare with an earlier round").click()
    place = at.page.get_by_test_id("stFileUploader").filter(has_text="Earlier report")
    place.locator("input[type=file]").set_input_files(
        {"name": name, "mimeType": "application/json", "buffer": json.dumps(earlier).encode()}
    )
    at.wait_for(".note", f"1 new, {len(earlier['findings'])} still open, 0 closed")
    assert looks(at, len(every)) == every
    at.wait_for(".finding", "New: Outside")
    at.wait_for(".finding", new["what"])
    at.photograph("audit-new-1024")
