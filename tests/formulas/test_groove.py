"""Areas of fillets and grooves against polygons drawn point by point, and published figures."""

import math
from typing import Any

import numpy as np
import pytest
import uncertainties
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box, union_all

from tests.formulas.reference import (
    bevel_groove,
    cap,
    curved_fillet,
    double_bevel_groove,
    double_v_groove,
    round_cap,
    rounded_side,
    tangent,
    v_groove,
)
from weldref.errors import InputError
from weldref.formulas.fillet import fillet_area, fillet_area_concave, fillet_area_convex
from weldref.formulas.groove import (
    groove_area_bevel,
    groove_area_double_bevel,
    groove_area_double_v,
    groove_area_j,
    groove_area_square,
    groove_area_u,
    groove_area_v,
    reinforcement_area,
)

MM = 1e-3
lengths = st.floats(1.0, 50.0)
few = settings(max_examples=40, deadline=None)


# ---------------------------------------------------------------- published figures


@pytest.mark.parametrize(
    ("leg", "area"),
    # weld-econ-booklet (read): A = a b / 2; the four legs of the Iowa table (iowa-dot-im569).
    [(0.25, 0.03125), (0.3125, 0.048828125), (0.5, 0.125), (0.625, 0.1953125)],
)
def test_fillet_area_is_half_the_square_of_the_leg(leg: float, area: float) -> None:
    assert fillet_area(leg).value == pytest.approx(area, rel=1e-12)
    assert fillet_area(leg).grade == "read"


# ---------------------------------------------------------------- fillets


@few
@given(leg=lengths, other=lengths)
def test_flat_fillet_is_the_drawn_triangle(leg: float, other: float) -> None:
    drawn = Polygon([(0, 0), (leg, 0), (0, other)])
    assert fillet_area(leg, second_leg=other).value == pytest.approx(drawn.area, rel=1e-12)


@few
@given(leg=lengths, ratio=st.floats(0.01, 0.25))
def test_convex_fillet_is_the_drawn_parabola(leg: float, ratio: float) -> None:
    height = ratio * math.sqrt(2) * leg
    drawn = curved_fillet(leg, height)
    result = fillet_area_convex(leg, height)
    assert drawn.is_valid
    assert result.value == pytest.approx(drawn.area, rel=1e-7)
    assert result.grade == "memory"


@few
@given(leg=lengths, ratio=st.floats(0.01, 0.5))
def test_concave_fillet_is_the_drawn_parabola_inside_its_triangle(leg: float, ratio: float) -> None:
    hollow = ratio * leg / math.sqrt(2)
    drawn = curved_fillet(leg, -hollow)
    triangle = Polygon([(0, 0), (leg, 0), (0, leg)]).buffer(1e-6 * leg)
    result = fillet_area_concave(leg, hollow)
    assert triangle.contains(drawn)
    assert result.value == pytest.approx(drawn.area, rel=1e-7)
    nearest_to_root = np.hypot(*np.array(drawn.exterior.coords)[1:-1].T).min()
    assert result.parts["throat"] == pytest.approx(nearest_to_root, rel=1e-6)


def test_a_hollow_beyond_half_the_throat_would_cut_the_plates() -> None:
    leg, hollow = 10.0, 0.6 * 10.0 / math.sqrt(2)
    drawn = curved_fillet(leg, -hollow)
    assert not drawn.is_valid or not Polygon([(0, 0), (leg, 0), (0, leg)]).contains(drawn.buffer(0))
    with pytest.raises(InputError, match="runs into the plates"):
        fillet_area_concave(leg, hollow)


# ---------------------------------------------------------------- cap


@pytest.mark.parametrize(("ratio", "printed"), [(0.1, 0.008), (0.25, 0.048)])
def test_circular_cap_exceeds_the_parabola_as_the_docstring_says(
    ratio: float, printed: float
) -> None:
    result = reinforcement_area(2.0, 2.0 * ratio)
    excess = round_cap(2.0, 2.0 * ratio).area / result.value - 1.0
    assert excess == pytest.approx(printed, abs=0.0005)  # printed to 0.1 %
    assert result.caveats == ()
    assert cap(2.0, 2.0 * ratio).area == pytest.approx(result.value, rel=1e-7)


def test_a_steep_cap_has_a_caveat_and_a_value() -> None:
    result = reinforcement_area(0.010, 0.003)
    assert result.value == pytest.approx(20e-6)
    assert "cap height / width" in result.caveats[0]
    assert reinforcement_area(0.010, 0.00251).caveats
    assert "no width" in groove_area_v(0.01, 0.0, reinforcement=0.002).caveats[0]


# ---------------------------------------------------------------- grooves


@few
@given(t=lengths, opening=st.floats(0.5, 5), height=st.floats(0.1, 3), gap=st.floats(0, 2))
def test_square_groove(t: float, opening: float, height: float, gap: float) -> None:
    width = opening + 4.0 * height
    drawn = union_all([box(-opening / 2, -gap, opening / 2, t), cap(width, height, t)])
    result = groove_area_square(t, opening, height, cap_width=width, backing_gap=gap)
    assert result.value == pytest.approx(drawn.area, rel=1e-6)
    assert (result.grade, result.caveats) == ("memory", ())
    assert groove_area_square(t, opening, backing_gap=gap).grade == "read"


@few
@given(
    t=lengths,
    angle=st.floats(20, 120),
    face=st.floats(0, 0.9),
    opening=st.floats(0, 6),
    height=st.floats(0, 0.5),
    gap=st.floats(0, 2),
)
def test_v_and_bevel(
    t: float, angle: float, face: float, opening: float, height: float, gap: float
) -> None:
    f, half = face * t, opening / 2
    out = half + (t - f) * tangent(angle / 2)
    backing = box(-half, -gap, half, 0)
    drawn = union_all([v_groove(t, angle, f, opening), backing]).area + cap(2 * out, height).area
    result = groove_area_v(t, angle, f, opening, height, backing_gap=gap)
    assert result.value == pytest.approx(drawn, rel=1e-6)
    assert result.parts["face width"] == pytest.approx(2 * out)

    bevel = bevel_groove(t, angle / 2, f, opening)
    drawn = union_all([bevel, backing]).area + cap(half + out, height).area
    result = groove_area_bevel(t, angle / 2, f, opening, height, backing_gap=gap)
    assert result.value == pytest.approx(drawn, rel=1e-6)
    assert result.parts["face width"] == pytest.approx(half + out)


@few
@given(
    t=st.floats(10, 60),
    bevel=st.floats(0, 45),
    radius=st.floats(0.05, 0.6),
    face=st.floats(0, 0.3),
    opening=st.floats(0, 4),
    height=st.floats(0, 0.5),
)
def test_u_and_j(
    t: float, bevel: float, radius: float, face: float, opening: float, height: float
) -> None:
    depth = t * (1.0 - face)
    r = radius * depth
    side, width = rounded_side(depth, r, bevel)
    root = box(0, 0, opening, t).area
    u = groove_area_u(t, 2 * bevel, r, face * t, opening, height)
    assert u.value == pytest.approx(
        root + 2 * side + cap(opening + 2 * width, height).area, rel=1e-6
    )
    j = groove_area_j(t, bevel, r, face * t, opening, height)
    assert j.value == pytest.approx(root + side + cap(opening + width, height).area, rel=1e-6)
    assert j.parts["face width"] == pytest.approx(opening + width)


@few
@given(
    t=lengths,
    angle=st.floats(20, 100),
    face=st.floats(0, 0.5),
    share=st.floats(0, 1),
    opening=st.floats(0, 4),
)
def test_double_v_and_bevel(
    t: float, angle: float, face: float, share: float, opening: float
) -> None:
    f = face * t
    first = share * (t - f)
    double_v = double_v_groove(t, angle, f, opening, first)
    result = groove_area_double_v(t, angle, f, opening, first_depth=first)
    assert result.value == pytest.approx(double_v.area, rel=1e-6, abs=1e-9)
    double_bevel = double_bevel_groove(t, angle / 2, f, opening, first)
    result = groove_area_double_bevel(t, angle / 2, f, opening, first_depth=first)
    assert result.value == pytest.approx(double_bevel.area, rel=1e-6, abs=1e-9)


def test_equal_depths_are_the_recalled_symmetric_double_v() -> None:
    t, f, opening, angle = 20.0, 2.0, 3.0, 60.0
    symmetric = opening * t + 2 * ((t - f) / 2) ** 2 * tangent(angle / 2)
    assert groove_area_double_v(t, angle, f, opening).value == pytest.approx(symmetric)
    given_depth = groove_area_double_v(t, angle, f, opening, first_depth=9.0)
    assert given_depth.value == pytest.approx(symmetric)


def test_double_grooves_have_a_cap_on_either_side() -> None:
    bare = groove_area_double_v(20.0, 60.0, 2.0, 3.0, first_depth=12.0)
    capped = groove_area_double_v(20.0, 60.0, 2.0, 3.0, first_depth=12.0, reinforcement=1.0)
    widths = [3.0 + 2 * depth * tangent(30) for depth in (12.0, 6.0)]
    assert capped.value - bare.value == pytest.approx(
        sum(cap(width, 1.0).area for width in widths), rel=1e-6
    )


@few
@given(t=lengths, angle=st.floats(10, 120), opening=st.floats(0, 5), face=st.floats(0, 0.8))
def test_relations_between_grooves(t: float, angle: float, opening: float, face: float) -> None:
    f = face * t
    v = groove_area_v(t, angle, f, opening).value
    assert groove_area_u(t, angle, 0.0, f, opening).value == pytest.approx(v)
    halves = groove_area_bevel(t, angle / 2, f, opening).value * 2 - opening * t
    assert halves == pytest.approx(v)
    assert groove_area_double_v(t, angle, f, opening).value <= v * (1 + 1e-12)


@few
@given(t=lengths, angle=st.floats(5, 150), opening=st.floats(0, 5), more=st.floats(0.1, 5))
def test_larger_measures_take_more_metal(
    t: float, angle: float, opening: float, more: float
) -> None:
    base = groove_area_v(t, angle, 0.0, opening).value
    assert groove_area_v(t + more, angle, 0.0, opening).value > base
    assert groove_area_v(t, angle + more, 0.0, opening).value > base
    assert groove_area_v(t, angle, 0.0, opening + more).value > base
    assert groove_area_v(t, angle, 0.0, opening, reinforcement=more).value > base
    assert groove_area_v(t, angle, 0.1 * t, opening).value < base
    assert fillet_area(t + more).value > fillet_area(t).value
    bevel = angle / 2
    assert groove_area_j(t, bevel, 0.3 * t).value > groove_area_j(t, bevel, 0.2 * t).value


@pytest.mark.parametrize(
    "call",
    [
        lambda: groove_area_v(0.01, 60, root_face=0.011),
        lambda: groove_area_u(0.01, 20, root_radius=0.02),
        lambda: groove_area_j(0.01, 10, root_radius=0.02, root_face=0.002),
        lambda: groove_area_double_v(0.01, 60, root_face=0.002, first_depth=0.009),
        lambda: groove_area_square(0.01, 0.003, reinforcement=0.001, cap_width=0.002),
    ],
)
def test_impossible_welds_are_refused(call: Any) -> None:
    with pytest.raises(InputError):
        call()


def test_an_uncertain_leg_gives_an_uncertain_area() -> None:
    leg = uncertainties.ufloat(6.0 * MM, 0.5 * MM)
    uncertainty = fillet_area(leg).uncertainty
    assert uncertainty == pytest.approx(6.0 * MM * 0.5 * MM, rel=1e-6)
