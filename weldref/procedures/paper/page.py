"""Define what is seen on a page: words and ruled cells with their places."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

Box = tuple[float, float, float, float]
"""Left, top, right and bottom in points (1/72 in) from the upper left corner of the page."""

_PLACE = re.compile(r"page (\d+) at (-?\d+),(-?\d+),(-?\d+),(-?\d+)")


@dataclass(frozen=True, slots=True)
class Word:
    """A word as read; `doubt` says in one clause why the reading may be wrong."""

    text: str
    box: Box
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """A page: its size in points, its words, its ruled cells, and its picture (PNG or JPEG)."""

    number: int
    width: float
    height: float
    words: tuple[Word, ...]
    cells: tuple[Box, ...]
    picture: bytes


def box_of(numbers: Any) -> Box:
    """Make a box of four numbers."""
    left, top, right, bottom = (float(number) for number in numbers)
    return left, top, right, bottom


def place_of(page: int, box: Box) -> str:
    """Name a place on a page.

    >>> place_of(2, (72.2, 100, 210, 118.4))
    'page 2 at 72,100,210,118'
    """
    return f"page {page} at {','.join(f'{edge:.0f}' for edge in box)}"


def box_at(place: str) -> tuple[int, Box] | None:
    """Read the page and the box of a place back.

    >>> box_at("page 2 at 72,100,210,118"), box_at("Passes!K2")
    ((2, (72.0, 100.0, 210.0, 118.0)), None)
    """
    match = _PLACE.fullmatch(place)
    return (int(match[1]), box_of(match.groups()[1:])) if match else None


def around(boxes: list[Box]) -> Box:
    """Return the smallest box around others.

    >>> around([(1, 1, 2, 2), (0, 1, 1, 5)])
    (0, 1, 2, 5)
    """
    left, top, right, bottom = zip(*boxes, strict=True)
    return min(left), min(top), max(right), max(bottom)


def holds(cell: Box, box: Box) -> bool:
    """Whether the middle of a box lies in a cell."""
    across, down = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return cell[0] <= across <= cell[2] and cell[1] <= down <= cell[3]


def joined(words: list[Word]) -> Word:
    """Join words to one text, with the first doubt among them."""
    doubts = dict.fromkeys(word.doubt for word in words if word.doubt)
    return replace(
        words[0],
        text=" ".join(word.text for word in words),
        box=around([word.box for word in words]),
        doubt="; ".join(doubts),
    )
