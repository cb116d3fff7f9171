"""Choose and make a page for students' phones."""

from __future__ import annotations

from typing import Any

import streamlit as st

from weldref.dashboard import fragments
from weldref.dashboard.paper import fields
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.handouts.pocket import pocket_page

TAB = "pocket"
NAMES = ("process", "material", "thickness", "electrode", "diameter", "polarity", "gas")
START = {"process": ["GMAW"], "material": ["carbon steel"], "thickness": ["1/8", "1/4"]}


def draw(store: Store) -> None:
    """Draw the tab."""
    with st.container(key=f"{TAB}-entries", gap="small"):
        st.html(
            "<h2>One file for the class's phones "
            "<span>it needs no network, and judges a typed value as Settings does</span></h2>"
        )
        with st.container(horizontal=True, gap="small"):
            said = {name: fields.several(store, TAB, name, START.get(name)) for name in NAMES}
        with st.container(horizontal=True, gap="medium"):
            units = fields.radio(TAB, "units", "Bare sizes", {"us": "inch", "metric": "metric"})
            language = fields.language(TAB)
        title = fields.line(TAB, "title", "Title", "Settings for the class")
    asked: dict[str, Any] = {"units": units, "language": language, "title": title}
    if st.button("Make the page", key=f"{TAB}-make", type="primary"):
        with st.spinner("Working out what is said of every value"):
            try:
                made = (repr((said, asked)), pocket_page(store, said, **asked), "")
            except InputError as error:
                made = (repr((said, asked)), b"", str(error).removeprefix("--"))
        st.session_state[f"{TAB}-made"] = made
    of, page, problem = st.session_state.get(f"{TAB}-made", ("", b"", ""))
    if of != repr((said, asked)):
        return
    if problem:
        st.html(fragments.problem(problem))
        return
    st.download_button(
        f"The page: HTML, {len(page) / 1000:.0f} kB", page, file_name="class.html",
        key=f"{TAB}-file", on_click="ignore",
    )  # fmt: skip
