"""Compute a formula from plain numbers, chemical symbols and pint quantities."""

from __future__ import annotations

from numbers import Real
from typing import Any

from weldref.calculate.by_name import SHOWN, Answer, named, si_text
from weldref.calculate.by_name import compute as compute_texts
from weldref.calculate.lookups import TEXT
from weldref.core.units import UnitSystem
from weldref.errors import InputError
from weldref.formulas.composition import ELEMENTS
from weldref.formulas.formula import Symbol

_METRIC_ALONE = ("J", "K/s", "s")
"""Units of results that are the same in both systems: the first of `SHOWN` counts."""


def compute(name: str, *, units: UnitSystem = "us", **inputs: Any) -> Answer:
    """Compute a formula or look up a table, with plain numbers, symbols and pint quantities.

    Parameters
    ----------
    name
        As ``weldref compute --list`` shows it.
    units
        The units of plain numbers: "us" (in, in/min, lb/h, ksi as psi, °F) or "metric" (mm,
        mm/min, kg/h, MPa, °C); amperes, volts, seconds, percent and the like in both. The
        answer's ``inputs`` show each number with the unit that was used.
    **inputs
        By the names of the parameters. Text has its own unit: ``"10 in/min"``, ``"24..28 V"``.
        Elements may be named by their symbols: ``C=0.2, Mn=1.4`` in mass percent.

    Returns
    -------
    weldref.calculate.by_name.Answer
        The value with grade, sources, caveats and intermediate parts, or the rows found.

    Raises
    ------
    InputError
        If the name, a parameter, a unit or a value is not accepted.

    Examples
    --------
    >>> answer = compute("heat-input", voltage=25, current=140, travel_speed=120,
    ...                  process="136", units="metric")
    >>> answer.shown[0], answer.inputs["travel_speed"]
    ('1.4 kJ/mm', '120 mm/min')
    >>> compute("carbon-equivalent-iiw", C=0.2, Mn=1.2).inputs
    {'carbon': '0.2 %', 'manganese': '1.2 %'}
    """
    if units not in ("us", "metric"):
        raise InputError(f"units: '{units}' is not a unit system; give us or metric")
    symbols = named(name).symbols
    texts: dict[str, str] = {}
    for typed, value in inputs.items():
        key = typed if typed in symbols else ELEMENTS.get(typed, typed)
        if key in texts:
            raise InputError(f"{key}: given twice, also as {typed}; give it once")
        # What is not a parameter is refused by name in `compute_texts`.
        texts[key] = _as_text(key, symbols[key], value, units) if key in symbols else str(value)
    return compute_texts(name, texts)


def _as_text(key: str, symbol: Symbol, value: Any, units: UnitSystem) -> str:
    """Write a value with its unit."""
    if hasattr(value, "magnitude") and hasattr(value, "units"):
        return si_text(key, symbol, value)
    if (
        symbol.choices
        or symbol.unit == TEXT
        or isinstance(value, bool)
        or not isinstance(value, Real)
    ):
        return str(value)
    return f"{float(value)!r} {plain_unit(symbol.unit, units)}".strip().replace(".0 ", " ")


def plain_unit(unit: str, units: UnitSystem) -> str:
    """Return the unit in which a plain number is read.

    >>> plain_unit("m/s", "us"), plain_unit("m", "metric"), plain_unit("s", "us")
    ('in/min', 'mm', 's')
    """
    shown = SHOWN.get(unit, (unit,))
    return shown[0] if units == "metric" or unit in _METRIC_ALONE else shown[-1]
