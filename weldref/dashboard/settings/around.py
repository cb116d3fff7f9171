"""Show what follows from the values and what else must be chosen, each line with its source."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import streamlit as st

from weldref.advice import choices, handbook
from weldref.advice.choices import Statement
from weldref.calculate import derived as follows
from weldref.calculate.derived import Follows
from weldref.core.wording import as_said
from weldref.dashboard import fragments
from weldref.dashboard.markup import Markup, aside, bullets, facts, joined, note, tag, title
from weldref.dashboard.settings.entries import Asked, Entries, applying
from weldref.data.catalogue import document_names
from weldref.grades import FULL

MOST_OPEN = 3
NOTHING = tag("li", "nothing published here", look="none")


def draw_follows(entries: Entries) -> None:
    """Draw heat input and deposition as they follow from the values."""
    if not entries.asked.arc_weld:
        return
    situation, read = entries.asked.situation, entries.read
    body: list[object] = []
    for part in (follows.heat(situation, read), follows.deposit(entries.store, situation, read)):
        if part.values:
            body.append(bullets((_line(one, entries) for one in part.values), "facts"))
        body += map(note, part.missing)
    st.html(tag("section", title("What follows from your values"), *body, look="around"))


def draw_choices(entries: Entries) -> None:
    """Draw what the tables say of polarity, gas, filler metal, tungsten, cup and lens shade."""
    current = entries.read.get("current")
    said = {
        **_choices(entries.asked),
        "Lens shade": _shades(entries.asked, current.si if current else None),
    }
    listed = facts(((name, _list(lines)) for name, lines in said.items()), "choices")
    st.html(tag("section", title("What else to choose"), listed, look="around"))


def _line(one: Follows, entries: Entries) -> Markup:
    value = one.us if entries.units == "us" else one.metric
    names = document_names(entries.store)
    place = [("Formula", one.equation), ("Weakest evidence", FULL[one.grade])]
    place += [
        ("Source", ", ".join(filter(None, (names.get(s.source_id, s.source_id), s.locator,
                                           FULL[s.how_read], s.note))))
        for s in one.sources
    ]  # fmt: skip
    grade = "" if one.grade == "read" else f", {FULL[one.grade]}"
    notes = [" ", tag("span", f"{'; '.join(one.notes)}.", look="remark")] if one.notes else []
    why = fragments.why(value, place)
    return joined([f"{one.name}: ", tag("b", value), f"{grade}.", *notes, " ", why])


@lru_cache(maxsize=256)
def _choices(asked: Asked) -> dict[str, list[Markup]]:
    if not asked.arc_weld:
        return {}
    store, situation, matches = asked.store, asked.situation, applying(asked)
    names = document_names(store)
    said = {"Polarity": _said(choices.polarities(store, situation), names)}
    if choices.takes_gas(situation):
        said["Shielding gas"] = _said(choices.gases(store, situation), names)
    said["Electrode, wire or rod"] = _said(choices.fillers(store, situation), names)
    if choices.takes_tungsten(situation):
        said["Tungsten"] = _said(choices.named_by_rows(matches, "tungsten_class"), names)
        cups = [*choices.named_by_rows(matches, "cup"), *choices.cup_diameters(matches)]
        said["Cup"] = _said(cups, names)
    said["Preheat"] = []
    if best := choices.best_grade(matches, "preheat"):
        doubt = ", from memory alone, not seen in print" if best == "memory" else ""
        said["Preheat"].append(tag("li", f"See the bars of preheat{doubt}."))
    return said


def _list(lines: Sequence[Markup]) -> Markup:
    shown = tag("ul", *lines[:MOST_OPEN] or [NOTHING])
    if rest := lines[MOST_OPEN:]:
        shown += aside(f"{len(rest)} more", tag("ul", *rest))
    return shown


def _said(statements: Sequence[Statement], names: dict[str, str]) -> list[Markup]:
    lines = []
    for s in statements:
        text = f": {s.advice}" if s.advice else ""
        if s.only_for:
            text += f" ({', '.join(map(as_said, s.only_for))})"
        lines.append(_sourced([tag("b", s.value), text], s.value, s, names, s.status or ""))
    return list(dict.fromkeys(lines))


def _sourced(
    parts: Sequence[object],
    of: str,
    said: Statement | handbook.Statement,
    names: dict[str, str],
    status: str = "",
) -> Markup:
    grade = FULL[said.how_read]
    place = [
        ("Source", names.get(said.source_id, said.source_id)),
        ("Place", said.locator or "not noted"),
        ("How it was read", grade),
        ("In doubt", status),
    ]
    doubts = [doubt for doubt in ("" if said.how_read == "read" else grade, status) if doubt]
    doubt = f", {'; '.join(doubts)}" if doubts else ""
    return tag("li", *parts, f"{doubt}. ", fragments.why(of, place))


@lru_cache(maxsize=256)
def _shades(asked: Asked, current: float | None) -> list[Markup]:
    """List the shades at the set current, or at the ends of what is published."""
    at = choices.shade_currents(applying(asked), current)
    recalled = f"a current {FULL['memory']}" if at.from_memory else ""
    names = document_names(asked.store)
    lines = []
    for shade in choices.shades(asked.store, asked.situation, at.amperes):
        where = "" if shade.at is None else f" at {shade.at:g} A"
        for s in shade.statements:
            value = "outside the table" if s.value is None else f"{s.value:g}"
            notes = [note for note in (recalled, s.note) if note not in ("", value)]
            about = f"{where} ({'; '.join(notes)})" if notes else where
            text = [f"{s.what.capitalize()} ", tag("b", value), about]
            lines.append(_sourced(text, f"shade {value}", s, names))
    return lines
