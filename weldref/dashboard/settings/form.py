"""What is on the bench? The fields of the situation, and the invented examples."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st

from weldref.advice.form_options import offers
from weldref.dashboard import fragments
from weldref.dashboard.settings.entries import (
    GRADES,
    STORED,
    Asked,
    Entries,
    compared,
    fill,
    write_unit,
)
from weldref.dashboard.settings.examples import EXAMPLES
from weldref.data.store import Store

LABELS = {
    "process": "Process",
    "transfer_mode": "Transfer mode",
    "material": "Metal",
    "electrode": "Electrode, wire or rod class",
    "joint": "Joint",
    "position": "Position",
    "polarity": "Polarity",
    "gas": "Gas",
    "tungsten": "Tungsten class",
    "code": "Code of the work",
    "thickness": "Thickness",
    "diameter": "Electrode, wire or tungsten diameter",
}
HINTS = {"thickness": "1/8, 10 ga, 3.2 mm", "diameter": "1/8, 0.035, 3.2 mm"}
# Lists that no table can hold in full: what is typed there counts, else the first match does.
_OPEN = ("material", "electrode", "gas")


def fill_first_visit() -> None:
    """Show the first example to who has entered nothing yet."""
    if "process" not in st.session_state:
        fill(EXAMPLES[0].entries)


def draw_situation(store: Store, entries: Entries) -> None:
    """Draw the fields of the situation; terms with published rows come first in each list."""
    st.html("<h2>Situation</h2>")
    for name in ("process", "material"):
        _choose(store, name, entries)
    _type(store, "thickness", entries)
    for name in ("position", "joint", "transfer_mode", "electrode"):
        _choose(store, name, entries)
    _type(store, "diameter", entries)
    for name in ("polarity", "gas", "tungsten", "code"):
        _choose(store, name, entries)
    st.selectbox("Evidence to accept", list(GRADES), key="grade", format_func=lambda g: GRADES[g])


def draw_examples() -> None:
    """Offer the examples, and a way to start from nothing."""
    with st.container(horizontal=True, gap="small", key="examples", vertical_alignment="center"):
        st.html("<p>Invented examples:</p>", width="content")
        for number, example in enumerate(EXAMPLES):
            st.button(
                example.label,
                key=f"example-{number}",
                help=example.story,
                on_click=fill,
                args=(example.entries,),
            )
        st.button("Clear", key="clear", on_click=fill, args=({},))


def tell(name: str, entries: Entries) -> None:
    """Say beside a field why its entry is refused."""
    if name in entries.problems:
        st.html(fragments.problem(entries.problems[name]))


def _choose(store: Store, name: str, entries: Entries) -> None:
    # While something is refused, nothing can be said of what fits it.
    asked: Asked = entries.asked if entries.situation else ((), entries.units)
    labels, with_rows = _offered(store, asked, entries.grade, STORED.get(name, name))
    st.selectbox(
        LABELS[name],
        list(labels),
        index=None,
        key=name,
        format_func=lambda term: labels.get(term, term),
        placeholder=f"not said ({with_rows} published)",
        accept_new_options=name in _OPEN,
        filter_mode="contains",
    )
    tell(name, entries)
    chosen = st.session_state[name]
    if chosen in labels and list(labels).index(chosen) >= with_rows and entries.situation:
        st.html('<p class="rare">No published row names this beside the rest.</p>')


def _type(store: Store, name: str, entries: Entries) -> None:
    st.text_input(
        LABELS[name],
        key=name,
        placeholder=HINTS[name],
        max_chars=60,
        autocomplete="off",
        on_change=write_unit,
        args=(store, name),
    )
    tell(name, entries)


@lru_cache(maxsize=512)
def _offered(store: Store, asked: Asked, grade: str, condition: str) -> tuple[dict[str, str], int]:
    """Return the labels by term, those with published rows first, and how many these are."""
    first, rest = offers(store, compared(store, asked, grade), condition)
    return {choice.name: str(choice) for choice in (*first, *rest)}, len(first)
