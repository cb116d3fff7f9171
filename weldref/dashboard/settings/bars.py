"""Show published rows as bars on a scale, and the same rows in words with their printed places."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, Literal

import streamlit as st

from weldref.advice.ladder import Rung
from weldref.charts import ranges as charts
from weldref.charts.ladder import ladder_chart
from weldref.core.units import Units
from weldref.core.verdict import Near, Row
from weldref.dashboard import fragments
from weldref.dashboard.markup import Markup, aside, joined, p
from weldref.dashboard.said import number
from weldref.data.store import Store

PADDING = {"left": 1, "right": 5, "top": 2, "bottom": 0}
MOST_OPEN_ROWS = 3
"""Rows that are shown below a chart; the others open when asked for."""


def draw_chart(
    store: Store, rows: Sequence[Row], title: str, unit: str, value: float | None
) -> None:
    """Draw rows as bars, and in words for a screen reader."""
    made = tuple(charts.bars(rows, unit, Units(store).by_spelling))
    shown = number(value, unit) if value is not None else None
    spec = json.loads(drawn(made, title.lower(), unit, value))
    draw_spec(spec, fragments.chart_words(rows, title.lower(), shown))
    st.html(fragments.key_to_chart(rows, with_value=value is not None))


# A chart follows from its bars alone, so a kept one cannot go stale.
@lru_cache(maxsize=512)
def drawn(made: tuple[charts.Bar, ...], title: str, unit: str, value: float | None) -> str:
    """Draw a chart, as JSON."""
    chart = charts.range_chart(made, title, unit, value=value)
    return json.dumps(plain_spec(chart) | {"padding": PADDING})


def draw_spec(spec: dict[str, Any], words: str) -> None:
    """Draw a chart as wide as its place; `words` are for a screen reader."""
    st.vega_lite_chart(spec, width="stretch", theme=None, alt=words)


def plain_spec(chart: Any) -> dict[str, Any]:
    """Write a chart with its data inside the layers and our way of fitting it in."""
    spec: dict[str, Any] = chart.to_dict(validate=False)
    # Data inside the layers: Streamlit would turn each named data set into a table. The library's
    # own switch for that holds for all threads, and so for the charts of other visitors.
    sets = spec.pop("datasets")
    for part in (spec, *spec["layer"]):
        if "data" in part:
            part["data"] = {"values": sets[part["data"]["name"]]}
    spec["autosize"] = {"type": "fit-x", "contains": "padding"}
    spec["usermeta"] = {"embedOptions": {"renderer": "svg", "actions": False}}
    return spec


def draw_ladder(
    rungs: Sequence[Rung],
    title: str,
    length: Literal["in", "mm"],
    thickness: float | None,
    value: float | None,
) -> None:
    """Draw what is printed at each thickness, and the reader's thickness and value as lines."""
    chart = ladder_chart(rungs, title, length, thickness=thickness, value=value)
    sign = charts.unit_sign(rungs[0].unit)
    said = "; ".join(f"{r.thickness}: {r.low:g} to {r.high:g} {sign}, {r.grade}" for r in rungs)
    draw_spec(plain_spec(chart) | {"padding": PADDING}, f"{title} by thickness: {said}")
    st.html(fragments.key_to_ladder(rungs))


def draw_rows(
    groups: Sequence[tuple[str, Sequence[Row]]],
    left: int,
    *,
    neighbours: Sequence[Near] = (),
    also_seen: Sequence[Row] = (),
) -> None:
    """List the rows of a chart, numbered like its bars, under the heading of their group."""
    opened: list[Markup] = []
    closed: list[Markup] = []
    count = first = 0
    for heading, rows in groups:
        room = max(MOST_OPEN_ROWS - first, 0)
        for parts, some in ((opened, rows[:room]), (closed, rows[room:])):
            if some:
                parts += [p("heading", heading)] if heading else []
                parts.append(fragments.row_list(some, first + 1))
                first += len(some)
        count += len(rows[room:])
    if closed:
        opened.append(aside(f"{count} more rows of these bars", *closed))
    opened.append(fragments.left_over(left))
    if neighbours:
        opened.append(p("heading", "Near, for another situation: they pass nothing"))
        opened.append(fragments.near_list(neighbours))
    opened.append(also_seen_list(also_seen))
    if any(opened):
        st.html(joined(opened))


def also_seen_list(rows: Sequence[Row]) -> Markup:
    """List what somebody once did: it passes or fails nothing."""
    if not rows:
        return Markup()
    shown = rows[: charts.MOST_BARS]
    return aside(
        f"Also seen: {len(rows)} of somebody's own use or tests, or in doubt",
        fragments.row_list(shown),
        fragments.left_over(len(rows) - len(shown)),
    )
