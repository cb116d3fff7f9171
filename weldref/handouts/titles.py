"""Word the title of a situation on paper."""

from __future__ import annotations

import re

from weldref.core.situation import Situation
from weldref.data.store import Store
from weldref.handouts.conversion import rounded, with_metric
from weldref.handouts.words import Words, later


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
