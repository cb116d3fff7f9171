"""The child process of `weldref.procedures.paper.read`: reads a file, prints one JSON object."""

from __future__ import annotations

import json
import sys
from contextlib import suppress
from typing import Any

from weldref.errors import InputError
from weldref.procedures.paper.page import Page
from weldref.procedures.paper.read import FILE_MB, MEMORY_MB, SECONDS


def limit_process() -> None:
    """Put the system's walls around this process, where the system has them."""
    try:
        import resource
    except ImportError:  # not a POSIX system: the timeout remains
        return
    size = MEMORY_MB * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_DATA, (size, size))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS * 2, SECONDS * 2))
    resource.setrlimit(resource.RLIMIT_FSIZE, (FILE_MB * 1024 * 1024, FILE_MB * 1024 * 1024))


def pages_of(data: bytes) -> list[Page]:
    """Read the pages of a PDF or a picture."""
    if not data.startswith(b"%PDF"):
        from weldref.procedures.paper.scan import read_picture

        return read_picture(data)
    from weldref.procedures.paper.text_pdf import read_pages

    pages: list[Page] = []
    for number, page in enumerate(read_pages(data), 1):
        if page is None:
            from weldref.procedures.paper.scan import read_drawn

            page = read_drawn(data, number)
        pages.append(page)
    return pages


def main() -> None:
    """Read the file on standard input."""
    data = sys.stdin.buffer.read()
    limit_process()
    answer: dict[str, Any]
    try:
        answer = {"pages": [page.as_dict() for page in pages_of(data)]}
    except InputError as error:
        answer = {"error": str(error)}
    except MemoryError:
        answer = {"error": f"procedure: reading it needs more than {MEMORY_MB} MB"}
    with suppress(BrokenPipeError):
        sys.stdout.write(json.dumps(answer))


if __name__ == "__main__":
    main()
