"""Rosenthal's fields against the integral over a moving source, and peaks against their maximum."""

from __future__ import annotations

import math

import pytest
from scipy import special

from tests.formulas.reference import DIFFUSIVITY, STEEL, hottest, thick_plate_rise, thin_plate_rise
from weldref.errors import InputError
from weldref.formulas.temperature_field import (
    heated_zone_width,
    peak_temperature_thin_plate,
    rosenthal_thick_plate,
    rosenthal_thin_plate,
)

ARC = {"power": 1500.0, "travel_speed": 0.005, "initial_temperature": 25.0}
HANDBOOK = {
    # welding-handbook-v1, memory: 720 J/mm in 5 mm steel.
    "net_heat_input": 720e3,
    "thickness": 0.005,
    "melting_temperature": 1510.0,
    "heat_capacity": 4.4e6,
}

PLACES = [
    (-0.020, 0.0, 0.0),
    (-0.020, 0.004, 0.003),
    (0.003, 0.0, 0.0),
    (0.002, -0.006, 0.002),
    (0.0, 0.010, 0.0),
    (-0.150, 0.020, 0.010),
]


@pytest.mark.parametrize(("ahead", "aside", "depth"), PLACES)
def test_thick_plate_is_the_sum_of_moving_point_sources(ahead, aside, depth):
    found = rosenthal_thick_plate(ahead=ahead, aside=aside, depth=depth, **ARC, **STEEL).value
    rise = thick_plate_rise(ARC["power"], ARC["travel_speed"], ahead, math.hypot(aside, depth))
    assert found - 25.0 == pytest.approx(rise, rel=1e-8)


@pytest.mark.parametrize(("ahead", "aside"), [place[:2] for place in PLACES])
def test_thin_plate_is_the_sum_of_moving_line_sources(ahead, aside):
    found = rosenthal_thin_plate(thickness=0.003, ahead=ahead, aside=aside, **ARC, **STEEL)
    rise = thin_plate_rise(ARC["power"], ARC["travel_speed"], 0.003, ahead, aside)
    assert found.value - 25.0 == pytest.approx(rise, rel=1e-8)


@pytest.mark.parametrize("argument", [1e-9, 1e-4, 0.1, 1.0, 7.0, 60.0, 600.0])
def test_bessel_function_of_the_thin_plate(argument):
    # Beside the arc the temperature is K0 alone.
    aside = argument * 2 * DIFFUSIVITY / ARC["travel_speed"]
    found = rosenthal_thin_plate(thickness=0.003, ahead=0.0, aside=aside, **ARC, **STEEL).value
    shape = (found - 25.0) * 2 * math.pi * STEEL["conductivity"] * 0.003 / ARC["power"]
    assert shape == pytest.approx(special.k0(argument), rel=1e-12, abs=1e-16)


def test_far_behind_the_arc_nothing_overflows():
    found = rosenthal_thin_plate(thickness=0.003, ahead=-50.0, aside=0.0, **ARC, **STEEL).value
    assert 25.0 < found < 60.0


def test_a_place_in_the_pool_has_a_caveat_when_the_melting_point_is_known():
    pool = {"ahead": -0.003, "aside": 0.0} | ARC | STEEL
    for field, place in (
        (rosenthal_thick_plate, {"depth": 0.0}),
        (rosenthal_thin_plate, {"thickness": 0.003}),
    ):
        assert field(**pool, **place).caveats == ()
        assert field(**pool, **place, melting_temperature=1510.0).caveats
        cool = pool | place | {"ahead": -0.2}
        assert field(**cool, melting_temperature=1510.0).caveats == ()


def test_the_source_itself_is_refused():
    with pytest.raises(InputError, match="point source"):
        rosenthal_thick_plate(ahead=0.0, aside=0.0, depth=0.0, **ARC, **STEEL)
    with pytest.raises(InputError, match="line source"):
        rosenthal_thin_plate(ahead=0.0, aside=0.0, thickness=0.003, **ARC, **STEEL)


def test_recalled_peak_temperature():
    # wh-peak-03, welding-handbook-v1, memory, 1 degC.
    found = peak_temperature_thin_plate(distance=0.003, initial_temperature=25.0, **HANDBOOK)
    assert found.value == pytest.approx(976.0, abs=1.0)
    assert found.grade == "memory"


@pytest.mark.parametrize(
    ("temperature", "initial", "millimetres"),
    [(730.0, 25.0, 5.9), (430.0, 25.0, 14.2), (430.0, 200.0, 28.4)],
)
def test_recalled_widths(temperature, initial, millimetres):
    # wh-peak-04, -05, -06, welding-handbook-v1, memory, 0.1 mm.
    found = heated_zone_width(temperature=temperature, initial_temperature=initial, **HANDBOOK)
    assert found.value * 1e3 == pytest.approx(millimetres, abs=0.1)


@pytest.mark.parametrize("beyond", [0.001, 0.003, 0.010])
def test_only_the_fusion_boundary_reading_is_the_maximum_of_a_line_source(beyond):
    found = peak_temperature_thin_plate(distance=beyond, initial_temperature=25.0, **HANDBOOK)
    half_width = found.parts["half_width_of_fused_zone"]
    line = HANDBOOK["net_heat_input"] / HANDBOOK["thickness"]
    assert hottest(line, half_width) == pytest.approx(1510.0 - 25.0, rel=1e-7)
    assert found.value - 25.0 == pytest.approx(hottest(line, half_width + beyond), rel=1e-7)


def test_both_readings_of_the_distance_are_shown():
    common = {"initial_temperature": 25.0} | HANDBOOK
    boundary = peak_temperature_thin_plate(distance=0.003, **common)
    half_width = boundary.parts["half_width_of_fused_zone"]
    centre = peak_temperature_thin_plate(
        distance=0.003 + half_width, distance_from="weld-centre-line", **common
    )
    assert centre.parts["peak_temperature_other_reading"] == pytest.approx(boundary.value)
    assert boundary.parts["peak_temperature_other_reading"] == pytest.approx(centre.value)
    assert (centre.grade, boundary.grade) == ("read", "memory")
    assert "sources differ" in boundary.caveats[0]
    assert "sources differ" in centre.caveats[0]


def test_centre_line_reading_has_the_melting_temperature_on_the_centre_line():
    found = peak_temperature_thin_plate(
        distance=0.0, distance_from="weld-centre-line", initial_temperature=25.0, **HANDBOOK
    )
    assert found.value == pytest.approx(1510.0)
    assert "no finite temperature" in found.caveats[0]


def test_width_and_peak_undo_each_other():
    for initial, temperature in ((20.0, 1510.0), (150.0, 900.0), (20.0, 100.0)):
        width = heated_zone_width(
            temperature=temperature, initial_temperature=initial, **HANDBOOK
        ).value
        back = peak_temperature_thin_plate(
            distance=width, initial_temperature=initial, **HANDBOOK
        ).value
        assert back == pytest.approx(temperature)


@pytest.mark.parametrize(
    ("function", "values", "message"),
    [
        (heated_zone_width, {"temperature": 25.0}, "temperature"),
        (heated_zone_width, {"temperature": 1511.0}, "temperature"),
        (
            heated_zone_width,
            {"temperature": 1600.0, "initial_temperature": 1510.0},
            "molten|melting",
        ),
    ],
)
def test_impossible_input_is_refused(function, values, message):
    with pytest.raises(InputError, match=message):
        function(**({"initial_temperature": 25.0} | HANDBOOK | values))
