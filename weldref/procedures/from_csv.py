"""Read a CSV procedure: fields as label, value; passes as a table, one row each."""

from __future__ import annotations

import csv
import io

from weldref.errors import InputError
from weldref.procedures import limits
from weldref.procedures.grid import Row, forms_of, procedures_of
from weldref.procedures.model import Procedure
from weldref.procedures.tree import LONGEST_TEXT, Leaf


def read_csv(data: bytes, name: str = "") -> tuple[Procedure, ...]:
    r"""Read the procedure of a CSV file (comma, semicolon, tab or bar between the cells).

    Raises `InputError` if it is not text in UTF-8, or exceeds a limit.

    >>> found, = read_csv(b"WPS No.,7\n\nPass,Amps,Volts\nroot,90-120,20-23\n")
    >>> found.number.text, str(found.passes[0].current), found.passes[0].current.place
    ('7', '90 to 120 A', 'line 4:2')
    """
    text = limits.decode(data)
    rows: list[tuple[str, Row]] = []
    cells = 0
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text))
    line = 1
    try:
        for values in reader:
            if len(values) > limits.MOST_COLUMNS:
                raise InputError(f"procedure: line {line}: more than {limits.MOST_COLUMNS} columns")
            # The csv module has a limit too, but any library may raise it for the whole process.
            if any(len(value) > LONGEST_TEXT for value in values):
                raise InputError(
                    f"procedure: line {line}: a cell is longer than {LONGEST_TEXT:,} characters"
                )
            row = {
                column: Leaf(limits.without_apostrophe(value), f"line {line}:{column + 1}")
                for column, value in enumerate(values)
                if value.strip()
            }
            cells += len(row)
            if cells > limits.MOST_FILLED or len(rows) > limits.MOST_ROWS:
                raise InputError(
                    f"procedure: the file has more than {limits.MOST_FILLED:,} cells "
                    f"or {limits.MOST_ROWS:,} lines"
                )
            rows.append((f"line {line}", row))
            line = reader.line_num + 1
    except csv.Error as error:
        raise InputError(f"procedure: line {line}: not CSV: {error}") from error
    return procedures_of(
        forms_of([("", rows)]), name, "csv",
        "procedure: no field of a procedure is recognised in the CSV; give label,value lines "
        "or a table of passes with headings",
    )  # fmt: skip


def _delimiter(text: str) -> str:
    r"""Find the mark between cells: the most frequent one in the first lines.

    >>> _delimiter("WPS No.;7\nAmps;90,5")
    ';'
    """
    lines = [line for line in text.splitlines()[:50] if line.strip()]
    # With semicolons on most lines, commas are decimal.
    if sum(";" in line for line in lines) > 0.5 * len(lines):
        return ";"
    counts = {mark: sum(line.count(mark) for line in lines) for mark in ",;\t|"}
    return max(counts, key=lambda mark: counts[mark])
