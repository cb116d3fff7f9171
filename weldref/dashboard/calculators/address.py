"""Read a formula's inputs from the page's address, and write them to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from weldref.calculate.by_name import named
from weldref.charts.diagrams import DIAGRAMS
from weldref.errors import InputError
from weldref.formulas.formula import Symbol

LONGEST = 60
"""Characters that a field holds."""

FORMULA, UNITS = "formula", "units"
FILLER, DILUTION = "filler.", "dilution"
"""A diagram's second composition: ``filler.chromium``, and its share, ``filler.dilution``."""

_SHARE = Symbol("D", "", "share of the base metal", at_least=0, at_most=1)
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks for; what is not accepted is left out and said."""

    formula: str | None
    inputs: dict[str, str] = field(default_factory=dict)
    problems: tuple[str, ...] = ()


def inputs_of(name: str) -> dict[str, Symbol]:
    """Return every input that the page has a field for, by its name in the address.

    >>> list(inputs_of("fillet-throat")), "filler.nickel" in inputs_of("wrc-1992-position")
    (['leg'], True)
    """
    symbols = dict(named(name).symbols)
    if name not in DIAGRAMS:
        return symbols
    filler = {f"{FILLER}{key}": symbol for key, symbol in symbols.items()}
    return {**symbols, **filler, f"{FILLER}{DILUTION}": _SHARE}


def read(parameters: Mapping[str, str]) -> Asked:
    """Read an address.

    >>> read({"formula": "fillet-throat", "leg": "1/4 in"}).inputs
    {'leg': '1/4 in'}
    >>> read({"formula": "fillet-throat", "legs": "4"}).problems
    ("address: 'legs' is not an input of fillet-throat and was left out",)
    """
    name = parameters.get(FORMULA)
    if name is None:
        return Asked(None)
    try:
        symbols = inputs_of(name[:LONGEST])
    except InputError as error:
        return Asked(None, problems=(str(error).replace("compute: ", "formula: ", 1),))
    inputs, problems, strange = {}, [], []
    for key, text in parameters.items():
        if key in (FORMULA, UNITS):
            continue
        if key not in symbols:
            strange.append(key)
        elif len(text) > LONGEST:
            problems.append(
                f"{key}: the value in the address is longer than {LONGEST} characters and was "
                "left out"
            )
        elif symbols[key].choices and text not in symbols[key].choices:
            problems.append(
                f"{key}: '{text}' in the address is not accepted; give {symbols[key].accepted()}"
            )
        else:
            inputs[key] = text
    if strange:
        shown = ", ".join(f"'{key[:LONGEST]}'" for key in strange[:MOST_NAMED])
        more = len(strange) - MOST_NAMED
        shown += f" and {more} more" if more > 0 else ""
        are = "is not an input" if len(strange) == 1 else "are not inputs"
        was = "was" if len(strange) == 1 else "were"
        problems.append(f"address: {shown} {are} of {name} and {was} left out")
    return Asked(name, inputs, tuple(problems))
