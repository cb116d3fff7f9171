"""The instructor's own chart in a real browser: typed cell by cell, then beside published rows."""

from __future__ import annotations

from contextlib import suppress
from functools import partial
from time import monotonic

import pytest

from tests.dashboard.browser.visits import Visit
from tests.dashboard.server import running_dashboard
from tests.effort import ALL
from weldref.exchange.shop_chart import drafts, make_folder, names

pytestmark = pytest.mark.browser

INVENTED = (
    ("1/8", ".035", "230-250", "18"),
    ("3/16", ".035", "270-290", "19.5"),
    ("1/4", ".045", "240-260", "20.5"),
    ("3/8", ".045", "280-300", "22"),
)
"""Thickness, wire, wire feed speed and voltage of the class that builds handrails."""
ROWS = INVENTED if ALL else INVENTED[:2]
READ = f"{len(ROWS)} rows, {2 * len(ROWS)} settings read; nothing to correct"
ROW_HEIGHT = 35
OPEN_CELL = "#portal textarea"


def rows_kept(place, number):
    charts = [draft.chart for draft in drafts.drafts(place)[:1]]
    return [tuple(row.values()) for chart in charts for row in chart.rows][number : number + 1]


def conditions_kept(place):
    return [said for draft in drafts.drafts(place)[:1] for said in draft.chart.conditions.values()]


def kept_in_time(at, held, most=1.5):
    """Wait until the draft holds what was typed: no word of the page may tell."""
    until = monotonic() + most
    while not held() and monotonic() < until:
        at.page.wait_for_timeout(50)
    at.wait_until_drawn()
    return held()


def type_rows(at, rows, place):
    """Type into the grid as a person does: a cell, Tab to the next; again what was not taken."""
    at.wait_until_drawn()
    grid = at.page.locator("[data-testid=stDataFrame] canvas").first
    grid.scroll_into_view_if_needed()
    box = grid.bounding_box()
    for number, cells in enumerate(rows):
        for _ in range(6):
            point_at(at, box["x"] + 150, box["y"] + (number + 1.5) * ROW_HEIGHT)
            if type_row(at, cells, partial(rows_kept, place, number)):
                break
            at.page.keyboard.press("Escape")
        else:
            raise AssertionError(f"row {number + 1} is not taken: {rows_kept(place, number)}")


def point_at(at, x, y):
    # The grid takes a click where it has seen the pointer rest.
    at.page.mouse.move(x, y)
    at.page.wait_for_timeout(300)
    at.page.mouse.down()
    at.page.mouse.up()
    at.page.wait_for_timeout(300)


def type_row(at, cells, kept):
    """Type cell by cell, as slowly as the page keeps them; False once one is not kept."""
    from playwright.sync_api import TimeoutError as Late

    for number, text in enumerate(cells, 1):
        # The first key opens the cell, which takes a moment on a busy machine.
        at.page.keyboard.type(text[0])
        with suppress(Late):
            at.page.locator(OPEN_CELL).wait_for(timeout=1000)
        at.page.keyboard.type(text[1:], delay=20)
        at.page.keyboard.press("Tab")
        typed = [cells[:number]]
        if not kept_in_time(at, lambda typed=typed: kept() == typed):
            return False
    return True


@pytest.mark.parametrize("width", [1024, 390] if ALL else [1024])
def test_a_chart_is_typed_in_and_stands_beside_what_is_published(browser, context, tmp_path, width):
    place = tmp_path / "own"
    make_folder(place)
    with running_dashboard({"WELDREF_TABLES": str(place)}) as server:
        at = Visit(browser, server, width, "our-chart", context)
        at.wait_for(".st-key-chart-checks", "Nothing is typed in yet")
        at.legible()
        at.enter("Name", "Footbridge class")
        for label, part, whole, said in (
            ("Process", "gas metal", "GMAW (mig): gas metal arc welding", "GMAW"),
            ("Metal", "carbon st", "carbon steel", "carbon steel"),
            ("Transfer mode", "short", "short-circuiting transfer", "short-circuiting"),
        ):
            at.wait_until_drawn()
            at.choose(label, part, whole)
            assert kept_in_time(at, lambda said=said: said in conditions_kept(place)), (
                whole,
                conditions_kept(place),
            )
        if width == 1024:
            type_rows(at, ROWS, place)
        else:  # a phone has no Tab key: the table comes from the clipboard
            at.page.get_by_text("Paste a table with its headings").click()
            table = "\n".join("\t".join(row) for row in ROWS)
            area = at.page.get_by_label("A table, its headings in the first line")
            area.fill(f"Thickness\tWire size\tWFS (in/min)\tVolts\n{table}")
            area.blur()
            at.wait_until_drawn()
            at.page.get_by_role("button", name="Use this table").click()
        at.wait_for(".st-key-chart-checks", READ)
        at.legible_at_each_width()
        at.accessible()
        at.photograph(f"our-chart-{width}")

        # Nothing is lost when the browser closes in the middle.
        at.close()
        at = Visit(browser, server, width, "our-chart", context)
        at.wait_for(".st-key-chart-checks", READ)
        at.page.get_by_role("button", name="Save the chart").click()
        at.page.locator(".note").filter(has_text="Saved Footbridge class").wait_for(timeout=60_000)
        assert names(place) == ("Footbridge class",)
        at.close()

        bench = "?process=GMAW&material=carbon+steel&transfer_mode=short-circuiting"
        at = Visit(browser, server, width, f"{bench}&thickness=1/8+in&diameter=0.035+in"
                   "&wire_feed_speed=240+in/min&voltage=19+V", context)  # fmt: skip
        feed = at.page.locator(".st-key-dial-wire_feed_speed")
        assert "our chart, Footbridge class" in feed.text_content()
        assert "Own rows, not published, say: inside" in feed.text_content()
        volts = at.page.locator(".st-key-dial-voltage")
        assert "our chart, Footbridge class" in volts.text_content()
        at.photograph(f"our-chart-beside-{width}")
        at.close()
