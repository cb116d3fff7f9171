"""A page for each command, written from the parser itself."""

from __future__ import annotations

import argparse
import os

from layout import cell, code, sentence, table

from weldref.commands.parser import build_parser

WIDTH = "80"
"""Columns of a usage line: the same on every machine."""


def commands() -> dict[str, argparse.ArgumentParser]:
    """Return the parser of each command by its name."""
    for action in build_parser()._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    raise LookupError("the parser has no commands")


def pages() -> dict[str, str]:
    """Write the pages by their path."""
    os.environ["COLUMNS"] = WIDTH
    parsers = commands()
    parser = build_parser()
    listed = [
        (f"[`weldref {name}`]({name}.md)", cell(sentence(one.description or "")))
        for name, one in parsers.items()
    ]
    index = (
        f"# Commands\n\n{parser.description}\n\n{table(('command', 'what it does'), listed)}\n"
        f"{parser.epilog}\n\n`weldref --version` prints the version, "
        "`weldref COMMAND --help` this text in the terminal.\n"
    )
    written = {"reference/commands/index.md": index}
    for name, one in parsers.items():
        written[f"reference/commands/{name}.md"] = _page(name, one)
    return written


def _page(name: str, parser: argparse.ArgumentParser) -> str:
    arguments = [a for a in parser._actions if not a.option_strings]
    options = [a for a in parser._actions if a.option_strings and a.dest != "help"]
    text = (
        f"# weldref {name}\n\n{sentence(parser.description or '')}\n\n"
        f"```text\n{parser.format_usage().removeprefix('usage: ')}```\n"
    )
    for title, actions in (("Arguments", arguments), ("Options", options)):
        if actions:
            rows = [(_spelt(name, a), _meaning(a)) for a in actions]
            text += f"\n## {title}\n\n{table((title.lower()[:-1], 'what it says'), rows)}"
    return text


def _spelt(command: str, action: argparse.Action) -> str:
    value = "" if action.nargs == 0 else _value(action)
    if not action.option_strings:
        return f"{code(value)}{{ #{command}.{action.dest} }}"
    spelt = ", ".join(action.option_strings)
    return f"{code(f'{spelt} {value}'.strip())}{{ #{command}{action.option_strings[-1]} }}"


def _value(action: argparse.Action) -> str:
    return str(action.metavar or ("" if action.choices else action.dest.upper()))


def _meaning(action: argparse.Action) -> str:
    text = cell(action.help or "")
    if action.choices:
        text += f"; one of {', '.join(map(code, action.choices))}"
    return text + (" (required)" if action.required and action.option_strings else "")
