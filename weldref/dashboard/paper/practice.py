"""Choose and make practice sheets with planted mistakes, their key and a reference sheet."""

from __future__ import annotations

from typing import Any

import streamlit as st

from weldref.dashboard import widgets
from weldref.dashboard.markup import title
from weldref.dashboard.paper import sheets
from weldref.dashboard.visit import per_visit
from weldref.data.store import Store
from weldref.handouts.output import check_tools
from weldref.handouts.practice import key_document, reference_document, sheet_document
from weldref.handouts.practice_draw import LEVELS, LONGEST_SEED, MOST_SHEETS, TOPICS, practice
from weldref.handouts.practice_qti import qti_package

TAB = "practice"
SEED_HELP = (
    "The key names the seed from which its sheets can be drawn again. Without one the sheets are "
    "drawn by chance. The sheets carry a code that does not give the seed away."
)


def draw(store: Store) -> None:
    """Draw the tab."""
    with st.container(key=f"{TAB}-entries", gap="small"):
        about = "every setting on them is invented and marked so"
        st.html(title("Job tickets, some with one mistake", about))
        asked: dict[str, Any] = {}
        with st.container(horizontal=True, gap="medium"):
            levels = {name: name.replace("-", " ") for name in LEVELS}
            asked["level"] = sheets.radio(TAB, "level", "Level", levels)
            asked["paper"] = sheets.radio(TAB, "paper", "Paper", widgets.PAPERS)
            asked["language"] = widgets.language(TAB)
        with st.container(horizontal=True, gap="small"):
            asked["process"] = widgets.several(store, TAB, "process")
            asked["metal"] = widgets.several(store, TAB, "material")
            asked["topic"] = widgets.several_of(
                "Topics", list(TOPICS), f"{TAB}-topic",
                placeholder="those of the level", width=widgets.WIDE,
            )  # fmt: skip
        with st.container(horizontal=True, gap="small"):
            asked["sheets"] = int(
                st.number_input(
                    "Different sheets", 1, MOST_SHEETS, 1, key=f"{TAB}-sheets",
                    persist_state="session", width=widgets.NARROW,
                )
            )  # fmt: skip
            asked["title"] = widgets.line("Title", f"{TAB}-title", "Practice sheet")
            asked["seed"] = widgets.line(
                "Seed of a key", f"{TAB}-seed", "by chance", longest=LONGEST_SEED, help=SEED_HELP
            )

    def make() -> sheets.Documents:
        check_tools()
        drawn = practice(**asked)
        # Where the seed is drawn by chance the next press draws other sheets.
        st.session_state[f"{TAB}-drawn"] = (drawn.seed, qti_package(drawn))
        return sheet_document(drawn), key_document(drawn), reference_document(drawn)

    documents = sheets.made(TAB, repr(asked), "Make the practice sheets", make)
    if documents is None:
        return
    sheet, answers, reference = documents
    drawn_seed, package = st.session_state[f"{TAB}-drawn"]
    key = repr((asked, drawn_seed))
    pdf, pdf_of_key, pdf_of_rows = per_visit(
        "practice-pdf", key, lambda: [sheets.draw(one, ".pdf") for one in documents]
    )
    pages, images = per_visit("practice-pages", key, lambda: sheets.pictures(pdf))
    sheets.offer(TAB, "practice", "Sheets", sheet, pdf)
    sheets.offer(TAB, "practice.key", "Key", answers, pdf_of_key)
    sheets.offer(TAB, "practice.reference", "Reference", reference, pdf_of_rows)
    label = "Learning platform: QTI with answers"
    widgets.download(label, package, "practice.zip", f"{TAB}-qti")
    sheets.show(TAB, pages, images)
    with st.expander("The key", key=f"{TAB}-key-open"):
        pages, images = per_visit("practice-key-pages", key, lambda: sheets.pictures(pdf_of_key))
        sheets.show(f"{TAB}-key", pages, images)
