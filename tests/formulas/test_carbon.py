"""Carbon equivalents against printed values, certificates and composition limits."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from weldref.errors import InputError
from weldref.formulas.carbon import (
    CARBON_EQUIVALENTS,
    carbon_equivalent,
    carbon_equivalent_aws,
    carbon_equivalent_cen,
    carbon_equivalent_cet,
    carbon_equivalent_csa,
    carbon_equivalent_iiw,
    carbon_equivalent_pcm,
    carbon_equivalent_upper_bound,
    carbon_equivalent_wes,
)
from weldref.formulas.composition import ELEMENTS
from weldref.formulas.formula import REGISTRY

WORKSHEET = {
    # csa-z662-99-ce, secondary: the composition of its worksheet.
    "C": 0.25,
    "Mn": 1.28,
    "Si": 0.29,
    "Cu": 0.109,
    "Ni": 0.06,
    "Cr": 0.05,
    "Mo": 0.034,
    "V": 0.004,
    "Nb": 0.0,
    "B": 0.0009,
}


def test_worksheet_value():
    # csa-ce-01, csa-z662-99-ce, secondary, 1e-8.
    found = carbon_equivalent("carbon-equivalent-csa", WORKSHEET, compliance_factor=1.0)
    assert found.value == pytest.approx(0.5077833333, abs=1e-8)
    assert (found.grade, found.caveats) == ("secondary", ())


def test_worksheet_terms():
    # csa-ce-terms, csa-z662-99-ce, secondary, 5e-7.
    parts = carbon_equivalent("carbon-equivalent-csa", WORKSHEET, compliance_factor=1.0).parts
    printed = {
        "Mn/6": 0.213333,
        "Si/24": 0.012083,
        "Cu/15": 0.007267,
        "Ni/20": 0.003,
        "5 B": 0.0045,
    }
    for term, value in printed.items():
        assert parts[term] == pytest.approx(value, abs=5e-7)
    fifth = sum(parts[term] for term in ("Cr/5", "Mo/5", "Nb/5", "V/5"))
    assert fifth == pytest.approx(0.0176, abs=5e-7)


def test_factor_of_the_worksheet_is_not_the_one_of_cen():
    # Both read side by side: f = 1 at 0.25 % C, A(0.25) = 0.9973, 0.0007 apart in CE.
    csa = carbon_equivalent("carbon-equivalent-csa", WORKSHEET, compliance_factor=1.0)
    cen = carbon_equivalent("carbon-equivalent-cen", WORKSHEET)
    assert cen.parts["A(C)"] == pytest.approx(0.9973, abs=5e-5)
    assert csa.value - cen.value == pytest.approx(0.0007, abs=5e-5)


def test_pcm_by_the_formula_as_printed():
    # fr2c-pcm-1, forum-faq-ce-1077 third equation, own arithmetic, 1e-5.
    composition = {
        "C": 0.1,
        "Si": 0.3,
        "Mn": 1.5,
        "Cu": 0.2,
        "Cr": 0.1,
        "Ni": 0.3,
        "Mo": 0.1,
        "V": 0.05,
        "B": 0.0005,
    }
    found = carbon_equivalent("carbon-equivalent-pcm", composition)
    assert found.value == pytest.approx(0.21917, abs=1e-5)


def test_silicon_is_what_tells_the_two_ce_apart():
    # twi-faq-ce, read: the AWS form adds Si/6 to the terms of the IIW form.
    shared = {"carbon": 0.2, "manganese": 1.3, "chromium": 0.2, "nickel": 0.1, "copper": 0.2}
    difference = (
        carbon_equivalent_aws(**shared, silicon=0.36).value - carbon_equivalent_iiw(**shared).value
    )
    assert difference == pytest.approx(0.36 / 6)


EACH_ELEMENT = {
    # One percent more of one element: what the printed equation adds.
    carbon_equivalent_iiw: "C 1 Mn 1/6 Cr 1/5 Mo 1/5 V 1/5 Ni 1/15 Cu 1/15",
    carbon_equivalent_aws: "C 1 Mn 1/6 Si 1/6 Cr 1/5 Mo 1/5 V 1/5 Ni 1/15 Cu 1/15",
    carbon_equivalent_pcm: "C 1 Si 1/30 Mn 1/20 Cu 1/20 Cr 1/20 Ni 1/60 Mo 1/15 V 1/10 B 5/1",
    carbon_equivalent_cet: "C 1 Mn 1/10 Mo 1/10 Cr 1/20 Cu 1/20 Ni 1/40",
    carbon_equivalent_wes: "C 1 Mn 1/6 Si 1/24 Ni 1/40 Cr 1/5 Mo 1/4 V 1/14",
}


@pytest.mark.parametrize("function", EACH_ELEMENT, ids=lambda function: function.__name__)
def test_weight_of_each_element(function):
    words = EACH_ELEMENT[function].split()
    weights = dict(zip(words[::2], words[1::2], strict=True))
    name = next(name for name, listed in CARBON_EQUIVALENTS.items() if listed is function)
    assert {symbol.letter for symbol in REGISTRY[name].symbols.values()} == set(weights)
    base = function(carbon=0.1).value
    for element, weight in weights.items():
        top, _, bottom = weight.partition("/")
        more = {"carbon": 0.1, ELEMENTS[element]: 1.1 if element == "C" else 1.0}
        assert function(**more).value - base == pytest.approx(int(top) / int(bottom or 1))


def test_cen_moves_from_half_to_full_weight_with_carbon():
    # By hand: tanh(2.4) is 0.9837, so A(0) is 0.5041; A(0.12) is 0.75; A(0.4) is 1 less 7e-6.
    for carbon, weight in ((0.0, 0.5041), (0.12, 0.75), (0.4, 1.0)):
        alloy = carbon_equivalent_cen(carbon=carbon, manganese=0.6).value - carbon
        assert alloy == pytest.approx(weight * 0.1, abs=5e-6)


RANGES = {
    # EN 1011-2 C.2 and C.3 and the data of Pcm, all recalled: least and most percent.
    carbon_equivalent_iiw: "C 0.05 0.25 Mn 0 1.7 Cr 0 0.9 Cu 0 1.0 Ni 0 2.5 Mo 0 0.75 V 0 0.2",
    carbon_equivalent_cet: "C 0.05 0.32 Mn 0.5 1.9 Cr 0 1.5 Cu 0 0.7 Mo 0 0.75 Ni 0 2.5",
    carbon_equivalent_pcm: "C 0.07 0.22 Si 0 0.6 Mn 0.4 1.4 Cu 0 0.5 Ni 0 1.2 Cr 0 1.2 Mo 0 0.7 "
    "V 0 0.12 B 0 0.005",
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
            composition = {"carbon": 0.1, "manganese": 1.0, ELEMENTS[element]: content}
            caveats = function(**composition).caveats
            assert any(f"{element} {content:g} % is outside" in one for one in caveats) is outside


def test_edges_of_ce_in_method_a():
    inside = {"carbon": 0.25, "manganese": 1.7, "chromium": 0.8}
    assert carbon_equivalent_iiw(**inside).caveats == ()
    assert "CE 0.7" in carbon_equivalent_iiw(**inside, molybdenum=0.04).caveats[0]
    (low,) = carbon_equivalent_iiw(carbon=0.2, manganese=0.5).caveats
    assert "CE 0.28" in low


@pytest.mark.parametrize("name", CARBON_EQUIVALENTS)
def test_elements_not_given_add_nothing(name):
    others = {"compliance_factor": 0.8} if name == "carbon-equivalent-csa" else {}
    assert CARBON_EQUIVALENTS[name](carbon=0.1, **others).value == 0.1
    defaults = REGISTRY[name].defaults
    assert set(defaults.values()) == {0.0}
    assert set(REGISTRY[name].symbols) - set(defaults) == {"carbon", *others}


def test_edge_of_the_carbon_that_pcm_is_for():
    assert carbon_equivalent_pcm(carbon=0.11, manganese=1.0).caveats == ()
    assert "twi-faq-ce" in carbon_equivalent_pcm(carbon=0.111, manganese=1.0).caveats[0]


def test_compliance_factor_outside_the_recalled_table_has_a_caveat():
    assert carbon_equivalent_csa(carbon=0.1, compliance_factor=0.53).caveats == ()
    assert carbon_equivalent_csa(carbon=0.1, compliance_factor=0.5).caveats


@pytest.mark.parametrize("name", CARBON_EQUIVALENTS)
@pytest.mark.parametrize(
    ("composition", "message"),
    [
        ({"C": -0.1}, "C: -0.1 is not possible"),
        ({"C": math.nan}, "C: nan is not possible"),
        ({"C": 101.0}, "C: 101 is not possible"),
        ({"C": 1.0, "Mn": 60.0, "Fe": 40.0}, "adds up to 101 %"),
        ({"Mn": 1.0}, "must give carbon"),
        ({"C": 0.1, "CEV": 0.4}, "'CEV' is not one of the elements"),
    ],
)
def test_impossible_certificates_are_refused(name, composition, message):
    with pytest.raises(InputError, match=message):
        carbon_equivalent(name, composition)


@pytest.mark.parametrize("function", CARBON_EQUIVALENTS.values(), ids=CARBON_EQUIVALENTS)
def test_impossible_arguments_are_refused(function):
    others = {"compliance_factor": 1.0} if function is carbon_equivalent_csa else {}
    with pytest.raises(InputError, match="adds up to"):
        function(carbon=50.0, manganese=50.1, **others)


def test_a_name_that_is_no_carbon_equivalent_is_refused():
    with pytest.raises(InputError, match="'carbon-equivalent' is not one of carbon-equivalent-iiw"):
        carbon_equivalent("carbon-equivalent", {"C": 0.1})


def test_elements_not_used_are_ignored_and_those_missing_are_named():
    found = carbon_equivalent("carbon-equivalent-iiw", {"C": 0.2, "Mn": 1.2, "P": 0.01, "Cr": 0.1})
    assert found.value == pytest.approx(0.42)
    assert found.caveats == ("not on the certificate and taken as 0: Mo, V, Ni, Cu",)
    full = {"C": 0.2, "Mn": 1.2, "Cr": 0, "Mo": 0, "V": 0, "Ni": 0, "Cu": 0}
    assert carbon_equivalent("carbon-equivalent-iiw", full).caveats == ()


def test_bound_from_limits_says_what_it_is():
    bound = carbon_equivalent_upper_bound("carbon-equivalent-iiw", {"C": 0.2, "Mn": 1.6, "P": 0.03})
    assert bound.value == pytest.approx(0.2 + 1.6 / 6)
    assert bound.caveats[0] == "upper bound from composition limits, not the equivalent of a heat"
    assert bound.caveats[1].startswith("no limit given for Cr, Mo, V, Ni, Cu")


def test_bound_without_a_carbon_limit_is_refused():
    with pytest.raises(InputError, match="must give carbon"):
        carbon_equivalent_upper_bound("carbon-equivalent-iiw", {"Mn": 1.6})


def test_bound_lies_above_the_maximum_a_standard_prints_beside_its_limits():
    # iacs-ur-w31-r3 Table 1, read: EH47 limits, with Pcm at most 0.22.
    maxima = {"C": 0.18, "Mn": 2.0, "Si": 0.55, "V": 0.1, "Cu": 0.35, "Cr": 0.25, "Ni": 1.0}
    maxima |= {"Mo": 0.08, "Nb": 0.05}
    bound = carbon_equivalent_upper_bound("carbon-equivalent-pcm", maxima)
    assert bound.value > 0.22
    assert "no limit given for B:" in bound.caveats[1]


def contents(elements: list[str]) -> st.SearchStrategy[dict[str, float]]:
    return st.fixed_dictionaries({element: st.floats(0.0, 3.0) for element in elements})


@given(
    name=st.sampled_from(sorted(CARBON_EQUIVALENTS)),
    maxima=contents(["C", "Mn", "Si", "Cr", "Mo", "V", "Ni", "Cu", "Nb", "B"]),
    shares=contents(["C", "Mn", "Si", "Cr", "Mo", "V", "Ni", "Cu", "Nb", "B"]),
)
@settings(max_examples=100)
def test_no_heat_within_the_limits_passes_the_bound(name, maxima, shares):
    others = {"compliance_factor": 0.8} if name == "carbon-equivalent-csa" else {}
    heat = {element: maxima[element] * share / 3.0 for element, share in shares.items()}
    bound = carbon_equivalent_upper_bound(name, maxima, **others).value
    assert carbon_equivalent(name, heat, **others).value <= bound * (1 + 1e-12)


def test_grades_are_those_of_the_material():
    grades = {name: REGISTRY[name].grade for name in CARBON_EQUIVALENTS}
    assert grades == {
        "carbon-equivalent-iiw": "secondary",
        "carbon-equivalent-aws": "secondary",
        "carbon-equivalent-pcm": "secondary",
        "carbon-equivalent-cet": "secondary",
        "carbon-equivalent-csa": "secondary",
        "carbon-equivalent-cen": "memory",
        "carbon-equivalent-wes": "memory",
    }


def test_uncertainty_of_an_analysis():
    # By hand: 0.01 % of carbon and 0.03/6 % from manganese, in quadrature.
    found = carbon_equivalent_iiw(carbon=ufloat(0.2, 0.01), manganese=ufloat(1.2, 0.03))
    assert found.uncertainty == pytest.approx(math.hypot(0.01, 0.005), rel=1e-6)
