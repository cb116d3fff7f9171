"""The page of the tables: one at a time, with a search, and SQL for anyone who wants more."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import streamlit as st

from weldref.dashboard import fragments, kept
from weldref.dashboard.explorer import sql_box
from weldref.dashboard.explorer.sheet import rows_table
from weldref.dashboard.explorer.style import CSS
from weldref.data import browse, catalogue
from weldref.data.store import Store
from weldref.errors import InputError

PAGE = "explorer"
ON_A_PAGE = 20
MOST_ELSEWHERE = 12
TABLE, TEXT, GRADES, FIRST = "table", "text", "grades", "first"
KEYS = tuple(f"{PAGE}.{name}" for name in (TABLE, TEXT, GRADES)) + sql_box.KEYS
GRADE_LABELS = {
    "read": "read in the source",
    "secondary": "quoted",
    "memory": "from memory",
    browse.NO_GRADE: "no grade of its own",
}


def draw(store: Store) -> None:
    """Draw the page."""
    st.html(f"<style>{CSS}</style>")
    kept.bring_back(PAGE, KEYS)
    st.html(
        "<header><h1>What is in the tables?</h1><p>Every row as printed, with its "
        "document, its place there and how it was read.</p></header>"
    )
    problems = _read_address(store)
    _draw_table(store, problems)
    sql_box.draw()
    kept.keep(PAGE, KEYS)


# The tables follow from the store: what is kept by its digest cannot go stale.
@lru_cache(maxsize=4)
def _summaries(_digest: str) -> dict[str, catalogue.TableSummary]:
    return {one.name: one for one in catalogue.tables()}


def _read_address(store: Store) -> list[str]:
    """Take table and text from the address, once for each address."""
    asked = st.query_params.to_dict()
    if asked == st.session_state.get(f"{PAGE}.address", {}):
        return []
    st.session_state[f"{PAGE}.address"] = asked
    problems = []
    table = asked.get(TABLE)
    if table is not None:
        if table in _summaries(store.digest):
            st.session_state[_key(TABLE)] = table
            st.session_state[_key(GRADES)] = []
            st.session_state[_key(FIRST)] = 0
            st.session_state[_key(TEXT)] = asked.get(TEXT, "")[: sql_box.LONGEST_WORDS]
        else:
            problems.append(f"table: '{table[:60]}' in the address is not known; pick one below")
    return problems


def _write_address(table: str, text: str) -> None:
    wanted = {TABLE: table} | ({TEXT: text} if text else {})
    if st.query_params.to_dict() != wanted:
        st.query_params.from_dict(wanted)
    st.session_state[f"{PAGE}.address"] = wanted


def _draw_table(store: Store, problems: list[str]) -> None:
    known = _summaries(store.digest)
    with st.container(key="pick", gap="small"):
        table = st.selectbox(
            "Table",
            list(known),
            key=_key(TABLE),
            format_func=lambda name: f"{name.replace('_', ' ')}: {known[name].description}",
            on_change=_to_start,
            args=(True,),
            filter_mode="contains",
        )
        for problem in problems:
            st.html(fragments.problem(problem))
        text = st.text_input(
            "Words in any column or in the name of the document",
            key=_key(TEXT),
            placeholder="E7018 vertical",
            max_chars=sql_box.LONGEST_WORDS,
            autocomplete="off",
            on_change=_to_start,
        ).strip()
        wanted = _choose_grades(store, table)
    _write_address(table, text)
    try:
        found = browse.find(
            store, table, text, wanted, st.session_state.get(_key(FIRST), 0), ON_A_PAGE
        )
    except InputError as error:
        st.html(fragments.problem(str(error)))
        return
    summary = known[table]
    st.html(f'<p class="told">{_told(summary, found.total, bool(text or wanted))}</p>')
    if text:
        _draw_elsewhere(store, table, text)
    if found.rows:
        _draw_rows(store, table, found)
    _draw_downloads(store, table, text, wanted, found.total)


def _choose_grades(store: Store, table: str) -> list[str]:
    offered = browse.grades(store, table)
    if len(offered) < 2:
        return []
    chosen = st.pills(
        "Evidence",
        list(offered),
        selection_mode="multi",
        key=_key(GRADES),
        format_func=lambda grade: GRADE_LABELS[grade],
        on_change=_to_start,
    )
    return [grade for grade in chosen or [] if grade in offered]


def _told(summary: catalogue.TableSummary, total: int, filtered: bool) -> str:
    """Say what a row of the table is, and how many there are and fit."""
    counts = {"read": summary.read, "quoted": summary.secondary, "from memory": summary.memory}
    graded = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    about = f"{summary.rows} rows" + (f": {graded}" if graded else "; they carry no grade")
    fits = f" <b>{total} fit.</b>" if filtered else ""
    if filtered and not total:
        fits = " <b>No row fits: nothing of the kind is in this table.</b>"
    return f"{summary.description} <span>{about}.</span>{fits}"


def _draw_elsewhere(store: Store, table: str, text: str) -> None:
    try:
        held = browse.tables_with(store, text)
    except InputError:
        return  # told already
    others = sorted((name for name in held if name != table), key=lambda name: -held[name])
    if not others:
        return
    with st.container(key="elsewhere", horizontal=True, gap="small", vertical_alignment="center"):
        st.html('<p class="told">The same words are also in</p>', width="content")
        for name in others[:MOST_ELSEWHERE]:
            st.button(
                f"{name.replace('_', ' ')} ({held[name]})",
                key=f"{PAGE}.to.{name}",
                on_click=_open,
                args=(name,),
            )
        if len(others) > MOST_ELSEWHERE:
            more = len(others) - MOST_ELSEWHERE
            st.html(f'<p class="told">and {more} more tables</p>', width="content")


def _draw_rows(store: Store, table: str, found: browse.Rows) -> None:
    first = int(st.session_state.get(_key(FIRST), 0))
    last = first + len(found.rows)
    caption = f"Rows {first + 1} to {last} of {found.total} of {table.replace('_', ' ')}"
    drawn, empty = rows_table(caption, found.columns, found.rows, browse.documents(store))
    st.html(drawn)
    if empty:
        names = ", ".join(name.replace("_", " ") for name in empty)
        st.html(fragments.aside(f"{len(empty)} columns are empty in these rows", f"<p>{names}</p>"))
    if found.total <= ON_A_PAGE:
        return
    with st.container(key="turning", horizontal=True, gap="small", vertical_alignment="center"):
        st.button("Before", key=f"{PAGE}.before", disabled=not first, on_click=_turn, args=(-1,))
        st.html(f'<p class="told">{caption}</p>', width="content")
        st.button(
            "Next", key=f"{PAGE}.next", disabled=last >= found.total, on_click=_turn, args=(1,)
        )


def _draw_downloads(store: Store, table: str, text: str, wanted: list[str], total: int) -> None:
    with st.container(key="downloads", horizontal=True, gap="small", vertical_alignment="center"):
        st.html('<p class="told">Download:</p>', width="content")
        _offer(store, table, "the whole table", "", [])
        if (text or wanted) and total:
            _offer(store, table, f"what fits ({total})", text, wanted)
    st.html(
        '<p class="told"><span>In a CSV file a text that a spreadsheet would run as a formula '
        "gets an apostrophe in front; a Parquet file holds every value unchanged.</span></p>"
    )


def _offer(store: Store, table: str, what: str, text: str, wanted: list[str]) -> None:
    """Offer rows in both formats; a file is made only when it is asked for."""
    part = "-part" if text or wanted else ""

    def as_csv() -> bytes:
        found = browse.find(store, table, text, wanted)
        return browse.csv_bytes(found.columns, found.rows)

    def as_parquet() -> bytes:
        return browse.parquet_bytes(store, table, text, wanted)

    files: dict[str, Any] = {"CSV": as_csv, "Parquet": as_parquet}
    for form, make in files.items():
        st.download_button(
            f"{form}, {what}",
            data=make,
            file_name=f"weldref-{table}{part}.{form.lower()}",
            mime="text/csv" if form == "CSV" else "application/vnd.apache.parquet",
            key=f"{PAGE}.{form}{part}",
            on_click="ignore",
        )


def _key(name: str) -> str:
    return f"{PAGE}.{name}"


def _open(table: str) -> None:
    st.session_state[_key(TABLE)] = table
    _to_start(True)


def _to_start(new_table: bool = False) -> None:
    st.session_state[_key(FIRST)] = 0
    if new_table:
        st.session_state[_key(GRADES)] = []


def _turn(pages: int) -> None:
    first = int(st.session_state.get(_key(FIRST), 0)) + pages * ON_A_PAGE
    st.session_state[_key(FIRST)] = max(first, 0)
