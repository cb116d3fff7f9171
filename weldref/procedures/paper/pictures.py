"""Cut the picture of a value out of the picture of its page."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

from weldref.procedures.paper.page import Box

MARGIN = 3.0
"""Points of paper around a value."""
MOST_PIXELS = 30_000_000


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page of a reading: its size in points and its picture (PNG or JPEG)."""

    width: float
    height: float
    picture: bytes


def cutter(sheets: Sequence[Sheet]) -> Callable[[int, Box], bytes]:
    """Return what cuts a box out of a page, as PNG; nothing where there is no picture."""
    from PIL import Image

    @cache
    def opened(page: int) -> Image.Image | None:
        try:
            image = Image.open(io.BytesIO(sheets[page - 1].picture), formats=("PNG", "JPEG"))
            if image.width * image.height > MOST_PIXELS:
                return None
            return image.convert("L")
        except (OSError, IndexError):
            return None

    def cut(page: int, box: Box) -> bytes:
        image = opened(page)
        if image is None:
            return b""
        scale = image.width / sheets[page - 1].width
        left, top, right, bottom = box
        part = image.crop(
            (
                max(0, int((left - MARGIN) * scale)),
                max(0, int((top - MARGIN) * scale)),
                min(image.width, int((right + MARGIN) * scale) + 1),
                min(image.height, int((bottom + MARGIN) * scale) + 1),
            )
        )
        packed = io.BytesIO()
        part.quantize(16).save(packed, "PNG")
        return packed.getvalue()

    return cut
