"""How does a document become a file? The ending picks the format; nothing is half-written."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path

from weldref.errors import InputError
from weldref.handouts.blocks import Document
from weldref.whole import UNFINISHED, sweep
from weldref.whole import check_place as check_file

Render = Callable[[Document], bytes]


def renderer(path: Path) -> Render:
    """Choose how to draw a document by the ending of its file.

    Raises
    ------
    InputError
        If the ending is none of those known.
    """
    ending = path.suffix.casefold()
    if ending == ".pdf":
        from weldref.handouts.pdf import pdf_bytes

        return pdf_bytes
    if ending in (".html", ".htm"):
        from weldref.handouts.html import html_bytes

        return html_bytes
    if ending == ".csv":
        from weldref.handouts.spreadsheet import csv_bytes

        return csv_bytes
    raise InputError(f"--output: '{path.name}' ends in none of .pdf, .html, .csv")


def check_tools() -> None:
    """Make sure that what draws pages is installed.

    Raises
    ------
    InputError
        If it is not, with the way to install it.
    """
    missing = [name for name in ("typst", "babel", "segno") if find_spec(name) is None]
    if missing:
        raise InputError(
            f"handouts need {' and '.join(missing)}, not installed here; "
            "install the extra: pip install 'weldref[print]'"
        )


def check_place(path: Path, option: str = "--output") -> None:
    """Make sure that a file may be written at a place, before any work is done.

    Raises
    ------
    InputError
        If its folder does not exist, or a folder or a device stands in its place.
    """
    check_file(path, option)
    renderer(path)
    if not path.parent.is_dir():
        raise InputError(f"{option}: the folder '{path.parent}' does not exist")
    if path.is_dir():
        raise InputError(f"{option}: '{path}' is a folder; give the name of a file")


def write(documents: Sequence[tuple[Document, Path]]) -> tuple[Path, ...]:
    """Draw all documents, then put each file in its place, whole.

    Raises
    ------
    InputError
        If a file cannot be written.
    """
    drawn = [(renderer(path)(document), path) for document, path in documents]
    waiting: list[tuple[Path, Path]] = []
    try:
        for content, path in drawn:
            waiting.append((_temporary(content, path), path))
        for temporary, path in waiting:
            temporary.replace(path)
    except OSError as error:
        reason = error.strerror or "unknown"
        raise InputError(f"--output: '{path}' cannot be written: {reason}") from None
    finally:
        for temporary, _ in waiting:
            with suppress(OSError):
                temporary.unlink()
    return tuple(path for _, path in documents)


def _temporary(content: bytes, path: Path) -> Path:
    """Write a content beside its place under a passing name."""
    sweep(path.parent)
    handle, name = tempfile.mkstemp(prefix=UNFINISHED, suffix=path.suffix, dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
        Path(name).chmod(mode)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    return Path(name)


def _umask() -> int:
    current = os.umask(0)
    os.umask(current)
    return current
