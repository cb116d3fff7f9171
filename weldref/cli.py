"""Parse the command line, call and print; no rule, number or SQL is here."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence

from weldref.commands.parser import BAD_INPUT, INSIDE, build_parser, run
from weldref.errors import DataError, WeldrefError


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    if arguments is None:  # run as a program: what it imports stays until it ends
        gc.set_threshold(100_000)
    try:
        typed = sys.argv[1:] if arguments is None else list(arguments)
        return run(build_parser(next(iter(typed), None)).parse_args(typed))
    except WeldrefError as error:
        return _refuse(*(str(error).split("\n") if isinstance(error, DataError) else [str(error)]))
    except BrokenPipeError:
        return INSIDE
    except OSError as error:
        return _refuse(f"{error.filename}: {error.strerror}"[:300])
    except KeyboardInterrupt:
        return 130


def _refuse(*lines: str) -> int:
    from weldref.text import clean

    print("weldref:", "\n".join(map(clean, lines)), file=sys.stderr)
    return BAD_INPUT


if __name__ == "__main__":
    sys.exit(main())
