"""What a formula is: a pure function in SI units that knows its own source and limits.

A formula is written as a plain function of numbers that returns an `Outcome`. The
`formula` decorator checks the input, adds the grade and the source, and registers the
function under the name that ``weldref compute`` uses::

    @formula(
        name="ohms-law",
        title="Voltage over a resistance",
        equation="U = R I",
        symbols={
            "resistance": Symbol("R", "ohm", "resistance", at_least=0.0),
            "current": Symbol("I", "A", "current", at_least=0.0),
        },
        result=Symbol("U", "V", "voltage"),
        sources=(Source("some-source", "p. 1", "read"),),
        valid="any resistance that does not change with current",
    )
    def ohms_law(resistance: float, current: float) -> Outcome:
        return Outcome(resistance * current)
"""

from __future__ import annotations

import functools
import inspect
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import ParamSpec

from weldref.errors import InputError
from weldref.grades import Grade, weakest

P = ParamSpec("P")


@dataclass(frozen=True, slots=True)
class Symbol:
    """One quantity of a formula: its letter, SI unit, meaning and the values that can exist.

    Parameters
    ----------
    letter, unit, meaning
        As the equation writes it; the unit of the number the function takes ("" for a ratio,
        "%" for mass percent, "degC" for a temperature).
    above, at_least, below, at_most
        Bounds of the possible. A value beyond them is refused, not computed.
    choices
        For a parameter that is a word: the words accepted.
    default
        Of a parameter that the function takes in its ``**contents``; None where it is needed.
    """

    letter: str
    unit: str
    meaning: str
    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    at_most: float | None = None
    choices: tuple[str, ...] = ()
    default: float | None = None

    def accepted(self) -> str:
        """Say in words what is accepted, for messages and for ``--explain``.

        >>> Symbol("t", "m", "thickness", above=0).accepted()
        'a number above 0 m'
        """
        if self.choices:
            return "one of " + ", ".join(self.choices)
        unit = f" {self.unit}" if self.unit else ""
        bounds = [
            f"{word} {bound:g}{unit}"
            for word, bound in (
                ("above", self.above),
                ("at least", self.at_least),
                ("below", self.below),
                ("at most", self.at_most),
            )
            if bound is not None
        ]
        return "a number" + (" " + " and ".join(bounds) if bounds else unit and f" in{unit}")

    def check(self, name: str, value: object) -> None:
        """Refuse a value that cannot exist.

        Raises
        ------
        InputError
            If the value is not a finite number (or word) inside the bounds.
        """
        if self.choices:
            if value not in self.choices:
                raise InputError(f"{name}: {value!r} is not accepted; give {self.accepted()}")
            return
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise InputError(f"{name}: {value!r} is not a number; give {self.accepted()}")
        if (
            not math.isfinite(value)
            or (self.above is not None and value <= self.above)
            or (self.at_least is not None and value < self.at_least)
            or (self.below is not None and value >= self.below)
            or (self.at_most is not None and value > self.at_most)
        ):
            raise InputError(f"{name}: {value:g} is not possible; give {self.accepted()}")


@dataclass(frozen=True, slots=True)
class Source:
    """Where a formula or a coefficient comes from, and how it was read."""

    source_id: str
    locator: str
    how_read: Grade
    note: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the body of a formula returns.

    Parameters
    ----------
    value
        The result in the unit of the formula's result symbol.
    caveats
        Reasons why the value is outside the range for which the formula is valid.
    parts
        Intermediate results worth showing, by name, in SI units.
    sources
        Sources of coefficients used in this case only.
    """

    value: float
    caveats: tuple[str, ...] = ()
    parts: Mapping[str, float] = field(default_factory=dict)
    sources: tuple[Source, ...] = ()


@dataclass(frozen=True, slots=True)
class Result:
    """The value of a formula with everything a reader needs to judge it.

    `caveats` is empty when the value is inside the range of validity; a `grade` of "memory"
    means that the formula or a coefficient was recalled and not seen in print.
    `uncertainty` is the standard uncertainty when the input carried any.
    """

    name: str
    value: float
    unit: str
    grade: Grade
    sources: tuple[Source, ...]
    caveats: tuple[str, ...] = ()
    parts: Mapping[str, float] = field(default_factory=dict)
    uncertainty: float | None = None


@dataclass(frozen=True, slots=True)
class Formula:
    """A registered formula: its metadata and its function."""

    name: str
    title: str
    equation: str
    symbols: Mapping[str, Symbol]
    result: Symbol
    sources: tuple[Source, ...]
    valid: str
    function: Callable[..., Result]
    defaults: Mapping[str, object]

    @property
    def grade(self) -> Grade:
        """The weakest grade among the formula's sources."""
        return weakest(source.how_read for source in self.sources)


REGISTRY: dict[str, Formula] = {}
"""Every formula by the name that ``weldref compute`` uses; filled as the modules are imported."""


def formula(
    *,
    name: str,
    title: str,
    equation: str,
    symbols: Mapping[str, Symbol],
    result: Symbol,
    sources: tuple[Source, ...],
    valid: str,
) -> Callable[[Callable[P, Outcome]], Callable[P, Result]]:
    """Turn a function of SI numbers into a registered formula (see the module's example).

    An argument may be an `uncertainties.UFloat`; the result then has an `uncertainty`,
    propagated to first order with numerical derivatives. A parameter whose default is None
    may be left out. The docstring gets its equation, parameters, result, validity and sources
    from here: the body's own tells what the formula is, what to note, and an example.
    """

    def decorate(body: Callable[P, Outcome]) -> Callable[P, Result]:
        signature = _signature(body, symbols)
        if set(symbols) != set(signature.parameters):
            raise TypeError(f"{name}: symbols and parameters differ")

        @functools.wraps(body)
        def run(*args: P.args, **kwargs: P.kwargs) -> Result:
            bound = signature.bind(*args, **kwargs)
            bound.apply_defaults()
            values = dict(bound.arguments)
            uncertain = {k: v for k, v in values.items() if hasattr(v, "nominal_value")}
            nominal = {k: getattr(v, "nominal_value", v) for k, v in values.items()}
            for key, value in nominal.items():
                if value is not None or signature.parameters[key].default is not None:
                    symbols[key].check(key, value)
            outcome = body(**nominal)  # type: ignore[call-arg]
            used = sources + outcome.sources
            return Result(
                name=name,
                value=outcome.value,
                unit=result.unit,
                grade=weakest(source.how_read for source in used),
                sources=used,
                caveats=outcome.caveats,
                parts=outcome.parts,
                uncertainty=_propagate(body, nominal, uncertain) if uncertain else None,
            )

        if name in REGISTRY:
            raise TypeError(f"{name}: two formulas have this name")
        made = REGISTRY[name] = Formula(
            name=name,
            title=title,
            equation=equation,
            symbols=symbols,
            result=result,
            sources=sources,
            valid=valid,
            function=run,
            defaults={
                key: parameter.default
                for key, parameter in signature.parameters.items()
                if parameter.default is not inspect.Parameter.empty
            },
        )
        run.__doc__ = _documented(made, body.__doc__ or "")
        vars(run)["__signature__"] = signature
        return run

    return decorate


def _signature(body: Callable[..., Outcome], symbols: Mapping[str, Symbol]) -> inspect.Signature:
    """Return the signature of a body, with a parameter for each symbol of its ``**contents``."""
    written = inspect.signature(body).replace(return_annotation="Result")
    named = {name: p for name, p in written.parameters.items() if p.kind is not p.VAR_KEYWORD}
    if len(named) == len(written.parameters):
        return written
    needed = inspect.Parameter.empty
    taken = [
        named.get(name)
        or inspect.Parameter(
            name,
            inspect.Parameter.KEYWORD_ONLY,
            default=needed if symbol.default is None else symbol.default,
            annotation="float",
        )
        for name, symbol in symbols.items()
    ]
    return written.replace(parameters=taken)


_SECTION = re.compile(r"^(?:Notes|Examples)\n-+$", re.MULTILINE)


def _documented(made: Formula, written: str) -> str:
    """Put what the metadata tells between the summary of a docstring and its notes."""
    text = inspect.cleandoc(written)
    first = next((found.start() for found in _SECTION.finditer(text)), len(text))
    taken = (
        f"{name}\n    {', '.join(filter(None, [symbol.meaning, symbol.letter]))}: "
        + symbol.accepted()
        + (f"; default {made.defaults[name]!r}" if made.defaults.get(name) is not None else "")
        for name, symbol in made.symbols.items()
    )
    unit = f", {made.result.unit}" if made.result.unit else ""
    sources = (
        f"{one.source_id}, {one.locator} ({one.how_read}{one.note and f'; {one.note}'})"
        for one in made.sources
    )
    summed = any(symbol.default is not None for symbol in made.symbols.values())
    total = ", or the contents add up to more than 100 %" if summed else ""
    parts = {
        "Equation": made.equation,
        "Parameters": "\n".join(taken),
        "Returns": f"Result\n    {made.result.meaning}, {made.result.letter}{unit}",
        "Raises": f"InputError\n    If a value is not accepted{total}.",
        "Valid for": made.valid,
        "Sources": "\n".join(sources),
    }
    said = [f"{title}\n{'-' * len(title)}\n{part}" for title, part in parts.items()]
    return "\n\n".join(filter(None, [text[:first].strip(), *said, text[first:].strip()])) + "\n"


def _propagate(
    body: Callable[..., Outcome], nominal: dict[str, object], uncertain: dict[str, object]
) -> float:
    import uncertainties

    names = list(uncertain)

    def value_of(*numbers: float) -> float:
        return body(**(nominal | dict(zip(names, numbers, strict=True)))).value

    return float(uncertainties.wrap(value_of)(*uncertain.values()).std_dev)


def outside(name: str, value: float, low: float, high: float, unit: str = "") -> tuple[str, ...]:
    """Return a caveat when a value is outside the range for which a formula is valid.

    >>> outside("CET", 0.6, 0.2, 0.5, "%")
    ('CET 0.6 % is outside 0.2 to 0.5 %, the range of the formula',)
    >>> outside("CET", 0.3, 0.2, 0.5, "%")
    ()
    """
    # The edges belong to the range, and a converted edge may be a rounding error beyond it.
    if low <= value <= high or math.isclose(value, low) or math.isclose(value, high):
        return ()
    unit = f" {unit}" if unit else ""
    return (
        f"{name} {value:g}{unit} is outside {low:g} to {high:g}{unit}, the range of the formula",
    )
