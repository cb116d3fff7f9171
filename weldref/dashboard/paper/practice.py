"""Choose and make practice sheets with planted mistakes, and their key."""

from __future__ import annotations

from typing import Any

import streamlit as st

from weldref.dashboard.paper import fields, sheets
from weldref.dashboard.visit_cache import per_visit
from weldref.data.store import Store
from weldref.handouts.output import check_tools
from weldref.handouts.practice import LEVELS, MOST_SHEETS, practice_documents

TAB = "practice"


def draw(_store: Store) -> None:
    """Draw the tab."""
    with st.container(key=f"{TAB}-entries", gap="small"):
        st.html(
            "<h2>Job tickets, some with one mistake "
            "<span>every setting on them is invented and marked so</span></h2>"
        )
        with st.container(horizontal=True, gap="medium"):
            level = fields.radio(
                TAB, "level", "Level", {name: name.replace("-", " ") for name in LEVELS}
            )
            paper = fields.radio(TAB, "paper", "Paper", fields.PAPERS)
            language = fields.radio(TAB, "language", "Language", fields.LANGUAGES)
        with st.container(horizontal=True, gap="small"):
            sheets_wanted = st.number_input(
                "Different sheets", 1, MOST_SHEETS, 1, key=f"{TAB}-sheets",
                persist_state="session", width=fields.NARROW,
            )  # fmt: skip
            seed = st.number_input(
                "Seed", 0, 999_999, 1, key=f"{TAB}-seed", persist_state="session",
                width=fields.NARROW, help="The same seed draws the same sheets again.",
            )  # fmt: skip
            title = fields.line(TAB, "title", "Title", "Practice sheet")
    asked: dict[str, Any] = {
        "seed": int(seed),
        "sheets": int(sheets_wanted),
        "level": level,
        "language": language,
        "paper": paper,
        "title": title,
    }

    def make() -> sheets.Documents:
        check_tools()
        return practice_documents(**asked)

    key = repr(asked)
    documents = sheets.made(TAB, key, "Make the practice sheets", make)
    if documents is None:
        return
    sheet, answers = documents
    pdf, pdf_of_key = per_visit(
        "practice-pdf", key, lambda: (sheets.draw(sheet, ".pdf"), sheets.draw(answers, ".pdf"))
    )
    pages, images = per_visit("practice-pages", key, lambda: sheets.pictures(pdf))
    sheets.offer(TAB, "practice", "Sheets", sheet, pdf)
    sheets.offer(TAB, "practice.key", "Key", answers, pdf_of_key)
    sheets.show(TAB, pages, images)
    with st.expander("The key", key=f"{TAB}-key-open"):
        pages, images = per_visit("practice-key-pages", key, lambda: sheets.pictures(pdf_of_key))
        sheets.show(f"{TAB}-key", pages, images)
