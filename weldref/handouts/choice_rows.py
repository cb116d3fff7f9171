"""Word the choices on a bench card as rows that are read at the bench.

A row is a choice: polarity, gas, tungsten, shade, a size of the joint. Each value comes once, in
large type with the numbers of its sources, and its conditions beside it in small type.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from weldref.advice import choices
from weldref.advice.card import Card
from weldref.advice.choices import Shade, Statement
from weldref.core.lookup import Match, with_conditions
from weldref.core.setup import findings
from weldref.core.situation import Situation
from weldref.grades import SHORT, accepted_grades
from weldref.handouts.blocks import ChartCell, ChartRow, Entry
from weldref.handouts.chart_cells import by_value
from weldref.handouts.conversion import number
from weldref.handouts.texts import Notes, rule_text
from weldref.handouts.words import Words


def choice_rows(
    situation: Situation, found: Card, matches: Sequence[Match], notes: Notes, grade: str
) -> Iterator[ChartRow]:
    """Yield a row for each choice around the settings of a card, the shade last."""
    store, say, accepted = notes.store, notes.words.say, accepted_grades(grade)

    def row(label: str, statements: Iterable[Statement]) -> ChartRow:
        kept = [one for one in statements if one.how_read in accepted]
        nothing = "" if kept else say("nothing published in this dataset")
        return ChartRow((label,), (ChartCell(_entries(kept, notes), nothing),))

    if not choices.is_flame(situation) and not choices.cuts(store, situation):
        yield row(say("Polarity"), choices.polarities(store, situation))
        if choices.takes_gas(situation):
            # The gases of another transfer mode would not go with the card's settings.
            mode = {k: v for k, v in found.set_up.items() if k == "transfer_mode"}
            leading = with_conditions(store, situation, mode)
            yield row(say("Shielding gas"), choices.gases(store, leading))
        if fillers := choices.fillers(store, situation):
            yield row(say("Electrode"), fillers)
        if choices.takes_tungsten(situation):
            yield row(say("Tungsten"), _tungstens(situation, found, notes))
    yield from _shades(situation, found, matches, notes, grade)


def choice_texts(rows: Iterable[ChartRow], words: Words) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Write the choices of a card as texts: each value with its conditions and sources."""

    def text(entry: Entry) -> str:
        said = entry.text
        if entry.grade != "read":
            said += f", {words.say(SHORT[entry.grade])}"
        held = f" ({'; '.join(entry.holds)})" if entry.holds else ""
        return f"{said}{held}\u00a0{entry.mark}"

    return tuple(
        (row.labels[0], tuple(map(text, row.cells[0].entries)) or (row.cells[0].said,))
        for row in rows
    )


def _tungstens(situation: Situation, found: Card, notes: Notes) -> list[Statement]:
    """List the tungstens of the card, or else of the tables, with what the rules say of each."""
    completed = with_conditions(notes.store, situation, found.set_up)
    classes = [
        Statement(
            " ".join(filter(None, (one.size, one.tungsten_class))),
            *("", (), one.grade, None, one.source_id, one.locator),
        )
        for one in found.tungstens
    ] or choices.tungstens(notes.store, completed)
    warned = []
    for one in classes:
        tungsten = {"tungsten_class": one.value.rpartition(" ")[2]}
        said = (
            rule_text(rule, notes.words)
            for rule in findings(notes.store, with_conditions(notes.store, completed, tungsten))
            if rule.topic == "tungsten" and rule.strength != "worth knowing"
        )
        warned.append(replace(one, only_for=(*one.only_for, *said)))
    return sorted(warned, key=lambda one: len(one.only_for))


def _entries(statements: Sequence[Statement], notes: Notes) -> tuple[Entry, ...]:
    """Write each value once, with what each place says of it."""
    words, entries = notes.words, []
    for one in statements:
        text, said = words.term(one.value), _said(one, words)
        if one.refuses:
            text = f"{text}: {words.term(one.advice)}"
        entries.append(Entry(text, notes.mark(one), (said,) if said else (), one.how_read))
    return by_value(entries)


def _said(statement: Statement, words: Words) -> str:
    """Say what a statement adds to its value: advice, conditions and doubts."""
    advice = "" if statement.refuses else statement.advice
    parts = (advice, *statement.only_for, statement.status or "")
    return ", ".join(words.term(part) for part in parts if part)


def _shades(
    situation: Situation, found: Card, matches: Sequence[Match], notes: Notes, grade: str
) -> Iterator[ChartRow]:
    """Yield the lens shade at the start, and at the top of the range if it differs."""
    store, say = notes.store, notes.words.say
    currents, recalled = _currents(found, matches)
    completed = with_conditions(store, situation, found.set_up)
    shown: tuple[Entry, ...] = ()
    for shade in choices.shades(store, completed, currents):
        entries = _shade_entries(shade, notes, grade)
        if not entries or entries == shown:
            continue
        shown = entries
        label = say("Filter shade")
        if shade.at is not None:
            current = f"{number(shade.at)}\u00a0A"
            label = say("Filter shade at {current}", current=current)
            label += f" ({say(SHORT['memory'])})" if recalled else ""
        yield ChartRow((label,), (ChartCell(entries),))
    if not shown:
        why = say("no published range of current to choose it by")
        if choices.is_flame(situation):
            why = say("depends on the thickness, which is not given")
        yield ChartRow((say("Filter shade"),), (ChartCell((), why),))


def _shade_entries(shade: Shade, notes: Notes, grade: str) -> tuple[Entry, ...]:
    """Write the shades at one current; a shade that was read is not repeated as quoted."""
    say, accepted, entries = notes.words.say, accepted_grades(grade), []
    kept = sorted(
        (one for one in shade.statements if one.how_read in accepted),
        key=lambda one: (one.what, one.value or 0.0, accepted.index(one.how_read)),
    )
    for what, of_kind in groupby(kept, key=lambda one: one.what):
        message = f"{say(what)} {{shade}}"
        for value, alike in groupby(of_kind, key=lambda one: one.value):
            first, *others = alike
            again = (one for one in others if one.how_read == first.how_read)
            marks = dict.fromkeys(map(notes.mark, (first, *again)))
            shown = say("outside the table") if value is None else number(value)
            entries.append(Entry(message.format(shade=shown), "".join(marks), (), first.how_read))
            message = say("or {shade}")
    return tuple(entries)


def _currents(found: Card, matches: Sequence[Match]) -> tuple[tuple[float, ...], bool]:
    """Pick the start and the top of the card's current, or else the published ends."""
    for value in found.values:
        if value.quantity == "current":
            ends = (value.start, value.max)
            return tuple(dict.fromkeys(e for e in ends if e is not None)), value.recalled
    published = choices.shade_currents(matches)
    return published.amperes, published.from_memory
