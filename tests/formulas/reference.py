"""What the formulas are compared with: summed sources, drawn polygons, real gases, printed answers.

Nothing here uses a formula of the project.
"""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Callable
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import pint
from scipy import integrate, optimize
from shapely import MultiPoint, Point, Polygon, box, union_all

from weldref.data.folder import datasets_folder

# ---------------------------------------------------------------- units

UNITS: pint.UnitRegistry[Any] = pint.UnitRegistry()
UNITS.define("currency = [currency]")


def si(value: float, unit: str) -> float:
    """Convert to SI base units."""
    return float(UNITS.Quantity(value, unit).to_base_units().magnitude)


def in_unit(value: float, base: str, unit: str) -> float:
    """Convert from one unit to another."""
    return float(UNITS.Quantity(value, base).to(unit).magnitude)


# ---------------------------------------------------------------- printed answers


class Example(NamedTuple):
    """A row of ``worked_examples.csv``."""

    inputs: dict[str, Any]
    expected: dict[str, Any]
    tolerance: float
    source_id: str
    locator: str
    kind: str
    topic: str
    how_read: str


@cache
def examples() -> dict[str, Example]:
    """Every worked example by its id."""
    path = datasets_folder() / "worked_examples.csv"
    with path.open(newline="", encoding="utf-8") as file:
        return {
            row["example_id"]: Example(
                json.loads(row["inputs"]),
                json.loads(row["expected"]),
                float(row["tolerance"] or 0.0),
                row["source_id"],
                row["locator"],
                row["kind"],
                row["topic"],
                row["how_read"],
            )
            for row in csv.DictReader(file)
        }


# ---------------------------------------------------------------- heat flow

STEEL = {"conductivity": 28.0, "heat_capacity": 4.4e6}
DIFFUSIVITY = STEEL["conductivity"] / STEEL["heat_capacity"]


def summed_over_time(
    spread: Callable[[float], float], speed: float, ahead: float, off: float
) -> float:
    """Integrate what a source left behind at every earlier time, over the logarithm of the age."""

    def left(log_age: float) -> float:
        age = math.exp(log_age)
        square = (ahead + speed * age) ** 2 + off**2
        return age * spread(age) * math.exp(-square / (4 * DIFFUSIVITY * age))

    turn = math.log(math.hypot(ahead, off) / speed)
    value, _ = integrate.quad(left, -20, 12, points=[turn], limit=400, epsrel=1e-11, epsabs=0)
    return float(value)


def thick_plate_rise(power: float, speed: float, ahead: float, off: float = 0.0) -> float:
    """Sum the moving point sources on thick steel: the rise of temperature at a place."""

    def spread(age: float) -> float:
        volume = STEEL["heat_capacity"] * (4 * math.pi * DIFFUSIVITY * age) ** 1.5
        return 2 * power / volume

    return summed_over_time(spread, speed, ahead, off)


def thin_plate_rise(
    power: float, speed: float, thickness: float, ahead: float, aside: float = 0.0
) -> float:
    """Sum the moving line sources through thin steel: the rise of temperature at a place."""

    def spread(age: float) -> float:
        area = STEEL["heat_capacity"] * 4 * math.pi * DIFFUSIVITY * age
        return power / thickness / area

    return summed_over_time(spread, speed, ahead, aside)


def distance_behind(rise: Callable[[float], float], wanted: float) -> float:
    """Find how far behind the arc the centre line has cooled to a rise of temperature."""
    return float(
        optimize.brentq(lambda behind: rise(-behind) - wanted, 1e-3, 50.0, xtol=1e-14, rtol=1e-13)
    )


def time_between(rise: Callable[[float], float], speed: float, high: float, low: float) -> float:
    """Read the time between two rises off the cooling curve of the centre line."""
    return (distance_behind(rise, low) - distance_behind(rise, high)) / speed


def rate_at(rise: Callable[[float], float], speed: float, wanted: float) -> float:
    """Read the cooling rate off the curve of the centre line."""
    behind = distance_behind(rise, wanted)
    step = 1e-4 * behind
    return (rise(step - behind) - rise(-step - behind)) / (2 * step) * speed


def hottest(line: float, aside: float) -> float:
    """Find the maximum over time beside an instantaneous line of heat, J/m2, through steel."""

    def cold(log_age: float) -> float:
        age = math.exp(log_age)
        spread = math.sqrt(4 * math.pi * STEEL["conductivity"] * STEEL["heat_capacity"] * age)
        return -line / spread * math.exp(-(aside**2) / (4 * DIFFUSIVITY * age))

    found = optimize.minimize_scalar(cold, bounds=(-10, 12), options={"xatol": 1e-9})
    return -float(found.fun)


def aside_of(line: float, rise: float) -> float:
    """Find how far beside an instantaneous line of heat the hottest moment is this hot."""
    return float(optimize.brentq(lambda aside: hottest(line, aside) - rise, 1e-4, 0.5, xtol=1e-13))


def bead_end_ratio(distance: float) -> float:
    """Cooling rate at a distance (in rm) from the end of a bead over that of a long bead.

    A half-infinite instantaneous line on thick plate: T falls as (1 + erf(x/sqrt(4 a t)))/2 / t.
    Times count from that of the same temperature in a long bead, where 4 a t = e rm^2.
    """

    def temperature(time: float) -> float:
        return (1.0 + math.erf(distance / math.sqrt(math.e * time))) / 2.0 / time

    reached = optimize.brentq(lambda time: temperature(time) - 1.0, 0.2, 2.0, xtol=1e-13)
    step = 1e-6
    return (temperature(reached - step) - temperature(reached + step)) / (2 * step)


# ---------------------------------------------------------------- drawn areas

FINE = np.linspace(0.0, 1.0, 8001)


def tangent(degrees: float) -> float:
    """Tangent of an angle in degrees."""
    return math.tan(math.radians(degrees))


def curve_over(start: tuple[float, float], end: tuple[float, float], heights: Any) -> Any:
    """Points from start to end, lifted to the left of the chord by the given heights."""
    first, last = np.array(start), np.array(end)
    along = (last - first) / np.hypot(*(last - first))
    normal = np.array([-along[1], along[0]])
    return first + np.outer(FINE, last - first) + np.outer(heights, normal)


def parabola(height: float) -> Any:
    """Heights of a parabola over its chord."""
    return 4.0 * height * FINE * (1.0 - FINE)


def circle(chord: float, height: float) -> Any:
    """Heights of an arc of a circle over its chord."""
    radius = (chord**2 / 4.0 + height**2) / (2.0 * height)
    return np.sqrt(radius**2 - (chord * (FINE - 0.5)) ** 2) - (radius - height)


def cap(width: float, height: float, level: float = 0.0) -> Polygon:
    """Draw a parabolic cap."""
    return Polygon(curve_over((-width / 2, level), (width / 2, level), parabola(height)))


def round_cap(width: float, height: float) -> Polygon:
    """Draw a cap that is a segment of a circle."""
    return Polygon(curve_over((-width / 2, 0.0), (width / 2, 0.0), circle(width, height)))


def curved_fillet(leg: float, height: float) -> Polygon:
    """Draw a fillet whose face bulges by a height, or is hollow by a negative one."""
    # The root lies on the right of the way from (0, leg) to (leg, 0), the bulge on the left.
    return Polygon([(0, 0), *curve_over((0, leg), (leg, 0), parabola(height))])


def v_groove(t: float, angle: float, face: float, opening: float) -> Polygon:
    """Draw a single V, without cap."""
    half = opening / 2
    out = half + (t - face) * tangent(angle / 2)
    corners = [(-half, 0), (half, 0), (half, face), (out, t), (-out, t), (-half, face)]
    return Polygon(corners).buffer(0)


def bevel_groove(t: float, bevel: float, face: float, opening: float) -> Polygon:
    """Draw a single bevel, without cap."""
    half = opening / 2
    out = half + (t - face) * tangent(bevel)
    return Polygon([(-half, 0), (half, 0), (half, face), (out, t), (-half, t)]).buffer(0)


def double_v_groove(t: float, angle: float, face: float, opening: float, first: float) -> Polygon:
    """Draw a double V of which the first side has a given depth, without caps."""
    half, slope = opening / 2, tangent(angle / 2)
    second = t - face - first
    up, down = half + first * slope, half + second * slope
    right = [(half, 0), (down, -0.0), (half, second), (half, second + face), (up, t)]
    return Polygon([*right, *[(-x, y) for x, y in reversed(right)]]).buffer(0)


def double_bevel_groove(
    t: float, bevel: float, face: float, opening: float, first: float
) -> Polygon:
    """Draw a double bevel: the double V without the slope of its left side."""
    double_v = double_v_groove(t, 2 * bevel, face, opening, first)
    return double_v.intersection(box(-opening / 2, 0, opening + 2 * t * tangent(bevel), t))


def rounded_side(depth: float, radius: float, bevel: float) -> tuple[float, float]:
    """Area and top width of one side, as the hull of a disc and the corner its tangent meets."""
    cosine, sine = math.cos(math.radians(bevel)), math.sin(math.radians(bevel))
    width = (radius + (depth - radius) * sine) / cosine
    disc = Point(0.0, radius).buffer(radius, quad_segs=1024)
    corners = MultiPoint([(width, depth), (0.0, depth)])
    hull = union_all([disc, corners]).convex_hull
    return hull.intersection(box(0.0, 0.0, 2 * width + depth, depth)).area, width


# ---------------------------------------------------------------- gases

GASES = {  # gas-properties-notes, table (secondary): g/mol, relative density, lb/ft3 at 0 C, 1 atm
    "Ar": ("Argon", 39.95, 1.38, 0.1114),
    "CO2": ("CO2", 44.01, 1.53, 0.1235),
    "He": ("Helium", 4.0, 0.1368, 0.0111),
    "H2": ("Hydrogen", 2.016, 0.0695, 0.0056),
    "N2": ("Nitrogen", 28.01, 0.967, 0.0782),
    "O2": ("Oxygen", 32.0, 1.105, 0.0892),
}
ATMOSPHERE = 101325.0


def half_unit(printed: float) -> float:
    """Half a unit of the last of four decimals, relative to the printed density."""
    return 0.00005 / printed


def real_density(fluid: str, pressure: float, celsius: float) -> float:
    """Density by the equation of state of the real gas."""
    from CoolProp.CoolProp import PropsSI  # two seconds, and most tests need no gas

    return float(PropsSI("D", "T", celsius + 273.15, "P", pressure, fluid))


def molar_mass(fluid: str) -> float:
    """Molar mass, kg/mol."""
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI("M", fluid))


def real_cylinder(fluid: str, full: float, share: float, flow: float) -> tuple[float, float]:
    """Free contents, and time to 0 bar gauge from a share of the full pressure, of 50 L at 15 C."""

    def held(gauge: float) -> float:
        return 0.05 * real_density(fluid, gauge + ATMOSPHERE, 15.0)

    free = real_density(fluid, ATMOSPHERE, 15.0)
    return (held(full) - held(0.0)) / free, (held(share * full) - held(0.0)) / free / flow


def purged(first: float, flow: float, volume: float, time: float) -> float:
    """Integrate a purge: each moment's outflow is mixed gas, V dC/dt = -Q C."""
    solved = integrate.solve_ivp(
        lambda _, c: -flow * c / volume, (0.0, time), [first], rtol=1e-9, atol=1e-14
    )
    return float(solved.y[0, -1])
