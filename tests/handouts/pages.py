"""What the tests of printed pages share: text of a PDF, its structure, the class's sheets."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from typing import Any

import pikepdf
import pypdfium2 as pdfium

from weldref.data.store import Store
from weldref.handouts.selection import select
from weldref.handouts.settings import Group, settings_for

CLASS_DATE = "2026-11-25"

# Our own class builds handrails and a ramp for a footbridge.
POST = {"process": "SMAW", "material": "A36", "electrode": "E7018", "diameter": "1/8"}
BRACKET = {"process": "GMAW", "material": "304", "thickness": "3/16"}
RAMP = {"process": "GTAW", "material": "aluminum", "thickness": "1/8"}


def page_texts(pdf: bytes) -> list[str]:
    """Text of each page, with invisible breaks taken out and blanks made one."""
    document = pdfium.PdfDocument(pdf)
    try:
        texts = []
        for page in document:
            text_page = page.get_textpage()
            texts.append(plain(text_page.get_text_range()))
            text_page.close()
            page.close()
        return texts
    finally:
        document.close()


def plain(text: str) -> str:
    # PDFium writes U+FFFE for a hyphen at the end of a line; U+200B only lets a word break.
    text = text.replace("\ufffe", "-").replace("\u200b", "")
    return re.sub(r"\s+", " ", text).strip()


def squeezed(text: str) -> str:
    """A text without any blank: a line may be broken anywhere on a page."""
    return re.sub(r"\s+", "", plain(text))


def numbers(text: str) -> set[str]:
    return set(re.findall(r"\d+(?:\.\d+)?", text))


def tags(pdf: bytes) -> Iterator[tuple[str, Any]]:
    """Walk the structure tree: each tag with its element, in reading order."""

    def walk(element: Any) -> Iterator[tuple[str, Any]]:
        if isinstance(element, pikepdf.Array):
            for kid in element:
                yield from walk(kid)
        elif isinstance(element, pikepdf.Dictionary):
            if "/S" in element:
                yield str(element["/S"]).lstrip("/"), element
            if "/K" in element:
                yield from walk(element["/K"])

    with pikepdf.open(io.BytesIO(pdf)) as document:
        yield from walk(document.Root.StructTreeRoot.K)


def crowded(pdf: bytes, margin: float = 15) -> list[str]:
    """Texts of a PDF that run out of the page (its margin in points), or over another text."""
    document = pdfium.PdfDocument(pdf)
    try:
        return [text for page in document for text in _crowded(page, margin)]
    finally:
        document.close()


def _crowded(page: pdfium.PdfPage, margin: float) -> Iterator[str]:
    width, height = page.get_size()
    text = page.get_textpage()
    boxes = [text.get_rect(number) for number in range(text.count_rects())]
    for number, (left, bottom, right, top) in enumerate(boxes):
        inside = margin < left and right < width - margin
        if not (inside and margin < bottom and top < height - margin):
            yield text.get_text_bounded(left, bottom, right, top)
        for other in boxes[number + 1 :]:
            across = min(right, other[2]) - max(left, other[0])
            along = min(top, other[3]) - max(bottom, other[1])
            sizes = [(right - left) * (top - bottom), (other[2] - other[0]) * (other[3] - other[1])]
            if across > 1 and along > 1 and across * along > 0.3 * min(sizes):
                yield f"{text.get_text_bounded(left, bottom, right, top)} over another"
    text.close()
    page.close()


def settings_of(store: Store, conditions: Mapping[str, Any], **how: Any) -> dict[str, Group]:
    """The rows of a situation by quantity, as a handout chooses them."""
    selection = select(store, conditions, **how)
    groups = settings_for(store, selection.situations[0], selection).groups
    return {group.quantity: group for group in groups}
