"""Draw one cell to read: what is asked, a field for what is printed, and the other answers."""

from __future__ import annotations

from functools import partial

import streamlit as st

from weldref.dashboard import widgets
from weldref.dashboard.markup import Markup, facts, tag, title
from weldref.data.reading_cells import Cell
from weldref.data.readings import NOT_PRINTED, Said, desk_file
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange.reading_desk import Sitting, record
from weldref.handouts.words import sentence

PROBLEM, AGAIN, PLACE, NOTE = "desk.problem", "desk.again", "desk.place", "desk.note"
MOST_VALUES = 12
VALUES = tuple(f"desk.value.{number}" for number in range(MOST_VALUES))
STATE = (PROBLEM, AGAIN, PLACE, NOTE, *VALUES)


def draw(
    store: Store, sitting: Sitting, cell: Cell, number: int, cells: int, before: str | None
) -> None:
    """Ask for a cell, `number` of `cells`; `before` is the row that was answered last."""
    with st.container(key="desk-cell", gap="small"):
        st.html(cell_html(cell, number, cells))
        with st.form("desk-form", border=False):
            with st.container(horizontal=True, gap="small", key="desk-values"):
                for asked, key in zip(cell.asked, VALUES, strict=False):
                    unit = f", {asked.unit}" if asked.unit else ""
                    st.text_input(
                        f"{sentence(asked.name)}{unit}", key=key, max_chars=60, width=220,
                        placeholder=f"as printed, or {NOT_PRINTED}",
                    )  # fmt: skip
            with st.container(horizontal=True, gap="small"):
                answer = partial(_answer, store, sitting, cell)
                st.form_submit_button(
                    "Save and next", type="primary", on_click=answer, args=("values",)
                )
                st.form_submit_button("Not there", on_click=answer, args=("not there",))
                st.form_submit_button("Other edition", on_click=answer, args=("other edition",))
                st.form_submit_button("Skip", on_click=_skip, args=(cell.row,))
                if before and before != cell.row:
                    st.form_submit_button("Back to the last one", on_click=_go_back, args=(before,))
            with (
                st.expander("Another place, or a note", expanded=not cell.place),
                st.container(horizontal=True, gap="small"),
            ):
                st.text_input(
                    "Place in your copy", key=PLACE, max_chars=200, width=300,
                    placeholder="Table 5.8",
                )  # fmt: skip
                st.text_input("Note", key=NOTE, max_chars=200, width=300)
        if problem := st.session_state.pop(PROBLEM, None):
            widgets.problem(problem)
        widgets.note(
            "Enter saves. Type a number as it is printed: 175, 0.035 or 1/8, with the unit if it "
            f"is another; {NOT_PRINTED} for one that is not printed. Every answer is kept as soon "
            "as it is given"
        )


def cell_html(cell: Cell, number: int, cells: int) -> Markup:
    """Show a cell; nothing of what was recalled.

    >>> cell = Cell("a", "windows", "a:001", "Table 2", (("process", "SMAW"),), "current", ())
    >>> print(cell_html(cell, 1, 9)[:59])
    <div class="asked-for"><h2>Current <span>cell 1 of 9</span>
    """
    rows = [("place", cell.place or "not noted: give it below"), *cell.conditions]
    if cell.kept_back:
        rows.append(("kept back", "a condition that names the answer"))
    listed = facts((sentence(label), value) for label, value in rows)
    heading = title(sentence(cell.title), f"cell {number} of {cells}")
    return tag("div", heading, listed, look="asked-for")


def _answer(store: Store, sitting: Sitting, cell: Cell, said: Said) -> None:
    """Write an answer down; the fields are emptied for the next cell when it is accepted."""
    state = st.session_state
    typed = {
        asked.column: state.get(key, "") for asked, key in zip(cell.asked, VALUES, strict=False)
    }
    try:
        record(
            store, desk_file(), sitting, cell, said, typed,
            place=state.get(PLACE, ""), note=state.get(NOTE, ""),
        )  # fmt: skip
    except InputError as error:
        state[PROBLEM] = str(error)
        return
    _clear()


def _skip(row: str) -> None:
    st.session_state["desk.skipped"].append(row)
    _clear()


def _go_back(row: str) -> None:
    _clear()
    st.session_state[AGAIN] = row


def _clear() -> None:
    st.session_state.pop(AGAIN, None)
    for key in (PLACE, NOTE, *VALUES):
        st.session_state[key] = ""
