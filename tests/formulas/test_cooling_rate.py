"""Centre-line cooling against Rosenthal's field, bead ends and solidification time."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from tests.formulas.reference import STEEL, bead_end_ratio
from weldref.errors import InputError
from weldref.formulas.bead_ends import cooling_rate_near_bead_end
from weldref.formulas.cooling_rate import (
    cooling_rate_thick_plate,
    cooling_rate_thin_plate,
    cooling_time_thick_plate,
    cooling_time_thin_plate,
    relative_plate_thickness,
)
from weldref.formulas.solidification import solidification_time
from weldref.formulas.temperature_field import rosenthal_thick_plate, rosenthal_thin_plate

SPAN = {"upper_temperature": 800.0, "lower_temperature": 500.0}


def time_in_field(field, speed: float, power: float, initial: float, **place: float) -> float:
    """Read the time from 800 to 500 degC off the cooling curve on the weld centre line."""

    def distance(temperature: float) -> float:
        def excess(behind: float) -> float:
            found = field(
                power=power,
                travel_speed=speed,
                ahead=-behind,
                aside=0.0,
                initial_temperature=initial,
                **STEEL,
                **place,
            )
            return found.value - temperature

        return optimize.brentq(excess, 1e-4, 50.0, xtol=1e-14, rtol=1e-14)

    return (distance(500.0) - distance(800.0)) / speed


@pytest.mark.parametrize(("speed", "power"), [(0.001, 2000.0), (0.005, 5000.0), (0.02, 20_000.0)])
@pytest.mark.parametrize("initial", [20.0, 250.0])
def test_thick_plate_time_is_read_off_the_cooling_curve(speed, power, initial):
    curve = time_in_field(rosenthal_thick_plate, speed, power, initial, depth=0.0)
    general = cooling_time_thick_plate(
        net_heat_input=power / speed, initial_temperature=initial, conductivity=28.0, **SPAN
    )
    assert general.value == pytest.approx(curve, rel=1e-9)


def test_thin_plate_time_is_the_limit_of_a_fast_arc():
    # 1 kJ/mm through 6 mm: the time off the curve nears the closed form as the arc speeds up.
    closed = cooling_time_thin_plate(
        net_heat_input=1e6, thickness=0.006, initial_temperature=20.0, **SPAN, **STEEL
    ).value
    errors = [
        abs(time_in_field(rosenthal_thin_plate, v, 1e6 * v, 20.0, thickness=0.006) / closed - 1)
        for v in (0.005, 0.02, 0.08)
    ]
    assert errors[0] > 8 * errors[1] > 64 * errors[2]
    assert errors[2] < 1e-4


def test_times_with_constants_that_were_read():
    # Own arithmetic with cn-t85-method's constants: 4.40 s thick, 11.04 s in 10 mm.
    common = {"net_heat_input": 1e6, "initial_temperature": 20.0, "conductivity": 29.0} | SPAN
    thin = cooling_time_thin_plate(thickness=0.01, heat_capacity=6.7e6, **common)
    assert cooling_time_thick_plate(**common).value == pytest.approx(4.40, abs=0.005)
    assert thin.value == pytest.approx(11.04, abs=0.005)


@given(
    heat=st.floats(0.2e6, 5e6), plate=st.floats(0.002, 0.05), temperature=st.floats(450.0, 1200.0)
)
def test_rates_are_the_slopes_of_the_times(heat, plate, temperature):
    common = {"net_heat_input": heat, "initial_temperature": 50.0, "conductivity": 28.0}
    step = {"upper_temperature": temperature + 0.05, "lower_temperature": temperature - 0.05}
    thin = {"thickness": plate, "heat_capacity": 4.4e6}
    slow = cooling_time_thin_plate(**common, **step, **thin).value
    fast = cooling_time_thick_plate(**common, **step).value
    rate = cooling_rate_thick_plate(**common, temperature=temperature).value
    assert rate * fast == pytest.approx(0.1, rel=1e-5)
    rate = cooling_rate_thin_plate(**common, **thin, temperature=temperature).value
    assert rate * slow == pytest.approx(0.1, rel=1e-5)


@given(
    heat=st.floats(0.2e6, 5e6), plate=st.floats(0.002, 0.05), temperature=st.floats(300.0, 1200.0)
)
def test_the_two_rates_are_a_square_of_relative_thickness_apart(heat, plate, temperature):
    common = {"net_heat_input": heat, "temperature": temperature, "initial_temperature": 20.0}
    tau = relative_plate_thickness(thickness=plate, heat_capacity=4.4e6, **common).value
    thin = cooling_rate_thin_plate(thickness=plate, **common, **STEEL).value
    thick = cooling_rate_thick_plate(conductivity=28.0, **common).value
    assert thin / thick == pytest.approx(tau**2, rel=1e-9)


def test_between_thin_and_thick_there_is_a_caveat():
    common = {
        "net_heat_input": 1e6,
        "temperature": 550.0,
        "initial_temperature": 20.0,
        "heat_capacity": 4.4e6,
    }
    per_metre = math.sqrt(4.4e6 * 530.0 / 1e6)
    for tau, doubtful in ((0.59, False), (0.61, True), (0.89, True), (0.91, False)):
        found = relative_plate_thickness(thickness=tau / per_metre, **common)
        assert found.value == pytest.approx(tau)
        assert bool(found.caveats) is doubtful
        thin = cooling_rate_thin_plate(thickness=tau / per_metre, conductivity=28.0, **common)
        assert bool(thin.caveats) is (tau > 0.6)


def test_a_bead_end_cools_twice_as_fast():
    # fr2-end-effect, jws-1976-cooling-ends, read: ratio 2; at 2 rm from it 0.56 of that.
    end = cooling_rate_near_bead_end(cooling_rate=30.0, place="bead-end")
    near = cooling_rate_near_bead_end(cooling_rate=30.0, place="2-rm-from-end")
    middle = cooling_rate_near_bead_end(cooling_rate=30.0, place="middle-of-long-bead")
    assert middle.value == 30.0
    assert end.value == 60.0
    assert near.value / end.value == pytest.approx(0.56)
    assert end.grade == "read"


@pytest.mark.parametrize(("place", "distance"), [("bead-end", 0.0), ("2-rm-from-end", 2.0)])
def test_published_end_ratios_follow_from_a_line_source(place, distance):
    ratio = cooling_rate_near_bead_end(cooling_rate=1.0, place=place).value
    assert ratio / 2.0 == pytest.approx(bead_end_ratio(distance) / 2.0, abs=0.005)


def test_short_beads_have_a_caveat():
    def caveats(length: float) -> tuple[str, ...]:
        return cooling_rate_near_bead_end(
            cooling_rate=30.0, place="bead-end", bead_length=length, peak_radius=0.01
        ).caveats

    assert caveats(0.0201) == ()
    assert caveats(0.02) == ("the bead is 2 rm long, not over 2 rm",)
    assert caveats(0.015) == ("the bead is 1.5 rm long, not over 2 rm",)
    assert caveats(0.0149)[0].endswith("behaves as a point source")


def test_a_place_between_the_published_ones_is_refused():
    with pytest.raises(InputError, match="place: '1-rm-from-end' is not accepted"):
        cooling_rate_near_bead_end(cooling_rate=30.0, place="1-rm-from-end")


def test_solidification_time_of_a_course_problem():
    # fr2-solid-time, nptel-112107090-20, inputs read, answer recalled arithmetic, 0.005 s.
    values = {"net_heat_input": 500e3, "conductivity": 25.0, "initial_temperature": 25.0}
    found = solidification_time(
        latent_heat=2.4e9, heat_capacity=4.4e6, melting_temperature=1540.0, **values
    )
    assert found.value == pytest.approx(0.756, abs=0.005)
    # The time at which the cooling rate at melting would carry off the latent heat.
    rate = cooling_rate_thick_plate(temperature=1540.0, **values).value
    assert found.value == pytest.approx(2.4e9 / 4.4e6 / rate)


@pytest.mark.parametrize(
    ("function", "values", "message"),
    [
        (cooling_rate_thick_plate, {"temperature": 20.0}, "temperature"),
        (
            cooling_time_thick_plate,
            {"upper_temperature": 500.0, "lower_temperature": 500.0},
            "upper",
        ),
        (
            cooling_time_thick_plate,
            {"upper_temperature": 500.0, "lower_temperature": 20.0},
            "lower",
        ),
    ],
)
def test_impossible_input_is_refused(function, values, message):
    common = {"net_heat_input": 1e6, "initial_temperature": 20.0, "conductivity": 28.0}
    with pytest.raises(InputError, match=message):
        function(**(common | values))


def test_a_molten_plate_is_refused():
    with pytest.raises(InputError, match="melting temperature"):
        solidification_time(
            net_heat_input=1e6,
            latent_heat=2.4e9,
            melting_temperature=1500.0,
            initial_temperature=1500.0,
            **STEEL,
        )
