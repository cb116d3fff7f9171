"""Build the parser from `commands.csv` and `options.csv`, and print answers as all commands do.

A row of `options.csv` is an option of a command, or an argument without dashes. A row with `@` adds
the options of a set, such as those of a situation; its help is added to the help of each.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterable
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

from weldref import __version__
from weldref.data.own import OwnTables, chosen
from weldref.data.store import Store, local_readings, read_here
from weldref.errors import InputError
from weldref.files import csv_rows

INSIDE, OUTSIDE, BAD_INPUT, NOTHING, DEPENDS = 0, 1, 2, 3, 4
"""Exit codes: all inside; low, high or sources differ; bad input; no published range; depends."""

EXIT_CODES = (
    "Exit codes: 0 inside, 1 low, high or sources differ, 2 bad input, 3 no published range, "
    "4 depends on what was not said."
)


class Parser(argparse.ArgumentParser):
    """A parser that reports bad input like every other part: one sentence, exit code 2."""

    def __init__(self, **how: Any) -> None:
        super().__init__(**how)
        # "-1/4" is a bad value, to be refused as one, and not an option.
        self._negative_number_matcher = re.compile(r"-\.?\d")

    def error(self, message: str) -> Any:
        """Raise the message instead of printing usage."""
        missing = "the following arguments are required: COMMAND"
        raise InputError(message.replace(missing, "no command is given; weldref --help lists them"))


def not_empty(text: str) -> str:
    """Refuse an empty text: an unset variable of a script does not mean "not stated".

    >>> not_empty("A36")
    'A36'
    """
    if not text.strip():
        raise argparse.ArgumentTypeError("it is empty; give a value, or leave the option out")
    return text


def _count(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"'{text}' is not accepted; give a number of 1 or more")
    return int(text)


TAKES: dict[str, Callable[[str], Any] | None] = {
    "text": None,
    "filled text": not_empty,
    "path": Path,
    "number": int,
    "count": _count,
}
DEFAULTS: dict[str, Any] = {"''": "", "[]": []}


@cache
def _options() -> dict[str, list[dict[str, str]]]:
    """Read the options of each command and set."""
    found: dict[str, list[dict[str, str]]] = {}
    for row in csv_rows(Path(__file__).with_name("options.csv")):
        found.setdefault(row["of"], []).append(row)
    return found


def names_of(of: str) -> list[str]:
    """Return the names by which a program knows the options of a command or set.

    >>> names_of("own")
    ['tables', 'instead']
    """
    names: list[str] = []
    for row in _options()[of]:
        said = row["option"].split()[-1]
        names += names_of(said[1:]) if said[0] == "@" else [said.strip("-").replace("-", "_")]
    return names


def build_parser(asked: str | None = None) -> Parser:
    """Declare the commands and their options: only the one that is asked for, or all."""
    parser = Parser(
        prog="weldref",
        description="Published welding-parameter ranges, every number with its source.",
        epilog=EXIT_CODES,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"weldref {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    rows = csv_rows(Path(__file__).with_name("commands.csv"))
    for row in [row for row in rows if row["command"] == asked] or rows:
        made = commands.add_parser(
            row["command"], help=row["help"], description=row["help"], allow_abbrev=False
        )
        made.set_defaults(module=row["module"])
        _add(made, row["command"])
    return parser


def _add(parser: argparse.ArgumentParser, of: str, more: str = "") -> None:
    """Add the options of a command or set; `more` follows the help of each."""
    for row in _options().get(of, ()):
        if row["option"].startswith("@"):
            _add(parser, row["option"][1:], row["help"])
            continue
        how: dict[str, Any] = {"help": f"{_languages(row['help'])}{more}"}
        if row["takes"] == "flag":
            how["action"] = "store_true"
        else:
            kind = TAKES[row["takes"]]
            how |= {"type": kind, "metavar": row["metavar"] or None}
            if text := row["default"]:
                default = DEFAULTS.get(text, text)
                how["default"] = kind(default) if kind and default else default
            if row["times"] == "many":
                how["action"] = "append"
            elif row["times"]:
                how["nargs"] = row["times"]
            if row["choices"]:
                how["choices"] = tuple(row["choices"].split())
            if row["needed"]:
                how["required"] = True
        parser.add_argument(*row["option"].split(), **how)


def _languages(text: str) -> str:
    """Fill in the languages of the handouts."""
    if "{languages}" not in text:
        return text
    from weldref.handouts.words import LANGUAGES

    return text.format(languages=", ".join(LANGUAGES))


def run(arguments: argparse.Namespace) -> int:
    """Run a command: the function of its name, in its module."""
    module = import_module(f"weldref.commands.{arguments.module}")
    code: int = getattr(module, f"run_{arguments.command.replace('-', '_')}")(arguments)
    return code


def exit_code(verdict: str) -> int:
    """Turn the word of a verdict into the exit code.

    >>> exit_code("inside"), exit_code("high"), exit_code("depends")
    (0, 1, 4)
    """
    codes = {"inside": INSIDE, "no published range": NOTHING, "depends": DEPENDS}
    return codes.get(verdict, OUTSIDE)


def own_of(arguments: argparse.Namespace) -> OwnTables | None:
    """Find the own tables that the options, the environment or the config file name."""
    return chosen(arguments.tables, instead=arguments.instead)


def given(arguments: argparse.Namespace, *names: str) -> dict[str, Any]:
    """Return what some options hold, by name."""
    options = vars(arguments)
    return {name: options[name] for name in names}


def once(said: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    """Collect values by name.

    >>> once([("gas", "argon"), ("gas", "CO2")])
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: gas: given twice; give it once
    """
    found: dict[str, Any] = {}
    for name, value in said:
        if name in found:
            raise InputError(f"{name.replace('_', ' ')}: given twice; give it once")
        found[name] = value
    return found


def situation_of(arguments: argparse.Namespace) -> dict[str, Any]:
    """Collect what was stated about a situation; a condition that is given twice is refused."""
    names = names_of("conditions")
    lists = given(arguments, *names)
    said = once((name.replace("_", "-"), text) for name in names for text in lists[name] or ())
    conditions = {name: said.get(name.replace("_", "-")) for name in names}
    return conditions | given(arguments, "under_water", "in_service", "units")


def print_json(value: object) -> None:
    """Print a value as readable JSON, without control characters."""
    import json

    text = json.dumps(value, ensure_ascii=False, indent=2)
    print("".join(c if c.isprintable() or c == "\n" else json.dumps(c)[1:-1] for c in text))


def print_one(arguments: argparse.Namespace, value: Any, text: Callable[[], str]) -> None:
    """Print an answer as JSON, or as text."""
    if arguments.json:
        print_json(value)
    else:
        print(text())


def print_answer(
    arguments: argparse.Namespace,
    value: dict[str, Any],
    text: Callable[[], str],
    store: Store,
    shown: Iterable[str] = (),
) -> None:
    """Print an answer, and which local readings the rows shown in it rest on."""
    used = local_readings(store)
    rows = read_here(store, shown) if used else []
    print_one(arguments, value | ({"local_readings": {**used, "rows": rows}} if used else {}), text)
    if used and not arguments.json:
        from weldref.data.local_readings import line, rests_on
        from weldref.text import paragraph

        print("\n" + "\n".join(paragraph(said) for said in (line(used), rests_on(rows)) if said))


def print_all(paths: Iterable[object]) -> int:
    """Print what was written, one path a line."""
    from weldref.text import clean

    for path in paths:
        print(clean(path))
    return INSIDE
