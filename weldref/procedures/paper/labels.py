"""Find the label that a text was meant to be, where a letter or two were read wrongly."""

from __future__ import annotations

import difflib
import re
import unicodedata
from functools import cache

from weldref.procedures.declared import is_unit_key
from weldref.procedures.fields import all_fields
from weldref.procedures.grid import is_label
from weldref.procedures.tree import Leaf
from weldref.procedures.units import unit_of

NEAR = 0.84
"""Share of letters that two labels have to have in common."""
SHORTEST = 5


def is_known(text: str) -> bool:
    """Whether a text is a label that a form has, or a unit below one.

    >>> is_known("Travel speed (in/min)"), is_known("Trave1 speed")
    (True, False)
    """
    text = text.strip().rstrip(": ")
    return bool(text) and (is_label(text) or is_unit_key(text, Leaf("", "")))


def nearest_label(text: str) -> str:
    """Return the label that is nearest to a text; empty if none is near, or a number is in it.

    >>> nearest_label("Vorwdrmtemperatur min."), nearest_label("Footbridge class")
    ('vorwärmtemperatur min.', '')
    """
    words, unit = _parts(text)
    plain = _plain(words)
    if len(plain) < SHORTEST or any(letter.isdigit() for letter in plain):
        return ""
    tail = ""
    if match := re.search(r"\b(?:min|max|mín|máx)\b\.?$", words.strip(), re.IGNORECASE):
        tail, plain = f" {match[0]}", _plain(words.strip()[: match.start()])
    near = difflib.get_close_matches(plain, _spellings(), n=1, cutoff=NEAR)
    if not near:
        return ""
    return f"{_spellings()[near[0]]}{tail}{f' ({unit})' if unit else ''}"


def _parts(text: str) -> tuple[str, str]:
    """Separate a unit in brackets from the words before it."""
    match = re.fullmatch(r"(.*?)\s*[(\[{]([^()\[\]{}]*)[)\]}]?\s*:?", text.strip())
    if match and unit_of(match[2]):
        return match[1], match[2]
    return text.rstrip(": "), ""


def _plain(text: str) -> str:
    letters = unicodedata.normalize("NFD", text.casefold())
    return "".join(letter for letter in letters if letter.isalnum())


@cache
def _spellings() -> dict[str, str]:
    """Every label of some length without blanks and accents, and how it is written."""
    found: dict[str, str] = {}
    for each in all_fields():
        for spelling in (*each.spellings, each.title):
            plain = _plain(spelling)
            if len(plain) >= SHORTEST and is_known(spelling):
                found.setdefault(plain, spelling)
    return found
