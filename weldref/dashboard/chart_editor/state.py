"""Keep the chart that is being typed: its fields through the visit, and a draft on disk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
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
SHEET = "chart-typed"


@dataclass(slots=True)
class Sheet:
    """What is typed beside the fields, and the draft and the saved chart that it belongs to."""

    draft: str = ""
    """The key of its draft, as which `written` was written last."""
    written: str = ""
    begun_from: str = ""
    """The version of the saved chart that these are changes to; "" for a new one."""
    rows: list[dict[str, str]] = field(default_factory=list)
    units_of: dict[str, str] = field(default_factory=dict)
    """The unit of bare numbers in a column, where it has its own."""
    turn: int = 0
    base: list[dict[str, str]] = field(default_factory=list)
    """The rows on which the grid's field counts its changes, in its present turn."""


def sheet() -> Sheet:
    """Return what is typed."""
    found: Sheet = st.session_state[SHEET]
    return found


def begin(folder: Path | None, units: UnitSystem) -> None:
    """Fill the fields on the first run of a visit: with the last draft, else with nothing."""
    if SHEET in st.session_state:
        return
    st.session_state[SHEET] = Sheet()
    found = drafts.drafts(folder) if folder else ()
    if found:
        go_on(found[0])
    else:
        _empty(units)


def _empty(units: UnitSystem) -> None:
    fill(Chart("", date.today().isoformat(), units, columns=shop_chart.columns_for("")))


def fill(chart: Chart, draft: str = "", note: str = "", begun_from: str = "") -> None:
    """Put a chart into the fields; the rows that were there are left as a draft of their own.

    `begun_from` is the version of the saved chart that these are changes to.
    """
    state, now = st.session_state, sheet()
    for name in LINES:
        state[f"chart-{name}"] = getattr(chart, name)
    state["chart-units"] = chart.units
    for name in shop_chart.CONDITIONS:
        state[f"chart-{name}"] = chart.conditions.get(name) or None
    state["chart-columns"] = [column.name for column in chart.columns]
    now.units_of = {column.name: column.unit for column in chart.columns if column.unit}
    if draft:
        now.draft, now.written = draft, shop_chart.as_json(chart)
    elif now.rows or not now.draft:
        now.draft, now.written = drafts.new_key(), ""
    now.rows = [dict(row) for row in chart.rows]
    now.begun_from = begun_from
    state["chart-note"] = note
    state.pop("chart-asked", None)
    _turn()


def go_on(draft: drafts.Draft) -> None:
    """Continue a draft."""
    called = f"'{draft.chart.name}'" if draft.chart.name else "the chart without a name"
    fill(draft.chart, draft.key, f"Resumed the draft of {called}; nothing typed was lost")


def grid_key() -> str:
    """Return the key of the grid's field; it changes when the grid is filled again."""
    return f"chart-grid-{sheet().turn}"


def base() -> list[dict[str, str]]:
    """Return the rows on which the grid's field counts its changes."""
    now = sheet()
    if grid_key() not in st.session_state and now.base != now.rows:
        _turn()  # the page was left: its field has forgotten what was typed
    return now.base


def typed(cells: Sequence[Mapping[Any, Any]]) -> None:
    """Store what the grid holds, without empty rows at the end."""
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
    sheet().rows = found


def chart() -> Chart:
    """Return the chart that the fields hold."""
    state, now = st.session_state, sheet()
    lines = {name: drafts.typed(state.get(f"chart-{name}"), LONGEST_LINE) for name in LINES}
    said = {name: drafts.typed(state.get(f"chart-{name}"), LONGEST_LINE)
            for name in shop_chart.CONDITIONS}  # fmt: skip
    return Chart(
        units=state["chart-units"],
        conditions={name: text for name, text in said.items() if text},
        columns=tuple(Column(name, now.units_of.get(name, "")) for name in state["chart-columns"]),
        rows=tuple(now.rows),
        **lines,
    )


def keep_draft(folder: Path | None, typed: Chart) -> str:
    """Write the draft if something was typed since; say why if it cannot be written."""
    now, content = sheet(), shop_chart.as_json(typed)
    begun = typed.rows or typed.name or typed.conditions
    if folder is None or content == now.written or not begun:
        return ""
    place = folder / drafts.FOLDER / f"{now.draft}.json"
    try:
        there = place.read_text(encoding="utf-8") if place.exists() else ""
        if there and there != now.written:
            now.draft = drafts.new_key()  # somebody else went on with it: both are kept
        if not there:
            now.written = ""
        drafts.keep(folder, now.draft, typed)
    except (InputError, OSError) as error:
        return str(error)
    now.written = content
    return ""


def others(folder: Path | None) -> tuple[drafts.Draft, ...]:
    """Return the drafts that are not the one on the page."""
    found = drafts.drafts(folder) if folder else ()
    return tuple(one for one in found if one.key != sheet().draft)


def discard(folder: Path | None, key: str | None = None) -> None:
    """Remove a draft; without a key the one on the page, whose fields become empty."""
    now = sheet()
    if folder:
        drafts.discard(folder, key or now.draft)
    if key is None:
        now.written = ""
        _empty(st.session_state["chart-units"])


def take_process(store: Store) -> None:
    """Offer the columns of another process; those with something in them stay."""
    text = st.session_state.get("chart-process") or ""
    try:
        named = shop_chart.empty_chart(store, text)
    except InputError:
        return
    used = {name for row in sheet().rows for name in row}
    wanted = [column.name for column in named.columns]
    st.session_state["chart-columns"] = wanted + sorted(used - set(wanted))
    _turn()


def take_columns(titles: dict[str, str]) -> None:
    """Accept a choice of columns; a column that is not empty stays."""
    state: Any = st.session_state
    used = [name for row in sheet().rows for name in row if name not in state["chart-columns"]]
    if used:
        state["chart-columns"] = [*state["chart-columns"], *dict.fromkeys(used)]
        state["chart-note"] = f"Empty the column {titles.get(used[0], used[0])} before it can go"
    _turn()


def _turn() -> None:
    """Fill the grid's field again with what was typed."""
    now = sheet()
    now.turn += 1
    kept = [dict(row) for row in now.rows]
    now.base = kept + [{} for _ in range(max(EMPTY_ROWS - len(kept), 1))]


def save(store: Store, folder: Path, typed: Chart, *, over: bool = False) -> None:
    """Save the chart and forget its draft; the fields stay as they are.

    What somebody else has saved since is replaced only if `over`, and is kept as a draft.

    Raises
    ------
    InputError
        As `shop_chart.save` raises it; the draft is then still there.
    """
    now = sheet()
    if over and (theirs := shop_chart.version(folder, typed.name)):
        drafts.keep(folder, drafts.new_key(), shop_chart.load(store, folder, typed.name))
        now.begun_from = theirs
    shop_chart.save(store, typed, folder, now.begun_from)
    drafts.discard(folder, now.draft)
    now.draft = drafts.new_key()
    now.written = shop_chart.as_json(chart())
    now.begun_from = shop_chart.version(folder, typed.name)
