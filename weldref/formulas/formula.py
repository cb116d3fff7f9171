"""What a formula is: a pure function in SI units that knows its own source and limits.

A formula is written as a plain function of numbers that returns an `Outcome`; the annotation of
each parameter carries its `Symbol`, and the first line of its docstring is its title. The `formula`
decorator checks the input, adds the grade and the source, and registers the function under its own
name with hyphens, as ``weldref compute`` uses it. This one is "ohms-law"::

    Resistance = Annotated[float, Symbol("R", "ohm", "resistance", at_least=0.0)]
    Current = Annotated[float, Symbol("I", "A", "current", at_least=0.0)]

    @formula(
        equation="U = R I",
        result=Symbol("U", "V", "voltage"),
        sources=(Source("some-source", "p. 1", "read"),),
        valid="any resistance that does not change with current",
    )
    def ohms_law(resistance: Resistance, current: Current) -> Outcome:
        '''Voltage over a resistance.'''
        return Outcome(resistance * current)
"""

from __future__ import annotations

import functools
import inspect
import math
import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import ParamSpec, get_args, get_type_hints

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
        The accepted words, for a parameter that is a word.
    default
        For a parameter that the function takes in its ``**contents``; None if it is needed.
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
            f"{name.replace('_', ' ')} {bound:g}{unit}" for name, bound in self._bounds().items()
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
        inside = (_WITHIN[bound](value, edge) for bound, edge in self._bounds().items())
        if not (math.isfinite(value) and all(inside)):
            raise InputError(f"{name}: {value:g} is not possible; give {self.accepted()}")

    def _bounds(self) -> dict[str, float]:
        return {name: edge for name in _WITHIN if (edge := getattr(self, name)) is not None}


_WITHIN = {
    "above": operator.gt,
    "at_least": operator.ge,
    "below": operator.lt,
    "at_most": operator.le,
}
"""The bounds of a symbol: how a possible value compares with each."""


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
        Intermediate results worth showing, by name, in SI units: that of the result, or the one
        that the formula declares.
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
    `uncertainty` is the standard uncertainty when the input carried any. `part_units` has the
    unit of each of the `parts`.
    """

    name: str
    value: float
    unit: str
    grade: Grade
    sources: tuple[Source, ...]
    caveats: tuple[str, ...] = ()
    parts: Mapping[str, float] = field(default_factory=dict)
    uncertainty: float | None = None
    part_units: Mapping[str, str] = field(default_factory=dict)


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

    @property
    def needed(self) -> tuple[str, ...]:
        """The parameters that have no default."""
        return tuple(name for name in self.symbols if name not in self.defaults)


ABSOLUTE_ZERO = -273.15

REGISTRY: dict[str, Formula] = {}
"""Every formula by the name that ``weldref compute`` uses; filled as the modules are imported."""


def formula(
    *,
    equation: str,
    result: Symbol,
    sources: tuple[Source, ...],
    valid: str,
    contents: Mapping[str, Symbol] = MappingProxyType({}),
    parts: Mapping[str, str] = MappingProxyType({}),
) -> Callable[[Callable[P, Outcome]], Callable[P, Result]]:
    """Turn a function of SI numbers into a registered formula (see the module's example).

    `contents` are the symbols of what the function takes as ``**contents``; `parts` names the units
    of intermediate results that do not have the unit of the result. An argument may be an
    `uncertainties.UFloat`; the result then has an `uncertainty`, propagated to first order with
    numerical derivatives. A parameter whose default is None may be left out. The decorator writes
    the equation, parameters, result, validity and sources into the docstring: the function's own
    gives the title, what else to note, and an example.
    """

    def decorate(body: Callable[P, Outcome]) -> Callable[P, Result]:
        name = body.__name__.replace("_", "-")
        text = inspect.cleandoc(body.__doc__ or name.replace("-", " "))  # none under python -OO
        title = text.partition("\n")[0].removesuffix(".")
        symbols = {**_symbols(body), **contents}
        signature = _signature(body, symbols, contents)

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
            if result.unit == "degC" and outcome.value < ABSOLUTE_ZERO:
                raise InputError(f"{name}: these values give a temperature below absolute zero")
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
                part_units={part: parts.get(part, result.unit) for part in outcome.parts},
            )

        if name in REGISTRY:
            raise TypeError(f"{name}: two formulas have this name")
        defaults = {
            key: parameter.default
            for key, parameter in signature.parameters.items()
            if parameter.default is not inspect.Parameter.empty
        }
        made = Formula(name, title, equation, symbols, result, sources, valid, run, defaults)
        REGISTRY[name] = made
        run.__doc__ = _documented(made, text)
        vars(run)["__signature__"] = signature
        return run

    return decorate


def _symbols(body: Callable[..., Outcome]) -> dict[str, Symbol]:
    """Read the symbols out of the annotations; an optional parameter has its own in a union."""
    return {
        name: symbol
        for name, hint in get_type_hints(body, include_extras=True).items()
        for part in (hint, *get_args(hint))
        for symbol in getattr(part, "__metadata__", ())
    }


def _signature(
    body: Callable[..., Outcome], symbols: Mapping[str, Symbol], contents: Mapping[str, Symbol]
) -> inspect.Signature:
    """Return the signature of a body, with a parameter for each of its ``**contents``."""
    written = inspect.signature(body)
    parameters = [
        parameter.replace(
            annotation=("str" if symbols[name].choices else "float")
            + (" | None" if parameter.default is None else "")
        )
        for name, parameter in written.parameters.items()
        if parameter.kind is not parameter.VAR_KEYWORD
    ]
    parameters += [
        inspect.Parameter(
            name,
            inspect.Parameter.KEYWORD_ONLY,
            default=inspect.Parameter.empty if symbol.default is None else symbol.default,
            annotation="float",
        )
        for name, symbol in contents.items()
    ]
    return written.replace(parameters=parameters, return_annotation="Result")


def _documented(made: Formula, written: str) -> str:
    """Put what the metadata says between the text of a docstring and its examples."""
    text, heading, examples = written.partition("Examples\n--------\n")
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
    return "\n\n".join([text.strip(), *said, heading + examples.strip()]) + "\n"


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
