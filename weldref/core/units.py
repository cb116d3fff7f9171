"""Read values with units as people type them, such as "250 in/min".

The factors come from pint when the store is built; here they are only looked up, which keeps
pint (a quarter of a second to import) out of a command's start.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import Literal, NamedTuple

from weldref.core.designations import plain
from weldref.data.store import Store
from weldref.errors import InputError

UnitSystem = Literal["us", "metric"]

LONGEST_NUMBER = 100
"""Characters of the longest typed value that is read; patterns are slow on longer texts."""

_FRACTION = r"(?:\d+[- ])?\d+/\d+"
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_VALUE = re.compile(
    rf"^\s*(?P<number>{_FRACTION}|{_NUMBER})\s*-?(?P<unit>[^\W\d_].*?|[\"°%].*?)?\s*$"
)
_DIAMETER = re.compile(r"^\s*(?:[\u00d8\u00f8\u2300]|dia(?:m(?:eter)?)?\b\.?)\s*", re.IGNORECASE)
# A comma marks decimals where it cannot separate thousands: "0,035" and "2,5", not "1,200".
_DECIMAL_COMMA = re.compile(
    r"(?<![\d.,])(0*),(\d+)(?![\d,])|(?<![\d.,])(\d+),(\d{1,2}|\d{4,})(?![\d,])"
)
_GROUPED = re.compile(r"(?<=\d)[\u00a0\u2009\u202f](?=\d{3}(?!\d))")


class Unit(NamedTuple):
    """A unit as printed, with its conversion to SI: ``value_si = value * factor + shift``."""

    label: str
    dimension: str
    factor: float
    shift: float


class Value(NamedTuple):
    """A number with the unit it was given in, and the same in SI."""

    number: float
    unit: str
    si: float
    text: str

    def __str__(self) -> str:
        return f"{self.number:g} {self.unit}".strip()


def parse_number(text: str) -> float | None:
    """Read a number or an inch fraction; None if it is neither.

    >>> parse_number("1-1/2"), parse_number(".035"), parse_number("1/8"), parse_number("x")
    (1.5, 0.035, 0.125, None)
    """
    if len(text) > LONGEST_NUMBER:
        return None
    text = as_typed(text).strip()
    if re.fullmatch(_FRACTION, text):
        whole, _, fraction = text.replace("-", " ").rpartition(" ")
        top, bottom = fraction.split("/")
        if int(bottom) == 0:
            return None
        return int(whole or 0) + int(top) / int(bottom)
    return float(text) if re.fullmatch(_NUMBER, text) else None


def as_typed(text: str) -> str:
    r"""Write a number as on a keyboard; a comma that may separate thousands is kept.

    >>> as_typed("0,035"), as_typed("1\u00bc\u2033"), as_typed("1\u2009200"), as_typed("1,200")
    ('0.035', '1-1/4"', '1200', '1,200')
    """
    text = plain(_GROUPED.sub("", text))
    return _DECIMAL_COMMA.sub(lambda m: f"{m[1] or m[3] or '0'}.{m[2] or m[4]}", text)


def tidy(number: float, digits: int = 6) -> float:
    """Round a number to significant digits.

    >>> tidy(1.81102362), tidy(0.123456, 4)
    (1.81102, 0.1235)
    """
    return float(f"{number:.{digits}g}")


def _written(number: float) -> str:
    """Write a number as short as possible without changing it."""
    short = f"{number:g}"
    return short if float(short) == number else repr(float(number))


class Units:
    """The units that the store knows."""

    def __init__(self, store: Store) -> None:
        self.store = store

    @property
    def by_spelling(self) -> dict[str, Unit]:
        """Every unit by each of its spellings."""
        return _units_of(self.store)

    def unit(self, text: str, dimension: str, field: str) -> Unit:
        """Find a unit of a dimension by any spelling.

        Raises
        ------
        InputError
            If the unit is not known or measures something else.
        """
        found = self.by_spelling.get(text) or self.of_dimension(dimension).get(
            text.casefold().removesuffix(".")
        )
        if found is None or found.dimension != dimension:
            accepted = self.accepted(dimension)
            raise InputError(f"{field}: '{text}' is not a unit of {dimension}; give {accepted}")
        return found

    def of_dimension(self, dimension: str) -> dict[str, Unit]:
        """Return the units of a dimension by spelling in lower case, if that is not ambiguous."""
        return _units_of_dimension(self.store, dimension)

    def accepted(self, dimension: str, either: str = "or") -> str:
        """List the units of a dimension."""
        labels = sorted({u.label for u in self.by_spelling.values() if u.dimension == dimension})
        return f" {either} ".join(filter(None, (", ".join(labels[:-1]), *labels[-1:])))

    def parse(self, text: str | float, dimension: str, default_unit: str, field: str) -> Value:
        """Read "250 in/min", "1/8 in", ".035" or a bare number.

        Parameters
        ----------
        text
            What was typed, or a number. A bare number is read in `default_unit`, but a bare
            fraction of a length is in inches in either system.
        dimension
            What it must measure, as in the table of units.
        field
            The name to use in a message.

        Raises
        ------
        InputError
            If it is not a number with a unit of that dimension.
        """
        shown = _written(text) if isinstance(text, float) else str(text)
        typed = as_typed(shown) if len(shown) <= LONGEST_NUMBER else ""
        match = _VALUE.match(_DIAMETER.sub("", typed) if dimension == "length" else typed)
        number = parse_number(match["number"]) if match else None
        if re.match(r"\s*[1-9]\d{0,2},\d{3}(?!\d)", typed):
            raise InputError(
                f"{field}: the comma of '{shown}' may separate thousands or mark decimals; write "
                f"{typed.replace(',', '', 1).strip()} or {typed.replace(',', '.', 1).strip()}"
            )
        if match is None or number is None or not math.isfinite(number):
            raise InputError(
                f"{field}: '{shown}' is not a number with a unit; give for example "
                f"'{EXAMPLES.get(dimension, '10')} {default_unit}'"
            )
        # Millimetres are never written as fractions: a bare 1/4 is a quarter of an inch.
        bare = "in" if dimension == "length" and "/" in match["number"] else default_unit
        unit = self.unit(match["unit"] or bare, dimension, field)
        return Value(number, unit.label, number * unit.factor + unit.shift, shown)

    def convert(self, si: float, unit: str) -> float:
        """Convert an SI value to a unit."""
        target = self.by_spelling[unit]
        return (si - target.shift) / target.factor


EXAMPLES = {"speed": "250", "length": "1/8", "flow": "35", "temperature": "150", "current": "130"}
"""An example of a number to type, by dimension."""


# A store never changes, so what is kept by store cannot go stale.
@lru_cache(maxsize=8)
def _units_of(store: Store) -> dict[str, Unit]:
    found = store.rows("SELECT unit, dimension FROM units")
    dimensions = {row["unit"]: row["dimension"] for row in found}
    units = {
        row["unit"]: Unit(row["unit"], dimensions[row["unit"]], row["factor"], row["shift"])
        for row in store.rows("SELECT unit, factor, shift FROM conversions")
    }
    spelled = store.rows("SELECT spelling, term FROM spellings WHERE tree = 'units'")
    return {row["spelling"]: units[row["term"]] for row in spelled}


@lru_cache(maxsize=64)
def _units_of_dimension(store: Store, dimension: str) -> dict[str, Unit]:
    """Return the units of a dimension by spelling in lower case, if that is not ambiguous."""
    found: dict[str, Unit] = {}
    several = set()
    for spelling, unit in _units_of(store).items():
        if unit.dimension == dimension and found.setdefault(spelling.casefold(), unit) != unit:
            several.add(spelling.casefold())
    return {spelling: unit for spelling, unit in found.items() if spelling not in several}
