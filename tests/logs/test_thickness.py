"""Between two edges a thickness band's answer is constant, and every thickness finds its step."""

from __future__ import annotations

import duckdb
import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.core.lookup import thickness_code
from weldref.logs.engine import DuckEngine
from weldref.logs.thickness import Band, edges, load_steps

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
        engine.load(
            "bands",
            {"thickness_min_si": "DOUBLE", "thickness_max_si": "DOUBLE",
             "thickness_min_inclusive": "BOOLEAN", "thickness_max_inclusive": "BOOLEAN"},
            [(b.low, b.high, b.low_inclusive, b.high_inclusive) for b in found],
        )  # fmt: skip
        rows = engine.fetch(
            f"""
            SELECT l.thickness, s.thick, {thickness_code("l.thickness")},
                {thickness_code("s.thick")}
            FROM log l {steps.join} JOIN steps s ON s.step = k.step CROSS JOIN bands
            """
        )
        assert len(rows) == len(thick) * len(found)
        for measured, stands_for, own, of_step in rows:
            assert own == of_step, (measured, stands_for)
    finally:
        engine.close()


def test_no_thickness_has_a_step_of_its_own() -> None:
    engine = DuckEngine()
    try:
        steps = load_steps(engine, [Band(0.003, 0.006, True, True)], PLAUSIBLE)
        odd = [None, float("nan"), float("inf"), -float("inf"), -1.0, 0.0, -4e307, 4e307, 2.0]
        engine.load("log", {"thickness": "DOUBLE"}, [(t,) for t in odd])
        rows = engine.fetch(f"SELECT k.step FROM log l {steps.join} ORDER BY l.rowid")
        assert [step for (step,) in rows] == [-1, -2, -2, -2, -3, -3, -3, -3, -3]
    finally:
        engine.close()


def test_edges_of_a_nominal_size_take_in_its_twin() -> None:
    found = edges(Band(0.003175, 0.003175, True, True))
    assert min(found) == pytest.approx(0.003175 / 1.02)
    assert max(found) == pytest.approx(0.003175 / 0.98)
    with duckdb.connect() as connection:
        sql = thickness_code("$t").replace("thickness_min_si", "0.003175e0")
        sql = sql.replace("thickness_max_si", "0.003175e0")
        sql = sql.replace("thickness_min_inclusive", "true").replace(
            "thickness_max_inclusive", "true"
        )
        assert connection.execute(f"SELECT {sql}", {"t": min(found)}).fetchall() == [(1,)]
        below = min(found) * (1 - 2.0**-52)
        assert connection.execute(f"SELECT {sql}", {"t": below}).fetchall() == [(-3,)]
