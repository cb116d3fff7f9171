"""Every page at every width: can everybody read, reach and use it, and does all stay here?"""

from __future__ import annotations

import pytest

from tests.dashboard.browser.visits import FOCUSED, WIDTHS
from tests.effort import ALL
from weldref.dashboard.page import PAGES, path_of

pytestmark = pytest.mark.browser
FIRST = next(iter(PAGES.values()))


def test_a_page_opened_by_its_address_is_accessible_and_shows_the_keyboard(visit, subtests):
    at = visit(390)
    for title in PAGES.values():
        with subtests.test(title):
            at.open("" if title == FIRST else path_of(title))
            at.wait_for("[class*=st-key-here-]", title)
            at.accessible()
            at.legible_at_each_width()
            at.photograph(f"{path_of(title)}-390")
            if ALL:
                for width, height in WIDTHS.items():
                    at.page.set_viewport_size({"width": width, "height": height})
                    at.accessible()
            at.page.set_viewport_size({"width": 1024, "height": WIDTHS[1024]})
            at.wait_until_settled()
            the_keyboard_shows_where_it_is(at, title)
            at.page.set_viewport_size({"width": 390, "height": WIDTHS[390]})


def the_keyboard_shows_where_it_is(at, title):
    for _ in range(12):
        at.page.keyboard.press("Tab")
        if at.page.evaluate("document.activeElement === document.body"):
            break  # the end of a short page
        focused = at.page.evaluate(FOCUSED)
        assert focused["ring"], (title, focused["name"])


def test_the_links_to_the_pages_fit_a_small_phone(visit):
    at = visit(390)
    at.page.set_viewport_size({"width": 320, "height": 640})
    bar = at.page.locator(".st-key-pages").bounding_box()
    for link in at.page.locator(".st-key-pages a").all():
        box, words = link.bounding_box(), link.locator("p").bounding_box()
        assert bar["y"] <= box["y"]
        assert box["y"] + box["height"] <= 640
        assert box["height"] >= 44
        assert words["x"] >= box["x"] + 2
        assert words["x"] + words["width"] <= box["x"] + box["width"] - 2


def test_by_keyboard_alone_from_the_process_to_a_file(visit):
    at = visit()
    keys = at.page.keyboard
    at.tab_to("Any other process")
    keys.type("gas tung")
    keys.press("Enter")
    at.wait_for(".st-key-bench summary", "TIG (GTAW)")
    at.wait_until_drawn()
    at.tab_to("Current")
    keys.press("Control+A")
    keys.type("999")
    keys.press("Enter")
    at.wait_for(".verdict .asked", "Current 999 A")
    at.wait_until_drawn()
    at.page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
    at.page.reload()
    at.wait_until_drawn()
    at.tab_to("Handouts")
    keys.press("Enter")
    at.wait_for("h1", "What does the class get on paper?")
    at.wait_until_drawn()
    at.tab_to("Make the handout")
    keys.press("Enter")
    at.page.get_by_role("img", name="Page 1 of").first.wait_for()
    at.wait_until_drawn()
    at.tab_to("Handout: PDF")
    with at.page.expect_download() as found:
        keys.press("Enter")
    assert found.value.suggested_filename == "handout.pdf"


def test_a_table_is_searched_and_taken(visit):
    at = visit(1024, "tables")
    at.enter("Words in any column or in the name of the document", "E7018 vertical")
    at.page.get_by_role("button", name="CSV, what fits").wait_for()
    at.wait_until_drawn()
    name, rows = at.download("CSV, what fits")
    assert name == "weldref-windows-part.csv"
    assert b"E7018" in rows
    name, rows = at.download("Parquet, the whole table")
    assert (name, rows[:4]) == ("weldref-windows.parquet", b"PAR1")


def test_a_formula_is_found_filled_and_linked_to(visit):
    at = visit(1024, "formulas")
    at.enter("Words in a formula's name, subject or inputs", "arc energy voltage")
    at.page.get_by_role("button", name="Arc energy from voltage, current and travel speed").click()
    at.wait_for("h1", "Arc energy")
    at.wait_until_drawn()
    at.legible()
    at.accessible()
    at.photograph("formula-1024")
    assert "formula=" in at.page.url
