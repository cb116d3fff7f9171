"""What each formula of heat, carbon, cooling, cracking and preheat refuses as impossible."""

from __future__ import annotations

import pytest

from weldref.formulas import (
    bead_ends,
    carbon,
    carbon_pcm_cen,
    cooling,
    cooling_rate,
    cracking,
    haz_hardness,
    heat,
    heat_rules,
    preheat,
    solidification,
    temperature_field,
)
from weldref.formulas.formula import REGISTRY, Symbol

MODULES = (bead_ends, carbon, carbon_pcm_cen, cooling, cooling_rate, cracking, haz_hardness, heat)
MODULES += (heat_rules, preheat, solidification, temperature_field)
NAMES = {module.__name__ for module in MODULES}
OURS = [listed for listed in REGISTRY.values() if listed.function.__module__ in NAMES]


def expected(module: str, key: str, symbol: Symbol) -> tuple[float | None, ...]:
    """Return above, at_least, below, at_most."""
    if symbol.unit == "%":
        return None, 0.0, None, 100.0
    if symbol.unit == "degC":
        return -273.15, None, 500.0 if module == cooling.__name__ else None, None
    if symbol.unit == "" and not symbol.choices:
        return 0.0, None, None, 1.0
    if symbol.choices or key in ("ahead", "aside"):
        return None, None, None, None
    if key in ("distance", "depth") or symbol.letter == "HD":
        return None, 0.0, None, None
    return 0.0, None, None, None


@pytest.mark.parametrize("listed", OURS, ids=lambda listed: listed.name)
def test_bounds_are_those_of_the_possible(listed):
    for key, symbol in listed.symbols.items():
        found = (symbol.above, symbol.at_least, symbol.below, symbol.at_most)
        assert found == expected(listed.function.__module__, key, symbol), key


@pytest.mark.parametrize("listed", OURS, ids=lambda listed: listed.name)
def test_nothing_left_out_changes_a_result(listed):
    neutral = (0.0, None, 1.0, "twi-faq-heat-input", "fusion-boundary", 20.0)
    for key, default in listed.defaults.items():
        assert default in neutral, key
        if key.startswith("shape_factor"):
            assert default == 1.0
        elif listed.symbols[key].unit == "%":
            assert default == 0.0
