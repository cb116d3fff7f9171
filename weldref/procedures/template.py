"""Write an empty form as XLSX or CSV, which `read.py` reads back when it is filled in.

Every field with a title in the table of fields is on the form; the unit of a heading holds for
the numbers below it unless another is written. Input cells are formatted as text, so that no
spreadsheet turns 3/32 into a date.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

from weldref.cells import harmless
from weldref.core.units import UnitSystem
from weldref.errors import InputError
from weldref.files import write_whole
from weldref.procedures.fields import AT_THE_TOP, Field, all_fields
from weldref.procedures.model import Pass, Procedure
from weldref.procedures.printed import Range, Text
from weldref.procedures.quantity import parse_quantity

UNITS: dict[str, tuple[str, str]] = {
    "current": ("A", "A"),
    "voltage": ("V", "V"),
    "length": ("in", "mm"),
    "speed": ("in/min", "mm/min"),
    "flow": ("ft3/h", "L/min"),
    "temperature": ("F", "C"),
    "heat input": ("kJ/in", "kJ/mm"),
    "angle": ("deg", "deg"),
    "time": ("h", "h"),
}
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
    """Write the form as XLSX or CSV, as the ending of the path says.

    Parameters
    ----------
    path
        The file to write; it ends in .xlsx or .csv.
    units
        The units of the headings.
    procedure
        Fill the form with this procedure, as far as the form has a place for it.
    read_from
        The file of that procedure, which the form must not replace: it may say more.

    Raises
    ------
    InputError
        If the ending is another, or the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> from weldref.procedures.read import read_procedure
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = write_template(Path(folder, "form.csv"), procedure=Procedure(number=Text("7")))
    ...     print(read_procedure(path).number)
    7
    """
    path = Path(path)
    made = procedure or Procedure()
    if path.suffix.casefold() == ".xlsx":
        data = _xlsx(made, units)
    elif path.suffix.casefold() == ".csv":
        data = _csv(made, units)
    else:
        raise InputError(f"template: '{path}' must end in .xlsx or .csv")
    write_whole(path, data, "template", [read_from] if read_from else ())
    return path


def _csv(procedure: Procedure, units: UnitSystem) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    for label, value, _ in _form(procedure, units):
        writer.writerow([label, harmless(value)])
    writer.writerow([])
    headings = [_heading(each, units) for each in _pass_fields()]
    writer.writerow(headings)
    for one in procedure.passes:
        writer.writerow([harmless(cell) for cell in _pass_cells(one, units)])
    # The mark makes spreadsheets read degree signs as UTF-8.
    return b"\xef\xbb\xbf" + text.getvalue().encode()


def _xlsx(procedure: Procedure, units: UnitSystem) -> bytes:
    from openpyxl import Workbook
    from openpyxl.comments import Comment
    from openpyxl.styles import Alignment, Font, PatternFill

    book = Workbook()
    form = book.active
    form.title = "Procedure"  # type: ignore[union-attr]
    passes = book.create_sheet("Passes")
    notes = book.create_sheet(HELP_SHEET)
    bold, grey = Font(bold=True), PatternFill("solid", fgColor="E7E6E6")

    def put(sheet: Any, row: int, column: int, text: str, note: str = "") -> None:
        cell = sheet.cell(row, column)
        cell.number_format = "@"
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        if text:
            cell.value = text
            if cell.data_type != "s":
                # Text that begins with "=" stays text and is never run.
                cell.value, cell.data_type = text, "s"
            cell.quotePrefix = harmless(text) != text
        if note:
            cell.comment = Comment(note, "weldref", width=320, height=90)

    for row, (label, value, each) in enumerate(_form(procedure, units), 1):
        put(form, row, 1, label, _note(each))
        put(form, row, 2, value)
        form.cell(row, 1).font = bold  # type: ignore[union-attr]
    for column, each in enumerate(_pass_fields(), 1):
        put(passes, 1, column, _heading(each, units), _note(each))
        passes.cell(1, column).font = bold
        passes.cell(1, column).fill = grey
        passes.column_dimensions[passes.cell(1, column).column_letter].width = 16
        for row in range(2, max(PASS_ROWS, len(procedure.passes)) + 2):
            passes.cell(row, column).number_format = "@"
    for row, one in enumerate(procedure.passes, 2):
        for column, text in enumerate(_pass_cells(one, units), 1):
            put(passes, row, column, text)
    for row, text in enumerate(HELP, 1):
        put(notes, row, 1, text)
    notes.column_dimensions["A"].width = 100
    form.column_dimensions["A"].width = 42  # type: ignore[union-attr]
    form.column_dimensions["B"].width = 60  # type: ignore[union-attr]
    passes.freeze_panes = "B2"
    packed = io.BytesIO()
    try:
        book.save(packed)
    except Exception as error:  # the library fails in many ways when its temporary folder is full
        raise InputError(f"template: a workbook cannot be written: {error}") from error
    return packed.getvalue()


def _note(each: Field) -> str:
    """Say what to write, in one sentence for each kind of field."""
    if each.kind == "sizes":
        return "Each size, separated by commas: 3/32, 1/8. As printed, in the unit of the heading."
    if each.numeric:
        lone = {
            "low": "A single number is the minimum.",
            "high": "A single number is the maximum.",
        }.get(each.side, "A single number is the only value.")
        return f"A range as 90-150, or words such as unlimited. {lone} Another unit may follow."
    if each.kind == "split":
        return "Several are separated by semicolons."
    return "Words as the procedure prints them."


def _top_fields() -> list[Field]:
    return [each for each in all_fields() if each.area in AT_THE_TOP and each.title]


def _pass_fields() -> list[Field]:
    return [each for each in all_fields() if each.area == "pass" and each.title]


def _unit(each: Field, units: UnitSystem) -> str:
    if each.name == "wire_feed_speed" and units == "metric":
        return "m/min"
    pair = UNITS.get(each.dimension)
    return "" if pair is None else pair[units == "metric"]


def _heading(each: Field, units: UnitSystem, of: str = "") -> str:
    unit = _unit(each, units)
    return " ".join(filter(None, (each.title, of, f"({unit})" if unit else "")))


def _form(procedure: Procedure, units: UnitSystem) -> list[tuple[str, str, Field]]:
    """List the lines of the form: label, value, field; a value for each process is a line."""
    lines = []
    for each in _top_fields():
        told = _told(procedure, each)
        if all(isinstance(value, Text) for _, value in told) and each.kind in ("texts", "split"):
            named = {of: [str(v) for o, v in told if o == of] for of, _ in told}
            cells = [(of, "; ".join(texts)) for of, texts in named.items()]
        elif each.kind == "sizes":
            named = {of: [_cell(v, each, units) for o, v in told if o == of] for of, _ in told}
            cells = [(of, ", ".join(texts)) for of, texts in named.items()]
        else:
            cells = [(of, _cell(value, each, units)) for of, value in told]
        lines += [(_heading(each, units, of), text, each) for of, text in cells or [("", "")]]
    return lines


def _told(procedure: Procedure, each: Field) -> list[tuple[str, Any]]:
    """List what a procedure says for a field of the form, with what each value is of."""
    if each.area == "procedure":
        value = getattr(procedure, each.name)
        some = value if isinstance(value, tuple) else (value,)
        return [(v.of, v) for v in some if v is not None]
    if each.area in ("joint", "technique"):
        value = getattr(getattr(procedure, each.area), each.name)
        return [] if value is None else [("", value)]
    if each.area == "metal":
        found = [getattr(metal, each.name) for metal in procedure.base_metals]
        return [("", value) for value in found if value is not None]
    first, _, second = each.name.partition(".")
    if each.area == "gases":
        gases = [gas for gas in procedure.gases if gas.role == first]
        return [
            (str(gas.process or ""), value)
            for gas in gases
            if (value := getattr(gas, second)) is not None
        ]
    if each.area == "heats":
        treatments = [one for one in procedure.heat_treatments if one.kind == first]
        return [("", v) for one in treatments if (v := getattr(one, second)) is not None]
    made: list[tuple[str, Any]] = []
    for filler in procedure.fillers:
        of = str(filler.process or "")
        if each.name == "sizes":
            made += [(of, size) for size in filler.sizes]
        elif each.name == "classification":
            # The whole text holds the class, and reads back as it was.
            value = filler.text or filler.classification
            made += [(of, value)] if value is not None else []
        elif (value := getattr(filler, each.name)) is not None:
            made.append((of, value))
    return made


def _pass_cells(one: Pass, units: UnitSystem) -> list[str]:
    cells = []
    for each in _pass_fields():
        value = getattr(one, each.name)
        some = value if isinstance(value, tuple) else (value,)
        cells.append(", ".join(_cell(v, each, units) for v in some if v is not None))
    return cells


def _cell(value: Text | Range, each: Field, units: UnitSystem) -> str:
    """Write a value so that it reads back: as printed, with its unit where the heading differs."""
    if isinstance(value, Text):
        return value.text
    if not value.stated:
        return value.words
    unit = value.unit if value.unit != _unit(each, units) else ""
    if printed := _print(value, each):
        has_unit = bool(parse_quantity(printed, each.dimension).unit)
        return printed if has_unit or not unit else f"{printed} {unit}"
    low, high = (None if n is None else f"{n:.10g}" for n in (value.low, value.high))
    if low is not None and high is not None:
        span = low if value.single else f"{low} to {high}"
    elif low is not None:
        span = low if each.side == "low" else f"min {low}"
    elif high is not None:
        span = high if each.side == "high" else f"max {high}"
    else:
        span = f"{value.typical:.10g}"
    return " ".join(filter(None, (span, unit, value.words)))


def _print(value: Range, each: Field) -> str:
    """Return the print if it says the same by itself: 3/32 is better than 0.09375."""
    read = parse_quantity(value.text, each.dimension)
    low = None if read.single and each.side == "high" else read.low
    high = None if read.single and each.side == "low" else read.high
    told = (low, high, read.typical, read.words)
    same = told == (value.low, value.high, value.typical, value.words)
    plain = read.unit in ("", value.unit) and not read.doubts and read.again is None
    return value.text if same and plain else ""
