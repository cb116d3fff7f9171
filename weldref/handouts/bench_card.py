"""Lay out a bench card: what to set, the joint with its symbol and position, a try-out log."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import starmap

from weldref.advice.card import Card, CardValue, Option, card_of, card_quantities, unit_of
from weldref.advice.choices import cuts, is_flame
from weldref.core.cautions import cautions_for
from weldref.core.check import NOT_APPROVAL
from weldref.core.lookup import find
from weldref.core.situation import LABELS, Situation
from weldref.data.store import Store
from weldref.handouts.blocks import (
    Blanks,
    Block,
    ChartCell,
    ChartRow,
    Entry,
    Figure,
    Heading,
    Items,
    Log,
    Look,
    Matrix,
    Paragraph,
)  # fmt: skip
from weldref.handouts.chart_cells import (
    by_value,
    card_texts,
    legend,
    start_text,
    value_texts,
    worded,
)
from weldref.handouts.chart_grid import Charted, cell_of
from weldref.handouts.choice_rows import choice_rows
from weldref.handouts.conversion import number, with_metric
from weldref.handouts.drawings import (
    Sizes,
    draw_joint,
    draw_position,
    draw_symbol,
    position_of,
    scale_of,
    shape_of,
    weld_of,
)
from weldref.handouts.selection import Selection
from weldref.handouts.settings import Settings, settings_for
from weldref.handouts.texts import Notes, caution_text, remark_text
from weldref.handouts.words import sentence
from weldref.text import unit_sign

OF_THE_JOINT = ("root_opening", "root_face", "groove_angle", "bevel_angle", "travel_angle")
OF_A_FILLET = ("minimum_fillet_size", "travel_angle")
"""What a card shows of a groove and of a fillet weld, besides the settings."""

TRIES = 5
"""Lines of the try-out log."""

MOST_TRIED = 4
"""Quantities with a column of their own in the log."""


def card_blocks(store: Store, selection: Selection, situation: Situation) -> Iterator[Block]:
    """Lay out the card of a situation without its masthead; refuse one without a process."""
    asked = replace(situation, units=selection.typed)
    found = card_of(store, asked, {}, selection.grade, 1)
    of_joint = OF_A_FILLET if weld_of(situation) == "fillet" else OF_THE_JOINT
    beside = replace(selection, quantities=of_joint, shown=selection.typed)
    joint = settings_for(store, situation, beside)
    notes = Notes(store, selection.words)
    return _Card(store, selection, situation, found, joint, notes).blocks()


@dataclass(frozen=True, slots=True)
class _Card:
    """What a card is made of: the answer of `weldref.bench` and the sizes of the joint."""

    store: Store
    selection: Selection
    situation: Situation
    found: Card
    joint: Settings
    notes: Notes

    def blocks(self) -> Iterator[Block]:
        words, say, store, notes = self.notes.words, self.notes.words.say, self.store, self.notes
        half = self.selection.kind == "half-card"
        if any(one.strength == "cannot be" for one in self.found.sense):
            yield from self._remarks("box")
            change = say("Change the set-up: no settings are printed for what cannot be.")
            yield Paragraph(change, "plain")
        else:
            yield from self._settings(half=half)
        yield Paragraph(say(NOT_APPROVAL), "box")
        if half:
            back = say("Read the cautions on the back before you strike an arc or light up.")
            yield Paragraph(back)
        yield Heading(say("Cautions"), 2, "back")
        yield Items(tuple(caution_text(c, notes) for c in cautions_for(store, self.situation)))
        yield from notes.sources(2)
        yield Items(legend(words), look="small")

    def _settings(self, *, half: bool) -> Iterator[Block]:
        notes, say, found = self.notes, self.notes.words.say, self.found
        set_up = notes.words.listed(starmap(notes.condition, found.set_up.items()))
        if set_up:
            yield Paragraph(say("set up with: {what}", what=set_up), "plain")
        beside = self._beside()
        rows = tuple(self._row(value, beside) for value in found.values)
        if rows:
            yield Matrix((say("set"),), ((say("start"), ""), (say("range"), "")), rows)
        if not half and not cuts(self.store, self.situation):
            yield from self._figures()
        if not (rows or found.ask):
            yield Paragraph(say("No printed or recalled line fits what was said."), "plain")
        yield from self._remarks()
        grade = self.selection.grade
        matches = find(self.store, self.situation, None, grade)
        chosen = choice_rows(self.situation, found, matches, notes, grade)
        rows = (*chosen, *self._joint_rows())
        yield Matrix((say("choose"),), ((say("as published"), ""),), rows)
        yield Heading(say("Our own settings"), 2)
        yield Blanks(self._labels(), 2 if half else 4)
        if not half:
            tried = self._filled_in()[:MOST_TRIED]
            yield Log((say("try"), *tried, say("what I saw"), say("change next")), TRIES)

    def _beside(self) -> dict[str, Charted]:
        """Return the published values of quantities for which the card shows the school's own."""
        wanted = tuple(value.quantity for value in self.found.values if value.own)
        if not wanted or not self.store.beside:
            return {}
        asked = replace(self.selection, quantities=wanted, shown=self.selection.typed)
        settings = settings_for(self.store, self.situation, asked)
        return {q: replace(cell_of(self.situation, settings, q), own=()) for q in wanted}

    def _row(self, value: CardValue, beside: dict[str, Charted]) -> ChartRow:
        notes, words, unit = self.notes, self.notes.words, unit_sign(value.unit)
        text, printed, unit_printed = card_texts(value, notes)
        set_up = self.found.set_up
        held = [words.term(v) for name, v in value.assumed.items() if set_up.get(name) != v]
        grade, mark = "own" if value.own else value.grade, notes.mark(value)
        start: tuple[Entry, ...] = ()
        if value.start is not None:
            begin = start_text(value.start, value.unit, unit_printed)
            one = ((None, None, value.start), value.unit, value.unit, value.quantity)
            _, metric = value_texts(*one, notes)
            start = (Entry(begin, "", (metric,) if metric else (), grade),)
        shown = [Entry(f"{text} {unit}", mark, tuple(filter(None, (printed, *held))), grade)]
        if cell := beside.get(value.quantity):
            shown += worded(cell, value.unit, notes, with_unit=True).entries
        name = notes.quantity(value.quantity)
        return ChartRow((name,), (ChartCell(start), ChartCell(tuple(shown))))

    def _joint_rows(self) -> Iterator[ChartRow]:
        """Yield the published sizes of the joint; a size from a code names the code."""
        for group in self.joint.groups:
            if rows := group.printed or group.conditional or group.recalled:
                unit = unit_of(self.store, group.quantity, self.selection.typed)
                charted = Charted(self.situation, group.quantity, rows)
                cell = worded(charted, unit, self.notes, with_unit=True)
                label = sentence(self.notes.quantity(group.quantity))
                yield ChartRow((label,), (ChartCell(by_value(cell.entries)),))

    def _figures(self) -> Iterator[Figure]:
        words, say, situation = self.notes.words, self.notes.words.say, self.situation
        shape, weld = shape_of(situation), weld_of(situation)
        terms = {name: term.name for name, term in situation.terms.items()}
        process, position = terms.get("process", ""), terms.get("position", "")
        iso = self._told("SELECT iso_6947 FROM positions WHERE term = $term", position)
        if shape is not None:
            joint, sizes = words.term(terms["joint"]), self._sizes()
            said = say("Section of the joint, not to scale: the thickness is not given.")
            if situation.thickness is not None:
                scale = number(scale_of(sizes.thickness))
                said = say("Section of the joint, drawn {scale} : 1.", scale=scale)
            blank = say("What is blank is for you to fill in, and is drawn for the picture alone.")
            told = say("Section of the joint: {joint}", joint=joint)
            yield Figure(*draw_joint(shape, sizes), told, f"{said} {blank}")
            numbered = self._told(
                "SELECT iso_4063 FROM iso4063_numbers WHERE aws_letters = $term "
                "ORDER BY rowid LIMIT 1",
                process,
            )
            tail = " / ".join(filter(None, (numbered, iso)))
            told = say("Welding symbol for {joint}, arrow side", joint=joint)
            after = say(
                "Welding symbol, arrow side: after AWS A2.4 and ISO 2553, system A (from memory)."
            )
            yield Figure(*draw_symbol(shape, process, tail), told, after)
        if weld and (
            drawn := draw_position(weld, *position_of(situation), square=shape == "square")
        ):
            text = words.listed(filter(None, (words.term(position), iso)))
            said = say("Position {position}", position=text)
            yield Figure(*drawn, said, said)

    def _told(self, query: str, term: str) -> str:
        return next(
            (str(v or "") for r in self.store.rows(query, {"term": term}) for v in r.values()), ""
        )

    def _sizes(self) -> Sizes:
        """Take the sizes to draw from the published rows; others are left blank."""
        situation, notes = self.situation, self.notes
        said, drawn = {}, {}
        for group in self.joint.groups:
            if rows := group.printed or group.recalled:
                row = rows[0].row
                unit = unit_of(self.store, group.quantity, situation.units)
                charted = Charted(situation, group.quantity, rows[:1])
                (entry,) = worded(charted, unit, notes, with_unit=True).entries
                said[group.quantity] = f"{entry.text} {entry.mark}"
                value = next(v for v in (row.typical, row.max, row.min) if v is not None)
                to = "deg" if unit == "deg" else "mm"
                drawn[group.quantity] = notes.converter.number_in(value, row.unit, to)
        thickness = situation.thickness
        return Sizes(
            thickness=thickness.si * 1000 if thickness else 6.0,
            thickness_said=with_metric(situation.given().get("thickness", "____"), notes.words),
            opening=drawn.get("root_opening", 0.0),
            opening_said=said.get("root_opening", ""),
            angle=drawn.get("groove_angle", 45.0 if shape_of(situation) == "bevel" else 60.0),
            angle_said=said.get("groove_angle", ""),
            face=drawn.get("root_face", 0.0),
        )

    def _remarks(self, look: Look = "plain") -> Iterator[Block]:
        words, ask = self.notes.words, self.found.ask
        for one in self.found.sense:
            yield Paragraph(remark_text(one, self.notes), look)
        if ask:
            options = words.listed(self._option(one) for one in ask.options[:8])
            condition = words.say(LABELS[ask.condition])
            asked = words.say("which {condition}? {options}", condition=condition, options=options)
            yield Paragraph(sentence(asked), "plain")

    def _option(self, option: Option) -> str:
        name, setting = self.notes.words.term(option.value), option.setting
        if setting is None:
            return name
        return f"{name}: {card_texts(setting, self.notes)[0]} {unit_sign(setting.unit)}"

    def _labels(self) -> tuple[str, ...]:
        say = self.notes.words.say
        angles: tuple[str, ...] = (say("Travel angle"), say("Work angle"))
        if is_flame(self.situation) or cuts(self.store, self.situation):
            angles = ()
        rest = (say("Machine"), say("Gas"), say("Name"), say("Checked by"), say("Date"))
        return tuple(map(sentence, (*self._filled_in()[:8], *angles, *rest)))

    def _filled_in(self) -> list[str]:
        """Name what the class fills in: the quantities of the card, or of its process."""
        shown = [value.quantity for value in self.found.values]
        shown = shown or list(card_quantities(self.store, self.found.situation["process"]))[:6]
        return list(map(self.notes.quantity, shown))
