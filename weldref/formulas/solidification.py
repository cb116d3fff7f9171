"""How long the weld metal takes to solidify."""

from __future__ import annotations

import math
from typing import Annotated

from weldref.formulas.formula import Outcome, Source, Symbol, formula
from weldref.formulas.temperature_field import (
    Conductivity,
    HeatCapacity,
    Initial,
    Melting,
    NetHeatInput,
    check_below_melting,
)


@formula(
    equation="St = L Hnet / (2 pi lambda rho c (Tm - T0)^2)",
    result=Symbol("St", "s", "solidification time"),
    sources=(Source("nptel-112107090-20", "problem; equation recalled", "memory"),),
    valid="centre line of a long bead on thick plate",
)
def solidification_time(
    *,
    net_heat_input: NetHeatInput,
    latent_heat: Annotated[
        float, Symbol("L", "J/m^3", "latent heat of fusion of unit volume", above=0.0)
    ],
    conductivity: Conductivity,
    heat_capacity: HeatCapacity,
    melting_temperature: Melting,
    initial_temperature: Initial,
) -> Outcome:
    """Time in which the weld metal solidifies, thick plate.

    The source prints a problem for it, whose answer was not shown, with a latent heat of 2.4e9
    J/m^3 (2e9 elsewhere). Refused if T0 is not below Tm.

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
