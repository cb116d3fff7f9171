"""Show each quantity of the card and the user's value for it: verdict, question, bars, sources."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Literal, NamedTuple

import streamlit as st

from weldref.advice.card import Card, CardValue, Option, card_quantities
from weldref.advice.ladder import ladder
from weldref.charts import ranges as charts
from weldref.charts.ranges import unit_sign
from weldref.core.lookup import Match
from weldref.core.verdict import Ask, Evidence, Judgement, Reading, Row, show_rows
from weldref.dashboard import fragments
from weldref.dashboard.markup import aside, joined, p, title
from weldref.dashboard.said import condition
from weldref.dashboard.settings.bars import also_seen_list, draw_chart, draw_ladder, draw_rows
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
from weldref.handouts.words import sentence
from weldref.text import answer_words

FOR_HEAT = ("current", "voltage", "travel_speed")
"""What the heat input of an arc weld follows from."""
MOST_ANSWERS = 12
MOST_OVERVIEW_BARS = 6
MOST_OVERVIEW_CHARTS = 8


class Shown(NamedTuple):
    """The rows of a quantity: those that decide, those that cannot, single settings, the rest."""

    printed: Sequence[Row]
    general: Sequence[Row]
    conditional: Sequence[Row]
    singles: Sequence[Row]
    recalled: Sequence[Row]
    also_seen: Sequence[Row]
    own: Sequence[Row] = ()


def draw_card_question(entries: Entries, card: Card) -> None:
    """Ask what the card depends on: each answer is a button that fills the field."""
    if card.ask is None:
        return
    name, trade = entries.look.condition(card.ask.condition)
    what = f"{name} ({trade.lower()})" if trade else name
    st.html(p("ask", entries.say("Say next: {what}", what=what)))
    with st.container(horizontal=True, key="ask-card", gap="small"):
        for number, option in enumerate(card.ask.options):
            field = field_takes(entries.store, card.ask.condition, option.value, entries.units)
            shown = entries.look.words.term(as_fraction(option.value))
            gives = _gives(option, entries.look)
            label = f"{shown}: {gives}" if gives else shown
            _button(entries, label, f"ask-card-{number}", field, option.value)


def _gives(option: Option, look: Look) -> str:
    """Write the setting that an answer gives, in the language of the page."""
    one = option.setting
    if one is None:
        return ""
    if one.min is None or one.max is None:
        return one.shown if one.value is not None else span_of(one, look)
    return f"{span_of(one, look)} {unit_sign(one.unit)}"


def draw_near(entries: Entries, card: Card) -> None:
    """Show what is nearest where nothing fits: each printed thickness is one tap away."""
    say = entries.say
    rungs = {near.differs["thickness"]: near for near in card.neighbours
             if near.side and "thickness" in near.differs}  # fmt: skip
    if not rungs:
        if card.neighbours:
            heading = say("Near, for another situation: they pass nothing")
            st.html(p("heading", heading) + fragments.near_list(card.neighbours))
        return
    text = say("Nothing printed or recalled for {thickness}. Nearest:",
               thickness=card.situation["thickness"])  # fmt: skip
    st.html(p("ask", text))
    with st.container(horizontal=True, key="near-card", gap="small"):
        for number, (thickness, near) in enumerate(rungs.items()):
            by = f"{near.away:.2g} {near.away_unit}"
            away = {
                "below": say("{away} thinner", away=by),
                "above": say("{away} thicker", away=by),
            }
            taken = field_takes(entries.store, "thickness", thickness, entries.units)
            size = as_fraction(thickness)
            _button(entries, f"{size} ({away[near.side]})", f"near-card-{number}", taken, size)
    there = say("What is published there: it passes nothing for yours")
    st.html(aside(there, fragments.near_list(card.neighbours)))


def as_fraction(text: str) -> str:
    """Write a decimal of an inch as the fraction that people say.

    >>> as_fraction("0.125 in"), as_fraction("0.035 in"), as_fraction("E7018")
    ('1/8 in', '0.035 in', 'E7018')
    """
    number, _, unit = text.partition(" ")
    if unit != "in" or not number.replace(".", "", 1).isdigit():
        return text
    return f"{fraction(float(number)) or number} in"


def draw_values(entries: Entries, card: Card, readings: Mapping[str, Reading]) -> None:
    """Draw each quantity of the card with its field, then fields for those it lacks."""
    held = {value.quantity: value for value in card.values}
    typed = [quantity for quantity in entries.values if quantity not in held]
    if not held:  # what would lead shows its bars all the same
        leading = (quantity for quantity in card.missing if _leads(entries, quantity))
        typed = list(dict.fromkeys((*typed, *leading)))
    with st.container(key="dials"):
        for quantity in (*held, *typed):
            with st.container(key=f"dial-{quantity}", gap="small"):
                _draw_value(entries, quantity, held.get(quantity), readings)
    heat = FOR_HEAT if entries.asked.arc_weld else ()
    lacking = [*card.missing, *(q for q in heat if q not in held)]
    others = [quantity for quantity in dict.fromkeys(lacking) if quantity not in typed]
    if others:
        with st.container(key="other-values", gap="small"):
            about = entries.say("type yours, to see what is near")
            st.html(title(entries.say("Nothing to start from here"), about))
            with st.container(horizontal=True, gap="small", key="values"):
                for quantity in others:
                    with st.container(key=f"value-{quantity}", gap=None, width=190):
                        _field(entries, quantity, hidden=False)


def _draw_value(
    entries: Entries,
    quantity: str,
    value: CardValue | None,
    readings: Mapping[str, Reading],
) -> None:
    name, trade = entries.look.quantity(entries.quantity(quantity))
    with st.container(horizontal=True, key=f"head-{quantity}", vertical_alignment="center"):
        st.html(title(name, trade))
        with st.container(key=f"value-{quantity}", gap=None, width=150):
            _field(entries, quantity, hidden=True)
    tell(quantity, entries)
    if value is not None:
        _draw_start(entries.store, entries.look, value)
    reading = readings.get(quantity)
    if reading:
        st.html(fragments.verdict(reading, trade or name, entries.look.words))
        recalled = reading.from_memory if reading.verdict == "no published range" else None
        ask = reading.ask or (recalled.ask if recalled else None)
        if ask and not reading.held_back:
            draw_question(entries, quantity, ask, reading.unit)
    _draw_bars(entries, quantity, reading)
    if _leads(entries, quantity):
        _draw_ladder(entries, quantity)


def _draw_start(store: Store, look: Look, value: CardValue) -> None:
    """Say what the card's value is, and offer it for the field."""
    say = look.words.say
    with st.container(horizontal=True, key=f"start-{value.quantity}", gap="small"):
        if value.start is not None:
            shown = say("Start at {value}", value=set_to(value.start, value.unit))
            start, key = f"{value.start:g} {value.unit}", f"start-{value.quantity}-0"
            st.button(shown, key=key, on_click=_set, args=(store, value.quantity, start))
        st.html(p("start", start_words(value, look, document_names(store))))


def start_words(value: CardValue, look: Look, names: Mapping[str, str]) -> str:
    """Say what a start is, a printed setting or the middle of a range, and its source."""
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
    return f"{'; '.join(said)}."


def draw_question(entries: Entries, quantity: str, ask: Ask, unit: str) -> None:
    """Ask what the answer depends on: an answer that a field can hold is a button that fills it."""
    fields = {a.value: field_takes(entries.store, ask.condition, a.value, entries.units)
              for a in ask.answers}  # fmt: skip
    words = entries.look.words
    st.html(p("ask", words.say("Which {what}?", what=condition(ask.condition, words))))
    buttons = [answer for answer in ask.answers if fields[answer.value]]
    if buttons:
        with st.container(horizontal=True, key=f"ask-{quantity}", gap="small"):
            for number, answer in enumerate(buttons[:MOST_ANSWERS]):
                label = f"{answer.value}: {answer_words(answer, unit_sign(unit))}"
                key = f"ask-{quantity}-{number}"
                _button(entries, label, key, fields[answer.value], answer.value)
    others = [value for value, field in fields.items() if not field]
    st.html(fragments.answers_in_words(ask, unit_sign(unit), others))


def _leads(entries: Entries, quantity: str) -> bool:
    process = entries.situation.terms.get("process") if entries.situation else None
    return process is not None and card_quantities(entries.store, process.name).get(quantity, False)


def _draw_bars(entries: Entries, quantity: str, reading: Reading | None) -> None:
    """Draw every range as a bar with its source, once it is opened: a change stays fast."""
    say = entries.say
    more = st.expander(say("Bars and sources"), key=f"bars-{quantity}", on_change="rerun")
    if not more.open:
        return
    shown = _shown(entries, quantity, reading)
    where = "of own tables" if entries.store.instead else "in print"
    named = [
        ("", shown.printed),
        ("Too broad to pass a value: it can only fail one", shown.general),
        ("Only under a condition that you have not said", shown.conditional),
        (f"Single settings {where}: shown, no pass or fail", shown.singles),
        ("From memory, not seen in print: shown, no pass or fail", shown.recalled),
        ("Own rows, not published: they change no verdict", shown.own),
    ]
    most = charts.MOST_BARS if reading else MOST_OVERVIEW_BARS
    groups, left = capped(named, most)
    drawn = [row for _, rows in groups for row in rows]
    unit = entries.unit(quantity)
    with more:
        if drawn:
            name = entries.quantity(quantity).title
            draw_chart(entries.store, drawn, name, unit, entries.value_in(quantity, unit))
        else:
            st.html(p("empty", "Nothing is published or recalled for it here."))
        neighbours = reading.neighbours if reading else ()
        draw_rows(groups, left, neighbours=neighbours, also_seen=shown.also_seen)


def _draw_ladder(entries: Entries, quantity: str) -> None:
    say = entries.say
    more = st.expander(say("By thickness"), key=f"ladder-{quantity}", on_change="rerun")
    if not more.open or entries.situation is None:
        return
    unit = entries.unit(quantity)
    rungs = ladder(entries.store, entries.situation, quantity, unit, entries.grade)
    with more:
        if not rungs:
            st.html(p("empty", "No row of this quantity names a thickness."))
            return
        thick = entries.situation.thickness
        length: Literal["in", "mm"] = "in" if entries.units == "us" else "mm"
        name, value = entries.quantity(quantity).title, entries.value_in(quantity, unit)
        draw_ladder(rungs, name, length, thick.si if thick else None, value)


def _shown(entries: Entries, quantity: str, reading: Reading | None) -> Shown:
    """Return the rows that a verdict rests on, or those that one would rest on."""
    if reading is None:
        return _unjudged(entries.asked, quantity)
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
def _unjudged(asked: Asked, quantity: str) -> Shown:
    store, matches = asked.store, applying(asked, quantity)
    ranges = [m for m in matches if m.gives_verdict and m.is_range]
    printed = Evidence(store, [m for m in ranges if m.grade != "memory"], asked.units)
    recalled = Evidence(store, [m for m in ranges if m.grade == "memory"], asked.units)

    def shown(*some: Sequence[Match]) -> tuple[Row, ...]:
        return show_rows(store, (m for matches in some for m in matches))

    return Shown(
        shown(printed.deciding),
        shown(printed.general),
        shown(printed.conditional),
        shown([m for m in matches if m.gives_verdict and not m.is_range]),
        shown(recalled.deciding, recalled.conditional, recalled.general),
        shown([m for m in matches if not m.gives_verdict]),
        own_rows(asked, quantity),
    )


def _field(entries: Entries, quantity: str, *, hidden: bool) -> None:
    name, trade = entries.look.quantity(entries.quantity(quantity))
    unit = unit_sign(entries.unit(quantity))
    st.text_input(
        (trade or name) if hidden else name, key=quantity, persist_state="session", max_chars=60,
        placeholder=entries.say("yours, {unit}", unit=unit) if hidden else unit,
        autocomplete="off", on_change=take, args=(entries.store, quantity),
        label_visibility="collapsed" if hidden else "visible",
    )  # fmt: skip
    if not hidden:
        tell(quantity, entries)


def _button(entries: Entries, label: str, key: str, field: str, text: str) -> None:
    """Draw an answer that fills a field; one that no field can hold cannot be pressed."""
    args = (entries.store, field, text)
    st.button(plain(label), key=key, on_click=_set, args=args, disabled=not field)


def _set(store: Store, name: str, text: str) -> None:
    st.session_state[name] = text
    take(store, name)


def capped(
    groups: Sequence[tuple[str, Sequence[Row]]], most: int
) -> tuple[list[tuple[str, Sequence[Row]]], int]:
    """Keep the first rows over all groups, each with its heading, and count the rest.

    >>> capped([("a", (1, 2)), ("b", (3, 4))], 3)
    ([('a', (1, 2)), ('b', (3,))], 1)
    """
    kept = []
    room = most
    for heading, rows in groups:
        kept.append((heading, rows[:room]))
        room -= len(rows[:room])
    return kept, sum(len(rows) for _, rows in groups) - (most - room)


def draw_what_else(entries: Entries, shown: Iterable[str]) -> None:
    """Offer the quantities that the card lacks; drawn only when opened, to keep a change fast."""
    more = st.expander(
        entries.say("What else is published for this weld"), key="more", on_change="rerun"
    )
    if not more.open or entries.situation is None:
        return
    on_card = set(shown)
    said: dict[str, list[Match]] = defaultdict(list)
    seen: list[Match] = []
    for match in applying(entries.asked):
        if match.row["quantity"] not in on_card:
            (said[match.row["quantity"]] if match.gives_verdict else seen).append(match)
    with more:
        if not said:
            st.html(p("empty", "Nothing else is published for this weld."))
        _draw_charts(entries, said)
        st.html(also_seen_list(show_rows(entries.store, seen)) or "<p></p>")


def _draw_charts(entries: Entries, said: dict[str, list[Match]]) -> None:
    asides = []
    order = [quantity for quantity in quantities(entries.store) if quantity in said]
    for number, quantity in enumerate(order):
        rows = sorted(
            show_rows(entries.store, said[quantity]), key=lambda row: row.how_read == "memory"
        )
        name, count = sentence(entries.quantity(quantity).title), fragments.counted(rows)
        shown = rows[:MOST_OVERVIEW_BARS]
        listed = fragments.row_list(shown, 1)
        left = fragments.left_over(len(rows) - len(shown))
        if number >= MOST_OVERVIEW_CHARTS:
            asides.append(aside(f"{name}: {count}", listed, left))
            continue
        st.html(title(name, count, 3))
        draw_chart(entries.store, shown, name, entries.unit(quantity), None)
        st.html(left + aside("Sources of these bars", listed))
    if asides:
        st.html(joined(asides))
