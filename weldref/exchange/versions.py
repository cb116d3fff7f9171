"""Decide which version step a change needs; the rule is in ``datasets/README.md``.

Major: an answer that was given may be wrong now, or what a program relied on is gone. Minor: more
can be answered, and nothing that was said is contradicted. Patch: no answer changes.
"""

from __future__ import annotations

import re

from weldref.data.schemas.rules import cells
from weldref.errors import InputError
from weldref.exchange.dataset import Cell
from weldref.grades import GRADES

STEPS = ("none", "patch", "minor", "major")
"""From the least to the greatest."""

GRADE = "how_read"

PROSE = ("remark", "locator", "address", "terms")
"""Columns that say where a statement stands and what to know of it; no answer depends on them."""


def turn(column: str, old: Cell, new: Cell) -> str:
    """Tell whether a grade was raised or lowered; anything else was "changed".

    >>> turn("how_read", "memory", "read"), turn("min", 90.0, 95.0)
    ('raised', 'changed')
    """
    if column != GRADE or old not in GRADES or new not in GRADES:
        return "changed"
    return "raised" if GRADES.index(new) < GRADES.index(old) else "lowered"


def step_of_change(column: str, old: Cell, new: Cell) -> str:
    """Name the kind of version step that one changed cell is.

    >>> step_of_change("remark", "a", "b"), step_of_change("min", 90.0, 95.0)
    ('patch', 'major')
    >>> step_of_change("spellings", "mig", "mig; mag"), step_of_change("spellings", "mig", None)
    ('minor', 'major')
    """
    if column in PROSE:
        return "patch"
    if column == "spellings":
        return "minor" if set(cells(old or "")) - {""} <= set(cells(new or "")) else "major"
    return "minor" if turn(column, old, new) == "raised" else "major"


def next_version(version: str, step: str) -> str:
    """Return the version that follows by a step.

    >>> next_version("1.4.2", "minor")
    '1.5.0'

    Raises
    ------
    InputError
        If the version is not three numbers separated by points.
    """
    match = re.fullmatch(r"(\d{1,9})\.(\d{1,9})\.(\d{1,9})", version)
    if match is None:
        raise InputError(f"version: '{version[:40]}' is not accepted; give x.y.z")
    major, minor, patch = map(int, match.groups())
    return {
        "none": version,
        "patch": f"{major}.{minor}.{patch + 1}",
        "minor": f"{major}.{minor + 1}.0",
        "major": f"{major + 1}.0.0",
    }[step]
