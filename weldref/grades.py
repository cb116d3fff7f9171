"""The evidence grades: how a value was read, and what a reader is told of each grade."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, TypeVar, get_args

from weldref.errors import InputError

Grade = Literal["read", "secondary", "memory"]
GRADES: tuple[Grade, ...] = get_args(Grade)
"""Evidence grades, strongest first."""

SHORT = {"read": "read", "secondary": "quoted", "memory": "from memory"}
"""A grade beside a value."""

GRADE_WORDS = SHORT | {"memory": "memory"}
"""A grade in text for a terminal, where columns are narrow."""

FULL = {
    "read": "read in the source",
    "secondary": "quoted by another document",
    "memory": "from memory, not seen in print",
}
"""A grade where there is room to explain it."""

LINES = {"read": "solid", "secondary": "dashed", "memory": "dotted"}
"""The line in which a chart draws a grade."""

Named = TypeVar("Named", bound=str)


def weakest(grades: Iterable[Named]) -> Named:
    """Return the weakest of several evidence grades.

    >>> weakest(("read", "memory", "secondary"))
    'memory'
    """
    return max(grades, key=GRADES.index)


def accepted_grades(grade: str) -> tuple[str, ...]:
    """Return the grades that are as good as one, or better.

    Raises
    ------
    InputError
        If it is not a grade.

    >>> accepted_grades("secondary")
    ('read', 'secondary')
    """
    if grade not in GRADES:
        raise InputError(f"grade: '{grade}' is not a grade; give {', '.join(GRADES)}")
    return GRADES[: GRADES.index(grade) + 1]
