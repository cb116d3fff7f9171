"""Cooling time from 800 to 500 degC (t8/5) of steel by EN 1011-2, annex D, and its inverse.

Everything here is recalled from EN 1011-2 and not seen in print. For the same time from
thermal constants see `weldref.formulas.cooling_rate`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, NamedTuple

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside
from weldref.formulas.ranges import Span, corners

_ANNEX_D = (Source("en-1011-2", "annex D", "memory"),)
_VALID = "unalloyed and low-alloy steel; no numeric range is recalled"

HeatInput = Annotated[float, Symbol("Q", "J/m", "heat input with thermal efficiency k", above=0.0)]
Thickness = Annotated[float, Symbol("d", "m", "plate thickness", above=0.0)]
_BEFORE = "plate temperature before the run: preheat or interpass"
Initial = Annotated[float, Symbol("T0", "degC", _BEFORE, above=-273.15, below=500)]
_ThickFactor = Annotated[
    float, Symbol("F3", "", "shape factor of three-dimensional heat flow", above=0.0, at_most=1.0)
]
_ThinFactor = Annotated[
    float, Symbol("F2", "", "shape factor of two-dimensional heat flow", above=0.0, at_most=1.0)
]
_TIME = Symbol("t8/5", "s", "cooling time from 800 to 500 degC")


class ShapeFactors(NamedTuple):
    """Shape factors of a joint as windows (low, high); the table gives some as a range."""

    thin: tuple[float, float]
    thick: tuple[float, float]


SHAPE_FACTORS: Mapping[str, ShapeFactors] = {
    "run-on-plate": ShapeFactors((1.0, 1.0), (1.0, 1.0)),
    "between-runs-in-butt": ShapeFactors((0.9, 0.9), (0.9, 0.9)),
    "fillet-on-corner-joint": ShapeFactors((0.67, 0.9), (0.67, 0.67)),
    "fillet-on-t-joint": ShapeFactors((0.45, 0.67), (0.67, 0.67)),
}
"""EN 1011-2:2001 Table D.1, recalled; low ends are for a large heat input per thickness."""


def _thick_per_heat(initial: float) -> float:
    """Return seconds per kJ/mm in three-dimensional heat flow."""
    return (6700.0 - 5.0 * initial) * (1.0 / (500.0 - initial) - 1.0 / (800.0 - initial))


def _thin_per_heat(initial: float) -> float:
    """Return seconds per (kJ/mm)2/mm2 in two-dimensional heat flow."""
    squares = 1.0 / (500.0 - initial) ** 2 - 1.0 / (800.0 - initial) ** 2
    return (4300.0 - 4.3 * initial) * 1e5 * squares


def _thick_time(heat_input: float, initial: float, factor: float) -> float:
    return _thick_per_heat(initial) * heat_input / 1e6 * factor


def _thin_time(heat_input: float, thickness: float, initial: float, factor: float) -> float:
    return _thin_per_heat(initial) * (heat_input / 1e6 / (thickness * 1e3)) ** 2 * factor


def _transition(heat_input: float, initial: float, thick: float, thin: float) -> float:
    square = _thin_per_heat(initial) / _thick_per_heat(initial) * heat_input / 1e6 * thin / thick
    return math.sqrt(square) / 1e3


def _doubt(
    thickness: float, heat_input: float, initial: float, thick: float, thin: float
) -> tuple[str, ...]:
    """Return a caveat when the shape factors decide which heat flow is taken."""
    with_factors = _transition(heat_input, initial, thick, thin)
    without = _transition(heat_input, initial, 1.0, 1.0)
    if not min(with_factors, without) < thickness <= max(with_factors, without):
        return ()
    return (
        f"thickness {thickness:g} m lies between the transition thickness with shape factors, "
        f"{with_factors:.4g} m, and without, {without:.4g} m: the other heat flow could be meant",
    )


@formula(
    equation="t8/5 = (6700 - 5 T0) Q [1/(500-T0) - 1/(800-T0)] F3, Q in kJ/mm",
    result=_TIME,
    sources=(Source("stahlbau-textbook-368", "p. 368, citing SEW 088 Beiblatt 2", "read"),),
    valid="plate thicker than the transition thickness; " + _VALID,
)
def cooling_time_8_5_thick(
    heat_input: HeatInput, initial_temperature: Initial, shape_factor_thick: _ThickFactor = 1.0
) -> Outcome:
    """Cooling time t8/5 of thick plate (three-dimensional heat flow).

    Thickness does not matter here. This formula cannot check that the plate is thick enough:
    `cooling_time_8_5` does. EN 1011-2:2001 annex D is recalled to print the same equation.

    Examples
    --------
    1 kJ/mm at 20 degC (own arithmetic, no published example was found):

    >>> round(cooling_time_8_5_thick(heat_input=1e6, initial_temperature=20.0).value, 2)
    5.29
    """
    return Outcome(_thick_time(heat_input, initial_temperature, shape_factor_thick))


@formula(
    equation="t8/5 = (4300 - 4.3 T0) 10^5 (Q/d)^2 [1/(500-T0)^2 - 1/(800-T0)^2] F2, "
    "Q in kJ/mm, d in mm",
    result=_TIME,
    sources=_ANNEX_D,
    valid="plate thinner than the transition thickness; " + _VALID,
)
def cooling_time_8_5_thin(
    heat_input: HeatInput,
    thickness: Thickness,
    initial_temperature: Initial,
    shape_factor_thin: _ThinFactor = 1.0,
) -> Outcome:
    """Cooling time t8/5 of thin plate (two-dimensional heat flow).

    Above the transition thickness the three-dimensional time is the longer one, and the value has a
    caveat.

    Examples
    --------
    1 kJ/mm in 10 mm plate at 20 degC (own arithmetic):

    >>> round(cooling_time_8_5_thin(1e6, 0.010, 20.0).value, 2)
    11.36
    """
    value = _thin_time(heat_input, thickness, initial_temperature, shape_factor_thin)
    limit = _transition(heat_input, initial_temperature, 1.0, 1.0)
    return Outcome(value, outside("thickness", thickness, 0.0, limit, "m"))


@formula(
    equation="dt = sqrt((4300 - 4.3 T0) 10^5 / (6700 - 5 T0) Q [1/(500-T0) + 1/(800-T0)] F2/F3)",
    result=Symbol("dt", "m", "transition thickness"),
    sources=_ANNEX_D,
    valid=_VALID,
)
def transition_thickness(
    heat_input: HeatInput,
    initial_temperature: Initial,
    shape_factor_thick: _ThickFactor = 1.0,
    shape_factor_thin: _ThinFactor = 1.0,
) -> Outcome:
    """Thickness at which two- and three-dimensional t8/5 are equal.

    Thicker plate cools in three dimensions, thinner plate in two. The equation sets the two forms
    equal; dt is in mm for Q in kJ/mm. The recalled form has both shape factors at 1; whether the
    standard includes them is not known.

    Examples
    --------
    1 kJ/mm at 20 degC (own arithmetic):

    >>> round(transition_thickness(heat_input=1e6, initial_temperature=20.0).value * 1e3, 2)
    14.66
    """
    return Outcome(
        _transition(heat_input, initial_temperature, shape_factor_thick, shape_factor_thin)
    )


@formula(
    equation="t8/5 = three-dimensional form if d > dt, else two-dimensional form",
    result=_TIME,
    sources=_ANNEX_D,
    valid=_VALID,
    parts={"transition_thickness": "m"},
)
def cooling_time_8_5(
    heat_input: HeatInput,
    thickness: Thickness,
    initial_temperature: Initial,
    shape_factor_thick: _ThickFactor = 1.0,
    shape_factor_thin: _ThinFactor = 1.0,
) -> Outcome:
    """Cooling time t8/5, heat flow chosen by the transition thickness.

    A caveat says when the choice depends on whether the shape factors enter the transition
    thickness. The parts are both times ("thick", "thin") and the transition thickness with the
    shape factors. For a joint's whole range of shape factors see `cooling_time_8_5_range`.

    Examples
    --------
    >>> found = cooling_time_8_5(heat_input=1e6, thickness=0.010, initial_temperature=20.0)
    >>> round(found.value, 2), round(found.parts["thick"], 2)
    (11.36, 5.29)
    """
    thick = _thick_time(heat_input, initial_temperature, shape_factor_thick)
    thin = _thin_time(heat_input, thickness, initial_temperature, shape_factor_thin)
    factors = (shape_factor_thick, shape_factor_thin)
    limit = _transition(heat_input, initial_temperature, *factors)
    return Outcome(
        thick if thickness > limit else thin,
        _doubt(thickness, heat_input, initial_temperature, *factors),
        {"thick": thick, "thin": thin, "transition_thickness": limit},
    )


@formula(
    equation="Q = smaller of the solutions of the two- and three-dimensional forms",
    result=Symbol("Q", "J/m", "heat input with thermal efficiency k"),
    sources=_ANNEX_D,
    valid=_VALID,
)
def heat_input_for_cooling_time_8_5(
    cooling_time: Annotated[
        float, Symbol("t8/5", "s", "wanted cooling time 800 to 500 degC", above=0.0)
    ],
    thickness: Thickness,
    initial_temperature: Initial,
    shape_factor_thick: _ThickFactor = 1.0,
    shape_factor_thin: _ThinFactor = 1.0,
) -> Outcome:
    """Heat input that gives a wanted cooling time t8/5.

    The inverse of `cooling_time_8_5`, with the same caveat. The longer of the two times counts, so
    the smaller of the two heat inputs is the answer; both are among the parts. Heat input rises
    steadily with time: for a window of times use `weldref.formulas.ranges.corners`.

    Examples
    --------
    >>> found = heat_input_for_cooling_time_8_5(11.36, thickness=0.010, initial_temperature=20.0)
    >>> round(found.value / 1e6, 3)
    1.0
    >>> window = corners(
    ...     heat_input_for_cooling_time_8_5,
    ...     cooling_time=(10.0, 25.0), thickness=0.020, initial_temperature=100.0,
    ... )
    >>> round(window.lowest.value / 1e6, 2), round(window.highest.value / 1e6, 2)
    (1.51, 2.48)
    """
    per_thick = _thick_per_heat(initial_temperature) * shape_factor_thick
    per_thin = _thin_per_heat(initial_temperature) * shape_factor_thin
    thick = cooling_time / per_thick * 1e6
    thin = thickness * 1e3 * math.sqrt(cooling_time / per_thin) * 1e6
    value = min(thick, thin)
    caveats = _doubt(thickness, value, initial_temperature, shape_factor_thick, shape_factor_thin)
    return Outcome(value, caveats, {"thick": thick, "thin": thin})


def cooling_time_8_5_range(
    joint: str,
    *,
    heat_input: float | tuple[float, float],
    thickness: float | tuple[float, float],
    initial_temperature: float | tuple[float, float],
) -> Span:
    """Return the lowest and highest t8/5 of a joint over its shape factors and any windows.

    Parameters
    ----------
    joint
        A key of `SHAPE_FACTORS`.
    heat_input, thickness, initial_temperature
        Each a number or a window (low, high): J/m, m, degC.

    Returns
    -------
    Span
        Lowest and highest `Result`, s; t8/5 is monotone, so these are the true extremes.

    Raises
    ------
    InputError
        If the joint is not known or a corner is refused.

    Examples
    --------
    >>> span = cooling_time_8_5_range(
    ...     "fillet-on-t-joint", heat_input=1e6, thickness=0.008, initial_temperature=20.0
    ... )
    >>> round(span.lowest.value, 1), round(span.highest.value, 1)
    (8.0, 11.9)
    """
    if joint not in SHAPE_FACTORS:
        raise InputError(
            f"joint: {joint!r} is not accepted; give one of {', '.join(SHAPE_FACTORS)}"
        )
    return corners(
        cooling_time_8_5,
        heat_input=heat_input,
        thickness=thickness,
        initial_temperature=initial_temperature,
        shape_factor_thick=SHAPE_FACTORS[joint].thick,
        shape_factor_thin=SHAPE_FACTORS[joint].thin,
    )
