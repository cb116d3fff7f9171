"""Draw the fields of a formula, and accept or refuse each entry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import streamlit as st

from weldref.calculate.by_name import explain, named, read_value
from weldref.calculate.lookups import TEXT
from weldref.charts.formulas import pretty
from weldref.dashboard import widgets
from weldref.dashboard.calculators.address import DILUTION, FILLER, LONGEST, inputs_of
from weldref.dashboard.calculators.examples import example, whole_example
from weldref.errors import InputError
from weldref.formulas.formula import Symbol
from weldref.handouts.words import sentence


@dataclass(frozen=True, slots=True)
class Entries:
    """What was entered; `problems` holds one sentence for each entry that is refused."""

    inputs: dict[str, str]
    missing: tuple[str, ...]
    problems: dict[str, str] = field(default_factory=dict)

    @property
    def ready(self) -> bool:
        """Whether there is all that an answer needs."""
        return not self.missing and not self.problems


@lru_cache(maxsize=256)
def explained(name: str) -> dict[str, Any]:
    """Explain a formula, once."""
    return explain(name)


def key_of(name: str, parameter: str, of: str = "") -> str:
    """Name the field of a parameter; `of` tells a second set of the same fields apart."""
    return f"calculators.{name}.{of}{parameter}"


def entered(name: str) -> dict[str, str]:
    """Return what is in the fields, as the address says it."""
    state = {key: str(st.session_state.get(key_of(name, key)) or "") for key in inputs_of(name)}
    return {key: text.strip() for key, text in state.items() if text.strip()}


def read_entries(name: str, of: str = "") -> Entries:
    """Read the fields before they are drawn, so that a message can be shown beside its field."""
    symbols = named(name).symbols
    inputs = {
        parameter: text
        for parameter in symbols
        if (text := str(st.session_state.get(key_of(name, parameter, of)) or "").strip())
    }
    problems = {}
    for parameter, text in inputs.items():
        try:
            check(parameter, symbols[parameter], text)
        except InputError as error:
            problems[parameter] = str(error)
    needed = [p["name"] for p in explained(name)["parameters"] if p["needed"]]
    return Entries(inputs, tuple(key for key in needed if key not in inputs), problems)


def check(parameter: str, symbol: Symbol, text: str) -> None:
    """Refuse a text that is not a value of a parameter.

    >>> check("leg", Symbol("a", "m", "leg", above=0.0), "-3 mm")
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: leg: -0.003 is not possible; give a number above 0 m
    """
    value = read_value(parameter, symbol, text)
    if symbol.unit == TEXT:
        return
    for number in value if isinstance(value, tuple) else (value,):
        symbol.check(parameter, getattr(number, "nominal_value", number))


def draw_fields(name: str, problems: Mapping[str, str], of: str = "") -> None:
    """Draw the fields, those that an answer needs first; contents of elements are narrow."""
    symbols = named(name).symbols
    parameters = explained(name)["parameters"]
    for needed in (True, False):
        for percent in (False, True):
            fields = [
                parameter
                for parameter in parameters
                if parameter["needed"] == needed
                and (symbols[parameter["name"]].unit == "%") == percent
            ]
            look = "narrow" if percent else "wide"
            if fields:
                with st.container(key=f"calculators-fields-{look}-{of}{needed}", gap="small"):
                    for parameter in fields:
                        _draw_field(name, parameter, problems, of)


def draw_buttons(name: str, of: str = "") -> None:
    """Offer an example and a way to start from nothing."""
    with st.container(key=f"calculators.buttons.{of}", horizontal=True, gap="small"):
        example = "Fill in an invented example"
        key = f"calculators.example.{of}{name}"
        st.button(example, key=key, on_click=_fill_example, args=(name, of))
        st.button("Clear", key=f"calculators.clear.{of}{name}", on_click=fill, args=(name, {}, of))


def fill(name: str, inputs: Mapping[str, str], of: str | None = None) -> None:
    """Put values into the fields of a formula and empty the others; `of` names one set of them."""
    for parameter, symbol in inputs_of(name).items():
        second = parameter.startswith(FILLER)
        if of is None or second == (of == FILLER):
            text = inputs.get(parameter)
            st.session_state[key_of(name, parameter)] = text if symbol.choices else text or ""


def _fill_example(name: str, of: str) -> None:
    choices = {key: symbol.choices for key, symbol in named(name).symbols.items()}
    found = whole_example(explained(name), choices)
    if of == FILLER:
        found[DILUTION] = example(name, DILUTION)
    fill(name, {f"{of}{key}": text for key, text in found.items()}, of)


def _draw_field(
    name: str, parameter: Mapping[str, Any], problems: Mapping[str, str], of: str
) -> None:
    key = parameter["name"]
    symbol = named(name).symbols[key]
    label = field_label(key, symbol)
    if symbol.choices:
        hint = "pick one" if parameter["needed"] else "not said"
        widgets.one_of(label, symbol.choices, key_of(name, key, of), index=None, placeholder=hint)
    else:
        pattern = example(name, key)
        default, left_out = parameter["default"], ""
        if isinstance(default, (int, float)):
            left_out = f"; {pretty(f'{default:g} {symbol.unit}'.strip())} if left out"
        hint = f"like {pretty(pattern)}{left_out}" if pattern else ""
        st.text_input(
            label, key=key_of(name, key, of), placeholder=hint, max_chars=LONGEST,
            autocomplete="off", persist_state="session",
        )  # fmt: skip
    if key in problems:
        widgets.problem(problems[key])


def field_label(parameter: str, symbol: Symbol) -> str:
    """Name a field by its meaning and its letter in the equation.

    >>> field_label("leg", Symbol("a", "m", "leg of the fillet"))
    'Leg of the fillet, a'
    """
    meaning = sentence(symbol.meaning) or parameter
    plain = symbol.letter.replace("lambda", "λ").replace("rho", "ρ")
    told = not plain or plain == parameter or meaning.split()[-1] == plain
    return meaning if told else f"{meaning}, {plain}"
