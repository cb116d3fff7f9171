"""Read boxes to tick: which of several choices is marked."""

from __future__ import annotations

import re
from dataclasses import replace

from weldref.procedures.paper.page import Word

EMPTY, FILLED = "☐", "☒"
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
    """Leave of a text with boxes the choices that are marked; without any it stays as it is.

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
