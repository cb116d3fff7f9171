"""Write the form of a procedure as XLSX, CSV, JSON or YAML, empty or filled in.

The unit of a heading holds for the numbers below it unless another is written. Input cells of a
workbook are formatted as text, so that no spreadsheet turns 3/32 into a date.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from weldref.cells import put_text
from weldref.core.units import UnitSystem
from weldref.errors import InputError
from weldref.files import write_whole
from weldref.procedures.form import as_csv, form_of
from weldref.procedures.model import Procedure
from weldref.procedures.own_layout import as_plain

PASS_ROWS = 20
HELP_SHEET = "How to fill in"
HELP = (
    "Write as the procedure prints it: nothing is converted. Leave empty what it does not state.",
    "A range is written 90-150; a single value 120; a limit min 50 or max 250; also: unlimited.",
    "The unit of a heading holds below it; write another unit beside the number: 8 mm/s.",
    "Several values in one cell are separated by semicolons: GMAW; GTAW.",
    "On the sheet Passes give one row to each pass or layer, and to each electrode size.",
)


def write_template(
    path: str | Path,
    *,
    units: UnitSystem = "us",
    procedure: Procedure | None = None,
    read_from: Path | None = None,
) -> Path:
    """Write the form as XLSX, CSV, JSON or YAML, as the ending of the path says.

    Parameters
    ----------
    path
        The file to write; it ends in .xlsx, .csv, .json, .yaml or .yml.
    units
        The units of the headings.
    procedure
        Fill the form with this procedure; nothing that it states is lost.
    read_from
        The file of that procedure, which the form must not replace: it may say more.

    Raises
    ------
    InputError
        If the ending is another, or the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> from weldref.procedures.model import Text
    >>> from weldref.procedures.read import read_procedure
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = write_template(Path(folder, "form.csv"), procedure=Procedure(number=Text("7")))
    ...     print(read_procedure(path).number)
    7
    """
    path = Path(path)
    write = WRITERS.get(path.suffix.casefold())
    if write is None:
        raise InputError(f"template: '{path}' must end in {', '.join(WRITERS)}")
    write_whole(path, write(procedure, units), "template", [read_from] if read_from else ())
    return path


def template(ending: str, *, units: UnitSystem = "us", procedure: Procedure | None = None) -> bytes:
    """Return the form as the content of a file; `ending` is one of ".xlsx", ".json" ..."""
    return WRITERS[ending](procedure, units)


def _csv(procedure: Procedure | None, units: UnitSystem) -> bytes:
    form = form_of(procedure, units)
    return as_csv(((line.label, line.value) for line in form.lines), form.headings, form.passes)


def _plain(procedure: Procedure | None, units: UnitSystem) -> dict[str, Any]:
    """Write a procedure in our own layout; the empty form has its labels, and a pass to copy."""
    if procedure is not None:
        return as_plain(procedure)
    form = form_of(None, units)
    empty: dict[str, Any] = {line.label: "" for line in form.lines}
    return empty | {"passes": [dict.fromkeys(form.headings, "")]}


def _json(procedure: Procedure | None, units: UnitSystem) -> bytes:
    return (json.dumps(_plain(procedure, units), ensure_ascii=False, indent=1) + "\n").encode()


def _yaml(procedure: Procedure | None, units: UnitSystem) -> bytes:
    import yaml

    text: str = yaml.safe_dump(_plain(procedure, units), allow_unicode=True, sort_keys=False)
    return text.encode()


def _xlsx(procedure: Procedure | None, units: UnitSystem) -> bytes:
    from openpyxl import Workbook
    from openpyxl.styles import Font, PatternFill

    made = form_of(procedure, units)
    book = Workbook()
    form: Any = book.active
    form.title = "Procedure"
    passes, notes = book.create_sheet("Passes"), book.create_sheet(HELP_SHEET)
    bold, grey = Font(bold=True), PatternFill("solid", fgColor="E7E6E6")
    for row, line in enumerate(made.lines, 1):
        _put(form, row, 1, line.label, line.note).font = bold
        _put(form, row, 2, line.value)
    for column, (heading, note) in enumerate(zip(made.headings, made.notes, strict=True), 1):
        cell = _put(passes, 1, column, heading, note)
        cell.font, cell.fill = bold, grey
        passes.column_dimensions[cell.column_letter].width = 16
        for row in range(2, max(PASS_ROWS, len(made.passes)) + 2):
            passes.cell(row, column).number_format = "@"
    for row, one in enumerate(made.passes, 2):
        for column, text in enumerate(one, 1):
            _put(passes, row, column, text)
    for row, text in enumerate(HELP, 1):
        _put(notes, row, 1, text)
    for sheet, column_name, width in ((notes, "A", 100), (form, "A", 42), (form, "B", 60)):
        sheet.column_dimensions[column_name].width = width
    passes.freeze_panes = "B2"
    packed = io.BytesIO()
    try:
        book.save(packed)
    except Exception as error:  # the library fails in many ways when its temporary folder is full
        raise InputError(f"template: a workbook cannot be written: {error}") from error
    return packed.getvalue()


def _put(sheet: Any, row: int, column: int, text: str, note: str = "") -> Any:
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
    from openpyxl.comments import Comment
    from openpyxl.styles import Alignment

    cell = sheet.cell(row, column)
    cell.number_format = "@"
    cell.alignment = Alignment(wrap_text=True, vertical="top")
    if text:
        put_text(cell, ILLEGAL_CHARACTERS_RE.sub("\N{REPLACEMENT CHARACTER}", text))
    if note:
        cell.comment = Comment(note, "weldref", width=320, height=90)
    return cell


WRITERS: dict[str, Callable[[Procedure | None, UnitSystem], bytes]] = {
    ".xlsx": _xlsx,
    ".csv": _csv,
    ".json": _json,
    ".yaml": _yaml,
    ".yml": _yaml,
}
"""The function that writes the form, by the ending of its file."""
