"""Gas in a cylinder, through a flowmeter and as a density.

Flows and volumes are those of the free gas, as a flowmeter or a cylinder's label states them.
"""

from __future__ import annotations

import math
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula

GAS_CONSTANT = 8.314462618
"""Molar gas constant, J/(mol K)."""

ATMOSPHERE = 101325.0
"""Standard atmosphere at sea level, Pa."""

AIR_MOLAR_MASS = 28.96e-3
"""Molar mass of air, kg/mol."""

COMPRESSED = ("argon", "argon mixture", "helium", "nitrogen", "oxygen", "hydrogen")
WEIGHED = ("carbon dioxide", "propane", "acetylene")
"""Gases held as a liquid or dissolved: the pressure does not show what is left."""

_CUBIC_FOOT = 0.3048**3
_HOUR = 3600.0
_ZERO_CELSIUS = 273.15
_HIGHEST_IDEAL = 2.0e5

_MolarMass = Annotated[float, Symbol("M", "kg/mol", "molar mass of the gas", above=0.0)]
_Contents = Annotated[
    float, Symbol("V", "m3", "contents of the full cylinder, free gas", above=0.0)
]


def _physics(what: str) -> tuple[Source, ...]:
    return (Source("general-physics", what, "memory"),)


@formula(
    equation="t = V (p - p_left) / p_full / Q",
    result=Symbol("t", "s", "time the gas lasts"),
    sources=_physics("compressed-gas duration"),
    valid="compressed gas, ideal, at the temperature of the full cylinder",
    parts={"usable gas": "m3"},
)
def cylinder_time(
    gas: Annotated[str, Symbol("gas", "", "the gas in the cylinder", choices=COMPRESSED + WEIGHED)],
    contents: _Contents,
    pressure_full: Annotated[float, Symbol("p_full", "Pa", "gauge pressure when full", above=0.0)],
    pressure_now: Annotated[float, Symbol("p", "Pa", "gauge pressure now", at_least=0.0)],
    flow: Annotated[float, Symbol("Q", "m3/s", "flow of free gas", above=0.0)],
    pressure_left: Annotated[
        float, Symbol("p_left", "Pa", "gauge pressure at the end", at_least=0.0)
    ] = 0.0,
) -> Outcome:
    """How long a cylinder of compressed gas lasts.

    Against a real-gas equation of state at 15 C the time for argon or oxygen from 150 or 200 bar is
    up to 5 % too long while a quarter or more is left; for helium, hydrogen and nitrogen it is too
    short, by up to 9 %. A pressure above the full one has a caveat. The gas that can be used, m3,
    is among the parts.

    Carbon dioxide and propane (liquefied) and acetylene (dissolved) are refused: weigh the
    cylinder. So is a pressure that is to be left above the pressure now.

    Examples
    --------
    8 m3 of argon at 200 bar, now 100 bar, at 12 L/min, in hours:

    >>> lasts = cylinder_time("argon", 8.0, 200e5, pressure_now=100e5, flow=12e-3 / 60)
    >>> round(lasts.value / 3600, 2)
    5.56
    """
    if gas in WEIGHED:
        raise InputError(
            f"gas: the pressure of {gas} does not show what is left; weigh the cylinder"
        )
    if pressure_left > pressure_now:
        raise InputError("pressure_left: above the pressure now")
    caveats: tuple[str, ...] = ()
    if pressure_now > pressure_full:
        caveats = ("the pressure is above the full one: is the cylinder warm, or the label wrong?",)
    usable = contents * (pressure_now - pressure_left) / pressure_full
    return Outcome(usable / flow, caveats, parts={"usable gas": usable})


@formula(
    equation="rho = M p / (R T)",
    result=Symbol("rho", "kg/m3", "density"),
    sources=_physics("ideal-gas density"),
    valid="ideal gas: to 200 kPa, at room temperature",
)
def gas_density(
    molar_mass: _MolarMass,
    temperature: Annotated[float, Symbol("T", "degC", "temperature", above=-_ZERO_CELSIUS)],
    pressure: Annotated[float, Symbol("p", "Pa", "absolute pressure", above=0.0)] = ATMOSPHERE,
) -> Outcome:
    """Density of a gas (ideal).

    T is absolute in the equation. From 0 to 40 C and up to 200 kPa it is within 0.2 % of real-gas
    equations of state for argon, helium, hydrogen, nitrogen and oxygen, and within 1.4 % for carbon
    dioxide. Above 200 kPa the value has a caveat.

    Examples
    --------
    Argon at 0 C and 1 atm, printed as 0.1114 lb/ft3 (gas-properties-notes, secondary):

    >>> density = gas_density(39.95e-3, temperature=0.0)
    >>> round(density.value, 3), round(density.value / 16.018463, 4)
    (1.782, 0.1113)
    """
    density = molar_mass * pressure / (GAS_CONSTANT * (temperature + _ZERO_CELSIUS))
    caveat = "above 200 kPa real gases depart from the ideal: carbon dioxide most"
    return Outcome(density, (caveat,) if pressure > _HIGHEST_IDEAL else ())


@formula(
    equation="s = M / 28.96 g/mol",
    result=Symbol("s", "", "density over that of air"),
    sources=_physics("relative density"),
    valid="ideal gas and dry air at one temperature and pressure",
)
def relative_density(molar_mass: _MolarMass) -> Outcome:
    """Density of a gas relative to air.

    Examples
    --------
    Argon, printed as 1.38 (gas-properties-notes, secondary):

    >>> round(relative_density(39.95e-3).value, 2)
    1.38
    """
    return Outcome(molar_mass / AIR_MOLAR_MASS)


@formula(
    equation="Q_true = Q_read sqrt(rho_scale / rho_gas)",
    result=Symbol("Q_true", "m3/s", "true flow"),
    sources=_physics("variable-area flowmeter"),
    valid="turbulent float, same pressure and temperature; not for low, viscous flow",
    parts={"factor": ""},
)
def flowmeter_correction(
    flow_read: Annotated[float, Symbol("Q_read", "m3/s", "flow read on the scale", at_least=0.0)],
    scale_density: Annotated[
        float, Symbol("rho_scale", "kg/m3", "density of the scale's gas", above=0.0)
    ],
    gas_density: Annotated[
        float, Symbol("rho_gas", "kg/m3", "density of the gas in use", above=0.0)
    ],
) -> Outcome:
    """True flow through a flowmeter scaled for another gas.

    Both densities may be relative to air. The formula fails at low flow, where viscosity carries
    the float, and cannot detect that. The factor is among the parts.

    Examples
    --------
    Helium on an argon scale flows 3.2 times the reading:

    >>> round(flowmeter_correction(1.0, scale_density=1.38, gas_density=0.138).value, 2)
    3.16
    """
    factor = math.sqrt(scale_density / gas_density)
    return Outcome(flow_read * factor, parts={"factor": factor})


@formula(
    equation="Q <= V/7, V/10, V/15 per hour, or 50 ft3/h whatever the size",
    result=Symbol("Q", "m3/s", "lowest of the limits"),
    sources=(
        Source("army-od0017", "p. 107", "read", "50 ft3/h, continuous, one cylinder"),
        Source("general-physics", "trade rules 1/7 and 1/10 (1/15)", "memory", "none in print"),
    ),
    valid="acetylene dissolved in one cylinder, at room temperature",
)
def acetylene_draw(contents: _Contents) -> Outcome:
    """Largest draw of acetylene from one cylinder, each rule side by side.

    The rules differ, so all are among the parts: a seventh of the contents per hour (older trade
    rule), a tenth (newer, intermittent) or a fifteenth (newer, continuous), and 50 ft3/h whatever
    the size of the cylinder. Only the last was read; for a small cylinder it is far above the
    others.

    Examples
    --------
    A 225 ft3 cylinder, in ft3/h:

    >>> draw = acetylene_draw(225 * 0.3048**3)
    >>> [round(limit * 3600 / 0.3048**3, 1) for limit in draw.parts.values()]
    [32.1, 22.5, 15.0, 50.0]
    """
    limits = {
        "1/7 of contents per hour": contents / 7.0 / _HOUR,
        "1/10 of contents per hour, intermittent": contents / 10.0 / _HOUR,
        "1/15 of contents per hour, continuous": contents / 15.0 / _HOUR,
        "50 ft3/h, any cylinder": 50.0 * _CUBIC_FOOT / _HOUR,
    }
    return Outcome(min(limits.values()), parts=limits)


@formula(
    equation="p_abs = p_gauge + p_atm",
    result=Symbol("p_abs", "Pa", "absolute pressure"),
    sources=_physics("gauge to absolute, 14.7 psi at sea level"),
    valid="sea level, unless the pressure of the air is given",
)
def gauge_to_absolute(
    gauge_pressure: Annotated[
        float, Symbol("p_gauge", "Pa", "pressure above the air's; negative: vacuum")
    ],
    atmosphere: Annotated[
        float, Symbol("p_atm", "Pa", "pressure of the air", above=0.0)
    ] = ATMOSPHERE,
) -> Outcome:
    """Absolute pressure from a gauge reading.

    29 CFR 1910.253(a)(2) prints 15 psig beside 30 psia for acetylene: the pair is rounded, 15 psig
    at sea level is 29.7 psia. Refused if the result would be below an absolute vacuum.

    Examples
    --------
    >>> round(gauge_to_absolute(15 * 6894.757).value / 6894.757, 1)
    29.7
    """
    if gauge_pressure < -atmosphere:
        raise InputError("gauge_pressure: below an absolute vacuum")
    return Outcome(gauge_pressure + atmosphere)
