"""Frame every page: the menu, the common style, and the version at the foot.

Streamlit runs `main` again for each change of an entry.
"""

from __future__ import annotations

from functools import partial
from importlib import import_module

import streamlit as st

from weldref.dashboard import fragments, visit, widgets
from weldref.dashboard.markup import p
from weldref.dashboard.settings.address import read_address
from weldref.data.folder import DATASET_VERSION
from weldref.data.store import Store, described, local_readings, open_tables
from weldref.errors import WeldrefError

PAGES = {
    "settings": "Settings",
    "paper": "Handouts",
    "audits": "Audit",
    "explorer": "Tables",
    "calculators": "Formulas",
    "chart_editor": "Our chart",
    "reading_desk": "Reading desk",
}
"""Folder below `weldref/dashboard/` -> title; the first one opens without a path."""

BEFORE = "page-before"


def path_of(title: str) -> str:
    """Return the path at which a page opens.

    >>> path_of("Reading desk")
    'reading-desk'
    """
    return title.lower().replace(" ", "-")


def main() -> None:
    """Draw the page that the address names."""
    st.html(widgets.style(__file__))
    try:
        store = open_tables()
    except WeldrefError as error:
        widgets.problem(error)
        return
    pages = {
        folder: st.Page(partial(_draw, folder, store), title=title, url_path=path_of(title))
        for folder, title in PAGES.items()
    }
    # Our own row of links: the built-in one hides in the side bar of a narrow screen.
    opened = st.navigation(list(pages.values()), position="hidden")
    _take_units()
    st.session_state[visit.STAYED] = st.session_state.get(BEFORE) == opened.title
    if opened is pages["settings"]:
        read_address(store)
    st.set_page_config(page_title=f"{opened.title} | weldref", layout="wide")
    with st.container(horizontal=True, key="frame", vertical_alignment="center"):
        with st.container(horizontal=True, key="pages", gap=None):
            for folder, page in pages.items():
                place = "here" if page is opened else "page"
                with st.container(key=f"{place}-{folder}", width="content"):
                    st.page_link(page)
        st.radio(
            "Units", list(widgets.UNITS), key="units", horizontal=True,
            format_func=lambda units: widgets.UNITS[units], label_visibility="collapsed",
        )  # fmt: skip
    if own := described(store):
        st.html(fragments.own_banner(own))
    read = local_readings(store)
    # At the desk the count would tell whether the last answer agreed.
    if read and opened is not pages["reading_desk"]:
        st.html(fragments.local_banner(read))
    opened.run()
    st.session_state[BEFORE] = opened.title
    st.html(p("foot", f"weldref, tables {DATASET_VERSION}, {store.digest[:12]}"))


def _draw(folder: str, store: Store) -> None:
    # Imported when it is opened: a page's libraries cost nothing to those who stay away.
    import_module(f"weldref.dashboard.{folder}.page").draw(store)


def _take_units() -> None:
    """Start in the units that the address asks for; the page reports an unknown word."""
    if "units" not in st.session_state:
        asked = st.query_params.get("units")
        st.session_state["units"] = asked if asked in widgets.UNITS else "us"
