"""The page of handouts, practice sheets, pages for phones, sources side by side, coverage."""

from __future__ import annotations

import streamlit as st

from weldref.dashboard import fragments, tables
from weldref.dashboard.paper import compare, coverage, handout, pocket, practice
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.handouts.output import check_tools

CSS = """
.map td { text-align: right; white-space: nowrap; }
.map td span { color: #4a5764; font-size: .85rem; }
.map .many span { color: #1f2933; }
.box:has(.map) { max-height: none; }
.map .none { color: #66737f; }
.map .few { background: #eff5f8; }
.map .some { background: #d5e6ef; }
.map .many { background: #a9cde0; }
.box .map tbody th { min-width: 15rem; }
.map tbody th, .map thead th:first-child { position: sticky; left: 0; background: #fff; }
.map thead th:first-child { z-index: 2; }
.map th span { color: #4a5764; }
.box .of-source { max-width: 22rem; min-width: 11rem; font-weight: 650; }
.sides tbody tr:first-child > * { border-top: 1px solid #66737f; }
.sides td { min-width: 7rem; }
.sides td:nth-last-child(4), .sides td:last-child { min-width: 12rem; }
.sides b { white-space: nowrap; }
.sides tr.recalled b { border: 1px dotted #1f2933; padding: 0 .3rem; }
.st-key-school-open .school { display: flex; align-items: center; gap: .8rem; padding: .4rem .6rem;
  border: 1px solid #c3ccd3; }
.school span:last-of-type { margin-left: auto; }
[class*="st-key-paper-pages"] img { border: 1px solid #c3ccd3; }
@media (max-width: 40rem) {
  .box .map tbody th { min-width: 5.5rem; }
  .map th span { display: none; }
  .box .of-source { min-width: 9rem; }
}
@media print {
  [data-testid="stTabs"] [role="tablist"], .st-key-handout-entries, .st-key-practice-entries,
  .st-key-pocket-entries, .st-key-compare-entries,
  .st-key-coverage-entries { display: none !important; }
}
"""
TABS = {
    "Handout": handout.draw,
    "Practice": practice.draw,
    "Phones": pocket.draw,
    "Compare sources": compare.draw,
    "Coverage": coverage.draw,
}


def draw(store: Store) -> None:
    """Draw the page; only the open tab is worked out."""
    st.html(f"<style>{tables.CSS}{CSS}</style>")
    st.html(
        "<header><h1>What does the class get on paper?</h1><p>Reference sheets and practice "
        "sheets from published ranges, each number with its source.</p></header>"
    )
    try:
        check_tools()
    except InputError as error:
        st.html(fragments.note(str(error)))
    for tab, draw_tab in zip(
        st.tabs(list(TABS), key="paper-tab", on_change="rerun"), TABS.values(), strict=True
    ):
        if tab.open:
            with tab:
                draw_tab(store)
