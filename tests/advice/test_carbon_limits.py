"""Carbon equivalents from a grade's composition limits: upper bounds that say so."""

from __future__ import annotations

import math

import pytest

from weldref.advice.carbon_limits import grade_carbon_equivalent
from weldref.errors import InputError


def test_bound_from_printed_limits() -> None:
    # EN 10025-2:2004, S355J2, up to 16 mm: C 0.20, Mn 1.60, Cu 0.55 at most (ladle analysis).
    # The edition of 2019 prints carbon by thickness and manganese for every thickness.
    old, new = grade_carbon_equivalent("S355J2", thickness=0.012)
    assert [old.source_id, new.source_id] == ["en-10025-2-2004", "en-10025-2-2019"]
    assert old.value == new.value
    found = old
    assert found.value is not None
    assert math.isclose(found.value, 0.20 + 1.60 / 6 + 0.55 / 15, abs_tol=1e-9)
    assert "upper bound" in found.note
    assert "no limit given for" in found.note


def test_each_product_and_thickness_is_a_row() -> None:
    found = grade_carbon_equivalent("A36")
    assert len({s.condition for s in found}) == len(found) > 3
    thin = grade_carbon_equivalent("A36", thickness=0.010)
    assert 0 < len(thin) < len(found)


@pytest.mark.parametrize("typed", ["A572 50", "ASTM A572 Gr. 50", "a572-50"])
def test_common_spellings(typed: str) -> None:
    assert any(s.value is not None for s in grade_carbon_equivalent(typed))


def test_unknown_grade_and_formula() -> None:
    with pytest.raises(InputError, match="no composition limits are held for 'unobtainium'"):
        grade_carbon_equivalent("unobtainium")
    with pytest.raises(InputError, match="equivalent: 'magic'"):
        grade_carbon_equivalent("A36", "magic")
    with pytest.raises(InputError, match="csa' takes more than a composition; give carbon-eq"):
        grade_carbon_equivalent("A36", "carbon-equivalent-csa")


@pytest.mark.parametrize(("millimetres", "inches"), [(19.05, 0.75), (38.1, 1.5)])
def test_the_upper_edge_belongs_to_its_band_in_either_unit(
    millimetres: float, inches: float
) -> None:
    # ASTM A36 plate: over 3/4 to 1 1/2 in, over 1 1/2 in ...
    by_inch = grade_carbon_equivalent("A36", thickness=inches * 0.0254)
    by_mm = grade_carbon_equivalent("A36", thickness=millimetres / 1000)
    conditions = [s.condition for s in by_mm]
    assert conditions == [s.condition for s in by_inch]
    assert any(f"to {inches:g} in" in condition for condition in conditions)
    assert not any(f"over {inches:g}" in condition for condition in conditions)
