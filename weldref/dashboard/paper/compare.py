"""Compare sources: what each prints for a situation, side by side."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

import streamlit as st

from weldref.charts.ranges import MOST_BARS, shown_span
from weldref.core.check import published
from weldref.core.terms import quantity_choices
from weldref.core.verdict import Row
from weldref.dashboard import fragments, tables, widgets
from weldref.dashboard.markup import Markup, aside, p, tag, title
from weldref.dashboard.said import many
from weldref.dashboard.settings.bars import draw_chart
from weldref.dashboard.visit import per_visit, units
from weldref.data.catalogue import document_names
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.grades import FULL
from weldref.text import names_none_of

TAB = "compare"
ASKED = ("process", "material", "electrode", "diameter", "thickness", "position", "gas", "code")
FIRST = {"process": "SMAW", "electrode": "E7018", "diameter": "1/8"}


def draw(store: Store) -> None:
    """Draw the tab."""
    with (
        st.container(key=f"{TAB}-entries", gap="small"),
        st.container(horizontal=True, gap="small"),
    ):
        names = widgets.quantities(store)
        quantity: str = widgets.one_of(
            "Quantity", names, f"{TAB}-quantity", index=list(names).index("current"),
            width=widgets.WIDE,
        )  # fmt: skip
        entries = {name: widgets.one(store, TAB, name, FIRST.get(name)) for name in ASKED}
        grade = widgets.grade(TAB)
    conditions = {name: text.strip() for name, text in entries.items() if text.strip()}
    if not conditions:
        st.html(p("empty", "Say what is on the bench: at least a process or a metal."))
        return
    asked: dict[str, Any] = {"quantity": quantity, "grade": grade, "units": units(), **conditions}
    try:
        found = per_visit("compare", repr(asked), lambda: published(**asked), 8)
    except InputError as error:
        widgets.problem(error)
        return
    name = names[quantity]
    situation = ", ".join(found.situation.values())
    st.html(fragments.situation_line(situation, found.notes))
    counting = [row for row in found.rows if row.basis in VERDICT_BASES and not row.status]
    seen = [row for row in found.rows if row not in counting]
    if counting:
        _draw_counting(store, counting, name, quantity)
    else:
        about = "The tables hold none for this situation, with the evidence you accept."
        word = p("word", "No published range")
        st.html(tag("div", word, tag("p", about), look="verdict none"))
    if found.neighbours:
        near = p("heading", "Near, for another situation: they pass nothing")
        st.html(near + fragments.near_list(found.neighbours))
    if seen:
        also = f"Also seen: {len(seen)} of somebody's own use or tests, or in doubt"
        st.html(aside(also, side_by_side(seen, f"{name}, also seen")))
    st.html(fragments.cautions(found.cautions, document_names(store)))


def _draw_counting(store: Store, rows: Sequence[Row], name: str, quantity: str) -> None:
    sources = many(len({row.source_id for row in rows}), "source")
    said = f"{sources}: {fragments.counted(rows)}"
    st.html(title(name, said) + side_by_side(rows, name))
    known = quantity_choices(store)[quantity]
    unit = known.us_unit if units() == "us" else known.metric_unit
    draw_chart(store, rows[:MOST_BARS], name, unit, None)
    if left := fragments.left_over(len(rows) - MOST_BARS):
        st.html(left)


def side_by_side(rows: Iterable[Row], caption: str) -> Markup:
    """Write a table with the rows of each source together."""
    by_source: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        by_source[row.source].append(row)
    named = ("source", "as printed", "holds if", "how read", "kind of statement", "place")
    heads = [tag("th", name, scope="col") for name in named]
    groups = [_of_source(name, some) for name, some in by_source.items()]
    return tables.boxed(f"{caption}, source beside source", heads, groups, "sides")


def _of_source(name: str, rows: Sequence[Row]) -> Markup:
    head = tag("th", name, look="of-source", scope="rowgroup", rowspan=len(rows))
    lines = []
    for row in rows:
        told = (
            tag("b", shown_span(row)),
            _holds_if(row),
            FULL[row.how_read],
            fragments.with_status(fragments.BASES[row.basis], row),
            row.locator or "place not noted",
        )
        look = "recalled" if row.how_read == "memory" else ""
        lines.append(tag("tr", head, *(tag("td", text) for text in told), look=look))
        head = Markup()
    return tag("tbody", *lines)


def _holds_if(row: Row) -> str:
    """Say what a row adds to the situation, or what it ignores."""
    said = list(row.assumed.values())
    if row.ignores:
        said.append(f"general: {names_none_of(row)}")
    return ", ".join(said) or "as asked"
