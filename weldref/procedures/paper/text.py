"""Write a reading for a terminal."""

from __future__ import annotations

from weldref.procedures.paper.draft import in_order
from weldref.procedures.paper.reading import NOT_UNDERSTOOD, Reading
from weldref.text import clean, paragraph, table


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
