"""Write a document as a file: the ending of the name picks the format."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import ExitStack
from importlib.util import find_spec
from pathlib import Path

from weldref.errors import InputError
from weldref.files import check_place as check_file
from weldref.files import unfinished
from weldref.handouts import formats
from weldref.handouts.blocks import Document, Drawn


def renderer(path: Path) -> Callable[[Document], Drawn]:
    """Choose how to draw a document by the ending of its file; refuse an ending not known."""
    known = {
        ".pdf": formats.pdf,
        ".html": formats.html,
        ".htm": formats.html,
        ".csv": formats.spreadsheet,
    }
    if path.suffix.casefold() not in known:
        raise InputError(f"--output: '{path.name}' ends in none of .pdf, .html, .csv")
    return known[path.suffix.casefold()]


def check_tools() -> None:
    """Refuse to start where what draws pages is not installed, with the way to install it."""
    missing = [name for name in ("typst", "babel", "segno") if find_spec(name) is None]
    if missing:
        raise InputError(
            f"handouts need {' and '.join(missing)}, not installed here; "
            "install the extra: pip install 'weldref[print]'"
        )


def check_place(
    path: Path,
    option: str = "--output",
    endings: Sequence[str] = (),
    inputs: Iterable[Path] = (),
) -> None:
    """Make sure that a file may be written at a place, before any work is done.

    Its ending is one of `endings`, or that of a format where none are named; `inputs` are files
    that are read.
    """
    if not endings:
        renderer(path)
    elif path.suffix.casefold() not in endings:
        raise InputError(f"{option}: '{path.name}' does not end in {endings[0]}")
    check_file(path, option, inputs)
    if not path.parent.is_dir():
        raise InputError(f"{option}: the folder '{path.parent}' does not exist")
    if path.is_dir():
        raise InputError(f"{option}: '{path}' is a folder; give the name of a file")


def write(files: Iterable[tuple[Document | bytes, Path]]) -> tuple[tuple[Path, Drawn], ...]:
    """Draw all documents, then put each file in its place, whole; return what was drawn.

    Bytes need no drawing. Where a file cannot be written, none is.
    """
    drawn = tuple(
        (path, Drawn(one) if isinstance(one, bytes) else renderer(path)(one)) for one, path in files
    )
    try:
        with ExitStack() as places:
            for path, one in drawn:
                places.enter_context(unfinished(path)).write_bytes(one.content)
    except OSError as error:
        reason = error.strerror or "unknown"
        raise InputError(f"--output: '{path}' cannot be written: {reason}") from None
    return drawn


FROM_TWO_METRES = 4.4
"""Height of a figure (mm) that is read from two metres: 7.5 minutes of arc, of which eyesight of
20/30 is the limit (20/20 sees 5 minutes by definition; from memory)."""

FIGURE = 0.65 * 25.4 / 72
"""Height of a figure of our font (mm) for each point of its size."""


def said(drawn: Drawn) -> str:
    """Say how many pages a PDF has, and how far off its figures are read.

    >>> said(Drawn(b"", 1, 19.4))
    ': 1 page, figures 4.4 mm high, to read from 2 m'
    """
    if drawn.pages is None:
        return ""
    text = f": {drawn.pages} page{'s' if drawn.pages > 1 else ''}"
    if drawn.size is None:
        return text
    height = drawn.size * FIGURE
    distance = 2 * height / FROM_TWO_METRES
    text += f", figures {height:.1f} mm high, to read from {distance:.2g} m"
    if round(height, 1) < FROM_TWO_METRES:
        text += (
            f" (from 2 m they need {FROM_TWO_METRES} mm: choose a larger --paper, more --pages, or "
            "fewer --thickness, --diameter or --quantity)"
        )
    return text
