"""The answer on the page: published ranges as bars, the verdict in words, and the sources."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import lru_cache

import streamlit as st

from weldref import charts
from weldref.checks import CheckResult, Published, check_situation, published
from weldref.dashboard import fragments
from weldref.dashboard.form import PROPOSED, Entries, quantities
from weldref.schemas.bases import VERDICT_BASES
from weldref.situation import Situation
from weldref.store import Store
from weldref.units import Units
from weldref.verdict import Reading, Row

MOST_OVERVIEW_BARS = 6
MOST_OVERVIEW_CHARTS = 8


def draw_answer(store: Store, entries: Entries) -> None:
    """Draw the answer to what was entered."""
    situation = entries.situation
    if situation is None:
        for name in entries.conditions:
            if name in entries.problems:
                st.html(fragments.problem(entries.problems[name]))
        st.html('<p class="empty">No answer until that is mended.</p>')
        return
    st.html(fragments.situation_line(str(situation), situation.notes))
    if entries.values:
        result = check_situation(store, situation, dict(entries.values), entries.grade)
        _draw_check(store, situation, result)
        more = st.expander("What else is published for this weld", key="more", on_change="rerun")
        # Looked up only when opened: it would double the time of every change.
        if more.open:
            with more:
                found = _published(entries)
                _draw_published(
                    store, found, entries, skip=[reading.quantity for reading in result.readings]
                )
    elif not entries.conditions:
        st.html(
            '<p class="empty">Say what is on the bench: at least a process or a metal. '
            "Or pick one of the invented examples.</p>"
        )
    else:
        found = _published(entries)
        _draw_published(store, found, entries)


def _draw_check(store: Store, situation: Situation, result: CheckResult) -> None:
    given = situation.given()
    for reading in result.readings:
        title = _title(store, reading.quantity)
        with st.container(key=f"answer-{reading.quantity}", gap="small"):
            st.html(fragments.verdict(reading, title, result.reminder))
            _draw_reading(store, reading, title, given)
    if result.together:
        rows = [row for reading in result.readings for row in reading.rows]
        st.html(fragments.together(result.together, rows))


def _draw_reading(store: Store, reading: Reading, title: str, given: Iterable[str]) -> None:
    on_memory = reading.verdict == "no published range"
    recalled = reading.from_memory.rows if reading.from_memory else ()
    groups = [
        ("", () if on_memory else reading.rows),
        ("Single settings in print: shown, no pass or fail", reading.single_settings),
        ("From memory, not seen in print: shown, no pass or fail", recalled),
    ]
    shown, left = _capped([rows for _, rows in groups], charts.MOST_BARS)
    bars = [row for rows in shown for row in rows]
    if bars:
        _draw_chart(store, bars, title, reading.unit, reading.value)
    first = 1
    parts = []
    for (heading, _), rows in zip(groups, shown, strict=True):
        if rows:
            parts += [fragments.heading(heading), fragments.row_list(rows, given, first)]
            first += len(rows)
    parts.append(fragments.left_over(left))
    if reading.nearby:
        parts.append(fragments.heading("Published nearby, for another situation"))
        parts.append(fragments.row_list(reading.nearby, given))
    parts.append(_also_seen(reading.also_seen, given))
    if any(parts):
        st.html("".join(parts))


def _also_seen(rows: Sequence[Row], given: Iterable[str]) -> str:
    if not rows:
        return ""
    shown = rows[: charts.MOST_BARS]
    return fragments.aside(
        f"Also seen: {len(rows)} of somebody's own use or tests, or in doubt",
        fragments.row_list(shown, given) + fragments.left_over(len(rows) - len(shown)),
    )


def _published(entries: Entries, quantity: str | None = None) -> Published:
    return published(
        quantity=quantity, grade=entries.grade, units=entries.units, **entries.conditions
    )


def _draw_published(
    store: Store, found: Published, entries: Entries, skip: Sequence[str] = ()
) -> None:
    """Draw what is published for a situation, a chart a quantity."""
    said: dict[str, list[Row]] = defaultdict(list)
    seen = []
    for row in found.rows:
        if row.quantity in skip:
            continue
        if row.basis in VERDICT_BASES and not row.status:
            said[row.quantity].append(row)
        else:
            seen.append(row)
    if not said:
        _draw_nothing(store, entries, skip)
    known = quantities(store)
    asides = []
    for number, (quantity, rows) in enumerate(said.items()):
        title = _title(store, quantity)
        count = fragments.counted(rows)
        shown = rows[:MOST_OVERVIEW_BARS]
        listed = fragments.row_list(shown, found.situation, 1)
        left = fragments.left_over(len(rows) - len(shown))
        if number >= MOST_OVERVIEW_CHARTS:
            asides.append(fragments.aside(f"{title}: {count}", listed + left))
            continue
        st.html(f"<h3>{title} <span>{count}</span></h3>")
        choice = known[quantity]
        unit = choice.us_unit if entries.units == "us" else choice.metric_unit
        _draw_chart(store, shown, title, unit, None)
        st.html(left + fragments.aside("Sources of these bars", listed))
    asides.append(_also_seen(seen, found.situation))
    if any(asides):
        st.html("".join(asides))


def _draw_nothing(store: Store, entries: Entries, skip: Sequence[str]) -> None:
    """Say that nothing is published, and show what is, nearby."""
    also = " else" if skip else ""
    st.html(
        f'<div class="verdict none"><p class="word">No published range</p><p>The tables hold '
        f"nothing{also} for this situation, with the evidence you accept.</p></div>"
    )
    for quantity in PROPOSED:
        if quantity in skip:
            continue
        found = _published(entries, quantity)
        if found.nearby:
            title = _title(store, quantity).lower()
            st.html(
                fragments.heading(f"Published nearby, for another situation: {title}")
                + fragments.row_list(found.nearby, found.situation)
            )
            return


def _draw_chart(
    store: Store, rows: Sequence[Row], title: str, unit: str, value: float | None
) -> None:
    made = tuple(charts.bars(rows, unit, Units(store).by_spelling))
    shown = fragments.number(value, unit) if value is not None else None
    st.vega_lite_chart(
        json.loads(_drawn(made, title.lower(), unit, value)),
        width="stretch",
        theme=None,
        alt=fragments.chart_words(rows, title.lower(), shown),
    )
    st.html(fragments.key_to_chart(rows, with_value=value is not None))


# A chart follows from its bars alone, so a kept one cannot go stale.
@lru_cache(maxsize=256)
def _drawn(made: tuple[charts.Bar, ...], title: str, unit: str, value: float | None) -> str:
    chart = charts.range_chart(made, title, unit, value=value)
    spec = chart.to_dict(validate=False)
    spec["padding"] = {"left": 1, "right": 5, "top": 2, "bottom": 0}
    spec["autosize"] = {"type": "fit-x", "contains": "padding"}
    spec["usermeta"] = {"embedOptions": {"renderer": "svg", "actions": False}}
    return json.dumps(spec)


def _capped(groups: Sequence[Sequence[Row]], most: int) -> tuple[list[Sequence[Row]], int]:
    """Keep the first rows over all groups, and count the rest.

    >>> _capped([(1, 2), (3, 4)], 3)
    ([(1, 2), (3,)], 1)
    """
    kept = []
    room = most
    for rows in groups:
        kept.append(rows[:room])
        room -= len(kept[-1])
    return kept, sum(map(len, groups)) - sum(map(len, kept))


def _title(store: Store, quantity: str) -> str:
    title = quantities(store)[quantity].title
    return f"{title[0].upper()}{title[1:]}"
