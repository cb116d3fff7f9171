"""The page of the reading desk: choose a document, say who reads, go from cell to cell."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import streamlit as st

from weldref.dashboard import tables, widgets
from weldref.dashboard.markup import p, progress, tag, title
from weldref.dashboard.reading_desk import cell_form
from weldref.dashboard.visit import per_visit
from weldref.data.catalogue import document_names
from weldref.data.judge_readings import KINDS
from weldref.data.reading_cells import Cell
from weldref.data.readings import Reading, Readings, content_of, desk_file, read_file
from weldref.data.store import Store, open_store
from weldref.errors import InputError
from weldref.exchange import reading_desk
from weldref.exchange.reading_desk import NO_EDITION, Sitting, Waiting, answered
from weldref.exchange.readings_text import counted_text, kind_text, read_text

PAGE = "desk"
SITTING, SKIPPED = f"{PAGE}.sitting", f"{PAGE}.skipped"


def draw(_store: Store) -> None:
    """Draw the page. What is read is asked of the published tables alone."""
    widgets.begin(
        __file__,
        "Read a document, cell by cell",
        "Many rows were recalled from memory and decide nothing until somebody finds them in "
        "print. Type what is printed; what was recalled is shown when you have answered every "
        "cell.",
    )
    store = open_store()
    try:
        readings = read_file(desk_file())
    except InputError as error:
        widgets.problem(error)
        return
    if readings.note:
        widgets.note(readings.note)
    sitting: Sitting | None = st.session_state.get(SITTING)
    if sitting is None:
        _choose(store, readings)
    else:
        _read(store, sitting, readings.found)
        st.button("Another document or reader", key="desk-leave", on_click=_leave)
    if readings.found:
        _offer(desk_file())


def _choose(store: Store, readings: Readings) -> None:
    waiting = per_visit(
        "desk-documents",
        (store.digest, len(readings.found)),
        lambda: {one.source_id: one for one in reading_desk.documents(store, readings.found)},
    )
    with st.container(key="desk-entries"), st.form("desk-sit-down", border=False):
        names = {key: _named(one) for key, one in waiting.items()}
        useful = "The most useful to read come first."
        source: str = widgets.one_of("Document in your hands", names, f"{PAGE}.source", help=useful)
        with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
            reader = widgets.line(
                "Your initials or role", f"{PAGE}.reader", "ab", longest=12, width=200
            )
            edition = widgets.line(
                "Edition or year printed on the copy", f"{PAGE}.edition",
                f"2012, or: {NO_EDITION}", longest=80,
            )  # fmt: skip
            copy = widgets.line(
                "What you read", f"{PAGE}.copy", "paper, scan, or an address", longest=200
            )
        wanted = st.form_submit_button("Start reading", type="primary")
    if not wanted:
        return
    try:
        sitting = reading_desk.sit_down(store, source, reader, edition, copy)
    except InputError as error:
        widgets.problem(error)
        return
    st.session_state[SITTING] = sitting
    st.session_state[SKIPPED] = []
    st.rerun()


def _named(one: Waiting) -> str:
    read = f", {one.once} read" if one.once else ""
    return f"{one.document} ({one.cells} cells{read})"


# A store holds one content of the tables for good: what is kept by store cannot go stale.
@lru_cache(maxsize=16)
def _cells(store: Store, source_id: str) -> tuple[Cell, ...]:
    return reading_desk.queue(store, source_id)


def _read(store: Store, sitting: Sitting, readings: tuple[Reading, ...]) -> None:
    """Ask for the next cell, or show the result of all."""
    cells = _cells(store, sitting.source_id)
    left = reading_desk.left(cells, readings, sitting.reader)
    _head(store, sitting, len(cells), len(left))
    if not left:
        _draw_summary(store, sitting, readings)
        return
    skipped: list[str] = st.session_state[SKIPPED]
    waiting = [cell for cell in left if cell.row not in skipped]
    if not waiting:
        widgets.note(f"The cells that are left ({len(left)}) you have skipped")
        st.button("Ask for them again", key="desk-again", on_click=skipped.clear, type="primary")
        return
    before = [one for one in readings if one.by == sitting.reader.casefold()]
    last = next((one for one in reversed(before) if one.source == sitting.source_id), None)
    again = st.session_state.get(cell_form.AGAIN)
    cell = next((one for one in cells if one.row == again), waiting[0])
    cell_form.draw(
        store, sitting, cell, cells.index(cell) + 1, len(cells), last.row if last else None
    )


def _head(store: Store, sitting: Sitting, cells: int, left: int) -> None:
    document = tag("b", document_names(store)[sitting.source_id])
    about = f"Read by {sitting.reader}, edition {sitting.edition}, {sitting.copy}"
    done = cells - left
    bar = progress(f"{done} of {cells} cells answered", done, cells, "cells answered")
    st.html(p("who", document, tag("br"), about) + bar)


def _leave() -> None:
    for name in (SITTING, SKIPPED, *cell_form.STATE):
        st.session_state.pop(name, None)


def _draw_summary(store: Store, sitting: Sitting, readings: tuple[Reading, ...]) -> None:
    """Show what was read beside what was recalled, differences first."""
    found = answered(store, sitting.source_id, readings, sitting.reader)
    st.html(title("All cells are answered", counted_text(found)))
    order = sorted(KINDS, key=lambda kind: kind == "agrees")
    rows = sorted(found, key=lambda one: order.index(one.kind))
    st.html(
        tables.of(
            "What you read, beside what was recalled",
            rows,
            {
                "Cell": lambda one: one.cell.words,
                "What came of it": lambda one: kind_text(one.kind),
                "Read": read_text,
                "Recalled": lambda one: one.recalled_words,
            },
        )
    )


def _offer(file: Path) -> None:
    """Offer the file, to send it to the project."""
    try:
        content = content_of(file)
    except InputError as error:
        widgets.problem(error)
        return
    label, mime = "Download all readings", "application/jsonl"
    widgets.download(label, content, "readings.jsonl", "desk-download", mime=mime)
    widgets.note(
        "Send the file to the project. To let the readings count on this machine, set "
        f"WELDREF_READINGS to {file}, or name it in weldref.toml"
    )
