"""Lay out a bench card: what to set, the joint with its symbol and position, a try-out log."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from weldref.advice.card import Card, CardValue, Option, card_of, card_quantities, unit_of
from weldref.advice.choices import cuts, is_flame
from weldref.core.cautions import cautions_for
from weldref.core.check import NOT_APPROVAL
from weldref.core.lookup import find
from weldref.core.situation import LABELS, Situation, electrode_size
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
from weldref.handouts.chart_cells import card_texts, legend, look_of, value_texts, worded
from weldref.handouts.chart_grid import Charted, cell_of
from weldref.handouts.choice_rows import choice_rows, merged
from weldref.handouts.conversion import Converter, fraction, number, rounded, sign, with_metric
from weldref.handouts.drawings.joint import Sizes, draw_joint, scale_of
from weldref.handouts.drawings.position import draw_position
from weldref.handouts.drawings.shape import position_of, shape_of, weld_of
from weldref.handouts.drawings.symbol import draw_symbol
from weldref.handouts.facts import caution_text, remark_text
from weldref.handouts.selection import Selection, quantity_names
from weldref.handouts.settings import Settings, settings_for
from weldref.handouts.sources import Notes
from weldref.handouts.words import Words

OF_THE_JOINT = ("root_opening", "root_face", "groove_angle", "bevel_angle", "travel_angle")
OF_A_FILLET = ("minimum_fillet_size", "travel_angle")
"""What a card shows beside the settings: of a groove, and of a fillet weld."""

TRIES = 5
"""Lines of the try-out log."""

MOST_TRIED = 4
"""Quantities with a column of their own in the log."""


def card_blocks(store: Store, selection: Selection, situation: Situation) -> Iterator[Block]:
    """Lay out the card of a situation, but for its masthead.

    Raises
    ------
    InputError
        If the situation names no process.
    """
    words, say, half = selection.words, selection.words.say, selection.kind == "half-card"
    notes, asked = Notes(store, words), replace(situation, units=selection.typed)
    found = card_of(store, asked, {}, selection.grade, 1)
    of_joint = replace(selection, quantities=_of_joint(situation), shown=selection.typed)
    joint = settings_for(store, situation, of_joint)
    if any(one.strength == "cannot be" for one in found.sense):
        yield from _remarks(found, words, notes, "box")
        change = say("Change the set-up: no settings are printed for what cannot be.")
        yield Paragraph(change, "plain")
    else:
        yield from _set_up(store, found, words)
        beside = _beside(store, situation, found, selection)
        rows = tuple(_row(store, value, found, words, notes, beside) for value in found.values)
        if rows:
            yield Matrix((say("set"),), ((say("start"), ""), (say("range"), "")), rows)
        if not half:
            yield from _figures(store, situation, joint, words, notes)
        if not (rows or found.ask):
            yield Paragraph(say("No printed or recalled line fits what was said."), "plain")
        yield from _remarks(found, words, notes)
        matches = find(store, situation, None, selection.grade)
        chosen = choice_rows(situation, found, matches, notes, selection.grade)
        sizes = _joint_rows(store, joint, situation, selection, notes)
        yield Matrix((say("choose"),), ((say("as published"), ""),), (*chosen, *sizes))
        yield Heading(say("Our own settings"), 2)
        yield Blanks(_labels(store, found, situation, words), 2 if half else 4)
        if not half:
            yield Log(_tried(store, found, words), TRIES)
    yield Paragraph(say(NOT_APPROVAL), "box")
    if half:
        yield Paragraph(say("Read the cautions on the back before you strike an arc or light up."))
    yield Heading(say("Cautions"), 2, "back")
    yield Items(tuple(caution_text(c, words, notes) for c in cautions_for(store, situation)))
    yield Heading(say("Sources"), 2)
    yield Items(notes.texts(), 1, "small")
    yield Items(legend(words), look="small")


def _of_joint(situation: Situation) -> tuple[str, ...]:
    return OF_A_FILLET if weld_of(situation) == "fillet" else OF_THE_JOINT


def _set_up(store: Store, found: Card, words: Words) -> Iterator[Block]:
    said = [
        words.say(
            "diameter {size}", size=with_metric(value, words, electrode_size(store, value, "us")[1])
        )
        if name == "electrode_size"
        else words.term(value)
        for name, value in found.set_up.items()
    ]
    if said:
        yield Paragraph(words.say("set up with: {what}", what=words.listed(said)), "plain")


def _beside(
    store: Store, situation: Situation, found: Card, selection: Selection
) -> dict[str, Charted]:
    """Return what is published where the card leads with the school's own values."""
    wanted = tuple(value.quantity for value in found.values if value.own)
    if not wanted or not store.beside:
        return {}
    asked = replace(selection, quantities=wanted, shown=selection.typed)
    settings = settings_for(store, situation, asked)
    cells = (cell_of(situation, settings, quantity) for quantity in wanted)
    return {cell.quantity: replace(cell, own=()) for cell in cells}


def _row(
    store: Store,
    value: CardValue,
    found: Card,
    words: Words,
    notes: Notes,
    beside: Mapping[str, Charted],
) -> ChartRow:
    converter = Converter(store)
    text, printed, unit_printed = card_texts(store, value, converter, words)
    held = [
        words.term(said) for name, said in value.assumed.items() if found.set_up.get(name) != said
    ]
    look = look_of(value.grade, own=value.own)
    mark = notes.mark(value.source_id, value.locator)
    unit = sign(value.unit)
    start: tuple[Entry, ...] = ()
    if value.start is not None:
        as_printed = unit_printed == value.unit
        begin = number(value.start) if as_printed else f"≈ {rounded(value.start, value.unit)}"
        if value.unit == "in" and as_printed:
            begin = fraction(value.start) or begin
        one = (None, None, value.start, value.unit, value.unit)
        _, metric = value_texts(*one, converter, words, value.quantity)
        start = (Entry(f"{begin} {unit}", "", (metric,) if metric else (), look),)
    shown = [Entry(f"{text} {unit}", mark, tuple(filter(None, (printed, *held))), look)]
    if cell := beside.get(value.quantity):
        published = worded(cell, value.unit, words, Converter(store), notes, with_unit=True)
        shown += published.entries
    name = words.term(quantity_names(store)[value.quantity])
    return ChartRow((name,), (ChartCell(start), ChartCell(tuple(shown))))


def _joint_rows(
    store: Store, joint: Settings, situation: Situation, selection: Selection, notes: Notes
) -> Iterator[ChartRow]:
    """Yield the published sizes of the joint, those of a code with that code."""
    words, converter = selection.words, Converter(store)
    for group in joint.groups:
        rows = group.printed or group.conditional or group.recalled
        if not rows:
            continue
        unit = unit_of(store, group.quantity, selection.typed)
        shown = replace(group, printed=rows, conditional=(), recalled=())
        cell = worded(Charted(situation, shown), unit, words, converter, notes, with_unit=True)
        name = words.term(group.name)
        yield ChartRow((name[:1].upper() + name[1:],), (merged(cell),))


def _figures(
    store: Store, situation: Situation, joint: Settings, words: Words, notes: Notes
) -> Iterator[Block]:
    if cuts(store, situation):
        return
    shape, weld = shape_of(situation), weld_of(situation)
    if shape is not None:
        thickness = situation.thickness
        sizes = _sizes(store, situation, joint, words, notes)
        svg, width = draw_joint(shape, sizes)
        said = [
            words.say(
                "Section of the joint, drawn {scale} : 1.", scale=number(scale_of(sizes.thickness))
            )
        ]
        if thickness is None:
            said = [words.say("Section of the joint, not to scale: the thickness is not given.")]
        said.append(
            words.say("What is blank is for you to fill in, and is drawn for the picture alone.")
        )
        yield Figure(
            svg,
            width,
            words.say("Section of the joint: {joint}", joint=_joint(situation, words)),
            " ".join(said),
        )
        svg, width = draw_symbol(shape, _process(situation), _iso_tail(store, situation))
        yield Figure(
            svg,
            width,
            words.say("Welding symbol for {joint}, arrow side", joint=_joint(situation, words)),
            words.say(
                "Welding symbol, arrow side: after AWS A2.4 and ISO 2553, system A (from memory)."
            ),
        )
    number_of, way = position_of(situation)
    drawn = draw_position(weld, number_of, way, square=shape == "square") if weld else None
    if drawn:
        position = situation.terms["position"]
        iso = _iso_position(store, position.name)
        text = words.listed(filter(None, (words.term(position.name), iso)))
        yield Figure(
            *drawn,
            words.say("Position {position}", position=text),
            words.say("Position {position}", position=text),
        )


def _sizes(
    store: Store, situation: Situation, joint: Settings, words: Words, notes: Notes
) -> Sizes:
    """Take the sizes to draw from the published rows; what is not published stays blank."""
    thickness = situation.thickness
    converter = Converter(store)
    said, drawn = {}, {}
    for group in joint.groups:
        rows = group.printed or group.recalled
        if not rows:
            continue
        row = rows[0].row
        unit = unit_of(store, group.quantity, situation.units)
        ends = (row.min, row.max, row.typical, row.unit)
        text, _ = value_texts(*ends, unit, converter, words, group.quantity)
        mark = notes.mark(row.source_id, row.locator)
        said[group.quantity] = f"{text}{'' if unit == 'deg' else ' '}{sign(unit)} {mark}"
        value = next(v for v in (row.typical, row.max, row.min) if v is not None)
        drawn[group.quantity] = converter.number_in(
            value, row.unit, "deg" if unit == "deg" else "mm"
        )
    return Sizes(
        thickness=thickness.si * 1000 if thickness else 6.0,
        thickness_said=with_metric(situation.given().get("thickness", "____"), words),
        opening=drawn.get("root_opening", 0.0),
        opening_said=said.get("root_opening", ""),
        angle=drawn.get("groove_angle", 45.0 if shape_of(situation) == "bevel" else 60.0),
        angle_said=said.get("groove_angle", ""),
        face=drawn.get("root_face", 0.0),
    )


def _joint(situation: Situation, words: Words) -> str:
    return words.term(situation.terms["joint"].name)


def _process(situation: Situation) -> str:
    process = situation.terms.get("process")
    return process.name if process else ""


def _iso_tail(store: Store, situation: Situation) -> str:
    process, position = situation.terms.get("process"), situation.terms.get("position")
    numbers = store.rows(
        "SELECT iso_4063 FROM iso4063_numbers WHERE aws_letters = $name ORDER BY rowid LIMIT 1",
        {"name": process.name if process else ""},
    )
    iso = _iso_position(store, position.name) if position else ""
    return " / ".join(filter(None, (*(row["iso_4063"] for row in numbers), iso)))


def _iso_position(store: Store, term: str) -> str:
    rows = store.rows("SELECT iso_6947 FROM positions WHERE term = $term", {"term": term})
    return str(rows[0]["iso_6947"] or "") if rows else ""


def _remarks(found: Card, words: Words, notes: Notes, look: Look = "plain") -> Iterator[Block]:
    for one in found.sense:
        yield Paragraph(remark_text(one, words, notes), look)
    if found.ask:
        options = words.listed(_option(one, words, notes) for one in found.ask.options[:8])
        condition = words.say(LABELS[found.ask.condition])
        asked = words.say("which {condition}? {options}", condition=condition, options=options)
        yield Paragraph(asked[:1].upper() + asked[1:], "plain")


def _option(option: Option, words: Words, notes: Notes) -> str:
    setting = option.setting
    if setting is None:
        return words.term(option.value)
    text, _, _ = card_texts(notes.store, setting, Converter(notes.store), words)
    return f"{words.term(option.value)}: {text} {sign(setting.unit)}"


def _labels(store: Store, found: Card, situation: Situation, words: Words) -> tuple[str, ...]:
    say = words.say
    own = [words.term(quantity_names(store)[quantity]) for quantity in _filled_in(store, found)[:8]]
    fixed = [say("Travel angle"), say("Work angle"), say("Machine"), say("Gas"), say("Name"),
             say("Checked by"), say("Date")]  # fmt: skip
    if is_flame(situation) or cuts(store, situation):
        fixed = fixed[2:]
    return tuple(text[:1].upper() + text[1:] for text in (*own, *fixed))


def _filled_in(store: Store, found: Card) -> list[str]:
    """List what a class fills in: the card's quantities, or those of its process."""
    shown = [value.quantity for value in found.values]
    return shown or list(card_quantities(store, found.situation["process"]))[:6]


def _tried(store: Store, found: Card, words: Words) -> tuple[str, ...]:
    tried = [words.term(quantity_names(store)[q]) for q in _filled_in(store, found)[:MOST_TRIED]]
    return (words.say("try"), *tried, words.say("what I saw"), words.say("change next"))
