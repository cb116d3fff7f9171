"""Read the words and ruled cells of a PDF that holds text (in the child process)."""

from __future__ import annotations

import io
from typing import Any

from weldref.errors import InputError
from weldref.procedures.paper.page import (
    EMPTY,
    FILLED,
    SIGNS,
    Box,
    Page,
    Sheet,
    Word,
    box_of,
    holds,
)

MOST_PAGES = 20
MOST_CHARACTERS = 60_000
MOST_SHAPES = 20_000
FEWEST_CHARACTERS = 30
"""A page with fewer is treated as a picture."""
OVER_A_PICTURE = "text that a scanner has laid over a picture"
DPI = 130
MOST_PIXELS = 4_000_000
LONGEST_SIDE = 14_400
"""Points: the largest page that a PDF may have."""
_BOX = (4.5, 15.0)
"""The sides of a box to tick, in points."""


def read_pages(data: bytes) -> list[Page | None]:
    """Read each page; one without text is None, for the reader of pictures.

    Raises `InputError` if the file is encrypted or broken, or exceeds a limit.
    """
    try:
        import pdfplumber
    except ImportError as error:
        raise InputError(
            "procedure: reading a PDF needs pdfplumber; install weldref[pdf]"
        ) from error
    from pdfminer.pdfdocument import PDFEncryptionError
    from pdfplumber.utils.exceptions import PdfminerException

    try:
        with pdfplumber.open(io.BytesIO(data)) as document:
            count = len(document.pages)
            if count == 0:
                raise InputError("procedure: the PDF has no pages")
            if count > MOST_PAGES:
                raise InputError(f"procedure: the PDF has {count} pages; give at most {MOST_PAGES}")
            return [_page(page, data) for page in document.pages]
    except (InputError, MemoryError):
        raise
    except Exception as error:  # a damaged file fails in the library in many ways
        cause = error.args[0] if isinstance(error, PdfminerException) and error.args else error
        locked = isinstance(cause, PDFEncryptionError)  # a wrong password is one
        what = "encrypted; save it without a password" if locked else "damaged: it cannot be read"
        raise InputError(f"procedure: the PDF is {what}") from error


def _page(page: Any, data: bytes) -> Page | None:
    number = page.page_number
    if not 0 < page.width <= LONGEST_SIDE or not 0 < page.height <= LONGEST_SIDE:
        raise InputError(f"procedure: page {number} is not of a size that paper has")
    if len(page.chars) > MOST_CHARACTERS or len(page.edges) > MOST_SHAPES:
        raise InputError(f"procedure: page {number} holds more than a form does")
    if sum(not char["text"].isspace() for char in page.chars) < FEWEST_CHARACTERS:
        return None
    boxes = _boxes(page)
    plain = page.filter(lambda thing: not _within(boxes, thing))
    doubt = OVER_A_PICTURE if _is_picture(page) else ""
    words = [
        _word(found, doubt)
        for found in plain.extract_words(
            x_tolerance_ratio=0.18, y_tolerance=2, keep_blank_chars=False
        )
    ]
    words += [Word(mark, box) for box, mark in boxes.items()]
    finder = plain.debug_tablefinder({"snap_tolerance": 2, "join_tolerance": 2})
    cells = [box_of(cell) for cell in finder.cells]
    return Page(
        number,
        Sheet(float(page.width), float(page.height), _picture(data, number)),
        tuple(words),
        tuple(cell for cell in cells if cell[2] - cell[0] > 6 and cell[3] - cell[1] > 6),
    )


def _is_picture(page: Any) -> bool:
    """Whether a picture fills most of a page: its text is then what a scanner read."""
    return any(
        image["width"] * image["height"] > 0.5 * page.width * page.height for image in page.images
    )


def _word(found: dict[str, Any], doubt: str) -> Word:
    text = found["text"]
    doubt = "characters without a meaning in the file" if "(cid:" in text else doubt
    return Word(SIGNS.get(text, text), _box(found), doubt)


def _boxes(page: Any) -> dict[Box, str]:
    """Find squares that are drawn to be ticked, and whether something is drawn in them."""
    low, high = _BOX
    squares: dict[Box, str] = {}
    shapes = [*page.rects, *page.curves]
    for shape in shapes:
        box = _box(shape)
        wide, tall = box[2] - box[0], box[3] - box[1]
        if low <= wide <= high and abs(wide - tall) < 1.5 and not _within(squares, shape):
            squares[box] = EMPTY
    for box in squares:
        if any(
            holds(box, _box(thing)) and _fills(thing, box)
            for thing in (*page.lines, *shapes, *page.chars)
        ):
            squares[box] = FILLED
    return squares


def _fills(thing: dict[str, Any], square: Box) -> bool:
    """Whether something in a square is more than the square: a cross, a tick, a dark fill."""
    box = _box(thing)
    if thing["object_type"] == "char":
        return not thing["text"].isspace() and box[2] - box[0] <= square[2] - square[0] + 4
    if thing["object_type"] == "line":
        return box[2] - box[0] > 1 and box[3] - box[1] > 1
    if any(abs(a - b) > 0.6 for a, b in zip(box, square, strict=True)):
        return box[2] - box[0] <= square[2] - square[0]
    colour = thing.get("non_stroking_color")
    return bool(thing.get("fill")) and colour is not None and sum(colour) < 0.5 * len(colour)


def _box(thing: dict[str, Any]) -> Box:
    return box_of(thing[edge] for edge in ("x0", "top", "x1", "bottom"))


def _within(boxes: dict[Box, str], thing: Any) -> bool:
    box = _box(thing)
    return any(
        holds(square, box) and box[2] - box[0] <= square[2] - square[0] + 4 for square in boxes
    )


def _picture(data: bytes, number: int) -> bytes:
    """Draw a page as a PNG in grey."""
    packed = io.BytesIO()
    draw_page(data, number, DPI).quantize(16).save(packed, "PNG", optimize=True)
    return packed.getvalue()


def draw_page(data: bytes, number: int, dpi: int) -> Any:
    """Draw a page in grey, as Pillow holds it."""
    import pypdfium2

    with pypdfium2.PdfDocument(data) as document:
        page = document[number - 1]
        wide, tall = page.get_size()
        scale = min(dpi / 72, (MOST_PIXELS * (dpi / DPI) ** 2 / max(wide * tall, 1)) ** 0.5)
        return page.render(scale=scale, grayscale=True).to_pil().convert("L")
