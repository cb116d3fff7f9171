"""What the tests of procedures share."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from weldref.procedures.model import Procedure, values
from weldref.procedures.read import read_bytes

SAMPLES = Path(__file__).parent / "samples"


def read(value: object, name: str = "x.json") -> Procedure:
    """Read one procedure from plain values, a text or bytes."""
    if not isinstance(value, (str, bytes)):
        value = json.dumps(value)
    data = value.encode() if isinstance(value, str) else value
    (found,) = read_bytes(data, name)
    return found


def said(procedure: Procedure) -> dict[str, str]:
    """Every value of a procedure as text, by the name of its field."""
    return {name: str(value) for name, value in values(procedure)}


def slips(procedure: Procedure) -> list[tuple[str, str]]:
    """Kind and field of every slip."""
    return [(slip.kind, slip.field) for slip in procedure.slips]


@pytest.fixture
def workbook(tmp_path: Path) -> Callable[..., bytes]:
    """Write cells to a workbook: {"A1": value}, by sheet."""
    from openpyxl import Workbook

    def write(**sheets: dict[str, object]) -> bytes:
        book = Workbook()
        book.remove(book.active)
        for title, cells in sheets.items():
            sheet = book.create_sheet(title)
            for at, value in cells.items():
                sheet[at] = value
        path = tmp_path / "book.xlsx"
        book.save(path)
        return path.read_bytes()

    return write
