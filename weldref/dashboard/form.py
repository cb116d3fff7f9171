"""What did the user enter? The fields of the page, and each entry resolved or refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import streamlit as st

from weldref.charts import unit_sign
from weldref.checks import read_value
from weldref.dashboard import fragments
from weldref.dashboard.examples import EXAMPLES
from weldref.errors import InputError
from weldref.situation import Situation, describe
from weldref.store import Store
from weldref.terms import QuantityChoice, choices, quantity_choices
from weldref.units import UnitSystem

# Entry -> label; the order of the fields on the page.
CHOSEN = {
    "process": "Process",
    "transfer_mode": "Transfer mode",
    "material": "Metal",
    "electrode": "Electrode, wire or rod class",
    "joint": "Joint",
    "position": "Position",
    "polarity": "Polarity",
    "gas": "Gas",
}
TYPED = {
    "thickness": ("Thickness", "1/8, 10 ga, 3.2 mm"),
    "diameter": ("Electrode, wire or tungsten diameter", "1/8, 0.035, 3.2 mm"),
}
PROPOSED = (
    "current",
    "voltage",
    "wire_feed_speed",
    "travel_speed",
    "gas_flow",
    "preheat",
    "interpass",
    "contact_tip_distance",
)
UNITS = {"us": "inch, °F", "metric": "metric"}
GRADES = {
    "memory": "read, quoted or from memory",
    "secondary": "read or quoted",
    "read": "read in the source only",
}
_STORED = {"electrode": "filler_class"}
# Lists that no table can hold in full: what is typed there counts, else the first match does.
_OPEN = ("material", "electrode", "gas")
# What the rows of a process name comes first where a list has little else in common.
_BY_PROCESS = ("transfer_mode", "electrode", "gas")


@dataclass(frozen=True, slots=True)
class Entries:
    """What was entered.

    `situation` is None while a condition is refused; `problems` holds one sentence for each
    entry that is refused. `values` holds the accepted proposals as typed.
    """

    conditions: dict[str, str]
    situation: Situation | None
    values: dict[str, str]
    units: UnitSystem
    grade: str
    problems: dict[str, str] = field(default_factory=dict)


def fill_first_visit() -> None:
    """Show the first example to who has entered nothing yet."""
    if "process" not in st.session_state:
        _fill(EXAMPLES[0].entries)


def read_entries(store: Store) -> Entries:
    """Resolve what the fields hold, before they are drawn, so that a message can stand beside."""
    state = st.session_state
    units: UnitSystem = state.get("units", "us")
    grade = state.get("grade", "memory")
    typed = {name: str(state.get(name) or "").strip() for name in (*CHOSEN, *TYPED)}
    conditions = {name: text for name, text in typed.items() if text}
    problems: dict[str, str] = {}
    situation = None
    try:
        situation = describe(store, **_keywords(conditions), units=units)
    except InputError as whole:
        # Only now look which one it is: a whole situation resolves in one go, which is faster.
        for name, text in conditions.items():
            try:
                describe(store, **_keywords({name: text}), units=units)
            except InputError as error:
                problems[name] = str(error)
        # Should each be accepted alone, the message about them together must not be lost.
        if not problems:
            problems[next(iter(conditions), "process")] = str(whole)
    values = {}
    for quantity in PROPOSED:
        text = str(state.get(quantity) or "").strip()
        if text:
            try:
                read_value(store, quantity, text, units)
                values[quantity] = text
            except InputError as error:
                problems[quantity] = str(error)
    return Entries(conditions, situation, values, units, grade, problems)


def draw_situation(store: Store, entries: Entries) -> None:
    """Draw the fields of the situation."""
    st.html("<h2>Situation</h2>")
    process = None
    if entries.situation and "process" in entries.situation.terms:
        process = entries.situation.terms["process"].name
    for name in ("process", "transfer_mode", "material"):
        _choose(store, name, entries, process)
    _type("thickness", entries)
    _choose(store, "electrode", entries, process)
    _type("diameter", entries)
    for name in ("joint", "position", "polarity", "gas"):
        _choose(store, name, entries, process)
    st.radio(
        "Units of bare numbers",
        list(UNITS),
        key="units",
        format_func=lambda u: UNITS[u],
        horizontal=True,
    )
    st.selectbox("Evidence to accept", list(GRADES), key="grade", format_func=lambda g: GRADES[g])


def draw_values(store: Store, entries: Entries) -> None:
    """Draw the fields of the proposed values; they wrap to what the screen holds."""
    st.html("<h2>Your values <span>Enter applies; units are optional</span></h2>")
    with st.container(horizontal=True, gap="small", key="values"):
        for quantity in PROPOSED:
            with st.container(key=f"value-{quantity}", gap=None, width=172):
                _propose(quantities(store)[quantity], entries)


def draw_examples() -> None:
    """Offer the examples, and a way to start from nothing."""
    with st.container(horizontal=True, gap="small", key="examples", vertical_alignment="center"):
        st.html("<p>Invented examples:</p>", width="content")
        for number, example in enumerate(EXAMPLES):
            st.button(
                example.label,
                key=f"example-{number}",
                help=example.story,
                on_click=_fill,
                args=(example.entries,),
            )
        st.button("Clear", key="clear", on_click=_fill, args=({},))


def _keywords(conditions: dict[str, str]) -> dict[str, Any]:
    # As Any: a type checker cannot know that no entry is called `under_water` or `units`.
    return dict(conditions)


def _fill(entries: Mapping[str, str]) -> None:
    for name in CHOSEN:
        st.session_state[name] = entries.get(name)
    for name in (*TYPED, *PROPOSED):
        st.session_state[name] = entries.get(name, "")


def _choose(store: Store, name: str, entries: Entries, process: str | None) -> None:
    offered = _offered(store, _STORED.get(name, name), process if name in _BY_PROCESS else None)
    st.selectbox(
        CHOSEN[name],
        list(offered),
        index=None,
        key=name,
        format_func=lambda term: offered.get(term, term),
        placeholder="not said",
        accept_new_options=name in _OPEN,
        filter_mode="contains",
    )
    _tell(name, entries)


def _type(name: str, entries: Entries) -> None:
    label, hint = TYPED[name]
    st.text_input(label, key=name, placeholder=hint, max_chars=60, autocomplete="off")
    _tell(name, entries)


def _propose(quantity: QuantityChoice, entries: Entries) -> None:
    unit = unit_sign(quantity.us_unit if entries.units == "us" else quantity.metric_unit)
    # The fields stand side by side: a label must fit on one line.
    title = quantity.title.removesuffix(" temperature")
    title = title.replace("contact-tip-to-work distance", "contact tip to work")
    st.text_input(
        f"{title[0].upper()}{title[1:]}",
        key=quantity.name,
        placeholder=unit,
        max_chars=60,
        autocomplete="off",
    )
    _tell(quantity.name, entries)


def _tell(name: str, entries: Entries) -> None:
    if name in entries.problems:
        st.html(fragments.problem(entries.problems[name]))


# A store holds one content of the tables for good: what is kept by store cannot go stale.
@lru_cache(maxsize=256)
def _offered(store: Store, condition: str, process: str | None) -> dict[str, str]:
    return {choice.name: str(choice) for choice in choices(store, condition, process)}


@lru_cache(maxsize=4)
def quantities(store: Store) -> dict[str, QuantityChoice]:
    """Return the quantities by stored name."""
    return quantity_choices(store)
