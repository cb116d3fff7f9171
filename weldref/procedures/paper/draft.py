"""Write a reading as a workbook to confirm in, and read it back; or as text for a terminal.

The sheet of values has a line for each value, doubtful ones first: what the field is, what was
read, what it should say, and whether a person has confirmed it, with the picture beside it. The
other texts of the paper (labels, headings) are on a sheet of their own, to be corrected too.
"""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

from weldref.cells import put_text
from weldref.errors import InputError
from weldref.files import write_whole
from weldref.procedures import limits
from weldref.procedures.paper.page import Sheet, box_of, cutter
from weldref.procedures.paper.reading import NOT_UNDERSTOOD, Cell, Reading, Value
from weldref.text import clean, paragraph, table

VALUES, TEXTS, ABOUT = "weldref reading", "Other texts", "About"
WIDTHS = {
    "Field": 30, "Label on paper": 24, "Doubt": 30, "Picture": 34, "Read": 24, "Should say": 24,
    "Confirmed": 11, "Read as": 24, "Page": 6, "Row": 6, "Column": 8, "Box": 22,
}  # fmt: skip
"""The columns of the workbook, with their widths."""
HEADINGS = tuple(WIDTHS)
YES = ("yes", "y", "x", "ja", "sí", "si", "true", "1")
"""What a person may write to confirm a value."""
MOST_PICTURES = 300
HELP = (
    "Compare every value with its picture. Correct it under 'Should say' where it is wrong, and "
    "write yes under 'Confirmed'.",
    "A value that is not confirmed is audited only with --unconfirmed.",
    "A label that was read wrongly is corrected on the sheet 'Other texts'.",
)


def draft_xlsx(reading: Reading) -> bytes:
    """Write the workbook."""
    from openpyxl import Workbook
    from openpyxl.drawing.image import Image
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter

    book = Workbook()
    values: Any = book.active
    values.title = VALUES
    texts, about = book.create_sheet(TEXTS), book.create_sheet(ABOUT)
    bold, mark = Font(bold=True), PatternFill("solid", fgColor="FFF2CC")

    def put(sheet: Any, row: int, cells: tuple[object, ...]) -> None:
        for column, text in enumerate(cells, 1):
            cell = sheet.cell(row, column, text)
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            if isinstance(text, str):
                put_text(cell, text)

    cut = cutter(reading.sheets)
    listed = in_order(reading.values())
    for sheet in (values, texts):
        put(sheet, 1, HEADINGS)
        for column, width in enumerate(WIDTHS.values(), 1):
            sheet.cell(1, column).font = bold
            sheet.column_dimensions[get_column_letter(column)].width = width
        sheet.freeze_panes = "A2"
    for row, value in enumerate(listed, 2):
        label = value.label.text if value.label else ""
        put(values, row, _line(value.cell, value.title, label, value.doubt, value.said))
        if value.doubt:
            values.cell(row, 3).fill = mark
        if row - 2 < MOST_PICTURES and (picture := cut(value.cell.page, value.cell.box)):
            image = Image(io.BytesIO(picture))
            scale = min(1.0, 230 / image.width, 60 / image.height)
            image.width, image.height = int(image.width * scale), int(image.height * scale)
            values.add_image(image, f"D{row}")
            values.row_dimensions[row].height = max(18, image.height * 0.75 + 4)
    shown = {value.cell.place for value in listed}
    rest = (cell for cell in reading.cells if cell.place not in shown)
    for row, cell in enumerate(rest, 2):
        put(texts, row, _line(cell, "", "", cell.doubt, ""))
    sizes = (("Page", round(page.width, 1), round(page.height, 1)) for page in reading.sheets)
    for row, told in enumerate((("File", reading.file), ("SHA-256", reading.digest), *sizes), 1):
        put(about, row, told)
    for row, text in enumerate(HELP, 4 + len(reading.sheets)):
        about.cell(row, 1, text)
    about.column_dimensions["A"].width = 16
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


def _line(cell: Cell, field: str, label: str, doubt: str, said: str) -> tuple[object, ...]:
    box = " ".join(f"{edge:.1f}" for edge in cell.box)
    done = "yes" if cell.confirmed else ""
    return (field, label, doubt, "", cell.read, cell.text, done, said,
            cell.page, cell.row, cell.column, box)  # fmt: skip


def in_order(values: tuple[Value, ...]) -> list[Value]:
    """Put what is doubtful first, then what is not understood, else as on the paper."""
    return sorted(values, key=lambda one: (not one.doubt, not one.field.startswith(NOT_UNDERSTOOD)))


def save_draft(reading: Reading, path: Path, read_from: Path | None = None) -> Path:
    """Save a reading as XLSX or JSON, as the name of the file ends.

    Raises `InputError` if the ending is another, or the file cannot be written.
    """
    ending = path.suffix.casefold()
    if ending not in (".xlsx", ".json"):
        raise InputError(f"output: '{path}' must end in .xlsx or .json")
    data = draft_xlsx(reading) if ending == ".xlsx" else reading.as_json()
    write_whole(path, data, "output", [read_from] if read_from else ())
    return path


def is_draft(data: bytes) -> bool:
    """Whether a file is a workbook that `draft_xlsx` wrote.

    >>> is_draft(b"PK"), is_draft(b"WPS No.,7")
    (False, False)
    """
    if not data.startswith(b"PK"):
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed, packed.open("xl/workbook.xml") as part:
            return f'name="{VALUES}"'.encode() in part.read(20_000)
    except Exception:  # a damaged archive fails in many ways, and is refused by who reads it
        return False


def draft_from(data: bytes) -> Reading:
    """Read a workbook back that a person has worked in.

    Raises `InputError` if it is damaged, or a line of it is not whole; the message names the
    line.
    """
    import openpyxl

    limits.check_size(data, "xlsx")
    limits.check_workbook(data)
    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
        lines = {name: list(book[name].iter_rows(values_only=True)) for name in book.sheetnames}
    except Exception as error:  # a damaged workbook fails in the library in many ways
        raise InputError("procedure: the XLSX file is damaged: it cannot be opened") from error
    if not {VALUES, TEXTS, ABOUT} <= set(lines):
        raise InputError(f"procedure: the draft lacks a sheet; it has {VALUES}, {TEXTS}, {ABOUT}")
    cells = [
        _cell(line, f"{name}, line {number}")
        for name in (VALUES, TEXTS)
        for number, line in enumerate(lines[name][1:], 2)
        if any(part is not None for part in line)
    ]
    cells.sort(key=lambda cell: (cell.page, cell.row, cell.column))
    about = [line for line in lines[ABOUT] if line and line[0] is not None]
    said = {str(line[0]): str(line[1]) for line in about if len(line) > 1}
    sizes = [line[1:3] for line in about if line[0] == "Page"]
    try:
        sheets = tuple(Sheet(float(wide), float(tall), b"") for wide, tall in sizes)  # type: ignore[arg-type]
    except (TypeError, ValueError) as error:
        raise InputError("procedure: sheet About of the draft does not give its pages") from error
    return Reading(said.get("File", ""), said.get("SHA-256", ""), sheets, tuple(cells))


def _cell(line: tuple[Any, ...], at: str) -> Cell:
    said = dict(zip(HEADINGS, line, strict=False))
    try:
        return Cell(
            int(said["Page"]),
            int(said["Row"]),
            int(said["Column"]),
            box_of(str(said["Box"]).split()),
            _text(said["Read"]),
            _text(said["Should say"]),
            _text(said["Doubt"]),
            _text(said["Confirmed"]).casefold() in YES,
        )
    except (TypeError, ValueError, KeyError, OverflowError) as error:
        raise InputError(
            f"procedure: {at}: page, row, column or box is missing; leave these columns as they are"
        ) from error


def _text(value: object) -> str:
    return "" if value is None else limits.without_apostrophe(str(value))


def reading_text(reading: Reading, *, whole: bool) -> str:
    """Say how many values were read and which are doubtful; `whole` lists every value."""
    values = in_order(reading.values())
    doubtful = [value for value in values if value.doubt]
    strange = [value for value in values if value.field.startswith(NOT_UNDERSTOOD)]
    left = sum(not value.cell.confirmed for value in values)
    head = (
        f"{clean(reading.file)}: {len(values)} values read by machine, {left} not confirmed; "
        f"{len(doubtful)} doubtful, {len(strange)} not understood. Compare each with the paper."
    )
    rows = [
        tuple(map(clean, (value.title, value.cell.text, value.doubt, value.cell.page)))
        for value in (values if whole else doubtful)
    ]
    listed = [table(("field", "read", "doubt", "page"), rows)] if rows else []
    return "\n".join([paragraph(head), *listed])
