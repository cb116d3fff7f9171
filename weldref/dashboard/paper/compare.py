"""Compare sources: what each prints for a situation, side by side."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from html import escape

import streamlit as st

from weldref.charts.ranges import MOST_BARS, shown_span
from weldref.core.check import NOT_APPROVAL, published
from weldref.core.terms import quantity_choices
from weldref.core.verdict import Row
from weldref.dashboard import fragments, tables, widgets
from weldref.dashboard.settings.bars import draw_chart
from weldref.dashboard.visit import per_visit
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
        st.html(fragments.empty("Say what is on the bench: at least a process or a metal."))
        return
    units = st.session_state.get("units", "us")  # the switch of the frame
    asked = {"quantity": quantity, "grade": grade, "units": units, **conditions}
    try:
        found = per_visit("compare", repr(asked), lambda: published(**asked), 8)
    except InputError as error:
        widgets.problem(error)
        return
    title = names[quantity]
    situation = ", ".join(found.situation.values())
    st.html(fragments.situation_line(situation, found.notes))
    speaking = [row for row in found.rows if row.basis in VERDICT_BASES and not row.status]
    seen = [row for row in found.rows if row not in speaking]
    if speaking:
        _draw_speaking(store, speaking, title, quantity, units)
    else:
        st.html(
            '<div class="verdict none"><p class="word">No published range</p><p>The tables hold '
            "none for this situation, with the evidence you accept.</p></div>"
        )
    if found.neighbours:
        st.html(fragments.heading("Near, for another situation: they pass nothing")
                + fragments.near_list(found.neighbours))  # fmt: skip
    if seen:
        also = f"Also seen: {len(seen)} of somebody's own use or tests, or in doubt"
        st.html(fragments.aside(also, side_by_side(seen, f"{title}, also seen")))
    st.html(fragments.cautions(found.cautions, NOT_APPROVAL, document_names(store)))


def _draw_speaking(
    store: Store, rows: Sequence[Row], title: str, quantity: str, units: str
) -> None:
    count = len({row.source_id for row in rows})
    said = f"{count} source{'s' if count > 1 else ''}: {fragments.counted(rows)}"
    st.html(f"<h2>{escape(title)} <span>{escape(said)}</span></h2>" + side_by_side(rows, title))
    known = quantity_choices(store)[quantity]
    unit = known.us_unit if units == "us" else known.metric_unit
    draw_chart(store, rows[:MOST_BARS], title, unit, None)
    if left := fragments.left_over(len(rows) - MOST_BARS):
        st.html(left)


def side_by_side(rows: Iterable[Row], caption: str) -> str:
    """Write a table with the rows of each source together."""
    by_source: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        by_source[row.source].append(row)
    groups = "".join(_of_source(name, some) for name, some in by_source.items())
    heads = "".join(
        f'<th scope="col">{name}</th>'
        for name in ("source", "as printed", "holds if", "how read", "kind of statement", "place")
    )
    return tables.boxed(
        f'<table class="sides"><caption>{escape(caption)}, source beside source</caption>'
        f"<thead><tr>{heads}</tr></thead>{groups}</table>",
        caption,
    )


def _of_source(name: str, rows: Sequence[Row]) -> str:
    head = f'<th class="of-source" scope="rowgroup" rowspan="{len(rows)}">{escape(name)}</th>'
    lines = []
    for row in rows:
        about = fragments.BASES[row.basis] + (f"; {row.status}" if row.status else "")
        place = row.locator or "place not noted"
        told = (_holds_if(row), FULL[row.how_read], about, place)
        cells = "".join(f"<td>{escape(text)}</td>" for text in told)
        look = ' class="recalled"' if row.how_read == "memory" else ""
        lines.append(f"<tr{look}>{head}<td><b>{escape(shown_span(row))}</b></td>{cells}</tr>")
        head = ""
    return f"<tbody>{''.join(lines)}</tbody>"


def _holds_if(row: Row) -> str:
    """Say what a row adds to the situation, or what it ignores."""
    said = list(row.assumed.values())
    if row.ignores:
        said.append(f"general: {names_none_of(row)}")
    return ", ".join(said) or "as asked"
