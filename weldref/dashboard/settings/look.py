"""Choose the words and the size of the page: a beginner's or the trade's, English or Spanish.

Our sentences and the terms of the tables are in the catalogue of the handouts.
"""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st

from weldref.core.situation import LABELS
from weldref.core.terms import QuantityChoice
from weldref.grades import SHORT
from weldref.handouts.words import LANGUAGES, Words, language_name, later, sentence, words

BEGINNERS = {
    "wire_feed_speed": later("Wire speed"),
    "current": later("Amps"),
    "voltage": later("Volts"),
    "electrode_extension": later("Stick-out"),
    "contact_tip_distance": later("Tip to work"),
    "travel_speed": later("How fast you move"),
    "preheat": later("Warm it first to"),
    "interpass": later("Hottest between passes"),
    "filler_diameter": later("Rod size"),
    "cup_diameter": later("Cup size"),
    "purge_gas_flow": later("Gas behind the weld"),
    "standoff": later("Torch to work"),
    "kerf_width": later("Width of the cut"),
    "tip_orifice": later("Hole of the tip"),
    "filler_class": later("Electrode or wire"),
    "electrode_size": later("Size"),
    "tungsten_class": later("Tungsten"),
}
"""What a beginner calls a quantity or a condition; the trade's term is beside it."""

PROCESSES = {
    "SMAW": later("Stick"),
    "GMAW": later("MIG"),
    "FCAW-G": later("Flux core with gas"),
    "FCAW-S": later("Flux core, no gas"),
    "GTAW": later("TIG"),
    "PAC": later("Plasma cutting"),
    "OFC": later("Torch cutting"),
}
"""The processes that are one tap away, by what people call them."""

METALS = {
    "mild steel": later("mild steel"),
    "304": later("stainless (304)"),
    "aluminium": later("aluminium"),
    "titanium": later("titanium"),
}
"""The metals that are one tap away."""

READ_HOW = SHORT | {"memory": later("recalled"), "own": later("own")}

SWITCHES = ("words", "language", "text")


@dataclass(frozen=True, slots=True)
class Look:
    """The reader's words: `plain` ones or the trade's, in one language."""

    plain: bool
    words: Words

    def named(self, name: str, term: str) -> tuple[str, str]:
        """Return what to call a quantity or condition, and the trade's term beside it."""
        trade = sentence(self.words.term(term))
        if self.plain and name in BEGINNERS:
            return self.words.say(BEGINNERS[name]), trade
        return trade, ""

    def quantity(self, choice: QuantityChoice) -> tuple[str, str]:
        """Return what to call a quantity, and the trade's term beside it."""
        return self.named(choice.name, choice.title)

    def condition(self, name: str) -> tuple[str, str]:
        """Return what to call a condition, and the trade's term beside it."""
        return self.named(name, self.words.say({**LABELS, **CONDITIONS}[name]))

    def metal(self, name: str) -> str:
        """Return what to call a metal that is one tap away."""
        return self.words.say(METALS[name])

    def process(self, name: str) -> str:
        """Return what to call a process, with its letters."""
        if not self.plain or name not in PROCESSES:
            return name
        return f"{self.words.say(PROCESSES[name])} ({name})"


CONDITIONS = {
    "material": later("metal"),
    "filler_class": later("electrode class"),
    "scope": later("code of the work"),
}
"""The trade's terms for conditions, where the page has another than the rest."""


def look() -> Look:
    """Return the words that the reader chose."""
    state = st.session_state
    language = state.get("language", "en")
    return Look(state.get("words", "plain") == "plain",
                words(language if language in LANGUAGES else "en"))  # fmt: skip


def draw_switches(chosen: Look) -> None:
    """Draw the switches: words, language, size of the text."""
    say = chosen.words.say
    with st.popover(say("View"), key="view"):
        plain, trade = say("everyday"), say("the trade's alone")
        normal, large = say("normal"), say("large, to project")
        _switch(say("Words"), "words", {"plain": plain, "trade": trade})
        _switch(say("Language"), "language", {one: language_name(one) for one in LANGUAGES})
        _switch(say("Text"), "text", {"normal": normal, "large": large})
    if st.session_state["text"] == "large":
        st.html("<style>html { font-size: 22px !important; }</style>")


def _switch(label: str, key: str, options: dict[str, str]) -> None:
    st.radio(
        label, list(options), key=key, format_func=lambda one: options[one], persist_state="session"
    )
