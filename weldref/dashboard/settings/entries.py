"""Resolve or refuse what the user entered, and keep it for the whole visit."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, NamedTuple

import streamlit as st

from weldref.advice.card import Card, card
from weldref.advice.choices import cuts, is_flame
from weldref.core.check import CheckResult, check_situation, read_value
from weldref.core.lookup import Match, compare, find
from weldref.core.situation import Situation, describe
from weldref.core.terms import QuantityChoice, quantity_choices
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import Row, show_rows
from weldref.dashboard import visit
from weldref.dashboard.settings.look import SWITCHES, Look, look
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.handouts.link import FIELD_OF, situation_fields

CHOSEN = (
    "process", "transfer_mode", "material", "electrode", "joint", "position", "polarity", "gas",
    "tungsten", "code",
)  # fmt: skip
TYPED = ("thickness", "diameter")
VALUES = (
    "wire_feed_speed", "current", "voltage", "travel_speed", "gas_flow", "purge_gas_flow",
    "plasma_gas_flow", "electrode_extension", "contact_tip_distance", "arc_length",
    "filler_diameter", "cup_diameter", "tip_orifice", "oxygen_pressure", "fuel_pressure",
    "plasma_gas_pressure", "assist_gas_pressure", "air_pressure", "laser_power",
    "focus_position", "standoff", "kerf_width", "preheat", "interpass",
)  # fmt: skip
"""What a card may hold, and what can be proposed for it."""

FIELDS = (*CHOSEN, *TYPED)
OF_THE_PROCESS = ("transfer_mode", "electrode", "diameter", "polarity", "gas", "tungsten")
"""Fields that another process lacks or names differently: a change of process empties them."""
REFUSED, DRAWN, _GOOD = "refused", "drawn-at", "good"
KEPT = (*FIELDS, *VALUES, "units", "grade", *SWITCHES)


@dataclass(frozen=True, slots=True)
class Entries:
    """What was entered, and the words that the reader chose.

    `situation` is None while a condition is refused; `problems` holds one sentence for each
    entry that is refused. `values` holds the accepted proposals as typed and `read` what they
    mean.
    """

    store: Store
    look: Look
    conditions: dict[str, str]
    situation: Situation | None
    values: dict[str, str]
    units: UnitSystem
    grade: str
    problems: dict[str, str] = field(default_factory=dict)
    read: dict[str, Value] = field(default_factory=dict)

    @property
    def asked(self) -> Asked:
        """What the answers follow from."""
        return Asked(self.store, tuple(self.conditions.items()), self.units, self.grade)

    @property
    def judged(self) -> CheckResult:
        """The verdicts on the accepted proposals."""
        return checked(self.asked, tuple(self.values.items()))

    @property
    def say(self) -> Callable[..., str]:
        """The function that writes a sentence in the language of the page."""
        return self.look.words.say

    def quantity(self, name: str) -> QuantityChoice:
        """Return a quantity by its stored name."""
        return quantities(self.store)[name]

    def unit(self, quantity: str) -> str:
        """Return the unit in which a quantity is shown."""
        choice = self.quantity(quantity)
        return choice.us_unit if self.units == "us" else choice.metric_unit

    def value_in(self, quantity: str, unit: str) -> float | None:
        """Return what was entered for a quantity, in a unit."""
        if quantity not in self.read:
            return None
        return float(f"{Units(self.store).convert(self.read[quantity].si, unit):.6g}")


def fill(entries: Mapping[str, str]) -> None:
    """Put entries into the fields; what is not among them becomes empty."""
    for name in CHOSEN:
        st.session_state[name] = entries.get(name)
    for name in (*TYPED, *VALUES):
        st.session_state[name] = entries.get(name, "")


def read_entries(store: Store) -> Entries:
    """Resolve what the fields hold before they are drawn: a message is then beside its field."""
    state = st.session_state.to_dict()
    units = visit.units()
    grade = state.get("grade", "memory")
    typed = {name: str(state.get(name) or "").strip() for name in FIELDS}
    conditions = {name: text for name, text in typed.items() if text}
    problems: dict[str, str] = {}
    situation = None
    try:
        situation = Asked(store, tuple(conditions.items()), units).situation
    except InputError as whole:
        # Only now look which one it is: a whole situation resolves in one go, which is faster.
        for name, text in conditions.items():
            try:
                alone(store, name, text, units)
            except InputError as error:
                problems[name] = str(error)
        # Should each be accepted alone, the message about them together must not be lost.
        if not problems:
            problems[next(iter(conditions), "process")] = str(whole)
    values, read = {}, {}
    for quantity in VALUES:
        text = str(state.get(quantity) or "").strip()
        if text:
            try:
                read[quantity] = value_of(store, quantity, text, units)
                values[quantity] = text
            except InputError as error:
                problems[quantity] = str(error)
    return Entries(store, look(), conditions, situation, values, units, grade, problems, read)


def take(store: Store, name: str) -> None:
    """Accept what was just entered, or refuse it: then the field gets its last good text back.

    An unknown word never stays; the message beside its field stays until the next entry.
    """
    state = st.session_state
    text = str(state.get(name) or "").strip()
    units = visit.units()
    state[REFUSED] = {}
    try:
        if text and name in FIELDS:
            found = situation_fields(alone(store, name, text, units))
            if name in CHOSEN:
                state[name] = found[name]
        elif text:
            value_of(store, name, text, units)
    except InputError as error:
        state[REFUSED] = {name: str(error)}
        state[name] = state.get(_GOOD, {}).get(name, None if name in CHOSEN else "")
        return
    if name not in CHOSEN:
        write_unit(store, name)
    if name == "process":
        for other in (*OF_THE_PROCESS, *VALUES):
            state[other] = None if other in CHOSEN else ""


def remember_good(entries: Entries) -> None:
    """Remember what each field holds while nothing in it is refused, and when that was drawn."""
    held = st.session_state.to_dict()
    names = (name for name in (*FIELDS, *VALUES) if name not in entries.problems)
    st.session_state[_GOOD] = {name: held.get(name) for name in names}
    st.session_state[DRAWN] = time.monotonic()


def write_unit(store: Store, name: str) -> None:
    """Write the unit beside a bare number, so that a change of units cannot change its meaning."""
    text = str(st.session_state.get(name) or "").strip()
    if not re.fullmatch(r"[-+\d./ ]+", text):
        return
    units = visit.units()
    try:
        if name in TYPED:
            # A bare fraction is one of an inch in either system.
            unit = "in" if units == "us" or "/" in text else "mm"
            alone(store, name, f"{text} {unit}", units)
        else:
            unit = value_of(store, name, text, units).unit
    except InputError:
        return  # it stays as typed, and the message beside it says why
    st.session_state[name] = f"{text} {unit}"


class Asked(NamedTuple):
    """What answers follow from and are kept by: a store holds one content for good."""

    store: Store
    conditions: tuple[tuple[str, str], ...]
    units: UnitSystem
    grade: str = "memory"

    @property
    def situation(self) -> Situation:
        """The conditions, resolved."""
        return described(self)

    @property
    def arc_weld(self) -> bool:
        """Whether it is neither cut nor welded with a flame."""
        return not is_flame(self.situation) and not cuts(self.store, self.situation)


@lru_cache(maxsize=512)
def described(asked: Asked) -> Situation:
    """Resolve conditions; answers are kept, because each change of a value asks again."""
    # As Any: a type checker cannot know that no entry is called `under_water`.
    keywords: dict[str, Any] = dict(asked.conditions)
    return describe(asked.store, **keywords, units=asked.units)


def alone(store: Store, name: str, text: str, units: UnitSystem) -> Situation:
    """Resolve one condition by itself."""
    return described(Asked(store, ((name, text),), units))


@lru_cache(maxsize=128)
def compared(asked: Asked) -> tuple[Match, ...]:
    """Return every row, compared with the situation."""
    return tuple(compare(asked.store, asked.situation, None, asked.grade))


@lru_cache(maxsize=512)
def applying(asked: Asked, quantity: str | None = None) -> tuple[Match, ...]:
    """Return the rows of a quantity, or of every one, that apply."""
    return tuple(find(asked.store, asked.situation, quantity, asked.grade))


@lru_cache(maxsize=512)
def own_rows(asked: Asked, quantity: str) -> tuple[Row, ...]:
    """Return own rows that apply beside the published ones."""
    store = asked.store
    if not store.beside:
        return ()
    return show_rows(store, find(store, asked.situation, quantity, asked.grade, own=True))


@lru_cache(maxsize=512)
def value_of(store: Store, quantity: str, text: str, units: UnitSystem) -> Value:
    """Read a value; a refusal is asked for again each time."""
    return read_value(store, quantity, text, units)[1]


@lru_cache(maxsize=256)
def checked(asked: Asked, values: tuple[tuple[str, str], ...]) -> CheckResult:
    """Judge values, each and together, and say whether the set-up makes sense."""
    return check_situation(asked.store, asked.situation, dict(values), asked.grade)


@lru_cache(maxsize=256)
def carded(asked: Asked, line: int) -> Card:
    """Make the card of a situation."""
    return card(asked.store, asked.situation, grade=asked.grade, line=line)


@lru_cache(maxsize=512)
def field_takes(store: Store, condition: str, value: str, units: UnitSystem) -> str:
    """Return the field that takes a value of a condition unchanged; "" where none does."""
    name = FIELD_OF.get(condition, condition)
    if name not in FIELDS:
        return ""
    try:
        alone(store, name, value, units)
    except InputError:
        return ""
    return name


@lru_cache(maxsize=4)
def quantities(store: Store) -> dict[str, QuantityChoice]:
    """Return the quantities by stored name."""
    return quantity_choices(store)
