"""Show what each formula was checked against.

The tests make the comparisons. Their results are shipped in ``weldref/formulas/checks.csv``, which
a test keeps current.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from weldref import formulas
from weldref.files import csv_rows

TABLE = Path(formulas.__path__[0]) / "checks.csv"
OUTSIDE = {"published": "printed figures", "library": "a reference library"}
"""The kinds of comparison with something outside the project, as they are named."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """One place or library that a formula was compared with, and the difference found."""

    subject: str
    formula: str
    kind: str
    against: str
    difference: str


@cache
def comparisons() -> dict[str, list[Comparison]]:
    """Return the comparisons of each formula, by subject.

    >>> comparisons()["heat-input"][0].difference
    'largest of 5: +0.024 kJ/mm'
    """
    found: dict[str, list[Comparison]] = {}
    for row in csv_rows(TABLE):
        found.setdefault(row["formula"], []).append(Comparison(**row))
    return found


@cache
def subject_of() -> dict[str, str]:
    """Return the subject of each formula, in the order in which they are shown.

    >>> subject_of()["fillet-area"]
    'areas'
    """
    return {name: found[0].subject for name, found in comparisons().items()}


def checked_against(name: str) -> tuple[str, ...]:
    """Return what outside the project a formula was checked against; empty if nothing.

    >>> checked_against("heat-input"), checked_against("cup-of-tea")
    (('printed figures',), ())
    """
    kinds = {one.kind for one in comparisons().get(name, ())}
    return tuple(said for kind, said in OUTSIDE.items() if kind in kinds)


def checked_line(checked: Sequence[str]) -> str:
    """Say in a line what a formula was checked against.

    >>> checked_line(["printed figures"]), checked_line([])
    ('checked against printed figures', 'not checked against anything outside this project')
    """
    if not checked:
        return "not checked against anything outside this project"
    return f"checked against {' and '.join(checked)}"
