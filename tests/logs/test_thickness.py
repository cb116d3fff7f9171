"""Between two edges a thickness band's answer is constant, and every thickness finds its step."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.core.bands import Band
from weldref.core.index import thickness_code
from weldref.logs.engine import DuckEngine
from weldref.logs.thickness import edges, load_steps

PLAUSIBLE = (1e-4, 1.0)
ENDS = st.sampled_from([0.0008, 0.0031749, 0.003175, 0.0032, 0.00635, 0.01905, 0.0381, 0.2])


@st.composite
def bands(draw: st.DrawFn) -> Band:
    low, high = draw(st.none() | ENDS), draw(st.none() | ENDS)
    if low is None and high is None:
        low = 0.003175
    if low is not None and high is not None:
        low, high = min(low, high), max(low, high)
    if draw(st.booleans()) and low is not None:
        high = low
    return Band(low, high, draw(st.booleans()), draw(st.booleans()))


@st.composite
def thicknesses(draw: st.DrawFn) -> float:
    near = draw(ENDS) * draw(st.sampled_from([1, 1 + 1e-9, 1 - 1e-9, 1.02, 1 / 1.02, 0.98, 1.5]))
    return near * (1 + draw(st.integers(-3, 3)) * 2.0**-52)


@given(st.lists(bands(), min_size=1, max_size=6), st.lists(thicknesses(), min_size=1, max_size=8))
def test_a_step_answers_for_its_thicknesses(found: list[Band], thick: list[float]) -> None:
    engine = DuckEngine()
    try:
        steps = load_steps(engine, found, PLAUSIBLE)
        engine.load("log", {"thickness": "DOUBLE"}, [(t,) for t in thick])
        rows = engine.fetch(f"SELECT l.thickness, {steps.step} FROM log l {steps.join}")
        assert len(rows) == len(thick)
        for measured, step in rows:
            for band in found:
                own, of_step = (thickness_code(band, t) for t in (measured, steps.begins[step]))
                assert own == of_step, (measured, band)
    finally:
        engine.close()


def test_no_thickness_has_a_step_of_its_own() -> None:
    engine = DuckEngine()
    try:
        steps = load_steps(engine, [Band(0.003, 0.006, True, True)], PLAUSIBLE)
        odd = [None, float("nan"), float("inf"), -float("inf"), -1.0, 0.0, -4e307, 4e307, 2.0]
        engine.load("log", {"thickness": "DOUBLE"}, [(t,) for t in odd])
        rows = engine.fetch(f"SELECT {steps.step} FROM log l {steps.join} ORDER BY l.rowid")
        assert [step for (step,) in rows] == [-1, -2, -2, -2, -3, -3, -3, -3, -3]
    finally:
        engine.close()


def test_edges_of_a_nominal_size_take_in_its_twin() -> None:
    band = Band(0.003175, 0.003175, True, True)
    found = edges(band)
    assert min(found) == pytest.approx(0.003175 / 1.02)
    assert max(found) == pytest.approx(0.003175 / 0.98)
    assert thickness_code(band, min(found)) == 1
    assert thickness_code(band, min(found) * (1 - 2.0**-52)) == -3
