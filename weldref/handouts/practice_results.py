"""Mark the answers of a class to practice sheets, from a file of answers and the key."""

from __future__ import annotations

import csv
import datetime
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from weldref.core.units import parse_number
from weldref.errors import InputError
from weldref.handouts.arithmetic import TOLERANCE
from weldref.handouts.blocks import Block, Document, Heading, Paragraph, Rows, Table
from weldref.handouts.output import check_place, check_tools, write
from weldref.handouts.selection import LONGEST_TITLE, day, line, read_lines, sheet_paper
from weldref.handouts.tickets import ASK, RIGHT, WRONG
from weldref.handouts.words import LANGUAGES, words

KEY = ("sheet", "number", "situation", "expected", "unit")
ANSWERS = ("student", "sheet", "number", "answer")
LARGEST = 5_000_000
LONGEST_NAME = 80

Place = tuple[str, str]


class Marked(NamedTuple):
    """One answer of one student and what was expected; empty if not answered."""

    student: str
    sheet: str
    number: str
    answer: str
    expected: str
    mark: str


def make_results(
    output: str | Path,
    *,
    key: str | Path,
    answers: str | Path,
    language: str = "en",
    paper: str = "letter",
    title: str = "",
    date: datetime.date | str | None = None,
) -> tuple[Path, ...]:
    """Write which tickets each student missed, and which tickets the class missed most.

    Parameters
    ----------
    output
        The file to write; the ending picks PDF, HTML or CSV.
    key
        The key of the sheets as CSV.
    answers
        A CSV file with the columns student, sheet, number, answer. A ticket is answered by
        "right", "wrong" or "ask", a question by a number.
    language, paper, title, date
        As for `weldref.handouts.make_handout`.

    Raises
    ------
    InputError
        If a file, a line or anything else is not accepted; then no file is written.
    """
    check_tools()
    place = Path(output)
    check_place(place)
    printed_on = sheet_paper(paper)
    say = words(language).say
    named = line("--title", title, LONGEST_TITLE) or say("Results")
    asked = {(row["sheet"], row["number"]): row for _, row in read_table("KEY", Path(key), KEY)}
    marked = mark(asked, read_table("ANSWERS", Path(answers), ANSWERS))
    blocks = [Heading(named, 0), *_students(marked, say), *_tickets(marked, asked, say)]
    printed = day(date)
    document = Document(
        title=named,
        language=language,
        foot=say("printed {date}", date=printed),
        blocks=tuple(blocks),
        paper=printed_on,
        date=printed,
        records=(Marked._fields, *marked),
    )
    return tuple(write([(document, place)]))


def read_table(name: str, path: Path, columns: Sequence[str]) -> list[tuple[int, dict[str, str]]]:
    """Read the named columns of a CSV file, each line with its number."""
    reader = csv.DictReader(read_lines(name, path, LARGEST))
    for column in columns:
        if column not in (reader.fieldnames or ()):
            raise InputError(f"{name}: '{path.name}' lacks the column {column}")
    return [
        (reader.line_num, {column: (row[column] or "").strip() for column in columns})
        for row in reader
    ]


def mark(
    asked: dict[Place, dict[str, str]], given: Sequence[tuple[int, dict[str, str]]]
) -> list[Marked]:
    """Compare every answer with the key; what a student left out on a sheet counts as missed."""
    found: dict[str, dict[Place, str]] = defaultdict(dict)
    for number, row in given:
        place = (row["sheet"], row["number"])
        student = line(f"ANSWERS: line {number}: student", row["student"], LONGEST_NAME)
        if place not in asked:
            raise InputError(
                f"ANSWERS: line {number}: the key has no number '{place[1]}' on sheet '{place[0]}'"
            )
        if place in found[student]:
            raise InputError(
                f"ANSWERS: line {number}: {student} answered number {place[1]} of sheet "
                f"{place[0]} twice; keep one"
            )
        found[student][place] = row["answer"]
    marked = []
    for student, answers in found.items():
        sheets = {sheet for sheet, _ in answers}
        for place in (one for one in asked if one[0] in sheets):
            answer, expected = answers.get(place, ""), asked[place]["expected"]
            right = "right" if is_right(answer, expected) else "missed"
            marked.append(Marked(student, *place, answer, expected, right))
    return marked


def is_right(answer: str, expected: str) -> bool:
    """Tell whether an answer is the expected one.

    A word counts in any language of the handouts, a number within the tolerance, whatever its
    unit.

    >>> is_right("Wrong ", "wrong"), is_right("mal", "wrong"), is_right("24.9 kJ/in", "25.1")
    (True, True, True)
    >>> is_right("", "right"), is_right("about 25", "25")
    (False, False)
    """
    if expected in (RIGHT, WRONG, ASK):
        spoken = {expected, *(words(one).say(expected) for one in LANGUAGES)}
        return answer.casefold().strip() in {word.casefold() for word in spoken}
    number = parse_number(answer.split(" ")[0]) if answer else None
    wanted = float(expected)
    return number is not None and abs(number - wanted) <= abs(wanted) * TOLERANCE / 100 + 1e-9


def _students(marked: Sequence[Marked], say: Callable[..., str]) -> list[Block]:
    by_student: dict[str, list[Marked]] = defaultdict(list)
    for one in marked:
        by_student[one.student].append(one)
    lines = []
    for student, answers in by_student.items():
        sheets = ", ".join(dict.fromkeys(one.sheet for one in answers))
        missed = ", ".join(one.number for one in answers if one.mark == "missed") or "—"
        right = sum(one.mark == "right" for one in answers)
        counted = say("{right} of {count}", right=right, count=len(answers))
        lines.append((student, sheets, counted, missed))
    columns = (
        (say("student"), 2.2), (say("sheet"), 0.8), (say("right"), 0.9),
        (say("missed numbers"), 3.0),
    )  # fmt: skip
    return [Heading(say("By student"), 1), Table.of(columns, Rows("", tuple(lines)))]


def _tickets(
    marked: Sequence[Marked], asked: dict[Place, dict[str, str]], say: Callable[..., str]
) -> list[Block]:
    """List the tickets that were missed, the most missed first."""
    count = Counter((one.sheet, one.number) for one in marked)
    missed = Counter((one.sheet, one.number) for one in marked if one.mark == "missed")
    lines = []
    for place in sorted(count, key=lambda place: (-missed[place] / count[place], -missed[place])):
        if missed[place]:
            ticket = asked[place]
            of = say("{missed} of {count}", missed=missed[place], count=count[place])
            expected = f"{say(ticket['expected'])} {ticket['unit']}".strip()
            lines.append((f"{place[0]}.{place[1]}", ticket["situation"], of, expected))
    heading = Heading(say("What was missed"), 1)
    if not lines:
        return [heading, Paragraph(say("Nothing was missed."))]
    columns = (
        (say("sheet and number"), 0.9), (say("ticket"), 3.6), (say("missed by"), 0.9),
        (say("answer"), 1.0),
    )  # fmt: skip
    return [heading, Table.of(columns, Rows("", tuple(lines)))]
