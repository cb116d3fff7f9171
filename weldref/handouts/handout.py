"""Put a handout together: every situation with its settings, choices, cautions and sources."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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
from weldref.handouts.conversion import Converter
from weldref.handouts.facts import caution_text, worked_texts
from weldref.handouts.link import code_svg, situation_address
from weldref.handouts.output import check_place, check_tools, draw_and_write
from weldref.handouts.records import HANDOUT_HEADER, handout_records
from weldref.handouts.school import school
from weldref.handouts.selection import Given, Selection, select
from weldref.handouts.settings import Settings, settings_for
from weldref.handouts.sources import Notes, dataset_line
from weldref.handouts.tables import Printed, also_seen_table, settings_table
from weldref.handouts.titles import note_text, situation_spelled, situation_title
from weldref.handouts.wall_chart import chart_blocks
from weldref.handouts.words import Words

PAPERS = {
    "letter": "us-letter", "a4": "a4", "tabloid": "us-tabloid", "a3": "a3", "a2": "a2",
}  # fmt: skip
"""What typst calls a paper."""


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
        Likewise; rows of one code stand as settings only where that code is named.
    own
        Own tables, as `weldref.check` takes them; their rows stand under a heading of their own.
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
    return tuple(path for path, _ in print_handout(Path(output), conditions, own, **how))


def print_handout(
    output: Path, conditions: Mapping[str, Given], own: OwnGiven = None, **how: Any
) -> tuple[tuple[Path, Drawn], ...]:
    """Write a handout as `make_handout` does; return its place, its pages and its type size."""
    check_tools()
    check_place(output)
    store = open_tables(own)
    return draw_and_write([(handout(store, select(store, conditions, **how)), output)])


@dataclass(frozen=True, slots=True)
class _Page:
    """A situation with all that the sheet says of it."""

    situation: Situation
    settings: Settings
    cautions: tuple[Caution, ...]


def handout(store: Store, selection: Selection) -> Document:
    """Put together a handout of any kind."""
    say = selection.words.say
    if selection.kind == "wall-chart":
        return _document(store, selection, *_wall_chart(store, selection), template="chart")
    if selection.kind in ("bench-card", "half-card"):
        return _document(store, selection, *_bench_cards(store, selection), template="card")
    pages = [
        _Page(one, settings_for(store, one, selection), cautions_for(store, one))
        for one in selection.situations
    ]
    notes = Notes(store, selection.words)
    shared = _shared_cautions(pages) if len(pages) > 1 else ()
    blocks: list[Block] = []
    if len(pages) > 1:
        blocks += [
            Heading(_title(store, selection), 0),
            Paragraph(say(NOT_APPROVAL), "box"),
            Contents(say("Situations")),
            *_cautions(shared, say("Cautions for every situation"), selection.words, notes),
            Break(),
        ]
    else:
        blocks.append(Paragraph(say(NOT_APPROVAL), "box"))
    printed = Printed()
    for page in pages:
        blocks += _situation(store, selection, page, notes, shared, printed)
    blocks += [Heading(say("Sources"), 1), Items(notes.texts(), 1, "small")]
    blocks += _reading_help(selection.words)
    return _document(store, selection, blocks, [(page.situation, page.settings) for page in pages])


def _bench_cards(
    store: Store, selection: Selection
) -> tuple[list[Block], list[tuple[Situation, Settings]]]:
    blocks: list[Block] = []
    for one in selection.situations:
        blocks += [Break()] if blocks else []
        blocks += [_masthead(store, selection, one), *card_blocks(store, selection, one)]
    return blocks, [(one, settings_for(store, one, selection)) for one in selection.situations]


def _wall_chart(
    store: Store, selection: Selection
) -> tuple[list[Block], list[tuple[Situation, Settings]]]:
    grid, say = grid_of(store, selection), selection.words.say
    blocks: list[Block] = []
    for part in grid.parts(selection.pages):
        notes = Notes(store, selection.words)
        blocks += [Break()] if blocks else []
        blocks += [
            Heading(_title(store, selection), 0),
            *chart_blocks(store, selection, part, notes),
            Paragraph(say(NOT_APPROVAL), "box"),
            *_cautions(cautions_for(store, part.shared), say("Cautions"), selection.words, notes),
            Heading(say("Sources"), 2),
            Items(notes.texts(), 1, "small"),
        ]
    return blocks, grid.settings()


def _title(store: Store, selection: Selection) -> str:
    say = selection.words.say
    if selection.title:
        return selection.title
    if store.instead:
        return say("Own welding settings, not published")
    return say("Published welding settings")


def _document(
    store: Store,
    selection: Selection,
    blocks: Sequence[Block],
    situations: Sequence[tuple[Situation, Settings]],
    template: Template = "page",
) -> Document:
    say = selection.words.say
    used, date = described(store), selection.date.isoformat()
    return Document(
        title=_title(store, selection),
        language=selection.words.language,
        running=_title(store, selection),
        foot=dataset_line(store, selection.words, date),
        page=say("page {page} of {pages}", page="{page}", pages="{pages}"),
        blocks=tuple(blocks),
        template=template,
        paper=PAPERS[selection.paper],
        landscape=selection.landscape or template == "chart" or selection.kind == "half-card",
        columns=2 if selection.kind == "half-card" else 1,
        date=date,
        school=school(selection.school),
        records=(
            (*HANDOUT_HEADER, "own tables") if used else HANDOUT_HEADER,
            *handout_records(store, selection, situations),
        ),
    )


def _situation(
    store: Store,
    selection: Selection,
    page: _Page,
    notes: Notes,
    said_before: tuple[Caution, ...],
    printed: Printed,
) -> list[Block]:
    """Write the blocks of one situation."""
    words, say = selection.words, selection.words.say
    converter = Converter(store)
    situation = page.situation
    printed.title = situation_title(situation, words)
    blocks: list[Block] = [_masthead(store, selection, situation)]
    used = described(store)
    own_heading = used and say("Own rows of {name}, not published", name=used["name"])
    if own_heading and store.instead:
        blocks.append(Heading(own_heading, 2))
        instead = say("No setting on this sheet is published: own rows are shown instead.")
        blocks.append(Paragraph(instead, "box"))
    else:
        blocks.append(Heading(say("Published settings"), 2))
    if page.settings.groups:
        shown = selection.shown
        blocks.append(settings_table(page.settings, words, notes, converter, shown, printed))
    else:
        blocks.append(
            Paragraph(say("no own range") if store.instead else say("no published range"))
        )
    if page.settings.left_out:
        blocks.append(
            Paragraph(
                say(
                    "Rows not printed here, because they tell what somebody once used or "
                    "measured, or are in doubt: {count}.",
                    count=page.settings.left_out,
                ),
                "small",
            )
        )
    if page.settings.also_seen:
        blocks += [
            Heading(say("Also seen: somebody's own use or tests, or in doubt"), 2),
            also_seen_table(page.settings.also_seen, words, notes, converter, selection.shown),
        ]
    if own_heading and page.settings.own:
        blocks += [
            Heading(own_heading, 2),
            also_seen_table(page.settings.own, words, notes, converter, selection.shown),
        ]
    matches = find(store, situation, None, selection.grade)
    if "process" in situation.terms:
        found = card_of(store, situation, {}, selection.grade, 1)
        facts = choice_texts(choice_rows(situation, found, matches, notes, selection.grade), words)
        pairs = tuple((label, _or_before(texts, printed, words)) for label, texts in facts)
        blocks += [Heading(say("The choices around it, as published"), 2), Facts(pairs)]
    worked = worked_texts(store, situation, matches, words, notes)
    if worked and not printed.before(worked):
        blocks += [Heading(say("Heat input, worked once"), 2)]
        blocks += [Paragraph(text) for text in worked]
    own = tuple(c for c in page.cautions if c not in said_before)
    heading = say("Further cautions") if said_before else say("Cautions")
    blocks += _cautions(own, heading, words, notes)
    return blocks


def _or_before(texts: tuple[str, ...], printed: Printed, words: Words) -> tuple[str, ...]:
    """Point to texts that stand under another situation in the same words, if they are long."""
    first = printed.before(texts) if sum(map(len, texts)) > 80 else ""
    return (words.say("as printed for {situation}", situation=first),) if first else texts


def _masthead(store: Store, selection: Selection, situation: Situation) -> Masthead:
    words = selection.words
    address = code = ""
    if selection.address:
        address = situation_address(selection.address, situation)
        code = code_svg(address)
    return Masthead(
        title=situation_title(situation, words),
        lead=situation_spelled(store, situation, words),
        notes=tuple(note_text(note, words) for note in situation.notes),
        address=address,
        caption=words.say("Try your own values at this address:") if address else "",
        code=code,
        told=words.say("QR code of the address beside it") if address else "",
    )


def _shared_cautions(pages: list[_Page]) -> tuple[Caution, ...]:
    first, *others = pages
    return tuple(c for c in first.cautions if all(c in page.cautions for page in others))


def _cautions(
    cautions: tuple[Caution, ...], heading: str, words: Words, notes: Notes
) -> list[Block]:
    if not cautions:
        return []
    texts = (caution_text(caution, words, notes) for caution in cautions)
    return [Heading(heading, 2), Items(tuple(texts))]


def _reading_help(words: Words) -> list[Block]:
    say = words.say
    return [
        Heading(say("How to read the tables"), 2),
        Items(
            (
                say("Each line is one printed statement; nothing is averaged or interpolated."),
                say("≈ marks a number converted for you: only the printed one counts."),
                say(
                    "≠ marks documents that print different limits, both of which may hold for you."
                ),
                say(
                    "read: seen in the source's text (solid bar); quoted: seen in another document "
                    "(dashed bar); from memory: not seen in print (dotted bar), it decides nothing."
                ),
                say("A pointed end of a bar: the source prints no limit on that side."),
                say("[n] points to the list of sources."),
            ),
            look="small",
        ),
    ]
