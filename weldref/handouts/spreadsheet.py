"""Write the flat table of a document as CSV, and read the lines of one."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from weldref.cells import harmless
from weldref.errors import InputError
from weldref.handouts.blocks import Document


def csv_bytes(document: Document) -> bytes:
    """Write the flat table as CSV; the mark in front lets a spreadsheet know it for UTF-8."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows([harmless(cell) for cell in record] for record in document.records)
    return out.getvalue().encode("utf-8-sig")


def csv_lines(option: str, path: Path, largest: int) -> list[str]:
    """Read the lines of a CSV file.

    Raises
    ------
    InputError
        If it cannot be read, is too large or is not text in UTF-8.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        raise InputError(f"{option}: '{path}' cannot be read: {error.strerror}") from None
    if len(content) > largest:
        raise InputError(f"{option}: '{path.name}' is larger than {largest:,} bytes")
    try:
        return content.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise InputError(f"{option}: '{path.name}' is not a text file in UTF-8") from None
