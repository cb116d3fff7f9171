"""A scanned page: read by two engines, silent about nothing that is wrong."""

from __future__ import annotations

import io
import shutil
from collections import defaultdict

import pytest
from PIL import Image

from tests.procedures.paper.documents import printed
from tests.procedures.paper.measure import Score, compare
from tests.procedures.paper.scans import scanned
from weldref.errors import InputError
from weldref.procedures.paper.read import read_paper

pytestmark = pytest.mark.skipif(
    shutil.which("tesseract") is None, reason="the engine tesseract is not installed"
)


def test_a_scanned_page_with_boxes_to_tick() -> None:
    """Turned by up to 2 degrees, noisy, JPEG 50; the whole set is read by ``measure.py``."""
    reading = read_paper(scanned(printed(5), 5), "scan.pdf")
    by: dict[str, Score] = defaultdict(Score)
    compare(reading, 5, by)
    counts = by["all"].counts
    assert counts["right"] >= 0.8 * counts["wanted"], by["all"].failures
    assert counts["silent"] <= 0.02 * counts["found"], by["all"].failures
    found = {value.field: value.said for value in reading.values()}
    assert found["modes[0]"] == "Manual"


@pytest.mark.parametrize(
    ("size", "message"),
    [((300, 400), "is 300 pixels wide; scan it at 150 dpi"), ((9000, 9000), "million pixels")],
)
def test_a_picture_of_a_size_that_cannot_be_read(size: tuple[int, int], message: str) -> None:
    packed = io.BytesIO()
    Image.new("L", size, 255).save(packed, "PNG")
    with pytest.raises(InputError, match=message):
        read_paper(packed.getvalue(), "a.png")


def test_an_empty_page_is_refused() -> None:
    packed = io.BytesIO()
    Image.new("L", (1240, 1754), 250).save(packed, "TIFF")
    with pytest.raises(InputError, match=r"no field of a procedure is recognised in 'a\.tif'"):
        read_paper(packed.getvalue(), "a.tif").procedures()
