"""The instructor's job in a real browser: choose, look at the pages, take the files."""

from __future__ import annotations

import pypdfium2
import pytest

from tests.dashboard.browser.visits import JOURNEYS

pytestmark = pytest.mark.browser


def words_of(pdf):
    document = pypdfium2.PdfDocument(pdf)
    try:
        pages = [page.get_textpage().get_text_range() for page in document]
    finally:
        document.close()
    return " ".join(" ".join(pages).split())


@pytest.mark.parametrize("width", JOURNEYS)
def test_a_handout_is_chosen_looked_at_and_taken(visit, width):
    at = visit(width)
    at.open_page("Handouts")
    at.choose("Thickness", "1/8", "1/8")
    at.wait_for(".note", "2 situations to print")
    at.page.keyboard.press("Escape")
    at.page.get_by_role("button", name="Make the handout").click()
    first = at.page.get_by_role("img", name="Page 1 of")
    first.wait_for()
    at.page.wait_for_function("[...document.images].every(image => image.naturalWidth > 400)")
    at.legible_at_each_width()
    at.accessible()
    at.photograph(f"handout-{width}")

    name, pdf = at.download("Handout: PDF")
    assert (name, pdf[:5]) == ("handout.pdf", b"%PDF-")
    said = words_of(pdf)
    for part in (
        "SMAW, carbon steel, E7018",
        "1/4 in thick",
        "1/8 in thick",
        "110–160 A",
        "Machinery's Handbook",
        "from memory",
        "not safe, qualified or sound",
    ):
        assert part in said, part
    name, page = at.download("Handout: HTML page")
    assert (name, b"Machinery" in page) == ("handout.html", True)
    name, sheet = at.download("Handout: CSV")
    assert (name, b"110" in sheet) == ("handout.csv", True)


@pytest.mark.parametrize("width", JOURNEYS)
def test_a_practice_sheet_and_its_key_are_taken(visit, width):
    at = visit(width, "handouts")
    at.page.get_by_role("tab", name="Practice").click()
    at.page.get_by_role("button", name="Make the practice sheets").click()
    at.page.get_by_role("img", name="Page 1 of").first.wait_for()
    at.wait_until_drawn()
    at.legible_at_each_width()
    at.photograph(f"practice-{width}")
    name, sheet = at.download("Sheets: PDF")
    assert name == "practice.pdf"
    name, key = at.download("Key: PDF")
    assert name == "practice.key.pdf"
    asked, answered = words_of(sheet), words_of(key)
    assert "Every setting on this sheet is invented for practice" in asked
    assert "has one mistake" in asked
    assert "Key: Practice sheet" in answered
    assert "Wrong: " in answered
    assert "Wrong: " not in asked


def test_sources_are_compared_and_coverage_is_drawn(visit):
    at = visit(1024, "handouts")
    for tab, shows in (("Compare sources", ".sides"), ("Coverage", ".map")):
        at.page.get_by_role("tab", name=tab).click()
        at.page.locator(shows).first.wait_for()
        at.wait_until_drawn()
        at.legible()
        at.accessible()
        at.photograph(f"{tab.lower().replace(' ', '-')}-1024")
