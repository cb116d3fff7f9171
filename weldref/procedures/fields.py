"""Hold the one table of field names for every layout of file.

The table is `fields.csv`: one line for each field of the model with the spellings that files
use for it, in words, and those of German and Spanish forms; `keys.py` splits a file's key into
words. A weak spelling ("id", "type", "size") counts only inside its own group, or at the top of
the file for the fields of the procedure itself. A field with a title is on the form that
`template.py` writes; `called` is what a reader calls it where its name is not plain.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

Kind = Literal["text", "texts", "split", "range", "ranges", "sizes", "group", "groups"]
"""text, texts and split (one text that holds a list); range, ranges and sizes; one group of
fields or several, where `GROUPS` names the area of the fields inside."""

Side = Literal["", "low", "high"]
"""Which limit a lone number is: a preheat is a minimum, an interpass temperature a maximum."""

Zero = Literal["never", "low", "may"]
"""Whether 0 can be meant: never, as the lower limit, or always."""

AT_THE_TOP = ("procedure", "metal", "filler", "gases", "joint", "technique", "heats")
"""The areas whose fields a file may write flat, at the level of the procedure."""

GROUPS = {
    "passes": "pass",
    "base_metals": "metal",
    "fillers": "filler",
    "gases": "gas",
    "heat_treatments": "heat",
    "preheat_by_thickness": "step",
    "joint": "joint",
    "technique": "technique",
    "qualified": "qualified",
}


@dataclass(frozen=True, slots=True)
class Field:
    """A field of the model: `area` is its group, `name` its attribute there."""

    area: str
    name: str
    kind: Kind
    dimension: str
    side: Side
    zero: Zero
    title: str
    called: str
    spellings: tuple[str, ...]
    weak_spellings: tuple[str, ...]

    @property
    def target(self) -> str:
        """Area and name, which together are unique."""
        return f"{self.area}.{self.name}"

    @property
    def numeric(self) -> bool:
        """Whether it holds quantities."""
        return self.kind in ("range", "ranges", "sizes")


@cache
def all_fields() -> tuple[Field, ...]:
    """Read the table of fields."""
    with (Path(__file__).parent / "fields.csv").open(encoding="utf-8", newline="") as file:
        return tuple(_field(row) for row in csv.DictReader(file))


def _field(row: dict[str, Any]) -> Field:
    row["spellings"] = _list(";".join((row["spellings"], row.pop("de"), row.pop("es"))))
    row["weak_spellings"] = _list(row["weak_spellings"])
    return Field(**row)


@cache
def fields_of(area: str) -> tuple[Field, ...]:
    """Return the fields of one area."""
    return tuple(each for each in all_fields() if each.area == area)


def _list(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(";") if part.strip())


@cache
def field(target: str) -> Field:
    """Return a field by its area and name.

    >>> field("pass.travel_speed").dimension
    'speed'
    """
    return next(each for each in all_fields() if each.target == target)


@cache
def _called(*, parts: bool) -> dict[str, str]:
    """Return what a reader calls the parts of lists, or single fields."""
    return {
        each.name: each.called
        for each in all_fields()
        if each.called and (each.kind == "groups") is parts
    }


def in_words(place: str) -> str:
    """Write a field of the model as a reader calls it.

    >>> [in_words(one) for one in ("passes[root].current", "base_metals[1]", "preheat_min[0]")]
    ['pass root, current', 'base metal 2', 'least preheat']
    """
    parts, single = _called(parts=True), _called(parts=False)
    head, _, rest = place.partition(".")
    name, _, turn = head.partition("[")
    turn = turn.removesuffix("]")
    steps = re.findall(r"([a-z_]+)(?:\[\d+\])?", rest)
    words = [single.get(step, step.replace("_", " ")) for step in (name, *steps)]
    if name == "passes":
        words[0] = f"{parts[name]} {turn}"
    elif name in parts:
        words[0] = f"{parts[name]} {int(turn) + 1}" if turn.isdigit() else parts[name]
    return ", ".join(words)
