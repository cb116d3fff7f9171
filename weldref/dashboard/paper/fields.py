"""Draw the fields that the tabs share, and keep their entries when the reader leaves."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st

from weldref.core.terms import choices, quantity_choices
from weldref.dashboard.settings.entries import GRADES, STORED
from weldref.data.store import Store
from weldref.handouts.words import LANGUAGES, language_name

TERMS = {
    "process": "Process",
    "material": "Metal",
    "electrode": "Electrode, wire or rod class",
    "position": "Position",
    "transfer_mode": "Transfer mode",
    "joint": "Joint",
    "polarity": "Polarity",
    "gas": "Gas",
    "code": "Code of the work",
}
SIZES = {
    "thickness": ("Thickness", ("1/16", "1/8", "3/16", "1/4", "3/8", "1/2", "3 mm", "6 mm")),
    "diameter": ("Electrode or wire diameter", ("3/32", "1/8", "5/32", "0.035", "0.045")),
}
PAPERS = {"letter": "Letter", "a4": "A4"}
CHART_PAPERS = {**PAPERS, "tabloid": "Tabloid", "a3": "A3", "a2": "A2"}
# Lists that no table can hold in full: any other common spelling may be typed.
_OPEN = ("material", "electrode", "gas")
WIDE, NARROW = 300, 190


# A store holds one content of the tables for good: what is kept by store cannot go stale.
@lru_cache(maxsize=16)
def offered(store: Store, condition: str) -> dict[str, str]:
    """Name what a list offers for a condition of the situation."""
    return {one.name: str(one) for one in choices(store, STORED.get(condition, condition))}


@lru_cache(maxsize=4)
def quantities(store: Store) -> dict[str, str]:
    """Name the quantities."""
    return {name: one.title.capitalize() for name, one in quantity_choices(store).items()}


def several(store: Store, tab: str, name: str, default: list[str] | None = None) -> list[str]:
    """Draw a field that takes several terms or sizes."""
    if name in SIZES:
        label, sizes = SIZES[name]
        options = dict(zip(sizes, sizes, strict=True))
    else:
        label, options = TERMS[name], offered(store, name)
    return st.multiselect(
        label,
        list(options),
        default=default,
        key=f"{tab}-{name}",
        persist_state="session",
        format_func=lambda term: options.get(term, term),
        accept_new_options=name in SIZES or name in _OPEN,
        placeholder="type or choose" if name in SIZES else "not said",
        filter_mode="contains",
        width=WIDE,
    )


def one(store: Store, tab: str, name: str, default: str | None = None) -> str:
    """Draw a field that takes one term or size; empty when it is left out."""
    if name in SIZES:
        return st.text_input(
            SIZES[name][0],
            default or "",
            key=f"{tab}-{name}",
            persist_state="session",
            placeholder="1/8, 10 ga, 3.2 mm",
            max_chars=60,
            width=NARROW,
        )
    options = offered(store, name)
    # Not as the list's first index: a list that starts with a choice could not be emptied.
    st.session_state.setdefault(f"{tab}-{name}", default)
    chosen = st.selectbox(
        TERMS[name],
        list(options),
        index=None,
        key=f"{tab}-{name}",
        persist_state="session",
        format_func=lambda term: options.get(term, term),
        accept_new_options=name in _OPEN,
        placeholder="not said",
        filter_mode="contains",
        width=WIDE,
    )
    return chosen or ""


def language(tab: str) -> str:
    """Draw the choice of a language."""
    return radio(tab, "language", "Language", {one: language_name(one) for one in LANGUAGES})


def radio(tab: str, name: str, label: str, options: dict[str, str]) -> str:
    """Draw a choice of a few words."""
    return st.radio(
        label,
        list(options),
        key=f"{tab}-{name}",
        persist_state="session",
        format_func=lambda one: options[one],
        horizontal=True,
        width="content",
    )


def grade(tab: str) -> str:
    """Draw the choice of the lowest grade."""
    return st.selectbox(
        "Evidence to accept",
        list(GRADES),
        key=f"{tab}-grade",
        persist_state="session",
        format_func=lambda name: GRADES[name],
        width=WIDE,
    )


def line(tab: str, name: str, label: str, hint: str, default: str = "", longest: int = 120) -> str:
    """Draw a line of text."""
    return st.text_input(
        label,
        default,
        key=f"{tab}-{name}",
        persist_state="session",
        placeholder=hint,
        max_chars=longest,
        width=WIDE,
    )
