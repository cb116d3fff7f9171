"""Fillet strength against worked examples of course notes and printed rules, via pint."""

import math

import pytest
import uncertainties
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.formulas.reference import in_unit, si
from weldref.errors import InputError
from weldref.formulas.strength import (
    PHI,
    end_loaded_factor,
    fillet_load_asd,
    fillet_strength_lrfd,
    fillet_throat,
    max_fillet_at_edge,
    weld_group_strength,
)

few = settings(max_examples=50, deadline=None)


INCH, KSI, KIP = si(1, "inch"), si(1, "ksi"), si(1, "kip")


# ---------------------------------------------------------------- published examples


@pytest.mark.parametrize(
    ("angle", "printed"),
    [
        # lrfd-long and lrfd-trans: univ-weld-notes-lrfd, Example 1a and 1b (read), +-0.1 kip.
        (0.0, 133.62),
        (90.0, 200.4),
    ],
)
def test_published_design_strength(angle: float, printed: float) -> None:
    result = fillet_strength_lrfd(0.75 * INCH, 8 * INCH, 70 * KSI, angle)
    assert in_unit(result.value, "N", "kip") == pytest.approx(printed, abs=0.1)
    assert (result.grade, result.caveats) == ("read", ())


@pytest.mark.parametrize(
    ("length", "printed"),
    [
        # nominal-2x10 and nominal-8t: univ-weld-notes-lrfd, Example 2 (read), +-0.05 kip.
        (20.0, 111.35),
        (8.0, 44.54),
    ],
)
def test_published_nominal_strength(length: float, printed: float) -> None:
    result = fillet_strength_lrfd(0.1875 * INCH, length * INCH, 70 * KSI)
    nominal = in_unit(result.parts["nominal strength"], "N", "kip")
    assert nominal == pytest.approx(printed, abs=0.05)


def test_published_group() -> None:
    # univ-weld-notes-lrfd, Example 2 (read): 111.35 and 44.54 kip joined by Eq. J2-10a.
    group = weld_group_strength(111.35 * KIP, 44.54 * KIP)
    assert group.parts["J2-10a"] / KIP == pytest.approx(155.89, abs=0.05)
    # aisc-360-22, J2.4(b) (read): 0.85 x 111.35 + 1.5 x 44.54 is the larger.
    assert group.parts["J2-10b"] / KIP == pytest.approx(161.4575, rel=1e-6)
    assert group.value == group.parts["J2-10b"]
    assert group.grade == "read"


def test_direction_factor_of_the_printed_equation() -> None:
    # univ-weld-notes-lrfd, Example 1 (read): 1 + 0.5 sin(theta)^1.5; at 30 degrees the sine is
    # 1/2, and half of (1/2)^1.5 is the square root of 2 over 8.
    factor = fillet_strength_lrfd(0.006, 0.1, 483e6, 30.0).parts["direction factor"]
    assert factor == pytest.approx(1 + math.sqrt(2) / 8)


def test_published_length_factor() -> None:
    # beta-100: aisc-360-05-j2, Eq. J2-1 (read).
    assert end_loaded_factor(100 * 0.006, 0.006).value == pytest.approx(1.0, rel=1e-12)
    assert end_loaded_factor(40 * 0.006, 0.006).value == 1.0
    assert end_loaded_factor(200 * 0.006, 0.006).value == pytest.approx(0.8, rel=1e-12)
    # beta-300: steel-handbook-ch5, p. 5.42 (read).
    assert end_loaded_factor(300 * 0.006, 0.006).value == pytest.approx(0.6, rel=1e-12)


@pytest.mark.parametrize(
    ("edition", "thickness", "unit", "leg"),
    [
        # engtips-461924 quoting AWS (secondary): t, and t - 1/16 in or 2 mm.
        ("inch", 3 / 16, "inch", 3 / 16),
        ("inch", 3 / 8, "inch", 5 / 16),
        ("inch", 1 / 4, "inch", 3 / 16),
        ("metric", 5.0, "mm", 5.0),
        ("metric", 10.0, "mm", 8.0),
        ("metric", 6.0, "mm", 4.0),
    ],
)
def test_quoted_edge_rule(edition: str, thickness: float, unit: str, leg: float) -> None:
    result = max_fillet_at_edge(si(thickness, unit), edition)
    assert in_unit(result.value, "m", unit) == pytest.approx(leg, rel=1e-9)
    assert result.grade == "secondary"
    assert bool(result.caveats) is (thickness in (1 / 4, 6.0))


def test_the_two_printings_differ_between_6_mm_and_a_quarter_inch() -> None:
    assert max_fillet_at_edge(0.0062, "inch").value == 0.0062
    assert max_fillet_at_edge(0.0062, "metric").value == pytest.approx(0.0042)


# ---------------------------------------------------------------- relations


@few
@given(leg=st.floats(0.002, 0.03), strength=st.floats(3e8, 9e8), length=st.floats(0.05, 1.0))
def test_asd_is_half_the_nominal_strength(leg: float, strength: float, length: float) -> None:
    # AISC's ASD uses Rn / Omega with Omega = 2.00 (memory): a second way to 0.30 FEXX.
    nominal = fillet_strength_lrfd(leg, length, strength).parts["nominal strength"]
    assert fillet_load_asd(leg, strength).value * length == pytest.approx(nominal / 2)
    assert fillet_strength_lrfd(leg, length, strength).value == pytest.approx(PHI * nominal)


def test_handbook_shortcuts_per_sixteenth_of_an_inch() -> None:
    # AISC manual (memory): 1.392 kip/in (LRFD) and 0.928 kip/in (ASD) per 1/16 in, 70 ksi.
    sixteenth = INCH / 16
    lrfd = fillet_strength_lrfd(sixteenth, INCH, 70 * KSI).value / KIP
    assert lrfd == pytest.approx(1.392, abs=0.0005)
    asd = in_unit(fillet_load_asd(sixteenth, 70 * KSI).value, "N/m", "kip/inch")
    assert asd == pytest.approx(0.928, abs=0.0005)


def test_throat_is_the_printed_factor_and_0_015_percent_below_the_cosine() -> None:
    assert fillet_throat(1.0).value == 0.707
    assert fillet_throat(1.0).value / math.cos(math.pi / 4) - 1 == pytest.approx(-0.00015, abs=1e-5)


@few
@given(
    leg=st.floats(0.002, 0.03),
    length=st.floats(0.05, 1.0),
    angle=st.floats(0.0, 85.0),
    more=st.floats(1.001, 1.05),
)
def test_strength_rises_with_leg_length_and_angle(
    leg: float, length: float, angle: float, more: float
) -> None:
    def strength(leg: float, length: float, angle: float) -> float:
        return fillet_strength_lrfd(leg, length, 483e6, angle).value

    base = strength(leg, length, angle)
    assert strength(leg * more, length, angle) > base
    assert strength(leg, length * more, angle) > base
    assert strength(leg, length, angle + 1.0) > base
    assert fillet_strength_lrfd(leg, length, 483e6, 90.0).parts["direction factor"] == 1.5


@few
@given(longitudinal=st.floats(0.0, 1e6), transverse=st.floats(1.0, 1e6))
def test_the_larger_equation_governs_from_a_transverse_share(
    longitudinal: float, transverse: float
) -> None:
    group = weld_group_strength(longitudinal, transverse)
    # 0.85 L + 1.5 T passes L + T where 0.5 T = 0.15 L.
    governing = "J2-10b" if transverse > 0.3 * longitudinal else "J2-10a"
    assert group.value == pytest.approx(group.parts[governing])
    assert group.value >= longitudinal + transverse


@few
@given(ratio=st.floats(1.0, 1000.0), more=st.floats(1.0, 2.0))
def test_a_longer_weld_never_has_a_larger_factor(ratio: float, more: float) -> None:
    shorter = end_loaded_factor(ratio * 0.006, 0.006)
    longer = end_loaded_factor(ratio * more * 0.006, 0.006)
    assert longer.value <= shorter.value + 1e-12
    # 1.2 L - 0.002 L^2/w peaks at L = 300 w; from there on 180 w is what counts.
    effective = longer.parts["effective length"]
    assert effective >= shorter.parts["effective length"] - 1e-12
    assert effective <= 180 * 0.006 + 1e-12


def test_both_sources_are_shown_above_300() -> None:
    assert end_loaded_factor(299.9 * 0.006, 0.006).caveats == ()
    assert end_loaded_factor(300.1 * 0.006, 0.006).value == pytest.approx(180 / 300.1)
    result = end_loaded_factor(400 * 0.006, 0.006)
    assert result.value == pytest.approx(180 / 400)
    assert result.parts["beta, AISC 2005"] == result.value
    assert result.parts["beta, handbook"] == 0.60
    assert "sources differ" in result.caveats[0]
    assert {source.source_id for source in result.sources} == {
        "aisc-360-05-j2",
        "steel-handbook-ch5",
    }
    assert result.grade == "read"


def test_caveats_of_short_and_long_welds() -> None:
    # steel-handbook-ch5, p. 5.42 (read): 4 legs; aisc-360-05-j2, J2.2b (read): 100 legs.
    assert "L/4" in fillet_strength_lrfd(0.006, 0.0239, 483e6).caveats[0]
    assert fillet_strength_lrfd(0.006, 0.0241, 483e6).caveats == ()
    assert fillet_strength_lrfd(0.006, 0.599, 483e6).caveats == ()
    assert "end-loaded" in fillet_strength_lrfd(0.006, 0.601, 483e6).caveats[0]


def test_an_uncertain_angle_at_zero_is_no_problem() -> None:
    angle = uncertainties.ufloat(0.0, 2.0)
    assert fillet_strength_lrfd(0.006, 0.1, 483e6, angle).uncertainty is not None


def test_a_group_without_strength_is_refused() -> None:
    with pytest.raises(InputError):
        weld_group_strength(0.0, 0.0)
