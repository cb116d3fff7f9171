"""Recognise the code that a text names, and work out its limits."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable

from weldref.errors import InputError

CODES = ("ASME IX", "AWS D1.1", "ISO 15614-1", "ISO 15614-2", "NAVSEA 248")
"""Codes whose qualification rules the tables hold in part."""

NOT_HELD = ("AWS D1.5", "AWS D1.6", "AWS D1.2", "API 1104", "CSA W47.1", "CSA W59")
"""Codes that procedures are written to, without qualification rules in the tables.

The few rows for API 1104 and D1.5 are not enough for a comparison.
"""


def not_held_in(text: str) -> str | None:
    """Find a code in a text whose qualification rules are not in the tables.

    >>> not_held_in("AASHTO/AWS D1.5M/D1.5:2020"), not_held_in("CSA W59-18"), not_held_in("D1.1")
    ('AWS D1.5', 'CSA W59', None)
    """
    for name in NOT_HELD:
        plain = re.escape(name.removeprefix("AWS ").removeprefix("CSA "))
        if re.search(rf"(?<!\w){plain}(?:M\b|(?![\w.]))", text, re.IGNORECASE):
            return name
    return None


def edition_in(text: str) -> str:
    """The edition that a text names, a year with its amendment; empty if it names none.

    >>> edition_in("ASME IX 2021"), edition_in("ISO 15614-1:2017+A1:2019"), edition_in("D1.1")
    ('2021', '2017+A1:2019', '')
    """
    found = re.search(
        r"(?<![\d-])((?:19|20)\d\d)(?!\d)(?:\s*[+/,]?\s*(?:A|Amd\.?\s*)(\d)(?::?\s*(\d{4}))?)?",
        text.replace("15614-1", ""),
        re.IGNORECASE,
    )
    if not found:
        return ""
    amended = f"+A{found[2]}" + (f":{found[3]}" if found[3] else "") if found[2] else ""
    return found[1] + amended


SPELLINGS = {
    "ASME IX": ("asmeix", "asme9", "ix", "sectionix", "asmesectionix"),
    "AWS D1.1": ("awsd11", "d11", "awsd11d11m", "d11d11m"),
    "ISO 15614-1": ("iso156141", "156141", "iso15614", "15614"),
    "ISO 15614-2": ("iso156142", "156142"),
    "NAVSEA 248": ("navsea248", "248", "navsea"),
    "ISO 15609-1": ("iso156091", "156091", "iso15609", "15609", "eniso156091"),
}


def spelled_as(text: str, names: Iterable[str]) -> str | None:
    """Find which of these codes or standards a text spells, ignoring punctuation and case."""
    plain = "".join(c for c in text.casefold() if c.isalnum())
    return next((name for name in names if plain in SPELLINGS[name]), None)


def known_code(text: str) -> str:
    """Resolve the name of a code.

    Raises
    ------
    InputError
        If its rules are not in the tables.

    >>> known_code("asme9"), known_code("D1.1")
    ('ASME IX', 'AWS D1.1')
    """
    if (named := code_in(text) or spelled_as(text, CODES)) is not None:
        return named
    if (unheld := not_held_in(text)) is not None:
        raise InputError(
            f"code: the rules of qualification of {unheld} are not held; give {', '.join(CODES)}"
        )
    raise InputError(f"code: '{text}' is not known; give {', '.join(CODES)}")


def code_in(text: str) -> str | None:
    """Find the code that a document names; None if its rules are not in the tables.

    >>> code_in("ASME IX, 2021 form"), code_in("AASHTO/AWS D1.5"), code_in("ISO 15614-1:2017")
    ('ASME IX', None, 'ISO 15614-1')
    """
    for name in CODES:
        written = re.escape(name.removeprefix("AWS "))
        if re.search(rf"(?<!\w){written}(?![\w.])", text, re.IGNORECASE):
            return name
    return None


def level_in(text: str) -> str | None:
    """Find the level of ISO 15614-1 that a text names.

    >>> level_in("ISO 15614-1:2017 Level 1"), level_in("ISO 15614-1")
    ('1', None)
    """
    found = re.search(r"\blevel\s*([12])\b", text, re.IGNORECASE)
    return found[1] if found else None


def evaluate(
    expression: str, tested: float, written: Callable[[float], float] = lambda size: size
) -> float:
    """Evaluate a limit such as "2T", "0.5t", "T/2", "max(3, 2s)" or "unlimited" for a tested size.

    Parameters
    ----------
    expression, tested
        The limit, and the tested size in the unit that is wanted.
    written
        Converts a size in the expression to that unit.

    >>> evaluate("2T", 0.5), evaluate("max(3, 2s)", 1.0), evaluate("unlimited", 1.0)
    (1.0, 3.0, inf)
    >>> evaluate("min(T, 0.625)", 19.0, {0.625: 16.0}.__getitem__)
    16.0
    """
    text = expression.strip()
    if text == "unlimited":
        return math.inf
    if match := re.fullmatch(r"(max|min)\((.*),(.*)\)", text):
        ends = [evaluate(part, tested, written) for part in match.groups()[1:]]
        return max(ends) if match[1] == "max" else min(ends)
    if match := re.fullmatch(r"([A-Za-z])\s*/\s*(\d+\.?\d*)", text):
        return tested / float(match[2])
    match = re.fullmatch(r"(\d*\.?\d*)\s*([A-Za-z]?)", text)
    if not match or not (match[1] or match[2]):
        raise ValueError(expression)
    factor = float(match[1]) if match[1] else 1.0
    return factor * tested if match[2] else written(factor)
