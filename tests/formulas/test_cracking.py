"""Solidification cracking: the two fits against what their pages print."""

from __future__ import annotations

import math

import pytest
from uncertainties import ufloat

from weldref.errors import InputError
from weldref.formulas.composition import ELEMENTS
from weldref.formulas.cracking import (
    solidification_cracking_1976,
    unit_of_crack_susceptibility,
)
from weldref.formulas.formula import REGISTRY

WELD = {"carbon": 0.12, "sulfur": 0.015, "phosphorus": 0.02, "silicon": 0.3, "manganese": 1.2}


def test_ucs_by_the_formula_as_printed():
    # fr2c-ucs-1 and -2, twi-jk-44 formula, own arithmetic, 0.01.
    assert unit_of_crack_susceptibility(**WELD).value == pytest.approx(20.78, abs=0.01)
    low_carbon = WELD | {"carbon": 0.05}
    assert unit_of_crack_susceptibility(**low_carbon).value == pytest.approx(11.58, abs=0.01)


def test_carbon_floor():
    # fr2-ucs-floor, twi-jk-44 Causes, read: below 0.08 % take 0.08 %.
    found = unit_of_crack_susceptibility(**(WELD | {"carbon": 0.05}))
    assert found.parts["carbon_used"] == 0.08
    at_floor = unit_of_crack_susceptibility(**(WELD | {"carbon": 0.08}))
    assert found.value == at_floor.value
    above = unit_of_crack_susceptibility(**(WELD | {"carbon": 0.09}))
    assert above.value - at_floor.value == pytest.approx(2.3)


def test_thresholds_of_the_page():
    # twi-jk-44 Causes, read: resistance high below 10, low above 30; fillet from 20, butt about 25.
    parts = unit_of_crack_susceptibility(**WELD).parts
    assert (parts["high_resistance_below"], parts["low_resistance_above"]) == (10.0, 30.0)
    assert (parts["risk_from_in_fillet"], parts["risk_from_in_butt"]) == (20.0, 25.0)


def test_regression_of_1976_by_the_formula_as_printed():
    # fr2c-saw76-1, twi-28-1976 formula, own arithmetic, 0.01.
    found = solidification_cracking_1976(**WELD, aluminium=0.02)
    assert found.value == pytest.approx(20.4, abs=0.01)
    assert (found.caveats, found.grade) == ((), "read")


def test_the_two_fits_weigh_every_element_their_own_way():
    ucs = {"sulfur": 190, "phosphorus": 75, "niobium": 45, "silicon": -12.3, "manganese": -5.4}
    fit_1976 = {"carbon": 223, "sulfur": 197, "phosphorus": 100, "niobium": 48, "silicon": -14.3}
    fit_1976 |= {"manganese": -6, "aluminium": -16}
    for function, weights in (
        (unit_of_crack_susceptibility, ucs | {"carbon": 230}),
        (solidification_cracking_1976, fit_1976),
    ):
        base = function(carbon=0.2).value
        for element, weight in weights.items():
            more = {"carbon": 0.2} | {element: 1.2 if element == "carbon" else 1.0}
            assert function(**more).value - base == pytest.approx(weight)


def test_caveats_outside_the_ranges():
    inside = WELD | {"sulfur": 0.025, "phosphorus": 0.035}
    assert unit_of_crack_susceptibility(**inside).caveats == ()
    (dirty,) = unit_of_crack_susceptibility(**(inside | {"phosphorus": 0.036})).caveats
    assert dirty.startswith("S + P 0.061 % is outside 0 to 0.06 %")
    (carbon,) = unit_of_crack_susceptibility(**(inside | {"carbon": 0.24})).caveats
    assert carbon.startswith("C 0.24 % is outside 0.03 to 0.23 %")
    (aluminium,) = solidification_cracking_1976(**WELD, aluminium=0.05).caveats
    assert aluminium.startswith("Al 0.05 %")


RANGES = {
    # Of UCS recalled; of 1976 the plates of twi-28-1976, read. Least and most percent.
    unit_of_crack_susceptibility: "C .03 .23 S .01 .05 P .01 .045 Si .15 .65 Mn .45 1.6 Nb 0 .07",
    solidification_cracking_1976: "C .11 .27 S .007 .05 P .003 .046 Si .05 .64 Mn .5 1.5 "
    "Al .01 .04 Nb 0 .09",
}


@pytest.mark.parametrize("function", RANGES, ids=lambda function: function.__name__)
def test_every_edge_of_every_range(function):
    words = RANGES[function].split()
    for element, low, high in zip(words[::3], words[1::3], words[2::3], strict=True):
        for content, outside in (
            (float(low), False),
            (float(high), False),
            (float(low) * 0.99, float(low) > 0),
            (float(high) * 1.01, True),
        ):
            caveats = function(**(WELD | {ELEMENTS[element]: content})).caveats
            assert any(f"{element} {content:g} % is outside" in one for one in caveats) is outside


@pytest.mark.parametrize("function", [unit_of_crack_susceptibility, solidification_cracking_1976])
def test_impossible_weld_metal_is_refused(function):
    with pytest.raises(InputError, match="adds up to"):
        function(carbon=1.0, manganese=99.5)


def test_grade_of_the_standard_is_that_of_a_quotation():
    assert REGISTRY["unit-of-crack-susceptibility"].grade == "secondary"


def test_uncertainty_of_an_analysis():
    # By hand: 230 x 0.01 and 190 x 0.002 in quadrature.
    found = unit_of_crack_susceptibility(
        **(WELD | {"carbon": ufloat(0.12, 0.01), "sulfur": ufloat(0.015, 0.002)})
    )
    assert found.uncertainty == pytest.approx(math.hypot(2.3, 0.38), rel=1e-6)
