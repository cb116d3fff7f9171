"""Where the CSV tables are, their version and their digest."""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Iterator
from pathlib import Path

DATASET_VERSION = "2.0.0"
"""Version of the tables that ship with the package; datasets/README.md has the rule."""

DATASET_RELEASED = "2026-11-28"
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
    found = list(_files(str(folder)))
    key = (str(folder), pattern, tuple(found))
    if key in _digests:
        return _digests[key]
    total = hashlib.sha256()
    for path in sorted(folder.glob(pattern)):
        total.update(path.relative_to(folder).as_posix().encode() + b"\0")
        total.update(hashlib.sha256(path.read_bytes()).digest())
    digest = total.hexdigest()
    # A file written just now may be written again within one tick of its clock.
    newest = max((changed for *_, changed in found), default=0)
    if time.time_ns() - newest > SETTLED_NS:
        if len(_digests) > MOST_DIGESTS:
            _digests.clear()
        _digests[key] = digest
    return digest


def _files(folder: str) -> Iterator[tuple[str, int, int, int, int]]:
    """List what is below a folder, with what changes when it does."""
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir():
                yield from _files(entry.path)
            else:
                s = entry.stat()
                yield entry.path, s.st_ino, s.st_size, s.st_mtime_ns, s.st_ctime_ns


SETTLED_NS = 2_000_000_000
"""Nanoseconds after which a file's times tell its content."""

MOST_DIGESTS = 64

_digests: dict[object, str] = {}
