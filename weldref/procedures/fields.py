"""Hold the one table of field names for every layout of file.

The table is `fields.csv`: one line for each field of the model with the spellings that files
use for it, in words; `keys.py` brings a file's key to words. A weak spelling ("id", "type",
"size") says something only inside its own group, or at the top of the file for the fields of
the procedure itself. `labels.csv` adds what German and Spanish forms call them.
A title makes the field one of the form that `template.py` writes.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, cast

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
    labels = _labels()
    with (Path(__file__).parent / "fields.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            Field(
                row["area"],
                row["name"],
                cast(Kind, row["kind"]),
                row["dimension"],
                cast(Side, row["side"]),
                cast(Zero, row["zero"]),
                row["title"],
                (*_list(row["spellings"]), *labels.get((row["area"], row["name"]), ())),
                _list(row["weak_spellings"]),
            )
            for row in csv.DictReader(file)
        )


@cache
def _labels() -> dict[tuple[str, str], tuple[str, ...]]:
    """Read what German and Spanish forms call the fields."""
    with (Path(__file__).parent / "labels.csv").open(encoding="utf-8", newline="") as file:
        return {
            (row["area"], row["name"]): (*_list(row["de"]), *_list(row["es"]))
            for row in csv.DictReader(file)
        }


def field(target: str) -> Field:
    """Return a field by its area and name.

    >>> field("pass.travel_speed").dimension
    'speed'
    """
    return _by_target()[target]


@cache
def _by_target() -> dict[str, Field]:
    return {each.target: each for each in all_fields()}


def _list(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(";") if part.strip())
