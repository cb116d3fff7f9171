"""Put a handout together: every situation with its settings, choices, cautions and sources."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from weldref.advice.card import card_of
from weldref.core.cautions import Caution, cautions_for
from weldref.core.check import NOT_APPROVAL
from weldref.core.lookup import find
from weldref.core.situation import Situation
from weldref.data.own import Given as OwnGiven
from weldref.data.store import Store, described, open_tables
from weldref.handouts.bench_card import card_blocks
from weldref.handouts.blocks import (
    Block,
    Break,
    Contents,
    Document,
    Drawn,
    Facts,
    Heading,
    Items,
    Masthead,
    Paragraph,
    Template,
)  # fmt: skip
from weldref.handouts.chart_grid import grid_of
from weldref.handouts.choice_rows import choice_rows, choice_texts
from weldref.handouts.link import code_svg, situation_address
from weldref.handouts.output import check_place, check_tools, write
from weldref.handouts.school import school
from weldref.handouts.selection import Given, Selection, select
from weldref.handouts.settings import Settings, settings_for
from weldref.handouts.tables import (
    Printed,
    also_seen_table,
    handout_records,
    settings_table,
)
from weldref.handouts.texts import (
    Notes,
    caution_text,
    dataset_line,
    note_text,
    situation_spelled,
    situation_title,
)
from weldref.handouts.wall_chart import chart_blocks
from weldref.handouts.words import Words
from weldref.handouts.worked import worked_texts


def make_handout(
    output: str | Path,
    *,
    process: Given = None,
    transfer_mode: Given = None,
    material: Given = None,
    electrode: Given = None,
    diameter: Given = None,
    thickness: Given = None,
    joint: Given = None,
    position: Given = None,
    polarity: Given = None,
    gas: Given = None,
    tungsten: Given = None,
    code: Given = None,
    own: OwnGiven = None,
    **how: Any,
) -> tuple[Path, ...]:
    """Write a handout; the ending of `output` picks PDF, HTML or CSV.

    Parameters
    ----------
    output
        The file to write: ``.pdf``, ``.html`` or ``.csv``.
    process, transfer_mode, material, electrode, diameter, thickness, joint, position, polarity
        One value or several; every combination is a situation of the handout.
    gas, tungsten, code
        Likewise; rows of a code are settings only if that code is named.
    own
        Own tables, as for `weldref.check`; their rows come under a separate heading.
    **how
        ``quantity`` (one or several, or "all"), ``units`` ("us", "metric", "both"), ``grade``,
        ``also_seen``, ``kind`` ("bench-card", "half-card", "wall-chart", "booklet"),
        ``paper`` ("letter", "a4", "tabloid", "a3", "a2"), ``landscape``, ``pages`` of a wall
        chart, ``language``, ``title``, ``address``, ``date``; ``school``, ``course``,
        ``instructor``, ``logo``, ``colour`` of its header: see
        `weldref.handouts.selection.select`.

    Returns
    -------
    tuple of Path
        The files written.

    Raises
    ------
    InputError
        If anything is not accepted; then no file is written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     (made,) = make_handout(Path(folder) / "post.csv", process="SMAW", electrode="E7018",
    ...                            diameter="1/8", quantity="current", grade="read")
    ...     lines = made.read_text(encoding="utf-8-sig").splitlines()
    >>> lines[1].split(",")[:7]
    ['SMAW; E7018; 1/8 in', 'current', '110', '160', '', 'A', '']
    """
    conditions: dict[str, Given] = {
        "process": process, "transfer_mode": transfer_mode, "material": material,
        "electrode": electrode, "diameter": diameter, "thickness": thickness, "joint": joint,
        "position": position, "polarity": polarity, "gas": gas,
        "tungsten": tungsten, "code": code,
    }  # fmt: skip
    return tuple(print_handout(Path(output), conditions, own, **how))


def print_handout(
    output: Path, conditions: Mapping[str, Given], own: OwnGiven = None, **how: Any
) -> dict[Path, Drawn]:
    """Write a handout as `make_handout` does; return what was drawn by its path."""
    check_tools()
    check_place(output)
    store = open_tables(own)
    return write([(handout(store, select(store, conditions, **how)), output)])


Shown = list[tuple[Situation, Settings]]


def handout(store: Store, selection: Selection) -> Document:
    """Put together a handout of any kind."""
    kinds: dict[str, tuple[Callable[[Store, Selection], tuple[list[Block], Shown]], Template]] = {
        "wall-chart": (_wall_chart, "chart"),
        "bench-card": (_bench_cards, "card"),
        "half-card": (_bench_cards, "card"),
        "booklet": (_booklet, "page"),
    }
    lay_out, template = kinds[selection.kind]
    blocks, shown = lay_out(store, selection)
    return Document(
        title=_title(store, selection),
        language=selection.words.language,
        foot=dataset_line(store, selection.words, selection.date),
        blocks=tuple(blocks),
        template=template,
        paper=selection.paper,
        landscape=selection.landscape or selection.kind in ("wall-chart", "half-card"),
        columns=2 if selection.kind == "half-card" else 1,
        date=selection.date,
        school=school(selection.school),
        records=tuple(handout_records(store, selection, shown)),
    )


def _title(store: Store, selection: Selection) -> str:
    say = selection.words.say
    default = say("Published welding settings")
    if store.instead:
        default = say("Own welding settings, not published")
    return selection.title or default


def _bench_cards(store: Store, selection: Selection) -> tuple[list[Block], Shown]:
    blocks: list[Block] = []
    for one in selection.situations:
        blocks += [Break()] if blocks else []
        blocks += [_masthead(store, selection, one), *card_blocks(store, selection, one)]
    return blocks, [(one, settings_for(store, one, selection)) for one in selection.situations]


def _wall_chart(store: Store, selection: Selection) -> tuple[list[Block], Shown]:
    grid, say = grid_of(store, selection), selection.words.say
    blocks: list[Block] = []
    for part in grid.parts(selection.pages):
        notes = Notes(store, selection.words)
        blocks += [Break()] if blocks else []
        blocks += [
            Heading(_title(store, selection), 0),
            *chart_blocks(selection, part, notes),
            Paragraph(say(NOT_APPROVAL), "box"),
            *_cautions(cautions_for(store, part.shared), say("Cautions"), notes),
            *notes.sources(2),
        ]
    return blocks, grid.settings()


def _booklet(store: Store, selection: Selection) -> tuple[list[Block], Shown]:
    words, say = selection.words, selection.words.say
    notes, printed = Notes(store, words, selection.shown), Printed()
    shown = [(one, settings_for(store, one, selection)) for one in selection.situations]
    reminder = Paragraph(say(NOT_APPROVAL), "box")
    blocks: list[Block] = [reminder]
    shared: tuple[Caution, ...] = ()
    if len(shown) > 1:
        first, *others = (cautions_for(store, one) for one in selection.situations)
        shared = tuple(c for c in first if all(c in other for other in others))
        blocks = [
            Heading(_title(store, selection), 0),
            reminder,
            Contents(say("Situations")),
            *_cautions(shared, say("Cautions for every situation"), notes),
            Break(),
        ]
    for situation, settings in shown:
        printed.title = situation_title(situation, words)
        blocks.append(_masthead(store, selection, situation))
        blocks += _settings(settings, notes, printed)
        blocks += _around(situation, selection.grade, notes, printed)
        own = tuple(c for c in cautions_for(store, situation) if c not in shared)
        heading = say("Further cautions") if shared else say("Cautions")
        blocks += _cautions(own, heading, notes)
    return [*blocks, *notes.sources(1), *_reading_help(words)], shown


def _settings(settings: Settings, notes: Notes, printed: Printed) -> Iterator[Block]:
    """Write the tables of a situation: published, also seen and own rows."""
    say, store = notes.words.say, notes.store
    used = described(store)
    own_heading = say("Own rows of {name}, not published", name=used["name"]) if used else ""
    if store.instead:
        yield Heading(own_heading, 2)
        instead = say("No setting on this sheet is published: own rows are shown instead.")
        yield Paragraph(instead, "box")
    else:
        yield Heading(say("Published settings"), 2)
    if settings.groups:
        yield settings_table(settings, notes, printed)
    else:
        yield Paragraph(say("no own range") if store.instead else say("no published range"))
    if settings.left_out:
        left_out = say(
            "Rows not printed here, because they tell what somebody once used or measured, or "
            "are in doubt: {count}.",
            count=settings.left_out,
        )
        yield Paragraph(left_out, "small")
    if settings.also_seen:
        yield Heading(say("Also seen: somebody's own use or tests, or in doubt"), 2)
        yield also_seen_table(settings.also_seen, notes)
    if settings.own:
        yield Heading(own_heading, 2)
        yield also_seen_table(settings.own, notes)


def _around(situation: Situation, grade: str, notes: Notes, printed: Printed) -> Iterator[Block]:
    """Write the choices around the settings of a situation, and a worked heat input."""
    words, store = notes.words, notes.store
    matches = find(store, situation, None, grade)

    def or_before(texts: tuple[str, ...]) -> tuple[str, ...]:
        """Refer to another situation with the same texts, if they are long."""
        first = printed.before(texts) if sum(map(len, texts)) > 80 else ""
        return (words.say("as printed for {situation}", situation=first),) if first else texts

    if "process" in situation.terms:
        found = card_of(store, situation, {}, grade, 1)
        facts = choice_texts(choice_rows(situation, found, matches, notes, grade), words)
        yield Heading(words.say("The choices around it, as published"), 2)
        yield Facts(tuple((label, or_before(texts)) for label, texts in facts))
    worked = worked_texts(situation, matches, notes)
    if worked and not printed.before(worked):
        yield Heading(words.say("Heat input, worked once"), 2)
        yield from map(Paragraph, worked)


def _masthead(store: Store, selection: Selection, situation: Situation) -> Masthead:
    words, address = selection.words, ""
    if selection.address:
        address = situation_address(selection.address, situation)
    return Masthead(
        title=situation_title(situation, words),
        lead=situation_spelled(store, situation, words),
        notes=tuple(note_text(note, words) for note in situation.notes),
        address=address,
        caption=words.say("Try your own values at this address:") if address else "",
        code=code_svg(address) if address else "",
        told=words.say("QR code of the address beside it") if address else "",
    )


def _cautions(cautions: tuple[Caution, ...], heading: str, notes: Notes) -> list[Block]:
    texts = tuple(caution_text(caution, notes) for caution in cautions)
    return [Heading(heading, 2), Items(texts)] if texts else []


def _reading_help(words: Words) -> list[Block]:
    say = words.say
    texts = (
        say("Each line is one printed statement; nothing is averaged or interpolated."),
        say("≈ marks a number converted for you: only the printed one counts."),
        say("≠ marks documents that print different limits, both of which may hold for you."),
        say(
            "read: seen in the source's text (solid bar); quoted: seen in another document "
            "(dashed bar); from memory: not seen in print (dotted bar), it decides nothing."
        ),
        say("A pointed end of a bar: the source prints no limit on that side."),
        say("[n] points to the list of sources."),
    )
    return [Heading(say("How to read the tables"), 2), Items(texts, look="small")]
