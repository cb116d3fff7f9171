"""Read the words and ruled cells of a picture (in the child process).

The page is straightened and its rules are found. Two engines read every cell, and every text
outside of rules, separately. Where they differ the text is doubtful.
"""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import cv2
import numpy as np
from PIL import Image, ImageOps

from weldref.errors import InputError
from weldref.procedures.paper.engines import Picture, read_parts
from weldref.procedures.paper.page import EMPTY, FILLED, Box, Page, Sheet, Word, around
from weldref.procedures.paper.text_pdf import MOST_PAGES, draw_page

DPI = 220
"""At which a page of a PDF is drawn to be read."""
MOST_PIXELS = 40_000_000
LEAST_WIDTH = 600
SHEET = (595.0, 842.0)
"""Width and height in points that a picture is taken to have (A4), upright."""
MOST_TURN = 5.0
"""Degrees by which a page may be turned."""
MOST_PARTS = 600
MOST_INK = 0.15
"""Share of a page that is ink; a page with more is not a form."""
PICTURE_WIDTH = 1100
MARKED, UNCLEAR = 0.13, 0.06
"""Share of ink within a box to tick: marked, and unclear from here."""


def read_picture(data: bytes) -> list[Page]:
    """Read the pages of a PNG, JPEG or TIFF.

    Raises `InputError` if it is damaged or too large, or an extra is missing.
    """
    pages = []
    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "TIFF")) as image:
            count = getattr(image, "n_frames", 1)
            if count > MOST_PAGES:
                raise InputError(f"procedure: the picture has {count} pages; give {MOST_PAGES}")
            for number in range(count):
                image.seek(number)
                if image.width * image.height > MOST_PIXELS:
                    raise InputError(
                        f"procedure: the picture has more than {MOST_PIXELS // 1_000_000} million "
                        "pixels; scan it at 200 dpi"
                    )
                pages.append(ImageOps.exif_transpose(image).convert("L"))
    except (InputError, MemoryError):
        raise
    except Image.DecompressionBombError as error:
        raise InputError("procedure: the picture has too many pixels; scan at 200 dpi") from error
    except Exception as error:  # a damaged file fails in the library in many ways
        raise InputError("procedure: the picture is damaged: it cannot be opened") from error
    return [_page(page, number) for number, page in enumerate(pages, 1)]


def read_drawn(data: bytes, number: int) -> Page:
    """Read a page of a PDF that holds no text."""
    return _page(draw_page(data, number, DPI), number)


def _page(image: Any, number: int) -> Page:
    cv2.setNumThreads(1)
    if image.width < LEAST_WIDTH:
        raise InputError(
            f"procedure: page {number} is {image.width} pixels wide; scan it at 150 dpi or more"
        )
    wide, tall = SHEET if image.height >= image.width else SHEET[::-1]
    scan = Picture(np.asarray(image), image.width / wide)
    if float(np.mean(_ink(scan) > 0)) > MOST_INK:
        raise InputError(f"procedure: page {number} is too dark or too noisy to be read")
    scan = _straight(scan)
    ink = _ink(scan)
    rules = _rules(scan, ink)
    cells = _cells(scan, rules)
    clear = np.where(cv2.dilate(rules, np.ones((3, 3), np.uint8)) > 0, 255, scan.grey)
    marks = _marks(scan, ink)
    for mark in marks:
        left, top, right, bottom = _pixels(scan, mark.box)
        clear[max(0, top - 2) : bottom + 3, max(0, left - 2) : right + 3] = 255
    places = _texts(scan, clear, cells)
    if len(places) > MOST_PARTS:
        raise InputError(f"procedure: page {number} holds more texts than a form does")
    words = read_parts([_part(scan, clear, box) for box in places])
    # A picture that is not of the proportions of the sheet is as tall as it is drawn.
    if abs(tall / wide - image.height / image.width) >= 0.02:
        tall = image.height / scan.scale
    return Page(number, Sheet(wide, tall, _picture(scan)), (*words, *marks), tuple(cells))


def _pixels(scan: Picture, box: Box) -> list[int]:
    """Turn a box in points into pixels."""
    return [round(edge * scan.scale) for edge in box]


def _ink(scan: Picture) -> Any:
    """White where there is ink, black where there is paper."""
    size = int(scan.scale * 12) | 1
    smooth = cv2.GaussianBlur(scan.grey, (3, 3), 0)
    return cv2.adaptiveThreshold(
        smooth, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, max(size, 15), 18
    )


def _straight(scan: Picture) -> Picture:
    """Turn a page so that its rules and lines are level."""
    tall, wide = scan.grey.shape
    angle = _angle(scan)
    if abs(angle) < 0.03:
        return scan
    turn = cv2.getRotationMatrix2D((wide / 2, tall / 2), angle, 1.0)
    grey = cv2.warpAffine(
        scan.grey, turn, (wide, tall), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    return replace(scan, grey=grey)


def _angle(scan: Picture) -> float:
    """Measure by how many degrees a page is turned: by its long rules, else by its lines."""
    small = cv2.resize(_ink(scan), None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    found = cv2.HoughLines(
        (small > 127).astype(np.uint8) * 255,
        1,
        np.radians(0.05),
        int(small.shape[1] * 0.25),
        min_theta=np.radians(90 - MOST_TURN),
        max_theta=np.radians(90 + MOST_TURN),
    )
    if found is not None and len(found) >= 4:
        return float(np.median(np.degrees(found[:40, 0, 1]))) - 90
    tall, wide = small.shape

    def sharpness(angle: float) -> float:
        turn = cv2.getRotationMatrix2D((wide / 2, tall / 2), angle, 1.0)
        lines = cv2.warpAffine(small, turn, (wide, tall)).sum(axis=1, dtype=float)
        return float(((lines[1:] - lines[:-1]) ** 2).sum())

    coarse = max(np.arange(-3, 3.01, 0.25), key=sharpness)
    return float(max(np.arange(coarse - 0.25, coarse + 0.26, 0.05), key=sharpness))


def _rules(scan: Picture, ink: Any) -> Any:
    """Find the ruled lines: long runs of ink, level or upright."""
    long, short = int(scan.scale * 45), int(scan.scale * 13)
    level = cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((1, long), np.uint8))
    upright = cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((short, 1), np.uint8))
    # A rule may be broken by noise; letters never make a run as long.
    level = cv2.morphologyEx(level, cv2.MORPH_CLOSE, np.ones((3, int(scan.scale * 12)), np.uint8))
    upright = cv2.morphologyEx(
        upright, cv2.MORPH_CLOSE, np.ones((int(scan.scale * 8), 3), np.uint8)
    )
    return cv2.dilate(cv2.bitwise_or(level, upright), np.ones((3, 3), np.uint8))


def _cells(scan: Picture, rules: Any) -> list[Box]:
    """Find the fields that rules enclose."""
    count, _, stats, _ = cv2.connectedComponentsWithStats(255 - rules, connectivity=4)
    tall, wide = rules.shape
    cells = []
    for left, top, width, height, area in stats[1:count].tolist():
        outside = left == 0 or top == 0 or left + width >= wide or top + height >= tall
        small = width < 10 * scan.scale or height < 7 * scan.scale
        if outside or small or area < 0.6 * width * height:
            continue
        cells.append(scan.box(left, top, left + width, top + height))
    return cells


def _marks(scan: Picture, ink: Any) -> list[Word]:
    """Find boxes to tick, and whether something is drawn in them."""
    found: list[Word] = []
    outlines, _ = cv2.findContours(ink, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
    low, high = 5.0 * scan.scale, 14.0 * scan.scale
    for outline in outlines:
        left, top, wide, tall = cv2.boundingRect(outline)
        if not (low <= wide <= high and low <= tall <= high and abs(wide - tall) < 0.2 * wide):
            continue
        part = ink[top : top + tall, left : left + wide] > 0
        edge = max(2, round(0.8 * scan.scale))
        sides = (part[:edge].any(0), part[-edge:].any(0), part[:, :edge].any(1),
                 part[:, -edge:].any(1))  # fmt: skip
        if min(float(side.mean()) for side in sides) < 0.9:
            continue
        inner = part[2 * edge : -2 * edge, 2 * edge : -2 * edge]
        share = float(np.mean(inner)) if inner.size else 0.0
        box = scan.box(left, top, left + wide, top + tall)
        if any(abs(one.box[0] - box[0]) < 4 and abs(one.box[1] - box[1]) < 4 for one in found):
            continue
        doubt = "it is not clear which box is marked" if UNCLEAR < share < MARKED else ""
        found.append(Word(FILLED if share >= MARKED else EMPTY, box, doubt))
    return found


def _texts(scan: Picture, clear: Any, cells: list[Box]) -> list[Box]:
    """Find where there is something to read: in cells, and outside of them."""
    ink = _ink(replace(scan, grey=clear))
    ink = cv2.medianBlur(ink, 3)
    free = ink.copy()
    found: list[Box] = []
    for cell in cells:
        left, top, right, bottom = _pixels(scan, cell)
        part = ink[top:bottom, left:right]
        free[top:bottom, left:right] = 0
        if box := _around_ink(part, scan.scale):
            found.append(scan.box(left + box[0], top + box[1], left + box[2], top + box[3]))
    reach = np.ones((max(1, int(1.5 * scan.scale)), int(6.5 * scan.scale)), np.uint8)
    count, _, stats, _ = cv2.connectedComponentsWithStats(
        cv2.morphologyEx(free, cv2.MORPH_CLOSE, reach)
    )
    for left, top, wide, tall, area in stats[1:count].tolist():
        if tall < 3.5 * scan.scale or wide < 2 * scan.scale or area < 10 * scan.scale:
            continue
        found.append(scan.box(left, top, left + wide, top + tall))
    return found


def _around_ink(part: Any, scale: float) -> Box | None:
    """Return the smallest box around the ink of a cell; None if there are only specks."""
    count, _, stats, _ = cv2.connectedComponentsWithStats(part)
    large = [one for one in stats[1:count].tolist() if one[4] > 0.6 * scale * scale]
    tallest = max((one[3] for one in large), default=0)
    if tallest < 2.5 * scale:
        return None
    return around([(left, top, left + wide, top + tall) for left, top, wide, tall, _ in large])


def _part(scan: Picture, clear: Any, box: Box) -> Picture:
    """Cut a text out, with a little paper around it."""
    wide = (box[0] - 2.0, box[1] - 2.0, box[2] + 2.0, box[3] + 2.0)
    left, top, right, bottom = (max(0, edge) for edge in _pixels(scan, wide))
    corner = left / scan.scale, top / scan.scale
    return Picture(clear[top:bottom, left:right], scan.scale, *corner)


def _picture(scan: Picture) -> bytes:
    """Keep the page as it was read, straight, as a JPEG."""
    scale = min(1.0, PICTURE_WIDTH / scan.grey.shape[1])
    small = cv2.resize(scan.grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    return bytes(cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, 60])[1])
