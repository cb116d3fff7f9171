"""Read a PDF or a picture without harm, in a child process with limits."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from dataclasses import replace

from weldref.errors import InputError
from weldref.procedures.paper.reading import Reading, reading_from
from weldref.procedures.tree import MOST_VALUES

TEXT_MB, TEXT_SECONDS = 700, 20
"""What reading the text of a PDF may take: memory, and seconds of processor time."""
MEMORY_MB, SECONDS = 1536, 300
"""The same for pictures, and the seconds that any file may take by the clock."""
FILE_MB = 200
"""The largest temporary file, in which a picture is handed to the engine."""
MOST_ANSWER = 80 * 1024 * 1024

NEEDED = (
    "procedure: reading a picture needs the engine tesseract (on Debian: apt install "
    "tesseract-ocr) and weldref[scan]; a PDF with text needs neither"
)

STARTS = (b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"II*\x00", b"MM\x00*")
"""How a PDF, a PNG, a JPEG and a TIFF begin."""


def is_paper(data: bytes) -> bool:
    r"""Whether a file is a PDF or a picture.

    >>> is_paper(b"%PDF-1.7"), is_paper(b"WPS No.,7\n")
    (True, False)
    """
    return data.startswith(STARTS)


def read_paper(data: bytes, name: str = "") -> Reading:
    """Read a PDF or a picture; no value of it is confirmed.

    Raises `InputError` if it is encrypted, broken or too large, or an extra is missing.
    """
    child = subprocess.Popen(
        [sys.executable, "-P", "-m", "weldref.procedures.paper.worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        told, _ = child.communicate(data, timeout=SECONDS)
    except subprocess.TimeoutExpired:
        raise InputError(
            f"procedure: '{name}' was not read within {SECONDS} s; give fewer pages"
        ) from None
    finally:
        _end(child)
    try:
        answer = json.loads(told) if len(told) <= MOST_ANSWER else {}
    except ValueError:
        answer = {}
    if "error" in answer:
        raise InputError(answer["error"])
    if "cells" not in answer:
        raise InputError(
            f"procedure: '{name}' cannot be read: it is damaged, or holds more than a form does"
        )
    reading = replace(reading_from(answer), file=name)
    if len(reading.cells) > MOST_VALUES:
        raise InputError(f"procedure: '{name}' holds more than {MOST_VALUES:,} texts")
    return reading


def _end(child: subprocess.Popen[bytes]) -> None:
    """End the child and the engine that it may have started."""
    try:
        os.killpg(child.pid, signal.SIGKILL)
    except (AttributeError, ProcessLookupError, PermissionError):
        child.kill()
    child.communicate()
