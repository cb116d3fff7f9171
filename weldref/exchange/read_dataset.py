"""Read a dataset that anybody made: a folder, an export or a store.

Nothing in an untrusted file is run: of a database only its tables are read. The limits are some
forty times what the dataset needs, and low enough that nothing takes long.
"""

from __future__ import annotations

import csv
import io
import json
import zipfile
import zlib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from weldref.data.folder import digest_of
from weldref.errors import InputError
from weldref.exchange.dataset import MB, MOST_BYTES, Dataset, Table, shown, table_of
from weldref.exchange.read_databases import read_parquet, read_sqlite, read_store
from weldref.exchange.write_text import GUARD_NOTE, unguard

MOST_FILES = 1_000
ACCEPTED = (
    "a folder of tables, an export (.zip, .json, .sqlite or a folder of Parquet files) "
    "or a store (.duckdb)"
)


def read_dataset(path: str | Path) -> Dataset:
    """Read the tables of a dataset.

    Raises
    ------
    InputError
        If it is not there, is none of the accepted kinds, is damaged or larger than accepted.

    Examples
    --------
    >>> from weldref.data.folder import datasets_folder
    >>> len(read_dataset(datasets_folder()).tables["windows"].rows) > 1000
    True
    """
    path = Path(path)
    try:
        if path.is_dir():
            found = _folder(path)
        elif path.is_file():
            found = _file(path)
        else:
            raise InputError(f"it does not exist; give {ACCEPTED}")
        return found
    except InputError as error:
        raise InputError(f"'{path}': {error}") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"'{path}': it cannot be read: {reason}") from error


def _file(path: Path) -> Dataset:
    if path.stat().st_size > MOST_BYTES:
        raise InputError(f"it is larger than the {MOST_BYTES // MB} MB accepted")
    with path.open("rb") as file:
        start = file.read(16)
    if start.startswith(b"PK"):
        return _zip(path)
    if start.startswith(b"SQLite format 3\0"):
        return read_sqlite(path)
    if start[8:12] == b"DUCK":
        return read_store(path)
    if start.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"{"):
        return _json(path)
    raise InputError(f"it is not a dataset; give {ACCEPTED}")


def _folder(path: Path) -> Dataset:
    files = [file for file in sorted(path.rglob("*")) if file.is_file()]
    if any(file.suffix == ".parquet" for file in files):
        files = [file for file in files if file.suffix == ".parquet"]
    else:
        files = [file for file in files if file.suffix == ".csv"]
    if not files:
        raise InputError(f"no table is in this folder; give {ACCEPTED}")
    if len(files) > MOST_FILES or sum(file.stat().st_size for file in files) > MOST_BYTES:
        raise InputError(f"it holds more than {MOST_FILES} files or {MOST_BYTES // MB} MB")
    if files[0].suffix == ".parquet":
        return read_parquet(path, files)
    contents = ((file.relative_to(path).as_posix(), file.read_bytes()) for file in files)
    described = path / "datapackage.json"
    small = described.is_file() and described.stat().st_size < MOST_BYTES
    version = _version(described.read_bytes()) if small else None
    return Dataset(str(path), _csv_tables(contents), version, digest_of(path))


def _zip(path: Path) -> Dataset:
    try:
        with zipfile.ZipFile(path) as packed:
            parts = [part for part in packed.infolist() if not part.is_dir()]
            if len(parts) > MOST_FILES or sum(p.file_size for p in parts) > MOST_BYTES:
                raise InputError(
                    f"it unpacks to more than {MOST_FILES} files or {MOST_BYTES // MB} MB"
                )
            contents, left = {}, MOST_BYTES
            for part in parts:
                # What an archive says of its sizes may be untrue: read no further than allowed.
                with packed.open(part) as file:
                    contents[part.filename] = file.read(left + 1)
                left -= len(contents[part.filename])
                if left < 0:
                    raise InputError(f"it unpacks to more than {MOST_BYTES // MB} MB")
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, zlib.error) as error:
        raise InputError("it is a damaged or encrypted zip archive") from error
    found = {name: content for name, content in contents.items() if name.endswith(".csv")}
    if not found:
        raise InputError("no CSV table is in this archive")
    described = contents.get("datapackage.json", b"{}")
    tables = _csv_tables(found.items(), guarded=GUARD_NOTE in contents)
    return Dataset(str(path), tables, _version(described), _digest(described))


def _json(path: Path) -> Dataset:
    whole = _parsed(path.read_bytes())
    tables = whole.get("tables") if isinstance(whole, dict) else None
    if not isinstance(tables, dict) or not tables:
        raise InputError('it has no "tables"; give a JSON file that weldref exported')
    found = {}
    for name, table in tables.items():
        rows = table.get("rows") if isinstance(table, dict) else None
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            raise InputError(f"table '{shown(name)}' has no list of rows")
        # An empty cell is left out of a row, so the schema is asked for the columns first.
        schema = table.get("schema")
        fields = schema.get("fields") if isinstance(schema, dict) else None
        columns = [
            str(field["name"])
            for field in (fields if isinstance(fields, list) else ())
            if isinstance(field, dict) and "name" in field
        ]
        columns = list(dict.fromkeys([*columns, *(column for row in rows for column in row)]))
        found[name] = table_of(name, columns, ([row.get(c) for c in columns] for row in rows))
    return Dataset(str(path), found, _said(whole, "version"), _said(whole, "digest"))


def _parsed(content: bytes) -> Any:
    try:
        return json.loads(content)
    except (ValueError, RecursionError) as error:
        reason = str(error).split("(")[0].strip() or "nested too deeply"
        raise InputError(f"it is not JSON: {reason}") from error


def _version(descriptor: bytes) -> str | None:
    return _said(_parsed(descriptor), "version")


def _digest(descriptor: bytes) -> str | None:
    return _said(_parsed(descriptor), "digest")


def _said(whole: Any, name: str) -> str | None:
    value = whole.get(name) if isinstance(whole, dict) else None
    return value.removeprefix("sha256:") if isinstance(value, str) else None


def _csv_tables(files: Iterable[tuple[str, bytes]], *, guarded: bool = False) -> dict[str, Table]:
    """Read CSV files; all those in the folder ``windows`` are one table."""
    parts: dict[str, list[Table]] = {}
    for place, content in files:
        *above, name = place.removesuffix(".csv").split("/")
        name = "windows" if above[-1:] == ["windows"] else name
        parts.setdefault(name, []).append(_csv_table(name, place, content, guarded))
    found = {}
    for name, tables in parts.items():
        if any(table.columns != tables[0].columns for table in tables):
            raise InputError(f"the files of table '{shown(name)}' differ in their columns")
        found[name] = Table(tables[0].columns, tuple(row for t in tables for row in t.rows))
    return found


def _csv_table(name: str, place: str, content: bytes, guarded: bool) -> Table:
    try:
        text = content.decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except (UnicodeDecodeError, csv.Error) as error:
        raise InputError(f"{shown(place)} is not CSV in UTF-8") from error
    if not rows:
        raise InputError(f"{shown(place)} is empty; its first line names the columns")
    header, *body = rows
    for number, row in enumerate(body, start=2):
        if len(row) != len(header):
            raise InputError(
                f"{shown(place)}: row {number} has {len(row)} cells; the header has {len(header)}"
            )
    return table_of(name, header, ([unguard(c) for c in row] for row in body) if guarded else body)
