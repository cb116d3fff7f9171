"""Open the page at the situation in its address, and keep the address up to date.

The names in the address are those that a handout's code writes (`weldref.handouts.link`).
"""

from __future__ import annotations

import streamlit as st

from weldref.core.check import read_value
from weldref.core.units import UnitSystem
from weldref.dashboard import visit
from weldref.dashboard.settings.entries import (
    FIELDS,
    KEPT,
    VALUES,
    Entries,
    alone,
    fill,
)
from weldref.dashboard.widgets import GRADES
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.handouts.link import situation_fields
from weldref.handouts.words import LANGUAGES, sentence

LONGEST = 60
SWITCHED = {"units": ("us", "metric"), "grade": tuple(GRADES), "language": LANGUAGES}
"""Settings of the page that the address may hold, and the words that they take."""
NAMES = (*FIELDS, *VALUES, *SWITCHED)
MOST_PROBLEMS = 5
UNKNOWN = "The address names '{}', which is not a field of this page; it is ignored"

_WRITTEN = "settings.address"
_LEFT = "address-left"
_PROBLEMS = "address-problems"


def read_address(store: Store) -> None:
    """Fill the fields with what a new address says, before any field is drawn.

    The address is new on the first run, and when the reader went back in the browser: then nothing
    was entered since the last run, and yet the address is not the one that was written last. An
    empty address is the start of the visit, unless another page was open before.
    """
    state = st.session_state
    now = st.query_params.to_dict()
    first = _WRITTEN not in state
    entered = not first and state[_LEFT] != _entered()
    if entered:
        state[_PROBLEMS] = ()  # a reader who went on has seen them
    if entered or (not first and now == state[_WRITTEN]):
        return
    unknown = [UNKNOWN.format(_short(name)) for name in now if name not in NAMES and first]
    entries, problems = _accepted(store, now)
    if any(name in now for name in (*FIELDS, *VALUES)) or (
        visit.stayed() and not first and not now
    ):
        fill(entries)
    for name in SWITCHED:
        if name in entries:
            state[name] = entries[name]
    state[_PROBLEMS] = (*problems, *unknown)[:MOST_PROBLEMS]


def address_problems() -> tuple[str, ...]:
    """Return one sentence for each part of the address that was not accepted."""
    return tuple(st.session_state.get(_PROBLEMS, ()))


def write_address(entries: Entries) -> None:
    """Let the address say what the page shows, as stored terms with units."""
    if entries.situation is None:
        said = dict(entries.conditions)
    else:
        said = situation_fields(entries.situation)
    for quantity, text in entries.values.items():
        with_unit = any(c.isalpha() or c in '°%"' for c in text)
        said[quantity] = text if with_unit else str(entries.read[quantity])
    if entries.units != "us":
        said["units"] = entries.units
    if entries.grade != "memory":
        said["grade"] = entries.grade
    language = st.session_state.get("language", "en")
    if language != "en":
        said["language"] = language
    visit.write_address("settings", said)
    st.session_state[_LEFT] = _entered()


def _entered() -> dict[str, str]:
    state = st.session_state.to_dict()
    return {key: str(state.get(key) or "") for key in KEPT}


def _accepted(store: Store, said: dict[str, str]) -> tuple[dict[str, str], list[str]]:
    """Return what the fields can hold, and why the rest was not accepted."""
    entries: dict[str, str] = {}
    problems: list[str] = []
    for name, accepted in SWITCHED.items():
        if name in said and said[name] not in accepted:
            problems.append(
                f"{name}: the address gives '{_short(said[name])}'; give {' or '.join(accepted)}"
            )
        elif name in said:
            entries[name] = said[name]
    units: UnitSystem = "metric" if entries.get("units") == "metric" else "us"
    for name, given in said.items():
        text = " ".join(given.split())
        if name not in NAMES or name in SWITCHED or not text:
            continue
        if len(text) > LONGEST or not text.isprintable():
            problems.append(
                f"{name.replace('_', ' ')}: the address gives '{_short(text)}'; "
                f"give up to {LONGEST} plain characters"
            )
            continue
        try:
            if name in FIELDS:
                entries[name] = situation_fields(alone(store, name, text, units))[name]
            else:
                read_value(store, name, text, units)
                entries[name] = text
        except InputError as error:
            problems.append(str(error))
    return entries, [sentence(problem) for problem in problems]


def _short(text: str) -> str:
    plain = "".join(c if c.isprintable() else " " for c in text)
    return plain if len(plain) <= LONGEST else f"{plain[: LONGEST - 3]}..."
