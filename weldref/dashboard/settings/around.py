"""Show what follows from the values and what else must be chosen, each line with its source."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from html import escape

import streamlit as st

from weldref.advice import choices, handbook
from weldref.advice.choices import Statement
from weldref.calculate import derived as follows
from weldref.calculate.derived import Follows
from weldref.core.wording import as_said
from weldref.dashboard import fragments
from weldref.dashboard.settings.entries import Asked, Entries, applying, described
from weldref.data.catalogue import document_names
from weldref.data.store import Store
from weldref.grades import FULL

MOST_OPEN = 3


NOTHING = '<li class="none">nothing published here</li>'


def draw_follows(entries: Entries) -> None:
    """Draw heat input and deposition as they follow from the values."""
    if entries.situation is None or choices.cuts(entries.store, entries.situation):
        return
    found = (
        follows.heat(entries.situation, entries.read),
        follows.deposit(entries.store, entries.situation, entries.read),
    )
    if choices.is_flame(entries.situation):
        return
    body = []
    for part in found:
        lines = "".join(_line(one, entries) for one in part.values)
        body.append(f'<ul class="facts">{lines}</ul>' if lines else "")
        body += [fragments.note(text) for text in part.missing]
    st.html(
        f'<section class="around"><h2>What follows from your values</h2>{"".join(body)}</section>'
    )


def draw_choices(entries: Entries) -> None:
    """Draw what the tables say of polarity, gas, filler metal, tungsten, cup and lens shade."""
    current = entries.read.get("current")
    facts = {
        **_choices(entries.store, entries.asked, entries.grade),
        "Lens shade": _shades(
            entries.store, entries.asked, entries.grade, current.si if current else None
        ),
    }
    body = "".join(f"<dt>{name}</dt><dd>{_list(lines)}</dd>" for name, lines in facts.items())
    st.html(
        '<section class="around"><h2>What else to choose</h2>'
        f'<dl class="choices">{body}</dl></section>'
    )


def _line(one: Follows, entries: Entries) -> str:
    value = one.us if entries.units == "us" else one.metric
    names = document_names(entries.store)
    place = [("Formula", one.equation), ("Weakest evidence", FULL[one.grade])]
    place += [
        ("Source", ", ".join(filter(None, (names.get(s.source_id, s.source_id), s.locator,
                                           FULL[s.how_read], s.note))))
        for s in one.sources
    ]  # fmt: skip
    grade = "" if one.grade == "read" else f", {FULL[one.grade]}"
    notes = f' <span class="remark">{escape("; ".join(one.notes))}.</span>' if one.notes else ""
    return (
        f"<li>{escape(one.name)}: <b>{escape(value)}</b>{grade}.{notes} "
        f"{fragments.why(value, place)}</li>"
    )


@lru_cache(maxsize=256)
def _choices(store: Store, asked: Asked, grade: str) -> dict[str, list[str]]:
    situation = described(store, asked)
    matches = applying(store, asked, grade)
    names = document_names(store)
    facts: dict[str, list[str]] = {}
    if not choices.is_flame(situation) and not choices.cuts(store, situation):
        facts["Polarity"] = _said(choices.polarities(store, situation), names)
        if choices.takes_gas(situation):
            facts["Shielding gas"] = _said(choices.gases(store, situation), names)
        facts["Electrode, wire or rod"] = _said(choices.fillers(store, situation), names)
        if choices.takes_tungsten(situation):
            tungsten = choices.named_by_rows(matches, "tungsten_class")
            facts["Tungsten"] = _said(tungsten, names)
            cups = [*choices.named_by_rows(matches, "cup"), *choices.cup_diameters(matches)]
            facts["Cup"] = _said(cups, names)
        if grade_of_preheat := choices.best_grade(matches, "preheat"):
            alone = ", from memory alone, not seen in print"
            doubt = alone if grade_of_preheat == "memory" else ""
            facts["Preheat"] = [f"<li>See the bars of preheat{doubt}.</li>"]
        else:
            facts["Preheat"] = []
    return facts


def _list(lines: Sequence[str]) -> str:
    if not lines:
        return f"<ul>{NOTHING}</ul>"
    shown = f"<ul>{''.join(lines[:MOST_OPEN])}</ul>"
    if len(lines) > MOST_OPEN:
        rest = f"<ul>{''.join(lines[MOST_OPEN:])}</ul>"
        shown += fragments.aside(f"{len(lines) - MOST_OPEN} more", rest)
    return shown


def _said(statements: Sequence[Statement], names: dict[str, str]) -> list[str]:
    lines = []
    for s in statements:
        text = f"<b>{escape(s.value)}</b>"
        if s.advice:
            text += f": {escape(s.advice)}"
        if s.only_for:
            text += f" ({escape(', '.join(map(as_said, s.only_for)))})"
        lines.append(_sourced(text, s.value, s, names, s.status or ""))
    return list(dict.fromkeys(lines))


def _sourced(
    text: str,
    of: str,
    said: Statement | handbook.Statement,
    names: dict[str, str],
    status: str = "",
) -> str:
    grade = FULL[said.how_read]
    place = [
        ("Source", names.get(said.source_id, said.source_id)),
        ("Place", said.locator or "not noted"),
        ("How it was read", grade),
        ("In doubt", status),
    ]
    doubts = "; ".join(filter(None, ("" if said.how_read == "read" else grade, status)))
    doubt = f", {escape(doubts)}" if doubts else ""
    return f"<li>{text}{doubt}. {fragments.why(of, place)}</li>"


@lru_cache(maxsize=256)
def _shades(store: Store, asked: Asked, grade: str, current: float | None) -> list[str]:
    """List the shades at the set current, or at the ends of what is published."""
    matches = applying(store, asked, grade)
    at = choices.shade_currents(matches, current)
    recalled = f"a current {FULL['memory']}" if at.from_memory else ""
    names = document_names(store)
    lines = []
    for shade in choices.shades(store, described(store, asked), at.amperes):
        where = "" if shade.at is None else f" at {shade.at:g} A"
        for s in shade.statements:
            value = "outside the table" if s.value is None else f"{s.value:g}"
            text = f"{escape(s.what.capitalize())} <b>{value}</b>{where}"
            notes = [note for note in (recalled, s.note) if note not in ("", value)]
            if notes:
                text += f" ({escape('; '.join(notes))})"
            lines.append(_sourced(text, f"shade {value}", s, names))
    return lines
