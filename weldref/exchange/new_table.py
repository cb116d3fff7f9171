"""Write an empty table: a CSV with its header, and a sheet that explains each column."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from weldref.core.units import UnitSystem
from weldref.data.schemas.declared import declared
from weldref.data.store import Store, open_store
from weldref.errors import InputError
from weldref.exchange.shop_chart import empty_chart, grid_of
from weldref.files import check_place, write_whole
from weldref.text import paragraph

HEADER = ("column", "meaning", "unit", "accepted", "example")

HOW_TO = (
    "One row is one statement of one document, as printed there: nothing is converted, "
    "averaged or filled in. An empty cell means that the document does not say.",
    "Give a folder of own tables with --tables DIR: sources.csv for your own documents, windows/ "
    "for their settings, each a CSV in UTF-8 with the columns in this order. Terms, sizes and "
    "units are those of the published vocabulary. Check it with: weldref validate DIR",
)


def write_new_table(name: str, path: str | Path) -> tuple[Path, ...]:
    """Write an empty table and a sheet that says what each of its columns takes.

    The file ends in ``.csv``, with the sheet beside it as ``.columns.txt``, or in ``.xlsx``, with
    the sheet in the same workbook. Folders that are missing are made; nothing is overwritten.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = write_new_table("sources", Path(folder, "sources.csv"))
    ...     made[0].read_text(encoding="utf-8").split(",")[:3], made[1].name
    (['source_id', 'title', 'issuer'], 'sources.columns.txt')
    """
    path = Path(path)
    if name not in declared():
        raise InputError(f"new-table: '{name}' is not a table; give windows, sources or another "
                         "that weldref tables lists")  # fmt: skip
    workbook = _is_workbook(path)
    header = declared()[name].columns
    about = f"{name}: {declared()[name].about}"
    rows = columns_sheet(open_store(), name)
    if workbook:
        made = {path: _workbook(name, header, about, rows)}
    else:
        sheet = path.with_name(f"{path.stem}.columns.txt")
        made = {path: (",".join(header) + "\n").encode(), sheet: _text(about, rows)}
    _write_new(made)
    return tuple(made)


def _is_workbook(path: Path) -> bool:
    ending = path.suffix.casefold()
    if ending not in (".csv", ".xlsx"):
        raise InputError(f"output: '{path}' must end in .csv or .xlsx")
    return ending == ".xlsx"


def _write_new(made: dict[Path, bytes]) -> None:
    for target in made:
        check_place(target)
        if target.exists():  # it may hold somebody's rows
            raise InputError(f"output: '{target}' already exists; give another name")
    for target, content in made.items():
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputError(
                f"output: '{target.parent}' is not a folder: {error.strerror}"
            ) from error
        write_whole(target, content)


def write_new_chart(path: str | Path, process: str = "", units: UnitSystem = "us") -> Path:
    """Write an empty chart (.csv or .xlsx) of a process, to fill in and then read with `chart add`.

    `units`, "us" or "metric", says how bare numbers are read. Nothing is overwritten.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = write_new_chart(Path(folder, "booth.csv"), "stick")
    ...     made.read_text(encoding="utf-8").splitlines()[-1][:14]
    'thickness (in)'
    """
    path = Path(path)
    store = open_store()
    cells = grid_of(store, empty_chart(store, process, units))
    if _is_workbook(path):
        content = _chart_book(cells)
    else:
        out = io.StringIO(newline="")
        csv.writer(out, lineterminator="\n").writerows(cells)
        content = out.getvalue().encode("utf-8-sig")
    _write_new({path: content})
    return path


def _chart_book(cells: list[list[str]]) -> bytes:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "chart"
    for line in cells:
        sheet.append(line)
    _as_text(sheet, len(cells), [24] * len(cells[-1]))
    for cells_below in sheet.iter_rows(len(cells), len(cells) + 39, max_col=len(cells[-1])):
        for cell in cells_below:
            cell.number_format = "@"
    return _content(book)


def _as_text(sheet: Any, heads: int, widths: Iterable[int]) -> None:
    """Make columns hold text, so that no spreadsheet turns 3/32 into a date; bold heads."""
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    for number, width in enumerate(widths, 1):
        column = sheet.column_dimensions[get_column_letter(number)]
        column.number_format, column.width = "@", width
    for cell in sheet[heads]:
        cell.font = Font(bold=True)


def _content(book: Any) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def columns_sheet(store: Store, name: str) -> list[tuple[str, ...]]:
    """Describe each column of a table: name, meaning, unit, what is accepted, an example.

    The example is taken from a published row.

    >>> columns_sheet(open_store(), "windows")[0][3]
    'not empty; once in the table; written as [a-z0-9][a-z0-9.-]*:[0-9]+'
    """
    found: list[tuple[str, ...]] = []
    for line in declared()[name].lines:
        column = line["column"]
        (row,) = store.rows(f'SELECT first("{column}") FILTER ("{column}" IS NOT NULL) AS value '
                            f'FROM "{name}"')  # fmt: skip
        found.append((column, line["meaning"], _unit(line), _accepted(line), _shown(row["value"])))
    return found


def _unit(line: dict[str, str]) -> str:
    if line["unit_in"]:
        return f"that of the column {line['unit_in']}"
    return "a plain number" if line["unit"] == "1" else line["unit"]


_KINDS = {
    "number": "a number",
    "truth": "true or false",
    "list": 'several values separated by "; "',
    "key": "once in the table",
}


def _accepted(line: dict[str, str]) -> str:
    said = ["may be empty" if line["empty"] else "not empty"]
    if line["kind"] in _KINDS:
        said.append(_KINDS[line["kind"]])
    if line["one_of"]:
        said.append(f"one of {line['one_of'].replace(' | ', ', ')}")
    if line["pattern"]:
        said.append(f"written as {line['pattern'].removeprefix('^').removesuffix('$')}")
    for limit, words in (("at_least", "at least"), ("above", "above"), ("at_most", "at most")):
        if line[limit]:
            said.append(f"{words} {float(line[limit]):g}")
    if line["refers_to"] and line["kind"] != "list":
        table, column = line["refers_to"].split(".")
        said.append(f"a value of the column {column} of the table {table}")
        if table != "sources":
            said.append(f'weldref query --rows 999 "SELECT {column} FROM {table}" lists them')
    return "; ".join(said)


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:g}" if isinstance(value, float) else str(value if value is not None else "")


def _text(about: str, rows: list[tuple[str, ...]]) -> bytes:
    parts = [paragraph(about), *(paragraph(text) for text in HOW_TO)]
    for column, *cells in rows:
        lines = [
            paragraph(f"{title}: {cell}", "    ")
            for title, cell in zip(HEADER[1:], cells, strict=True)
            if cell
        ]
        parts.append("\n".join([column, *lines]))
    return ("\n\n".join(parts) + "\n").encode()


def _workbook(name: str, header: list[str], about: str, rows: list[tuple[str, ...]]) -> bytes:
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font

    book = Workbook()
    empty = book.worksheets[0]
    empty.title = name
    empty.append(header)
    _as_text(empty, 1, (max(len(column) + 2, 10) for column in header))
    empty.freeze_panes = "A2"
    sheet = book.create_sheet("columns")
    how = (about, *HOW_TO, "Save the first sheet as CSV in UTF-8 when it is filled in.")
    for line in (*((text,) for text in how), (), HEADER, *rows):
        sheet.append(line)
    for cell in sheet[len(how) + 2]:
        cell.font = Font(bold=True)
    for letter, width in zip("ABCDE", (24, 48, 28, 64, 32), strict=True):
        sheet.column_dimensions[letter].width = width
    for cells in sheet.iter_rows(min_row=len(how) + 2):
        for cell in cells:
            cell.alignment = Alignment(wrap_text=True, vertical="top")
    return _content(book)
