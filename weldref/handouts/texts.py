"""Word situations, statements, cautions, rules and shades, and number their sources."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple, Protocol

from weldref.advice.choices import Statement
from weldref.core.cautions import Caution
from weldref.core.index import sold_as
from weldref.core.setup import SetupFinding
from weldref.core.situation import Situation, electrode_size
from weldref.core.verdict import Row
from weldref.data.catalogue import document_names
from weldref.data.schemas.bases import COMMON_PRACTICE
from weldref.data.store import Store, described
from weldref.grades import SHORT
from weldref.handouts.blocks import Block, Heading, Items
from weldref.handouts.conversion import Converter, Shown, number, rounded, with_metric
from weldref.handouts.selection import quantity_names
from weldref.handouts.words import Words, later, sentence
from weldref.text import unit_sign


def situation_title(situation: Situation, words: Words) -> str:
    """Name a situation in one line."""
    parts = []
    for name, value in situation.given().items():
        text = words.term(value)
        if name == "thickness":
            if gauge := re.fullmatch(r"(\d+) gauge", value):
                text = words.say("{number} gauge", number=gauge[1])
                if words.language != "en" and situation.thickness:
                    text += f" ({rounded(situation.thickness.si * 1000, 'mm')} mm)"
            text = words.say("{thickness} thick", thickness=with_metric(text, words))
        elif name == "electrode_size":
            sold = () if text.endswith(" mm") else situation.sizes
            text = words.say("diameter {size}", size=with_metric(text, words, sold))
        parts.append(text)
    return ", ".join(parts) or words.say("Any situation")


SPELLED = {
    "processes": "process",
    "materials": "material",
    "positions": "position",
    "polarities": "polarity",
}
"""Conditions that are written out in full, by the table of their terms."""


def situation_spelled(store: Store, situation: Situation, words: Words) -> str:
    """Write process, metal, position and polarity in full where the term is short."""
    said = []
    for tree, condition in SPELLED.items():
        if term := situation.terms.get(condition):
            (row,) = store.rows(
                f"SELECT name FROM {tree} WHERE term = $term",  # noqa: S608  a table of ours
                {"term": term.name},
            )
            if (name := words.term(row["name"])) != words.term(term.name):
                said.append(name)
    return words.listed(said)


# How the engine reports that it read an unlisted spelling; the first that fits counts.
_SAID = (
    later("{typed} read as {name}; suffix {left} ignored"),
    later("{typed} is not listed; read as a kind of {name}"),
    later("no table has the electrode size {size}"),
    later("{number} gauge read as US standard gauge, {inches} in (15 U.S.C. 206)"),
    later(
        "{number} gauge read as US standard gauge, {inches} in (15 U.S.C. 206); a gauge "
        "depends on the metal: this is for iron and steel"
    ),
    later(
        "{number} gauge read as US standard gauge, {inches} in (15 U.S.C. 206); this is "
        "for iron and steel, not {name}: give inches or millimetres"
    ),
    later("{name} is not a filler metal for {process}"),
    later("'{typed}' names {name} transfer: give the transfer mode too"),
    later("{typed} read as {name}; '{left}' ignored"),
    later("{typed} read as its wire {name}"),
)
_NOTES = tuple(
    (re.compile(re.sub(r"\\{(\w+)\\}", r"(?P<\1>.+)", re.escape(message))), message)
    for message in _SAID
)


def note_text(note: str, words: Words) -> str:
    """Say in the reader's language how an unlisted spelling was read."""
    for pattern, message in _NOTES:
        if match := pattern.fullmatch(note):
            values = match.groupdict()
            if "name" in values:
                values["name"] = words.term(values["name"])
            note = words.say(message, **values)
            break
    return words.say("note: {note}", note=note)


def cited(words: Words, source_id: str, text: str) -> str:
    """Write a document's name or a place in it; only our own are translated."""
    return words.term(text) if source_id == COMMON_PRACTICE else text


PRINTED = later("dataset {version}, {digest}; printed {date}")


def dataset_line(store: Store, words: Words, date: str, message: str = PRINTED) -> str:
    """Say from which tables a sheet was made, and when."""
    (row,) = store.rows("SELECT version, digest FROM dataset")
    text = words.say(message, version=row["version"], digest=row["digest"][:12], date=date)
    if used := described(store):
        own = words.say(
            "own tables {name}, {digest}", name=used["name"], digest=used["digest"][:12]
        )
        text = f"{text}; {own}"
    return text


class Placed(Protocol):
    """Anything with a place in a source: a row, a statement, a caution, a rule."""

    @property
    def source_id(self) -> str:
        """The document."""

    @property
    def locator(self) -> str | None:
        """The place in it."""


class Place(NamedTuple):
    """A place in a source, where nothing else holds one."""

    source_id: str
    locator: str | None


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

    def quantity(self, name: str) -> str:
        """Name a quantity in the reader's language."""
        return self.words.term(quantity_names(self.store)[name])

    def size(self, label: str) -> str:
        """Write the size of an electrode; of inches also the millimetres that it is sold as."""
        sold = electrode_size(self.store, label, "us")[1] if label in sold_as(self.store) else ()
        return with_metric(label, self.words, sold)

    def condition(self, name: str, value: str) -> str:
        """Write the value of a condition so that it is clear without the name."""
        if name == "electrode_size":
            return self.words.say("diameter {size}", size=self.size(value))
        term = self.words.term(value)
        return self.words.say("{name} pass", name=term) if name == "pass" else term

    def sources(self, level: int) -> list[Block]:
        """List the sources below a heading."""
        return [Heading(self.words.say("Sources"), level), Items(self.texts(), 1, "small")]

    def mark(self, one: Placed) -> str:
        """Return the mark of a place, such as [1], giving it the next number when it is new."""
        key = (one.source_id, one.locator)
        return f"[{self.numbers.setdefault(key, len(self.numbers) + 1)}]"

    def marked(self, text: str, one: Placed) -> str:
        """Write a text and behind it the mark of its place."""
        return f"{text}\u00a0{self.mark(one)}"

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


def statement_text(statement: Statement, notes: Notes) -> str:
    """Write a statement with its mark, and how it was read unless it was read in print."""
    words = notes.words
    text = words.term(statement.value)
    if statement.advice:
        text += f": {words.term(statement.advice)}"
    if statement.only_for:
        text += f" ({words.listed(words.term(part) for part in statement.only_for)})"
    if statement.how_read != "read":
        text += f", {words.say(SHORT[statement.how_read])}"
    if statement.status:
        text += f", {words.say(statement.status)}"
    return notes.marked(text, statement)


def range_text(low: str, high: str, typical: str, unit: str, words: Words) -> str:
    """Write a range or a setting with its unit; an end that is not printed is empty."""
    values = {"low": low, "high": high, "unit": unit}
    if not (low or high):
        return f"{typical} {unit}"
    if not low:
        return words.say("at most {high} {unit}", **values)
    if not high:
        return words.say("at least {low} {unit}", **values)
    if low == high:
        return f"{low} {unit}"
    text = words.say("{low} to {high} {unit}", **values)
    if typical:
        text += words.say(", typical {typical}", typical=typical)
    return text


def row_text(row: Row, words: Words) -> str:
    """Write the range or the setting of a row as printed."""
    low, high, typical = map(number, (row.min, row.max, row.typical))
    return range_text(low, high, typical, unit_sign(row.unit), words)


def caution_text(caution: Caution, notes: Notes) -> str:
    """Write a caution with its mark; if recalled, say so."""
    return _recalled(notes.words.term(caution.wording), caution, notes)


def remark_text(found: SetupFinding, notes: Notes, *, why: bool = False) -> str:
    """Write a set-up rule with its mark; if recalled, say so."""
    text = rule_text(found, notes.words)
    if why and found.why:
        text += f" {notes.words.term(found.why).rstrip('.')}."
    return _recalled(text, found, notes)


def _recalled(text: str, one: Caution | SetupFinding, notes: Notes) -> str:
    recalled = f" ({notes.words.say(SHORT['memory'])})" if one.how_read == "memory" else ""
    return notes.marked(f"{text}{recalled}", one)


def rule_text(found: SetupFinding, words: Words) -> str:
    """Write what a set-up rule says, with its exception."""
    text = f"{sentence(words.say(found.strength))}: {words.term(found.what).rstrip('.')}."
    if found.exception:
        unless = words.say("Except")
        text += f" {unless}: {words.term(found.exception).rstrip('.')}."
    return text
