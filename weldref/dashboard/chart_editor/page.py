"""The page of the shop's own chart: conditions once, a grid to fill in, checks beside it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from weldref.dashboard import widgets
from weldref.dashboard.chart_editor import state
from weldref.dashboard.markup import Markup, joined, note, p, tag, title
from weldref.dashboard.said import many
from weldref.dashboard.visit import at_this_machine, units
from weldref.data import own
from weldref.data.config import config_files
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange import shop_chart
from weldref.exchange.shop_chart import Chart, Checked
from weldref.handouts.words import sentence

MOST_CHECKS = 12
NOT_BEGUN = "Nothing is typed in yet. Each cell is checked as you type."
DRAFT = "\0draft"
"""Asked about in the place of a chart's name, which never holds such a character."""
OVER = "\0over"
"""Asked about where somebody else has saved a chart of this name since."""


def draw(store: Store) -> None:
    """Draw the page."""
    widgets.begin(
        __file__,
        "What does our own chart say?",
        "Type in the chart from the machine's door. It is shown beside published rows, marked as "
        "your own.",
    )
    # Asked on each run: a store is kept by its content, and another folder may have held the same.
    named = own.chosen()
    folder = named.folder if named else None
    here = at_this_machine()
    writable = folder if here else None
    state.begin(writable, units())
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
            st.html(checks(found) if begun else _headed(NOT_BEGUN))
    if lost := state.keep_draft(writable, now):
        widgets.problem(lost)
    _draw_actions(store, writable, now, found)
    _draw_ways_in(store)


def _tell_where(folder: Path | None, *, here: bool) -> None:
    if folder and here:
        widgets.note(f"Charts are kept in {folder}, and what is not yet saved as a draft there")
    elif folder:
        widgets.note(
            "You are not at the machine that runs this page: look, type and download a chart "
            "here; it is saved there"
        )
    elif here:
        config = config_files()[1]
        st.html(
            p(
                "note",
                "There is no folder of own tables yet, so nothing can be saved. It would be ",
                *(tag("b", config.parent / "tables"), ", named in ", tag("b", config)),
                "; or start with ",
                tag("code", "weldref dashboard --tables DIR"),
                " for another.",
            )
        )
        st.button("Make that folder", key="chart-make-folder", on_click=_make_folder)
    else:
        widgets.note("There is no folder of own tables here: download what you type")
    for key, tell in (("chart-failed", widgets.problem), ("chart-note", widgets.note)):
        if said := st.session_state.pop(key, ""):
            tell(said)


@contextmanager
def _or_told() -> Iterator[None]:
    """Let the next run of the page say why something was refused."""
    try:
        yield
    except InputError as error:
        st.session_state["chart-failed"] = str(error)


def _make_folder() -> None:
    with _or_told():
        folder = config_files()[1].parent / "tables"
        shop_chart.make_folder(folder)
        path = own.name_in_config("tables")
        st.session_state["chart-note"] = f"Made {folder}, and named it in {path}"


def _draw_saved(store: Store, folder: Path, *, here: bool) -> None:
    try:
        names = shop_chart.names(folder)
    except InputError as error:
        widgets.problem(error)
        return
    waiting = state.others(folder) if here else ()
    if not names and not waiting:
        return
    st.html(title("Saved charts" if names else "Drafts"))
    for number, name in enumerate(names):
        with _saved(str(number), name):
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
        called, rows = draft.chart.name or "without a name", len(draft.chart.rows)
        with _saved(draft.key, f"{called} ", tag("span", f"draft, {many(rows, 'row')}")):
            st.button("Continue", key=f"go-on-{draft.key}", on_click=state.go_on, args=(draft,))
            st.button("Discard", key=f"drop-{draft.key}", on_click=state.discard,
                      args=(folder, draft.key))  # fmt: skip


@contextmanager
def _saved(key: str, *about: object) -> Iterator[None]:
    """Draw a chart or draft of the list, with what can be done with it."""
    with st.container(
        horizontal=True, gap="small", key=f"saved-{key}", vertical_alignment="center"
    ):
        st.html(p("saved-name", *about), width="stretch")
        yield


def _ask(name: str) -> None:
    st.session_state["chart-asked"] = name


def _edit(store: Store, folder: Path, name: str) -> None:
    with _or_told():
        begun_from = shop_chart.version(folder, name)
        state.fill(shop_chart.load(store, folder, name), begun_from=begun_from)


def _remove(folder: Path, name: str) -> None:
    with _or_told():
        shop_chart.remove(folder, name)
        st.session_state["chart-note"] = f"Removed {name}"
    _ask("")


def _draw_conditions(store: Store) -> None:
    st.html(title("The chart", "what holds for all of it is said once"))
    with st.container(horizontal=True, gap="small", key="chart-about"):
        _line("name", "Name", "Booth 3, short arc")
        _line("date", "Date of the chart", "2026-11-28")
        _line("shop", "Shop or school", "our shop")
        _line("place", "Where it hangs", "door of machine 3")
    with st.container(horizontal=True, gap="small", key="chart-conditions"):
        for name in shop_chart.CONDITIONS:
            widgets.one_of(
                widgets.TERMS[name], widgets.offered(store, name), f"chart-{name}", index=None,
                accept_new_options=True, placeholder="not said", filter_mode="contains",
                on_change=partial(state.take_process, store) if name == "process" else None,
            )  # fmt: skip
    titles = {
        name: sentence(text) for name, text in shop_chart.titles_for(store, state.chart()).items()
    }
    with st.container(horizontal=True, gap="small", key="chart-how", vertical_alignment="bottom"):
        systems = {"us": "inch units", "metric": "metric units"}
        widgets.radio("Numbers without a unit are in", systems, "chart-units", width="content")
        widgets.several_of(
            "Columns", titles, "chart-columns", placeholder="type or choose",
            on_change=state.take_columns, args=(titles,),
        )  # fmt: skip


def _line(name: str, label: str, hint: str) -> None:
    widgets.line(
        label, f"chart-{name}", hint, longest=state.LONGEST_LINE, width="stretch",
        autocomplete="off",
    )  # fmt: skip


def _draw_grid(store: Store) -> None:
    about = (
        "a value, a range such as 110-150, or nothing; a block copied in a spreadsheet can be "
        "pasted into a cell"
    )
    st.html(title("Settings", about))
    now = state.chart()
    names = [column.name for column in now.columns]
    rows = state.base()
    heads = {
        column.name: sentence(shop_chart.heading(store, now, column)) for column in now.columns
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


def checks(found: Checked) -> Markup:
    """Say what is wrong with the chart, cell by cell, and what is doubtful.

    >>> checks(Checked((), ()))[:24]
    Markup('<h2>Checks</h2><p class=')
    """
    settings = sum(len(line.settings) for line in found.lines)
    read = f"{many(len(found.lines), 'row')}, {many(settings, 'setting')} read"
    items = (
        tag(
            "li",
            tag("b", sentence(str(one).removesuffix(one.said))),
            f"{sentence(one.said)}{'' if one.said.endswith('?') else '.'}",
            look="refused" if one.refused else "doubtful",
        )
        for one in found.problems[:MOST_CHECKS]
    )
    more = len(found.problems) - MOST_CHECKS
    left = [note(f"And {more} more")] if more > 0 else []
    word = f"{len(found.refused) or 'nothing'} to correct"
    return joined([_headed(f"{read}; {word}."), tag("ul", *items, look="checks"), *left])


def _headed(said: str) -> Markup:
    return title("Checks") + p("note", said, role="status")


def _draw_actions(store: Store, folder: Path | None, now: Chart, found: Checked) -> None:
    wrong = bool(found.refused)
    for key in ("chart-save", "chart-over-yes"):
        if folder and not wrong and st.session_state.get(key):
            _save(store, folder, now, over=key == "chart-over-yes")
    with st.container(horizontal=True, gap="small", key="chart-actions"):
        if folder:
            if st.session_state.get("chart-asked") == OVER:
                st.button("Save over theirs", key="chart-over-yes", disabled=wrong,
                          help="What they saved is kept as a draft")  # fmt: skip
            st.button("Save the chart", type="primary", key="chart-save", disabled=wrong)
        file, mime = f"{_file_name(now)}.weldref.json", "application/json"
        data = shop_chart.as_json(now)
        widgets.download("Download as one file", data, file, "chart-download", mime=mime)
        if st.session_state.get("chart-asked") == DRAFT:
            st.button("Yes, discard it", key="chart-discard-yes", on_click=state.discard,
                      args=(folder,))  # fmt: skip
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
        widgets.problem(error)
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
    with _or_told():
        text = st.session_state["chart-pasted"] or ""
        pasted = shop_chart.parse_grid(store, text, **about)
        state.fill(pasted, note="The table is filled in", begun_from=state.sheet().begun_from)
        st.session_state["chart-pasted"] = ""


def _open(store: Store, data: bytes, name: str) -> None:
    with _or_told():
        state.fill(shop_chart.read_bytes(store, data, name), note="The file is opened; save it")
