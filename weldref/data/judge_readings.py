"""Compare readings with what was recalled: numbers as printed, with their units.

A number in the row's own unit has to be the same. One in another unit is converted, and the
recalled value has to lie within the rounding of the print. Words agree when they are the same
but for order, case, commas and "or".
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

from weldref.data.fetch import Ask
from weldref.data.reading_cells import Asked, Cell, Recalled, recalled
from weldref.data.readings import NOT_PRINTED, Reading, latest
from weldref.errors import InputError

Kind = Literal["agrees", "differs", "readers disagree", "not there", "other edition"]
KINDS: tuple[Kind, ...] = get_args(Kind)

COARSEST = 0.02
"""Share of a printed value: one that is rounded more coarsely would agree with too much."""

LONGEST_NUMBER = 40

_NUMBER = re.compile(
    r"(?P<sign>[-+−]?)\s*(?:(?:(?P<whole>\d+)[- ])?(?P<top>\d+)/(?P<bottom>\d+)"
    r"|(?P<decimal>\d+(?:\.(?P<after>\d+))?|\.(?P<only>\d+)))\s*"
    r"(?P<unit>[^\d\s.,/+-]\S*(?: [^\d\s]\S*)*)?",
    re.ASCII,
)
_SPLIT = re.compile(r"[\s,;]+")
_LINKS = {"or", "and", ""}

Units = Mapping[str, tuple[str, str, float, float]]
"""By spelling: the unit, what it measures, and its way to SI, ``si = value * factor + shift``."""


@dataclass(frozen=True, slots=True)
class Printed:
    """A number as printed: its value, half of its last digit, and the unit that was typed."""

    value: float
    half: float
    unit: str


def units_of(ask: Ask) -> Units:
    """Return every unit of the vocabulary by each of its spellings.

    >>> from weldref.data.store import open_store
    >>> units_of(open_store().rows)["ipm"][0]
    'in/min'
    """
    rows = ask(
        "SELECT spelling, unit, dimension, factor, shift FROM spellings "
        "JOIN units ON unit = term JOIN conversions USING (unit) WHERE tree = 'units'", {},
    )  # fmt: skip
    return {r["spelling"]: (r["unit"], r["dimension"], r["factor"], r["shift"]) for r in rows}


def printed(text: str, name: str) -> Printed:
    """Read one number as it is printed, with or without a unit; anything else is an `InputError`.

    >>> printed("79 C", "minimum")
    Printed(value=79.0, half=0.5, unit='C')
    >>> printed("1 1/2 in", "minimum").value
    1.5
    """
    match = _NUMBER.fullmatch(text.strip()) if len(text) <= LONGEST_NUMBER else None
    value = half = 0.0
    if match and match["top"] and int(match["bottom"]):
        value = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    elif match and match["decimal"]:
        value = float(match["decimal"])
        half = 0.5 * 10.0 ** -len(match["after"] or match["only"] or "")
    else:
        match = None
    if match is None:
        raise InputError(
            f"{name}: '{text}' is not one number; type for example 175, 0.035 or 1/8, with the "
            f"unit if it is another, or {NOT_PRINTED} if it is not printed"
        )
    return Printed(-value if match["sign"] in ("-", "−") else value, half, match["unit"] or "")


def check_value(asked: Asked, text: str, units: Units) -> str:
    """Return what was typed for one value, tidied; refuse what cannot be compared.

    >>> check_value(Asked("min", "minimum", "F", "number"), " 175 ", {})
    '175'
    """
    text = text.strip()
    if not text:
        raise InputError(f"{asked.name}: it is empty; type what is printed, or {NOT_PRINTED} if "
                         "it is not")  # fmt: skip
    if text != NOT_PRINTED and asked.kind == "number":
        _both(asked, printed(text, asked.name), units)
    return text


def _both(
    asked: Asked, typed: Printed, units: Units
) -> tuple[tuple[str, str, float, float], tuple[str, str, float, float]] | None:
    """Return the typed unit and the row's; None where they are the same."""
    if not typed.unit or typed.unit.casefold() == asked.unit.casefold():
        return None
    own = units.get(asked.unit)
    other = units.get(typed.unit) or units.get(typed.unit.casefold())
    if own and other and own[1] == other[1]:
        return None if own[0] == other[0] else (other, own)
    wanted = f"in {asked.unit}" if asked.unit else "without a unit"
    raise InputError(
        f"{asked.name}: the unit '{typed.unit}' cannot be compared here; type the number {wanted} "
        f"if it is printed so, else {NOT_PRINTED}"
    )


def same_value(asked: Asked, text: str, value: Any, units: Units) -> bool:
    """Tell whether a value as typed is the recalled one.

    >>> current = Asked("max", "maximum", "A", "number")
    >>> same_value(current, "150", 150.0, {}), same_value(current, "-", 150.0, {})
    (True, False)
    >>> same_value(Asked("current", "current", "", "words"), "dcep, AC", "AC or DCEP", {})
    True
    """
    if text == NOT_PRINTED:
        return False
    if asked.kind == "words":
        return _words(text) == _words(str(value))
    typed = printed(text, asked.name)
    if (ways := _both(asked, typed, units)) is None:
        return math.isclose(typed.value, value, rel_tol=1e-9, abs_tol=1e-12)
    (_, _, factor, shift), (_, _, own_factor, own_shift) = ways
    recalled_there = (value * own_factor + own_shift - shift) / factor
    fine = typed.half <= COARSEST * abs(typed.value)
    return fine and abs(recalled_there - typed.value) <= typed.half + 1e-9 * abs(typed.value)


def _words(text: str) -> set[str]:
    return set(_SPLIT.split(text.casefold().strip())) - _LINKS


def same_edition(typed: str, named: str | None) -> bool:
    """Tell whether the edition of a copy is the one whose rows were recalled.

    Every number that was typed (a year, an ordinal) has to be in the edition that the dataset
    names; where the dataset names none, any edition is accepted.

    >>> same_edition("2012", "1991; 2012"), same_edition("2010", "2004")
    (True, False)
    >>> same_edition("2010", "edition not shown"), same_edition("none printed", "2004")
    (True, False)
    """
    here, there = (set(re.findall(r"\d+", text)) for text in (typed, named or ""))
    return not there or (bool(here) and here <= there)


def judge(reading: Reading, row: Recalled, edition: str | None, units: Units) -> Kind:
    """Compare one reading with the row that was recalled, of the edition that the dataset names."""
    if reading.said == "other edition" or not same_edition(reading.edition, edition):
        return "other edition"
    if reading.said == "not there":
        return "not there"
    for asked in row.cell.asked:
        try:
            text = reading.values.get(asked.column, NOT_PRINTED)
            if not same_value(asked, text, row.row[asked.column], units):
                return "differs"
        except InputError:  # a file that somebody wrote by hand
            return "differs"
    return "agrees"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What all readers together say about one row; `readings` are those that count."""

    recalled: Recalled
    kind: Kind
    readings: tuple[Reading, ...]

    @property
    def cell(self) -> Cell:
        """The row as the readers saw it."""
        return self.recalled.cell

    @property
    def recalled_words(self) -> str:
        """The recalled values, with names and units."""
        return self.cell.said(self.recalled.values)

    def read_words(self, reading: Reading) -> str:
        """What one reader found, with names and units."""
        said = self.cell.said(reading.values) if reading.said == "values" else reading.said
        return f"{said} ({reading.note})" if reading.note else said

    @property
    def readers(self) -> tuple[str, ...]:
        """The initials, in alphabetical order."""
        return tuple(sorted(reading.reader for reading in self.readings))

    @property
    def places(self) -> tuple[str, ...]:
        """Where the readers found it, if they said so."""
        return tuple(dict.fromkeys(r.place for r in self.readings if r.place))


def outcomes(ask: Ask, readings: Iterable[Reading]) -> list[Outcome]:
    """Judge all readings, row by row; rows that are no longer recalled are left out.

    Parameters
    ----------
    ask
        Runs a query: `rows` of a store of the published tables.
    readings
        All readings of one file or several.
    """
    by_cell = latest(readings)
    if not by_cell:
        return []
    units = units_of(ask)
    editions = {r["source_id"]: r["edition"] for r in
                ask("SELECT source_id, edition FROM sources", {})}  # fmt: skip
    found = []
    for row in recalled(ask):
        cell = row.cell
        made = [r for r in by_cell.get(cell.key, ()) if r.source == cell.source_id]
        if made:
            found.append(_together(row, made, editions.get(cell.source_id), units))
    return found


def _together(row: Recalled, made: Sequence[Reading], edition: str | None, units: Units) -> Outcome:
    judged = [(reading, judge(reading, row, edition, units)) for reading in made]
    # A copy of another edition says nothing about this one.
    of_this = [one for one in judged if one[1] != "other edition"]
    if not of_this:
        return Outcome(row, "other edition", tuple(made))
    kinds = {kind for _, kind in of_this}
    counted = tuple(reading for reading, _ in of_this)
    if len(kinds) > 1 or ("differs" in kinds and not _alike(row, counted, units)):
        return Outcome(row, "readers disagree", counted)
    return Outcome(row, kinds.pop(), counted)


def _alike(row: Recalled, made: Sequence[Reading], units: Units) -> bool:
    """Tell whether readings that differ from the recalled row are the same among themselves."""
    first, *others = made
    return all(
        _plain(asked, first, units) == _plain(asked, other, units)
        for other in others
        for asked in row.cell.asked
    )


def _plain(asked: Asked, reading: Reading, units: Units) -> object:
    text = reading.values.get(asked.column, NOT_PRINTED)
    if text == NOT_PRINTED or asked.kind == "words":
        return _words(text)
    try:
        typed = printed(text, asked.name)
    except InputError:
        return text
    unit = units.get(typed.unit or asked.unit) or units.get(typed.unit.casefold())
    return typed.value, unit[0] if unit else typed.unit or asked.unit
