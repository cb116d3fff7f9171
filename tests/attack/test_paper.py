"""PDFs and pictures of untrusted origin: refused in one sentence, or read, within fixed means.

Each is read by a child process under the limits of `weldref.procedures.paper.read`. A hundred
spoilt files more are read with ``scripts/test --all``.
"""

from __future__ import annotations

import io
import random

import pikepdf
import pytest
from PIL import Image

from tests.attack.corpus import BYTES
from tests.effort import times
from tests.procedures.paper.documents import printed
from weldref.errors import InputError
from weldref.procedures.paper.read import read_paper

DRAWN = random.Random(1).randbytes(1240 * 1754)  # noqa: S311
COUNT = times(3, 100)


def locked() -> bytes:
    packed = io.BytesIO()
    with pikepdf.open(io.BytesIO(printed(0))) as document:
        document.save(packed, encryption=pikepdf.Encryption(user="x", owner="y"))
    return packed.getvalue()


def pages(count: int, size: float = 600) -> bytes:
    packed = io.BytesIO()
    document = pikepdf.new()
    for _ in range(count):
        document.add_blank_page(page_size=(600, 800)).MediaBox = pikepdf.Array([0, 0, size, size])
    document.save(packed)
    return packed.getvalue()


def many_pixels() -> bytes:
    packed = io.BytesIO()
    Image.new("1", (12_000, 12_000)).save(packed, "PNG")
    return packed.getvalue()


def noise() -> bytes:
    packed = io.BytesIO()
    Image.frombytes("L", (1240, 1754), DRAWN).save(packed, "PNG")
    return packed.getvalue()


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (locked, "is encrypted; save it without a password"),
        (lambda: printed(0)[:9000], "damaged"),
        (lambda: b"%PDF-1.7\n" + DRAWN[:20_000], "damaged"),
        (lambda: pages(400), "has 400 pages; give at most 20"),
        (lambda: pages(1, 1e7), "is not of a size that paper has"),
        (many_pixels, "pixels"),
        (noise, "too dark or too noisy"),
        (lambda: b"\x89PNG\r\n\x1a\n" + b"x" * 99, "damaged"),
        (lambda: b"II*\x00" + b"\xff" * 999, "damaged"),
    ],
    ids="locked cut garbage pages size pixels noise png tiff".split(),
)
def test_refused_in_one_sentence(made, message):
    with pytest.raises(InputError, match=message) as refused:
        read_paper(made(), "a.pdf")
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 300


def test_spoilt_files_are_refused_or_read():
    for number in range(COUNT):
        drawn = random.Random(number)  # noqa: S311
        spoilt = drawn.choice(BYTES)(printed(number % 6), drawn)
        try:
            read_paper(b"%PDF" + spoilt[4:], "a.pdf").procedures()
        except InputError as error:
            assert "\n" not in str(error)
