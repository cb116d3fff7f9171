"""Formulas of physics give the same answer in any consistent set of units."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from weldref.formulas import (
    bead_ends,
    cooling_rate,
    heat,
    heat_rules,
    solidification,
    temperature_field,
)
from weldref.formulas.formula import REGISTRY

UNITS = pint.UnitRegistry()
MODULES = (bead_ends, cooling_rate, heat, heat_rules, solidification, temperature_field)
UNITLESS = ("", "%", "degC")

VALUES = {
    "voltage": 25.0,
    "current": 200.0,
    "travel_speed": 0.005,
    "energy": 1e5,
    "power": 4000.0,
    "arc_time": 20.0,
    "bead_length": 0.1,
    "efficiency": 0.8,
    "process": "135",
    "efficiency_source": "twi-arc-energy-slides-2006",
    "net_heat_input": 8e5,
    "thickness": 0.006,
    "temperature": 550.0,
    "upper_temperature": 800.0,
    "lower_temperature": 500.0,
    "initial_temperature": 50.0,
    "melting_temperature": 1510.0,
    "conductivity": 28.0,
    "heat_capacity": 4.4e6,
    "latent_heat": 2e9,
    "distance": 0.004,
    "distance_from": "fusion-boundary",
    "ahead": -0.02,
    "aside": 0.004,
    "depth": 0.002,
    "cooling_rate": 30.0,
    "place": "2-rm-from-end",
    "peak_radius": 0.02,
}
WORDS = {
    # The three forms of one formula, each with the quantities it takes.
    "volts-amperes": {"form": "volts-amperes", "energy": None, "power": None, "bead_length": None}
    | {"arc_time": None},
    "energy": {"form": "energy", "voltage": None, "current": None, "travel_speed": None}
    | {"power": None, "arc_time": None},
    "power": {"form": "power", "voltage": None, "current": None, "travel_speed": None}
    | {"energy": None},
}
CASES = [
    (name, {})
    for name, listed in REGISTRY.items()
    if listed.function.__module__ in {module.__name__ for module in MODULES}
    and name != "heat-input-by-rule"
]
CASES += [
    ("heat-input-by-rule", words | {"rule": "en-1011-1", "waveform": "not-controlled"})
    for words in WORDS.values()
]

BASES = st.fixed_dictionaries(
    {
        "[length]": st.sampled_from(["mm", "inch", "ft"]),
        "[mass]": st.sampled_from(["g", "lb", "tonne"]),
        "[time]": st.sampled_from(["min", "ms", "hour"]),
        "[current]": st.sampled_from(["mA", "kA"]),
        "[temperature]": st.just("K"),
    }
)


def consistent(unit: str, base: dict[str, str]) -> pint.Unit:
    """Build the unit of the same dimension from the base units."""
    built = UNITS.Unit("")
    for dimension, power in UNITS.Unit(unit).dimensionality.items():
        built *= UNITS.Unit(base[dimension]) ** power
    return built


@pytest.mark.parametrize(("name", "words"), CASES)
@given(base=BASES, factor=st.floats(0.5, 2.0))
@settings(max_examples=20)
def test_same_answer_in_any_consistent_units(name, words, base, factor):
    listed = REGISTRY[name]
    in_si, in_base = {}, {}
    for key, symbol in listed.symbols.items():
        value = (VALUES | words)[key]
        if value is not None and symbol.unit not in UNITLESS:
            in_si[key] = value * factor if key == "thickness" else value
            quantity = UNITS.Quantity(in_si[key], symbol.unit)
            in_base[key] = quantity.to(consistent(symbol.unit, base)).magnitude
        else:
            in_si[key] = in_base[key] = value
    one, other = listed.function(**in_si), listed.function(**in_base)
    values = [(one.value, other.value, one.unit)]
    values += [(one.parts[part], other.parts[part], unit) for part, unit in one.part_units.items()]
    for expected, found, unit in values:
        if unit not in UNITLESS:
            quantity = UNITS.Quantity(found, consistent(unit, base))
            found = quantity.to(unit).magnitude
        assert found == pytest.approx(expected, rel=1e-9)


def test_every_formula_of_the_modules_is_tried():
    assert len({name for name, _ in CASES}) == 17
