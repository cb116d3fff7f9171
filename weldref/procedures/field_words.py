"""Call a field of the model as a reader calls it: "pass root, current"."""

from __future__ import annotations

import re

_STEP = re.compile(r"(?P<name>[a-z_]+)(?:\[(?P<turn>\d+)\])?")
_LISTS = {
    "passes": "pass",
    "base_metals": "base metal",
    "fillers": "filler metal",
    "gases": "gas",
    "heat_treatments": "heat treatment",
    "preheat_by_thickness": "line of the preheat table",
    "tests": "test",
}
"""Lists of parts, and what one of them is called."""

_CALLED = {
    "preheat_min": "least preheat",
    "interpass_max": "greatest interpass temperature",
    "interpass_min": "least interpass temperature",
    "positions": "position",
    "processes": "process",
    "polarities": "polarity",
    "progressions": "progression",
    "transfer_modes": "transfer mode",
    "standards": "standard",
    "modes": "manual or mechanised",
    "sizes": "size",
    "number": "number of the procedure",
    "filler_class": "filler metal class",
    "how_read": "how the file was read",
}
"""Fields of which the name is no word for a reader."""


def in_words(field: str) -> str:
    """Write a field as a reader calls it.

    >>> [in_words(one) for one in ("passes[root].current", "base_metals[1]", "preheat_min[0]")]
    ['pass root, current', 'base metal 2', 'least preheat']
    """
    head, _, rest = field.partition(".")
    name, _, turn = head.partition("[")
    turn = turn.removesuffix("]")
    if name == "passes":
        first = f"pass {turn}"
    elif name in _LISTS:
        first = f"{_LISTS[name]} {int(turn) + 1}" if turn.isdigit() else _LISTS[name]
    else:
        first = _word(name)
    more = [_word(match["name"]) for match in _STEP.finditer(rest)]
    return ", ".join([first, *more])


def _word(name: str) -> str:
    return _CALLED.get(name, name.replace("_", " "))
