"""Compute a formula or look up a table by name, with units on every value.

``weldref compute heat-input voltage="24 V" current="150 A" travel_speed="10 in/min"``
"""

from __future__ import annotations

import importlib
import math
import pkgutil
import re
import tokenize
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any

from weldref import formulas
from weldref.calculate.checked import checked_against
from weldref.calculate.lookups import LOOKUPS, TEXT, Lookup
from weldref.core.units import LONGEST_NUMBER, as_typed, parse_number
from weldref.errors import InputError
from weldref.formulas.formula import REGISTRY, Formula, Result, Symbol
from weldref.formulas.ranges import corners

if TYPE_CHECKING:
    import pint

SHOWN: Mapping[str, tuple[str, ...]] = {
    "m": ("mm", "in"),
    "m2": ("mm2", "in2"),
    "m3": ("L", "ft3"),
    "m/s": ("mm/min", "in/min"),
    "m3/s": ("L/min", "ft3/h"),
    "J/m": ("kJ/mm", "kJ/in"),
    "J": ("kJ",),
    "kg": ("kg", "lb"),
    "kg/m": ("kg/m", "lb/ft"),
    "kg/s": ("kg/h", "lb/h"),
    "kg/m3": ("kg/m3", "lb/in3"),
    "Pa": ("MPa", "psi"),
    "N": ("kN", "kip"),
    "N/m": ("kN/mm", "kip/in"),
    "s": ("s", "min"),
    "degC": ("degC", "degF"),
    "K/s": ("K/s",),
}
"""Units in which people read a result that is computed in SI."""

# Spellings of the trade that pint does not know, or reads as something else.
_SPELLINGS = {"ipm": "in/min", "cfh": "ft3/h", "cfm": "ft3/min", "lpm": "L/min", "psig": "psi"}
_TEMPERATURES = {
    "f": "degF",
    "°f": "degF",
    "degf": "degF",
    "c": "degC",
    "°c": "degC",
    "degc": "degC",
    "k": "kelvin",
}
_NUMBER = r"[-+]?(?:(?:\d+[- ])?\d+/\d+|\d+\.?\d*(?:[eE][-+]?\d+)?|\.\d+)"
_INPUT = re.compile(
    rf"^\s*(?P<low>{_NUMBER})\s*"
    rf"(?:(?P<kind>\.\.|\+/-|±)\s*(?P<second>{_NUMBER})\s*)?"
    r"(?P<unit>[^\d\s.].*?)?\s*$"
)

# What pint's parser raises on malformed text in addition to its own errors.
_PARSER_ERRORS = (AttributeError, TypeError, SyntaxError, AssertionError, KeyError, IndexError)
# Letters, products, quotients, squares and cubes reach pint's parser; no power of a number does,
# which pint would compute however large, nor two digits side by side.
_UNIT = re.compile(
    r"(?!.*(?:[23²³]{2}|[23²³)]\s*(?:\^|[*·]\s*[*·])))"
    r"[A-Za-zµμΩ°%$\"][A-Za-zµμΩ°%$\"_23²³·*/^() .-]{0,40}"
)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a computation gives: one value in SI and in everyday units, or rows of a table.

    `low` and `high` are the lowest and the highest result when a range was given. `checked` names
    what the formula was checked against outside the project; None for a look-up. `parts` are
    intermediate results in the units of the formula, `shown_parts` the same in everyday units.
    """

    name: str
    title: str
    inputs: dict[str, str]
    value: float | None = None
    unit: str = ""
    shown: tuple[str, ...] = ()
    low: str = ""
    high: str = ""
    uncertainty: float | None = None
    grade: str | None = None
    sources: tuple[dict[str, Any], ...] = ()
    caveats: tuple[str, ...] = ()
    parts: dict[str, float] = field(default_factory=dict)
    shown_parts: dict[str, tuple[str, ...]] = field(default_factory=dict)
    rows: tuple[dict[str, Any], ...] = ()
    checked: tuple[str, ...] | None = None

    def as_dict(self) -> dict[str, Any]:
        """The answer as plain dictionaries and lists, as ``--json`` prints it."""
        return asdict(self)


@cache
def all_formulas() -> Mapping[str, Formula]:
    """Import every formula module and return the formulas by name.

    >>> "heat-input" in all_formulas()
    True
    """
    for module in pkgutil.iter_modules(formulas.__path__):
        importlib.import_module(f"{formulas.__name__}.{module.name}")
    return dict(sorted(REGISTRY.items()))


def _known() -> dict[str, Formula | Lookup]:
    return {**all_formulas(), **LOOKUPS}


def named(name: str) -> Formula | Lookup:
    """Find a formula or a look-up by name.

    Raises
    ------
    InputError
        If there is none; the message offers near ones.
    """
    known = _known()
    name = "-".join(re.split(r"[\s_]+", name.strip().lower()))
    if name not in known:
        from difflib import get_close_matches

        near = get_close_matches(name, known, n=4, cutoff=0.4)
        hint = f"did you mean {', '.join(near)}?" if near else "see weldref compute --list"
        raise InputError(f"compute: '{name}' is not known; {hint}")
    return known[name]


def listing() -> list[dict[str, Any]]:
    """List every formula and look-up: name, title, grade, where it comes from."""
    return [
        {
            "name": target.name,
            "title": target.title,
            "grade": target.grade,
            "sources": [f"{s.source_id}, {s.locator}" for s in target.sources],
        }
        for _, target in sorted(_known().items())
    ]


def explain(name: str) -> dict[str, Any]:
    """Explain a formula or look-up: equation, parameters, validity, sources.

    Raises
    ------
    InputError
        If there is none of that name.
    """
    target = named(name)
    return {
        "name": target.name,
        "title": target.title,
        "equation": target.equation,
        "result": ", ".join(filter(None, (target.result.letter, target.result.meaning))),
        "unit": target.result.unit,
        "parameters": [
            {
                "name": key,
                "letter": symbol.letter,
                "meaning": symbol.meaning,
                "accepted": "text" if symbol.unit == TEXT else symbol.accepted(),
                "needed": key in target.needed,
                "default": target.defaults.get(key),
            }
            for key, symbol in target.symbols.items()
        ],
        "valid": target.valid,
        "grade": target.grade,
        "sources": [asdict(source) for source in target.sources],
        "checked": checked_against(target.name) if isinstance(target, Formula) else None,
    }


def compute(name: str, inputs: Mapping[str, str]) -> Answer:
    """Compute a formula or look up a table.

    Parameters
    ----------
    name
        As ``weldref compute --list`` shows it.
    inputs
        Values as text with units: ``{"current": "150 A", "leg": "1/4 in"}``. "24..28 V" is a
        range and gives the results at its corners; "150+/-5 A" carries a standard uncertainty.

    Returns
    -------
    Answer
        The value with grade, sources, caveats and intermediate parts, or the rows found.

    Raises
    ------
    InputError
        If the name, a parameter, a unit or a value is not accepted.

    Examples
    --------
    pwps-488823046, root pass: 25 V, 140 A, 120 mm/min and k = 0.8 print 1.4 kJ/mm.

    >>> answer = compute("heat-input", {"voltage": "25 V", "current": "140 A",
    ...                                 "travel_speed": "120 mm/min", "process": "136"})
    >>> answer.shown[0]
    '1.4 kJ/mm'
    """
    target = named(name)
    for key in inputs:
        if key not in target.symbols:
            accepted = ", ".join(target.symbols)
            raise InputError(f"{name}: '{key}' is not a parameter; give {accepted}")
    missing = [key for key in target.needed if key not in inputs]
    if missing:
        first, *others = missing
        symbol = target.symbols[first]
        wanted = "" if symbol.unit == TEXT else f"; give {symbol.accepted()}"
        wanted += f"; also missing: {', '.join(others)}" if others else ""
        raise InputError(f"{name}: {first} is missing ({symbol.meaning}){wanted}")
    values = {key: read_value(key, target.symbols[key], text) for key, text in inputs.items()}
    plain = {key: str(text) for key, text in inputs.items()}
    if isinstance(target, Lookup):
        for key, value in values.items():
            if target.symbols[key].unit != TEXT:
                target.symbols[key].check(key, value)
        return Answer(target.name, target.title, plain, rows=tuple(target.function(**values)))
    span = corners(target.function, **values)
    result = span.highest
    low = high = ""
    if any(isinstance(value, tuple) for value in values.values()):
        low, high = (" = ".join(shown(one)) for one in span)
    return Answer(
        name=target.name,
        title=target.title,
        inputs=plain,
        value=None if low else result.value,
        unit=result.unit,
        shown=() if low else shown(result),
        low=low,
        high=high,
        uncertainty=result.uncertainty,
        grade=result.grade,
        sources=tuple(asdict(source) for source in result.sources),
        caveats=result.caveats,
        parts=dict(result.parts),
        shown_parts={
            part: in_everyday_units(value, result.part_units[part])
            for part, value in result.parts.items()
        },
        checked=checked_against(target.name),
    )


def shown(result: Result) -> tuple[str, ...]:
    """Write a result in the units people read, with its uncertainty."""
    return in_everyday_units(result.value, result.unit, result.uncertainty)


def in_everyday_units(value: float, unit: str, uncertainty: float | None = None) -> tuple[str, ...]:
    """Write a value that is in SI in the units people read.

    >>> in_everyday_units(0.003175, "m")
    ('3.175 mm', '0.125 in')
    """
    if unit not in SHOWN:
        return (_written(value, uncertainty, unit),)
    texts = []
    for other in SHOWN[unit]:
        number = convert(value, unit, other)
        spread = None
        if uncertainty is not None:
            spread = abs(convert(value + uncertainty, unit, other) - number)
        texts.append(_written(number, spread, other))
    return tuple(dict.fromkeys(texts))


def _written(value: float, spread: float | None, unit: str) -> str:
    text = plain(value) if spread is None else f"{plain(value)} +/- {plain(spread, 2)}"
    return f"{text} {unit}".strip()


def plain(value: float, digits: int = 4) -> str:
    """Write a number with so many significant digits, with an exponent only if large or tiny.

    >>> plain(12345.6), plain(0.00123456), plain(3078000.0), plain(2e-9), plain(13.0)
    ('12350', '0.001235', '3078000', '2e-09', '13')
    """
    if not 1e-4 <= abs(value) < 1e8:
        return f"{value:.{digits}g}"
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def typed(text: str) -> tuple[str, list[float], str] | None:
    """Split a text into what joins its numbers (".." or "+/-"), its numbers, and their unit.

    >>> typed("24..28 V"), typed("1/4 in"), typed("thick")
    (('..', [24.0, 28.0], 'V'), ('', [0.25], 'in'), None)
    """
    match = _INPUT.match(as_typed(text)) if len(text) <= LONGEST_NUMBER else None
    if match is None:
        return None
    written = [match[part] for part in ("low", "second") if match[part]]
    numbers = [number for one in written if (number := parse_number(one)) is not None]
    if len(numbers) < len(written):
        return None
    return match["kind"] or "", numbers, (match["unit"] or "").strip()


def read_value(key: str, symbol: Symbol, text: str) -> Any:
    """Read one value: a word, a number with a unit, a range or an uncertain number.

    Raises
    ------
    InputError
        If it is none of these, or its unit is missing or measures something else.
    """
    text = str(text).strip()
    if symbol.choices or symbol.unit == TEXT:
        return text
    found = typed(text)
    if found is None:
        raise InputError(f"{key}: '{text}' is not a number with a unit; give {symbol.accepted()}")
    kind, numbers, unit = found
    if kind not in ("", ".."):
        numbers[1] += numbers[0]  # a temperature's step is converted between two temperatures
    first, *second = (_to_symbol(key, symbol, number, unit) for number in numbers)
    if not second:
        return first
    if kind != "..":
        from uncertainties import ufloat

        return ufloat(first, abs(second[0] - first))
    if first > second[0]:
        raise InputError(f"{key}: '{text}' has its limits reversed; give low..high")
    return (first, second[0])


def _to_symbol(key: str, symbol: Symbol, number: float, unit: str) -> float:
    wanted = symbol.unit
    if wanted in ("", "%", "HV", "mL/100 g"):
        if unit.replace(" ", "") in ("", wanted.replace(" ", "")):
            return number
        if wanted == "" and unit == "%":
            return number / 100
        raise InputError(f"{key}: '{unit}' is not its unit; give {symbol.accepted()}")
    usual = (SHOWN.get(wanted) or (wanted,))[-1]
    if not unit:
        raise InputError(f"{key}: {number:g} has no unit; give for example '{number:g} {usual}'")
    try:
        return convert(number, unit, wanted)
    except ValueError:
        raise InputError(
            f"{key}: '{unit}' is not a unit of {symbol.meaning}; give for example "
            f"'{number:g} {usual}'"
        ) from None


def si_text(key: str, symbol: Symbol, quantity: Any) -> str:
    """Write a quantity of pint, of any registry, as a number in the unit of a formula.

    Raises
    ------
    InputError
        If it measures something else.
    """
    import pint

    wanted = "dimensionless" if symbol.unit == "" else _for_pint(symbol.unit, symbol.unit)
    try:
        number = float(quantity.to(wanted).magnitude)
    except (pint.errors.PintError, TypeError, *_PARSER_ERRORS):
        raise InputError(f"{key}: '{quantity}' is not accepted; give {symbol.accepted()}") from None
    return f"{number!r} {symbol.unit}".strip()


def convert(value: float, unit: str, wanted: str) -> float:
    """Convert between units as people or the formulas write them; ValueError if incompatible."""
    import pint

    if not _UNIT.fullmatch(unit):
        raise ValueError(unit)
    try:
        quantity = _registry().Quantity(value, _for_pint(unit, wanted))
        return float(quantity.to(_for_pint(wanted, wanted)).magnitude)
    except (pint.errors.PintError, tokenize.TokenError, *_PARSER_ERRORS) as error:
        raise ValueError(unit) from error


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    registry.define("currency = [currency]")
    return registry


def _for_pint(unit: str, wanted: str) -> str:
    if wanted == "degC":
        return _TEMPERATURES.get(unit.lower().replace(" ", "").replace("deg.", "deg"), unit)
    unit = _SPELLINGS.get(unit.lower(), unit)
    unit = unit.replace("$", "currency").replace('"', "in").replace("²", "2").replace("³", "3")
    return re.sub(r"([A-Za-z])\^?([23])\b", r"\1**\2", unit)
