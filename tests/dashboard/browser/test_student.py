"""The student's job in a real browser: from the first click to a verdict and a link to it."""

from __future__ import annotations

import pytest

from tests.dashboard.browser.visits import ARTEFACTS, CHART, JOURNEYS, ON_A_PHONE, WIDTHS

pytestmark = pytest.mark.browser


POST = "?process=SMAW&material=carbon+steel&thickness=1/4+in&electrode=E7018&diameter=1/8+in"
TILES = ".tiles"
BENCH = ".st-key-bench summary"


def tap(at, *names):
    for name in names:
        at.wait_until_drawn()
        at.page.locator(".st-key-bench").get_by_text(name, exact=True).click()


def open_bench(at):
    at.wait_until_settled()  # it folds by itself, and that takes a moment
    if not at.page.locator(".st-key-material input").is_visible():
        at.page.locator(BENCH).click()
        at.page.locator(".st-key-material input").wait_for()
        at.wait_until_settled()


def open_bars(at, quantity):
    """Open the bars of a quantity, and wait for them."""
    at.wait_until_drawn()
    at.page.locator(f".st-key-dial-{quantity}").get_by_text("Bars and sources").click()
    at.page.locator(f".st-key-dial-{quantity} {CHART}").first.wait_for()
    at.wait_until_drawn()


@pytest.mark.parametrize("width", ON_A_PHONE)
def test_from_the_first_tap_to_a_link_that_opens_the_same(visit, width):
    at = visit(width)
    at.wait_for(".empty", "Tap a process, a metal and a thickness")
    at.photograph(f"first-visit-{width}")  # test_pages.py asks whether it is legible
    tap(at, "MIG (GMAW)", "mild steel", "1/8 in")
    at.wait_for(TILES, "235 in/min")
    at.wait_until_drawn()
    at.page.screenshot(path=ARTEFACTS / f"card-{width}.png")
    at.page.get_by_role("button", name="0.035 in").first.click()
    at.wait_for(TILES, "220 in/min")
    at.enter("Current", "500")
    at.wait_for(".verdict .asked", "Current 500 A")
    at.wait_for(TILES, "500 A")
    at.legible_at_each_width()
    at.accessible()
    at.photograph(f"student-{width}")

    shared = visit(width, at.page.url.removeprefix(f"{at.address}/"))
    for part in (BENCH, ".verdict >> nth=0", TILES):
        assert shared.page.locator(part).inner_text() == at.page.locator(part).inner_text()
    shared.holds("Current", "500 A")


def test_the_card_of_three_taps_fits_the_screen_of_a_phone(visit):
    at = visit(390)
    tap(at, "MIG (GMAW)", "mild steel", "1/8 in")
    at.wait_for(TILES, "235 in/min")
    at.wait_until_drawn()
    at.page.wait_for_function("!document.querySelector('.st-key-bench details').open")
    bar, card = (at.page.locator(part).bounding_box() for part in (".st-key-pages", TILES))
    ask = at.page.locator(".st-key-ask-card").bounding_box()
    assert 0 <= ask["y"] < card["y"]
    assert card["y"] + card["height"] <= bar["y"]


def test_the_card_stays_in_sight_while_values_are_changed(visit):
    at = visit(390, POST)
    at.page.get_by_label("Interpass temperature", exact=True).scroll_into_view_if_needed()
    at.enter("Interpass temperature", "300")
    at.wait_for(TILES, "300 °F")
    for width, height in WIDTHS.items():
        at.page.set_viewport_size({"width": width, "height": height})
        at.page.get_by_label("Interpass temperature", exact=True).scroll_into_view_if_needed()
        at.wait_until_settled()
        box = at.page.locator(".st-key-strip").bounding_box()
        assert box["y"] >= -1
        assert box["y"] + box["height"] <= height


@pytest.mark.parametrize("width", JOURNEYS)
def test_a_verdict_is_told_with_where_it_comes_from(visit, width):
    at = visit(width, f"{POST}&current=130+A")
    at.wait_for(".verdict.inside .word", "Inside")
    open_bars(at, "current")
    drawn = at.page.locator(f".st-key-dial-current {CHART} [aria-roledescription='rect mark']")
    assert "110 to 160 A" in drawn.first.get_attribute("aria-label")
    assert "Machinery's Handbook" in at.page.locator(".rows").first.text_content()
    at.enter("Current", "250")
    at.wait_for(".verdict.outside .word", "High by 90 A")
    at.wait_for(CHART, "yours: 250 A")
    assert at.page.locator(".cautions").is_visible()
    at.page.locator(".st-key-dial-current").get_by_text("By thickness").click()
    at.wait_for(".key", "between the bars nothing is published")
    at.wait_until_drawn()
    at.legible_at_each_width()
    at.accessible()
    at.photograph(f"too-high-{width}")


def test_what_is_refused_says_why_beside_its_field_and_does_not_stay(visit):
    at = visit(390, POST)
    open_bench(at)
    at.enter("Any other thickness", "thick")
    at.wait_for(".problem", "'thick' is not a number with a unit")
    at.holds("Any other thickness", "1/4 in")
    at.enter("Any other thickness", "10 ga")
    at.wait_for(BENCH, "10 gauge")
    at.accessible()


def test_in_a_list_escape_keeps_and_enter_takes_what_it_shows(visit):
    at = visit(1024, "?process=GMAW&material=mild+steel")
    box = at.page.locator(".st-key-material input")
    keys = at.page.keyboard
    for typed, key, reads, problem in (
        ("alum", "Escape", "mild steel", None),
        ("alumin", "Enter", "aluminium", None),
        ("a36", "Enter", "A36", None),
        ("wool", "Enter", "A36", "'wool' is not known"),
    ):
        open_bench(at)
        box.click()
        keys.type(typed)
        at.page.get_by_role("option").first.wait_for()
        keys.press(key)
        at.wait_for(BENCH, reads)
        if problem:
            at.wait_for(".problem", problem)


def test_the_browser_goes_back_and_forward(visit):
    at = visit()
    tap(at, "TIG (GTAW)", "aluminium")
    at.wait_for(BENCH, "TIG (GTAW), aluminium")
    at.wait_until_drawn()
    at.page.go_back()
    at.page.wait_for_function(f"!document.querySelector('{BENCH}').innerText.includes('aluminium')")
    at.wait_until_drawn()
    at.page.go_forward()
    at.wait_for(BENCH, "TIG (GTAW), aluminium")


def test_each_example_gives_its_kind_of_answer(visit):
    at = visit()
    for example, look, word in (
        ("Wide bracket", "asks", "Depends"),
        ("Small bracket", "none", "No published range"),
        ("Ramp", "inside", "Inside"),
        ("Handrail post", "inside", "Inside"),
    ):
        at.page.get_by_role("button", name=example, exact=True).click()
        at.wait_for(f".verdict.{look} .word", word)
        at.wait_until_drawn()
        at.legible()
        at.photograph(f"example-{example.lower().replace(' ', '-')}-1024")


def test_spanish_and_large_text_by_one_switch_each(visit):
    at = visit(1024, POST)
    at.page.get_by_role("button", name="View").click()
    at.page.get_by_text("large, to project").click()
    at.page.wait_for_function("getComputedStyle(document.documentElement).fontSize === '22px'")
    at.page.get_by_text("Español").click()
    at.wait_for(BENCH, "En el banco")
    at.wait_until_drawn()
    at.page.keyboard.press("Escape")
    at.legible()
    at.photograph("spanish-large-1024")


def test_on_paper_the_fields_are_gone_and_the_card_stays(visit):
    at = visit(1024, f"{POST}&current=130+A")
    at.page.get_by_text("What else is published for this weld").click()
    at.wait_until_drawn()
    at.legible()
    at.page.emulate_media(media="print")
    assert not at.page.get_by_label("Current", exact=True).is_visible()
    assert at.page.locator(".verdict").is_visible()
    assert at.page.locator(".tiles").is_visible()
    ARTEFACTS.mkdir(exist_ok=True)
    at.page.pdf(path=ARTEFACTS / "printed.pdf", format="Letter")
