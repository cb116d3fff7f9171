"""Deposit, wire and cost against printed tables, whole sums in trade units, and weighing."""

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.formulas.reference import in_unit, si
from weldref.errors import InputError
from weldref.formulas.cost import arc_time, deposit_cost, gas_volume, labor_time
from weldref.formulas.deposit import (
    electrode_needed,
    filler_needed,
    passes,
    weld_weight,
    weld_weight_per_length,
)
from weldref.formulas.fillet import fillet_area
from weldref.formulas.wire import (
    deposition_rate,
    travel_speed_fillet,
    wire_feed_speed_timed,
    wire_length,
    wire_weight,
)

few = settings(max_examples=50, deadline=None)
legs = st.floats(0.002, 0.02)
feeds = st.floats(0.02, 0.3)
wires = st.floats(0.0006, 0.0024)
densities = st.floats(2000.0, 9000.0)
fractions = st.floats(0.05, 1.0)


# ---------------------------------------------------------------- published examples


@pytest.mark.parametrize(
    ("leg", "printed"),
    [
        # iowa-fillet-1, -2, -4, -5: iowa-dot-im569, weight of welds table (read), +-0.005 lb/ft.
        (0.25, 0.16),
        (0.3125, 0.25),
        (0.5, 0.64),
        (0.625, 1.0),
    ],
)
def test_published_weight_of_fillets(leg: float, printed: float) -> None:
    area = fillet_area(si(leg, "inch")).value
    result = weld_weight_per_length(area, si(490, "lb/ft^3"), allowance=1.5)
    assert in_unit(result.value, "kg/m", "lb/ft") == pytest.approx(printed, abs=0.005)
    assert result.grade == "read"


def test_published_deposit_from_flux_cored_wire() -> None:
    # gf-25: gmaw-ch9-textbook 9.1 (percentages read): 100 lb of wire leave 82 to 92 lb.
    for deposit, efficiency in ((82.0, 0.82), (92.0, 0.92)):
        assert filler_needed(deposit, efficiency).value == pytest.approx(100.0)
    assert filler_needed(82.0, 0.82).parts["loss"] == pytest.approx(18.0)


def test_published_stub_correction() -> None:
    # sm-15: general-practice, stub-loss formula (memory), 1e-4.
    needed = electrode_needed(
        1.0, efficiency=0.75, electrode_length=si(14, "inch"), stub_length=si(2, "inch")
    )
    assert needed.parts["efficiency with stub loss"] == pytest.approx(0.642857, abs=1e-4)
    assert needed.value == pytest.approx(1 / 0.642857, rel=1e-5)
    assert needed.grade == "memory"


@pytest.mark.parametrize("inches", [25.0, 33.5, 60.0])
def test_published_ten_second_rule(inches: float) -> None:
    # gmaw-fcaw-handbook-2018, p. 70 (read): inches in ten seconds times six is in/min.
    result = wire_feed_speed_timed(si(inches, "inch"), 10.0)
    assert in_unit(result.value, "m/s", "inch/minute") == pytest.approx(6 * inches)
    assert result.grade == "read"


# ---------------------------------------------------------------- the trade's own sums


def test_deposition_rate_in_trade_units() -> None:
    # gmaw_fcaw formula 5 as written: in/min, in, lb/in3 and 60 min give lb/h.
    printed_form = 300 * math.pi / 4 * 0.045**2 * 0.283 * 60 * 0.95
    rate = deposition_rate(
        si(300, "inch/minute"), si(0.045, "inch"), si(0.283, "lb/inch^3"), efficiency=0.95
    )
    assert in_unit(rate.value, "kg/s", "lb/hour") == pytest.approx(printed_form, rel=1e-9)


def test_cost_in_trade_units() -> None:
    # joints_fillers, per pound: rate / (rate of deposit x OF), price / DE, flow x price / rate.
    rate, factor, efficiency = 6.5, 0.35, 0.94
    labor, filler, gas = 55 / (rate * factor), 1.9 / efficiency, 35 * 0.12 / rate
    cost = deposit_cost(
        labor_rate=si(55, "currency/hour"),
        deposition_rate=si(rate, "lb/hour"),
        operating_factor=factor,
        filler_price=si(1.9, "currency/lb"),
        efficiency=efficiency,
        gas_flow=si(35, "ft^3/hour"),
        gas_price=si(0.12, "currency/ft^3"),
    )
    per_pound = {
        name: in_unit(part, "currency/kg", "currency/lb") for name, part in cost.parts.items()
    }
    assert per_pound == pytest.approx({"labor": labor, "filler": filler, "gas": gas})
    assert in_unit(cost.value, "currency/kg", "currency/lb") == pytest.approx(labor + filler + gas)


# ---------------------------------------------------------------- weighing and counting


@few
@given(leg=legs, feed=feeds, wire=wires, density=densities, efficiency=fractions)
def test_the_metal_laid_is_the_metal_deposited(
    leg: float, feed: float, wire: float, density: float, efficiency: float
) -> None:
    rate = deposition_rate(feed, wire, density, efficiency).value
    speed = travel_speed_fillet(leg, feed, wire, efficiency).value
    laid = weld_weight(fillet_area(leg).value, length=speed * 60, density=density)
    assert laid.value == pytest.approx(60 * rate)
    assert arc_time(laid.value, rate).value == pytest.approx(60.0)
    fed = wire_weight(feed * 60, wire, density).value
    assert filler_needed(laid.value, efficiency).value == pytest.approx(fed)
    assert laid.parts["volume"] == pytest.approx(fillet_area(leg).value * speed * 60)


@few
@given(weight=st.floats(0.1, 500.0), wire=wires, density=densities)
def test_wire_length_and_weight_are_inverse(weight: float, wire: float, density: float) -> None:
    length = wire_length(weight, wire, density).value
    assert wire_weight(length, wire, density).value == pytest.approx(weight)


@few
@given(area=st.floats(1e-6, 1e-3), each=st.floats(1e-6, 1e-4))
def test_passes_just_fill_the_area(area: float, each: float) -> None:
    count = passes(area, each).value
    assert count == int(count) >= 1
    assert count * each >= area * (1 - 1e-8)
    assert (count - 1) * each < area


@few
@given(count=st.integers(1, 400), each=st.floats(1e-6, 1e-4))
def test_a_whole_number_of_passes_is_not_rounded_up(count: int, each: float) -> None:
    assert passes(count * each, each).value == count


@few
@given(time=st.floats(1.0, 1e5), factor=fractions)
def test_labor_time_has_the_operating_factor(time: float, factor: float) -> None:
    result = labor_time(time, factor)
    # weld-econ-booklet (read): OF = 100 x arc time / total; total = arc + non-arc time.
    assert 100 * time / result.value == pytest.approx(100 * factor)
    assert result.parts["non-arc time"] + time == pytest.approx(result.value)


@few
@given(feed=feeds, wire=wires, more=st.floats(1.01, 2.0), efficiency=st.floats(0.3, 0.9))
def test_direction_of_change(feed: float, wire: float, more: float, efficiency: float) -> None:
    rate = deposition_rate(feed, wire, 7850.0, efficiency).value
    assert deposition_rate(feed * more, wire, 7850.0, efficiency).value > rate
    assert deposition_rate(feed, wire * more, 7850.0, efficiency).value > rate
    speed = travel_speed_fillet(0.006, feed, wire, efficiency).value
    assert travel_speed_fillet(0.006 * more, feed, wire, efficiency).value < speed
    assert travel_speed_fillet(0.006, feed * more, wire, efficiency).value > speed
    assert filler_needed(1.0, efficiency * 1.1).value < filler_needed(1.0, efficiency).value
    stub = electrode_needed(1.0, efficiency, 0.35, 0.05).value
    assert electrode_needed(1.0, efficiency, 0.35, 0.05 * more).value > stub
    assert electrode_needed(1.0, efficiency, 0.35, 0.0).value == pytest.approx(1 / efficiency)
    cost = deposit_cost(0.01, 5e-4, 0.3, 4.0, efficiency).value
    assert deposit_cost(0.01, 5e-4 * more, 0.3, 4.0, efficiency).value < cost
    assert deposit_cost(0.01, 5e-4, 0.3, 4.0, efficiency, 2e-4, 10.0).value > cost


def test_gas_flows_also_before_and_after_the_arc() -> None:
    volume = gas_volume(si(15, "L/minute"), si(10, "minute"), flow_time=si(2, "minute"))
    assert in_unit(volume.value, "m^3", "L") == pytest.approx(180.0)


@pytest.mark.parametrize(
    "result",
    [
        deposition_rate(0.1, 0.0012, 7850.0, wire="tubular"),
        travel_speed_fillet(0.006, 0.1, 0.0012, wire="tubular"),
        wire_length(15.0, 0.0012, 7850.0, wire="tubular"),
        wire_weight(100.0, 0.0012, 7850.0, wire="tubular"),
    ],
)
def test_tubular_wire_has_a_caveat(result: Any) -> None:
    assert "tubular wire is not all metal" in result.caveats[0]


def test_solid_wire_has_none() -> None:
    assert deposition_rate(0.1, 0.0012, 7850.0).caveats == ()


def test_a_stub_as_long_as_its_electrode_is_refused() -> None:
    with pytest.raises(InputError, match="stub_length"):
        electrode_needed(1.0, 0.7, 0.35, 0.35)
