"""Define a shop's own chart: conditions of all its rows, and a grid of settings as typed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from weldref.cells import harmless
from weldref.core.units import UnitSystem
from weldref.errors import InputError
from weldref.files import csv_rows

CONDITIONS = (
    "process", "transfer_mode", "material", "electrode", "gas", "polarity", "position", "joint",
)  # fmt: skip
"""Conditions of the whole chart, in any common spelling."""

KEYS = ("thickness", "diameter", "electrode", "material", "gas", "position")
"""Conditions of a row; they override those of the chart."""

ASIDE = ("filler_size", "cup")
"""What a row notes as text beside its settings: the filler rod, the cup or cutting tip."""

_HERE = Path(__file__).parent
NAMED = {line["name"]: line for line in csv_rows(_HERE / "columns.csv")}
"""What a chart may hold, except quantities whose only names are those of the vocabulary."""

LABELS = {name: line["label"] for name, line in NAMED.items() if line["label"]}
"""What a person calls the conditions and columns that are not quantities."""

_PROCESSES = {line["process"]: line for line in csv_rows(_HERE / "processes.csv")}
"""The columns that a new chart starts with, by process; any other quantity may be added."""

SIZE_OF = {process: line["size"] for process, line in _PROCESSES.items() if line["size"]}
"""What a chart of a process calls the size of its electrode."""

OUR_SHOP, OUR_PLACE = "our shop", "our own chart"
"""Whose chart it is and where it hangs, if this is not given."""

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
        The chart's name and its date, as 2026-11-28.
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
    """What is wrong or doubtful in a chart: the row (counted from 1), the column, a sentence.

    One that is not `refused` is a warning: the chart can be saved as it is.
    """

    row: int | None
    column: str
    value: str
    said: str
    refused: bool = True

    def __str__(self) -> str:
        place = f"row {self.row}, {self.column}" if self.row else self.column
        return f"{place}: {self.said}"


def column_of(name: str) -> str:
    """Return the column of the tables that holds a condition.

    >>> column_of("electrode"), column_of("gas")
    ('filler_class', 'gas')
    """
    return "filler_class" if name == "electrode" else name


def columns_for(process: str) -> tuple[Column, ...]:
    """Return the columns that a chart of a process starts with, by its stored name.

    >>> [column.name for column in columns_for("PAC")][:3]
    ['thickness', 'cup', 'current']
    """
    line = _PROCESSES.get(process) or _PROCESSES[""]
    return tuple(Column(name) for name in line["columns"].split("; "))


def short_name(name: str) -> str:
    """Return the name of a chart's files.

    >>> short_name("Booth 3, short arc")
    'booth-3-short-arc'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    short = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    if not short:
        raise InputError(f"name: '{name}' is not accepted; give one with letters a to z or digits")
    return short


def plain_text(text: str, called: str, longest: int) -> str:
    """Return a text with single spaces; refuse one that is too long or not plain.

    >>> plain_text("=1+1", "name", 60)
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: name: '=1+1' begins like a formula of a spreadsheet; give plain text
    """
    if len(text) > longest:
        raise InputError(
            f"{called}: the text is longer than the {longest} characters that are accepted"
        )
    if not text.isprintable():
        raise InputError(f"{called}: a control character is not accepted; give plain text")
    text = " ".join(text.split())
    if harmless(text) != text:
        raise InputError(
            f"{called}: '{text}' begins like a formula of a spreadsheet; give plain text"
        )
    return text
