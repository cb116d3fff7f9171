"""The page of the reading desk: choose a document, say who reads, go from cell to cell."""

from __future__ import annotations

from functools import lru_cache
from html import escape

import streamlit as st

from weldref.dashboard import fragments, kept, tables
from weldref.dashboard.reading_desk import cell_form, summary
from weldref.dashboard.visit_cache import per_visit
from weldref.data.reading_cells import Cell
from weldref.data.readings import Reading, Readings, desk_file, read_file
from weldref.data.store import Store, open_store
from weldref.errors import InputError
from weldref.exchange import reading_desk
from weldref.exchange.reading_desk import NO_EDITION, Sitting, Waiting

PAGE = "desk"
SITTING, SKIPPED = f"{PAGE}.sitting", f"{PAGE}.skipped"
SOURCE, READER, EDITION, COPY = (f"{PAGE}.{n}" for n in ("source", "reader", "edition", "copy"))
KEYS = (SOURCE, READER, EDITION, COPY)

CSS = """
.st-key-desk-entries { max-width: 56rem; }
.stHtml .who { margin: 0; overflow-wrap: anywhere; }
.stHtml .far { margin: .2rem 0 .4rem; color: #38444f; }
.stHtml .far progress { width: min(24rem, 100%); height: .7rem; accent-color: #1d4f6b;
  display: block; margin-top: .25rem; }
.st-key-desk-cell { max-width: 56rem; border-top: 2px solid #1d4f6b; padding-top: .7rem; }
.stHtml .asked-for h2 { font-size: 1.2rem; overflow-wrap: anywhere; }
.stHtml .asked-for dl { display: grid; grid-template-columns: max-content 1fr; gap: .15rem 1rem;
  margin: .4rem 0 0; padding: 0; }
.stHtml .asked-for dt { color: #4a5764; font-weight: 400; margin: 0; }
.stHtml .asked-for dd { margin: 0; font-weight: 600; overflow-wrap: anywhere; }
.stHtml .asked-for dl > * { padding: 0; margin: 0; }
"""


def draw(_store: Store) -> None:
    """Draw the page. What is read is asked of the published tables alone."""
    st.html(f"<style>{tables.CSS}{CSS}</style>")
    st.html(
        "<header><h1>Read a document, cell by cell</h1><p>Many rows were recalled from memory "
        "and decide nothing until somebody finds them in print. Type what is printed; what was "
        "recalled is shown when you have answered every cell.</p></header>"
    )
    store = open_store()
    try:
        readings = read_file(desk_file())
    except InputError as error:
        st.html(fragments.problem(str(error)))
        return
    if readings.note:
        st.html(fragments.note(readings.note))
    sitting: Sitting | None = st.session_state.get(SITTING)
    if sitting is None:
        _choose(store, readings)
    else:
        _read(store, sitting, readings.found)
        st.button("Another document or reader", key="desk-leave", on_click=_leave)
    if readings.found:
        summary.offer(desk_file())


def _choose(store: Store, readings: Readings) -> None:
    """Ask for the document, the reader and the copy."""
    kept.bring_back(PAGE, KEYS)
    waiting = per_visit(
        "desk-documents",
        (store.digest, len(readings.found)),
        lambda: {one.source_id: one for one in reading_desk.documents(store, readings.found)},
    )
    with st.container(key="desk-entries"), st.form("desk-sit-down", border=False):
        source = st.selectbox(
            "Document in your hands",
            list(waiting),
            key=SOURCE,
            format_func=lambda key: _named(waiting[key]),
            help="The most useful to read come first.",
        )
        with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
            reader = st.text_input(
                "Your initials or role", key=READER, max_chars=12, placeholder="ab", width=200
            )
            edition = st.text_input(
                "Edition or year printed on the copy", key=EDITION, max_chars=80,
                placeholder=f"2012, or: {NO_EDITION}", width=300,
            )  # fmt: skip
            copy = st.text_input(
                "What you read", key=COPY, max_chars=200,
                placeholder="paper, scan, or an address", width=300,
            )  # fmt: skip
        wanted = st.form_submit_button("Start reading", type="primary")
    kept.keep(PAGE, KEYS)
    if not wanted:
        return
    try:
        sitting = reading_desk.sit_down(store, source, reader, edition, copy)
    except InputError as error:
        st.html(fragments.problem(str(error)))
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
    """Ask for the next cell, or show what came of all."""
    cells = _cells(store, sitting.source_id)
    left = reading_desk.left(cells, readings, sitting.reader)
    _head(store, sitting, len(cells), len(left))
    if not left:
        summary.draw(store, sitting, readings)
        return
    skipped: list[str] = st.session_state[SKIPPED]
    waiting = [cell for cell in left if cell.row not in skipped]
    if not waiting:
        st.html(f'<p class="note">The cells that are left ({len(left)}) you have skipped.</p>')
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
    document = escape(_document(store, sitting.source_id))
    about = f"read by {sitting.reader}, edition {sitting.edition}, {sitting.copy}"
    st.html(
        f'<p class="who"><b>{document}</b><br>{escape(about[0].upper() + about[1:])}</p>'
        f'<p class="far" role="status">{cells - left} of {cells} cells answered'
        f'<progress max="{cells}" value="{cells - left}" aria-label="cells answered"></progress>'
        "</p>"
    )


def _leave() -> None:
    for name in (SITTING, SKIPPED, *cell_form.STATE):
        st.session_state.pop(name, None)


@lru_cache(maxsize=4)
def _names(store: Store) -> dict[str, str]:
    from weldref.data.catalogue import document_names

    return document_names(store)


def _document(store: Store, source_id: str) -> str:
    return _names(store)[source_id]
