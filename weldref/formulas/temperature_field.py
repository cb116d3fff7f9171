"""Temperature around a moving arc: Rosenthal's plates, and the peak beside a thin-plate weld.

All of it is for an arc that moves steadily along a straight joint in a wide plate whose
conductivity and heat capacity do not change with temperature. Latent heat, arc size and
losses from the surface are left out, so near the molten pool the numbers are only nominal.
"""

from __future__ import annotations

import math
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside

Power = Annotated[
    float, Symbol("q", "W", "power that enters the plate, arc power times efficiency", above=0.0)
]
Speed = Annotated[float, Symbol("v", "m/s", "travel speed", above=0.0)]
Thickness = Annotated[float, Symbol("t", "m", "plate thickness", above=0.0)]
Conductivity = Annotated[float, Symbol("lambda", "W/(m K)", "thermal conductivity", above=0.0)]
HeatCapacity = Annotated[
    float, Symbol("rho c", "J/(m^3 K)", "heat capacity of unit volume", above=0.0)
]
Initial = Annotated[float, Symbol("T0", "degC", "plate temperature before the run", above=-273.15)]
Melting = Annotated[float, Symbol("Tm", "degC", "melting temperature", above=-273.15)]
NetHeatInput = Annotated[
    float, Symbol("Hnet", "J/m", "heat input with thermal efficiency", above=0.0)
]
_Ahead = Annotated[float, Symbol("xi", "m", "distance ahead of the arc, negative behind it")]
_Aside = Annotated[float, Symbol("y", "m", "distance aside of the weld centre line")]
_Depth = Annotated[float, Symbol("z", "m", "depth below the surface", at_least=0.0)]
_STEADY = "steady straight run in a wide plate, constant properties, not inside the molten pool"

_FROM = ("fusion-boundary", "weld-centre-line")
_ADAMS = Source("welding-handbook-v1", "heat flow chapter, 1976", "memory", "from fusion boundary")
_CENTRE = Source("iitkgp-heat-flow", "theory, peak temperature", "read", "from centre line")
_PEAK_FACTOR = math.sqrt(2.0 * math.pi * math.e)  # printed as 4.132


@formula(
    equation="T = T0 + q / (2 pi lambda r) exp(-v (r + xi) / (2 a)), a = lambda / (rho c), "
    "r = sqrt(xi^2 + y^2 + z^2)",
    result=Symbol("T", "degC", "temperature"),
    sources=(
        Source(
            "weld-heat-flow-textbook-ch3",
            "eqs 3.1, 3.2",
            "read",
            "scan partly garbled; its lambda is 1/(2a)",
        ),
    ),
    valid="heat flow in three dimensions; " + _STEADY,
)
def rosenthal_thick_plate(
    *,
    power: Power,
    travel_speed: Speed,
    ahead: _Ahead,
    aside: _Aside,
    depth: _Depth,
    initial_temperature: Initial,
    conductivity: Conductivity,
    heat_capacity: HeatCapacity,
    melting_temperature: Melting | None = None,
) -> Outcome:
    """Temperature around a moving arc on thick plate (Rosenthal).

    The point travels with the arc. Inside the pool the value has a caveat if `melting_temperature`
    is given. Refused if the point is the arc itself.

    Examples
    --------
    20 mm behind 5 kW at 5 mm/s (own arithmetic):

    >>> found = rosenthal_thick_plate(
    ...     power=5000.0, travel_speed=0.005, ahead=-0.020, aside=0.0, depth=0.0,
    ...     initial_temperature=20.0, conductivity=28.0, heat_capacity=4.4e6,
    ... )
    >>> round(found.value)
    1441
    """
    radius = math.hypot(ahead, aside, depth)
    if radius == 0.0:
        raise InputError("ahead, aside, depth: the point source has no temperature at itself")
    decay = math.exp(-travel_speed * (radius + ahead) * heat_capacity / (2.0 * conductivity))
    rise = power / (2.0 * math.pi * conductivity * radius) * decay
    return _field(initial_temperature, rise, melting_temperature)


@formula(
    equation="T = T0 + q / (2 pi lambda t) exp(-v xi / (2 a)) K0(v r / (2 a)), "
    "a = lambda / (rho c), r = sqrt(xi^2 + y^2)",
    result=Symbol("T", "degC", "temperature"),
    sources=(Source("rosenthal-adams", "thin-plate solution", "memory"),),
    valid="heat flow in two dimensions; " + _STEADY,
)
def rosenthal_thin_plate(
    *,
    power: Power,
    travel_speed: Speed,
    thickness: Thickness,
    ahead: _Ahead,
    aside: _Aside,
    initial_temperature: Initial,
    conductivity: Conductivity,
    heat_capacity: HeatCapacity,
    melting_temperature: Melting | None = None,
) -> Outcome:
    """Temperature around a moving arc through thin plate (Rosenthal).

    The point travels with the arc. K0 is the modified Bessel function of the second kind. Inside
    the pool the value has a caveat if `melting_temperature` is given. Refused if the point is the
    arc itself.

    Examples
    --------
    20 mm behind 1.5 kW at 5 mm/s in 3 mm plate (own arithmetic):

    >>> found = rosenthal_thin_plate(
    ...     power=1500.0, travel_speed=0.005, thickness=0.003, ahead=-0.020, aside=0.0,
    ...     initial_temperature=20.0, conductivity=28.0, heat_capacity=4.4e6,
    ... )
    >>> round(found.value)
    1272
    """
    radius = math.hypot(ahead, aside)
    if radius == 0.0:
        raise InputError("ahead, aside: the line source has no temperature at itself")
    per_length = travel_speed * heat_capacity / (2.0 * conductivity)
    # K0 falls as exp(-x) while the other factor rises behind the arc: join the exponents.
    shape = math.exp(-per_length * (radius + ahead)) * _scaled_k0(per_length * radius)
    rise = power / (2.0 * math.pi * conductivity * thickness) * shape
    return _field(initial_temperature, rise, melting_temperature)


def _field(initial: float, rise: float, melting: float | None) -> Outcome:
    value = initial + rise
    if melting is None:
        return Outcome(value)
    return Outcome(value, outside("temperature", value, -273.15, melting, "degC"))


def _scaled_k0(x: float) -> float:
    """Return exp(x) K0(x), by the trapezoidal rule on its integral over exp(-x (cosh u - 1)).

    For this integrand the rule converges faster than any power of the step.

    >>> round(_scaled_k0(1.0) / 2.718281828459045, 12)
    0.421024438241
    """
    last = math.acosh(1.0 + 42.0 / x)  # there the integrand is exp(-42)
    steps = 128
    step = last / steps
    terms = (math.exp(-2.0 * x * math.sinh(i * step / 2.0) ** 2) for i in range(1, steps))
    return step * (0.5 + math.fsum(terms))


def check_below_melting(initial: float, melting: float) -> None:
    """Refuse a plate that is molten before the run."""
    if initial >= melting:
        raise InputError("initial_temperature: the plate is at or above its melting temperature")


def _both_readings(distance_from: str, other: str) -> str:
    return (
        f"sources differ on where the distance starts; taken from the {distance_from}, {other}: "
        "only a distance from the fusion boundary gives the melting temperature at 0"
    )


@formula(
    equation="1/(Tp - T0) = sqrt(2 pi e) rho c t Y / Hnet + 1/(Tm - T0)",
    result=Symbol("Tp", "degC", "peak temperature"),
    sources=(_CENTRE,),
    valid="full-penetration run in thin plate, two-dimensional heat flow, outside the fused zone",
    parts={"half_width_of_fused_zone": "m"},
)
def peak_temperature_thin_plate(
    *,
    net_heat_input: NetHeatInput,
    thickness: Thickness,
    distance: Annotated[float, Symbol("Y", "m", "distance aside of the weld", at_least=0.0)],
    melting_temperature: Melting,
    initial_temperature: Initial,
    heat_capacity: HeatCapacity,
    distance_from: Annotated[
        str, Symbol("", "", "where the distance starts", choices=_FROM)
    ] = "fusion-boundary",
) -> Outcome:
    """Peak temperature beside a weld in thin plate.

    sqrt(2 pi e) = 4.133. The source read (iitkgp-heat-flow) measures the distance from the weld
    centre line (and mixes J/m with mm), yet the equation gives Tm at Y = 0, which fits only the
    fusion boundary of welding-handbook-v1 (recalled). Every result says so in a caveat. The parts
    are Tp at the same place by the other reading of the distance, and the distance from centre line
    to fusion boundary that the equation implies. Refused if T0 is not below Tm.

    Examples
    --------
    720 J/mm in 5 mm steel, 3 mm from the fusion boundary: 976 degC (welding-handbook-v1,
    recalled, within 1 degC):

    >>> found = peak_temperature_thin_plate(
    ...     net_heat_input=720e3, thickness=0.005, distance=0.003, heat_capacity=4.4e6,
    ...     melting_temperature=1510.0, initial_temperature=25.0,
    ... )
    >>> round(found.value), round(found.parts["peak_temperature_other_reading"])
    (975, 604)
    """
    check_below_melting(initial_temperature, melting_temperature)
    slope = _PEAK_FACTOR * heat_capacity * thickness / net_heat_input
    at_boundary = 1.0 / (melting_temperature - initial_temperature)
    inverse = slope * distance + at_boundary
    parts = {"half_width_of_fused_zone": at_boundary / slope}
    other = "the other reading has no finite temperature there"
    other_inverse = slope * distance + (
        2.0 * at_boundary if distance_from == "fusion-boundary" else 0.0
    )
    if other_inverse > 0.0:
        other_value = initial_temperature + 1.0 / other_inverse
        parts["peak_temperature_other_reading"] = other_value
        other = f"the other reading gives {other_value:.0f} degC at the same place"
    return Outcome(
        initial_temperature + 1.0 / inverse,
        (_both_readings(distance_from, other),),
        parts,
        (_ADAMS,) if distance_from == "fusion-boundary" else (),
    )


@formula(
    equation="Y = Hnet / (sqrt(2 pi e) rho c t) [1/(T - T0) - 1/(Tm - T0)]",
    result=Symbol("Y", "m", "width of the zone on one side, from the fusion boundary"),
    sources=(_CENTRE, _ADAMS),
    valid="full-penetration run in thin plate, two-dimensional heat flow",
)
def heated_zone_width(
    *,
    net_heat_input: NetHeatInput,
    thickness: Thickness,
    temperature: Annotated[
        float, Symbol("T", "degC", "temperature reached or passed", above=-273.15)
    ],
    melting_temperature: Melting,
    initial_temperature: Initial,
    heat_capacity: HeatCapacity,
) -> Outcome:
    """Width beside a thin-plate weld that was heated above a temperature.

    The equation of `peak_temperature_thin_plate`, solved for the distance, with the same caveat.
    The distance from the fusion boundary to the centre line is among the parts. Refused if T0 < T
    <= Tm does not hold.

    Examples
    --------
    The zone above 730 degC of 720 J/mm in 5 mm steel is 5.9 mm wide (welding-handbook-v1,
    recalled):

    >>> found = heated_zone_width(
    ...     net_heat_input=720e3, thickness=0.005, temperature=730.0, heat_capacity=4.4e6,
    ...     melting_temperature=1510.0, initial_temperature=25.0,
    ... )
    >>> round(found.value * 1e3, 1)
    5.9
    """
    check_below_melting(initial_temperature, melting_temperature)
    if not initial_temperature < temperature <= melting_temperature:
        raise InputError("temperature: give one above the initial and up to the melting one")
    per_kelvin = net_heat_input / (_PEAK_FACTOR * heat_capacity * thickness)
    at_boundary = 1.0 / (melting_temperature - initial_temperature)
    value = per_kelvin * (1.0 / (temperature - initial_temperature) - at_boundary)
    half_width = per_kelvin * at_boundary
    other = f"with {half_width:.3g} m more to the centre line"
    return Outcome(
        value, (_both_readings("fusion-boundary", other),), {"half_width_of_fused_zone": half_width}
    )
