"""A formula must not care in which units its numbers come.

Each formula is computed twice: in SI, and with every input converted by pint to inches,
pounds, minutes and hundredths of the currency. The second answer has to be the first one,
converted. A constant that hides a unit, or a wrong power, breaks this.
"""

import functools
import importlib
import re
from typing import Any

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from weldref.formulas.formula import REGISTRY, Symbol

MODULES = (
    "constitution",
    "cost",
    "deposit",
    "everyday",
    "fillet",
    "gas",
    "groove",
    "purge",
    "strength",
    "wire",
)
HOLDS_A_MEASURE = {
    "gas-density": "the gas constant",
    "relative-density": "the molar mass of air",
    "acetylene-draw": "one hour, and 50 ft3/h",
    "cumulative-exposure": "eight hours",
    "max-fillet-at-edge": "1/4 in and 1/16 in",
    "gmaw-current-from-thickness": "0.001 in",
    "smaw-current-from-diameter": "0.001 in",
    "starting-current-e60xx": "10 gage",
    "conventional-load-voltage": "20 V",
    "cup-diameter": "1/16 in",
    "wire-feed-speed-burn-off": "1.2 mm, and what its wire melts",
}
SMALL = {  # parts of another measure, so that the weld can be drawn
    "root_face",
    "root_opening",
    "first_depth",
    "root_radius",
    "concavity",
    "convexity",
    "reinforcement",
    "stub_length",
    "wanted",
    "pressure_left",
    "window_low",
}
WORDS = {"gas": "argon", "grade": "304L", "edition": "inch", "process": "SMAW"}

for module in MODULES:
    importlib.import_module(f"weldref.formulas.{module}")
OURS = {
    name: entry
    for name, entry in REGISTRY.items()
    if entry.function.__module__.removeprefix("weldref.formulas.") in MODULES
}

UNITS: pint.UnitRegistry[Any] = pint.UnitRegistry()
UNITS.define("currency = [currency]")
UNITS.define("cent = 0.01 currency")
FOREIGN = {
    "[length]": "inch",
    "[mass]": "pound",
    "[time]": "minute",
    "[currency]": "cent",
    "[current]": "milliampere",
}


@functools.cache
def factor(unit: str) -> float:
    """How many foreign units are in one SI unit; angles, percent and ratios stay."""
    if unit in ("", "%", "deg"):
        return 1.0
    quantity = UNITS.Quantity(1.0, re.sub(r"(?<=[a-z])([23])", r"**\1", unit))
    target = UNITS.Unit("")
    for dimension, power in quantity.dimensionality.items():
        target = target * UNITS.Unit(FOREIGN.get(dimension, "mol")) ** power
    return float(quantity.to(target).magnitude)


def foreign(value: float, unit: str) -> float:
    return value * factor(unit)


def number(name: str, symbol: Symbol) -> st.SearchStrategy[Any]:
    if symbol.choices:
        return st.just(WORDS[name]) if name in WORDS else st.sampled_from(symbol.choices)
    if symbol.unit == "deg":
        return st.floats(5.0, 80.0)
    if symbol.unit == "%":
        return st.floats(1.0, 9.0)
    if name == "allowance":
        return st.floats(1.0, 2.0)
    low, high = (0.01, 0.1) if name in SMALL else (0.5, 1.0)
    return st.floats(low, high)


WITH_DIMENSION = {
    name
    for name, entry in OURS.items()
    if any(factor(symbol.unit) != 1.0 for symbol in entry.symbols.values() if symbol.unit != "degC")
}


@pytest.mark.parametrize("name", sorted(WITH_DIMENSION - set(HOLDS_A_MEASURE)))
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_the_answer_does_not_depend_on_the_units(name: str, data: st.DataObject) -> None:
    entry = OURS[name]
    values = {
        key: data.draw(number(key, symbol), label=key) for key, symbol in entry.symbols.items()
    }
    converted = {
        key: value if entry.symbols[key].choices else foreign(value, entry.symbols[key].unit)
        for key, value in values.items()
    }
    in_si = entry.function(**values)
    expected = foreign(in_si.value, in_si.unit)
    found = entry.function(**converted)
    assert found.value == pytest.approx(expected, rel=1e-9, abs=0.0)
    for part, value in in_si.parts.items():
        expected = foreign(value, in_si.part_units[part])
        assert found.parts[part] == pytest.approx(expected, rel=1e-9, abs=1e-12), part


@pytest.mark.parametrize("name", HOLDS_A_MEASURE)
def test_the_exceptions_do_hold_a_measure(name: str) -> None:
    entry = OURS[name]
    values: dict[str, Any] = {}
    for key, symbol in entry.symbols.items():
        if symbol.choices:
            values[key] = WORDS[key]
        elif symbol.unit == "degC":
            values[key] = 20.0
        else:
            values[key] = {"window_high": 200.0, "window_low": 100.0}.get(key, 0.003)
    converted = {
        key: foreign(value, entry.symbols[key].unit)
        if isinstance(value, float) and entry.symbols[key].unit != "degC"
        else value
        for key, value in values.items()
    }
    in_si = entry.function(**values)
    expected = foreign(in_si.value, in_si.unit)
    assert entry.function(**converted).value != pytest.approx(expected, rel=1e-9, abs=0.0)


def test_every_formula_is_covered() -> None:
    assert {entry.function.__module__.rpartition(".")[2] for entry in OURS.values()} == set(MODULES)
    assert set(HOLDS_A_MEASURE) <= set(OURS)
