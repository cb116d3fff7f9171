"""Give invented examples, so that a first visit starts with something to look at.

A class builds handrails and a ramp for a footbridge: carbon-steel posts, stainless brackets and
an aluminium ramp. The values are ours, picked to show each kind of answer.
"""

from __future__ import annotations

from dataclasses import dataclass

from weldref.handouts.words import later


@dataclass(frozen=True, slots=True)
class Example:
    """A situation and proposed values, as a person would type them into the form."""

    label: str
    story: str
    entries: dict[str, str]


EXAMPLES = (
    Example(
        later("Handrail post"),
        "Invented: a class builds a footbridge; a post of 1/4 in carbon steel.",
        {
            "process": "SMAW",
            "material": "carbon steel",
            "thickness": "1/4 in",
            "electrode": "E7018",
            "diameter": "1/8 in",
            "current": "130 A",
        },
    ),
    Example(
        later("Wide bracket"),
        "Invented: a class builds a footbridge; a bracket of 3/16 in stainless steel.",
        {
            "process": "GMAW",
            "material": "304",
            "thickness": "3/16 in",
            "current": "170 A",
        },
    ),
    Example(
        later("Small bracket"),
        "Invented: a class builds a footbridge; a bracket of 1/8 in stainless steel.",
        {
            "process": "GTAW",
            "material": "304",
            "thickness": "1/8 in",
            "diameter": "3/32 in",
            "polarity": "DCEN",
            "gas": "argon",
            "current": "110 A",
        },
    ),
    Example(
        later("Ramp"),
        "Invented: a class builds a footbridge; the ramp's deck of 1/4 in aluminium.",
        {
            "process": "GMAW",
            "transfer_mode": "spray",
            "material": "aluminium",
            "thickness": "1/4 in",
            "diameter": "3/64 in",
            "gas": "argon",
            "current": "180 A",
            "voltage": "24 V",
        },
    ),
)
"""The first is what a first visit shows."""
