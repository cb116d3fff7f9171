"""The page of handouts, practice sheets, pages for phones, sources side by side, coverage."""

from __future__ import annotations

import streamlit as st

from weldref.dashboard import widgets
from weldref.dashboard.paper import compare, coverage, handout, pocket, practice
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.handouts.output import check_tools

TABS = {
    "Handout": handout.draw,
    "Practice": practice.draw,
    "Phones": pocket.draw,
    "Compare sources": compare.draw,
    "Coverage": coverage.draw,
}


def draw(store: Store) -> None:
    """Draw the page; only the open tab is worked out."""
    widgets.begin(
        __file__,
        "What does the class get on paper?",
        "Reference sheets and practice sheets from published ranges, each number with its source.",
    )
    try:
        check_tools()
    except InputError as error:
        widgets.note(str(error))
    drawn = st.tabs(list(TABS), key="paper-tab", on_change="rerun")
    for tab, draw_tab in zip(drawn, TABS.values(), strict=True):
        if tab.open:
            with tab:
                draw_tab(store)
