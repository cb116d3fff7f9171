"""Turn a page of a PDF into a scan: turned, noisy, blurred, at 150 or 200 dpi, as JPEG 50."""

from __future__ import annotations

import io
import random

import numpy as np
import pypdfium2
from PIL import Image, ImageFilter


def scanned(pdf: bytes, number: int) -> bytes:
    """Scan a document: a PDF of pictures, each with a turn, a resolution and noise of its own."""
    drawn = random.Random(number)  # noqa: S311
    pages = []
    resolution = drawn.choice((150, 200))
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            picture = page.render(scale=resolution / 72, grayscale=True).to_pil().convert("L")
            turned = picture.rotate(
                drawn.uniform(-2, 2), resample=Image.Resampling.BICUBIC, fillcolor=255
            )
            soft = turned.filter(ImageFilter.GaussianBlur(0.5 * resolution / 200))
            noise = np.random.default_rng(number).normal(0, 9, (soft.height, soft.width))
            grey = np.clip(np.asarray(soft, dtype=float) * 0.93 + 8 + noise, 0, 255)
            pages.append(Image.fromarray(grey.astype(np.uint8)))
    packed = io.BytesIO()
    pages[0].save(
        packed, "PDF", save_all=True, append_images=pages[1:], resolution=resolution, quality=50
    )
    return packed.getvalue()
