"""Describe the dataset's folder for other programs, as a Frictionless Data Package (version 2).

``python -m weldref.exchange.datapackage`` writes ``datasets/datapackage.json`` again.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from weldref.data.folder import DATASET_RELEASED, DATASET_VERSION, datasets_folder, digest_of
from weldref.data.schemas.declared import declared
from weldref.exchange.table_schema import table_schema
from weldref.files import csv_rows

PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
FILE = "datapackage.json"
DIALECT = {
    "delimiter": ",",
    "lineTerminator": "\n",
    "quoteChar": '"',
    "doubleQuote": True,
    "header": True,
}

NAME = "weldref"
TITLE = "Published welding-parameter ranges, every number with its source"
DESCRIPTION = (
    "Every row is one published statement: under these conditions, this minimum, maximum or "
    "typical value, in the unit as printed, with its source, the place in the source and how it "
    "was read. Nothing is averaged, blended, interpolated or extrapolated. Inside a published "
    "range is not safe, qualified or sound."
)
LICENCE: dict[str, Any] = {
    "name": "CC0-1.0",
    "title": "Creative Commons Zero v1.0 Universal",
    "path": "https://creativecommons.org/publicdomain/zero/1.0/",
}
"""The licence of the compiled data; that of the code is in the file LICENSE."""

AUTHORS = "The weldref authors"


def statement() -> dict[str, Any]:
    """Return what every export says about the dataset, with the property names of a Data Package.

    >>> statement()["licenses"][0]["name"]
    'CC0-1.0'
    """
    return {
        "name": NAME,
        "title": TITLE,
        "description": DESCRIPTION,
        "version": DATASET_VERSION,
        "created": f"{DATASET_RELEASED}T00:00:00Z",
        "licenses": [LICENCE],
        "contributors": [{"title": AUTHORS, "roles": ["author"]}],
    }


def folder_descriptor(folder: Path | None = None) -> dict[str, Any]:
    """Describe a folder of tables laid out like ``datasets/``.

    >>> [one["path"] for one in folder_descriptor()["resources"] if one["name"] == "source_notes"]
    ['reference/source_notes.csv']
    """
    folder = folder or datasets_folder()
    files = []
    for table, declaration in declared().items():
        for path in sorted(folder.glob(declaration.files)):
            name = f"{table}-{path.stem}" if "*" in declaration.files else table
            place = path.relative_to(folder).as_posix()
            files.append((name, table, place, path.read_bytes()))
    return descriptor(files, csv_rows(folder / "sources.csv"), digest_of(folder))


def descriptor(
    files: Iterable[tuple[str, str, str, bytes]], sources: Iterable[Any], digest: str
) -> dict[str, Any]:
    """Describe CSV files, each given by its resource, its table, its path and its content.

    `sources` are the rows of that table, `digest` is the dataset's
    (`weldref.data.folder.digest_of`).
    """
    return {
        "$schema": PROFILE,
        **statement(),
        "digest": f"sha256:{digest}",
        "sources": [_source(row) for row in sources],
        "resources": [_resource(*file) for file in files],
    }


def text_of(described: dict[str, Any]) -> str:
    """Write a descriptor as JSON."""
    return json.dumps(described, ensure_ascii=False, indent=1) + "\n"


def _resource(name: str, table: str, path: str, content: bytes) -> dict[str, Any]:
    return {
        "name": name,
        "type": "table",
        "path": path,
        "title": name.replace("_", " ").replace("-", ": ", 1).capitalize(),
        "description": declared()[table].about,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": len(content),
        "hash": f"sha256:{hashlib.sha256(content).hexdigest()}",
        "dialect": DIALECT,
        "schema": table_schema(table),
    }


def _source(row: dict[str, Any]) -> dict[str, Any]:
    """Name a document; `path` is the first web address where it was read, if there is one."""
    addresses = (row["address"] or "").split(" ; ")
    first = next((one for one in addresses if one.startswith("http")), None)
    found = {"title": row["title"], "path": first, "version": row["edition"]}
    return {name: value for name, value in found.items() if value}


if __name__ == "__main__":
    (datasets_folder() / FILE).write_text(text_of(folder_descriptor()), encoding="utf-8")
