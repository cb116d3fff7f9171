"""Write the equation with the numbers put in, as HTML."""

from __future__ import annotations

import re
from collections.abc import Mapping

from weldref.charts.formulas import pretty
from weldref.dashboard.markup import Markup, joined, tag
from weldref.formulas.formula import Formula

_WRITTEN = dict(
    pair.split("=")
    for pair in "pi=π lambda=λ rho=ρ alpha=α beta=β theta=θ phi=φ eta=η tau=τ xi=ξ sqrt=√".split()
) | {"<=": "≤", "^2": "²", "^3": "³"}


def written(formula: Formula) -> Markup:
    """Write the equation in its letters.

    >>> from weldref.calculate.by_name import all_formulas
    >>> print(written(all_formulas()["cooling-rate-thick-plate"]))
    R = 2 π λ (Tc - T0)² / Hnet
    """
    return _put_in(formula.equation, {})


def with_numbers(formula: Formula, inputs: Mapping[str, str]) -> Markup:
    """Write the equation with each input in the place of its letter; the rest stays a letter.

    >>> from weldref.calculate.by_name import all_formulas
    >>> print(with_numbers(all_formulas()["fillet-throat"], {"leg": "1/4 in"}))
    a = 0.707 <b>(1/4 in)</b>
    """
    values = {
        symbol.letter: value
        for key, symbol in formula.symbols.items()
        if symbol.letter and not symbol.choices and (value := _value(formula, key, inputs))
    }
    return _put_in(formula.equation, values)


def _put_in(equation: str, values: Mapping[str, str]) -> Markup:
    letters = sorted(values, key=len, reverse=True)
    signs = sorted(_WRITTEN, key=len, reverse=True)
    # A letter is alone: not in a longer name, before a prime or a star, where it is defined or
    # where the equation says its unit.
    letter = "|".join(rf"(?<![\w']){re.escape(x)}(?![\w'*]| = | in | k?J/mm| mm)" for x in letters)
    sign = "|".join(
        rf"(?<!\w){re.escape(x)}(?!\w)" if x[0].isalpha() else re.escape(x) for x in signs
    )
    pattern = re.compile(rf"(?P<letter>{letter or '(?!)'})|(?P<sign>{sign})")
    out: list[str] = []
    end = 0
    for match in pattern.finditer(equation):
        found = match[0]
        put_in = tag("b", f"({pretty(values[found])})") if match["letter"] else _WRITTEN[found]
        out += [equation[end : match.start()], put_in]
        end = match.end()
    return joined([*out, equation[end:]])


def _value(formula: Formula, key: str, inputs: Mapping[str, str]) -> str:
    """Return what was entered, else the default number."""
    default = formula.defaults.get(key)
    if isinstance(default, (int, float)) and key not in inputs:
        return f"{default:g} {formula.symbols[key].unit}".strip()
    return inputs.get(key, "")
