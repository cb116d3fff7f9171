"""How fast the weld centre line cools, from thermal constants (Rosenthal).

For the cooling time of steel with the fitted constants of EN 1011-2 see
`weldref.formulas.cooling`; the two need not agree.
"""

from __future__ import annotations

import math
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside
from weldref.formulas.temperature_field import (
    Conductivity,
    HeatCapacity,
    Initial,
    NetHeatInput,
    Thickness,
)

_Temperature = Annotated[
    float, Symbol("Tc", "degC", "temperature at which the rate is wanted", above=-273.15)
]
_Upper = Annotated[
    float, Symbol("T1", "degC", "temperature at which the time starts", above=-273.15)
]
_Lower = Annotated[float, Symbol("T2", "degC", "temperature at which the time ends", above=-273.15)]
_RATE = Symbol("R", "K/s", "cooling rate, positive while cooling")
_RECALLED = Source("rosenthal-adams", "cooling of the centre line", "memory")
_THIN_TAU, _THICK_TAU = 0.6, 0.9


def _check_above(name: str, temperature: float, initial: float) -> None:
    if temperature <= initial:
        raise InputError(f"{name}: {temperature:g} degC is not above the initial temperature")


def _tau(
    net_heat_input: float, thickness: float, temperature: float, initial: float, capacity: float
) -> float:
    return thickness * math.sqrt(capacity * (temperature - initial) / net_heat_input)


@formula(
    equation="tau = t sqrt(rho c (Tc - T0) / Hnet)",
    result=Symbol("tau", "", "relative plate thickness"),
    sources=(_RECALLED,),
    valid="tau below 0.6 thin, above 0.9 thick, 0.75 as the dividing value",
)
def relative_plate_thickness(
    *,
    net_heat_input: NetHeatInput,
    thickness: Thickness,
    temperature: _Temperature,
    initial_temperature: Initial,
    heat_capacity: HeatCapacity,
) -> Outcome:
    """Relative plate thickness tau: thin or thick for heat flow.

    Below 0.6 the thin-plate cooling rate applies, above 0.9 the thick-plate one; 0.75 divides them
    when one must be chosen. Refused if Tc is not above T0.

    Examples
    --------
    >>> tau = relative_plate_thickness(
    ...     net_heat_input=720e3, thickness=0.005, temperature=550.0,
    ...     initial_temperature=25.0, heat_capacity=4.4e6,
    ... )
    >>> round(tau.value, 2)
    0.28
    """
    _check_above("temperature", temperature, initial_temperature)
    tau = _tau(net_heat_input, thickness, temperature, initial_temperature, heat_capacity)
    between = (f"tau {tau:.2f} is between thin ({_THIN_TAU}) and thick ({_THICK_TAU})",)
    return Outcome(tau, between if _THIN_TAU <= tau <= _THICK_TAU else ())


@formula(
    equation="R = 2 pi lambda (Tc - T0)^2 / Hnet",
    result=_RATE,
    sources=(Source("weld-heat-flow-textbook-ch3", "eq 3.3", "read"),),
    valid="tau above 0.9 (recalled); the middle of a long bead, not its ends",
)
def cooling_rate_thick_plate(
    *,
    net_heat_input: NetHeatInput,
    temperature: _Temperature,
    initial_temperature: Initial,
    conductivity: Conductivity,
) -> Outcome:
    """Cooling rate on the centre line, thick plate.

    Thickness is not in it: check `relative_plate_thickness` first. Starts, stops and short repairs
    cool faster: see `weldref.formulas.bead_ends`. Refused if Tc is not above T0.

    Examples
    --------
    >>> rate = cooling_rate_thick_plate(
    ...     net_heat_input=720e3, temperature=550.0, initial_temperature=25.0, conductivity=28.0
    ... )
    >>> round(rate.value, 1)
    67.3
    """
    _check_above("temperature", temperature, initial_temperature)
    rise = temperature - initial_temperature
    return Outcome(2.0 * math.pi * conductivity * rise**2 / net_heat_input)


@formula(
    equation="R = 2 pi lambda rho c (t / Hnet)^2 (Tc - T0)^3",
    result=_RATE,
    sources=(_RECALLED,),
    valid="tau below 0.6; the middle of a long bead",
    parts={"relative_plate_thickness": ""},
)
def cooling_rate_thin_plate(
    *,
    net_heat_input: NetHeatInput,
    thickness: Thickness,
    temperature: _Temperature,
    initial_temperature: Initial,
    conductivity: Conductivity,
    heat_capacity: HeatCapacity,
) -> Outcome:
    """Cooling rate on the centre line, thin plate.

    A tau above 0.6 has a caveat; tau is among the parts. Refused if Tc is not above T0.

    Examples
    --------
    >>> rate = cooling_rate_thin_plate(
    ...     net_heat_input=720e3, thickness=0.005, temperature=550.0,
    ...     initial_temperature=25.0, conductivity=28.0, heat_capacity=4.4e6,
    ... )
    >>> round(rate.value, 2)
    5.4
    """
    _check_above("temperature", temperature, initial_temperature)
    rise = temperature - initial_temperature
    tau = _tau(net_heat_input, thickness, temperature, initial_temperature, heat_capacity)
    per_heat = (thickness / net_heat_input) ** 2
    rate = 2.0 * math.pi * conductivity * heat_capacity * per_heat * rise**3
    return Outcome(rate, outside("tau", tau, 0.0, _THIN_TAU), {"relative_plate_thickness": tau})


@formula(
    equation="t = Hnet / (2 pi lambda) [1/(T2 - T0) - 1/(T1 - T0)]",
    result=Symbol("t", "s", "cooling time"),
    sources=(_RECALLED,),
    valid="three-dimensional heat flow, the middle of a long bead, constant properties",
)
def cooling_time_thick_plate(
    *,
    net_heat_input: NetHeatInput,
    upper_temperature: _Upper,
    lower_temperature: _Lower,
    initial_temperature: Initial,
    conductivity: Conductivity,
) -> Outcome:
    """Cooling time between two temperatures, thick plate.

    The integral of `cooling_rate_thick_plate`; the general form behind
    `weldref.formulas.cooling.cooling_time_8_5_thick`. For steel at 1 kJ/mm and 20 degC this gives
    4.40 s with lambda 29 W/(m K) (cn-t85-method) where EN 1011-2 gives 5.29 s. Refused if T1 > T2 >
    T0 does not hold.

    Examples
    --------
    >>> time = cooling_time_thick_plate(
    ...     net_heat_input=1e6, upper_temperature=800.0, lower_temperature=500.0,
    ...     initial_temperature=20.0, conductivity=29.0,
    ... )
    >>> round(time.value, 2)
    4.4
    """
    lower, upper = _rises(upper_temperature, lower_temperature, initial_temperature)
    return Outcome(net_heat_input / (2.0 * math.pi * conductivity) * (1 / lower - 1 / upper))


@formula(
    equation="t = Hnet^2 / (4 pi lambda rho c d^2) [1/(T2 - T0)^2 - 1/(T1 - T0)^2]",
    result=Symbol("t", "s", "cooling time"),
    sources=(_RECALLED,),
    valid="two-dimensional heat flow, the middle of a long bead, constant properties",
)
def cooling_time_thin_plate(
    *,
    net_heat_input: NetHeatInput,
    thickness: Thickness,
    upper_temperature: _Upper,
    lower_temperature: _Lower,
    initial_temperature: Initial,
    conductivity: Conductivity,
    heat_capacity: HeatCapacity,
) -> Outcome:
    """Cooling time between two temperatures, thin plate.

    The integral of `cooling_rate_thin_plate`; the general form behind
    `weldref.formulas.cooling.cooling_time_8_5_thin`. With the constants of cn-t85-method, 1 kJ/mm
    in 10 mm at 20 degC cools in 11.04 s where EN 1011-2 gives 11.36 s. Refused if T1 > T2 > T0 does
    not hold.

    Examples
    --------
    >>> time = cooling_time_thin_plate(
    ...     net_heat_input=1e6, thickness=0.010, upper_temperature=800.0,
    ...     lower_temperature=500.0, initial_temperature=20.0, conductivity=29.0,
    ...     heat_capacity=6.7e6,
    ... )
    >>> round(time.value, 2)
    11.04
    """
    lower, upper = _rises(upper_temperature, lower_temperature, initial_temperature)
    per_square = (net_heat_input / thickness) ** 2 / (4.0 * math.pi * conductivity * heat_capacity)
    return Outcome(per_square * (1 / lower**2 - 1 / upper**2))


def _rises(upper: float, lower: float, initial: float) -> tuple[float, float]:
    _check_above("lower_temperature", lower, initial)
    if upper <= lower:
        raise InputError("upper_temperature: give one above the lower temperature")
    return lower - initial, upper - initial
