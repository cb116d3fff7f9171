"""The page: the situation on the left, the answer on the right. It asks, and draws what it gets.

Streamlit runs `main` again for each change of an entry.
"""

from __future__ import annotations

import streamlit as st

from weldref.cautions import cautions_for
from weldref.checks import NOT_APPROVAL
from weldref.dashboard import fragments, style
from weldref.dashboard.answer import draw_answer
from weldref.dashboard.form import (
    draw_examples,
    draw_situation,
    draw_values,
    fill_first_visit,
    read_entries,
)
from weldref.errors import WeldrefError
from weldref.store import DATASET_VERSION, open_store


def main() -> None:
    """Draw the page."""
    st.set_page_config(page_title="weldref: published welding ranges", layout="wide")
    st.html(f"<style>{style.CSS}</style>")
    try:
        store = open_store()
    except WeldrefError as error:
        st.html(fragments.problem(str(error)))
        return
    fill_first_visit()
    entries = read_entries(store)
    with st.sidebar:
        draw_situation(store, entries)
    st.html(
        "<header><h1>Is this setting inside what is published?</h1>"
        "<p>Published welding ranges, each with its source. Nothing is averaged or guessed.</p>"
        '<p class="turn">Situation, at the top left, opens process, metal, thickness and more.</p>'
        "</header>"
    )
    draw_examples()
    with st.container(key="values-block", gap="small"):
        draw_values(store, entries)
    with st.container(key="board"):
        with st.container(key="answer"):
            draw_answer(store, entries)
        if entries.situation is not None:
            with st.container(key="cautions"):
                st.html(fragments.cautions(cautions_for(store, entries.situation), NOT_APPROVAL))
    st.html(f'<p class="foot">weldref, tables {DATASET_VERSION}, {store.digest[:12]}</p>')
