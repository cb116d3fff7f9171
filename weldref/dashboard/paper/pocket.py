"""Choose and make a page for students' phones."""

from __future__ import annotations

from typing import Any

import streamlit as st

from weldref.dashboard import widgets
from weldref.dashboard.markup import title
from weldref.dashboard.paper import sheets
from weldref.data.store import Store
from weldref.handouts.pocket import pocket_page

TAB = "pocket"
NAMES = ("process", "material", "thickness", "electrode", "diameter", "polarity", "gas")
START = {"process": ["GMAW"], "material": ["carbon steel"], "thickness": ["1/8", "1/4"]}


def draw(store: Store) -> None:
    """Draw the tab."""
    with st.container(key=f"{TAB}-entries", gap="small"):
        about = "it needs no network, and judges a typed value as Settings does"
        st.html(title("One file for the class's phones", about))
        with st.container(horizontal=True, gap="small"):
            said = {name: widgets.several(store, TAB, name, START.get(name)) for name in NAMES}
        asked: dict[str, Any] = {}
        with st.container(horizontal=True, gap="medium"):
            units = {"us": "inch", "metric": "metric"}
            asked["units"] = sheets.radio(TAB, "units", "Bare sizes", units)
            asked["language"] = widgets.language(TAB)
        asked["title"] = widgets.line("Title", f"{TAB}-title", "Settings for the class")
    page = sheets.made(
        TAB, repr((said, asked)), "Make the page", lambda: pocket_page(store, said, **asked),
        "Working out what is said of every value", changed="",
    )  # fmt: skip
    if page:
        label = f"The page: HTML, {len(page) / 1000:.0f} kB"
        widgets.download(label, page, "class.html", f"{TAB}-file")
