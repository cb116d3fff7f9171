"""What is on the dials? For each quantity: the published bars, where to start, and the verdict."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import streamlit as st

from weldref.advice.start import Start, StartingPoint, start_here
from weldref.charts import ranges as charts
from weldref.charts.ranges import unit_sign
from weldref.core.check import NOT_APPROVAL
from weldref.core.lookup import Match
from weldref.core.units import Units
from weldref.core.verdict import Ask, Evidence, Judgement, Reading, Row, show_rows
from weldref.dashboard import fragments
from weldref.dashboard.settings.bars import draw_chart, draw_rows
from weldref.dashboard.settings.entries import (
    DIALS,
    MORE_DIALS,
    Asked,
    Entries,
    applying,
    field_takes,
    held_together,
    judged,
    own_rows,
    quantities,
    title_of,
    write_unit,
)
from weldref.dashboard.settings.form import tell
from weldref.data.store import Store
from weldref.text import answer_words

MOST_STARTS = 4
MOST_ANSWERS = 12
_OF_THE_METAL = ("preheat", "interpass")
_AT_THE_MACHINE = tuple(q for q in (*DIALS, *MORE_DIALS) if q not in _OF_THE_METAL)
MOST_OVERVIEW_BARS = 6


class Shown(NamedTuple):
    """The rows of a card: those that decide, those that cannot, single settings, recalled ones."""

    printed: Sequence[Row]
    general: Sequence[Row]
    conditional: Sequence[Row]
    singles: Sequence[Row]
    recalled: Sequence[Row]
    also_seen: Sequence[Row]
    own: Sequence[Row] = ()


def draw_dials(store: Store, entries: Entries) -> None:
    """Draw a card for each quantity with published rows or a value; then the other fields."""
    cards = [
        quantity
        for quantity in (*DIALS, *MORE_DIALS)
        if quantity in entries.values
        or any(m.gives_verdict for m in applying(store, entries.asked, entries.grade, quantity))
        or own_rows(store, entries.asked, entries.grade, quantity)
    ]
    if not cards:
        _draw_nothing()
    # Preheat has many bars and is set away from the machine: it stands after the other fields.
    for place, names in (("dials", _AT_THE_MACHINE), ("heat-dials", _OF_THE_METAL)):
        with st.container(key=place):
            for quantity in filter(names.__contains__, cards):
                with st.container(key=f"dial-{quantity}", gap="small"):
                    _draw_card(store, entries, quantity)
        if place == "dials":
            _draw_between(store, entries, cards)


def _draw_between(store: Store, entries: Entries, cards: Sequence[str]) -> None:
    """Say how the values hold together, and offer the fields without published rows."""
    if len(entries.values) > 1:
        asked = tuple(entries.values.items())
        result = held_together(store, entries.asked, entries.grade, asked)
        places = {
            match.row["line"]: f"{match.row['source']}, {match.row['locator'] or 'place not noted'}"
            for quantity in entries.values
            for match in applying(store, entries.asked, entries.grade, quantity)
        }
        st.html(fragments.together(result, places))
    others = [quantity for quantity in DIALS if quantity not in cards]
    if others:
        with st.container(key="other-values", gap="small"):
            st.html(
                "<h2>Other values <span>no published range here: type one for heat input, or to "
                "see what is published nearby</span></h2>"
            )
            draw_fields(store, entries, others)


def draw_fields(store: Store, entries: Entries, names: Sequence[str]) -> None:
    """Draw fields to type values into; they wrap to what the screen holds."""
    with st.container(horizontal=True, gap="small", key="values"):
        for quantity in names:
            with st.container(key=f"value-{quantity}", gap=None, width=172):
                _field(store, entries, quantity, hidden=False)


def _draw_nothing() -> None:
    st.html(
        '<div class="verdict none"><p class="word">No published range</p><p>The tables hold '
        "nothing for the dials in this situation, with the evidence you accept.</p></div>"
    )


def _draw_card(store: Store, entries: Entries, quantity: str) -> None:
    title = title_of(store, quantity)
    text = entries.values.get(quantity)
    reading = None
    if text is not None:
        reading = judged(store, entries.asked, entries.grade, quantity, text)
    shown = _shown(store, entries, quantity, reading)
    said = [row for rows in shown if rows is not shown.also_seen for row in rows]
    with st.container(horizontal=True, key=f"head-{quantity}", vertical_alignment="center"):
        count = fragments.counted(said) if said else "nothing published"
        st.html(f"<h2>{title} <span>{count}</span></h2>")
        with st.container(key=f"value-{quantity}", gap=None, width=150):
            _field(store, entries, quantity, hidden=True)
    tell(quantity, entries)
    if reading:
        st.html(fragments.verdict(reading, title, NOT_APPROVAL))
        recalled = reading.from_memory if reading.verdict == "no published range" else None
        ask = reading.ask or (recalled.ask if recalled else None)
        if ask:
            draw_question(store, entries, quantity, ask, reading.unit)
    unit = _unit(store, entries, quantity)
    where = "of own tables" if store.instead else "in print"
    most = charts.MOST_BARS if reading else MOST_OVERVIEW_BARS
    named = [
        ("", shown.printed),
        ("Too broad to pass a value: it can only fail one", shown.general),
        ("Only under a condition that you have not said", shown.conditional),
        (f"Single settings {where}: shown, no pass or fail", shown.singles),
        ("From memory, not seen in print: shown, no pass or fail", shown.recalled),
        ("Own rows, not published: they change no verdict", shown.own),
    ]
    groups, left = capped([rows for _, rows in named], most)
    drawn = [row for rows in groups for row in rows]
    if drawn:
        point = _start(store, entries.asked, entries.grade, quantity, unit)
        _draw_start(point, own=store.instead)
        ends = _draw_slider(store, entries, quantity, unit, drawn)
        # The line stands where the dial does, whatever unit the value was typed in.
        value = _value_in(store, entries, quantity, unit)
        draw_chart(store, drawn, title, unit, value, ends)
    draw_rows(
        [(heading, rows) for (heading, _), rows in zip(named, groups, strict=True)],
        left,
        neighbours=reading.neighbours if reading else (),
        also_seen=shown.also_seen,
    )


def draw_question(store: Store, entries: Entries, quantity: str, ask: Ask, unit: str) -> None:
    """Ask what the answer turns on: each answer that a field can hold is a button that fills it."""
    fields = {a.value: field_takes(store, ask.condition, a.value, entries.units)
              for a in ask.answers}  # fmt: skip
    st.html(fragments.asked(ask))
    buttons = [answer for answer in ask.answers if fields[answer.value]]
    if buttons:
        with st.container(horizontal=True, key=f"ask-{quantity}", gap="small"):
            for number, answer in enumerate(buttons[:MOST_ANSWERS]):
                st.button(
                    plain(f"{answer.value}: {answer_words(answer, unit_sign(unit))}"),
                    key=f"ask-{quantity}-{number}",
                    on_click=_set,
                    args=(fields[answer.value], answer.value),
                )
    others = [value for value, field in fields.items() if not field]
    st.html(fragments.answers_in_words(ask, unit_sign(unit), others))


def _shown(store: Store, entries: Entries, quantity: str, reading: Reading | None) -> Shown:
    """Take the rows that a verdict rests on, or those that one would rest on."""
    if reading is None:
        return _speaking(store, entries.asked, entries.grade, quantity)
    return Shown(
        reading.rows,
        reading.general,
        reading.conditional,
        reading.single_settings,
        _every(reading.from_memory),
        reading.also_seen,
        _every(reading.from_own),
    )


def _every(judged: Judgement | None) -> tuple[Row, ...]:
    return (*judged.rows, *judged.conditional, *judged.general) if judged else ()


@lru_cache(maxsize=512)
def _speaking(store: Store, asked: Asked, grade: str, quantity: str) -> Shown:
    matches = applying(store, asked, grade, quantity)
    ranges = [m for m in matches if m.gives_verdict and m.is_range]
    printed = Evidence(store, [m for m in ranges if m.grade != "memory"], asked[1])
    recalled = Evidence(store, [m for m in ranges if m.grade == "memory"], asked[1])

    def shown(*some: Sequence[Match]) -> tuple[Row, ...]:
        return show_rows(store, (m for matches in some for m in matches))

    return Shown(
        shown(printed.deciding),
        shown(printed.general),
        shown(printed.conditional),
        shown([m for m in matches if m.gives_verdict and not m.is_range]),
        shown(recalled.deciding, recalled.conditional, recalled.general),
        shown([m for m in matches if not m.gives_verdict]),
        own_rows(store, asked, grade, quantity),
    )


@lru_cache(maxsize=512)
def _start(store: Store, asked: Asked, grade: str, quantity: str, unit: str) -> StartingPoint:
    return start_here(store, applying(store, asked, grade, quantity), quantity, unit, asked[1])


def _draw_start(point: StartingPoint, *, own: bool) -> None:
    """Offer where to start, and say of each value what it is."""
    if not point.starts:
        st.html(f'<p class="start"><b>No start here:</b> {point.why_not}.</p>')
        return
    with st.container(horizontal=True, key=f"start-{point.quantity}", gap="small"):
        for number, start in enumerate(point.starts[:MOST_STARTS]):
            lead = "From memory" if start.grade == "memory" else "Start here"
            lead = f"Own, {lead.lower()}" if own else lead
            st.button(
                f"{lead}: {start.value:g} {unit_sign(start.unit)}",
                key=f"start-{point.quantity}-{number}",
                on_click=_set,
                args=(point.quantity, start.text),
            )
        st.html(f'<p class="start">{start_words(point, own=own)}</p>')


def start_words(point: StartingPoint, *, own: bool = False) -> str:
    """Say what the offered values are.

    >>> from weldref.advice.start import Start
    >>> middle = Start(135, "A", "middle of the window", "read", (), (110.0, 160.0))
    >>> start_words(StartingPoint("current", (middle,)))
    'Middle of the one published window, 110 to 160 A.'
    """
    first: Start = point.starts[0]
    memory = first.grade == "memory"
    kind = "own" if own else "recalled" if memory else "published"
    if first.window:
        low, high = first.window
        ends = f"{low:g} to {high:g} {unit_sign(first.unit)}"
        if first.kind == "middle of the window":
            text = f"Middle of the one {kind} window, {ends}"
        else:
            text = f"Middle of what the {len(first.rows)} {kind} windows share, {ends}"
    elif len(point.starts) == 1:
        text = f"A {'recalled' if memory else 'printed'} typical setting"
        text = "An own typical setting" if own else text
    else:
        left = len(point.starts) - MOST_STARTS
        text = f"{'Recalled' if memory else 'Printed'} settings, each for its own conditions below"
        text = text.replace("Printed", "Own") if own else text
        text += f"; {left} more there" if left > 0 else ""
    if any(start.verdict not in (None, "inside") for start in point.starts):
        text += "; not every published window holds it"
    return f"{text}; not seen in print." if memory else f"{text}."


def _draw_slider(
    store: Store, entries: Entries, quantity: str, unit: str, rows: Sequence[Row]
) -> tuple[float, float]:
    """Draw the dial over the bars, in agreement with the field; return its ends."""
    value = _value_in(store, entries, quantity, unit)
    made = charts.bars(rows, unit, Units(store).by_spelling)
    low, high, step = charts.dial_scale(made, value)
    key = f"{quantity}-dial"
    st.session_state[key] = low if value is None else min(max(value, low), high)
    # Where a dial has rested that stands for no value: in a fast change of the situation the
    # browser may send such a place back, and nobody set it.
    rests = st.session_state.setdefault(f"{quantity}-rests", set())
    if value is None:
        rests.add(low)
    with st.container(key=f"{'off' if value is None else 'on'}-{quantity}", gap=None):
        st.slider(
            f"{title_of(store, quantity)} dial",
            low,
            high,
            step=step,
            key=key,
            format=f"%g {unit_sign(unit)}",
            on_change=_turned,
            args=(quantity, unit),
            label_visibility="collapsed",
        )
    return low, high


def _field(store: Store, entries: Entries, quantity: str, *, hidden: bool) -> None:
    unit = unit_sign(_unit(store, entries, quantity))
    # The fields stand side by side: a label must fit on one line.
    title = title_of(store, quantity).removesuffix(" temperature")
    title = title.replace("Contact-tip-to-work distance", "Contact tip to work")
    st.text_input(
        title,
        key=quantity,
        placeholder=f"type, {unit}" if hidden else unit,
        max_chars=60,
        autocomplete="off",
        on_change=write_unit,
        args=(store, quantity),
        label_visibility="collapsed" if hidden else "visible",
    )
    if not hidden:
        tell(quantity, entries)


def _unit(store: Store, entries: Entries, quantity: str) -> str:
    choice = quantities(store)[quantity]
    return choice.us_unit if entries.units == "us" else choice.metric_unit


def _value_in(store: Store, entries: Entries, quantity: str, unit: str) -> float | None:
    if quantity not in entries.read:
        return None
    return float(f"{Units(store).convert(entries.read[quantity].si, unit):.6g}")


def _set(quantity: str, text: str) -> None:
    st.session_state[quantity] = text


def _turned(quantity: str, unit: str) -> None:
    unset = not str(st.session_state.get(quantity) or "").strip()
    if unset and st.session_state[f"{quantity}-dial"] in st.session_state[f"{quantity}-rests"]:
        return
    _set(quantity, f"{st.session_state[f'{quantity}-dial']:g} {unit}")


def plain(text: str) -> str:
    r"""Write a text so that a label of Streamlit shows it as it stands.

    >>> plain("98 Ar / 2 O2 [M12]: *inside*")
    '98 Ar / 2 O2 \\[M12\\]\\: \\*inside\\*'
    """
    return re.sub(r"([\\`*_\[\]$~:<>#&|])", r"\\\1", text)


def capped(groups: Sequence[Sequence[Row]], most: int) -> tuple[list[Sequence[Row]], int]:
    """Keep the first rows over all groups, and count the rest.

    >>> capped([(1, 2), (3, 4)], 3)
    ([(1, 2), (3,)], 1)
    """
    kept = []
    room = most
    for rows in groups:
        kept.append(rows[:room])
        room -= len(kept[-1])
    return kept, sum(map(len, groups)) - sum(map(len, kept))
