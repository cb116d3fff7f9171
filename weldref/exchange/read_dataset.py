"""Read an untrusted dataset: a folder of CSV tables, or an export of them as a zip archive.

The limits are some forty times what the dataset needs, and low enough that nothing takes long.
"""

from __future__ import annotations

import csv
import io
import json
import zipfile
import zlib
from collections.abc import Iterable
from pathlib import Path

from weldref.data.folder import digest_of
from weldref.errors import InputError
from weldref.exchange.dataset import MB, MOST_BYTES, Dataset, Table, shown, table_of
from weldref.exchange.writers import GUARD_NOTE, unguard

MOST_FILES = 1_000
ACCEPTED = "a folder of CSV tables, or an export of them (.zip)"


def read_dataset(path: str | Path) -> Dataset:
    """Read the tables of a dataset.

    Raises
    ------
    InputError
        If it does not exist, is not of an accepted kind, is damaged or larger than accepted.

    Examples
    --------
    >>> from weldref.data.folder import datasets_folder
    >>> len(read_dataset(datasets_folder()).tables["windows"].rows) > 1000
    True
    """
    path = Path(path)
    try:
        if path.is_dir():
            return _folder(path)
        if path.is_file():
            return _file(path)
        raise InputError(f"it does not exist; give {ACCEPTED}")
    except InputError as error:
        raise InputError(f"'{path}': {error}") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"'{path}': it cannot be read: {reason}") from error


def _file(path: Path) -> Dataset:
    if path.stat().st_size > MOST_BYTES:
        raise InputError(f"it is larger than the {MOST_BYTES // MB} MB accepted")
    with path.open("rb") as file:
        start = file.read(2)
    if not start.startswith(b"PK"):
        raise InputError(f"it is not a dataset; give {ACCEPTED}")
    return _zip(path)


def _folder(path: Path) -> Dataset:
    files = [file for file in sorted(path.rglob("*.csv")) if file.is_file()]
    if not files:
        raise InputError(f"no table is in this folder; give {ACCEPTED}")
    if len(files) > MOST_FILES or sum(file.stat().st_size for file in files) > MOST_BYTES:
        raise InputError(f"it holds more than {MOST_FILES} files or {MOST_BYTES // MB} MB")
    contents = ((file.relative_to(path).as_posix(), file.read_bytes()) for file in files)
    described = path / "datapackage.json"
    small = described.is_file() and described.stat().st_size < MOST_BYTES
    version = _said(described.read_bytes(), "version") if small else None
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
                # The sizes that an archive states may be wrong: read no further than allowed.
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
    return Dataset(str(path), tables, _said(described, "version"), _said(described, "digest"))


def _said(descriptor: bytes, name: str) -> str | None:
    """Return the version or the digest that a Data Package states."""
    try:
        whole = json.loads(descriptor)
    except (ValueError, RecursionError) as error:
        reason = str(error).split("(")[0].strip() or "nested too deeply"
        raise InputError(f"it is not JSON: {reason}") from error
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
