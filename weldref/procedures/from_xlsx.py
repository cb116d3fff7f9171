"""Read an XLSX procedure cell by cell, each value with its sheet and cell.

The workbook is checked by `limits.py` before the library opens it. A computed cell is not
trusted: it is reported, with its formula and stored result, and its value is not used.
"""

from __future__ import annotations

import datetime
import io
import warnings
from collections import defaultdict
from typing import Any

from weldref.errors import InputError
from weldref.procedures import limits
from weldref.procedures.grid import Row, forms_of, procedures_of
from weldref.procedures.model import Entry, Procedure, Slip
from weldref.procedures.template import HELP
from weldref.procedures.tree import Leaf, check_text


def read_xlsx(data: bytes, name: str = "") -> tuple[Procedure, ...]:
    """Read the procedures of an XLSX file: one, or one for each sheet that states a number.

    Raises `InputError` if it is not a workbook, exceeds a limit, or no field is recognised in it.
    """
    book = limits.check_workbook(data)
    slips = [
        Slip("external link", "", part, "the workbook takes values from another file", part)
        for part in book.links
    ]
    other: list[Entry] = []
    try:
        sheets = _sheets(data, book, slips, other)
    except InputError:
        raise
    except Exception as error:  # a damaged workbook fails in the library in many ways
        raise InputError("procedure: the XLSX file is damaged: it cannot be opened") from error
    return procedures_of(
        forms_of(sheets.items(), HELP), name, "xlsx",
        "procedure: no field of a procedure is recognised in the workbook; see the form that "
        "weldref procedure-template writes",
        slips, other,
    )  # fmt: skip


_PLAIN = (str, int, float, bool, datetime.date, datetime.time, datetime.timedelta)


def _sheets(
    data: bytes, size: limits.Workbook, slips: list[Slip], other: list[Entry]
) -> dict[str, list[tuple[str, Row]]]:
    """Read every sheet's cells; computed ones go to the slips."""
    sheets: dict[str, list[tuple[str, Row]]] = defaultdict(list)
    formulas: dict[str, str] = {}
    filled = 0
    for title, cells in _rows(data, size, stored=False):
        row: Row = {}
        for cell in cells:
            place = f"{title}!{cell.coordinate}"
            if cell.data_type == "f" or not isinstance(cell.value, _PLAIN):
                formulas[place] = str(getattr(cell.value, "text", cell.value))[:200]
            else:
                row[cell.column] = _leaf(cell, place)
        filled += len(row)
        if filled > limits.MOST_FILLED:
            raise InputError(
                f"procedure: the workbook has more than {limits.MOST_FILLED:,} filled cells"
            )
        sheets[title].append((f"{title}!{cells[0].row}" if cells else title, row))
    results = {
        f"{title}!{cell.coordinate}": str(cell.value)[:80]
        for title, cells in (_rows(data, size, stored=True) if formulas else ())
        for cell in cells
    }
    for place, formula in formulas.items():
        shown = f"{formula} (stored result {results.get(place)})"
        slips.append(Slip("formula", "", shown, "computed by the cell: not used", place))
        other.append(Entry("formula", shown, place))
    return sheets


def _rows(data: bytes, size: limits.Workbook, *, stored: bool) -> list[tuple[str, list[Any]]]:
    """List the filled cells of each row of each sheet, as formulas or their stored results.

    Rows are read as far as cells were counted, whatever the sheet says of its size.
    """
    import openpyxl

    rows = []
    with warnings.catch_warnings():
        # It warns about parts that it ignores: styles, extensions, pictures.
        warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
        book = openpyxl.load_workbook(
            io.BytesIO(data), read_only=True, data_only=stored, keep_links=False
        )
        for sheet in book.worksheets:
            sheet.reset_dimensions()
            walked = sheet.iter_rows(max_row=max(size.rows, 1), max_col=max(size.columns, 1))
            rows += [(sheet.title, [c for c in cells if c.value is not None]) for cells in walked]
        book.close()
    return rows


def _leaf(cell: Any, place: str) -> Leaf:
    value = cell.value
    if isinstance(value, str):
        check_text(value, place)
        return Leaf(limits.without_apostrophe(value), place)
    if isinstance(value, datetime.datetime):
        midnight = value.time() == datetime.time()
        return Leaf((value.date() if midnight else value).isoformat(), place, date=True)
    if isinstance(value, datetime.date):
        return Leaf(value.isoformat(), place, date=True)
    if isinstance(value, (datetime.time, datetime.timedelta)):
        return Leaf(str(value), place)
    if isinstance(value, float) and "%" in str(cell.number_format):
        return Leaf(f"{value * 100:g} %", place)
    return Leaf(value, place)
