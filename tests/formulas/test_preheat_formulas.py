"""Preheat by EN 1011-2 method B and the AWS D1.1 susceptibility index."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from weldref.errors import InputError
from weldref.formulas.preheat import governing_cet, preheat_en1011_method_b, susceptibility_index

CETS = st.floats(0.2, 0.5)
PLATES = st.floats(0.010, 0.090)
HYDROGENS = st.floats(1.0, 20.0)
HEATS = st.floats(0.5e6, 4.0e6)


@pytest.mark.parametrize(
    ("cet", "thickness", "hydrogen", "heat", "preheat"),
    [
        (0.31, 0.020, 5.0, 1.0e6, 64.03),
        (0.40, 0.050, 3.0, 1.5e6, 168.29),
        (0.25, 0.012, 8.0, 1.0e6, 8.68),
    ],
)
def test_by_the_formula_as_printed(cet, thickness, hydrogen, heat, preheat):
    # fr2c-tp-*, de-weld-office-2020 formula C.8, own arithmetic, 0.05 degC.
    found = preheat_en1011_method_b(cet, thickness, hydrogen, heat)
    assert found.value == pytest.approx(preheat, abs=0.05)
    assert found.grade == "secondary"


@given(cet=CETS, thickness=PLATES, hydrogen=HYDROGENS, heat=HEATS)
def test_the_recalled_parts_add_up(cet, thickness, hydrogen, heat):
    found = preheat_en1011_method_b(cet, thickness, hydrogen, heat)
    parts = ["cet_part", "thickness_part", "hydrogen_part", "heat_input_part"]
    assert math.fsum(found.parts[p] for p in parts) == pytest.approx(found.value, abs=1e-9)
    assert list(found.parts) == ["sew_088", *parts]
    assert found.parts["cet_part"] == pytest.approx(750 * cet - 150)
    assert found.parts["heat_input_part"] == pytest.approx((53 * cet - 32) * (heat / 1e6 - 1))


@given(cet=CETS, thickness=PLATES, hydrogen=HYDROGENS, heat=HEATS, more=st.floats(1.01, 1.3))
def test_what_raises_and_lowers_preheat(cet, thickness, hydrogen, heat, more):
    base = preheat_en1011_method_b(cet, thickness, hydrogen, heat).value
    assert preheat_en1011_method_b(cet * more, thickness, hydrogen, heat).value > base
    assert preheat_en1011_method_b(cet, thickness * more, hydrogen, heat).value > base
    assert preheat_en1011_method_b(cet, thickness, hydrogen * more, heat).value > base
    assert preheat_en1011_method_b(cet, thickness, hydrogen, heat * more).value < base


@given(cet=CETS, thickness=st.floats(0.4, 3.5), hydrogen=HYDROGENS, heat=st.floats(13, 100))
def test_the_equation_in_its_own_units_from_inch_units(cet, thickness, hydrogen, heat):
    units = pint.get_application_registry()
    d = units.Quantity(thickness, "inch")
    q = units.Quantity(heat, "kJ/inch")
    hd = units.Quantity(hydrogen * 1e-5, "m^3/kg")
    d_mm, q_kj_mm = d.to("mm").magnitude, q.to("kJ/mm").magnitude
    printed = 697 * cet + 160 * math.tanh(d_mm / 35) + 62 * hd.to("mL/hg").magnitude ** 0.35
    printed += (53 * cet - 32) * q_kj_mm - 328
    found = preheat_en1011_method_b(
        cet, d.to("m").magnitude, hd.to("mL/hg").magnitude, q.to("J/m").magnitude
    )
    assert found.value == pytest.approx(printed, abs=1e-9)


def test_nothing_is_colder_than_absolute_zero():
    with pytest.raises(InputError, match="below absolute zero"):
        preheat_en1011_method_b(0.4, 0.025, 5.0, 1e12)


def test_below_ambient_keeps_its_number_and_means_none():
    found = preheat_en1011_method_b(0.25, 0.012, 8.0, 1.0e6)
    assert found.value == pytest.approx(8.68, abs=0.05)
    assert found.caveats == ("9 degC is not above ambient: by this formula, no preheat",)
    cold_shop = preheat_en1011_method_b(0.25, 0.012, 8.0, 1.0e6, ambient_temperature=5.0)
    assert cold_shop.caveats == ()
    as_warm = preheat_en1011_method_b(0.25, 0.012, 8.0, 1.0e6, ambient_temperature=found.value)
    assert as_warm.caveats == found.caveats
    thin = preheat_en1011_method_b(0.25, 0.009, 8.0, 1.0e6).caveats
    assert [caveat.split()[0] for caveat in thin] == ["thickness", "-4"]


INSIDE = {"cet": 0.4, "thickness": 0.05, "hydrogen": 5.0, "heat_input": 1e6}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"cet": 0.51}, "CET 0.51 %"),
        ({"thickness": 0.091}, "thickness 91 mm"),
        ({"hydrogen": 21.0}, "hydrogen 21 mL/100 g"),
        ({"heat_input": 4.1e6}, "heat input 4.1 kJ/mm"),
        ({"heat_input": 0.4e6}, "heat input 0.4 kJ/mm"),
    ],
)
def test_caveats_outside_the_recalled_ranges(change, words):
    assert preheat_en1011_method_b(**INSIDE).caveats == ()
    (caveat,) = preheat_en1011_method_b(**(INSIDE | change)).caveats
    assert caveat.startswith(words)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("cet", 0.2, 0.5),
        ("thickness", 0.010, 0.090),
        ("hydrogen", 1.0, 20.0),
        ("heat_input", 0.5e6, 4.0e6),
    ],
)
def test_every_edge_of_the_recalled_ranges(name, low, high):
    for value, outside in ((low, False), (high, False), (low * 0.99, True), (high * 1.01, True)):
        caveats = preheat_en1011_method_b(**(INSIDE | {name: value})).caveats
        assert any("the range of the formula" in one for one in caveats) is outside


def test_uncertainty_against_the_derivatives():
    found = preheat_en1011_method_b(
        ufloat(0.4, 0.01), ufloat(0.05, 0.001), ufloat(5.0, 0.5), ufloat(1.5e6, 0.1e6)
    )
    by_cet = (697 + 53 * 1.5) * 0.01
    by_thickness = 160 / 35 / math.cosh(50 / 35) ** 2 * 1.0
    by_hydrogen = 62 * 0.35 * 5**-0.65 * 0.5
    by_heat = (53 * 0.4 - 32) * 0.1
    by_hand = math.hypot(by_cet, by_thickness, by_hydrogen, by_heat)
    assert found.uncertainty == pytest.approx(by_hand, rel=1e-5)


def test_which_cet_governs():
    # The rule as recalled: the parent's when 0.03 or more above the weld metal's.
    assert governing_cet(0.30, 0.27).value == pytest.approx(0.30)
    assert governing_cet(0.35, 0.27).value == pytest.approx(0.35)
    assert governing_cet(0.28, 0.27).value == pytest.approx(0.30)
    assert governing_cet(0.20, 0.27).value == pytest.approx(0.30)
    assert governing_cet(0.30, 0.27).grade == "memory"


GROUPS = {
    # Index ranges of the groups, aws-d1-1-2004 annex XI, memory.
    "A": (0.0, 3.0),
    "B": (3.1, 3.5),
    "C": (3.6, 4.0),
    "D": (4.1, 4.5),
    "E": (4.6, 5.0),
    "F": (5.1, 5.5),
    "G": (5.6, 7.0),
}


@pytest.mark.parametrize(
    ("pcm", "level", "group"),
    [
        # d11-annex-01, secondary: H2 and Pcm under 0.28 is group D. The others are memory:
        # d11-si-H1-018, d11-si-H3-018, d11-si-H3-038. Each just under the limit of its cell.
        (0.28, "H2", "D"),
        (0.18, "H1", "A"),
        (0.18, "H3", "C"),
        (0.38, "H3", "G"),
    ],
)
def test_index_falls_into_the_group_of_the_table(pcm, level, group):
    low, high = GROUPS[group]
    assert low <= round(susceptibility_index(pcm - 1e-6, level).value, 1) <= high


def test_index_and_table_part_company_with_low_hydrogen():
    # The table has D for H1 and Pcm under 0.33; the index alone would say E.
    assert round(susceptibility_index(0.33, "H1").value, 1) == 4.7


def test_levels_stand_for_their_hydrogen():
    for level, hydrogen in (("H1", 5.0), ("H2", 10.0), ("H3", 30.0)):
        by_level = susceptibility_index(0.25, level)
        assert by_level.parts["hydrogen"] == hydrogen
        assert by_level.value == susceptibility_index(0.25, hydrogen=hydrogen).value
        assert by_level.value == pytest.approx(3.0 + math.log10(hydrogen))
        assert by_level.grade == "memory"
    assert susceptibility_index(0.25, "H1").sources[1].how_read == "secondary"


def test_index_beyond_the_last_group_has_a_caveat():
    assert susceptibility_index(0.45, "H3").caveats == ()
    assert susceptibility_index(0.5, hydrogen=10.0).caveats == ()  # 7.0 is the end itself
    assert "above 7.0" in susceptibility_index(0.47, "H3").caveats[0]


def test_hydrogen_is_given_once():
    with pytest.raises(InputError, match=r"give either hydrogen_level or hydrogen$"):
        susceptibility_index(0.25)
    with pytest.raises(InputError, match="either hydrogen_level or hydrogen"):
        susceptibility_index(0.25, "H1", 5.0)
    with pytest.raises(InputError, match="hydrogen: 0 is not possible"):
        susceptibility_index(0.25, hydrogen=0.0)
    with pytest.raises(InputError, match="'H4' is not accepted; give one of H1, H2, H3"):
        susceptibility_index(0.25, "H4")


def test_an_edge_of_a_range_that_was_converted_is_still_inside():
    edges = {"thickness": 0.09 * (1 + 1e-12), "heat_input": 4.0e6 * (1 + 1e-12)}
    assert preheat_en1011_method_b(**(INSIDE | edges)).caveats == ()
