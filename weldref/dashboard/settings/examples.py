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
"""What the buttons of the examples say, marked here to be translated."""


class Example(NamedTuple):
    """A situation and proposed values, as a person would type them into the form."""

    label: str
    story: str
    entries: dict[str, str]


def _read() -> tuple[Example, ...]:
    with Path(__file__).with_suffix(".csv").open(encoding="utf-8", newline="") as file:
        rows = {row.pop("label"): row for row in csv.DictReader(file)}
    found = []
    for label in LABELS:
        story = rows[label].pop("story")
        found.append(Example(label, story, {k: text for k, text in rows[label].items() if text}))
    return tuple(found)


EXAMPLES = _read()
"""The first is what a first visit shows."""
