"""Write the dataset as a zip of CSV files with their descriptor, or as one JSON file."""

from __future__ import annotations

import csv
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from weldref.cells import harmless
from weldref.data.schemas.declared import declared
from weldref.exchange import release
from weldref.exchange.datapackage import FILE, descriptor, text_of
from weldref.exchange.dataset import Cell, Dataset, Table, text
from weldref.exchange.table_schema import table_schema

GUARD_NOTE = "spreadsheet.txt"
"""The file in a zip that says that its cells are guarded."""

_GUARDED = (
    "These CSV files are for a spreadsheet. A cell that it could take for a formula has an\n"
    "apostrophe in front, and so has a cell that begins with one: take away the first apostrophe\n"
    "of a cell to have it as published. The plain files are written without --spreadsheet.\n"
)
_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The first moment that a zip can name: a real one would change the bytes of each export."""


def write_csv(dataset: Dataset, path: Path) -> None:
    """Write a zip with a CSV file of each table, exactly as published, and a Data Package."""
    files = {f"{name}.csv": csv_of(table, text) for name, table in dataset.tables.items()}
    sources = dataset.tables["sources"]
    described = descriptor(
        [
            (name.removesuffix(".csv"), name.removesuffix(".csv"), name, c)
            for name, c in files.items()
        ],
        [dict(zip(sources.columns, row, strict=True)) for row in sources.rows],
        dataset.digest or "",
    )
    _zip(path, {FILE: text_of(described).encode(), **files})


def write_spreadsheet(dataset: Dataset, path: Path) -> None:
    """Write a zip of CSV files of which a spreadsheet computes no cell."""
    files = {f"{name}.csv": csv_of(table, guard) for name, table in dataset.tables.items()}
    said = json.dumps(release.statement() | {"digest": dataset.digest}, indent=1)
    _zip(path, {GUARD_NOTE: f"{_GUARDED}\n{said}\n".encode(), **files})


def guard(value: Cell) -> str:
    """Write a cell so that a spreadsheet computes nothing and `unguard` finds it again.

    >>> guard("=1+1"), guard("'twas"), guard(-20.0), guard("E7018")
    ("'=1+1", "''twas", '-20', 'E7018')
    """
    plain = text(value)
    return f"'{plain}" if plain.startswith("'") else harmless(plain)


def unguard(value: str) -> str:
    """Take away what `guard` added."""
    return value.removeprefix("'")


def csv_of(table: Table, write: Callable[[Cell], str]) -> bytes:
    """Write a table as CSV in UTF-8 with LF line ends."""
    lines: list[str] = []
    # With LF alone a carriage return would not be quoted, and begin a line of its own.
    writer = csv.writer(SimpleNamespace(write=lines.append), lineterminator="\r\n")
    writer.writerow(table.columns)
    writer.writerows([write(cell) for cell in row] for row in table.rows)
    return "".join(f"{line[:-2]}\n" for line in lines).encode()


def write_json(dataset: Dataset, path: Path) -> None:
    """Write one JSON object: what the dataset is, and each table with its schema and rows.

    A row is an object without its empty cells, on a line of its own.
    """
    head = json.dumps(
        release.statement() | {"digest": f"sha256:{dataset.digest}"}, ensure_ascii=False, indent=1
    )
    tables = ",\n".join(_json_table(name, table) for name, table in dataset.tables.items())
    whole = f'{head.removesuffix("}").rstrip()},\n "tables": {{\n{tables}\n }}\n}}\n'
    path.write_bytes(whole.encode())


def _json_table(name: str, table: Table) -> str:
    said = {"description": declared()[name].about, "schema": table_schema(name)}
    head = json.dumps(said, ensure_ascii=False)[:-1]
    rows = ",\n".join(json.dumps(_object(table, row), ensure_ascii=False) for row in table.rows)
    return f'{json.dumps(name)}: {head}, "rows": [\n{rows}\n]}}'


def _object(table: Table, row: tuple[Cell, ...]) -> dict[str, Any]:
    return {
        column: int(value) if isinstance(value, float) and value.is_integer() else value
        for column, value in zip(table.columns, row, strict=True)
        if value is not None
    }


def _zip(path: Path, files: dict[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
        for name, content in files.items():
            info = zipfile.ZipInfo(name, _EARLIEST)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 3
            info.external_attr = 0o644 << 16
            packed.writestr(info, content)
