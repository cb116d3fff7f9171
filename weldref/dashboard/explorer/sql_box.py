"""Let a reader ask in SQL; another process answers and can do no harm."""

from __future__ import annotations

import streamlit as st

from weldref.dashboard import widgets
from weldref.dashboard.explorer.sheet import rows_table
from weldref.dashboard.markup import p
from weldref.data import browse
from weldref.data import query as queries
from weldref.errors import InputError

LONGEST_WORDS = 200
LONGEST_SQL = 10_000
SHOWN = 100
SQL = "explorer.sql"
ANSWER = "explorer.sql-answer"

EXAMPLES = {
    "Currents for 1/8 in electrodes": (
        "SELECT filler_class, position, min, max, unit, how_read, source_id, locator\n"
        "FROM windows\n"
        "WHERE quantity = 'current' AND electrode_size = '1/8 in'\n"
        "ORDER BY filler_class, how_read"
    ),
    "Which sources have most rows": (
        "SELECT name, count(*) AS rows\n"
        "FROM windows JOIN documents USING (source_id)\n"
        "GROUP BY name ORDER BY rows DESC"
    ),
    "Every table and its columns": (
        "SELECT table_name, column_name, data_type\n"
        "FROM duckdb_columns() JOIN table_list ON name = table_name\n"
        "ORDER BY table_name, column_index"
    ),
}


def draw() -> None:
    """Draw the box, its examples, its limits and the last answer."""
    box = st.expander("Ask in SQL", key="explorer.sql-box", expanded=ANSWER in st.session_state)
    with box:
        about = (
            "One SELECT; the tables can be read and nothing can be changed. It may take "
            f"{queries.SECONDS} s and {queries.MEMORY_MB} MB, and gives {queries.MOST_ROWS} rows "
            "at most. How to name a table: as above, with _ for a blank."
        )
        st.html(p("told", about))
        with st.container(key="sql-examples", horizontal=True, gap="small"):
            for number, (label, sql) in enumerate(EXAMPLES.items()):
                st.button(label, key=f"explorer.sql-{number}", on_click=_fill, args=(sql,))
        with st.form("explorer.sql-form", border=False):
            sql = st.text_area(
                "SQL", key=SQL, height=150, max_chars=LONGEST_SQL, placeholder="SELECT ...",
                persist_state="session",
            )  # fmt: skip
            asked = st.form_submit_button("Run")
        if asked:
            st.session_state[ANSWER] = _answer(sql or "")
        if ANSWER in st.session_state:
            _draw_answer(st.session_state[ANSWER])


def _fill(sql: str) -> None:
    st.session_state[SQL] = sql
    st.session_state[ANSWER] = _answer(sql)


def _answer(sql: str) -> queries.Answer | str:
    if not sql.strip():
        return "query: it is empty; give one SELECT"
    try:
        return queries.run_query(sql)
    except InputError as error:
        return str(error)


def _draw_answer(answer: queries.Answer | str) -> None:
    if isinstance(answer, str):
        widgets.problem(answer)
        return
    count = len(answer.rows)
    said = f"{count} rows" if count != 1 else "1 row"
    if answer.cut:
        said = f"The first {count} rows; there are more"
    if count > SHOWN:
        said += f". {SHOWN} are shown, the file holds all {count}"
    st.html(p("told", f"{said}.", role="status"))
    if answer.rows:
        drawn, _ = rows_table("Answer to the query", answer.columns, answer.rows[:SHOWN])
        st.html(drawn)
    widgets.download(
        "CSV, this answer", lambda: browse.csv_bytes(answer.columns, answer.rows),
        "weldref-query.csv", "explorer.sql-csv", mime="text/csv",
    )  # fmt: skip
