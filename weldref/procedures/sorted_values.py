"""Hold what was found in a file, sorted by field but not yet built."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from weldref.procedures.printed import Entry, Slip, SlipKind, Text
from weldref.procedures.ranges import Piece


@dataclass(slots=True)
class Bag:
    """What was found for the fields of one group, by target."""

    texts: dict[str, list[Text]] = field(default_factory=lambda: defaultdict(list))
    pieces: dict[str, list[Piece]] = field(default_factory=lambda: defaultdict(list))
    place: str = ""
    of: str = ""


@dataclass(slots=True)
class Found:
    """Everything that a file held, sorted by field but not yet built."""

    top: Bag = field(default_factory=Bag)
    flat: dict[str, Bag] = field(default_factory=dict)
    groups: dict[str, list[Bag]] = field(default_factory=lambda: defaultdict(list))
    tests: list[Entry] = field(default_factory=list)
    blank: list[str] = field(default_factory=list)
    slips: list[Slip] = field(default_factory=list)
    covered: set[str] = field(default_factory=set)
    aside: dict[str, str] = field(default_factory=dict)
    """Places that were read but go to `other`, and what to say of each, if anything."""

    def slip(self, kind: SlipKind, value: str, suspected: str, place: str) -> None:
        """Note something that looks like a mistake of writing."""
        self.slips.append(Slip(kind, "", value, suspected, place))
