"""Write a handout as a flat table for a spreadsheet, one line for each printed row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from weldref.core.situation import Situation
from weldref.data.store import Store, described
from weldref.handouts.conversion import Converter, number, sign
from weldref.handouts.facts import GRADES
from weldref.handouts.selection import Selection, quantity_names
from weldref.handouts.settings import Setting, Settings, conditions_text
from weldref.handouts.sources import cited
from weldref.handouts.tables import converted_text
from weldref.handouts.words import later

HANDOUT_HEADER = (
    "situation", "quantity", "min", "max", "typical", "unit", "converted", "holds for",
    "how read", "sources differ", "statement", "source", "place", "source id", "row id",
    "dataset", "digest",
)  # fmt: skip
"""The header stays English, so that a program may read it; the cells follow the language."""


def handout_records(
    store: Store, selection: Selection, pages: Sequence[tuple[Situation, Settings]]
) -> Iterator[tuple[Any, ...]]:
    """Write a line for each row shown, and one for each quantity without a published row."""
    words, converter = selection.words, Converter(store)
    (dataset,) = store.rows("SELECT version, digest FROM dataset")
    names, used = quantity_names(store), described(store)
    tail = (dataset["version"], dataset["digest"])

    def line(situation: str, setting: Setting, statement: str) -> tuple[Any, ...]:
        row = setting.row
        own = words.say("own, not published: {name}", name=used["name"]) if used else ""
        return (
            situation,
            words.term(names[row.quantity]),
            number(row.min),
            number(row.max),
            number(row.typical),
            sign(row.unit),
            converted_text(setting, converter, selection.shown, words),
            conditions_text(setting, words),
            words.say(GRADES[row.how_read]),
            words.say("yes") if setting.differs else "",
            words.say(statement),
            cited(words, row.source_id, row.source),
            cited(words, row.source_id, row.locator or ""),
            row.source_id,
            row.window_id,
            *tail,
            *((own if row.own else "",) if used else ()),
        )

    published = later("own") if store.instead else later("published")
    for situation, settings in pages:
        title = words.listed(words.term(value) for value in situation.given().values())
        for group in settings.groups:
            if not group.rows:
                nothing = words.say("no published range")
                last = (*tail, "") if used else tail
                yield (title, words.term(group.name), *[""] * 8, nothing, *[""] * 4, *last)
            kinds = (
                (published, group.printed),
                (later("only under a condition that was not stated"), group.conditional),
                (later("general, no setting"), group.general),
                (published if store.instead else later("from memory"), group.recalled),
            )
            for statement, rows in kinds:
                yield from (line(title, setting, statement) for setting in rows)
        yield from (line(title, setting, later("also seen")) for setting in settings.also_seen)
        yield from (line(title, setting, later("own")) for setting in settings.own)
