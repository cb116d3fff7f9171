"""A reader at the desk, by keyboard alone, who closes the browser in the middle."""

from __future__ import annotations

import os

import pytest

from tests.dashboard.browser.visits import Visit
from tests.dashboard.server import running_dashboard

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    home = tmp_path_factory.mktemp("desk")
    with running_dashboard({"WELDREF_READINGS": os.fspath(home / "readings.jsonl")}) as running:
        yield running


def sit_down(at, reader):
    keys = at.page.keyboard
    at.tab_to("Document in your hands")
    keys.type("Bridge Welding Code")
    keys.press("Enter")
    for text in (reader, "2015", "paper"):
        keys.press("Tab")
        keys.type(text)
    keys.press("Enter")
    at.wait_for(".far", "of 64 cells answered")
    at.wait_until_drawn()


def test_by_keyboard_alone_and_closed_in_the_middle(desk, browser, context):
    at = Visit(browser, desk, 1024, "reading-desk", context)
    keys = at.page.keyboard
    sit_down(at, "ab")
    at.page.get_by_label("minimum").first.focus()
    keys.type("50")
    keys.press("Enter")
    at.wait_for(".far", "1 of 64")
    at.wait_until_drawn()
    # The next cell is typed where the last one was, without a mouse.
    keys.type("zzz")
    keys.press("Enter")
    at.wait_for(".problem", "'zzz' is not one number")
    # What a reader answers must not be told to be right or wrong.
    assert at.page.locator(".own").count() == 0
    at.close()
    at = Visit(browser, desk, 390, "reading-desk", context)
    sit_down(at, "ab")
    at.wait_for(".far", "1 of 64")
    at.legible()
    at.accessible()
    name, content = at.download("Download all readings")
    assert name == "readings.jsonl"
    assert content.count(b"\n") == 2
    at.close()
