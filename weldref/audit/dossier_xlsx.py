"""Write the dossier as a workbook for the manufacturer's replies, and read the replies."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from weldref.audit.dossier import Dossier, Reply
from weldref.cells import harmless
from weldref.errors import InputError
from weldref.procedures.limits import check_size, check_workbook
from weldref.text import clean

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

ANSWERS = "Findings"
COLUMNS: tuple[tuple[str, str, int], ...] = (
    ("number", "No.", 6),
    ("status", "Since last round", 12),
    ("severity", "Severity", 14),
    ("what", "Finding", 60),
    ("where", "Where", 30),
    ("value", "States", 18),
    ("expected", "Expected", 36),
    ("source", "Source", 28),
    ("closes", "What closes it", 36),
    ("reply", "Your reply", 36),
    ("closed", "Closed by, date", 18),
    ("key", "Identity: leave as it is", 30),
)
"""Columns of the sheet of findings: attribute of an item, heading, width."""

LONGEST = 2_000
"""The most characters of a reply that are read."""

MOST_ROWS = 5_000

Rows = Sequence[Sequence[object]]


def dossier_xlsx(made: Dossier) -> bytes:
    """Write a dossier as a workbook: findings to be answered, matrix, heat input, heading."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.worksheets[0])
    for title, columns, rows in _sheets(made):
        _write(book.create_sheet(title), columns, rows)
    data = io.BytesIO()
    book.save(data)
    return _undated(data.getvalue())


def _sheets(made: Dossier) -> Iterator[tuple[str, dict[str, int], Rows]]:
    """Each sheet with its headings and their widths, and its rows."""
    items = [*made.findings, *made.unchecked, *made.closed]
    yield (
        ANSWERS,
        {heading: width for _, heading, width in COLUMNS},
        [[getattr(item, name) for name, _, _ in COLUMNS] for item in items],
    )
    if made.matrix:
        yield (
            "Matrix",
            {"Variable": 28, "Clause": 20, "Kind": 14, "Procedure says": 28, "Record says": 28,
             "Qualified": 34, "State": 15, "Why, or the rule": 50, "Record": 12, "Source": 34,
             "Edition": 12, "Evidence": 12},
            [[one.variable, one.clause, one.role, one.claim, one.tested, one.qualified, one.state,
              one.why, one.record, f"{one.source_id}, {one.locator}".strip(", "), one.edition,
              one.grade] for one in made.matrix],
        )  # fmt: skip
    if made.corners:
        yield (
            "Heat input",
            {"Pass": 18, "Least": 56, "Greatest": 56, "Printed": 24},
            [[one["label"], one["least"], one["greatest"], one["printed"]] for one in made.corners],
        )
    yield (
        "In order",
        {"Rule": 24, "What was found in order": 70, "Where": 30, "Expected": 40, "Source": 36},
        [[one.rule, one.what, one.where, one.expected, one.source] for one in made.notes]
        + [[rule, f"Asked, and nothing found: {asks}", "", "", ""] for rule, asks in made.silent],
    )
    about = [
        *made.heading,
        ("Outcome", f"{made.outcome}: {made.counts}"),
        *([("Since the last round", made.since)] if made.since else []),
        *([("Matrix", made.matrix_counts)] if made.matrix else []),
        *(("Mind", text) for text in made.warnings),
        *((f"Severity: {name}", text) for name, text in made.severities.items()),
        *((f"State: {name}", text) for name, text in made.states.items()),
        *((f"Source: {name}", text) for name, text in made.sources),
    ]
    yield "About", {"Item": 28, "Value": 100}, [list(pair) for pair in about]


def _undated(workbook: bytes) -> bytes:
    """Remove the time of writing from a workbook, so that one report is always the same file."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook)) as dated, zipfile.ZipFile(out, "w") as packed:
        for name in dated.namelist():
            content = dated.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"\d{4}-\d\d-\d\dT[\d:]+Z", b"1980-01-01T00:00:00Z", content)
            packed.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _write(sheet: Worksheet, columns: dict[str, int], rows: Rows) -> None:
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter

    sheet.append(list(columns))
    for row in rows:
        sheet.append([_cell(value) for value in row])
    for cell in sheet[1]:
        cell.font = Font(bold=True)
        cell.fill = PatternFill("solid", fgColor="E6E6E6")
    for row_cells in sheet.iter_rows():
        for cell in row_cells:
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            if isinstance(cell.value, str):
                cell.data_type = "s"  # never a formula
    for turn, width in enumerate(columns.values(), 1):
        sheet.column_dimensions[get_column_letter(turn)].width = width
    sheet.freeze_panes = "A2"
    sheet.page_setup.orientation = "landscape"


def _cell(value: object) -> object:
    if isinstance(value, int):
        return value or None
    return harmless(clean(value))[:32_000]


def read_replies(path: Path) -> dict[str, Reply]:
    """Read a workbook that came back, by the key of each finding.

    Raises
    ------
    InputError
        If it is not the workbook of a dossier, or two rows have the same number.
    """
    try:
        data = path.read_bytes() if path.is_file() else b""
    except OSError as error:
        raise InputError(f"reply: '{path}' cannot be read: {error.strerror}") from error
    return replies_from(data, str(path))


def replies_from(data: bytes, name: str) -> dict[str, Reply]:
    """Read the replies of a workbook in memory (see `read_replies`)."""
    import openpyxl

    if not data:
        raise InputError(f"reply: '{name}' is not a file; give the XLSX of a dossier")
    try:
        check_size(data, "xlsx")
        check_workbook(data)
    except InputError as error:
        raise InputError(f"reply: '{name}': {str(error).partition(': ')[2]}") from error
    try:
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
            rows = list(book[ANSWERS].iter_rows(values_only=True, max_row=MOST_ROWS))
    except (KeyError, ValueError, OSError, zipfile.BadZipFile, TypeError) as error:
        raise InputError(
            f"reply: '{name}' has no sheet '{ANSWERS}' of a dossier; give the XLSX that was sent"
        ) from error
    headings = [str(cell or "").strip() for cell in rows[0]] if rows else []
    wanted = {part: heading for part, heading, _ in COLUMNS}
    missing = [wanted[part] for part in ("number", "reply", "closed", "key")
               if wanted[part] not in headings]  # fmt: skip
    if missing:
        raise InputError(
            f"reply: '{name}' has no column '{missing[0]}'; give the XLSX that was sent"
        )
    at = {part: headings.index(heading) for part, heading in wanted.items()
          if heading in headings}  # fmt: skip
    found: dict[str, Reply] = {}
    numbers: dict[int, int] = {}
    for line, row in enumerate(rows[1:], 2):
        cells = {part: row[turn] if turn < len(row) else None for part, turn in at.items()}
        key = _text(cells["key"])
        if not key:
            continue  # a row that the manufacturer added
        number = _number(cells["number"], name, line)
        if number in numbers:
            raise InputError(
                f"reply: '{name}' row {line}: number {number} is in row {numbers[number]} too"
            )
        numbers[number] = line
        found[key] = Reply(
            number, _text(cells.get("what")), _text(cells["reply"]), _text(cells["closed"])
        )
    return found


def _text(value: Any) -> str:
    text = clean("" if value is None else value).strip()[:LONGEST]
    return text.removeprefix("'")


def _number(value: Any, name: str, line: int) -> int:
    try:
        number = int(value)
    except (TypeError, ValueError, OverflowError):
        number = 0
    if not 0 < number < 1_000_000:
        raise InputError(
            f"reply: '{name}' row {line}: '{clean(value)}' is not the number of a finding; leave "
            "the column 'No.' as it was"
        )
    return number
