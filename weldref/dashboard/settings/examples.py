"""Give invented examples, so that a first visit starts with something to look at.

A class builds handrails and a ramp for a footbridge: carbon-steel posts, stainless brackets and
an aluminium ramp. The values are ours, picked to show each kind of answer.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import NamedTuple

from weldref.handouts.words import later

LABELS = (later("Handrail post"), later("Wide bracket"), later("Small bracket"), later("Ramp"))
"""What the buttons of the examples say, in the order of their rows; translated from here."""
_ABOUT = ("label", "story")


class Example(NamedTuple):
    """A situation and proposed values, as a person would type them into the form."""

    label: str
    story: str
    entries: dict[str, str]


def _read() -> tuple[Example, ...]:
    with Path(__file__).with_suffix(".csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return tuple(
        Example(label, row["story"], {k: row[k] for k in row if row[k] and k not in _ABOUT})
        for label, row in zip(LABELS, rows, strict=True)
    )


EXAMPLES = _read()
"""The first is what a first visit shows."""
