"""Convert a printed number to the reader's units, rounded and marked as converted.

A conversion is for reading only: no verdict uses it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Literal

from weldref.core.units import Units, parse_number
from weldref.data.store import Store
from weldref.handouts.words import Words

Shown = Literal["us", "metric", "both"]
"""The unit system of a sheet; "both" shows every printed number in the other system too."""

_INCH = re.compile(r"inch|foot|pound|gallon|degF")


def number(value: float | None) -> str:
    """Write a printed number as it is stored."""
    return "" if value is None else f"{value:.10g}"


def fraction(inches: float) -> str:
    """Write an inch size as a fraction; empty unless it is exact.

    >>> fraction(0.1875), fraction(1.25), fraction(0.035), fraction(2.0)
    ('3/16', '1-1/4', '', '2')
    """
    parts = inches * 64
    if abs(parts - round(parts)) > 1e-9:
        return ""
    whole, rest = divmod(Fraction(round(parts), 64), 1)
    return "-".join(str(part) for part in (whole, rest) if part) or "0"


def rounded(value: float, unit: str) -> str:
    """Round a converted number: whole degrees, whole numbers from 100, else three figures.

    Millimetres have one decimal at most, as sizes are named in the trade.

    >>> rounded(23.5974, "L/min"), rounded(65.5556, "C"), rounded(1905.2, "mm/min")
    ('23.6', '66', '1905')
    >>> rounded(2.38125, "mm"), rounded(6.35, "mm"), rounded(0.762, "mm")
    ('2.4', '6.4', '0.762')
    """
    if unit in ("F", "C", "K") or abs(value) >= 100 or abs(value) < 1e-9:
        return f"{round(value)}"
    digits = 2 - math.floor(math.log10(abs(value)))
    if unit == "mm" and value >= 1:
        value, digits = value * (1 + 1e-9), 1  # 1/4 in is 6.35 mm: 6.4
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_metric(label: str, words: Words, sold: Iterable[str] | None = None) -> str:
    """Write a size in inches with its millimetres, except in English.

    A wire has the size under which it is `sold`: 0.045 in is 1.2 mm, not 1.1.

    >>> from weldref.handouts.words import words
    >>> with_metric("1/4 in", words("es")), with_metric("0.045 in", words("es"), ["1.2 mm"])
    ('1/4 in (6.4 mm)', '0.045 in (1.2 mm)')
    """
    size, _, unit = label.rpartition(" ")
    if unit != "in" or words.language == "en":
        return label
    metric = [one for one in sold or () if one.endswith(" mm")]
    value = parse_number(size)
    if not metric and value and (sold is None or "." not in size):
        metric = [f"{rounded(value * 25.4, 'mm')} mm"]
    return f"{label} ({metric[0]})" if metric else label


def within(degrees: float, *, at_least: bool) -> float:
    """Round a converted temperature limit to 5 degrees, always to the safe side.

    >>> within(302.0, at_least=False), within(302.0, at_least=True), within(230.0, at_least=True)
    (300.0, 305.0, 230.0)
    """
    steps = degrees / 5
    return 5.0 * (math.ceil(steps - 1e-6) if at_least else math.floor(steps + 1e-6))


@dataclass(frozen=True)
class Converter:
    """Knows which unit belongs to which system, and each quantity's usual units."""

    store: Store

    @cached_property
    def units(self) -> Units:
        """The units that the store knows."""
        return Units(self.store)

    @cached_property
    def usual(self) -> dict[str, tuple[str, str]]:
        """The usual unit of each quantity in inch and in metric units."""
        rows = self.store.rows("SELECT quantity, us_unit, metric_unit FROM quantities")
        return {r["quantity"]: (r["us_unit"], r["metric_unit"]) for r in rows}

    @cached_property
    def _inch_units(self) -> frozenset[str]:
        rows = self.store.rows("SELECT unit, pint_expression FROM units")
        return frozenset(r["unit"] for r in rows if _INCH.search(r["pint_expression"]))

    def system(self, quantity: str, unit: str) -> Literal["us", "metric"] | None:
        """Return the system of a unit; None if both use it."""
        us, metric = self.usual[quantity]
        if us == metric:
            return None
        return "us" if unit in self._inch_units else "metric"

    def target(self, quantity: str, unit: str, shown: Shown) -> str | None:
        """Choose the unit to convert to; None if the printed one is right."""
        system = self.system(quantity, unit)
        if system is None or system == shown:
            return None
        return self.usual[quantity][system == "us"]

    def number_in(self, value: float, unit: str, target: str) -> float:
        """Convert a number from one unit to another."""
        one, other = self.units.by_spelling[unit], self.units.by_spelling[target]
        return (value * one.factor + one.shift - other.shift) / other.factor

    def text_in(self, value: float, unit: str, target: str) -> str:
        """Convert a number and round it for reading."""
        return rounded(self.number_in(value, unit, target), target)
