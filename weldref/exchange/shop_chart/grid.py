"""Read a table of settings: text out of a spreadsheet, a CSV or XLSX file, or rows."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from functools import lru_cache
from typing import Any

from weldref.cells import harmless
from weldref.core.terms import Vocabulary
from weldref.core.units import UnitSystem
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange.shop_chart.check import dimensions, titles_for, titles_of, unit_for
from weldref.exchange.shop_chart.model import (
    CONDITIONS,
    LABELS,
    LONGEST_CELL,
    LONGEST_TEXT,
    MOST_COLUMNS,
    MOST_ROWS,
    NAMED,
    OUR_PLACE,
    OUR_SHOP,
    Chart,
    Column,
    columns_for,
)
from weldref.procedures import limits
from weldref.procedures.units import unit_of

LARGEST = 256 * 1024
"""Bytes of a chart as text; a full one has some 10,000."""


def _words(column: str) -> dict[str, str]:
    """Return what each spelling of a column of columns.csv names."""
    return {
        word: name
        for name, line in NAMED.items()
        if line[column]
        for word in line[column].split("; ")
    }


HEADINGS = _words("headings")
"""What charts write above a column, beside the spellings of the vocabulary."""

ABOUT = _words("above_the_grid")
"""What a line above the grid is about."""


def parse_grid(
    store: Store,
    given: str | Iterable[Mapping[str, object]],
    *,
    name: str = "",
    day: str = "",
    units: UnitSystem = "us",
    conditions: Mapping[str, str] | None = None,
) -> Chart:
    r"""Read a chart from a pasted block, the text of a CSV file, or rows by their headings.

    A text has a line of headings, its cells separated by tabs, semicolons or commas; lines of a
    label and a value may come before it, and override the arguments. A heading that is not known
    or appears twice is an `InputError`; `checked` says what is wrong with the cells.

    >>> from weldref.data.store import open_store
    >>> chart = parse_grid(open_store(), "Thickness\tWFS (m/min)\tVolts\n3 mm\t4,5\t17-18\n")
    >>> [(column.name, column.unit) for column in chart.columns], dict(chart.rows[0])["voltage"]
    ([('thickness', ''), ('wire_feed_speed', 'm/min'), ('voltage', 'V')], '17-18')
    """
    table: list[Sequence[object]]
    if isinstance(given, str):
        table = [*_cells_of(given)]
    else:
        dicts = list(given)
        heads = list(dict.fromkeys(str(head) for row in dicts for head in row))
        table = [heads, *([row.get(head) for head in heads] for row in dicts)]
    about = {"name": name, "date": day, "units": units, **(conditions or {})}
    return _chart(store, table, about)


def read_grid(store: Store, data: bytes, called: str = "") -> Chart:
    """Read a chart from the bytes of a CSV or XLSX file.

    Raises
    ------
    InputError
        If it is neither, is too large, holds a formula, or a heading is not known.
    """
    with named_chart():
        if data.startswith(b"PK"):
            return _chart(store, _workbook(data), {"name": called})
        limits.check_size(data[: LARGEST + 1], "csv")
        if len(data) > LARGEST:
            raise InputError(f"the file is larger than the {LARGEST // 1024} kB that are accepted")
        return _chart(store, [*_cells_of(limits.decode(data))], {"name": called})


@contextmanager
def named_chart() -> Iterator[None]:
    """Start the message of an error with the word chart: `limits` says procedure."""
    try:
        yield
    except InputError as error:
        said = str(error).removeprefix("procedure: ").removeprefix("chart: ")
        raise InputError(f"chart: {said}") from None


def grid_of(store: Store, chart: Chart) -> list[list[str]]:
    """Write a chart as the cells of a sheet that `read_grid` reads again.

    Each column's heading names the unit of its bare numbers; no cell is taken for a formula.

    Examples
    --------
    >>> from weldref.data.store import open_store
    >>> chart = Chart("Booth 3", "2026-11-28", columns=(Column("current"),))
    >>> grid_of(open_store(), chart)[-1]
    ['current (A)']
    """
    said = {"name": chart.name, "date": chart.date, "shop": chart.shop, "place": chart.place,
            "units": chart.units, **dict.fromkeys(CONDITIONS, ""), **chart.conditions}  # fmt: skip
    lines = [[LABELS.get(name, name), text] for name, text in said.items()]
    heads = [heading(store, chart, column) for column in chart.columns]
    rows = [[row.get(column.name, "") for column in chart.columns] for row in chart.rows]
    return [[harmless(cell) for cell in line] for line in (*lines, [], heads, *rows)]


def heading(store: Store, chart: Chart, column: Column) -> str:
    """Write the heading of a column: its name and the unit of bare numbers."""
    unit = unit_for(store, chart, column)
    title = titles_for(store, chart).get(column.name, column.name)
    return f"{title} ({unit})" if unit else title


def empty_chart(store: Store, process: str = "", units: UnitSystem = "us") -> Chart:
    """Return a chart with the columns of a process and no row.

    >>> from weldref.data.store import open_store
    >>> empty_chart(open_store(), "tig").conditions
    {'process': 'GTAW'}
    """
    term = Vocabulary(store).term("process", process).name if process else ""
    conditions = {"process": term} if term else {}
    today = date.today().isoformat()
    return Chart("", today, units, conditions, columns_for(term))


def _cells_of(text: str) -> Iterable[list[str]]:
    if len(text) > LARGEST:
        raise InputError(
            f"chart: the text is longer than the {LARGEST // 1024} kB that are accepted"
        )
    lines = [line for line in text.splitlines() if line.strip()]
    mark = "\t" if "\t" in text else ","
    if mark == "," and sum(";" in line for line in lines) > len(lines) / 2:
        mark = ";"  # commas are then decimal
    try:
        yield from csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    except csv.Error as error:
        raise InputError(f"chart: not a table: {error}") from error


def _chart(store: Store, table: Iterable[Sequence[object]], about: Mapping[str, str]) -> Chart:
    said = {name: text for name, text in about.items() if text}
    columns: list[Column | None] | None = None
    rows: list[dict[str, str]] = []
    for number, line in enumerate(table, 1):
        cells = [_plain(cell) for cell in line]
        if not any(cells):
            continue
        if columns is None:
            label = cells[0].casefold().rstrip(": ")
            rest = [cell for cell in cells[1:] if cell]
            if label in ABOUT and len(rest) <= 1 and not _is_heads(store, cells):
                said |= {ABOUT[label]: rest[0]} if rest else {}
                continue
            columns = _heads(store, cells, number)
            continue
        if len(rows) >= MOST_ROWS:
            raise InputError(f"chart: line {number}: at most {MOST_ROWS} rows are accepted")
        if any(cells[len(columns) :]) or any(
            cell and column is None for cell, column in zip(cells, columns, strict=False)
        ):
            raise InputError(f"chart: line {number}: a cell has no heading above it")
        for cell in cells:
            if len(cell) > LONGEST_CELL:
                raise InputError(
                    f"chart: line {number}: a cell is longer than {LONGEST_CELL} characters"
                )
        rows.append(
            {
                column.name: cell
                for column, cell in zip(columns, cells, strict=False)
                if column and cell
            }
        )
    if columns is None:
        raise InputError("chart: no line of headings is found; give for example thickness, current")
    for name, text in said.items():
        if len(text) > LONGEST_TEXT:
            raise InputError(f"chart: {name}: it is longer than {LONGEST_TEXT} characters")
    units: Any = said.get("units", "us").casefold()
    units = {"inch": "us", "mm": "metric"}.get(units, units)
    if units not in ("us", "metric"):
        raise InputError(f"chart: units: '{units}' is not a unit system; give us or metric")
    return Chart(
        said.get("name", ""),
        said.get("date", "") or date.today().isoformat(),
        units,
        {name: said[name] for name in CONDITIONS if name in said},
        tuple(column for column in columns if column),
        tuple(rows),
        said.get("shop", OUR_SHOP),
        said.get("place", OUR_PLACE),
    )


def _plain(cell: object) -> str:
    """Return a cell as one line of text, without the apostrophe that `harmless` adds."""
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    # A missing value of a data frame is a "not a number", which differs from itself.
    text = "" if cell is None or cell != cell else str(cell)
    return limits.without_apostrophe(" ".join(text.split()))


def _is_heads(store: Store, cells: Sequence[str]) -> bool:
    """Tell a line of headings ("material, thickness") from a label with its value."""
    filled = [cell for cell in cells if cell]
    return len(filled) > 1 and all(_column(store, cell) for cell in filled)


def _heads(store: Store, cells: Sequence[str], number: int) -> list[Column | None]:
    columns: list[Column | None] = []
    if len(cells) > MOST_COLUMNS and any(cells[MOST_COLUMNS:]):
        raise InputError(f"chart: line {number}: at most {MOST_COLUMNS} columns are accepted")
    for cell in cells[:MOST_COLUMNS]:
        column = _column(store, cell) if cell else None
        if cell and column is None:
            raise InputError(
                f"chart: line {number}: heading '{cell[:LONGEST_CELL]}' is not known; give "
                "thickness, wire size, current, voltage or another quantity, with its unit in "
                "brackets"
            )
        if column and any(one and one.name == column.name for one in columns):
            raise InputError(
                f"chart: line {number}: heading '{cell[:LONGEST_CELL]}' appears twice; each "
                "quantity has one column, and a range is in one cell"
            )
        columns.append(column)
    return columns


def _column(store: Store, head: str) -> Column | None:
    """Find what a heading names: its words, then its words without the unit at the end."""
    if len(head) > LONGEST_CELL:
        return None
    text = head.strip().rstrip(":*. ")
    name, unit = text, ""
    if (match := re.fullmatch(r"(.*?)\s*[(\[]([^()\[\]]+)[)\]]", text)) or (
        match := re.fullmatch(r"(.+?)\s*[,]\s*(.+)", text)
    ):
        name, unit = match[1], match[2]
    if column := _named(store, name, unit):
        return column
    words = text.split(" ")
    for cut in range(1, len(words)):
        if column := _named(store, " ".join(words[:cut]), " ".join(words[cut:])):
            return column
    return None


def _named(store: Store, name: str, unit: str) -> Column | None:
    folded = _folded(name.strip())
    known = _names(store)
    found = known.get(folded) or known.get(folded.removesuffix("s"))
    if found is None:
        return None
    dimension = dimensions(store).get(found)
    if found in ("thickness", "diameter", "filler_size"):
        dimension = "length"
        unit = unit or ("ga" if "gauge" in folded else "")
    if dimension is None:
        return Column(found) if not unit else None
    label = unit_of(unit, dimension) if unit else ""
    if not label and unit_of(name, dimension):  # "Volts" and "amps" name unit and quantity
        label = unit_of(name, dimension)
    return Column(found, label or "") if label or not unit else None


@lru_cache(maxsize=4)
def _names(store: Store) -> dict[str, str]:
    """Return what each heading names, by its folded words."""
    rows = store.rows("SELECT spelling, term FROM spellings WHERE tree = 'quantities'")
    found = {_folded(row["spelling"]): row["term"] for row in rows}
    for name, title in titles_of(store).items():
        found |= {_folded(title): name, _folded(name): name}
    return found | HEADINGS


def _folded(heading: str) -> str:
    return re.sub(r"[-_\s]+", " ", heading).casefold()


def _workbook(data: bytes) -> list[list[object]]:
    """Read the first sheet of a workbook; a computed cell is refused by its place."""
    import datetime
    import warnings

    import openpyxl

    limits.check_size(data, "xlsx")
    size = limits.check_workbook(data)
    if size.rows > 2 * MOST_ROWS or size.columns > 4 * MOST_COLUMNS:
        raise InputError(
            f"the sheet has {size.rows} rows and {size.columns} columns; a chart has at most "
            f"{MOST_ROWS} and {MOST_COLUMNS}"
        )
    table: list[list[object]] = []
    try:
        with warnings.catch_warnings():
            # It warns of parts that it ignores: styles, extensions, pictures.
            warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
            sheet: Any = book.worksheets[0]
            sheet.reset_dimensions()
            for cells in sheet.iter_rows(max_row=max(size.rows, 1), max_col=max(size.columns, 1)):
                line: list[object] = []
                for cell in cells:
                    value = cell.value
                    if cell.data_type == "f" or not isinstance(
                        value, str | int | float | datetime.date | None
                    ):
                        raise InputError(
                            f"cell {cell.coordinate} is computed by a formula; give its value"
                        )
                    if isinstance(value, datetime.datetime):
                        value = value.date()
                    line.append(value)
                table.append(line)
            book.close()
    except InputError:
        raise
    except Exception as error:  # a damaged workbook fails in the library in many ways
        raise InputError("the XLSX file is damaged: it cannot be opened") from error
    return table
