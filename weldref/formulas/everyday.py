"""Rules of thumb and small conversions used at the bench.

A rule of thumb gives a first setting to try on scrap. It is not a published range: it never fills a
gap in a table and never passes or fails a procedure.
"""

from __future__ import annotations

from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside

INCH = 0.0254
"""Metres in an inch."""

_TEN_GAGE = 0.134 * INCH
_TEN_GAUGE_US = 0.140625 * INCH
_CURRENT = Symbol("I", "A", "welding current")
_Low = Annotated[float, Symbol("I_min", "A", "lower end of the published window", above=0.0)]
_High = Annotated[float, Symbol("I_max", "A", "upper end of the published window", above=0.0)]
_RULE_OF_THUMB = "rule of thumb, no published range"
_LOAD_VOLTAGES = {
    "SMAW": (20.0, 0.04, 44.0),
    "GMAW": (14.0, 0.05, 44.0),
    "FCAW": (14.0, 0.05, 44.0),
    "GTAW": (10.0, 0.04, 34.0),
}


@formula(
    equation="I = t / 0.001 in",
    result=_CURRENT,
    sources=(Source("common-practice", "no printed source", "memory"),),
    valid="GMAW short-circuiting on carbon steel to about 1/4 in; " + _RULE_OF_THUMB,
)
def gmaw_current_from_thickness(
    thickness: Annotated[float, Symbol("t", "m", "plate thickness", above=0.0)],
) -> Outcome:
    """GMAW starting current, one ampere per thousandth of an inch.

    Above 1/4 in the value has a caveat.

    Examples
    --------
    >>> round(gmaw_current_from_thickness(0.125 * 0.0254).value)
    125
    """
    inches = thickness / INCH
    caveats = outside("thickness", round(inches, 9), 0.0, 0.25, "in")
    return Outcome(inches / 0.001, caveats)


@formula(
    equation="I = d / 0.001 in",
    result=_CURRENT,
    sources=(Source("general-practice", "diameter rule of thumb", "memory"),),
    valid="low-hydrogen electrodes of 3/32 to 5/32 in, flat; " + _RULE_OF_THUMB,
)
def smaw_current_from_diameter(
    core_diameter: Annotated[float, Symbol("d", "m", "diameter of the core wire", above=0.0)],
) -> Outcome:
    """SMAW current, one ampere per thousandth of an inch of core wire.

    That is 39.4 A per millimetre. Outside 3/32 to 5/32 in the value has a caveat.

    Examples
    --------
    >>> round(smaw_current_from_diameter(0.125 * 0.0254).value)
    125
    """
    inches = core_diameter / INCH
    caveats = outside("core diameter", round(inches, 9), 3 / 32, 5 / 32, "in")
    return Outcome(inches / 0.001, caveats)


@formula(
    equation="I = (I_min + I_max) / 2",
    result=_CURRENT,
    sources=(Source("machinerys-handbook-31", "p. 1594 text", "read"),),
    valid="E70XX electrodes, windows of Table 14 of the same page",
)
def starting_current_e70xx(window_low: _Low, window_high: _High) -> Outcome:
    """Starting current inside a published window, E70XX electrodes.

    Refused if the ends are in the wrong order.

    Examples
    --------
    E7018 of 1/8 in, 110 to 160 A, starts at 135 A (machinerys-handbook-31, Table 14):

    >>> starting_current_e70xx(110, 160).value
    135.0
    """
    return Outcome(_middle(window_low, window_high))


@formula(
    equation="I = I_min to 10 gage (0.134 in); (I_min + I_max) / 2 above",
    result=_CURRENT,
    sources=(Source("machinerys-handbook-31", "p. 1593 text", "read"),),
    valid="E60XX electrodes, windows of Table 13; on sheet metal electrodes of 3/16 in or less",
)
def starting_current_e60xx(
    window_low: _Low,
    window_high: _High,
    thickness: Annotated[float, Symbol("t", "m", "thickness of the work", above=0.0)],
    electrode_diameter: Annotated[float, Symbol("d", "m", "diameter of the electrode", above=0.0)]
    | None = None,
) -> Outcome:
    """Starting current inside a published window, E60XX electrodes.

    The text says "sheet metal" and "thicker than 10 gage"; placing the boundary at exactly 10 gage,
    sheet side included, is this package's reading. From there to 0.141 in (10 gage of the US
    standard gauge) the value has a caveat, as has an electrode over 3/16 in on sheet. Refused if
    the ends are in the wrong order.

    Examples
    --------
    E6013 of 3/32 in, 50 to 100 A, on 0.1 in sheet starts at 50 A (machinerys-handbook-31):

    >>> starting_current_e60xx(50, 100, thickness=0.1 * 0.0254).value
    50.0
    """
    middle = _middle(window_low, window_high)
    caveats: tuple[str, ...] = ()
    if _TEN_GAGE * (1.0 - 1e-9) <= thickness <= _TEN_GAUGE_US * (1.0 + 1e-9):
        caveats = ("10 gage is 0.134 in here, 0.141 in as US standard gauge: sheet or plate?",)
    if thickness > _TEN_GAGE * (1.0 + 1e-9):
        return Outcome(middle, caveats)
    if electrode_diameter is not None:
        inches = round(electrode_diameter / INCH, 9)
        caveats += outside("electrode on sheet", inches, 0.0, 3 / 16, "in")
    return Outcome(float(window_low), caveats)


def _middle(window_low: float, window_high: float) -> float:
    if window_low > window_high:
        raise InputError("window_low: above the upper end of the window")
    return (window_low + window_high) / 2.0


@formula(
    equation=(
        "U = 20 + 0.04 I, at most 44 V (SMAW); 14 + 0.05 I, at most 44 V (GMAW, FCAW);"
        " 10 + 0.04 I, at most 34 V (GTAW)"
    ),
    result=Symbol("U", "V", "conventional load voltage"),
    sources=(Source("iec-60974-1", "conventional load voltage", "memory"),),
    valid="tests and rating of power sources; not an arc setting",
)
def conventional_load_voltage(
    current: Annotated[float, Symbol("I", "A", "welding current", above=0.0)],
    process: Annotated[
        str, Symbol("process", "", "welding process", choices=tuple(_LOAD_VOLTAGES))
    ],
) -> Outcome:
    """Conventional load voltage of a welding power source.

    A power source is rated at this voltage, which is level above 600 A. It is a convention for
    testing equipment: good for a plausibility check, not a setting. The edition of the standard is
    not known.

    Examples
    --------
    150 A SMAW is 26 V (iec-60974-1, memory):

    >>> conventional_load_voltage(150, "SMAW").value
    26.0
    """
    base, slope, highest = _LOAD_VOLTAGES[process]
    return Outcome(min(base + slope * current, highest))


@formula(
    equation="d = N / 16 in",
    result=Symbol("d", "m", "inside diameter"),
    sources=(Source("cup-size-sheet", "whole page", "read"),),
    valid="ceramic GTAW cups numbered in sixteenths of an inch",
)
def cup_diameter(
    cup_number: Annotated[float, Symbol("N", "", "number of the cup", above=0.0)],
) -> Outcome:
    """Inside diameter of a gas cup from its number.

    A trade convention; no clause of a standard is known.

    Examples
    --------
    >>> round(cup_diameter(8).value * 1000, 1)  # a number 8 cup is 1/2 in, in mm
    12.7
    """
    return Outcome(cup_number / 16.0 * INCH)
