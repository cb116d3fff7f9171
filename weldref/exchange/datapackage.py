"""Describe the dataset's folder for other programs, as a Frictionless Data Package (version 2).

``python -m weldref.exchange.datapackage`` writes ``datasets/datapackage.json`` again.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from weldref.data.folder import datasets_folder, digest_of
from weldref.data.schemas.declared import declared
from weldref.data.schemas.tables import read_rows
from weldref.exchange import release
from weldref.exchange.table_schema import table_schema

PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
FILE = "datapackage.json"
DIALECT = {
    "delimiter": ",",
    "lineTerminator": "\n",
    "quoteChar": '"',
    "doubleQuote": True,
    "header": True,
}


def folder_descriptor(folder: Path | None = None) -> dict[str, Any]:
    """Describe a folder of tables laid out like ``datasets/``.

    >>> [one["path"] for one in folder_descriptor()["resources"] if one["name"] == "source_notes"]
    ['reference/source_notes.csv']
    """
    folder = folder or datasets_folder()
    files = []
    for table, told in declared().items():
        for path in sorted(folder.glob(told.files)):
            name = table if "*" not in told.files else f"{table}-{path.stem}"
            place = path.relative_to(folder).as_posix()
            files.append((name, table, place, path.read_bytes()))
    columns = declared()["sources"].columns
    rows, _ = read_rows((folder / "sources.csv").read_bytes(), "sources.csv", columns)
    return descriptor(files, rows.to_dict("records"), digest_of(folder))


def descriptor(
    files: Iterable[tuple[str, str, str, bytes]], sources: Iterable[Any], digest: str
) -> dict[str, Any]:
    """Describe CSV files, each given by its resource, its table, its path and its content.

    `sources` are the rows of that table, `digest` is the dataset's
    (`weldref.data.folder.digest_of`).
    """
    return {
        "$schema": PROFILE,
        **release.statement(),
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
    address = row["address"] if isinstance(row["address"], str) else ""
    first = next((one for one in address.split(" ; ") if one.startswith("http")), None)
    found = {"title": row["title"], "path": first, "version": row["edition"]}
    return {name: value for name, value in found.items() if isinstance(value, str) and value}


if __name__ == "__main__":
    (datasets_folder() / FILE).write_text(text_of(folder_descriptor()), encoding="utf-8")
