"""Choose and make a handout."""

from __future__ import annotations

from math import prod
from typing import Any
from urllib.parse import urlsplit

import streamlit as st

from weldref.dashboard import widgets
from weldref.dashboard.markup import p, title
from weldref.dashboard.paper import header, sheets
from weldref.dashboard.said import many
from weldref.dashboard.visit import per_visit
from weldref.data.store import Store
from weldref.handouts.handout import handout
from weldref.handouts.output import check_tools, said
from weldref.handouts.output import pdf as pdf_of
from weldref.handouts.selection import MOST_PAGES, MOST_SITUATIONS, select

TAB = "handout"
FIRST = {
    "process": ["SMAW"],
    "material": ["carbon steel"],
    "thickness": ["1/4"],
    "electrode": ["E7018"],
    "diameter": ["1/8"],
}
"""What a first visit finds filled in: the post of the invented handrail."""

KINDS = {
    "bench-card": "bench cards",
    "half-card": "half-page cards, two up",
    "wall-chart": "wall chart",
    "booklet": "booklet",
}
UNITS = {"both": "both", "us": "inch", "metric": "metric"}
ALWAYS = ("process", "material", "thickness", "electrode", "diameter", "position")
SELDOM = ("transfer_mode", "joint", "polarity", "gas")


def draw(store: Store) -> None:
    """Draw the tab."""
    with st.container(key=f"{TAB}-entries", gap="small"):
        conditions, quantities = _ask_what(store)
        how = {"quantity": quantities, **_ask_how()}
        header.draw()
    chosen = {name: values for name, values in conditions.items() if values}
    count = prod(len(values) for values in chosen.values()) if chosen else 0
    if not chosen:
        st.html(p("empty", "Choose at least a process or a metal."))
        return
    if how["kind"] != "wall-chart":
        if count > MOST_SITUATIONS:
            most = f"at most {MOST_SITUATIONS} fit on one handout. Choose less."
            st.html(p("empty", f"That makes {count} situations; {most}"))
            return
        widgets.note(f"{many(count, 'situation')} to print")

    def make() -> sheets.Documents:
        check_tools()
        return (handout(store, select(store, chosen, **how)),)

    key = repr((chosen, how))
    documents = sheets.made(TAB, key, "Make the handout", make)
    if documents is None:
        return
    (document,) = documents
    drawn = per_visit("handout-pdf", key, lambda: pdf_of(document))
    pdf = drawn.content
    if drawn.size is not None:
        widgets.note(said(drawn).removeprefix(": "))
    pages, images = per_visit("handout-pages", key, lambda: sheets.pictures(pdf))
    sheets.offer(TAB, "handout", "Handout", document, pdf)
    sheets.show(TAB, pages, images)


def _ask_what(store: Store) -> tuple[dict[str, list[str]], list[str]]:
    about = (
        "every combination gets its own card; a wall chart is of one process and metal, and shows "
        "all that is left empty"
    )
    st.html(title("What", about))
    conditions = {}
    with st.container(horizontal=True, gap="small"):
        for name in ALWAYS:
            conditions[name] = widgets.several(store, TAB, name, FIRST.get(name))
        quantities = widgets.several_of(
            "Quantities", widgets.quantities(store), f"{TAB}-quantity",
            placeholder="what is set at the bench", width=widgets.WIDE,
        )  # fmt: skip
    with (
        st.expander("Transfer mode, joint, polarity, gas"),
        st.container(horizontal=True, gap="small"),
    ):
        for name in SELDOM:
            conditions[name] = widgets.several(store, TAB, name)
    return conditions, quantities


def _ask_how() -> dict[str, Any]:
    st.html(title("How"))
    how: dict[str, Any] = {}
    with st.container(horizontal=True, gap="medium"):
        how["kind"] = sheets.radio(TAB, "kind", "Kind", KINDS)
        how["units"] = sheets.radio(TAB, "units", "Units", UNITS)
        how["paper"] = sheets.radio(TAB, "paper", "Paper", widgets.CHART_PAPERS)
        ways = {"portrait": "portrait", "landscape": "landscape"}
        how["landscape"] = sheets.radio(TAB, "orientation", "Orientation", ways) == "landscape"
        how["language"] = widgets.language(TAB)
        if how["kind"] == "wall-chart":
            how["pages"] = st.number_input(
                "Pages of the chart", 1, MOST_PAGES, 1, key=f"{TAB}-pages",
                persist_state="session", width=widgets.NARROW,
            )  # fmt: skip
    with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
        how["title"] = widgets.line("Title", f"{TAB}-title", "Published welding settings")
        how["grade"] = widgets.grade(TAB)
        here = own_address(st.context.url)
        label = "Address for the QR code"
        address = widgets.line(label, f"{TAB}-address", "none", here, 200)
        coded = st.checkbox(
            "Print a QR code", key=f"{TAB}-coded", persist_state="session",
            help="It opens this dashboard at the card's situation, if the phone can reach it.",
        )  # fmt: skip
        how["also_seen"] = st.checkbox(
            "With what somebody once used", key=f"{TAB}-also-seen", persist_state="session"
        )
    how["address"] = address if coded else None
    return how


def own_address(url: str | None) -> str:
    """Return where this dashboard answers, without the path of its page.

    >>> own_address("http://192.0.2.7:8501/handouts?x=1"), own_address(None)
    ('http://192.0.2.7:8501', '')
    """
    parts = urlsplit(url or "")
    folder = parts.path.rpartition("/")[0]
    return f"{parts.scheme}://{parts.netloc}{folder}" if parts.netloc else ""
