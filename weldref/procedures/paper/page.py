"""Define what is on a page: words, boxes to tick, ruled cells, and its picture."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
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
class Sheet:
    """A sheet of paper: its size in points and its picture (PNG or JPEG)."""

    width: float
    height: float
    picture: bytes


@dataclass(frozen=True, slots=True)
class Page:
    """What is seen on a sheet: its words and its ruled cells."""

    number: int
    sheet: Sheet
    words: tuple[Word, ...]
    cells: tuple[Box, ...]


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
    """Join words to one text, with their doubts."""
    doubts = dict.fromkeys(word.doubt for word in words if word.doubt)
    return replace(
        words[0],
        text=" ".join(word.text for word in words),
        box=around([word.box for word in words]),
        doubt="; ".join(doubts),
    )


MARKS = EMPTY, FILLED = "☐", "☒"
SIGNS = {
    "☐": EMPTY, "□": EMPTY, "❑": EMPTY, "❏": EMPTY, "◻": EMPTY, "○": EMPTY, "[]": EMPTY,
    "☒": FILLED, "☑": FILLED, "■": FILLED, "◼": FILLED, "●": FILLED, "✗": FILLED, "✘": FILLED,
    "✓": FILLED, "✔": FILLED, "[x]": FILLED, "[X]": FILLED, "(x)": FILLED, "(X)": FILLED,
}  # fmt: skip
"""What boxes look like as characters."""

_MARK = re.compile(f"[{EMPTY}{FILLED}]")


def plain_marks(text: str) -> str:
    """Write every sign of a box in one of two ways.

    >>> plain_marks("[x] Manual [ ] Machine")
    '☒ Manual ☐ Machine'
    """
    text = re.sub(r"\[\s*([xX]?)\s*\]", lambda box: FILLED if box[1] else EMPTY, text)
    return "".join(SIGNS.get(letter, letter) for letter in text)


def ticked(word: Word) -> Word:
    """Keep the marked choices of a text with boxes; a text without boxes stays as it is.

    >>> ticked(Word("Backing: ☐ yes ☒ no", (0, 0, 9, 9))).text
    'Backing: no'
    >>> ticked(Word("Yes ☒ No ☐", (0, 0, 9, 9))).text
    'Yes'
    >>> ticked(Word("☐ Manual ☐ Machine", (0, 0, 9, 9)))
    Word(text='', box=(0, 0, 9, 9), doubt='no box is marked')
    """
    text = plain_marks(word.text)
    marks = _MARK.findall(text)
    if not marks:
        return word
    before, *parts = _MARK.split(text)
    label, colon, first = before.rpartition(":")
    if first.strip() and not parts[-1].strip():  # the box follows its choice
        choices = [first, *parts[:-1]]
        label = f"{label}{colon}"
    else:
        choices, label = parts, before
    chosen = [
        choice.strip(" ,;/") for choice, mark in zip(choices, marks, strict=True) if mark == FILLED
    ]
    doubt = word.doubt or ("" if chosen else "no box is marked")
    kept = "; ".join(choice for choice in chosen if choice)
    return replace(word, text=f"{label.strip()} {kept}".strip(), doubt=doubt)


MARGIN = 3.0
"""Points of paper around a value."""
MOST_PIXELS = 30_000_000


def cutter(sheets: Sequence[Sheet]) -> Callable[[int, Box], bytes]:
    """Return a function that cuts a box out of a page, as PNG; nothing without a picture."""
    from PIL import Image

    @cache
    def opened(page: int) -> Image.Image | None:
        try:
            image = Image.open(io.BytesIO(sheets[page - 1].picture), formats=("PNG", "JPEG"))
            if image.width * image.height > MOST_PIXELS:
                return None
            return image.convert("L")
        except (OSError, IndexError):
            return None

    def cut(page: int, box: Box) -> bytes:
        image = opened(page)
        if image is None:
            return b""
        scale = image.width / sheets[page - 1].width
        left, top, right, bottom = box
        part = image.crop(
            (
                max(0, int((left - MARGIN) * scale)),
                max(0, int((top - MARGIN) * scale)),
                min(image.width, int((right + MARGIN) * scale) + 1),
                min(image.height, int((bottom + MARGIN) * scale) + 1),
            )
        )
        packed = io.BytesIO()
        part.quantize(16).save(packed, "PNG")
        return packed.getvalue()

    return cut
