"""Where the CSV tables are, their version and their digest."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from contextlib import suppress
from fnmatch import fnmatch
from functools import lru_cache
from pathlib import Path

DATASET_VERSION = "1.0.0"
"""Version of the tables that ship with the package; datasets/README.md has the rule."""

DATASET_RELEASED = "2026-11-25"
"""The day on which that version was finished."""

HARDENED = {
    "enable_external_access": "false",
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    "threads": "2",
}
"""Nothing outside the file is ever read, and no extension is fetched."""


def datasets_folder() -> Path:
    """Return the folder of the tables: beside the package's code, or in the source tree."""
    package = Path(__file__).parent.parent
    inside = package / "datasets"
    return inside if inside.is_dir() else package.parent / "datasets"


def digest_of(folder: Path, pattern: str = "**/*.csv") -> str:
    """Return the SHA-256 of every table below a folder, names included, or of one table's files.

    >>> len(digest_of(datasets_folder()))
    64
    >>> digest_of(datasets_folder(), "windows/*.csv") == digest_of(datasets_folder())
    False
    """
    files = sorted(
        (name, found.st_mtime_ns, found.st_size)
        for name, found in _files(str(folder), "")
        if fnmatch(name, pattern.removeprefix("**/"))
    )
    return _digest(folder, tuple(files))


def _files(folder: str, below: str) -> Iterator[tuple[str, os.stat_result]]:
    """List the files below a folder by name; this is asked before every answer."""
    with suppress(FileNotFoundError, NotADirectoryError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir():
                yield from _files(entry.path, f"{below}{entry.name}/")
            else:
                yield f"{below}{entry.name}", entry.stat()


# A file that keeps its time and its size keeps its content: it is read once.
@lru_cache(maxsize=32)
def _digest(folder: Path, files: tuple[tuple[str, int, int], ...]) -> str:
    total = hashlib.sha256()
    for name in sorted((name for name, _, _ in files), key=lambda name: Path(name)):
        total.update(name.encode() + b"\0")
        total.update(hashlib.sha256((folder / name).read_bytes()).digest())
    return total.hexdigest()
