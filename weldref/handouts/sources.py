"""Number the sources of a sheet in the order in which they appear."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from weldref.data.catalogue import document_names
from weldref.data.schemas.bases import COMMON_PRACTICE
from weldref.data.store import Store, described
from weldref.handouts.conversion import Converter, Shown
from weldref.handouts.words import Words, later


def cited(words: Words, source_id: str, text: str) -> str:
    """Write a document's name or a place in it: in its own words, ours alone are translated."""
    return words.term(text) if source_id == COMMON_PRACTICE else text


PRINTED = later("dataset {version}, {digest}; printed {date}")


def dataset_line(store: Store, words: Words, date: str, message: str = PRINTED) -> str:
    """Say by which tables a sheet was made, and when."""
    (row,) = store.rows("SELECT version, digest FROM dataset")
    text = words.say(message, version=row["version"], digest=row["digest"][:12], date=date)
    if used := described(store):
        own = words.say(
            "own tables {name}, {digest}", name=used["name"], digest=used["digest"][:12]
        )
        text = f"{text}; {own}"
    return text


@dataclass
class Notes:
    """What the texts of a sheet share: its tables, words and units, and its numbered sources."""

    store: Store
    words: Words
    shown: Shown = "both"
    numbers: dict[tuple[str, str | None], int] = field(default_factory=dict)

    @cached_property
    def converter(self) -> Converter:
        """What converts printed numbers."""
        return Converter(self.store)

    @cached_property
    def _names(self) -> dict[str, str]:
        return document_names(self.store)

    def mark(self, source_id: str, locator: str | None) -> str:
        """Return the mark of a place, such as [1], giving it the next number when it is new."""
        return f"[{self.numbers.setdefault((source_id, locator), len(self.numbers) + 1)}]"

    def texts(self) -> tuple[str, ...]:
        """Write the notes: document with edition, then the place in it."""
        return tuple(self._note(*key) for key in self.numbers)

    def _note(self, source_id: str, locator: str | None) -> str:
        document = cited(self.words, source_id, self._names.get(source_id, source_id)).rstrip(".")
        place = self.words.say("place not noted")
        if locator:
            place = cited(self.words, source_id, locator)
        if place in document:
            return f"{document}."
        return self.words.say("{document}: {place}.", document=document, place=place)
