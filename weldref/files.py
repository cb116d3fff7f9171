"""Write a file completely or not at all, under a temporary name until it is complete.

What a killed process leaves under such a name is removed by another process a day later.
"""

from __future__ import annotations

import csv
import os
import shutil
import stat
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from weldref.errors import InputError

UNFINISHED = ".weldref-"
"""How the name of a folder for unfinished files begins."""

DAY = 86_400
"""Seconds after which an unfinished file counts as abandoned."""


def csv_rows(path: Path) -> list[dict[str, str]]:
    """Read a CSV file of this package: its rows, by the names of the columns."""
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def check_place(path: Path, option: str = "output", inputs: Iterable[Path] = ()) -> None:
    """Refuse a place where no file may be written: a device, a pipe, a link, a name too long.

    Renaming a file to a device's name would replace the device. Nor may it be one of the files that
    are read: it would be overwritten.

    Raises
    ------
    InputError
        In one sentence that names the option and the place.
    """
    try:
        folder = path.is_dir()
        kind = path.lstat().st_mode
    except FileNotFoundError:
        return
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"{option}: '{path}' cannot be written: {reason}") from error
    if not (folder or stat.S_ISREG(kind)):
        raise InputError(f"{option}: '{path}' is a link or a device; give the name of a file")
    if any(_one_file(path, read) for read in inputs):
        raise InputError(f"{option}: '{path}' is the file that is read; give another name")


def _one_file(path: Path, other: Path) -> bool:
    try:
        return path.samefile(other)
    except (OSError, ValueError):  # the code that reads it reports what is wrong
        return False


@contextmanager
def unfinished(place: Path) -> Iterator[Path]:
    """Give a path for a new file or folder, which is moved to its place when the block succeeds.

    Until then it is in a folder beside its place that only its owner can open.

    Raises
    ------
    OSError
        If the folder cannot be made, or the place cannot be taken.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     place = Path(folder, "sheet.txt")
    ...     with unfinished(place) as building:
    ...         _ = building.write_text("whole")
    ...         before = place.exists()
    ...     before, place.read_text(), len(list(Path(folder).iterdir()))
    (False, 'whole', 1)
    """
    sweep(place.parent)
    # Named before it is made, so that the name is known below whatever ends the run.
    folder = place.parent / f"{UNFINISHED}{os.urandom(8).hex()}"
    try:
        folder.mkdir(mode=0o700)
        building = folder / "made"
        yield building
        building.replace(place)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def write_whole(
    path: Path, content: bytes, option: str = "output", inputs: Iterable[Path] = ()
) -> None:
    """Write a file so that it is there whole or not at all (`inputs` as for `check_place`).

    Raises
    ------
    InputError
        If the file cannot be written.
    """
    check_place(path, option, inputs)
    try:
        with unfinished(path) as building:
            building.write_bytes(content)
    except OSError as error:
        raise InputError(f"{option}: '{path}' cannot be written: {error.strerror}") from error


def sweep(folder: Path, pattern: str = f"{UNFINISHED}*", *, days: int = 1) -> None:
    """Remove what is no longer needed, such as what a killed process left unfinished."""
    for left in folder.glob(pattern):
        with suppress(OSError):
            if left.lstat().st_mtime > time.time() - days * DAY:
                continue
            if left.is_dir() and not left.is_symlink():
                shutil.rmtree(left)
            else:
                left.unlink()
