"""The student's job in a real browser: from the first click to a verdict and a link to it."""

from __future__ import annotations

import json
import re
import time

import pytest

from tests.dashboard.browser.visits import ARTEFACTS, CHART, WIDTHS

pytestmark = pytest.mark.browser


def open_situation(at):
    """On a phone the fields of the situation open from the left."""
    if at.narrow:
        at.page.get_by_test_id("stExpandSidebarButton").click()
        at.page.get_by_label("Thickness", exact=True).wait_for()


def close_situation(at):
    if at.narrow:
        at.page.get_by_test_id("stSidebarCollapseButton").locator("button").click()
        at.page.get_by_test_id("stExpandSidebarButton").wait_for()


@pytest.mark.parametrize("width", WIDTHS)
def test_from_the_first_click_to_a_link_that_opens_the_same(visit, width):
    at = visit(width)
    at.page.get_by_role("button", name="Clear", exact=True).click()
    at.wait_for(".empty", "Say what is on the bench")
    open_situation(at)
    for label, typed, whole, reads in (
        ("Process", "gas metal", "GMAW", "For GMAW"),
        ("Metal", "alumin", "aluminium", "aluminium"),
        ("Position", "flat", "flat", "flat"),
        ("Transfer mode", "spray", "spray", "spray"),
    ):
        at.choose(label, typed, re.compile(f"^{whole}"))
        at.wait_for(".situation", reads)
    at.enter("Thickness", "1/4")
    at.wait_for(".situation", "1/4 in thick")
    at.enter("Electrode, wire or tungsten diameter", "3/64")
    at.wait_for(".situation", "3/64 in")
    close_situation(at)

    at.enter("Current", "500")
    at.wait_for(".verdict.outside .word", "High by")
    at.wait_for(CHART, "yours: 500 A")
    at.wait_until_drawn()
    turn(at)
    now = at.page.get_by_label("Current", exact=True).input_value()
    at.wait_for(".verdict .asked", f"Current {now}")
    at.wait_for(CHART, f"yours: {now}")
    at.legible()
    at.photograph(f"student-{width}")

    shared = visit(width, at.page.url.removeprefix(f"{at.address}/"))
    for part in (".situation", ".verdict >> nth=0", "[data-testid=stTextInput] >> nth=-1"):
        assert shared.page.locator(part).inner_text() == at.page.locator(part).inner_text()
    assert shared.page.get_by_label("Current", exact=True).input_value() == now


def turn(at):
    """Take the dial and draw it a third of the way to the left."""
    dial = at.page.locator(".st-key-dial-current [data-testid=stSlider]")
    dial.scroll_into_view_if_needed()
    rail = dial.bounding_box()
    box = dial.get_by_test_id("stSliderThumbValue").locator("..").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    at.page.mouse.move(x, y)
    at.page.mouse.down()
    at.page.mouse.move(x - rail["width"] / 3, y, steps=6)
    at.page.mouse.up()
    at.page.wait_for_function(
        "document.querySelector('.st-key-value-current input').value !== '500 A'"
    )
    at.wait_until_drawn()


@pytest.mark.parametrize("width", WIDTHS)
def test_a_first_visit_shows_a_verdict_and_where_it_comes_from(visit, width):
    at = visit(width)
    at.wait_for(".verdict.inside .word", "Inside")
    # Charts are drawn in any order.
    drawn = at.page.locator(f".st-key-dial-current {CHART} [aria-roledescription='rect mark']")
    assert "110 to 160 A" in drawn.first.get_attribute("aria-label")
    assert "Machinery's Handbook" in at.page.locator(".rows").first.text_content()
    at.legible()
    at.photograph(f"first-visit-{width}")
    at.enter("Current", "250")
    at.wait_for(".verdict.outside .word", "High by 90 A")
    at.wait_for(CHART, "yours: 250 A")
    assert at.page.locator(".cautions").is_visible()
    at.legible()
    at.accessible()
    at.photograph(f"too-high-{width}")


def test_what_is_refused_says_why_beside_its_field(visit):
    at = visit(390)
    open_situation(at)
    at.enter("Thickness", "thick")
    at.wait_for(".problem", "'thick' is not a number with a unit")
    at.wait_for(".empty", "No answer until that is mended")
    at.enter("Thickness", "10 ga")
    at.wait_for(".situation", "10 gauge thick")
    at.accessible()
    at.page.screenshot(path=ARTEFACTS / "situation-390.png")


def test_what_a_list_offers_may_be_typed(visit):
    at = visit()
    for field, typed, reads in (
        ("process", "gas tung", "For GTAW"),
        ("material", "A36", "A36"),
        ("electrode", "E9018-G", "E9018-G"),
    ):
        box = at.page.locator(f".st-key-{field} input")
        box.click()
        box.fill(typed)
        at.page.keyboard.press("Enter")
        at.wait_for(".situation", reads)


def test_each_example_gives_its_kind_of_answer(visit):
    at = visit()
    for example, look, word in (
        ("Wide bracket", "outside", "Low by 10 A"),
        ("Small bracket", "none", "No published range"),
        ("Ramp", "inside", "Inside"),
        ("Handrail post", "inside", "Inside"),
    ):
        at.page.get_by_role("button", name=example, exact=True).click()
        at.wait_for(f".verdict.{look} .word", word)
        at.wait_until_drawn()
        at.photograph(f"example-{example.lower().replace(' ', '-')}-1024")


def test_what_else_is_published_opens(visit):
    at = visit()
    before = at.page.locator(CHART).count()
    at.page.get_by_text("What else is published for this weld").click()
    at.page.wait_for_function(
        f"document.querySelectorAll({json.dumps(CHART)}).length > {before}", timeout=10_000
    )
    at.legible()


def test_on_paper_the_fields_are_gone_and_the_sources_open(visit):
    at = visit()
    at.page.emulate_media(media="print")
    assert not at.page.get_by_label("Current", exact=True).is_visible()
    assert at.page.locator(".verdict").is_visible()
    assert at.page.locator("details .rows").first.is_visible()
    ARTEFACTS.mkdir(exist_ok=True)
    at.page.pdf(path=ARTEFACTS / "printed.pdf", format="Letter")


def test_each_change_is_redrawn(visit):
    """Not a timing test: what it took goes to a file."""
    at = visit()
    took = []
    for current in range(131, 137):
        began = time.perf_counter()
        at.enter("Current", str(current))
        at.wait_for(CHART, f"yours: {current} A")
        took.append(round(1000 * (time.perf_counter() - began)))
    ARTEFACTS.mkdir(exist_ok=True)
    (ARTEFACTS / "redraw-ms.json").write_text(json.dumps(took))
