"""How does a file come to its place? Whole or not at all, under another name until it is.

What a killed process leaves under such a name is removed by a later one, a day after.
"""

from __future__ import annotations

import os
import shutil
import stat
import tempfile
import time
from contextlib import suppress
from pathlib import Path

from weldref.errors import InputError

UNFINISHED = ".weldref-"
"""How the name of a file begins that is not finished."""

KEPT = 86_400
"""Seconds after which an unfinished file is nobody's any more."""


def check_place(path: Path, option: str = "output") -> None:
    """Refuse a place that no file may take: a device, a pipe, a link, a name too long.

    A file that is renamed to a device's name would take the device away.

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


def write_whole(path: Path, content: bytes, option: str = "output") -> None:
    """Write a file so that it is there whole or not at all.

    Raises
    ------
    InputError
        If the file cannot be written.
    """
    check_place(path, option)
    sweep(path.parent)
    try:
        handle, name = tempfile.mkstemp(prefix=UNFINISHED, dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            # A temporary file is nobody else's to read; the finished one is as any other.
            Path(name).chmod(0o666 & ~_umask())
            Path(name).replace(path)
        finally:
            with suppress(OSError):
                Path(name).unlink()
    except OSError as error:
        raise InputError(f"{option}: '{path}' cannot be written: {error.strerror}") from error


def sweep(folder: Path, pattern: str = f"{UNFINISHED}*") -> None:
    """Remove what processes that were killed left unfinished more than a day ago."""
    for left in folder.glob(pattern):
        with suppress(OSError):
            if left.lstat().st_mtime > time.time() - KEPT:
                continue
            if left.is_dir() and not left.is_symlink():
                shutil.rmtree(left)
            else:
                left.unlink()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
