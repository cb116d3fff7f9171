"""The page of the tables: one at a time, with a search, and SQL for anyone who wants more."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st

from weldref.dashboard import visit, widgets
from weldref.dashboard.explorer import sql_box
from weldref.dashboard.explorer.sheet import rows_table
from weldref.dashboard.markup import Markup, aside, p, tag
from weldref.dashboard.said import spaced
from weldref.data import browse, catalogue
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.grades import FULL, SHORT

PAGE = "explorer"
ON_A_PAGE = 20
MOST_ELSEWHERE = 12
TABLE, TEXT, GRADES, FIRST = (f"{PAGE}.{n}" for n in ("table", "text", "grades", "first"))
GRADE_LABELS = SHORT | {"read": FULL["read"], browse.NO_GRADE: "no grade of its own"}


def draw(store: Store) -> None:
    """Draw the page."""
    widgets.begin(
        __file__,
        "What is in the tables?",
        "Every row as printed, with its document, its place there and how it was read.",
    )
    _draw_table(store, _read_address(store))
    sql_box.draw()


# The tables follow from the store: what is kept by its digest cannot go stale.
@lru_cache(maxsize=4)
def _summaries(_digest: str) -> dict[str, catalogue.TableSummary]:
    return {one.name: one for one in catalogue.tables()}


def _read_address(store: Store) -> str:
    """Take table and text from the address, once for each address; say what is wrong with it."""
    asked = visit.new_address(PAGE)
    table = asked.get("table") if asked else None
    if asked and table in _summaries(store.digest):
        st.session_state[TEXT] = asked.get("text", "")[: sql_box.LONGEST_WORDS]
        _open(table)
    elif table is not None:
        return f"table: '{table[:60]}' in the address is not known; pick one below"
    return ""


def _draw_table(store: Store, problem: str) -> None:
    known = _summaries(store.digest)
    with st.container(key="pick", gap="small"):
        labels = {name: f"{spaced(name)}: {one.description}" for name, one in known.items()}
        table: str = widgets.one_of(
            "Table", labels, TABLE, on_change=_to_start, args=(True,), filter_mode="contains"
        )
        if problem:
            widgets.problem(problem)
        text = widgets.line(
            "Words in any column or in the name of the document", TEXT, "E7018 vertical",
            longest=sql_box.LONGEST_WORDS, width="stretch", autocomplete="off",
            on_change=_to_start,
        ).strip()  # fmt: skip
        wanted = _choose_grades(store, table)
    visit.write_address(PAGE, {"table": table} | ({"text": text} if text else {}))
    try:
        found = browse.find(store, table, text, wanted, st.session_state.get(FIRST, 0), ON_A_PAGE)
    except InputError as error:
        widgets.problem(error)
        return
    st.html(_told(known[table], found.total, bool(text or wanted)))
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
        "Evidence", list(offered), selection_mode="multi", key=GRADES, persist_state="session",
        format_func=lambda grade: GRADE_LABELS[grade], on_change=_to_start,
    )  # fmt: skip
    return [grade for grade in chosen or [] if grade in offered]


def _told(summary: catalogue.TableSummary, total: int, filtered: bool) -> Markup:
    """Say what a row of the table is, and how many there are and fit."""
    counts = {"read": summary.read, "quoted": summary.secondary, "from memory": summary.memory}
    graded = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    about = f"{summary.rows} rows" + (f": {graded}" if graded else "; they carry no grade")
    fits = f"{total} fit." if total else "No row fits: nothing of the kind is in this table."
    found = [" ", tag("b", fits)] if filtered else []
    return p("told", f"{summary.description} ", tag("span", f"{about}."), *found)


def _draw_elsewhere(store: Store, table: str, text: str) -> None:
    try:
        held = browse.tables_with(store, text)
    except InputError:
        return  # the message is on the page already
    others = sorted((name for name in held if name != table), key=lambda name: -held[name])
    if not others:
        return
    with st.container(key="elsewhere", horizontal=True, gap="small", vertical_alignment="center"):
        st.html(p("told", "The same words are also in"), width="content")
        for name in others[:MOST_ELSEWHERE]:
            label, key = f"{spaced(name)} ({held[name]})", f"{PAGE}.to.{name}"
            st.button(label, key=key, on_click=_open, args=(name,))
        if len(others) > MOST_ELSEWHERE:
            more = f"and {len(others) - MOST_ELSEWHERE} more tables"
            st.html(p("told", more), width="content")


def _draw_rows(store: Store, table: str, found: browse.Rows) -> None:
    first = int(st.session_state.get(FIRST, 0))
    last = first + len(found.rows)
    caption = f"Rows {first + 1} to {last} of {found.total} of {spaced(table)}"
    drawn, empty = rows_table(caption, found.columns, found.rows, browse.documents(store))
    st.html(drawn)
    if empty:
        names = ", ".join(map(spaced, empty))
        st.html(aside(f"{len(empty)} columns are empty in these rows", tag("p", names)))
    if found.total <= ON_A_PAGE:
        return
    with st.container(key="turning", horizontal=True, gap="small", vertical_alignment="center"):
        st.button("Before", key=f"{PAGE}.before", disabled=not first, on_click=_turn, args=(-1,))
        st.html(p("told", caption), width="content")
        end = last >= found.total
        st.button("Next", key=f"{PAGE}.next", disabled=end, on_click=_turn, args=(1,))


def _draw_downloads(store: Store, table: str, text: str, wanted: list[str], total: int) -> None:
    with st.container(key="downloads", horizontal=True, gap="small", vertical_alignment="center"):
        st.html(p("told", "Download:"), width="content")
        _offer(store, table, "the whole table", "", [])
        if (text or wanted) and total:
            _offer(store, table, f"what fits ({total})", text, wanted)
    about = (
        "In a CSV file a text that a spreadsheet would run as a formula gets an apostrophe in "
        "front; a Parquet file holds every value unchanged."
    )
    st.html(p("told", tag("span", about)))


def _offer(store: Store, table: str, what: str, text: str, wanted: list[str]) -> None:
    """Offer rows in both formats; a file is made only when it is asked for."""
    part = "-part" if text or wanted else ""

    def as_csv() -> bytes:
        found = browse.find(store, table, text, wanted)
        return browse.csv_bytes(found.columns, found.rows)

    def as_parquet() -> bytes:
        return browse.parquet_bytes(store, table, text, wanted)

    for form, make, mime in (
        ("CSV", as_csv, "text/csv"),
        ("Parquet", as_parquet, "application/vnd.apache.parquet"),
    ):
        name = f"weldref-{table}{part}.{form.lower()}"
        widgets.download(f"{form}, {what}", make, name, f"{PAGE}.{form}{part}", mime=mime)


def _open(table: str) -> None:
    st.session_state[TABLE] = table
    _to_start(True)


def _to_start(new_table: bool = False) -> None:
    st.session_state[FIRST] = 0
    if new_table:
        st.session_state[GRADES] = []


def _turn(pages: int) -> None:
    first = int(st.session_state.get(FIRST, 0)) + pages * ON_A_PAGE
    st.session_state[FIRST] = max(first, 0)
