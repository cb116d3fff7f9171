"""Word situations, statements, cautions, rules and shades, and number their sources."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cached_property

from weldref.advice.choices import Shade, Statement
from weldref.core.cautions import Caution
from weldref.core.setup import SetupFinding
from weldref.core.situation import Situation
from weldref.data.catalogue import document_names
from weldref.data.schemas.bases import COMMON_PRACTICE
from weldref.data.store import Store, described
from weldref.grades import SHORT, accepted_grades
from weldref.handouts.conversion import Converter, Shown, number, rounded, with_metric
from weldref.handouts.words import Words, later, sentence


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
"""Conditions whose letters are written out, by the table of their terms."""


def situation_spelled(store: Store, situation: Situation, words: Words) -> str:
    """Write process, metal, position and polarity out, where their letters do not say it."""
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


# How the engine says that it read an unlisted spelling; of two that fit, the first counts.
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


def statement_text(statement: Statement, notes: Notes) -> str:
    """Say one printed statement with its mark; anything but a plain reading is named."""
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
    return f"{text}\u00a0{notes.mark(statement.source_id, statement.locator)}"


def caution_text(caution: Caution, notes: Notes) -> str:
    """Word a caution with its source; what was recalled says so."""
    return _recalled(notes.words.term(caution.wording), caution, notes)


def remark_text(found: SetupFinding, notes: Notes, *, why: bool = False) -> str:
    """Say what a set-up rule says, with its mark; what was recalled says so."""
    text = rule_text(found, notes.words)
    if why and found.why:
        text += f" {notes.words.term(found.why).rstrip('.')}."
    return _recalled(text, found, notes)


def _recalled(text: str, one: Caution | SetupFinding, notes: Notes) -> str:
    recalled = f" ({notes.words.say(SHORT['memory'])})" if one.how_read == "memory" else ""
    return f"{text}{recalled}\u00a0{notes.mark(one.source_id, one.locator)}"


def rule_text(found: SetupFinding, words: Words) -> str:
    """Write what a set-up rule says, with its exception."""
    text = f"{sentence(words.say(found.strength))}: {words.term(found.what).rstrip('.')}."
    if found.exception:
        unless = words.say("Except")
        text += f" {unless}: {words.term(found.exception).rstrip('.')}."
    return text


def shades_said(shade: Shade, notes: Notes, grade: str) -> list[tuple[str, str, str, str]]:
    """List the shades at one current: what each is, its value, its grade, its marks.

    A value that was read is not said again as quoted by another document.
    """
    words, accepted = notes.words, accepted_grades(grade)
    marks: dict[tuple[str, str], dict[str, None]] = {}
    grades: dict[tuple[str, str], str] = {}
    kept = sorted(
        (one for one in shade.statements if one.how_read in accepted),
        key=lambda one: (one.what, one.value or 0.0, accepted.index(one.how_read)),
    )
    for one in kept:
        value = words.say("outside the table") if one.value is None else number(one.value)
        key = (words.say(one.what), value)
        if grades.setdefault(key, one.how_read) == one.how_read:
            marks.setdefault(key, {})[notes.mark(one.source_id, one.locator)] = None
    return [(*key, grades[key], "".join(found)) for key, found in marks.items()]
