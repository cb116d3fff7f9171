"""Put practice sheets, their key and a reference sheet together.

The sheets show a code; only the key shows the seed, from which everything can be drawn again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from weldref.errors import InputError
from weldref.handouts.answers import (
    KEY_HEADER,
    SHEET_HEADER,
    exercise,
    key_record,
    key_row,
    reference_blocks,
)  # fmt: skip
from weldref.handouts.arithmetic import TOLERANCE
from weldref.handouts.blocks import (
    Blanks,
    Block,
    Break,
    Document,
    Facts,
    Heading,
    Paragraph,
    Rows,
    Table,
)  # fmt: skip
from weldref.handouts.output import check_place, check_tools, write
from weldref.handouts.practice_draw import SHORT_SEED, Practice, Sheet, practice
from weldref.handouts.practice_qti import qti_package
from weldref.handouts.texts import Notes, dataset_line
from weldref.handouts.words import later

HOW_TO_ANSWER = later(
    "Each ticket is right, has one mistake, or leaves out what decides. Say for each: right, wrong "
    "or what to ask, why, and which published source says so."
)

REFERENCE_HEADER = ("quantity", "range", "for", "read [source]")


def make_practice(
    output: str | Path,
    *,
    key: str | Path | Sequence[str | Path] | None = None,
    reference: str | Path | None = None,
    qti: str | Path | None = None,
    **how: Any,
) -> tuple[Path, ...]:
    """Write practice sheets and their key; the ending picks PDF, HTML or CSV.

    Parameters
    ----------
    output
        The file of the sheets, one sheet after the other.
    key
        The file of the key, or several; beside the sheets as ``NAME.key.pdf`` when left out.
    reference
        A file of the published rows that answer the sheets, for the class to look up.
    qti
        A ``.zip`` for a learning platform (IMS QTI 2.1), with the answers.
    **how
        ``seed``, ``sheets``, ``level``, ``process``, ``metal``, ``thickness``, ``topic``,
        ``language``, ``paper``, ``title``, ``date``: see `weldref.handouts.practice_draw.practice`.

    Returns
    -------
    tuple of Path
        The files written, that of the sheets first, then those of the key.

    Raises
    ------
    InputError
        If anything is not accepted; then no file is written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = make_practice(Path(folder) / "friday.csv", level="first-week")
    ...     [path.name for path in made]
    ['friday.csv', 'friday.key.csv']
    """
    check_tools()
    output = Path(output)
    given = [key] if isinstance(key, (str, Path)) else list(key or ())
    keys = [Path(one) for one in given] or [output.with_suffix(f".key{output.suffix}")]
    beside = [Path(reference)] if reference else []
    places = {"--output": [output], "--key": keys, "--reference": beside}
    for option, paths in places.items():
        for path in paths:
            check_place(path, option)
    files = [path.resolve() for paths in places.values() for path in paths]
    if len(set(files)) < len(files):
        raise InputError("--key: the key needs a file of its own; give another name")
    if qti:
        check_place(Path(qti), "--qti", (".zip",))
    made = practice(**how)
    solved = key_document(made)
    written: list[tuple[Document | bytes, Path]] = [(sheet_document(made), output)]
    written += [(solved, path) for path in keys]
    written += [(reference_document(made), path) for path in beside]
    written += [(qti_package(made), Path(qti))] if qti else []
    return tuple(write(written))


def _document(
    made: Practice, title: str, blocks: Sequence[Block], records: Sequence[tuple[Any, ...]] = ()
) -> Document:
    """Make a document of practice with its header and footer."""
    say, level = made.words.say, made.words.say(made.level)
    line = later("{title}, level {level}, code {code}")
    return Document(
        title=title,
        language=made.words.language,
        running=say(line, title=title, level=level, code=made.code),
        foot=dataset_line(made.store, made.words, made.date),
        blocks=tuple(blocks),
        paper=made.paper,
        date=made.date,
        records=tuple(records),
    )


def sheet_document(made: Practice) -> Document:
    """Put together the sheets of the class."""
    say, notes = made.words.say, Notes(made.store, made.words)
    blocks: list[Block] = []
    records: list[tuple[Any, ...]] = [SHEET_HEADER]
    warning = say(
        "Every setting on this sheet is invented for practice: do not weld or cut by it. The "
        "governing code, the consumable maker's data and a qualified person decide."
    )
    for sheet in made.sheets:
        blocks += [Break()] if blocks else []
        blocks += [
            Heading(sheet_title(made, sheet), 1),
            Paragraph(warning, "box"),
            Blanks((say("Name"), say("Date")), 2),
        ]
        if sheet.tickets:
            blocks += [Heading(say("Job tickets"), 2), Paragraph(say(HOW_TO_ANSWER))]
        for number, (one, _) in enumerate(sheet.asked, 1):
            if number == len(sheet.tickets) + 1:
                within = say(
                    "Write the unit. An answer within {percent} % is right.", percent=TOLERANCE
                )
                blocks += [Heading(say("Numbers to find"), 2), Paragraph(within)]
            block = exercise(number, one, notes)
            blocks.append(block)
            records.append((sheet.number, number, block.title, "".join(block.given)))
        if made.left_out:
            blocks.append(Paragraph(_left_out_text(made), "small"))
    return _document(made, made.title, blocks, records)


def key_document(made: Practice) -> Document:
    """Put together the answers: verdict, reasoning and source of every line."""
    say, notes = made.words.say, Notes(made.store, made.words)
    title = say("Key: {title}", title=made.title)
    by_whom = say(
        "Every verdict here is what weldref check, or weldref audit of a procedure, says with the "
        "dataset named below; a mark points to the sources at the end."
    )
    columns = (
        (say("no."), 0.35), (say("ticket"), 2.1), (say("answer"), 1.3),
        (say("reasoning and source"), 3.6),
    )  # fmt: skip
    blocks: list[Block] = [
        Heading(title, 0), Facts(tuple(_drawn_by(made))), Paragraph(by_whom),
    ]  # fmt: skip
    records: list[tuple[Any, ...]] = [KEY_HEADER]
    for sheet in made.sheets:
        rows = []
        for number, (one, findings) in enumerate(sheet.asked, 1):
            rows.append(key_row(number, one, findings, notes))
            records.append(key_record(sheet.number, one, rows[-1], notes))
        if len(made.sheets) > 1:
            blocks.append(Heading(sheet_title(made, sheet), 1))
        blocks.append(Table.of(columns, Rows("", tuple(rows))))
    return _document(made, title, [*blocks, *notes.sources(1)], records)


def _drawn_by(made: Practice) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield what the sheets can be drawn again from, and what they lack."""
    say = made.words.say
    yield say("Seed"), (made.seed,)
    yield say("Code on the sheets"), (made.code,)
    if made.about:
        yield say("About"), (made.about,)
    if len(made.seed) < SHORT_SEED:
        short = say("This seed is short: whoever guesses it can print this key.")
        yield say("Keep in mind"), (short,)
    if made.left_out:
        yield say("Keep in mind"), (_left_out_text(made),)


def _left_out_text(made: Practice) -> str:
    """Name the topics for which the tables hold nothing to draw from."""
    names = made.words.listed(made.words.say(name) for name in made.left_out)
    return made.words.say(
        "Not on these sheets, because nothing is printed to draw them from for this class: {names}",
        names=names,
    )


def reference_document(made: Practice) -> Document:
    """Put together the published rows that answer the sheets, and no others."""
    say, notes = made.words.say, Notes(made.store, made.words)
    title = say("Reference: {title}", title=made.title)
    blocks: list[Block] = [
        Heading(title, 0),
        Paragraph(say("The printed rows that decide the tickets, and no others."), "lead"),
        *reference_blocks(made, notes),
        *notes.sources(1),
    ]
    groups = (group for one in blocks if isinstance(one, Table) for group in one.groups)
    cells = [(group.title, *cells) for group in groups for cells in group.rows]
    return _document(made, title, blocks, [REFERENCE_HEADER, *cells])


def sheet_title(made: Practice, sheet: Sheet) -> str:
    """Name one sheet of several."""
    title, count = made.title, len(made.sheets)
    of = later("{title}, {number} of {count}")
    return made.words.say(of, title=title, number=sheet.number, count=count) if count > 1 else title
