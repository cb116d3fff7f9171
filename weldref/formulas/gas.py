"""Gas in a cylinder, through a flowmeter and as a density.

Flows and volumes are those of the free gas, as a flowmeter or a cylinder's label states them.
"""

from __future__ import annotations

import math

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
"""Gases held as a liquid or dissolved: pressure does not tell what is left."""

_CUBIC_FOOT = 0.3048**3
_HOUR = 3600.0
_ZERO_CELSIUS = 273.15
_HIGHEST_IDEAL = 2.0e5

_MOLAR_MASS = Symbol("M", "kg/mol", "molar mass of the gas", above=0.0)
_CONTENTS = Symbol("V", "m3", "contents of the full cylinder, free gas", above=0.0)


def _physics(what: str) -> tuple[Source, ...]:
    return (Source("general-physics", what, "memory"),)


@formula(
    name="cylinder-time",
    title="How long a cylinder of compressed gas lasts",
    equation="t = V (p - p_left) / p_full / Q",
    symbols={
        "gas": Symbol("gas", "", "the gas in the cylinder", choices=COMPRESSED + WEIGHED),
        "contents": _CONTENTS,
        "pressure_full": Symbol("p_full", "Pa", "gauge pressure when full", above=0.0),
        "pressure_now": Symbol("p", "Pa", "gauge pressure now", at_least=0.0),
        "flow": Symbol("Q", "m3/s", "flow of free gas", above=0.0),
        "pressure_left": Symbol("p_left", "Pa", "gauge pressure at the end", at_least=0.0),
    },
    result=Symbol("t", "s", "time the gas lasts"),
    sources=_physics("compressed-gas duration"),
    valid="compressed gas, ideal, at the temperature of the full cylinder",
)
def cylinder_time(
    gas: str,
    contents: float,
    pressure_full: float,
    pressure_now: float,
    flow: float,
    pressure_left: float = 0.0,
) -> Outcome:
    """Return how long a cylinder lasts at a steady flow.

    Notes
    -----
    Against a real-gas equation of state at 15 C the time for argon or oxygen from 150 or 200 bar is
    up to 5 % too long while a quarter or more is left; for helium, hydrogen and nitrogen it is too
    short, by up to 9 %. A pressure above the full one gets a caveat. The gas that can be used, m3,
    is among its parts. Refused if the gas is not held as a compressed gas, or more is to be left
    than is there.
    `gas`: Name of the gas. Carbon dioxide and propane (liquefied) and acetylene (dissolved) are
    refused with the reason: weigh the cylinder.

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
        caveats = ("the pressure is above the full one: is the cylinder warm, the label another?",)
    usable = contents * (pressure_now - pressure_left) / pressure_full
    return Outcome(usable / flow, caveats, parts={"usable gas": usable})


@formula(
    name="gas-density",
    title="Density of a gas (ideal)",
    equation="rho = M p / (R T)",
    symbols={
        "molar_mass": _MOLAR_MASS,
        "temperature": Symbol("T", "degC", "temperature", above=-_ZERO_CELSIUS),
        "pressure": Symbol("p", "Pa", "absolute pressure", above=0.0),
    },
    result=Symbol("rho", "kg/m3", "density"),
    sources=_physics("ideal-gas density"),
    valid="ideal gas: to 200 kPa, at room temperature",
)
def gas_density(molar_mass: float, temperature: float, pressure: float = ATMOSPHERE) -> Outcome:
    """Return the density of an ideal gas: ``rho = M p / (R T)``, T absolute.

    Notes
    -----
    From 0 to 40 C and up to 200 kPa within 0.2 % of real-gas equations of state for argon, helium,
    hydrogen, nitrogen and oxygen, and within 1.4 % for carbon dioxide. Above 200 kPa the value
    carries a caveat.

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
    name="relative-density",
    title="Density of a gas relative to air",
    equation="s = M / 28.96 g/mol",
    symbols={"molar_mass": _MOLAR_MASS},
    result=Symbol("s", "", "density over that of air"),
    sources=_physics("relative density"),
    valid="ideal gas and dry air at one temperature and pressure",
)
def relative_density(molar_mass: float) -> Outcome:
    """Return a gas's density relative to air.

    Examples
    --------
    Argon, printed as 1.38 (gas-properties-notes, secondary):

    >>> round(relative_density(39.95e-3).value, 2)
    1.38
    """
    return Outcome(molar_mass / AIR_MOLAR_MASS)


@formula(
    name="flowmeter-correction",
    title="True flow through a flowmeter scaled for another gas",
    equation="Q_true = Q_read sqrt(rho_scale / rho_gas)",
    symbols={
        "flow_read": Symbol("Q_read", "m3/s", "flow read on the scale", at_least=0.0),
        "scale_density": Symbol("rho_scale", "kg/m3", "density of the scale's gas", above=0.0),
        "gas_density": Symbol("rho_gas", "kg/m3", "density of the gas in use", above=0.0),
    },
    result=Symbol("Q_true", "m3/s", "true flow"),
    sources=_physics("variable-area flowmeter"),
    valid="turbulent float, same pressure and temperature; not for low, viscous flow",
)
def flowmeter_correction(flow_read: float, scale_density: float, gas_density: float) -> Outcome:
    """Return the true flow of a gas for which the flowmeter is not scaled.

    Notes
    -----
    It fails at low flow, where viscosity carries the float; the formula cannot see that. The factor
    is among its parts.
    `scale_density`, `gas_density`: Densities of the scale's gas and of the gas in use, kg/m3 (or
    both relative to air).

    Examples
    --------
    Helium on an argon scale flows 3.2 times the reading:

    >>> round(flowmeter_correction(1.0, scale_density=1.38, gas_density=0.138).value, 2)
    3.16
    """
    factor = math.sqrt(scale_density / gas_density)
    return Outcome(flow_read * factor, parts={"factor": factor})


@formula(
    name="acetylene-draw",
    title="Largest draw of acetylene from one cylinder, each rule side by side",
    equation="Q <= V/7, V/10, V/15 per hour, or 50 ft3/h whatever the size",
    symbols={"contents": _CONTENTS},
    result=Symbol("Q", "m3/s", "lowest of the limits"),
    sources=(
        Source("army-od0017", "p. 107", "read", "50 ft3/h, continuous, one cylinder"),
        Source("general-physics", "trade rules 1/7 and 1/10 (1/15)", "memory", "none in print"),
    ),
    valid="acetylene dissolved in one cylinder, at room temperature",
)
def acetylene_draw(contents: float) -> Outcome:
    """Return the lowest of the limits on drawing acetylene from one cylinder.

    The rules differ, so all are among the parts: a seventh of the contents per hour (older trade
    rule), a tenth (newer, intermittent) or a fifteenth (newer, continuous), and 50 ft3/h
    whatever the size of the cylinder.

    Notes
    -----
    Only the flat limit was read (army-od0017, p. 107); the fractions are from memory and so is the
    grade. For a small cylinder the flat limit is far above the others. With every limit among its
    parts.

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
    name="gauge-to-absolute",
    title="Absolute pressure from a gauge reading",
    equation="p_abs = p_gauge + p_atm",
    symbols={
        "gauge_pressure": Symbol("p_gauge", "Pa", "pressure above the air's; negative: vacuum"),
        "atmosphere": Symbol("p_atm", "Pa", "pressure of the air", above=0.0),
    },
    result=Symbol("p_abs", "Pa", "absolute pressure"),
    sources=_physics("gauge to absolute, 14.7 psi at sea level"),
    valid="sea level, unless the pressure of the air is given",
)
def gauge_to_absolute(gauge_pressure: float, atmosphere: float = ATMOSPHERE) -> Outcome:
    """Return an absolute pressure.

    Notes
    -----
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
