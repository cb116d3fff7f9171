"""Write a document as a file: the ending of the name picks the format."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from importlib.util import find_spec
from pathlib import Path

from weldref.errors import InputError
from weldref.files import check_place as check_file
from weldref.files import unfinished
from weldref.handouts.blocks import Document

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


def write(
    documents: Sequence[tuple[Document, Path]], packages: Sequence[tuple[bytes, Path]] = ()
) -> tuple[Path, ...]:
    """Draw all documents, then put each file in its place, whole, and packages beside them.

    Raises
    ------
    InputError
        If a file cannot be written.
    """
    drawn = [*((renderer(path)(document), path) for document, path in documents), *packages]
    try:
        with ExitStack() as places:
            for content, path in drawn:
                places.enter_context(unfinished(path)).write_bytes(content)
    except OSError as error:
        reason = error.strerror or "unknown"
        raise InputError(f"--output: '{path}' cannot be written: {reason}") from None
    return tuple(path for _, path in drawn)
