"""Read what is declared of each table and its columns.

``tables.csv`` has a line for each table: its files below ``datasets/``, its page of the
documentation, the columns that together are its key, and what a row is. ``columns.csv`` has a line
for each column, in order. A line without a kind is declared as under ``(shared)``; a table of
statements ends with the columns under ``(statements)``.

Kinds: ``key`` (a text that is there once), ``text``, ``list`` (several, separated by "; "),
``object`` (JSON), ``truth`` (true or false) and ``number``, whose unit is ``unit`` ("1" for a
plain number) or is in the column ``unit_in``. In a pair ``..._over`` and ``..._to`` the lower
edge is outside the band and the upper one inside; elsewhere ``..._inclusive`` says which belong to
it. ``as_printed`` keeps the source's own text where it had to be taken apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from weldref.files import csv_rows

HERE = Path(__file__).parent
SHARED, STATEMENTS = "(shared)", "(statements)"


@dataclass(frozen=True)
class Declared:
    """A table: the pattern of its files below ``datasets/``, and what a row of it is."""

    name: str
    files: str
    page: str
    statements: bool
    key: tuple[str, ...]
    about: str

    @cached_property
    def lines(self) -> list[dict[str, str]]:
        """What is declared of each column, in order."""
        listed = _columns()
        lines = [*listed[self.name], *(listed[STATEMENTS] if self.statements else ())]
        common = {line["column"]: line for line in listed[SHARED]}
        return [line if line["kind"] else common[line["column"]] for line in lines]

    @property
    def columns(self) -> list[str]:
        """The header of its files."""
        return [line["column"] for line in self.lines]


@cache
def declared() -> dict[str, Declared]:
    """Return every table by its name.

    >>> declared()["windows"].files
    'windows/*.csv'
    """
    return {
        line["table"]: Declared(
            line["table"],
            line["files"],
            line["page"],
            bool(line["statements"]),
            tuple(line["key"].split("; ")) if line["key"] else (),
            line["about"],
        )
        for line in csv_rows(HERE / "tables.csv")
    }


@cache
def _columns() -> dict[str, list[dict[str, str]]]:
    found: dict[str, list[dict[str, str]]] = {}
    for line in csv_rows(HERE / "columns.csv"):
        found.setdefault(line["table"], []).append(line)
    return found
