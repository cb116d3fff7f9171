"""The child process of `paper/read.py`: reads a file, prints the reading as JSON."""

from __future__ import annotations

import json
import signal
import sys
from contextlib import suppress

from weldref.errors import InputError
from weldref.procedures.paper import read
from weldref.procedures.paper.page import Page
from weldref.procedures.paper.reading import reading_of


def limit_process(seconds: int, megabytes: int) -> None:
    """Set the system's limits for this process, where the system has them."""
    try:
        import resource
    except ImportError:  # not a POSIX system: the timeout remains
        return
    size = megabytes * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_DATA, (size, read.MEMORY_MB * 1024 * 1024))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, read.SECONDS * 2))
    resource.setrlimit(
        resource.RLIMIT_FSIZE, (read.FILE_MB * 1024 * 1024, read.FILE_MB * 1024 * 1024)
    )
    signal.signal(signal.SIGXCPU, _late)


def _late(*_: object) -> None:
    raise InputError("procedure: reading it takes too long; it holds more than a form does")


def pages_of(data: bytes) -> list[Page]:
    """Read the pages of a PDF or a picture, each kind within its own limits."""
    limit_process(read.TEXT_SECONDS, read.TEXT_MB)
    if not data.startswith(b"%PDF"):
        limit_process(read.SECONDS, read.MEMORY_MB)
        from weldref.procedures.paper.scan import read_picture

        return read_picture(data)
    from weldref.procedures.paper.text_pdf import read_pages

    pages = read_pages(data)
    if all(pages):
        return [page for page in pages if page]
    limit_process(read.SECONDS, read.MEMORY_MB)
    from weldref.procedures.paper.scan import read_drawn

    return [page or read_drawn(data, number) for number, page in enumerate(pages, 1)]


def main() -> None:
    """Read the file on standard input; write the reading, or what is wrong with the file."""
    data = sys.stdin.buffer.read()
    error = ""
    try:
        answer = reading_of(pages_of(data), data).as_json()
    except InputError as said:
        error = str(said)
    except ImportError:
        error = read.NEEDED
    except MemoryError:
        error = "procedure: reading it needs more memory than a form does"
    with suppress(BrokenPipeError):
        sys.stdout.buffer.write(json.dumps({"error": error}).encode() if error else answer)


if __name__ == "__main__":
    main()
