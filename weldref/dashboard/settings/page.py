"""The page of settings: three taps give a card; each value is judged as soon as it changes."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st

from weldref.advice import choices
from weldref.advice.card import Card
from weldref.advice.choices import Shade
from weldref.core.cautions import cautions_for
from weldref.core.verdict import Reading
from weldref.dashboard import fragments, widgets
from weldref.dashboard.markup import aside, header, p, tag
from weldref.dashboard.settings.address import address_problems, write_address
from weldref.dashboard.settings.around import draw_choices, draw_follows
from weldref.dashboard.settings.entries import (
    Asked,
    Entries,
    applying,
    carded,
    quantities,
    read_entries,
    remember_good,
)
from weldref.dashboard.settings.form import draw_bench, draw_examples, draw_further
from weldref.dashboard.settings.look import draw_switches
from weldref.dashboard.settings.strip import lead, strip
from weldref.dashboard.settings.values import (
    draw_card_question,
    draw_near,
    draw_values,
    draw_what_else,
)
from weldref.data.catalogue import document_names
from weldref.data.store import Store

MOST_CAUTIONS = 4
LINE = "card-line"


def draw(store: Store) -> None:
    """Draw the page."""
    entries = read_entries(store)
    say = entries.say
    with st.container(horizontal=True, key="title", vertical_alignment="center"):
        title = say("What do I set?")
        about = say("Every number has its source. Nothing is averaged or guessed.")
        st.html(header(title, about))
        draw_switches(entries.look)
    for problem in address_problems():
        widgets.problem(problem)
    draw_bench(entries)
    if entries.situation is None or "process" not in entries.situation.terms:
        _draw_unanswered(entries)
        draw_further(entries)
    else:
        _draw_answer(entries)
    draw_examples(entries.look)
    remember_good(entries)
    write_address(entries)


def _draw_unanswered(entries: Entries) -> None:
    say = entries.say
    if entries.situation is None:
        for name in entries.conditions:
            if name in entries.problems:
                widgets.problem(entries.problems[name])
        text = say("No answer until that is corrected.")
    else:
        text = say("Tap a process, a metal and a thickness: the card then appears here.")
    st.html(p("empty", text))


def _draw_answer(entries: Entries) -> None:
    number = _line_number(entries)
    card = carded(entries.asked, number)
    readings: dict[str, Reading] = {}
    sense = card.sense
    if entries.values:
        readings = {reading.quantity: reading for reading in entries.judged.readings}
        sense = entries.judged.sense
    # Containers that are always there: what comes and goes in one moves nothing below it, and
    # the browser draws again only what changed.
    with st.container(key="question"):
        draw_card_question(entries, card)
    _draw_strip(entries, card, readings, number)
    with st.container(key="sense"):
        for note in entries.situation.notes if entries.situation else ():
            widgets.note(note)
        if sense:
            st.html(fragments.sense(sense, document_names(entries.store), entries.look.words))
        draw_near(entries, card)
    draw_further(entries)
    with st.container(key="board"):
        with st.container(key="answer"):
            draw_values(entries, card, readings)
            _draw_together(entries)
            draw_what_else(entries, (*(v.quantity for v in card.values), *card.missing))
            st.html(fragments.meanings(entries.look.words))
        with st.container(key="cautions"):
            _draw_cautions(entries)
            draw_follows(entries)
            draw_choices(entries)


def _draw_strip(
    entries: Entries,
    card: Card,
    readings: dict[str, Reading],
    number: int,
) -> None:
    """Draw the card, and a way to look through the lines that fit."""
    say = entries.say
    shades: tuple[Shade, ...] = card.shades
    if "current" in entries.read:
        shades = _shades(entries.asked, entries.read["current"].si)
    with st.container(key="strip", gap=None):
        with st.container(horizontal=True, key="lead", vertical_alignment="center", gap="small"):
            st.html(p("lead", f"{lead(card, entries.look, number)}."))
            if len(card.lines) > 1 and card.ask is None:
                st.button(
                    say("Another line ({number} of {count})",
                        number=number % len(card.lines) + 1, count=len(card.lines)),
                    key="next-line",
                    on_click=_next_line,
                    args=(number + 1, len(card.lines)),
                )  # fmt: skip
        cutting = choices.cuts(entries.store, entries.asked.situation)
        st.html(
            strip(card, entries.look, quantities(entries.store), readings, shades, cutting=cutting)
        )


def _line_number(entries: Entries) -> int:
    """Return which line leads; a change of the situation starts again with the first."""
    asked, number = st.session_state.get(LINE, (None, 0))
    if asked != entries.asked:
        number = 0
        st.session_state[LINE] = (entries.asked, 0)
    return int(number)


def _next_line(number: int, count: int) -> None:
    asked, _ = st.session_state[LINE]
    st.session_state[LINE] = (asked, number % count)


def _draw_together(entries: Entries) -> None:
    result = entries.judged.together if len(entries.values) > 1 else None
    if result is None:
        return
    places = {
        match.row["line"]: f"{match.row['source']}, {match.row['locator'] or 'place not noted'}"
        for quantity in entries.values
        for match in applying(entries.asked, quantity)
    }
    st.html(fragments.together(result, places))


def _draw_cautions(entries: Entries) -> None:
    """Show what matters most, the rest one tap away."""
    cautions = cautions_for(entries.store, entries.asked.situation)
    names, words = document_names(entries.store), entries.look.words
    shown = fragments.cautions(cautions[:MOST_CAUTIONS], names, words)
    if rest := cautions[MOST_CAUTIONS:]:
        more = words.say("{count} more cautions for this work", count=len(rest))
        shown += aside(more, fragments.caution_list(rest, names, words))
    st.html(tag("div", shown, id="cautions"))


@lru_cache(maxsize=256)
def _shades(asked: Asked, amperes: float) -> tuple[Shade, ...]:
    return tuple(choices.shades(asked.store, asked.situation, (amperes,)))
