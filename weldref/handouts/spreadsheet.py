"""Write the flat table of a document as CSV."""

from __future__ import annotations

import csv
import io

from weldref.cells import harmless
from weldref.handouts.blocks import Document


def csv_bytes(document: Document) -> bytes:
    """Write the flat table as CSV; the mark in front lets a spreadsheet know it for UTF-8."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows([harmless(cell) for cell in record] for record in document.records)
    return out.getvalue().encode("utf-8-sig")
