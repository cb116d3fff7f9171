"""Draw what many pages share: their head, the fields of a weld, lists, downloads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, Literal

import streamlit as st

from weldref.core.terms import choices, quantity_choices
from weldref.dashboard import markup
from weldref.data.store import Store
from weldref.handouts.link import FIELD_OF
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
GRADES = {
    "memory": "read, quoted or from memory",
    "secondary": "read or quoted",
    "read": "read in the source only",
}
STORED = {field: condition for condition, field in FIELD_OF.items()}
"""The condition that a field of another name holds."""
UNITS = {"us": "inch, °F", "metric": "metric"}
# Lists that no table can hold in full: any other common spelling may be typed.
_OPEN = ("material", "electrode", "gas")
WIDE, NARROW = 300, 190


@cache
def style(module: str) -> str:
    """Return the style sheet beside a module, which has its name."""
    return f"<style>{Path(module).with_suffix('.css').read_text(encoding='utf-8')}</style>"


def begin(module: str, question: str, about: str) -> None:
    """Draw the head of a page: its style sheet, the question that it answers, and how."""
    st.html(style(module))
    st.html(markup.header(question, about))


def _choice(options: Mapping[str, str] | Sequence[str], key: str) -> dict[str, Any]:
    """Offer stored words, each as what `options` calls it."""
    called = dict(options) if isinstance(options, Mapping) else {}
    return {
        "options": list(options),
        "key": key,
        "persist_state": "session",
        "format_func": lambda name: called.get(name, name),
    }


def one_of(label: str, options: Mapping[str, str] | Sequence[str], key: str, **how: Any) -> Any:
    """Draw a list that one thing is chosen from."""
    return st.selectbox(label, **_choice(options, key), **how)


def several_of(
    label: str, options: Mapping[str, str] | Sequence[str], key: str, **how: Any
) -> list[str]:
    """Draw a list that several things are chosen from."""
    chosen: list[str] = st.multiselect(label, **_choice(options, key), **how)
    return chosen


def radio(label: str, options: Mapping[str, str], key: str, **how: Any) -> str:
    """Draw a choice of a few words beside each other."""
    chosen: str = st.radio(label, **_choice(options, key), horizontal=True, **how)
    return chosen


def download(label: str, data: Any, name: str, key: str, **how: Any) -> None:
    """Offer a file; a function as `data` makes it only when it is asked for."""
    st.download_button(label, data=data, file_name=name, key=key, on_click="ignore", **how)


def note(text: str) -> None:
    """Draw one quiet sentence."""
    st.html(markup.note(text))


def problem(text: object) -> None:
    """Draw why something is not accepted."""
    st.html(markup.problem(str(text)))


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
    label, sizes = SIZES.get(name) or (TERMS[name], ())
    return several_of(
        label, sizes or offered(store, name), f"{tab}-{name}", default=default, width=WIDE,
        filter_mode="contains", accept_new_options=bool(sizes) or name in _OPEN,
        placeholder="type or choose" if sizes else "not said",
    )  # fmt: skip


def one(store: Store, tab: str, name: str, default: str | None = None) -> str:
    """Draw a field that takes one term or size; empty when it is left out."""
    key = f"{tab}-{name}"
    if name in SIZES:
        return line(SIZES[name][0], key, "1/8, 10 ga, 3.2 mm", default or "", 60, NARROW)
    # Not as the list's first index: a list that starts with a choice could not be emptied.
    st.session_state.setdefault(key, default)
    return (
        one_of(
            TERMS[name], offered(store, name), key, index=None, accept_new_options=name in _OPEN,
            placeholder="not said", filter_mode="contains", width=WIDE,
        )
        or ""
    )  # fmt: skip


def language(tab: str) -> str:
    """Draw the choice of a language."""
    names = {one: language_name(one) for one in LANGUAGES}
    return radio("Language", names, f"{tab}-language", width="content")


def grade(tab: str, width: int = WIDE) -> str:
    """Draw the choice of the lowest grade."""
    return str(one_of("Evidence to accept", GRADES, f"{tab}-grade", width=width))


def line(
    label: str, key: str, hint: str, default: str = "", longest: int = 120,
    width: int | Literal["stretch"] = WIDE,
    **how: Any,
) -> str:  # fmt: skip
    """Draw a line of text."""
    text: str = st.text_input(
        label, default, key=key, persist_state="session", placeholder=hint, max_chars=longest,
        width=width, **how,
    )  # fmt: skip
    return text
