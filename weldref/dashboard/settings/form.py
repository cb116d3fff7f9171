"""Ask what is on the bench: three taps, then the rest, and the invented examples."""

from __future__ import annotations

import re
import time
from functools import lru_cache

import streamlit as st

from weldref.advice.form_options import conditions_of, offers
from weldref.dashboard import widgets
from weldref.dashboard.markup import p, tag
from weldref.dashboard.settings.entries import (
    DRAWN,
    FIELDS,
    REFUSED,
    TYPED,
    Asked,
    Entries,
    compared,
    field_takes,
    fill,
    take,
)
from weldref.dashboard.settings.examples import EXAMPLES
from weldref.dashboard.settings.look import METALS, PROCESSES, Look
from weldref.dashboard.visit import units
from weldref.dashboard.widgets import GRADES, STORED
from weldref.data.store import Store
from weldref.handouts.words import later, sentence

THICKNESSES = {
    "us": ("1/16 in", "1/8 in", "3/16 in", "1/4 in", "3/8 in", "1/2 in"),
    "metric": ("1.6 mm", "3.2 mm", "4.8 mm", "6.4 mm", "9.5 mm", "12.7 mm"),
}
TAPS = {
    "process": (later("1. Process"), later("Any other process")),
    "material": (later("2. Metal"), later("Any other metal")),
    "thickness": (later("3. Thickness"), later("Any other thickness")),
}
"""The heading of each row of taps, and the name of the field below it."""
HINTS = {"thickness": "1/8, 10 ga, 3.2 mm", "diameter": "1/8, 0.035, 3.2 mm"}
# Lists that no table can hold in full: any other common spelling may be typed.
_OPEN = ("material", "electrode", "gas", "tungsten", "code")


def draw_bench(entries: Entries) -> None:
    """Draw the three taps, folded into one line once all are said, and the further fields."""
    say = entries.say
    given = entries.situation.given() if entries.situation else {}
    said = [
        entries.look.process(value) if name == "process" else entries.look.words.term(value)
        for name, value in given.items()
    ]
    complete = all(name in entries.conditions for name in TAPS)
    summary = say("On the bench: {said}", said=", ".join(said)) if said else say("Three taps")
    # Without a key of its own an expander folds when its words change: the third tap closes it.
    with (
        st.container(key="bench"),
        st.expander(plain(summary), expanded=not complete),
    ):
        for place, name in zip(st.columns(3), TAPS, strict=True):
            with place, st.container(gap="small"):
                _tap(name, entries)


def draw_further(entries: Entries) -> None:
    """Draw the fields beyond the three taps, of those that the process has, once opened."""
    say = entries.say
    # The lists of what fits cost more than the card: a change stays fast while they are closed.
    more = st.expander(say("Say more about the job"), key="more-said", on_change="rerun")
    if not more.open:
        return
    asked = [name for name in FIELDS if name not in TAPS and _asked(name, entries)]
    with more, st.container(key="further"):
        for name in asked:
            _draw_field(name, entries)
        st.selectbox(
            say("Evidence to accept"),
            list(GRADES),
            key="grade",
            format_func=lambda g: GRADES[g],
            persist_state="session",
        )


def _asked(name: str, entries: Entries) -> bool:
    """Tell whether a field is worth showing: the process has it, or it holds something."""
    if name in entries.conditions or entries.situation is None:
        return True
    process = entries.situation.terms.get("process")
    if process is None:
        return name in ("electrode", "diameter", "position")
    return STORED.get(name, name) in conditions_of(entries.store, process.name)


def draw_examples(look: Look) -> None:
    """Offer the examples, and a way to start from nothing."""
    say = look.words.say
    with st.container(horizontal=True, gap="small", key="examples", vertical_alignment="center"):
        st.html(tag("p", say("Invented examples"), ":"), width="content")
        for number, example in enumerate(EXAMPLES):
            st.button(
                say(example.label), key=f"example-{number}", help=example.story, on_click=fill,
                args=(example.entries,),
            )  # fmt: skip
        st.button(say("Clear"), key="clear", on_click=fill, args=({},))


def tell(name: str, entries: Entries) -> None:
    """Say beside a field why its entry is refused."""
    refused = st.session_state.get(REFUSED, {})
    text = refused.get(name) or entries.problems.get(name)
    if text:
        widgets.problem(text)


def _tap(name: str, entries: Entries) -> None:
    options: tuple[str, ...] = {
        "process": tuple(PROCESSES),
        "material": tuple(METALS),
        "thickness": THICKNESSES[entries.units],
    }[name]
    heading, _ = TAPS[name]
    now = entries.conditions.get(name)
    wanted = now if now in options else None
    # Only when it differs: what is set here overtakes a tap that is still on its way.
    if st.session_state.get(f"tap-{name}") != wanted:
        st.session_state[f"tap-{name}"] = wanted
    called = {"process": entries.look.process, "material": entries.look.metal}
    st.pills(
        entries.say(heading), options, key=f"tap-{name}", on_change=_tapped,
        args=(entries.store, name), format_func=called.get(name, str),
    )  # fmt: skip
    _draw_field(name, entries)


TAPPED = "tapped-at"
ON_ITS_WAY = 3.0
"""Seconds in which the browser may not know yet that a tap filled a field."""


def _tapped(store: Store, name: str) -> None:
    st.session_state[TAPPED] = {**st.session_state.get(TAPPED, {}), name: time.monotonic()}
    _fill_from_tap(name)
    take(store, name)


def _fill_from_tap(name: str) -> None:
    st.session_state[name] = st.session_state[f"tap-{name}"] or (
        None if name != "thickness" else ""
    )


def _overtaken(name: str) -> bool:
    """Tell whether a field reports an old text that the browser sent along with the next tap."""
    tapped = st.session_state.get(TAPPED, {}).get(name)
    if tapped is None:
        return False
    drawn_since = st.session_state.get(DRAWN, 0.0) > tapped
    return not drawn_since or time.monotonic() - tapped < ON_ITS_WAY


def _draw_field(name: str, entries: Entries) -> None:
    if name in TYPED:
        _type(name, entries)
    else:
        _choose(name, entries)


def _choose(name: str, entries: Entries) -> None:
    say = entries.say
    # While something is refused, nothing can be said of what fits it.
    conditions = entries.asked.conditions if entries.situation else ()
    if name in TAPS:  # which processes and metals there are does not depend on a size
        conditions = tuple((n, said) for n, said in conditions if n in ("process", "material"))
    asked = entries.asked._replace(conditions=conditions)
    labels, with_rows = _offered(asked, STORED.get(name, name))
    st.selectbox(
        _label(name, entries.look), list(labels), None, key=name, persist_state="session",
        format_func=lambda term: labels.get(term, term),
        placeholder=say("not said ({count} published)", count=with_rows),
        accept_new_options=name in _OPEN, filter_mode="contains",
        on_change=_chosen, args=(entries.store, name, labels),
    )  # fmt: skip
    tell(name, entries)
    chosen = st.session_state[name]
    if chosen in labels and list(labels).index(chosen) >= with_rows and entries.situation:
        st.html(p("rare", say("No published row names this beside the rest.")))


def _chosen(store: Store, name: str, labels: dict[str, str]) -> None:
    """Take what was chosen or typed; for part of a name, the first match in the list."""
    if _overtaken(name):
        _fill_from_tap(name)
        return
    typed = str(st.session_state[name] or "")
    if typed and typed not in labels and not field_takes(store, name, typed, units()):
        shown = [term for term, label in labels.items() if typed.casefold() in label.casefold()]
        if shown:
            st.session_state[name] = shown[0]
    take(store, name)


def _type(name: str, entries: Entries) -> None:
    st.text_input(
        _label(name, entries.look), key=name, placeholder=HINTS[name], max_chars=60,
        persist_state="session", autocomplete="off", on_change=_typed, args=(entries.store, name),
    )  # fmt: skip
    tell(name, entries)


def _typed(store: Store, name: str) -> None:
    if _overtaken(name) and not st.session_state[name]:
        _fill_from_tap(name)
        return
    take(store, name)


def _label(name: str, look: Look) -> str:
    """Name a field: a beginner's word with the trade's beside it."""
    if name in TAPS:
        _, other = TAPS[name]
        return look.words.say(other)
    plain_name, trade = look.condition(STORED.get(name, name))
    return f"{plain_name} ({trade.lower()})" if trade else plain_name


def plain(text: str) -> str:
    r"""Write a text so that a label of Streamlit shows it unchanged.

    >>> plain("98 Ar / 2 O2 [M12]: *inside*")
    '98 Ar / 2 O2 \\[M12\\]\\: \\*inside\\*'
    """
    return re.sub(r"([\\`*_\[\]$~:<>#&|])", r"\\\1", text)


@lru_cache(maxsize=512)
def _offered(asked: Asked, condition: str) -> tuple[dict[str, str], int]:
    """Return the labels by term, those with published rows first, and how many these are."""
    first, rest = offers(asked.store, compared(asked), condition)
    return {choice.name: sentence(str(choice)) for choice in (*first, *rest)}, len(first)
