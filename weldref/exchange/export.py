"""Export the dataset as Parquet, CSV, JSON or SQLite, the same rows in each.

The same tables give the same bytes: rows are sorted by key, and no file holds the time of writing.
"""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass
from pathlib import Path

from weldref.data.store import Store, open_store
from weldref.errors import InputError
from weldref.exchange.dataset import published
from weldref.exchange.writers import WRITERS, write_spreadsheet
from weldref.files import check_place, unfinished

ENDINGS = {
    "": "parquet",
    ".parquet": "parquet",
    ".zip": "csv",
    ".json": "json",
    ".sqlite": "sqlite",
    ".sqlite3": "sqlite",
    ".db": "sqlite",
}
ACCEPTED = "a name without an ending (a folder of Parquet files), or one in .zip, .json, .sqlite"


@dataclass(frozen=True, slots=True)
class Exported:
    """A file that was written, with its SHA-256."""

    path: Path
    digest: str


def format_of(path: Path, form: str | None = None) -> str:
    """Choose the format by name, or else by the ending of the file.

    >>> format_of(Path("weldref.zip")), format_of(Path("weldref.dat"), "json")
    ('csv', 'json')

    Raises
    ------
    InputError
        If neither gives a format, or the two differ.
    """
    by_ending = ENDINGS.get(path.suffix.casefold())
    if form is None:
        if by_ending is None:
            raise InputError(f"--output: '{path.name}' is not accepted; give {ACCEPTED}")
        return by_ending
    if form not in WRITERS:
        raise InputError(f"--format: '{form}' is not known; give {', '.join(WRITERS)}")
    if path.suffix and by_ending not in (None, form):
        raise InputError(
            f"--format: {form} does not go with the name '{path.name}', which says {by_ending}"
        )
    return form


def export(
    path: str | Path,
    form: str | None = None,
    *,
    spreadsheet: bool = False,
    store: Store | None = None,
) -> list[Exported]:
    """Write the published columns of every table, whole or not at all.

    Parameters
    ----------
    path
        The file, or for Parquet the folder, to write. A file is replaced; a folder must be new.
    form
        "parquet", "csv" (a zip of CSV files), "json" or "sqlite"; by the ending when left out.
    spreadsheet
        Of CSV: put an apostrophe in front of a cell that a spreadsheet would take for a formula.
    store
        The store to export; that of the package when left out.

    Returns
    -------
    list of Exported
        Every file written, with its digest.

    Raises
    ------
    InputError
        If the format is not known, or the place cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     [file] = export(Path(folder, "weldref.json"))
    >>> len(file.digest)
    64
    """
    import duckdb

    path = Path(path)
    form = format_of(path, form)
    if spreadsheet and form != "csv":
        raise InputError(f"--spreadsheet: goes with the format csv, not with {form}")
    check_place(path, "--output")
    if not path.parent.is_dir():
        raise InputError(f"--output: the folder '{path.parent}' does not exist")
    if path.is_dir() and form != "parquet":
        raise InputError(f"--output: '{path}' is a folder; give the name of a file")
    if path.exists() and form == "parquet":
        raise InputError(f"--output: '{path}' already exists; give the name of a new folder")
    write = write_spreadsheet if spreadsheet else WRITERS[form]
    dataset = published(store or open_store())
    # Written beside the place, then moved there: no half-written file is ever seen.
    try:
        with unfinished(path) as made:
            write(dataset, made)
            files = sorted(made.iterdir()) if made.is_dir() else [made]
            return [
                Exported(
                    path / file.name if made.is_dir() else path,
                    hashlib.sha256(file.read_bytes()).hexdigest(),
                )
                for file in files
            ]
    except (OSError, sqlite3.Error, duckdb.IOException) as error:
        reason = getattr(error, "strerror", None) or str(error).splitlines()[0]
        raise InputError(f"--output: '{path}' cannot be written: {reason}") from error
