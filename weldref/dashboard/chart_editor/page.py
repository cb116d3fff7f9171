"""The page of the shop's own chart: conditions once, a grid to fill in, checks beside it."""

from __future__ import annotations

from functools import partial
from html import escape
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from weldref.dashboard import fragments
from weldref.dashboard.chart_editor import state
from weldref.dashboard.paper import fields
from weldref.dashboard.visitor import at_this_machine
from weldref.data import own
from weldref.data.config import config_files
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange import shop_chart
from weldref.exchange.shop_chart import Chart, Checked

CSS = """
.stHtml .checks { list-style: none; margin: .2rem 0 0; padding: 0; line-height: 1.4; }
.stHtml .checks li { margin: .4rem 0; padding: .1rem 0 .1rem .6rem; overflow-wrap: anywhere;
  border-left: 4px solid #7b8794; }
.stHtml .checks li.refused { border-left-color: #9a3412; }
.checks b { font-weight: 650; }
.checks .refused b { color: #8a2c0d; }
.st-key-chart-board { display: flex; flex-flow: row wrap; gap: 1rem 2rem; }
.st-key-chart-board > .st-key-chart-sheet, .st-key-chart-board > :has(> .st-key-chart-sheet) {
  flex: 3 1 46rem; min-width: 0; width: auto; }
.st-key-chart-board > .st-key-chart-checks, .st-key-chart-board > :has(> .st-key-chart-checks) {
  flex: 1 1 16rem; min-width: 0; width: auto; }
.st-key-chart-about, .st-key-chart-conditions { display: grid; gap: .6rem .8rem;
  grid-template-columns: repeat(auto-fill, minmax(min(10.6rem, 100%), 14.2rem)); align-items: end; }
.st-key-chart-about > *, .st-key-chart-about > * > *, .st-key-chart-conditions > *,
.st-key-chart-conditions > * > * { width: 100% !important; min-width: 0; }
.st-key-chart-how > :last-child { flex: 1 1 20rem; min-width: min(20rem, 100%); }
[class*="st-key-saved-"] { border-bottom: 1px solid #c3ccd3; padding-bottom: .3rem; }
[class*="st-key-saved-"] p { margin: 0; }
.stHtml .saved-name span { color: #4a5764; }
@media (max-width: 40rem) { .st-key-chart-about, .st-key-chart-conditions {
  grid-template-columns: 1fr 1fr; } }
@media print { [class*="st-key-chart-"] button, .st-key-chart-more { display: none !important; } }
"""
MOST_CHECKS = 12
NOT_BEGUN = (
    '<h2>Checks</h2><p class="note" role="status">Nothing is typed in yet. Each cell is checked '
    "as you type.</p>"
)
DRAFT = "\0draft"
"""Asked about in the place of a chart's name, which never holds such a character."""
OVER = "\0over"
"""Asked about where somebody saved a chart of this name meanwhile."""


def draw(store: Store) -> None:
    """Draw the page."""
    st.html(f"<style>{CSS}</style>")
    st.html(
        "<header><h1>What does our own chart say?</h1><p>Type in the chart from the machine's "
        "door. It is shown beside published rows, marked as your own.</p></header>"
    )
    # Asked anew: a store is kept by its content, and another folder may have held the same.
    named = own.chosen()
    folder = named.folder if named else None
    here = at_this_machine()
    state.begin(folder if here else None, st.session_state.get("units", "us"))
    # Always there, whatever is in them: a grid that moves to another place loses the focus.
    with st.container(key="chart-notes", gap="small"):
        _tell_where(folder, here=here)
    with st.container(key="chart-list", gap="small"):
        if folder:
            _draw_saved(store, folder, here=here)
    _draw_conditions(store)
    with st.container(key="chart-board"):
        with st.container(key="chart-sheet", gap="small"):
            _draw_grid(store)
        now = state.chart()
        found = shop_chart.checked(store, now)
        with st.container(key="chart-checks"):
            begun = now.name or now.rows or now.conditions
            st.html(checks(found) if begun else NOT_BEGUN)
    lost = state.keep_draft(folder if here else None, now)
    if lost:
        st.html(fragments.problem(lost))
    _draw_actions(store, folder, now, found, here=here)
    _draw_ways_in(store)


def _tell_where(folder: Path | None, *, here: bool) -> None:
    if folder and here:
        said = f"Charts are kept in {folder}, and what is not yet saved as a draft there"
        st.html(fragments.note(said))
    elif folder:
        said = (
            "You are not at the machine that runs this page: look, type and download a chart "
            "here; it is saved there"
        )
        st.html(fragments.note(said))
    elif here:
        config = config_files()[1]
        st.html(
            '<p class="note">There is no folder of own tables yet, so nothing can be saved. It '
            f"would be <b>{escape(str(config.parent / 'tables'))}</b>, named in "
            f"<b>{escape(str(config))}</b>; or start with <code>weldref dashboard --tables DIR"
            "</code> for another.</p>"
        )
        st.button("Make that folder", key="chart-make-folder", on_click=_make_folder)
    else:
        st.html(fragments.note("There is no folder of own tables here: download what you type"))
    for key, as_problem in (("chart-failed", True), ("chart-note", False)):
        if said := st.session_state.pop(key, ""):
            st.html(fragments.problem(said) if as_problem else fragments.note(said))


def _make_folder() -> None:
    try:
        folder = config_files()[1].parent / "tables"
        shop_chart.make_folder(folder)
        path = own.name_in_config("tables")
        st.session_state["chart-note"] = f"Made {folder}, and named it in {path}"
    except InputError as error:
        st.session_state["chart-failed"] = str(error)


def _draw_saved(store: Store, folder: Path, *, here: bool) -> None:
    try:
        names = shop_chart.names(folder)
    except InputError as error:
        st.html(fragments.problem(str(error)))
        return
    waiting = state.others(folder) if here else ()
    if not names and not waiting:
        return
    st.html("<h2>Saved charts</h2>" if names else "<h2>Drafts</h2>")
    for number, name in enumerate(names):
        with st.container(
            horizontal=True, gap="small", key=f"saved-{number}", vertical_alignment="center"
        ):
            st.html(f'<p class="saved-name">{escape(name)}</p>', width="stretch")
            if st.session_state.get("chart-asked") == name:
                st.button("Yes, remove it", key=f"saved-yes-{number}", on_click=_remove,
                          args=(folder, name))  # fmt: skip
                st.button("Keep it", key=f"saved-no-{number}", on_click=_ask, args=("",))
                continue
            st.button("Edit", key=f"saved-edit-{number}", on_click=_edit,
                      args=(store, folder, name), help=f"Edit {name}")  # fmt: skip
            if here:
                st.button("Remove", key=f"saved-ask-{number}", on_click=_ask, args=(name,),
                          help=f"Remove {name}")  # fmt: skip
    for draft in waiting:
        with st.container(
            horizontal=True, gap="small", key=f"saved-{draft.key}", vertical_alignment="center"
        ):
            called = draft.chart.name or "without a name"
            rows = len(draft.chart.rows)
            said = f"{escape(called)} <span>draft, {rows} row{'s' if rows != 1 else ''}</span>"
            st.html(f'<p class="saved-name">{said}</p>', width="stretch")
            st.button("Continue", key=f"go-on-{draft.key}", on_click=state.go_on, args=(draft,))
            st.button("Discard", key=f"drop-{draft.key}", on_click=state.discard,
                      args=(folder, draft.key))  # fmt: skip


def _ask(name: str) -> None:
    st.session_state["chart-asked"] = name


def _edit(store: Store, folder: Path, name: str) -> None:
    try:
        begun_from = shop_chart.version(folder, name)
        state.fill(shop_chart.load(store, folder, name), begun_from=begun_from)
    except InputError as error:
        st.session_state["chart-failed"] = str(error)


def _remove(folder: Path, name: str) -> None:
    try:
        shop_chart.remove(folder, name)
        st.session_state["chart-note"] = f"Removed {name}"
    except InputError as error:
        st.session_state["chart-failed"] = str(error)
    _ask("")


def _draw_conditions(store: Store) -> None:
    st.html("<h2>The chart <span>what holds for all of it is said once</span></h2>")
    with st.container(horizontal=True, gap="small", key="chart-about"):
        _line("name", "Name", "Booth 3, short arc")
        _line("date", "Date of the chart", "2026-11-28")
        _line("shop", "Shop or school", "our shop")
        _line("place", "Where it hangs", "door of machine 3")
    with st.container(horizontal=True, gap="small", key="chart-conditions"):
        for name in shop_chart.CONDITIONS:
            offered = fields.offered(store, name)
            st.selectbox(
                fields.TERMS[name],
                list(offered),
                index=None,
                key=f"chart-{name}",
                persist_state="session",
                format_func=lambda term, offered=offered: offered.get(term, term),
                accept_new_options=True,
                placeholder="not said",
                filter_mode="contains",
                on_change=partial(state.take_process, store) if name == "process" else None,
            )
    titles = {
        name: _capital(title) for name, title in shop_chart.titles_for(store, state.chart()).items()
    }
    with st.container(horizontal=True, gap="small", key="chart-how", vertical_alignment="bottom"):
        st.radio(
            "Numbers without a unit are in",
            ["us", "metric"],
            key="chart-units",
            persist_state="session",
            format_func=lambda units: {"us": "inch units", "metric": "metric units"}[units],
            horizontal=True,
            width="content",
        )
        st.multiselect(
            "Columns",
            list(titles),
            key="chart-columns",
            persist_state="session",
            format_func=lambda name: titles.get(name, name),
            placeholder="type or choose",
            on_change=state.take_columns,
            args=(titles,),
        )


def _line(name: str, label: str, hint: str) -> None:
    st.text_input(
        label,
        key=f"chart-{name}",
        persist_state="session",
        placeholder=hint,
        max_chars=state.LONGEST_LINE,
        autocomplete="off",
    )


def _draw_grid(store: Store) -> None:
    st.html(
        "<h2>Settings <span>a value, a range such as 110-150, or nothing; a block copied in a "
        "spreadsheet can be pasted into a cell</span></h2>"
    )
    now = state.chart()
    names = [column.name for column in now.columns]
    rows = state.base()
    heads = {
        column.name: _capital(shop_chart.heading(store, now, column)) for column in now.columns
    }
    frame = pd.DataFrame(
        [[row.get(name, "") for name in names] for row in rows], columns=names, dtype="str"
    )
    frame.index = pd.RangeIndex(1, len(frame) + 1)  # the checks count rows from 1
    typed = st.data_editor(
        frame,
        key=state.grid_key(),
        num_rows="dynamic",
        hide_index=False,
        column_config={
            name: st.column_config.TextColumn(head, max_chars=state.LONGEST_CELL, default="")
            for name, head in heads.items()
        },
        alt="Settings of the chart",
    )
    state.typed(typed.astype("object").where(typed.notna(), "").to_dict("records"))


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def checks(found: Checked) -> str:
    """Say what is wrong with the chart, cell by cell, and what is doubtful.

    >>> checks(Checked((), ()))[:24]
    '<h2>Checks</h2><p class='
    """
    settings = sum(len(line.settings) for line in found.lines)
    read = f"{len(found.lines)} row{_s(len(found.lines))}, {settings} setting{_s(settings)} read"
    items = "".join(
        f'<li class="{"refused" if one.refused else "doubtful"}">'
        f"<b>{escape(_capital(str(one).removesuffix(one.said)))}</b>"
        f"{escape(_capital(one.said))}{'' if one.said.endswith('?') else '.'}</li>"
        for one in found.problems[:MOST_CHECKS]
    )
    more = len(found.problems) - MOST_CHECKS
    left = f'<p class="note">And {more} more.</p>' if more > 0 else ""
    to_mend = len(found.refused)
    word = f"{to_mend} to correct" if to_mend else "nothing to correct"
    return (
        f'<h2>Checks</h2><p class="note" role="status">{read}; {word}.</p>'
        f'<ul class="checks">{items}</ul>{left}'
    )


def _s(count: int) -> str:
    return "" if count == 1 else "s"


def _draw_actions(
    store: Store, folder: Path | None, now: Chart, found: Checked, *, here: bool
) -> None:
    ready = bool(folder) and here and not found.refused
    for key in ("chart-save", "chart-over-yes"):
        if folder and ready and st.session_state.get(key):
            _save(store, folder, now, over=key == "chart-over-yes")
    with st.container(horizontal=True, gap="small", key="chart-actions"):
        if folder and here:
            if st.session_state.get("chart-asked") == OVER:
                st.button("Save over theirs", key="chart-over-yes", disabled=not ready,
                          help="What they saved is kept as a draft")  # fmt: skip
            st.button("Save the chart", type="primary", key="chart-save", disabled=not ready)
        st.download_button(
            "Download as one file",
            shop_chart.as_json(now),
            file_name=f"{_file_name(now)}.weldref.json",
            mime="application/json",
            key="chart-download",
            on_click="ignore",
        )
        if st.session_state.get("chart-asked") == DRAFT:
            st.button("Yes, discard it", key="chart-discard-yes", on_click=state.discard,
                      args=(folder if here else None,))  # fmt: skip
            st.button("Keep typing", key="chart-discard-no", on_click=_ask, args=("",))
        else:
            st.button("Discard draft", key="chart-discard", on_click=_ask, args=(DRAFT,))


def _file_name(now: Chart) -> str:
    try:
        return shop_chart.short_name(now.name)
    except InputError:
        return "chart"


def _save(store: Store, folder: Path, now: Chart, *, over: bool) -> None:
    try:
        with st.spinner("Saving"):
            state.save(store, folder, now, over=over)
    except InputError as error:
        st.html(fragments.problem(str(error)))
        _ask(OVER if isinstance(error, shop_chart.SavedMeanwhileError) else "")
        return
    _ask("")
    st.session_state["chart-note"] = (
        f"Saved {now.name}: Settings shows its values as your own, beside the published ones"
    )
    st.rerun()


def _draw_ways_in(store: Store) -> None:
    with st.expander("Paste a table with its headings, or open a file", key="chart-more"):
        st.text_area(
            "A table, its headings in the first line",
            key="chart-pasted",
            placeholder="Thickness\tWire size\tWFS (in/min)\tVolts",
            max_chars=100_000,
            height=140,
        )
        st.button("Use this table", key="chart-take", on_click=_take_pasted, args=(store,))
        sent = st.file_uploader(
            "A chart file, CSV or XLSX",
            key="chart-file",
            help="A file from Download, or from weldref new-table --chart.",
        )
        if sent is not None:
            st.button("Open the file", key="chart-open", on_click=_open,
                      args=(store, sent.getvalue(), sent.name))  # fmt: skip


def _take_pasted(store: Store) -> None:
    now = state.chart()
    about: Any = {
        "name": now.name, "day": now.date, "units": now.units, "conditions": now.conditions,
    }  # fmt: skip
    try:
        text = st.session_state["chart-pasted"] or ""
        pasted = shop_chart.parse_grid(store, text, **about)
        state.fill(pasted, note="The table is filled in", begun_from=state.begun_from())
        st.session_state["chart-pasted"] = ""
    except InputError as error:
        st.session_state["chart-failed"] = str(error)


def _open(store: Store, data: bytes, name: str) -> None:
    try:
        state.fill(shop_chart.read_bytes(store, data, name), note="The file is opened; save it")
    except InputError as error:
        st.session_state["chart-failed"] = str(error)
