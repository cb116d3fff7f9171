"""Hold the documents made during this visit: their pages as pictures, and their files."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeVar

import pypdfium2
import streamlit as st

from weldref.dashboard import widgets
from weldref.dashboard.said import many
from weldref.errors import InputError
from weldref.handouts.blocks import Document
from weldref.handouts.output import renderer

MOST_PICTURES = 6
SCALE = 1.4
"""Pixels for a point of the page: an A4 page is some 830 pixels wide."""

ENDINGS = {".pdf": "PDF", ".html": "HTML page", ".csv": "CSV"}
Documents = tuple[Document, ...]
T = TypeVar("T")


def draw(document: Document, ending: str) -> bytes:
    """Draw a document in the format of an ending such as ".pdf"."""
    return renderer(Path(f"sheet{ending}"))(document).content


def pictures(pdf: bytes, most: int = MOST_PICTURES) -> tuple[int, list[bytes]]:
    """Return the number of pages of a PDF, and the first of them as PNG."""
    pages = pypdfium2.PdfDocument(pdf)
    try:
        made = []
        for place in range(min(most, len(pages))):
            out = io.BytesIO()
            pages[place].render(scale=SCALE).to_pil().save(out, "PNG")
            made.append(out.getvalue())
        return len(pages), made
    finally:
        pages.close()


def radio(tab: str, name: str, label: str, options: dict[str, str]) -> str:
    """Draw a choice of a few words, as wide as they are."""
    return widgets.radio(label, options, f"{tab}-{name}", width="content")


def made(
    tab: str,
    key: str,
    label: str,
    make: Callable[[], T],
    doing: str = "Putting the pages together",
    changed: str = "The entries have changed since the sheets were made: press the button again",
) -> T | None:
    """Draw a button that makes something; return what it made while the entries stay the same."""
    state = f"{tab}-made"
    if st.button(label, key=f"{tab}-make", type="primary"):
        with st.spinner(doing):
            try:
                st.session_state[state] = (key, make(), "")
            except InputError as error:
                st.session_state[state] = (key, None, str(error).removeprefix("--"))
    of, found, problem = st.session_state.get(state, (None, None, ""))
    if of not in (None, key) and changed:
        widgets.note(changed)
    if of != key:
        return None
    if problem:
        widgets.problem(problem)
    result: T | None = found
    return result


def offer(tab: str, name: str, label: str, document: Document, pdf: bytes) -> None:
    """Draw the buttons that download a document in each format."""
    with st.container(horizontal=True, gap="small", key=f"{tab}-{name}-files"):
        for ending, words in ENDINGS.items():
            # Other formats are drawn when they are asked for.
            data = pdf if ending == ".pdf" else partial(draw, document, ending)
            key = f"{tab}-{name}{ending}"
            widgets.download(f"{label}: {words}", data, f"{name}{ending}", key)


def show(tab: str, pages: int, images: list[bytes]) -> None:
    """Draw the first pages, side by side where there is room."""
    left = pages - len(images)
    said = many(pages, "page")
    if left:
        said += f"; the first {len(images)} are shown here, the PDF has all"
    widgets.note(said)
    with st.container(horizontal=True, gap="medium", key=f"paper-pages-{tab}"):
        for number, image in enumerate(images, 1):
            st.image(image, width=560, alt=f"Page {number} of {pages}; the PDF holds it as text")
