"""How far a purge lowers the oxygen, and what a shift's exposure adds up to."""

from __future__ import annotations

import math
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula

SHIFT = 8 * 3600.0
"""The eight hours of a time-weighted average, s."""

_First = Annotated[float, Symbol("C0", "", "oxygen fraction at the start", above=0.0, at_most=1.0)]
_Flow = Annotated[float, Symbol("Q", "m3/s", "flow of purge gas", above=0.0)]
_Volume = Annotated[float, Symbol("V", "m3", "purged volume", above=0.0)]
_MIXED = "perfect mixing, purge gas free of oxygen, no leaks; a real purge differs"
_DILUTION = (Source("general-physics", "fully mixed dilution", "memory"),)


@formula(
    equation="C = C0 exp(-Q t / V)",
    result=Symbol("C", "", "oxygen fraction at the end"),
    sources=_DILUTION,
    valid=_MIXED,
)
def purge_concentration(
    initial: _First,
    flow: _Flow,
    time: Annotated[float, Symbol("t", "s", "time of purging", at_least=0.0)],
    volume: _Volume,
) -> Outcome:
    """Oxygen left after a purge.

    Gas that pushes the air out without mixing needs less; dead corners and leaks need more. Measure
    the oxygen before welding. The number of volume changes is among the parts.

    Examples
    --------
    Ten litres, 10 L/min, five minutes: five volume changes, in ppm:

    >>> left = purge_concentration(0.209, 10e-3 / 60, time=300.0, volume=10e-3)
    >>> round(left.value * 1e6), round(left.parts["volume changes"], 6)
    (1408, 5.0)
    """
    changes = flow * time / volume
    return Outcome(initial * math.exp(-changes), parts={"volume changes": changes})


@formula(
    equation="t = V / Q ln(C0 / C)",
    result=Symbol("t", "s", "time of purging"),
    sources=_DILUTION,
    valid=_MIXED,
    parts={"volume changes": ""},
)
def purge_time(
    initial: _First,
    wanted: Annotated[float, Symbol("C", "", "oxygen fraction wanted", above=0.0, at_most=1.0)],
    flow: _Flow,
    volume: _Volume,
) -> Outcome:
    """Time to purge down to an oxygen fraction.

    See `purge_concentration`. The number of volume changes is among the parts.

    Examples
    --------
    Air to 100 ppm in ten litres at 10 L/min, in minutes:

    >>> round(purge_time(0.209, 100e-6, 10e-3 / 60, volume=10e-3).value / 60, 2)
    7.64
    """
    if wanted > initial:
        raise InputError("wanted: a purge does not raise the oxygen fraction")
    changes = math.log(initial / wanted)
    return Outcome(volume / flow * changes, parts={"volume changes": changes})


@formula(
    equation="E = (C1 T1 + C2 T2 + C3 T3 + C4 T4) / 8 h",
    result=Symbol("E", "kg/m3", "exposure as an eight-hour average"),
    sources=(Source("cfr-29-1915-1000", "(d)(1)(i)", "read"),),
    valid="one substance, steady within each period; not for ceiling or short-term limits",
    parts={"whole time": "s"},
)
def cumulative_exposure(
    concentration_1: Annotated[
        float, Symbol("C1", "kg/m3", "concentration in period 1", at_least=0.0)
    ],
    time_1: Annotated[float, Symbol("T1", "s", "length of period 1", at_least=0.0)],
    concentration_2: Annotated[
        float, Symbol("C2", "kg/m3", "concentration in period 2", at_least=0.0)
    ] = 0.0,
    time_2: Annotated[float, Symbol("T2", "s", "length of period 2", at_least=0.0)] = 0.0,
    concentration_3: Annotated[
        float, Symbol("C3", "kg/m3", "concentration in period 3", at_least=0.0)
    ] = 0.0,
    time_3: Annotated[float, Symbol("T3", "s", "length of period 3", at_least=0.0)] = 0.0,
    concentration_4: Annotated[
        float, Symbol("C4", "kg/m3", "concentration in period 4", at_least=0.0)
    ] = 0.0,
    time_4: Annotated[float, Symbol("T4", "s", "length of period 4", at_least=0.0)] = 0.0,
) -> Outcome:
    """Eight-hour exposure from several periods of a shift.

    The divisor stays 8 h however long the shift was; time not given counts as free of the
    substance. For more than four periods add the exposures of two calls. A concentration is that in
    the breathing zone while it was steady, kg/m3 (1 mg/m3 is 1e-6). If all are in parts per million
    instead, so is the result. The whole time is among the parts. Refused if the periods add up to
    more than a day.

    Examples
    --------
    2 h at 3 mg/m3 and 4 h at 1 mg/m3, in mg/m3:

    >>> exposure = cumulative_exposure(3e-6, 2 * 3600.0, 1e-6, 4 * 3600.0)
    >>> round(exposure.value * 1e6, 6)
    1.25
    """
    hours = time_1 + time_2 + time_3 + time_4
    if hours > 24 * 3600.0:
        raise InputError("the periods add up to more than a day")
    exposure = (
        concentration_1 * time_1
        + concentration_2 * time_2
        + concentration_3 * time_3
        + concentration_4 * time_4
    ) / SHIFT
    return Outcome(exposure, parts={"whole time": hours})
