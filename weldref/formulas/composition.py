"""Compositions in mass percent: what can exist, and what is inside a formula's range."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Symbol, outside

ELEMENTS: Mapping[str, str] = {
    "Al": "aluminium",
    "As": "arsenic",
    "B": "boron",
    "C": "carbon",
    "Ca": "calcium",
    "Ce": "cerium",
    "Co": "cobalt",
    "Cr": "chromium",
    "Cu": "copper",
    "Fe": "iron",
    "H": "hydrogen",
    "Mg": "magnesium",
    "Mn": "manganese",
    "Mo": "molybdenum",
    "N": "nitrogen",
    "Nb": "niobium",
    "Ni": "nickel",
    "O": "oxygen",
    "P": "phosphorus",
    "Pb": "lead",
    "S": "sulfur",
    "Sb": "antimony",
    "Si": "silicon",
    "Sn": "tin",
    "Ta": "tantalum",
    "Ti": "titanium",
    "V": "vanadium",
    "W": "tungsten",
    "Zr": "zirconium",
}
"""Elements that a steel's certificate may list."""


_LETTERS = {name: element for element, name in ELEMENTS.items()}


def element_symbols(*elements: str, needed: int = 1) -> dict[str, Symbol]:
    """Return the `Symbol` of each element's content, 0 to 100 %, by the element's name.

    The first `needed` ones have no default; the others are 0 where they are left out.
    """
    return {
        ELEMENTS[element]: Symbol(
            element,
            "%",
            f"{ELEMENTS[element]} content",
            at_least=0.0,
            at_most=100.0,
            default=None if number < needed else 0.0,
        )
        for number, element in enumerate(elements)
    }


def by_letter(contents: Mapping[str, float]) -> dict[str, float]:
    """Return contents by the chemical symbols of their elements, whose names were given.

    Raises
    ------
    InputError
        If they add up to more than 100 %.

    >>> by_letter({"carbon": 0.2, "manganese": 1.4})
    {'C': 0.2, 'Mn': 1.4}
    """
    composition = {_LETTERS[name]: content for name, content in contents.items()}
    check_total(composition)
    return composition


def taken_by(symbols: Mapping[str, Symbol], composition: Mapping[str, float]) -> dict[str, float]:
    """Return what a formula takes of a composition, by the names of its parameters.

    >>> taken_by(element_symbols("C", "Mn"), {"C": 0.2, "S": 0.01})
    {'carbon': 0.2}
    """
    return {
        name: composition[symbol.letter]
        for name, symbol in symbols.items()
        if symbol.letter in composition
    }


def check_contents(contents: Mapping[str, float]) -> None:
    """Refuse an unknown element, a content that cannot exist, or a lack of carbon.

    >>> check_contents({"C": 0.2, "Mn": 120.0})
    Traceback (most recent call last):
    weldref.errors.InputError: Mn: 120 is not possible; give a number at least 0 % and at most 100 %
    """
    for element, content in contents.items():
        if element not in ELEMENTS:
            raise InputError(f"{element!r} is not one of the elements {', '.join(ELEMENTS)}")
        element_symbols(element)[ELEMENTS[element]].check(element, content)
    if "C" not in contents:
        raise InputError("C: a composition of steel must give carbon")


def check_total(composition: Mapping[str, float]) -> None:
    """Refuse a composition that adds up to more than 100 %.

    >>> check_total({"C": 0.2, "Fe": 99.9})
    Traceback (most recent call last):
    weldref.errors.InputError: the composition adds up to 100.1 %, more than 100 %
    """
    total = math.fsum(composition.values())
    if total > 100.0:
        raise InputError(f"the composition adds up to {total:g} %, more than 100 %")


def weighted(composition: Mapping[str, float], divisors: Mapping[str, float]) -> dict[str, float]:
    """Return the terms of a carbon equivalent, named as they are written.

    >>> weighted({"C": 0.25, "Mn": 1.5, "B": 0.001}, {"C": 1, "Mn": 6, "B": 0.2})
    {'C': 0.25, 'Mn/6': 0.25, '5 B': 0.005}
    """
    return {
        _written(element, divisor): composition[element] / divisor
        for element, divisor in divisors.items()
    }


def _written(element: str, divisor: float) -> str:
    if divisor == 1.0:
        return element
    return f"{element}/{divisor:g}" if divisor > 1.0 else f"{1.0 / divisor:g} {element}"


def weighted_sum(composition: Mapping[str, float], weights: Mapping[str, float]) -> float:
    """Return the sum of contents times weights."""
    return math.fsum(weight * composition[element] for element, weight in weights.items())


def outside_ranges(
    composition: Mapping[str, float], ranges: Mapping[str, tuple[float, float]], whose: str = ""
) -> tuple[str, ...]:
    """Return a caveat for every element outside the range for which a formula is valid.

    `whose` says whose range that is, or how well it is known.

    >>> outside_ranges({"C": 0.3}, {"C": (0.05, 0.25)}, "recalled")
    ('C 0.3 % is outside 0.05 to 0.25 %, the range of the formula (recalled)',)
    """
    return tuple(
        f"{caveat} ({whose})" if whose else caveat
        for element, (low, high) in ranges.items()
        for caveat in outside(element, composition[element], low, high, "%")
    )


def equivalent(
    contents: Mapping[str, float],
    divisors: Mapping[str, float],
    ranges: Mapping[str, tuple[float, float]] = MappingProxyType({}),
    whose: str = "",
) -> Outcome:
    """Return the sum of the weighted contents, its terms and the caveats of their ranges."""
    composition = by_letter(contents)
    parts = weighted(composition, divisors)
    caveats = outside_ranges(composition, ranges, whose)
    return Outcome(math.fsum(parts.values()), caveats, parts)
