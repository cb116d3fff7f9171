"""Word the choices on a bench card as rows that are read at the bench.

A row is a choice: polarity, gas, tungsten, shade, a size of the joint. Each value comes once, in
large type with the numbers of its sources, and beside it in small type for what it holds.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from weldref.advice import choices
from weldref.advice.card import Card
from weldref.advice.choices import Statement
from weldref.core.lookup import Match, with_conditions
from weldref.core.setup import findings
from weldref.core.situation import Situation
from weldref.grades import SHORT, accepted_grades
from weldref.handouts.blocks import ChartCell, ChartRow, Entry, EntryLook
from weldref.handouts.chart_cells import look_of
from weldref.handouts.conversion import number
from weldref.handouts.texts import Notes, rule_text, shades_said
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
    """Write the choices of a card as texts: each value with its sources and what it holds for."""

    def text(entry: Entry) -> str:
        doubt = {"quoted": "secondary", "recalled": "memory"}.get(entry.look)
        said = f"{entry.text}, {words.say(SHORT[doubt])}" if doubt else entry.text
        held = f" ({'; '.join(entry.holds)})" if entry.holds else ""
        return f"{said}{held}\u00a0{entry.mark}"

    return tuple(
        (row.labels[0], tuple(map(text, row.cells[0].entries)) or (row.cells[0].said,))
        for row in rows
    )


def _tungstens(situation: Situation, found: Card, notes: Notes) -> list[Statement]:
    """List the tungstens of the card's rows, else of the tables; what a rule says comes with it."""
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
    """Write each value once; where several places name it, each with what it says of it."""
    words = notes.words
    grouped: dict[tuple[str, EntryLook], list[Statement]] = defaultdict(list)
    for one in statements:
        text = words.term(one.value)
        if one.refuses:
            text = f"{text}: {words.term(one.advice)}"
        grouped[text, look_of(one.how_read, own=False)].append(one)
    entries = []
    for (text, look), ones in grouped.items():
        marks = [notes.mark(one.source_id, one.locator) for one in ones]
        said = [_said(one, words) for one in ones]
        if len(set(said)) > 1 and len(set(marks)) > 1:
            said = [f"{why}\u00a0{m}" if why else "" for why, m in zip(said, marks, strict=True)]
        holds = tuple(filter(None, dict.fromkeys(said)))
        entries.append(Entry(text, "".join(dict.fromkeys(marks)), holds, look))
    return tuple(entries)


def _said(statement: Statement, words: Words) -> str:
    """Say what a statement adds to its value: the advice, for what alone it holds, doubts."""
    advice = "" if statement.refuses else statement.advice
    parts = (advice, *statement.only_for, statement.status or "")
    return ", ".join(words.term(part) for part in parts if part)


def _shades(
    situation: Situation, found: Card, matches: Sequence[Match], notes: Notes, grade: str
) -> Iterator[ChartRow]:
    """Yield the lens shade at the start, and at the top of the range where it is another one."""
    store, say = notes.store, notes.words.say
    currents, recalled = _currents(found, matches)
    completed = with_conditions(store, situation, found.set_up)
    shown: tuple[Entry, ...] = ()
    for shade in choices.shades(store, completed, currents):
        said = shades_said(shade, notes, grade)
        named = [what for what, *_ in said]
        entries = tuple(
            Entry(
                say("or {shade}", shade=value) if what in named[:at] else f"{what} {value}",
                *(marks, (), look_of(read, own=False)),
            )
            for at, (what, value, read, marks) in enumerate(said)
        )
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


def _currents(found: Card, matches: Sequence[Match]) -> tuple[tuple[float, ...], bool]:
    """Pick the start and the top of the card's current; without one, what is published."""
    for value in found.values:
        if value.quantity == "current":
            ends = (value.start, value.max)
            return tuple(dict.fromkeys(e for e in ends if e is not None)), value.recalled
    published = choices.shade_currents(matches)
    return published.amperes, published.from_memory


def merged(cell: ChartCell) -> ChartCell:
    """Write each value of a cell once, with all that it holds for."""
    grouped: dict[tuple[str, EntryLook], list[Entry]] = defaultdict(list)
    for entry in cell.entries:
        grouped[entry.text, entry.look].append(entry)
    entries = []
    for (text, look), ones in grouped.items():
        marks = "".join(dict.fromkeys(one.mark for one in ones))
        said = (
            ", ".join(one.holds) + (f"\u00a0{one.mark}" if len(ones) > 1 else "")
            for one in ones
            if one.holds
        )
        entries.append(Entry(text, marks, tuple(said), look))
    return replace(cell, entries=tuple(entries))
