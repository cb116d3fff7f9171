"""Show what else is published for this weld, beyond the card."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

import streamlit as st

from weldref.core.lookup import Match
from weldref.core.verdict import show_rows
from weldref.dashboard import fragments
from weldref.dashboard.settings.bars import also_seen_list, draw_chart
from weldref.dashboard.settings.entries import (
    Entries,
    applying,
    quantities,
    title_of,
)
from weldref.dashboard.settings.look import Look
from weldref.data.store import Store

MOST_OVERVIEW_BARS = 6
MOST_OVERVIEW_CHARTS = 8


def draw_what_else(store: Store, entries: Entries, look: Look, shown: Iterable[str]) -> None:
    """Offer the quantities that the card lacks; drawn only when opened, to keep a change fast."""
    more = st.expander(
        look.words.say("What else is published for this weld"), key="more", on_change="rerun"
    )
    if not more.open or entries.situation is None:
        return
    on_card = set(shown)
    said: dict[str, list[Match]] = defaultdict(list)
    seen: list[Match] = []
    for match in applying(store, entries.asked, entries.grade):
        if match.row["quantity"] not in on_card:
            (said[match.row["quantity"]] if match.gives_verdict else seen).append(match)
    with more:
        if not said:
            st.html('<p class="empty">Nothing else is published for this weld.</p>')
        _draw_charts(store, entries, said)
        st.html(also_seen_list(show_rows(store, seen)) or "<p></p>")


def _draw_charts(store: Store, entries: Entries, said: dict[str, list[Match]]) -> None:
    asides = []
    order = [quantity for quantity in quantities(store) if quantity in said]
    for number, quantity in enumerate(order):
        rows = sorted(show_rows(store, said[quantity]), key=lambda row: row.how_read == "memory")
        title = title_of(store, quantity)
        count = fragments.counted(rows)
        shown = rows[:MOST_OVERVIEW_BARS]
        listed = fragments.row_list(shown, 1)
        left = fragments.left_over(len(rows) - len(shown))
        if number >= MOST_OVERVIEW_CHARTS:
            asides.append(fragments.aside(f"{title}: {count}", listed + left))
            continue
        st.html(f"<h3>{title} <span>{count}</span></h3>")
        choice = quantities(store)[quantity]
        unit = choice.us_unit if entries.units == "us" else choice.metric_unit
        draw_chart(store, shown, title, unit, None)
        st.html(left + fragments.aside("Sources of these bars", listed))
    if asides:
        st.html("".join(asides))
