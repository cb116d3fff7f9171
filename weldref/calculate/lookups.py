"""The look-ups that `weldref.calculate.by_name` offers in addition to the formulas."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass
from types import MappingProxyType
from typing import Any, ClassVar

from weldref.advice import carbon_limits as grades
from weldref.advice import handbook, preheat
from weldref.errors import InputError
from weldref.formulas.formula import Source, Symbol

TEXT = "text"
"""The unit of a look-up's parameter that is a term of the vocabulary."""

_ELEMENTS = ("C", "Si", "Mn", "P", "S", "Cr", "Ni", "Mo", "Cu", "V", "Nb", "Ti", "B")


@dataclass(frozen=True, slots=True)
class Lookup:
    """A question to the reference tables that is asked and explained like a formula."""

    name: str
    title: str
    symbols: Mapping[str, Symbol]
    needed: tuple[str, ...]
    function: Callable[..., list[dict[str, Any]]]
    equation: ClassVar[str] = ""
    result: ClassVar[Symbol] = Symbol("", "", "rows")
    valid: ClassVar[str] = "what each table covers"
    grade: ClassVar[str] = "by row"
    sources: ClassVar[tuple[Source, ...]] = ()
    defaults: ClassVar[Mapping[str, object]] = MappingProxyType({})


def _rows(answers: Callable[..., Iterable[Any]]) -> Callable[..., list[dict[str, Any]]]:
    return lambda **given: [asdict(one) for one in answers(**given)]


def _by_thickness(answers: Callable[..., Iterable[Any]]) -> Callable[..., list[dict[str, Any]]]:
    def look_up(thickness: float, unit: str = "in") -> Iterable[Any]:
        return answers(thickness / (0.0254 if unit == "in" else 0.001), unit)

    return _rows(look_up)


def _preheat(**given: Any) -> list[dict[str, Any]]:
    composition = {k: given.pop(k) for k in list(given) if k in _ELEMENTS}
    if composition and "C" not in composition:
        raise InputError("C: a composition needs carbon; give C in percent")
    found = preheat.compare_preheat(composition=composition or None, **given)
    rows = [
        {
            "what": method.method,
            "value": method.celsius,
            "unit": "degC",
            "condition": method.printed,
            "source_id": method.source_id,
            "source": method.source,
            "locator": method.locator,
            "how_read": method.how_read,
            "note": method.note,
            "parts": dict(method.parts),
            "governing": method in found.governing,
        }
        for method in found.methods
    ]
    notes = [*found.pointers, *(warning.wording for warning in found.warnings)]
    if found.lowest is not None and found.highest is not None and found.lowest < found.highest:
        notes.insert(0, f"the methods spread from {found.lowest:.0f} to {found.highest:.0f} degC")
    rows += [{"what": "note", "value": None, "note": note} for note in notes]
    return rows


_JOINT = {
    "material": Symbol("", TEXT, "base metal: A36, A572 Gr 50 ..."),
    "thickness": Symbol("", TEXT, "thickness with its unit"),
    "process": Symbol("", TEXT, "welding process"),
    "electrode": Symbol("", TEXT, "electrode class"),
    "hydrogen": Symbol("HD", "mL/100 g", "diffusible hydrogen of the deposit", above=0.0),
    "hydrogen_level": Symbol("", "", "hydrogen level", choices=("H1", "H2", "H3")),
    "restraint": Symbol("", "", "restraint", choices=("low", "medium", "high")),
    "heat_input": Symbol("Q", "J/m", "heat input with thermal efficiency", above=0.0),
    "code": Symbol("", TEXT, "the governing code, a part of its name"),
    **{
        element: Symbol(element, "%", f"{element} in the mill certificate", at_least=0, at_most=100)
        for element in _ELEMENTS
    },
}

_TABLED = {
    "thickness": Symbol("t", "m", "thickness", above=0.0),
    "unit": Symbol("", "", "table to use", choices=("in", "mm")),
}

LOOKUPS: Mapping[str, Lookup] = {
    lookup.name: lookup
    for lookup in (
        Lookup(
            "filter-shade",
            "Filter lens shade by process and current, each regulation apart",
            {
                "process": Symbol("", TEXT, "process"),
                "current": Symbol("I", "A", "arc current", above=0.0),
                "plate": Symbol("t", "m", "plate thickness, for oxyfuel work", above=0.0),
                "electrode": Symbol("d", "m", "covered electrode diameter", above=0.0),
            },
            ("process",),
            _rows(handbook.filter_shade),
        ),
        Lookup(
            "sheet-gauge",
            "Thickness of a sheet gauge number, by gauge system",
            {
                "gauge": Symbol("", TEXT, "gauge number"),
                "system": Symbol("", TEXT, "gauge system (US standard gauge)"),
            },
            ("gauge",),
            _rows(handbook.sheet_gauge),
        ),
        Lookup(
            "minimum-fillet",
            "Minimum fillet leg by thickness, each code apart",
            _TABLED,
            ("thickness",),
            _by_thickness(handbook.minimum_fillet),
        ),
        Lookup(
            "minimum-partial-joint",
            "Minimum effective throat of a partial-joint-penetration weld by thickness",
            _TABLED,
            ("thickness",),
            _by_thickness(handbook.minimum_partial_joint),
        ),
        Lookup(
            "grade-carbon-equivalent",
            "Upper bound of a grade's carbon equivalent from its composition limits",
            {
                "grade": Symbol("", TEXT, "standard and grade: A36, A572 50, S355J2 ..."),
                "equivalent": Symbol("", TEXT, "formula (carbon-equivalent-iiw)"),
                "thickness": Symbol("t", "m", "thickness", above=0.0),
            },
            ("grade",),
            _rows(grades.grade_carbon_equivalent),
        ),
        Lookup(
            "preheat",
            "Minimum preheat by every published method, side by side",
            _JOINT,
            ("material", "thickness"),
            _preheat,
        ),
    )
}
"""Look-ups by the name that ``weldref compute`` uses."""
