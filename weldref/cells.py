"""Guard spreadsheet cells against text that would be run as a formula."""

from __future__ import annotations

import re
from typing import Any

_NUMBER = re.compile(r"[-+]?\d+(\.\d+)?")
_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")


def harmless(cell: object) -> str:
    """Write a cell so that a spreadsheet shows it and computes nothing.

    A text that a spreadsheet would take for a formula gets an apostrophe in front; a number is
    left alone.

    >>> harmless("=1+1"), harmless("-20"), harmless("@sum"), harmless(" =1"), harmless("E7018")
    ("'=1+1", '-20', "'@sum", "' =1", 'E7018')
    """
    text = "" if cell is None else str(cell)
    if _NUMBER.fullmatch(text):
        return text
    # A full-width sign is folded to a plain one by some programs.
    first = text.lstrip().translate(str.maketrans("＝＋－＠", "=+-@"))
    return f"'{text}" if first.startswith(_STARTS) or text.startswith(_STARTS) else text


def put_text(cell: Any, text: str) -> None:
    """Write a text into a workbook's cell: it stays text, and no spreadsheet runs or changes it."""
    cell.value, cell.data_type, cell.number_format = text, "s", "@"
    cell.quotePrefix = harmless(text) != text
