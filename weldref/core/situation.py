"""Resolve the conditions of a question to the terms that the tables store."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from numbers import Real
from typing import Any, TypedDict, cast

from weldref.core.gas import Composition
from weldref.core.terms import TREE_OF, Term, Vocabulary
from weldref.core.units import Units, UnitSystem, Value
from weldref.data.store import Store
from weldref.errors import InputError

LABELS = {
    "process": "process",
    "transfer_mode": "transfer mode",
    "material": "material",
    "filler_class": "electrode",
    "electrode_size": "diameter",
    "thickness": "thickness",
    "joint": "joint",
    "position": "position",
    "polarity": "polarity",
    "gas": "gas",
    "tungsten_class": "tungsten class",
    "technique": "technique",
    "pass": "pass",
    "other_condition": "condition",
    "scope": "code",
    "environment": "surroundings",
}
"""The conditions of a row, with what people call them."""

TAKES = {
    "SMAW": ("covered electrode",),
    "GMAW": ("solid wire or rod", "metal cored wire"),
    "GTAW": ("solid wire or rod",),
    "PAW": ("solid wire or rod",),
    "FCAW": ("flux cored wire",),
    "FCAW-G": ("gas-shielded flux cored wire", "flux cored wire"),
    "FCAW-S": ("self-shielded flux cored wire", "flux cored wire"),
}
"""The kinds of filler metal that each process takes."""


@dataclass(frozen=True)
class Situation:
    """The stated conditions of the work.

    `sizes` maps every label under which the electrode's size is sold to 0 (as typed) or 1
    (sold as the same size). `notes` say how unlisted spellings were read.
    """

    terms: dict[str, Term] = field(default_factory=dict)
    size: str | None = None
    sizes: dict[str, int] = field(default_factory=dict)
    thickness: Value | None = None
    gas: str | None = None
    composition: Composition | None = None
    under_water: bool = False
    units: UnitSystem = "us"
    notes: tuple[str, ...] = ()
    in_service: bool = False

    @property
    def environment(self) -> str | None:
        """The stated surroundings of the work."""
        if self.under_water:
            return "under water"
        return "in service" if self.in_service else None

    @cached_property
    def stated(self) -> tuple[str, ...]:
        """The conditions that were stated, by the names of the windows' columns."""
        others = {
            "electrode_size": self.size,
            "gas": self.composition,
            "environment": self.environment,
            "thickness": self.thickness,
        }
        return (*self.terms, *(name for name, value in others.items() if value is not None))

    def key(self, condition: str) -> Hashable:
        """Return a key for the value of a stated condition."""
        if condition in self.terms:
            term = self.terms[condition]
            return term.name, tuple(term.broader), term.narrower
        if condition == "thickness":
            return self.thickness.si if self.thickness else None
        if condition == "gas":
            return tuple(sorted((self.composition or {}).items(), key=lambda part: part[0]))
        return self.size if condition == "electrode_size" else self.environment

    def given(self) -> dict[str, str]:
        """Return the conditions as stored, in a fixed order."""
        found = {name: term.name for name, term in self.terms.items()}
        if self.size:
            found["electrode_size"] = self.size
        if self.thickness:
            found["thickness"] = self.thickness.text
        if self.gas:
            found["gas"] = self.gas
        if self.environment:
            found["environment"] = self.environment
        return {name: found[name] for name in LABELS if name in found}

    def __str__(self) -> str:
        parts = [
            f"{value} thick" if name == "thickness" else value
            for name, value in self.given().items()
        ]
        return ", ".join(parts) or "any situation"


class Conditions(TypedDict, total=False):
    """The conditions of the work by their argument names (see `describe`)."""

    process: str | None
    transfer_mode: str | None
    material: str | None
    electrode: str | None
    diameter: str | float | None
    thickness: str | float | None
    joint: str | None
    position: str | None
    polarity: str | None
    gas: str | None
    tungsten: str | None
    code: str | None
    under_water: bool
    in_service: bool
    units: UnitSystem


def conditions_in(said: Mapping[str, Any]) -> tuple[Conditions, dict[str, Any]]:
    """Separate the conditions from all else, the proposed values by quantity.

    >>> conditions_in({"process": "GMAW", "current": 180})
    ({'process': 'GMAW'}, {'current': 180})
    """
    names = Conditions.__annotations__
    conditions = {name: value for name, value in said.items() if name in names}
    return cast(Conditions, conditions), {n: v for n, v in said.items() if n not in names}


def describe(
    store: Store,
    *,
    process: str | None = None,
    transfer_mode: str | None = None,
    material: str | None = None,
    electrode: str | None = None,
    diameter: str | float | None = None,
    thickness: str | float | None = None,
    joint: str | None = None,
    position: str | None = None,
    polarity: str | None = None,
    gas: str | None = None,
    tungsten: str | None = None,
    code: str | None = None,
    under_water: bool = False,
    in_service: bool = False,
    units: UnitSystem = "us",
    vocabulary: Vocabulary | None = None,
) -> Situation:
    """Resolve the conditions of a question.

    Parameters
    ----------
    store
        The open store.
    process, transfer_mode, material, electrode, joint, position, polarity, gas, tungsten
        Any common spelling.
    code
        The code or specification of the work: rows that bind only under it then count.
    diameter, thickness
        A number with a unit, an inch fraction, a sheet gauge ("11 ga", US standard) or a bare
        number, which is read in inches or millimetres as `units` says.
    under_water, in_service
        Whether the work is under water, or on a line or vessel in service; not both.
    vocabulary
        The vocabulary, if the caller already has it.

    Raises
    ------
    InputError
        If a condition is not accepted, in one sentence that names it.
    """
    if under_water and in_service:
        raise InputError("surroundings: under water and in service; give one of them")
    if units not in ("us", "metric"):
        raise InputError(f"units: '{units}' is not a unit system; give us or metric")
    words = {"process": process, "transfer_mode": transfer_mode, "material": material,
             "electrode": electrode, "joint": joint, "position": position, "polarity": polarity,
             "gas": gas, "tungsten": tungsten, "code": code}  # fmt: skip
    for name, word in words.items():  # a frame has NaN where a cell is empty
        if not isinstance(word, str | None):
            raise InputError(f"{name}: {word!r} is not text; give a word, or leave it out")
    for name, measure in (("diameter", diameter), ("thickness", thickness)):
        if not isinstance(measure, str | Real | None):
            raise InputError(f"{name}: {measure!r} is not a length; give one, or leave it out")
    vocabulary = vocabulary or Vocabulary(store)
    typed = {
        "process": process,
        "transfer_mode": transfer_mode,
        "material": material,
        "filler_class": electrode,
        "joint": joint,
        "position": position,
        "polarity": polarity,
        "tungsten_class": tungsten,
        "scope": code,
    }
    terms: dict[str, Term] = {}
    for name, text in typed.items():
        if text:
            kinds = TAKES.get(terms["process"].name, ()) if "process" in terms else ()
            terms[name] = vocabulary.term(name, text, kinds)
    notes = [term.read_as for term in terms.values() if term.read_as]
    # A condition is taken only from its own field, here as in a log.
    if process and not transfer_mode and process != terms["process"].name:
        mode = vocabulary.transfer_in(process)
        notes += [f"'{process}' names {mode} transfer: give the transfer mode too"] if mode else []
    if {"process", "filler_class"} <= terms.keys():
        takes = TAKES.get(terms["process"].name)
        filler = terms["filler_class"]
        if takes and filler.broader.keys() - {filler.name} and not set(takes) & set(filler.broader):
            notes.append(f"{filler.name} is not a filler metal for {terms['process'].name}")
    size = sizes = length = None
    if diameter not in (None, ""):
        size, sizes = electrode_size(store, diameter, units)
        if not sizes:
            notes.append(f"no table has the electrode size {size}")
    if thickness not in (None, ""):
        length, note = plate_thickness(store, thickness, units, terms.get("material"))
        notes += [note] if note else []
    gas_name = composition = None
    if gas:
        gas_name, composition = vocabulary.gas(gas)
    return Situation(
        terms=terms,
        size=size,
        sizes=sizes or {},
        thickness=length,
        gas=gas_name,
        composition=composition,
        under_water=under_water,
        in_service=in_service,
        units=units,
        notes=tuple(notes),
    )


def joined(parts: Iterable[Situation]) -> Situation:
    """Join situations that state one condition each, as `describe` would read all together.

    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> str(joined([describe(store, diameter="1/8"), describe(store, process="stick")]))
    'SMAW, 1/8 in'
    """
    whole: dict[str, Any] = {}
    terms: dict[str, Term] = {}
    notes: list[str] = []
    for part in parts:
        terms |= part.terms
        notes += part.notes
        whole["units"] = part.units
        for name in ("size", "sizes", "thickness", "gas", "composition"):
            if not part.terms and (value := getattr(part, name)):
                whole[name] = value
        for name in ("under_water", "in_service"):
            if getattr(part, name):
                whole[name] = True
    ordered = {name: terms[name] for name in TREE_OF if name in terms}
    return Situation(terms=ordered, notes=tuple(notes), **whole)


def electrode_size(
    store: Store, typed: str | float | None, units: UnitSystem
) -> tuple[str, dict[str, int]]:
    """Find the label of an electrode size: 3/32 in is sold as 2.4 or 2.5 mm, not as 2.38 mm.

    Returns
    -------
    tuple
        The label, and every label of the size with 0 (as typed) or 1 (sold as the same).
    """
    value = Units(store).parse(str(typed), "length", "in" if units == "us" else "mm", "diameter")
    refuse_implausible(store, "electrode_diameter", "diameter", value)
    unit = "inch" if value.unit in ("in", "ft") else "mm"
    nominal = value.si / 0.0254 if unit == "inch" else value.si * 1000
    # Printed decimals are rounded fractions: .094 is 3/32.
    slack = 0.0006 if unit == "inch" else 0.006
    rows = _sizes(store)
    near = [r for r in rows if r[unit] is not None and abs(r[unit] - nominal) <= slack]
    if not near:
        return f"{nominal:g} {'in' if unit == 'inch' else 'mm'}", {}
    label = min(near, key=lambda r: abs(r[unit] - nominal))["size"]
    same = {label: 0}
    for row in rows:
        others = [other.strip() for other in (row["also_sold_as"] or "").split(";") if other]
        if row["size"] == label:
            same.update(dict.fromkeys(others, 1))
        elif label in others:
            same.setdefault(row["size"], 1)
    return label, same


GAUGED = ("steel", "stainless steel", "wrought iron", "cast iron")
"""The metals for which US standard gauge is meant: sheet and plate of iron and steel."""


def plate_thickness(
    store: Store, typed: str | float | None, units: UnitSystem, material: Term | None = None
) -> tuple[Value, str]:
    """Read a thickness; a gauge number is taken as US standard gauge (15 U.S.C. 206).

    The table is for iron and steel only; the note that is returned with the thickness says so if
    no metal was stated.

    Raises
    ------
    InputError
        If it is not a plausible thickness, or is a gauge number for another metal.
    """
    text = str(typed).strip()
    if match := re.fullmatch(r"(\d+)\s*(?:ga|gauge|gage)\.?", text, re.IGNORECASE):
        inches = _gauges(store).get(match[1])
        if inches is None:
            raise InputError(f"thickness: gauge {match[1]} is not in the US standard gauge table")
        note = f"{match[1]} gauge read as US standard gauge, {inches:g} in (15 U.S.C. 206)"
        if material is None:
            note += "; a gauge depends on the metal: this is for iron and steel"
        elif not set(GAUGED) & set(material.broader):
            raise InputError(
                f"thickness: a gauge number depends on the metal and the table of gauges is for "
                f"iron and steel; give {material.name} in inches or millimetres"
            )
        return Value(inches, "in", inches * 0.0254, f"{match[1]} gauge"), note
    value = Units(store).parse(text, "length", "in" if units == "us" else "mm", "thickness")
    refuse_implausible(store, "base_metal_thickness", "thickness", value)
    bare = not re.search(r"[a-z\"\u2033\u201d\u2019']", text, re.IGNORECASE)
    return Value(value.number, value.unit, value.si, f"{text} {value.unit}" if bare else text), ""


def refuse_implausible(store: Store, quantity: str, name: str, value: Value) -> None:
    """Refuse a value far outside what the trade ever sets, which is mostly a slip of unit.

    Raises
    ------
    InputError
        In one sentence that names the value and the limits of the table ``quantities``.
    """
    low, high = plausible_limits(store, quantity)
    if not low <= value.si <= high:
        row = quantity_row(store, quantity)
        unit = Units(store).by_spelling[row["plausible_unit"]].label
        raise InputError(
            f"{name}: {value} is not plausible; give {row['plausible_min']:g} to "
            f"{row['plausible_max']:g} {unit} (a slip of unit?)"
        )


def plausible_limits(store: Store, quantity: str) -> tuple[float, float]:
    """Return the least and the greatest plausible value of a quantity in SI.

    >>> from weldref.data.store import open_store
    >>> [round(limit, 6) for limit in plausible_limits(open_store(), "current")]
    [0.099997, 3000.000003]
    """
    row = quantity_row(store, quantity)
    unit = Units(store).by_spelling[row["plausible_unit"]]
    low, high = (
        number * unit.factor + unit.shift for number in (row["plausible_min"], row["plausible_max"])
    )
    slack = 1e-9 * max(abs(low), abs(high))
    return low - slack, high + slack


# A store never changes, so what is kept by store cannot go stale.
@lru_cache(maxsize=8)
def _quantities(store: Store) -> dict[str, dict[str, Any]]:
    return {row["quantity"]: row for row in store.rows("SELECT * FROM quantities")}


def quantity_row(store: Store, quantity: str) -> dict[str, Any]:
    """Return the row of a quantity: its units, dimension and plausible limits."""
    return _quantities(store)[quantity]


def unit_of(store: Store, quantity: str, system: UnitSystem) -> str:
    """Return the unit in which a bare number of a quantity is read.

    >>> from weldref.data.store import open_store
    >>> unit_of(open_store(), "wire_feed_speed", "us")
    'in/min'
    """
    return str(quantity_row(store, quantity)[f"{system}_unit"])


@lru_cache(maxsize=8)
def _sizes(store: Store) -> list[dict[str, Any]]:
    return store.rows("SELECT size, inch, mm, also_sold_as FROM electrode_sizes")


@lru_cache(maxsize=8)
def sizes_of(store: Store) -> dict[str, float]:
    """Return the nominal diameter in metres of every size label."""
    return {
        row["size"]: row["inch"] * 0.0254 if row["inch"] is not None else row["mm"] / 1000
        for row in _sizes(store)
    }


@lru_cache(maxsize=8)
def _gauges(store: Store) -> dict[str, float]:
    rows = store.rows(
        """
        SELECT gauge, thickness_in FROM sheet_gauges
        WHERE gauge_system = 'US standard gauge' ORDER BY rowid DESC
        """
    )
    return {row["gauge"]: float(row["thickness_in"]) for row in rows}
