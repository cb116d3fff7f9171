"""What a wire feed speed means: deposition rate, travel speed, wire on a spool.

All but the timed feed speed use the cross-section of a solid wire. A tubular wire is not all metal,
so the same calculation overstates it; with `wire="tubular"` a caveat says so.
"""

from __future__ import annotations

import math
from typing import Annotated

from weldref.formulas.formula import Outcome, Source, Symbol, formula

_FEED = Symbol("WFS", "m/s", "wire feed speed", above=0.0)
_Feed = Annotated[float, _FEED]
_Diameter = Annotated[float, Symbol("d", "m", "wire diameter", above=0.0)]
_Density = Annotated[float, Symbol("rho", "kg/m3", "density of the wire", above=0.0)]
_Efficiency = Annotated[float, Symbol("EE", "", "deposition efficiency", above=0.0, at_most=1.0)]
_Wire = Annotated[str, Symbol("wire", "", "kind of wire", choices=("solid", "tubular"))]
_SOLID_ONLY = "solid wire; a tubular wire holds flux and gas space, so its result is too high"


def _balance(what: str) -> tuple[Source, ...]:
    return (Source("weld-general-memory", what, "memory", "mass balance of a solid wire"),)


def _section(diameter: float) -> float:
    return math.pi / 4.0 * diameter**2


def _solid_only(wire: str, effect: str) -> tuple[str, ...]:
    if wire == "solid":
        return ()
    return (f"tubular wire is not all metal: {effect}; weigh a known length instead",)


@formula(
    equation="DR = WFS pi/4 d^2 rho EE",
    result=Symbol("DR", "kg/s", "weight of metal deposited per arc time"),
    sources=_balance("deposition rate"),
    valid=_SOLID_ONLY,
)
def deposition_rate(
    wire_feed_speed: _Feed,
    wire_diameter: _Diameter,
    density: _Density,
    efficiency: _Efficiency = 1.0,
    wire: _Wire = "solid",
) -> Outcome:
    """Deposition rate from the wire feed speed.

    An efficiency of 1 gives the melting rate, which is among the parts. Read in gmaw-ch9-textbook
    9.1: solid-wire GMAW 0.92 to 0.98, FCAW 0.82 to 0.92. For a tubular wire the value is an upper
    bound and has a caveat.

    Examples
    --------
    0.045 in steel wire at 300 in/min and 95 %, in lb/h:

    >>> rate = deposition_rate(300 * 0.0254 / 60, 0.045 * 0.0254, 7850.0, efficiency=0.95)
    >>> round(rate.value * 3600 / 0.45359237, 2)
    7.71
    """
    melted = wire_feed_speed * _section(wire_diameter) * density
    return Outcome(
        melted * efficiency,
        _solid_only(wire, "this rate is too high"),
        parts={"melting rate": melted},
    )


@formula(
    equation="v = WFS pi/4 d^2 EE / (a^2 / 2)",
    result=Symbol("v", "m/s", "travel speed"),
    sources=_balance("travel speed from the volume of the fillet"),
    valid=_SOLID_ONLY + "; flat, equal-leg fillet in one pass, no root opening",
    parts={"fillet area": "m2"},
)
def travel_speed_fillet(
    leg: Annotated[float, Symbol("a", "m", "leg of the flat, equal-leg fillet", above=0.0)],
    wire_feed_speed: _Feed,
    wire_diameter: _Diameter,
    efficiency: _Efficiency = 1.0,
    wire: _Wire = "solid",
) -> Outcome:
    """Travel speed for a wanted fillet at a given wire feed speed.

    The volume of wire that arrives fills the triangle. The formula only balances volumes: it does
    not say that the speed is weldable or the fillet sound. A convex bead needs more metal, so the
    leg falls short at this speed. The area of the fillet is among the parts.

    Examples
    --------
    1/4 in leg, 0.045 in wire at 300 in/min, in in/min:

    >>> speed = travel_speed_fillet(0.25 * 0.0254, 300 * 0.0254 / 60, 0.045 * 0.0254, 0.95)
    >>> round(speed.value / 0.0254 * 60, 1)
    14.5
    """
    area = leg**2 / 2.0
    filled = wire_feed_speed * _section(wire_diameter) * efficiency
    return Outcome(
        filled / area, _solid_only(wire, "this speed is too high"), parts={"fillet area": area}
    )


@formula(
    equation="L = m / (pi/4 d^2 rho)",
    result=Symbol("L", "m", "length of wire"),
    sources=_balance("wire length per mass"),
    valid="solid wire; a tubular wire of the same weight is longer",
)
def wire_length(
    weight: Annotated[float, Symbol("m", "kg", "weight of the wire, spool not counted", above=0.0)],
    wire_diameter: _Diameter,
    density: _Density,
    wire: _Wire = "solid",
) -> Outcome:
    """Length of wire on a spool.

    For a tubular wire the value is a lower bound and has a caveat.

    Examples
    --------
    >>> round(wire_length(15.0, wire_diameter=0.0012, density=7850.0).value)  # 15 kg spool
    1690
    """
    length = weight / (_section(wire_diameter) * density)
    return Outcome(length, _solid_only(wire, "this length is too short"))


@formula(
    equation="m = L pi/4 d^2 rho",
    result=Symbol("m", "kg", "weight of the wire"),
    sources=_balance("wire length per mass, turned round"),
    valid=_SOLID_ONLY,
)
def wire_weight(
    length: Annotated[float, Symbol("L", "m", "length of the wire", above=0.0)],
    wire_diameter: _Diameter,
    density: _Density,
    wire: _Wire = "solid",
) -> Outcome:
    """Weight of a length of wire.

    For a tubular wire the value is an upper bound and has a caveat.

    Examples
    --------
    >>> round(wire_weight(1000.0, wire_diameter=0.0012, density=7850.0).value, 2)
    8.88
    """
    weight = length * _section(wire_diameter) * density
    return Outcome(weight, _solid_only(wire, "this weight is too high"))


@formula(
    equation="WFS = L / t",
    result=_FEED,
    sources=(Source("gmaw-fcaw-handbook-2018", "p. 70", "read"),),
    valid="wire fed clear of the work, no arc",
)
def wire_feed_speed_timed(
    length: Annotated[float, Symbol("L", "m", "length of wire fed", above=0.0)],
    time: Annotated[float, Symbol("t", "s", "time it was fed", above=0.0)],
) -> Outcome:
    """Wire feed speed from a timed length.

    Inches fed in ten seconds times six is inches per minute.

    Examples
    --------
    40 in fed in ten seconds is 240 in/min:

    >>> round(wire_feed_speed_timed(40 * 0.0254, time=10.0).value / 0.0254 * 60, 6)
    240.0
    """
    return Outcome(length / time)


_RECALLED = 0.0012
"""Diameter, m, of the wire for which the burn-off coefficients are recalled."""
_ARC = 0.3e-3
"""Melted by the arc, m/(A s): 0.3 mm/(A s) for that wire."""
_STICK_OUT = 5e-5
"""Melted by resistance along the stick-out, 1/(A2 s), for that wire."""


@formula(
    equation="WFS = a I (d0/d)^2 + b L I^2 (d0/d)^4",
    result=_FEED,
    sources=(
        Source(
            "burnoff-literature",
            "linear burn-off",
            "memory",
            "a = 0.3 mm/(A s) and b = 5e-5 1/(A2 s) for mild steel wire of d0 = 1.2 mm, recalled",
        ),
    ),
    valid="solid steel wire, electrode positive; a rough figure, no setting",
)
def wire_feed_speed_burn_off(
    current: Annotated[float, Symbol("I", "A", "welding current", above=0.0)],
    wire_diameter: _Diameter,
    extension: Annotated[float, Symbol("L", "m", "electrode extension", at_least=0.0)],
) -> Outcome:
    """Wire feed speed that a current melts.

    The coefficients are recalled for one wire. Other diameters follow from geometry: the arc melts
    the same volume, and the resistance of the stick-out grows as its section shrinks. Use it to
    notice slips.

    Examples
    --------
    200 A on 1.2 mm wire with 15 mm extension, in m/min:

    >>> round(wire_feed_speed_burn_off(200.0, 0.0012, 0.015).value * 60, 6)
    5.4
    """
    share = (_RECALLED / wire_diameter) ** 2
    arc = _ARC * current * share
    return Outcome(
        arc + _STICK_OUT * extension * current**2 * share**2, parts={"melted by the arc": arc}
    )
