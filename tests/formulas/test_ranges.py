"""Windows in, windows out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.errors import InputError
from weldref.formulas.heat import arc_energy, heat_input
from weldref.formulas.ranges import corners


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@given(
    voltages=st.tuples(between(10, 20), between(20, 40)),
    currents=st.tuples(between(50, 150), between(150, 400)),
    speeds=st.tuples(between(0.001, 0.005), between(0.005, 0.02)),
    inside=st.tuples(between(0, 1), between(0, 1), between(0, 1)),
)
def test_no_setting_inside_the_windows_leaves_the_span(voltages, currents, speeds, inside):
    span = corners(arc_energy, voltage=voltages, current=currents, travel_speed=speeds)
    setting = [
        low + share * (high - low)
        for (low, high), share in zip((voltages, currents, speeds), inside, strict=True)
    ]
    value = arc_energy(*setting).value
    assert span.lowest.value * (1 - 1e-12) <= value <= span.highest.value * (1 + 1e-12)
    assert span.lowest.value == voltages[0] * currents[0] / speeds[1]
    assert span.highest.value == voltages[1] * currents[1] / speeds[0]


def test_one_value_each_gives_one_result_twice():
    span = corners(arc_energy, voltage=20.0, current=100.0, travel_speed=0.004)
    assert span.lowest.value == span.highest.value == 500_000.0


def test_words_pass_through_and_each_end_keeps_its_own_caveats_and_sources():
    span = corners(
        heat_input, voltage=(20.0, 25.0), current=100.0, travel_speed=0.004, process="15"
    )
    assert span.highest.value / span.lowest.value == pytest.approx(1.25)
    assert span.lowest.parts["efficiency"] == 0.6


@pytest.mark.parametrize("window", [(25.0, 20.0), (20.0,), (20.0, 22.0, 25.0), []])
def test_a_window_that_is_not_one_is_refused(window):
    with pytest.raises(InputError, match="voltage"):
        corners(arc_energy, voltage=window, current=100.0, travel_speed=0.004)


def test_a_window_that_reaches_the_impossible_is_refused():
    with pytest.raises(InputError, match="travel_speed"):
        corners(arc_energy, voltage=20.0, current=100.0, travel_speed=(0.0, 0.004))
