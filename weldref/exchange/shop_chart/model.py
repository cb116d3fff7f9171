"""Define a shop's own chart: conditions said once, and a grid of settings as they are typed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field

from weldref.cells import harmless
from weldref.core.units import UnitSystem
from weldref.errors import InputError

CONDITIONS = (
    "process", "transfer_mode", "material", "electrode", "gas", "polarity", "position", "joint",
)  # fmt: skip
"""What may be said once for the whole chart, in any common spelling."""

KEYS = ("thickness", "diameter", "electrode", "material", "gas", "position")
"""What may be said for each row; a condition of a row counts before that of the chart."""

ASIDE = ("filler_size", "cup")
"""What stands beside the settings of a row as text: the filler rod, the cup or cutting tip."""

LABELS = {
    "process": "process",
    "transfer_mode": "transfer mode",
    "material": "metal",
    "electrode": "electrode or wire class",
    "gas": "gas",
    "polarity": "polarity",
    "position": "position",
    "joint": "joint",
    "thickness": "thickness",
    "diameter": "electrode size",
    "filler_size": "filler rod",
    "cup": "cup or tip",
}
"""What a person calls the conditions and columns that are no quantities."""

SIZE_OF = {
    "GMAW": "wire size", "FCAW": "wire size", "FCAW-G": "wire size", "FCAW-S": "wire size",
    "SAW": "wire size", "GTAW": "tungsten size", "PAW": "tungsten size",
}  # fmt: skip
"""What a chart of a process calls the size of its electrode."""

_WIRE = ("thickness", "diameter", "wire_feed_speed", "voltage", "current", "travel_speed")
_CUT = ("thickness", "cup")
COLUMNS = {
    "SMAW": ("thickness", "electrode", "diameter", "current", "voltage", "travel_speed"),
    "GMAW": (*_WIRE, "gas_flow"),
    "FCAW": (*_WIRE, "gas_flow"),
    "FCAW-G": (*_WIRE, "gas_flow"),
    "FCAW-S": (*_WIRE, "electrode_extension"),
    "SAW": _WIRE,
    "GTAW": (
        "thickness", "diameter", "filler_size", "cup", "current", "gas_flow", "voltage",
        "travel_speed",
    ),
    "PAW": (
        "thickness", "diameter", "filler_size", "current", "plasma_gas_flow", "gas_flow",
        "travel_speed",
    ),
    "PAC": (*_CUT, "current", "travel_speed", "air_pressure", "standoff"),
    "OFC": (*_CUT, "oxygen_pressure", "fuel_pressure", "travel_speed"),
    "OFW": (*_CUT, "filler_size", "oxygen_pressure", "fuel_pressure"),
    "LBC": (*_CUT, "arc_power", "travel_speed", "oxygen_pressure"),
    "CAC-A": ("thickness", "diameter", "current", "air_pressure", "travel_speed"),
}  # fmt: skip
"""The columns that a new chart of a process starts with; any other quantity may be added."""

USUAL = ("thickness", "diameter", "current", "voltage", "wire_feed_speed", "travel_speed",
         "gas_flow")  # fmt: skip

OUR_SHOP, OUR_PLACE = "our shop", "our own chart"
"""Whose chart it is and where it hangs, if nobody says so."""

MOST_ROWS = 200
MOST_COLUMNS = 20
LONGEST_CELL = 60
LONGEST_TEXT = 120


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the grid: a condition of the row or a quantity, and the unit of bare numbers.

    Without a unit a bare number is read in the chart's unit system.
    """

    name: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    """A shop's own chart; everything in it is kept as it was typed.

    Parameters
    ----------
    name, date
        What the chart is called and of which day it is, as 2026-11-28.
    shop, place
        Whose chart it is, and where it hangs.
    units
        How bare numbers are read where the column has no unit of its own: "us" or "metric".
    conditions
        What holds for every row, by the names in `CONDITIONS`.
    columns, rows
        The grid; a row holds texts by the name of the column.
    """

    name: str
    date: str
    units: UnitSystem = "us"
    conditions: Mapping[str, str] = field(default_factory=dict)
    columns: tuple[Column, ...] = ()
    rows: tuple[Mapping[str, str], ...] = ()
    shop: str = OUR_SHOP
    place: str = OUR_PLACE


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with a chart, or doubtful: the row (counted from 1), the column, a sentence.

    What is not `refused` is a warning: the chart can be saved as it is.
    """

    row: int | None
    column: str
    value: str
    said: str
    refused: bool = True

    def __str__(self) -> str:
        place = f"row {self.row}, {self.column}" if self.row else self.column
        return f"{place}: {self.said}"


def columns_for(process: str) -> tuple[Column, ...]:
    """Return the columns that a chart of a process starts with.

    Parameters
    ----------
    process
        The stored name of the process; of another one the everyday columns are returned.

    Examples
    --------
    >>> [column.name for column in columns_for("PAC")][:3]
    ['thickness', 'cup', 'current']
    """
    return tuple(Column(name) for name in COLUMNS.get(process, USUAL))


def short_name(name: str) -> str:
    """Write a chart's name as its files are called.

    Raises
    ------
    InputError
        If nothing of the name can stand in the name of a file.

    Examples
    --------
    >>> short_name("Booth 3, short arc")
    'booth-3-short-arc'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    short = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    if not short:
        raise InputError(f"name: '{name}' is not accepted; give one with letters a to z or digits")
    return short


def plain_text(text: str, called: str, longest: int) -> str:
    """Refuse a text that is too long, steers a terminal or would be a formula in a spreadsheet.

    Returns
    -------
    str
        The text, with each run of blanks as one.

    Raises
    ------
    InputError
        In one sentence that names the field.

    Examples
    --------
    >>> plain_text("=1+1", "name", 60)
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: name: '=1+1' begins like a formula of a spreadsheet; give plain text
    """
    if len(text) > longest:
        raise InputError(
            f"{called}: the text is longer than the {longest} characters that are accepted"
        )
    text = " ".join(text.split(" "))
    if not text.isprintable():
        raise InputError(f"{called}: a control character is not accepted; give plain text")
    text = " ".join(text.split())
    if harmless(text) != text:
        raise InputError(
            f"{called}: '{text}' begins like a formula of a spreadsheet; give plain text"
        )
    return text
