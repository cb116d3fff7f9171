"""Keep the chart that is being typed: its fields through the visit, and a draft on disk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import streamlit as st

from weldref.core.units import UnitSystem
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange import shop_chart
from weldref.exchange.shop_chart import Chart, Column, drafts

EMPTY_ROWS = 6
LONGEST_LINE, LONGEST_CELL = 60, 60
LINES = ("name", "date", "shop", "place")
_DRAFT, _WRITTEN, _ROWS, _UNITS_OF = "chart-draft", "chart-written", "chart-rows", "chart-units-of"
_TURN, _BASE, _FROM = "chart-turn", "chart-base", "chart-begun-from"


def begin(folder: Path | None, units: UnitSystem) -> None:
    """Fill the fields on the first run of a visit: with the last draft, else with nothing."""
    state = st.session_state
    if _ROWS in state:
        return
    found = drafts.drafts(folder) if folder else ()
    if found:
        go_on(found[0])
    else:
        fill(Chart("", date.today().isoformat(), units, columns=shop_chart.columns_for("")))


def fill(chart: Chart, draft: str = "", note: str = "", begun_from: str = "") -> None:
    """Put a chart into the fields; the rows that were there are left as a draft of their own.

    `begun_from` is the version of the saved chart that these are changes to.
    """
    state: Any = st.session_state
    for name in LINES:
        state[f"chart-{name}"] = getattr(chart, name)
    state["chart-units"] = chart.units
    for name in shop_chart.CONDITIONS:
        state[f"chart-{name}"] = chart.conditions.get(name) or None
    state["chart-columns"] = [column.name for column in chart.columns]
    state[_UNITS_OF] = {column.name: column.unit for column in chart.columns if column.unit}
    if draft:
        state[_DRAFT], state[_WRITTEN] = draft, shop_chart.as_json(chart)
    elif state.get(_ROWS) or _DRAFT not in state:
        state[_DRAFT], state[_WRITTEN] = drafts.new_key(), ""
    state[_ROWS] = [dict(row) for row in chart.rows]
    state[_FROM] = begun_from
    state["chart-note"] = note
    state.pop("chart-asked", None)
    _turn()


def go_on(draft: drafts.Draft) -> None:
    """Take up a draft."""
    called = f"'{draft.chart.name}'" if draft.chart.name else "the chart without a name"
    fill(draft.chart, draft.key, f"Resumed the draft of {called}; nothing typed was lost")


def rows() -> list[dict[str, str]]:
    """Return the rows as they were typed last."""
    found: list[dict[str, str]] = st.session_state[_ROWS]
    return found


def columns() -> tuple[Column, ...]:
    """Return the columns of the grid, with the unit of bare numbers where it is its own."""
    units: dict[str, str] = st.session_state[_UNITS_OF]
    return tuple(Column(n, units.get(n, "")) for n in st.session_state["chart-columns"])


def grid_key() -> str:
    """Return the key of the grid's field; it changes when the grid is filled anew."""
    return f"chart-grid-{st.session_state[_TURN]}"


def base() -> list[dict[str, str]]:
    """Return the rows on which the grid's field counts its changes."""
    state: Any = st.session_state
    if grid_key() not in state and state[_BASE] != state[_ROWS]:
        _turn()  # the page was left: its field has forgotten what was typed
    found: list[dict[str, str]] = state[_BASE]
    return found


def begun_from() -> str:
    """Return the version of the saved chart that the fields are changes to; "" for a new one."""
    found: str = st.session_state[_FROM]
    return found


def typed(cells: Sequence[Mapping[Any, Any]]) -> None:
    """Take over what the grid holds; empty rows at the end are none."""
    found = [
        {
            str(name): text
            for name, cell in row.items()
            if (text := drafts.typed(cell, LONGEST_CELL))
        }
        for row in cells
    ]
    while found and not found[-1]:
        found.pop()
    st.session_state[_ROWS] = found


def chart() -> Chart:
    """Return the chart that the fields hold."""
    state: Any = st.session_state
    lines = {name: drafts.typed(state.get(f"chart-{name}"), LONGEST_LINE) for name in LINES}
    said = {name: drafts.typed(state.get(f"chart-{name}"), LONGEST_LINE)
            for name in shop_chart.CONDITIONS}  # fmt: skip
    return Chart(
        units=state["chart-units"],
        conditions={name: text for name, text in said.items() if text},
        columns=columns(),
        rows=tuple(rows()),
        **lines,
    )


def keep_draft(folder: Path | None, now: Chart) -> str:
    """Write the draft if something was typed since; say why if it cannot be written."""
    state: Any = st.session_state
    content = shop_chart.as_json(now)
    if folder is None or content == state[_WRITTEN] or not (now.rows or now.name or now.conditions):
        return ""
    place = folder / drafts.FOLDER / f"{state[_DRAFT]}.json"
    try:
        there = place.read_text(encoding="utf-8") if place.exists() else ""
        if there and there != state[_WRITTEN]:
            state[_DRAFT] = drafts.new_key()  # somebody else went on with it: both are kept
        if not there and state[_WRITTEN]:
            state[_WRITTEN] = ""
        drafts.keep(folder, state[_DRAFT], now)
    except (InputError, OSError) as error:
        return str(error)
    state[_WRITTEN] = content
    return ""


def others(folder: Path | None) -> tuple[drafts.Draft, ...]:
    """Return the drafts that are not the one on the page."""
    found = drafts.drafts(folder) if folder else ()
    return tuple(one for one in found if one.key != st.session_state[_DRAFT])


def discard(folder: Path | None, key: str | None = None) -> None:
    """Remove a draft; without a key the one on the page, whose fields become empty."""
    if folder:
        drafts.discard(folder, key or st.session_state[_DRAFT])
    if key is None:
        st.session_state[_WRITTEN] = ""
        units: UnitSystem = st.session_state["chart-units"]
        fill(Chart("", date.today().isoformat(), units, columns=shop_chart.columns_for("")))


def take_process(store: Store) -> None:
    """Offer the columns of another process; those with something in them stay."""
    text = st.session_state.get("chart-process") or ""
    try:
        named = shop_chart.empty_chart(store, text)
    except InputError:
        return
    used = {name for row in rows() for name in row}
    wanted = [column.name for column in named.columns]
    st.session_state["chart-columns"] = wanted + sorted(used - set(wanted))
    _turn()


def take_columns(titles: dict[str, str]) -> None:
    """Take over a choice of columns; one with something in it is not left out."""
    state: Any = st.session_state
    used = [name for row in rows() for name in row if name not in state["chart-columns"]]
    if used:
        state["chart-columns"] = [*state["chart-columns"], *dict.fromkeys(used)]
        state["chart-note"] = f"Empty the column {titles.get(used[0], used[0])} before it can go"
    _turn()


def _turn() -> None:
    """Fill the grid's field anew with what was typed."""
    state: Any = st.session_state
    state[_TURN] = state.get(_TURN, 0) + 1
    kept = [dict(row) for row in state[_ROWS]]
    state[_BASE] = kept + [{} for _ in range(max(EMPTY_ROWS - len(kept), 1))]


def save(store: Store, folder: Path, now: Chart, *, over: bool = False) -> None:
    """Save the chart and forget its draft; the fields stay as they are.

    What somebody else saved meanwhile is replaced only if `over`, and is kept as a draft.

    Raises
    ------
    InputError
        As `shop_chart.save` raises it; the draft is then still there.
    """
    state: Any = st.session_state
    if over and (theirs := shop_chart.version(folder, now.name)):
        drafts.keep(folder, drafts.new_key(), shop_chart.load(store, folder, now.name))
        state[_FROM] = theirs
    shop_chart.save(store, now, folder, state[_FROM])
    drafts.discard(folder, state[_DRAFT])
    state[_DRAFT] = drafts.new_key()
    state[_WRITTEN] = shop_chart.as_json(chart())
    state[_FROM] = shop_chart.version(folder, now.name)
