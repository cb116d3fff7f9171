"""Recognise units as procedures write them, in values, headings and keys.

The labels and the common spellings are those of the table of units; what is added here are the
ways in which forms and keys of files write them. The factors serve only to notice slips: no
value of a procedure is ever converted. A test compares them with the store's.
"""

from __future__ import annotations

import csv
import re
from functools import cache

from weldref.data.folder import datasets_folder

SI = {
    "A": 1.0, "V": 1.0,
    "in": 0.0254, "ft": 0.3048, "mm": 0.001, "cm": 0.01, "m": 1.0,
    "in/min": 0.0254 / 60, "ft/min": 0.3048 / 60, "mm/min": 0.001 / 60, "mm/s": 0.001,
    "cm/min": 0.01 / 60, "m/min": 1 / 60, "m/s": 1.0,
    "ft3/h": 0.3048**3 / 3600, "ft3/min": 0.3048**3 / 60, "L/min": 0.001 / 60, "m3/s": 1.0,
    "kJ/mm": 1e6, "J/mm": 1e3, "kJ/cm": 1e5, "kJ/in": 1e3 / 0.0254, "J/in": 1 / 0.0254,
    "J/m": 1.0, "kJ/m": 1e3,
    "C": 1.0, "F": 1 / 1.8, "K": 1.0,
    "s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0, "Hz": 1.0, "deg": 1.0,
}  # fmt: skip
"""Factor to SI (angles to degrees); temperatures also have a zero in `ZERO`."""

ZERO = {"C": 273.15, "F": 459.67 / 1.8, "K": 0.0}

MORE = {
    "A": "a amp amps ampere amperes",
    "V": "v volt volts",
    "in": "in inch inches ''",
    "mm": "mm millimetre millimeter",
    "ga": "ga gauge gage",
    "in/min": "in/min inch/min inches/min ipm in/mn inpm",
    "ft/min": "ft/min",
    "mm/min": "mm/min mm/mn mmpm",
    "mm/s": "mm/s mm/sec mm/second mmps",
    "cm/min": "cm/min cm/mn",
    "m/min": "m/min m/mn mpm",
    "ft3/h": "ft3/h ft3/hr cfh scfh cf/h cuft/h cuft/hr cuft/hour cubicfeet/hour ft3/hour",
    "ft3/min": "cfm scfm ft3/min cuft/min",
    "L/min": "l/min lpm l/mn ltr/min ltrs/min lit/min litres/min liters/min litre/min lt/min slpm",
    "kJ/mm": "kj/mm", "kJ/cm": "kj/cm", "J/mm": "j/mm",
    "kJ/in": "kj/in kj/inch kilojoules/inch kilojoule/inch", "J/in": "j/in j/inch joules/inch",
    "kJ/m": "kj/m", "J/m": "j/m",
    "C": "c degc celsius centigrade oc", "F": "f degf fahrenheit of",
    "h": "h hr hrs hour hours", "min": "min mins minute minutes", "s": "s sec secs second seconds",
    "ms": "ms", "Hz": "hz", "deg": "deg degree degrees", "%": "% pct percent",
    "C/h": "c/h c/hr c/hour degc/h degc/hr", "F/h": "f/h f/hr f/hour degf/h degf/hr",
}  # fmt: skip

DIMENSION = {"ga": "length", "C/h": "temperature rate", "F/h": "temperature rate"}
"""Dimensions of the units that only procedures use."""


def compact(text: str) -> str:
    """Write a unit in the one way in which spellings are compared.

    >>> compact("in. per min."), compact("°C"), compact("ft³ / hr"), compact("mm·min⁻¹")
    ('in/min', 'c', 'ft3/hr', 'mm/min')
    """
    text = text.casefold().translate(_PLAIN)
    text = re.sub(r"[\s.·*]+", "", re.sub(r"\bper\b", "/", text))
    text = re.sub(r"(?:\^-1|-1)$", "", re.sub(r"([a-z])(min|s|h)(?:\^-1|-1)$", r"\1/\2", text))
    return text.removeprefix("degrees").removeprefix("degree").removeprefix("deg") or text


_PLAIN = str.maketrans(
    {"°": "", "º": "", "˚": "", "³": "3", "⁻": "-", "¹": "1", "″": '"', "”": '"', "“": '"'}
)


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
                found.setdefault(compact(spelling.strip()), (row["unit"], row["dimension"]))
    for label, listed in MORE.items():
        for spelling in listed.split():
            found.setdefault(compact(spelling), (label, dimensions[label]))
    found.pop("", None)
    # A bare degree sign is an angle; `compact` leaves nothing of it.
    found["deg"] = ("deg", "angle")
    return found


def unit_of(text: str, dimension: str = "") -> str | None:
    """Find the label of a unit, of one dimension if that is given.

    >>> unit_of("ipm"), unit_of("Amps", "current"), unit_of("V", "current"), unit_of("°", "angle")
    ('in/min', 'A', None, 'deg')
    """
    if dimension == "angle" and text.strip() in ("°", "º", "˚"):
        return "deg"
    found = spellings().get(compact(text)) or spellings().get(text.strip().casefold())
    if found is None or (dimension and found[1] != dimension):
        return None
    return found[0]


def units_of_dimension(dimension: str) -> tuple[str, ...]:
    """List the labels of one dimension.

    >>> "mm/min" in units_of_dimension("speed")
    True
    """
    return tuple(dict.fromkeys(label for label, kind in spellings().values() if kind == dimension))


def dimension_of(label: str) -> str:
    """Return what a unit measures, by its label.

    >>> dimension_of("mm/min"), dimension_of("furlong")
    ('speed', '')
    """
    found = spellings().get(compact(label))
    return found[1] if found and found[0] == label else ""


def si(number: float, unit: str) -> float | None:
    """Convert a number to SI to compare it; None where the unit has no factor.

    >>> round(si(150, "C"), 2), si(60, "mm/min"), si(16, "ga")
    (423.15, 0.001, None)
    """
    factor = SI.get(unit)
    return None if factor is None else number * factor + ZERO.get(unit, 0.0)
