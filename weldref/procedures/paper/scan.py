"""Read the words and ruled cells of a picture (in the child process)."""

from __future__ import annotations

from weldref.errors import InputError
from weldref.procedures.paper.page import Page


def read_picture(_data: bytes) -> list[Page]:
    """Read the pages of a picture.

    Raises
    ------
    InputError
        Always: pictures are not read yet.
    """
    raise InputError("procedure: the file is a picture; write its contents into the form")


def read_drawn(_data: bytes, number: int) -> Page:
    """Read a page of a PDF that holds no text.

    Raises
    ------
    InputError
        Always: pictures are not read yet.
    """
    raise InputError(f"procedure: page {number} is a picture; write its contents into the form")
