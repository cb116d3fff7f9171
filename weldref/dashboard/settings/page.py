"""Is this setting inside what is published? The situation on the left, the answer on the right."""

from __future__ import annotations

import streamlit as st

from weldref.core.cautions import cautions_for
from weldref.core.check import NOT_APPROVAL
from weldref.dashboard import fragments
from weldref.dashboard.settings.address import address_problems, write_address
from weldref.dashboard.settings.answer import draw_what_else
from weldref.dashboard.settings.around import draw_choices, draw_follows
from weldref.dashboard.settings.dials import draw_dials, draw_fields
from weldref.dashboard.settings.entries import DIALS, Entries, read_entries
from weldref.dashboard.settings.form import draw_examples, draw_situation, fill_first_visit
from weldref.data.catalogue import document_names
from weldref.data.store import Store


def draw(store: Store) -> None:
    """Draw the page: it asks, and draws what it gets."""
    fill_first_visit()
    entries = read_entries(store)
    with st.sidebar:
        draw_situation(store, entries)
    st.html(
        "<header><h1>Is this setting inside what is published?</h1>"
        "<p>Published welding ranges, each with its source. Nothing is averaged or guessed.</p>"
        '<p class="turn">Situation, at the top left, opens process, metal, thickness and more.</p>'
        "</header>"
    )
    for problem in address_problems():
        st.html(fragments.problem(problem))
    draw_examples()
    if entries.situation is None or not entries.conditions:
        _draw_unanswered(store, entries)
    else:
        cautions = cautions_for(store, entries.situation)
        st.html(
            fragments.situation_line(str(entries.situation), entries.situation.notes)
            + f'<p class="turn"><a href="#cautions">{len(cautions)} cautions</a></p>'
        )
        with st.container(key="board"):
            with st.container(key="answer"):
                draw_dials(store, entries)
                draw_what_else(store, entries)
                st.html(fragments.meanings())
            with st.container(key="cautions"):
                draw_follows(store, entries)
                draw_choices(store, entries)
                listed = fragments.cautions(cautions, NOT_APPROVAL, document_names(store))
                st.html(f'<div id="cautions">{listed}</div>')
    write_address(entries)


def _draw_unanswered(store: Store, entries: Entries) -> None:
    """Say what is missing, and keep the values in reach."""
    if entries.situation is None:
        for name in entries.conditions:
            if name in entries.problems:
                st.html(fragments.problem(entries.problems[name]))
        st.html('<p class="empty">No answer until that is mended.</p>')
    else:
        st.html(
            '<p class="empty">Say what is on the bench: at least a process or a metal. '
            "Or pick one of the invented examples.</p>"
        )
    with st.container(key="other-values", gap="small"):
        st.html("<h2>Your values <span>Enter applies; units are optional</span></h2>")
        draw_fields(store, entries, DIALS)
