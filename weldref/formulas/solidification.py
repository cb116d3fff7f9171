"""How long the weld metal takes to solidify."""

from __future__ import annotations

import math

from weldref.formulas.formula import Outcome, Source, Symbol, formula
from weldref.formulas.temperature_field import (
    CONDUCTIVITY,
    HEAT_CAPACITY,
    INITIAL,
    MELTING,
    NET_HEAT_INPUT,
    check_below_melting,
)


@formula(
    name="solidification-time",
    title="Time in which the weld metal solidifies, thick plate",
    equation="St = L Hnet / (2 pi lambda rho c (Tm - T0)^2)",
    symbols={
        "net_heat_input": NET_HEAT_INPUT,
        "latent_heat": Symbol("L", "J/m^3", "latent heat of fusion of unit volume", above=0.0),
        "conductivity": CONDUCTIVITY,
        "heat_capacity": HEAT_CAPACITY,
        "melting_temperature": MELTING,
        "initial_temperature": INITIAL,
    },
    result=Symbol("St", "s", "solidification time"),
    sources=(Source("nptel-112107090-20", "problem; equation recalled", "memory"),),
    valid="centre line of a long bead on thick plate",
)
def solidification_time(
    *,
    net_heat_input: float,
    latent_heat: float,
    conductivity: float,
    heat_capacity: float,
    melting_temperature: float,
    initial_temperature: float,
) -> Outcome:
    """Return the solidification time.

    Notes
    -----
    No range of validity was seen. Source: the equation is recalled; nptel-112107090-20 prints a
    problem for it, whose answer was not shown. Refused if T0 is not below Tm.
    `latent_heat`: Latent heat of fusion L of unit volume, J/m^3 (2.4e9 in the problem, 2e9
    elsewhere).

    Examples
    --------
    The problem's numbers (the answer is recalled arithmetic):

    >>> found = solidification_time(
    ...     net_heat_input=500e3, latent_heat=2.4e9, conductivity=25.0, heat_capacity=4.4e6,
    ...     melting_temperature=1540.0, initial_temperature=25.0,
    ... )
    >>> round(found.value, 3)
    0.756
    """
    check_below_melting(initial_temperature, melting_temperature)
    rise = melting_temperature - initial_temperature
    return Outcome(
        latent_heat * net_heat_input / (2.0 * math.pi * conductivity * heat_capacity * rise**2)
    )
