"""Show what each formula was checked against, from the page that a test keeps current.

The comparisons are worked out by the tests, which do not ship; their outcome does, in
``weldref/formulas/README.md``, in a section for each subject.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from weldref import formulas
from weldref.calculate.by_name import all_formulas, listing

PAGE = Path(formulas.__path__[0]) / "README.md"
LOOKUPS = "Look-ups in the tables"
_CELL = re.compile(r"(?<!\\)\|")


@dataclass(frozen=True, slots=True)
class Comparison:
    """One place or library that a formula was compared with, and the difference found."""

    against: str
    difference: str


@cache
def comparisons() -> dict[str, list[Comparison]]:
    """Return the comparisons of each formula.

    >>> comparisons()["heat-input"][0].difference
    'largest of 5: +0.024 kJ/mm'
    """
    return {name: found for section in _sections().values() for name, found in section.items()}


@cache
def subjects() -> dict[str, tuple[str, ...]]:
    """Return the names of formulas and look-ups by subject, in the order of the page.

    >>> list(subjects())[:2], subjects()[LOOKUPS][0]
    (['Heat input', 'Carbon equivalents'], 'filter-shade')
    """
    found = {subject: tuple(section) for subject, section in _sections().items()}
    rest = [row["name"] for row in listing() if row["name"] not in all_formulas()]
    return {**found, LOOKUPS: tuple(rest)}


@cache
def _sections() -> dict[str, dict[str, list[Comparison]]]:
    sections: dict[str, dict[str, list[Comparison]]] = {}
    subject, name = "", ""
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        if line.startswith("## "):
            subject = line[3:]
        cells = [cell.strip().replace("\\|", "|") for cell in _CELL.split(line)][1:-1]
        if len(cells) != 5 or cells[0] == "formula" or cells[0].startswith("---"):
            continue
        name = cells[0].strip("`") or name
        found = sections.setdefault(subject, {}).setdefault(name, [])
        found.append(Comparison(cells[3], cells[4]))
    return sections
