"""Keep charts that are typed but not saved, as drafts beside the own tables."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from weldref.cells import harmless
from weldref.errors import InputError
from weldref.exchange.shop_chart.hand_over import as_json, from_json
from weldref.exchange.shop_chart.model import Chart
from weldref.files import write_whole

FOLDER = "drafts"
MOST = 50
"""Drafts kept in one folder at most."""


class Draft(NamedTuple):
    """A draft: its key, its chart and when it was last changed, in seconds since 1970."""

    key: str
    chart: Chart
    changed: float


def new_key() -> str:
    """Return a key for a new draft that no other draft has.

    >>> len(new_key())
    12
    """
    return os.urandom(6).hex()


def keep(folder: Path, key: str, chart: Chart) -> None:
    """Write a draft, whatever is wrong with its cells.

    Raises
    ------
    InputError
        If it cannot be written or read again, there are too many, or it is larger than a chart
        may be.
    """
    place = _place(folder, key)
    content = as_json(chart).encode()
    try:
        from_json(content)
    except InputError as error:
        said = str(error).removeprefix("chart: ")
        raise InputError(f"draft: what you type is not kept any more: {said}") from None
    try:
        place.parent.mkdir(exist_ok=True)
        others = sum(1 for _ in place.parent.glob("*.json")) if not place.exists() else 0
    except OSError as error:
        raise InputError(f"draft: '{place.parent}' cannot be written: {error.strerror}") from error
    if others >= MOST:
        raise InputError(f"draft: {MOST} drafts exist already; discard one")
    write_whole(place, content, "draft")


def drafts(folder: Path) -> tuple[Draft, ...]:
    """Read the drafts of a folder, the last changed first; one that is damaged is skipped."""
    found = []
    for path in (folder / FOLDER).glob("*.json"):
        with suppress(OSError, InputError):
            changed = path.stat().st_mtime
            found.append(Draft(path.stem, from_json(path.read_bytes()), changed))
    return tuple(sorted(found, key=lambda one: -one.changed))


def discard(folder: Path, key: str) -> None:
    """Remove a draft, if it is there."""
    with suppress(OSError):
        _place(folder, key).unlink(missing_ok=True)


def typed(text: object, longest: int) -> str:
    r"""Reduce what was typed or pasted to one line of plain text that a draft can hold.

    >>> typed(" 110 -\n150 ", 60), typed("=1+1", 60), typed(None, 60)
    ('110 - 150', '1+1', '')
    """
    words = "" if text is None else str(text)
    plain = "".join(one if one.isprintable() else " " for one in words)
    plain = " ".join(plain.split())[:longest].strip()
    while harmless(plain) != plain:
        plain = plain[1:].lstrip()
    return plain


def _place(folder: Path, key: str) -> Path:
    if not re.fullmatch(r"[0-9a-f]{12}", key):
        raise InputError(f"draft: '{key[:20]}' is not a draft")
    return folder / FOLDER / f"{key}.json"
