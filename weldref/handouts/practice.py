"""Put a practice sheet and its key together, drawn by a seed and judged by the engine."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from weldref.data.store import Store, open_store
from weldref.errors import InputError
from weldref.handouts.answers import (
    KEY_HEADER,
    SHEET_HEADER,
    exercise,
    key_record,
    key_row,
    question_exercise,
    question_key,
    question_record,
    question_sheet_record,
    sheet_record,
)  # fmt: skip
from weldref.handouts.arithmetic import QUESTIONS, TOLERANCE, Question
from weldref.handouts.blocks import (
    Blanks,
    Block,
    Break,
    Column,
    Document,
    Heading,
    Items,
    Paragraph,
    Rows,
    Table,
)  # fmt: skip
from weldref.handouts.mistakes import Draw, ticket
from weldref.handouts.output import check_place, check_tools, write
from weldref.handouts.selection import LONGEST_TITLE, day, line, one_of
from weldref.handouts.sources import Notes
from weldref.handouts.tickets import Finding, Ticket
from weldref.handouts.words import Words, later, words

PAPERS = {"letter": "us-letter", "a4": "a4"}
MOST_SHEETS = 60

# What a sheet holds: tickets with or without a planted mistake ("?" leaves it to chance), then
# questions.
LEVELS: dict[str, tuple[tuple[tuple[str, str], ...], tuple[str, ...]]] = {
    later("first-week"): (
        (
            ("setting", "yes"), ("setting", "no"), ("setting", "?"), ("polarity", "?"),
            ("unit", "yes"), ("unit", "no"),
        ),
        ("wire", "throat"),
    ),
    later("bench"): (
        (
            ("setting", "yes"), ("setting", "no"), ("polarity", "?"), ("gas", "?"),
            ("unit", "?"), ("heat", "yes"), ("heat", "no"),
        ),
        ("heat", "start"),
    ),
    later("inspector"): (
        (
            ("setting", "?"), ("preheat", "yes"), ("preheat", "no"), ("depends", "yes"),
            ("polarity", "?"), ("gas", "yes"), ("heat", "?"),
        ),
        ("heat", "carbon", "labor"),
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Sheet:
    """One practice sheet: its tickets with what the engine says of each, and its questions."""

    number: int
    tickets: tuple[tuple[Ticket, tuple[Finding, ...]], ...]
    questions: tuple[Question, ...]


def make_practice(
    output: str | Path,
    *,
    seed: int = 1,
    sheets: int = 1,
    level: str = "bench",
    key: str | Path | None = None,
    language: str = "en",
    paper: str = "letter",
    title: str = "",
    date: datetime.date | str | None = None,
) -> tuple[Path, ...]:
    """Write practice sheets and their key; the ending picks PDF, HTML or CSV.

    Parameters
    ----------
    output
        The file of the sheets, one sheet after the other.
    seed
        Sheets of one seed, level and dataset are always the same.
    sheets
        How many different sheets.
    level
        "first-week", "bench" or "inspector".
    key
        The file of the key; beside the sheets as ``NAME.key.pdf`` when left out.
    language, paper, title, date
        As for `weldref.handouts.make_handout`.

    Returns
    -------
    tuple of Path
        The file of the sheets and the file of the key.

    Raises
    ------
    InputError
        If anything is not accepted; then no file is written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = make_practice(Path(folder) / "friday.csv", seed=7, level="first-week")
    ...     [path.name for path in made]
    ['friday.csv', 'friday.key.csv']
    """
    check_tools()
    output = Path(output)
    answers = Path(key) if key else output.with_suffix(f".key{output.suffix}")
    check_place(output)
    check_place(answers, "--key")
    if output.resolve() == answers.resolve():
        raise InputError("--key: the key needs a file of its own; give another name")
    drawn, solved = practice_documents(
        seed=seed,
        sheets=sheets,
        level=level,
        language=language,
        paper=paper,
        title=title,
        date=date,
    )
    return write([(drawn, output), (solved, answers)])


def practice_documents(
    *,
    seed: int = 1,
    sheets: int = 1,
    level: str = "bench",
    language: str = "en",
    paper: str = "letter",
    title: str = "",
    date: datetime.date | str | None = None,
) -> tuple[Document, Document]:
    """Put together practice sheets and their key (see `make_practice`).

    Raises
    ------
    InputError
        If anything is not accepted.

    Examples
    --------
    >>> [document.title for document in practice_documents(seed=7, level="first-week")]
    ['Practice sheet', 'Key: Practice sheet']
    """
    one_of("--level", level, tuple(LEVELS))
    one_of("--paper", paper, tuple(PAPERS))
    if not 1 <= sheets <= MOST_SHEETS:
        raise InputError(f"--sheets: {sheets} is not accepted; give 1 to {MOST_SHEETS}")
    say = words(language)
    store = open_store()
    named = line("--title", title, LONGEST_TITLE) or say.say("Practice sheet")
    printed = day(date).isoformat()
    drawn = draw_sheets(store, seed, sheets, level)
    common = _Common(store, say, named, level, seed, sheets, PAPERS[paper], printed)
    return sheet_document(common, drawn), key_document(common, drawn)


def draw_sheets(store: Store, seed: int, sheets: int, level: str) -> tuple[Sheet, ...]:
    """Draw sheets that all differ."""
    found: list[Sheet] = []
    seen: set[str] = set()
    for number in range(1, sheets + 1):
        attempt = 0
        while True:
            sheet = _draw_sheet(store, f"{level} {seed} {number} {attempt}", number, level)
            asked = str([(one.conditions, one.readings) for one, _ in sheet.tickets])
            if asked not in seen:
                break
            attempt += 1
        seen.add(asked)
        found.append(sheet)
    return tuple(found)


def _draw_sheet(store: Store, seed: str, number: int, level: str) -> Sheet:
    draw = Draw(seed)
    slots, questions = LEVELS[level]
    tickets: list[tuple[Ticket, tuple[Finding, ...]]] = []
    for family, wanted in slots:
        planted = wanted == "yes" or (wanted == "?" and draw.between(0, 1) < 0.5)
        for _ in range(20):
            drawn = ticket(store, draw, family, planted=planted)
            if all(drawn[0].conditions != other.conditions for other, _ in tickets):
                break
        tickets.append(drawn)
    return Sheet(
        number,
        tuple(draw.mixed(tickets)),
        tuple(QUESTIONS[name](store, draw) for name in questions),
    )


@dataclass(frozen=True, slots=True)
class _Common:
    """What the sheets and their key share."""

    store: Store
    words: Words
    title: str
    level: str
    seed: int
    sheets: int
    paper: str
    date: str

    def document(
        self, title: str, blocks: Sequence[Block], records: Sequence[tuple[Any, ...]]
    ) -> Document:
        """Put blocks into a document with the running lines of practice."""
        say = self.words.say
        (dataset,) = self.store.rows("SELECT version, digest FROM dataset")
        return Document(
            title=title,
            language=self.words.language,
            running=say(
                "{title}, level {level}, seed {seed}",
                title=title,
                level=say(self.level),
                seed=self.seed,
            ),
            foot=say(
                "dataset {version}, {digest}; printed {date}",
                version=dataset["version"],
                digest=dataset["digest"][:12],
                date=self.date,
            ),
            page=say("page {page} of {pages}", page="{page}", pages="{pages}"),
            blocks=tuple(blocks),
            paper=self.paper,
            date=self.date,
            records=tuple(records),
        )


def sheet_document(common: _Common, sheets: Sequence[Sheet]) -> Document:
    """Put together what the class gets."""
    say = common.words.say
    blocks: list[Block] = []
    for sheet in sheets:
        if blocks:
            blocks.append(Break())
        blocks += [
            Heading(_sheet_title(common, sheet), 1),
            Paragraph(
                say(
                    "Every setting on this sheet is invented for practice: do not weld or cut by "
                    "it. The governing code, the consumable maker's data and a qualified person "
                    "decide."
                ),
                "box",
            ),
            Blanks((say("Name"), say("Date")), 2),
            Heading(say("Job tickets"), 2),
            Paragraph(
                say(
                    "Each ticket is right, has one mistake, or leaves out what decides. Say for "
                    "each: right, wrong or what to ask, why, and which published source says so."
                )
            ),
        ]
        number = 0
        for one, _ in sheet.tickets:
            number += 1
            blocks.append(exercise(common.store, number, one, common.words))
        blocks += [
            Heading(say("Arithmetic"), 2),
            Paragraph(
                say("Write the unit. An answer within {percent} % is right.", percent=TOLERANCE)
            ),
        ]
        for question in sheet.questions:
            number += 1
            blocks.append(question_exercise(number, question, common.words))
    records = [SHEET_HEADER, *_sheet_records(common, sheets)]
    return common.document(common.title, blocks, records)


def key_document(common: _Common, sheets: Sequence[Sheet]) -> Document:
    """Put together the answers: verdict, reasoning and source of every line."""
    say = common.words.say
    title = say("Key: {title}", title=common.title)
    notes = Notes(common.store, common.words)
    blocks: list[Block] = [
        Heading(title, 0),
        Paragraph(
            say(
                "Every verdict here is what weldref check says of the ticket with the dataset "
                "named below; a mark points to the sources at the end."
            )
        ),
    ]
    for sheet in sheets:
        rows = [
            key_row(common.store, index, one, findings, common.words, notes)
            for index, (one, findings) in enumerate(sheet.tickets, 1)
        ]
        first = len(rows) + 1
        rows += [
            question_key(index, question, common.words, notes)
            for index, question in enumerate(sheet.questions, first)
        ]
        if common.sheets > 1:
            blocks.append(Heading(_sheet_title(common, sheet), 1))
        blocks += [
            Table(
                (
                    Column(say("no."), 0.35),
                    Column(say("ticket"), 2.1),
                    Column(say("answer"), 1.3),
                    Column(say("reasoning and source"), 3.6),
                ),
                (Rows("", tuple(rows)),),
            ),
        ]
    blocks += [Heading(say("Sources"), 1), Items(notes.texts(), 1, "small")]
    records = [KEY_HEADER, *_key_records(common, sheets)]
    return common.document(title, blocks, records)


def _sheet_title(common: _Common, sheet: Sheet) -> str:
    if common.sheets == 1:
        return common.title
    return common.words.say(
        "{title}, {number} of {count}",
        title=common.title,
        number=sheet.number,
        count=common.sheets,
    )


def _sheet_records(common: _Common, sheets: Sequence[Sheet]) -> Iterator[tuple[Any, ...]]:
    for sheet in sheets:
        for index, (one, _) in enumerate(sheet.tickets, 1):
            yield sheet_record(common.store, sheet.number, index, one, common.words)
        for index, question in enumerate(sheet.questions, len(sheet.tickets) + 1):
            yield question_sheet_record(sheet.number, index, question, common.words)


def _key_records(common: _Common, sheets: Sequence[Sheet]) -> Iterator[tuple[Any, ...]]:
    notes = Notes(common.store, common.words)
    for sheet in sheets:
        for index, (one, findings) in enumerate(sheet.tickets, 1):
            row = key_row(common.store, index, one, findings, common.words, notes)
            yield key_record(sheet.number, one, row, common.words, notes)
        for index, question in enumerate(sheet.questions, len(sheet.tickets) + 1):
            row = question_key(index, question, common.words, notes)
            yield question_record(sheet.number, row, notes)
