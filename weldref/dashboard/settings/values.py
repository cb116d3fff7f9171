"""Show each quantity of the card and the user's value for it: verdict, question, bars, sources."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from html import escape
from typing import NamedTuple

import streamlit as st

from weldref.advice.card import Card, CardValue, Option, card_quantities
from weldref.advice.choices import cuts, is_flame
from weldref.advice.ladder import ladder
from weldref.charts import ranges as charts
from weldref.charts.ranges import unit_sign
from weldref.core.check import NOT_APPROVAL
from weldref.core.lookup import Match
from weldref.core.units import Units
from weldref.core.verdict import Ask, Evidence, Judgement, Reading, Row, show_rows
from weldref.dashboard import fragments
from weldref.dashboard.settings.bars import draw_chart, draw_ladder, draw_rows
from weldref.dashboard.settings.entries import (
    Asked,
    Entries,
    applying,
    field_takes,
    own_rows,
    quantities,
    take,
)
from weldref.dashboard.settings.form import plain, tell
from weldref.dashboard.settings.look import Look
from weldref.dashboard.settings.strip import set_to, span_of
from weldref.data.catalogue import document_names
from weldref.data.store import Store
from weldref.handouts.conversion import fraction
from weldref.text import answer_words

MOST_ANSWERS = 12
MOST_OVERVIEW_BARS = 6


class Shown(NamedTuple):
    """The rows of a quantity: those that decide, those that cannot, single settings, the rest."""

    printed: Sequence[Row]
    general: Sequence[Row]
    conditional: Sequence[Row]
    singles: Sequence[Row]
    recalled: Sequence[Row]
    also_seen: Sequence[Row]
    own: Sequence[Row] = ()


def draw_card_question(store: Store, entries: Entries, look: Look, card: Card) -> None:
    """Ask what the card turns on: each answer is a button that fills the field."""
    if card.ask is None:
        return
    name, trade = look.condition(card.ask.condition)
    what = f"{name} ({trade.lower()})" if trade else name
    text = look.words.say("Say next: {what}", what=what)
    st.html(f'<p class="ask">{escape(text)}</p>')
    with st.container(horizontal=True, key="ask-card", gap="small"):
        for number, option in enumerate(card.ask.options):
            field = field_takes(store, card.ask.condition, option.value, entries.units)
            shown = look.words.term(as_fraction(option.value))
            st.button(
                plain(": ".join(filter(None, (shown, _gives(option, look))))),
                key=f"ask-card-{number}",
                on_click=_set,
                args=(store, field, option.value),
                disabled=not field,
            )


def _gives(option: Option, look: Look) -> str:
    """Write the setting that an answer gives, in the language of the page."""
    one = option.setting
    if one is None:
        return ""
    if one.min is None or one.max is None:
        return one.shown if one.value is not None else span_of(one, look)
    return f"{span_of(one, look)} {unit_sign(one.unit)}"


def draw_near(store: Store, entries: Entries, look: Look, card: Card) -> None:
    """Show what is nearest where nothing fits: each printed thickness is one tap away."""
    say = look.words.say
    rungs = {near.differs["thickness"]: near for near in card.neighbours
             if near.side and "thickness" in near.differs}  # fmt: skip
    if not rungs:
        if card.neighbours:
            title = say("Near, for another situation: they pass nothing")
            st.html(fragments.heading(title) + fragments.near_list(card.neighbours))
        return
    text = say("Nothing printed or recalled for {thickness}. Nearest:",
               thickness=card.situation["thickness"])  # fmt: skip
    st.html(f'<p class="ask">{escape(text)}</p>')
    with st.container(horizontal=True, key="near-card", gap="small"):
        for number, (thickness, near) in enumerate(rungs.items()):
            away_by = f"{near.away:.2g} {near.away_unit}"
            away = {
                "below": say("{away} thinner", away=away_by),
                "above": say("{away} thicker", away=away_by),
            }
            st.button(
                plain(f"{as_fraction(thickness)} ({away[near.side]})"),
                key=f"near-card-{number}",
                on_click=_set,
                args=(store, "thickness", as_fraction(thickness)),
                disabled=not field_takes(store, "thickness", thickness, entries.units),
            )
    title = say("What is published there: it passes nothing for yours")
    st.html(fragments.aside(title, fragments.near_list(card.neighbours)))


def as_fraction(text: str) -> str:
    """Write a decimal of an inch as the fraction that people say.

    >>> as_fraction("0.125 in"), as_fraction("0.035 in"), as_fraction("E7018")
    ('1/8 in', '0.035 in', 'E7018')
    """
    number, _, unit = text.partition(" ")
    if unit != "in" or not number.replace(".", "", 1).isdigit():
        return text
    return f"{fraction(float(number)) or number} in"


def draw_values(
    store: Store, entries: Entries, look: Look, card: Card, readings: Mapping[str, Reading]
) -> None:
    """Draw each quantity of the card with its field, then fields for those it lacks."""
    held = {value.quantity: value for value in card.values}
    typed = [quantity for quantity in entries.values if quantity not in held]
    if not held:  # what would lead shows its bars all the same
        leading = (quantity for quantity in card.missing if _leads(store, entries, quantity))
        typed = list(dict.fromkeys((*typed, *leading)))
    with st.container(key="dials"):
        for quantity in (*held, *typed):
            with st.container(key=f"dial-{quantity}", gap="small"):
                _draw_value(store, entries, look, quantity, held.get(quantity), readings)
    lacking = [*card.missing, *(q for q in _for_heat(store, entries) if q not in held)]
    others = [quantity for quantity in dict.fromkeys(lacking) if quantity not in typed]
    if others:
        with st.container(key="other-values", gap="small"):
            title = look.words.say("Nothing to start from here")
            about = look.words.say("type yours, to see what is near")
            st.html(f"<h2>{escape(title)} <span>{escape(about)}</span></h2>")
            with st.container(horizontal=True, gap="small", key="values"):
                for quantity in others:
                    with st.container(key=f"value-{quantity}", gap=None, width=190):
                        _field(store, entries, look, quantity, hidden=False)


def _for_heat(store: Store, entries: Entries) -> tuple[str, ...]:
    """Name what heat input follows from, where the process is an arc weld."""
    situation = entries.situation
    if situation is None or is_flame(situation) or cuts(store, situation):
        return ()
    return ("current", "voltage", "travel_speed")


def _draw_value(
    store: Store,
    entries: Entries,
    look: Look,
    quantity: str,
    value: CardValue | None,
    readings: Mapping[str, Reading],
) -> None:
    name, trade = look.quantity(quantities(store)[quantity])
    with st.container(horizontal=True, key=f"head-{quantity}", vertical_alignment="center"):
        beside = f" <span>{escape(trade)}</span>" if trade else ""
        st.html(f"<h2>{escape(name)}{beside}</h2>")
        with st.container(key=f"value-{quantity}", gap=None, width=150):
            _field(store, entries, look, quantity, hidden=True)
    tell(quantity, entries)
    if value is not None:
        _draw_start(store, look, value)
    reading = readings.get(quantity)
    if reading:
        st.html(fragments.verdict(reading, trade or name, NOT_APPROVAL, look.words))
        recalled = reading.from_memory if reading.verdict == "no published range" else None
        ask = reading.ask or (recalled.ask if recalled else None)
        if ask and not reading.held_back:
            draw_question(store, entries, look, quantity, ask, reading.unit)
    _draw_bars(store, entries, look, quantity, reading)
    if _leads(store, entries, quantity):
        _draw_ladder(store, entries, look, quantity)


def _draw_start(store: Store, look: Look, value: CardValue) -> None:
    """Say what the card's value is, and offer it for the field."""
    say = look.words.say
    with st.container(horizontal=True, key=f"start-{value.quantity}", gap="small"):
        if value.start is not None:
            shown = set_to(value.start, value.unit)
            st.button(
                say("Start at {value}", value=shown),
                key=f"start-{value.quantity}-0",
                on_click=_set,
                args=(store, value.quantity, f"{value.start:g} {value.unit}"),
            )
        st.html(f'<p class="start">{start_words(value, look, document_names(store))}</p>')


def start_words(value: CardValue, look: Look, names: Mapping[str, str]) -> str:
    """Say what a start is: a printed setting or the middle of a range, and whose."""
    say = look.words.say
    printed = value.printed.replace(value.printed.split()[-1], unit_sign(value.printed.split()[-1]))
    if value.recalled:
        text = say("Recalled, no printed source: {printed}", printed=printed)
    else:
        source = names.get(value.source_id, value.source_id)
        place = value.locator or say("place not noted")
        text = say("{printed}, as printed in {source}, {place}",
                   printed=printed, source=source, place=place)  # fmt: skip
    said = [text]
    if value.min is not None and value.max is not None and value.value is None:
        said.append(say("the start is its middle"))
    if not value.same_line:
        said.append(say("from another line than the card's"))
    if value.assumed and not value.same_line:
        kinds = ", ".join(map(look.words.term, value.assumed.values()))
        said.append(say("holds for {kinds}", kinds=kinds))
    return escape(f"{'; '.join(said)}.")


def draw_question(
    store: Store, entries: Entries, look: Look, quantity: str, ask: Ask, unit: str
) -> None:
    """Ask what the answer turns on: each answer that a field can hold is a button that fills it."""
    fields = {a.value: field_takes(store, ask.condition, a.value, entries.units)
              for a in ask.answers}  # fmt: skip
    st.html(fragments.asked(ask, look.words))
    buttons = [answer for answer in ask.answers if fields[answer.value]]
    if buttons:
        with st.container(horizontal=True, key=f"ask-{quantity}", gap="small"):
            for number, answer in enumerate(buttons[:MOST_ANSWERS]):
                st.button(
                    plain(f"{answer.value}: {answer_words(answer, unit_sign(unit))}"),
                    key=f"ask-{quantity}-{number}",
                    on_click=_set,
                    args=(store, fields[answer.value], answer.value),
                )
    others = [value for value, field in fields.items() if not field]
    st.html(fragments.answers_in_words(ask, unit_sign(unit), others))


def _leads(store: Store, entries: Entries, quantity: str) -> bool:
    process = entries.situation.terms.get("process") if entries.situation else None
    return process is not None and card_quantities(store, process.name).get(quantity, False)


def _draw_bars(
    store: Store, entries: Entries, look: Look, quantity: str, reading: Reading | None
) -> None:
    """Draw every range as a bar with its source, once it is opened: a change stays fast."""
    say = look.words.say
    more = st.expander(say("Bars and sources"), key=f"bars-{quantity}", on_change="rerun")
    if not more.open:
        return
    shown = _shown(store, entries, quantity, reading)
    where = "of own tables" if store.instead else "in print"
    named = [
        ("", shown.printed),
        ("Too broad to pass a value: it can only fail one", shown.general),
        ("Only under a condition that you have not said", shown.conditional),
        (f"Single settings {where}: shown, no pass or fail", shown.singles),
        ("From memory, not seen in print: shown, no pass or fail", shown.recalled),
        ("Own rows, not published: they change no verdict", shown.own),
    ]
    most = charts.MOST_BARS if reading else MOST_OVERVIEW_BARS
    groups, left = capped([rows for _, rows in named], most)
    drawn = [row for rows in groups for row in rows]
    unit = _unit(store, entries, quantity)
    with more:
        if drawn:
            title = quantities(store)[quantity].title
            draw_chart(store, drawn, title, unit, _value_in(store, entries, quantity, unit))
        else:
            st.html('<p class="empty">Nothing is published or recalled for it here.</p>')
        draw_rows(
            [(heading, rows) for (heading, _), rows in zip(named, groups, strict=True)],
            left,
            neighbours=reading.neighbours if reading else (),
            also_seen=shown.also_seen,
        )


def _draw_ladder(store: Store, entries: Entries, look: Look, quantity: str) -> None:
    say = look.words.say
    more = st.expander(say("By thickness"), key=f"ladder-{quantity}", on_change="rerun")
    if not more.open or entries.situation is None:
        return
    unit = _unit(store, entries, quantity)
    rungs = ladder(store, entries.situation, quantity, unit, entries.grade)
    with more:
        if not rungs:
            st.html('<p class="empty">No row of it names a thickness.</p>')
            return
        thick = entries.situation.thickness
        draw_ladder(
            rungs,
            quantities(store)[quantity].title,
            "in" if entries.units == "us" else "mm",
            thick.si if thick else None,
            _value_in(store, entries, quantity, unit),
        )


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


def _field(store: Store, entries: Entries, look: Look, quantity: str, *, hidden: bool) -> None:
    name, trade = look.quantity(quantities(store)[quantity])
    unit = unit_sign(_unit(store, entries, quantity))
    st.text_input(
        (trade or name) if hidden else name,
        key=quantity,
        placeholder=look.words.say("yours, {unit}", unit=unit) if hidden else unit,
        max_chars=60,
        autocomplete="off",
        on_change=take,
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


def _set(store: Store, name: str, text: str) -> None:
    st.session_state[name] = text
    take(store, name)


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
