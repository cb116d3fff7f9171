"""Recognise units as procedures write them, in values, headings and keys.

The labels and the common spellings are those of the table of units; added here are the spellings
of forms and of keys in files. The factors serve only to notice slips: no value of a procedure is
ever converted. A test compares them with the store's.
"""

from __future__ import annotations

import csv
import re
from functools import cache, lru_cache

from weldref.data.folder import datasets_folder

SI = {
    "in": 0.0254, "ft": 0.3048, "mm": 0.001, "cm": 0.01, "m": 1.0, "ft3": 0.3048**3, "m3": 1.0,
    "L": 0.001, "s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0, "kJ": 1e3, "J": 1.0,
    "A": 1.0, "V": 1.0, "Hz": 1.0, "deg": 1.0,
}  # fmt: skip
"""Factor to SI (angles to degrees) of the parts of units."""

TEMPERATURES = {"C": (1.0, 273.15), "F": (1 / 1.8, 459.67 / 1.8), "K": (1.0, 0.0)}
"""Factor to kelvin, and the zero of the scale there."""

MORE = {
    "in": "''", "ga": "ga gauge gage",
    "in/min": "in/mn inpm", "mm/min": "mm/mn", "cm/min": "cm/mn", "m/min": "m/mn",
    "mm/s": "mm/second mmps", "kJ/in": "kj/inch kilojoules/inch kilojoule/inch",
    "J/in": "j/inch joules/inch", "ft3/min": "scfm cuft/min",
    "ft3/h": "ft3/hr ft3/hour cf/h cuft/hr cuft/hour cubicfeet/hour",
    "L/min": "l/mn ltr/min ltrs/min litres/min liters/min lt/min slpm",
    "C": "centigrade oc", "F": "of", "C/h": "c/h c/hr c/hour", "F/h": "f/h f/hr f/hour",
    "h": "hrs hour", "min": "mins minute", "s": "secs second",
}  # fmt: skip
"""Spellings that the table of units does not have."""

DIMENSION = {"ga": "length", "C/h": "temperature rate", "F/h": "temperature rate"}
"""Dimensions of the units that only procedures use."""

_PLAIN = str.maketrans(
    {"°": "", "º": "", "˚": "", "³": "3", "⁻": "-", "¹": "1", "″": '"', "”": '"', "“": '"'}
)


def compact(text: str) -> str:
    """Write a unit in the form in which spellings are compared.

    >>> compact("in. per min."), compact("°C"), compact("ft³ / hr"), compact("mm·min⁻¹")
    ('in/min', 'c', 'ft3/hr', 'mm/min')
    """
    text = text.casefold().translate(_PLAIN)
    text = re.sub(r"[\s.·*]+", "", re.sub(r"\bper\b", "/", text))
    text = re.sub(r"(?:\^-1|-1)$", "", re.sub(r"([a-z])(min|s|h)(?:\^-1|-1)$", r"\1/\2", text))
    return text.removeprefix("degrees").removeprefix("degree").removeprefix("deg") or text


@cache
def spellings() -> dict[str, tuple[str, str]]:
    """Return label and dimension of every unit by each spelling, as `compact` writes it."""
    found: dict[str, tuple[str, str]] = {}
    dimensions = dict(DIMENSION)
    path = datasets_folder() / "vocabulary" / "units.csv"
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            dimensions[row["unit"]] = row["dimension"]
            for spelling in (row["unit"], *row["spellings"].split(";")):
                found.setdefault(compact(spelling), (row["unit"], row["dimension"]))
    for label, listed in MORE.items():
        for spelling in listed.split():
            found.setdefault(compact(spelling), (label, dimensions[label]))
    found.pop("", None)
    # A bare degree sign is an angle; `compact` leaves nothing of it.
    found["deg"] = ("deg", "angle")
    return found


@lru_cache(maxsize=8192)
def unit_of(text: str, dimension: str = "") -> str | None:
    """Find the label of a unit, of one dimension if that is given.

    >>> unit_of("ipm"), unit_of("Amps", "current"), unit_of("V", "current"), unit_of("°", "angle")
    ('in/min', 'A', None, 'deg')
    """
    if dimension == "angle" and text.strip() in ("°", "º", "˚"):
        return "deg"
    found = spellings().get(compact(text)) or spellings().get(text.strip().casefold())
    return found[0] if found and dimension in ("", found[1]) else None


def dimension_of(label: str) -> str:
    """Return what a unit measures, by its label; empty if it is not a unit."""
    found = spellings().get(compact(label))
    return found[1] if found and found[0] == label else ""


def si(number: float, unit: str) -> float | None:
    """Convert a number to SI to compare it; None where the unit has no factor.

    >>> round(si(150, "C"), 2), si(60, "mm/min"), si(16, "ga")
    (423.15, 0.001, None)
    """
    if unit in TEMPERATURES:
        factor, zero = TEMPERATURES[unit]
        return number * factor + zero
    above, _, below = unit.partition("/")
    if not dimension_of(unit) or above not in SI or (below and below not in SI):
        return None
    return number * (SI[above] / SI[below] if below else SI[above])
