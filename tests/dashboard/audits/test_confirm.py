"""A PDF on the audit page: compared value by value, corrected, saved, audited."""

from __future__ import annotations

import json

from tests.dashboard.apptest import press, ran, words
from tests.dashboard.audits.test_audits_page import drop, page  # noqa: F401
from tests.procedures.paper.documents import printed
from weldref.procedures.paper.reading import saved_reading


def confirm_all_but(at, left):
    """Confirm values as a click does, all but the last few."""
    readings = at.session_state["paper-readings"]
    ((key, reading),) = readings.items()
    still_open = [one.cell for one in reading.values() if not one.cell.confirmed]
    for cell in still_open[:-left]:
        reading = reading.confirm(cell.place)
    readings[key] = reading
    ran(at)


def accept(at, text=None):
    if text is not None:
        at.text_input(key="confirm-text").set_value(text)
    press(at, "Accept and next")


def test_nothing_is_audited_before_every_value_is_confirmed(page):  # noqa: F811
    drop(page, ("posts.pdf", printed(0)))
    assert "0 of 34 values confirmed" in words(page)
    assert "Findings of each document" not in words(page)
    title = page.text_input(key="confirm-text").value
    accept(page, "POSTS-99")
    assert title == "POSTS-11"
    assert "1 of 34 values confirmed" in words(page)
    confirm_all_but(page, 2)
    accept(page)
    assert "33 of 34 values confirmed" in words(page)
    accept(page)
    assert "Every value of posts.pdf is confirmed" in words(page)
    assert "POSTS-99 (posts.pdf)" in words(page)
    assert "not confirmed" not in words(page)


def test_it_can_be_audited_as_read_and_says_so(page):  # noqa: F811
    drop(page, ("posts.pdf", printed(0)))
    next(one for one in page.toggle if one.label.startswith("Audit now")).set_value(True).run()
    assert not page.exception
    assert "read by machine, not confirmed" in words(page)
    assert "Findings of each document" in words(page)


def test_a_saved_reading_is_gone_on_with(page):  # noqa: F811
    drop(page, ("posts.pdf", printed(0)))
    accept(page)
    press(page, "Later")
    accept(page)
    press(page, "Back to the last one")
    assert "1 of 34 values confirmed" in words(page)
    (reading,) = page.session_state["paper-readings"].values()
    saved = reading.as_json()
    assert saved_reading(saved) == reading
    assert json.loads(saved)["file"] == "posts.pdf"
    drop(page, ("posts-reading.json", saved))
    assert "1 of 34 values confirmed" in words(page)
