"""What each formula refuses as impossible, and what it takes for what is left out."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from weldref.calculate.by_name import all_formulas
from weldref.errors import InputError
from weldref.formulas.formula import Formula, Symbol

FORMULAS = all_formulas()
UNBOUNDED = {"ahead", "aside", "gauge_pressure"}
"""Places on either side of the arc, and a pressure that may be a vacuum."""
NO_SHARE = {"allowance", "cup_number", "ratio"}
"""Numbers without a unit that may be above 1."""
MAY_BE_ZERO = set(
    "allowance angle backing_gap bevel_angle cap_width concavity convexity depth dilution_1 "
    "dilution_2 distance extension filler_price first_depth flow_read flow_time gas_flow gas_price "
    "height hydrogen included_angle labor_rate longitudinal pressure_left pressure_now "
    "reinforcement root_face root_opening root_radius stub_length time time_1 time_2 time_3 time_4 "
    "concentration_1 concentration_2 concentration_3 concentration_4 transverse width".split()
)
NEUTRAL = {0.0, None, 1.0, "solid", "twi-faq-heat-input", "fusion-boundary", 20.0, 101325.0}
"""What is taken for what is left out: it adds nothing, or is the usual place, wire and shop."""


def possible(symbol: Symbol) -> object:
    """Return a value that can exist."""
    if symbol.choices:
        return symbol.choices[0]
    low, high = ends(symbol)
    if low is not None and high is not None:
        return (low + high) / 2
    return 1.0 if low is None else low + 1.0


def ends(symbol: Symbol) -> tuple[float | None, float | None]:
    low = symbol.at_least if symbol.above is None else symbol.above
    return low, symbol.at_most if symbol.below is None else symbol.below


def impossible(symbol: Symbol) -> Iterator[object]:
    """List values that cannot exist: no number, no word that is known, beyond each bound."""
    if symbol.choices:
        yield "no such word"
        return
    yield from (math.nan, math.inf, True, "1")
    low, high = ends(symbol)
    if low is not None:
        yield low if symbol.above is not None else math.nextafter(low, -math.inf)
    if high is not None:
        yield high if symbol.below is not None else math.nextafter(high, math.inf)


@pytest.mark.parametrize("formula", FORMULAS.values(), ids=FORMULAS)
def test_what_cannot_exist_is_refused_by_its_name(formula: Formula) -> None:
    good = {
        key: possible(symbol)
        for key, symbol in formula.symbols.items()
        if key not in formula.defaults
    }
    for key, symbol in formula.symbols.items():
        for bad in impossible(symbol):
            with pytest.raises(InputError, match=f"^{key}: ") as caught:
                formula.function(**good | {key: bad})
            assert symbol.accepted() in str(caught.value)


def expected(module: str, key: str, symbol: Symbol) -> tuple[float | None, float | None]:
    """Return the least and the greatest value that can exist."""
    if symbol.choices or key in UNBOUNDED:
        return None, None
    if symbol.unit == "%":
        return 0.0, 100.0
    if symbol.unit == "degC":
        return -273.15, 500.0 if module.endswith(".cooling") else None
    if symbol.unit == "deg":
        return 0.0, 180.0 if symbol.letter == "alpha" else 90.0
    most = 1.0 if symbol.unit == "" and key not in NO_SHARE else None
    return 1.0 if key == "allowance" else 0.0, most


@pytest.mark.parametrize("formula", FORMULAS.values(), ids=FORMULAS)
def test_bounds_are_those_of_the_possible(formula: Formula) -> None:
    for key, symbol in formula.symbols.items():
        assert ends(symbol) == expected(formula.function.__module__, key, symbol), key
        if symbol.unit != "%":
            assert symbol.at_least is None or key in MAY_BE_ZERO, key


@pytest.mark.parametrize(
    "formula", [one for one in FORMULAS.values() if one.defaults], ids=lambda one: one.name
)
def test_nothing_left_out_changes_a_result(formula: Formula) -> None:
    for key, default in formula.defaults.items():
        assert default in NEUTRAL, key
        if formula.symbols[key].unit == "%":
            assert default in (0.0, None), key
        if key.startswith("shape_factor"):
            assert default == 1.0
