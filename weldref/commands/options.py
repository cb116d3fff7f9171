"""Define what commands share: exit codes, options that mean the same everywhere, printing."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, Protocol

from weldref.data.own import OwnTables, chosen
from weldref.data.store import Store, local_readings, read_here
from weldref.errors import InputError

INSIDE, OUTSIDE, BAD_INPUT, NOTHING, DEPENDS = 0, 1, 2, 3, 4
"""Exit codes: all inside; low, high or sources differ; bad input; no published range; depends."""

SITUATION = {
    "process": "welding or cutting process: GMAW, mig, SMAW, stick ...",
    "transfer-mode": "short-circuiting, globular, spray, pulsed spray",
    "material": "base metal: mild steel, A36, 304, 6061 ...",
    "electrode": "class of electrode, wire or rod: E7018, ER70S-6 ...",
    "diameter": "of the electrode, wire or tungsten: 1/8, .035, 3.2 mm",
    "thickness": "of the base metal: 1/8, 10 ga, 6 mm",
    "joint": "fillet, butt, T, lap, square groove ...",
    "position": "flat, 1G, 3F, vertical up, PF ...",
    "polarity": "DCEP, DCEN, AC",
    "tungsten": "class of the tungsten: EWTh-2, lanthanated, pure ...",
    "code": "code of the work; its rows apply only when it is named: AWS D1.1, ASME B31.3 ...",
    "gas": "75/25, C25, 98 Ar / 2 O2, argon, M21 ...",
}


class Parser(argparse.ArgumentParser):
    """A parser that reports bad input like every other part: one sentence, exit code 2."""

    def error(self, message: str) -> Any:
        """Raise the message instead of printing usage."""
        missing = "the following arguments are required: COMMAND"
        raise InputError(message.replace(missing, "no command is given; weldref --help lists them"))


Run = Callable[[argparse.Namespace], int]


class Command(Protocol):
    """Declare a command: its name, what runs it, and its one line of help."""

    def __call__(self, name: str, run: Run, text: str) -> Parser:
        """Return the parser to add options to."""
        ...


def exit_code(verdict: str) -> int:
    """Turn the word of a verdict into the exit code.

    >>> exit_code("inside"), exit_code("high"), exit_code("depends")
    (0, 1, 4)
    """
    codes = {"inside": INSIDE, "no published range": NOTHING, "depends": DEPENDS}
    return codes.get(verdict, OUTSIDE)


def add_json(parser: argparse.ArgumentParser) -> None:
    """Let a command answer in JSON."""
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def not_empty(text: str) -> str:
    """Take a text that says something: an unset variable of a script is not "not stated".

    >>> not_empty("A36")
    'A36'
    """
    if not text.strip():
        raise argparse.ArgumentTypeError("it is empty; give a value, or leave the option out")
    return text


def add_situation(parser: argparse.ArgumentParser) -> None:
    """Let a command be told what is on the bench."""
    add_conditions(parser)
    parser.add_argument("--under-water", action="store_true", help="for under-water work")
    parser.add_argument(
        "--in-service", action="store_true", help="for work on a line or vessel in service"
    )
    parser.add_argument(
        "--units", choices=("us", "metric"), default="us", help="of bare numbers (us)"
    )
    add_grade(parser)
    add_own(parser)
    add_json(parser)


def add_own(parser: argparse.ArgumentParser) -> None:
    """Let a command be told of a shop's or school's own tables."""
    parser.add_argument(
        "--tables",
        type=Path,
        metavar="DIR",
        help="own tables, shown separately from published ones",
    )
    parser.add_argument(
        "--instead", action="store_true", help="own tables instead of published ones"
    )


def own_of(arguments: argparse.Namespace) -> OwnTables | None:
    """Find the own tables that the options, the environment or the config file name."""
    return chosen(arguments.tables, instead=arguments.instead)


def add_conditions(parser: argparse.ArgumentParser, more: str = "") -> None:
    """Let a command be told the conditions; `more` follows the help of each."""
    for name, text in SITUATION.items():
        parser.add_argument(
            f"--{name}", type=not_empty, action="append", metavar="TEXT", help=f"{text}{more}"
        )


def add_grade(parser: argparse.ArgumentParser) -> None:
    """Let a command be told which evidence to accept."""
    parser.add_argument(
        "--grade",
        choices=("read", "secondary", "memory"),
        default="memory",
        help="lowest evidence grade to accept (memory)",
    )


def situation_of(arguments: argparse.Namespace) -> dict[str, Any]:
    """Collect what `add_situation` asked for.

    Raises
    ------
    InputError
        If an option was given twice.
    """
    options = vars(arguments)
    said = {}
    for name in SITUATION:
        key = name.replace("-", "_")
        first, *more = options[key] or [None]
        if more:
            raise InputError(f"{name}: given twice; give it once")
        said[key] = first
    return said | {name: options[name] for name in ("under_water", "in_service", "units")}


def print_json(value: object) -> None:
    """Print a value as JSON that a person can read too, and that steers no terminal."""
    import json

    text = json.dumps(value, ensure_ascii=False, indent=2)
    print("".join(c if c.isprintable() or c == "\n" else json.dumps(c)[1:-1] for c in text))


def local_part(store: Store, shown: Iterable[str]) -> dict[str, Any]:
    """Say in JSON which readings count on this machine, and which rows shown rest on them."""
    used = local_readings(store)
    return {"local_readings": {**used, "rows": read_here(store, shown)}} if used else {}


def print_local(store: Store, shown: Iterable[str]) -> None:
    """Say which readings count on this machine, and which rows shown rest on them."""
    if used := local_readings(store):
        from weldref.data.local_readings import line, rests_on
        from weldref.text import paragraph

        said = [paragraph(text) for text in (line(used), rests_on(read_here(store, shown))) if text]
        print("\n" + "\n".join(said))
