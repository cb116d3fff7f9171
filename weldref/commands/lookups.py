"""The commands that answer from the tables: rows that apply, checks, the card, formulas."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from weldref.commands.parser import (
    INSIDE,
    NOTHING,
    exit_code,
    given,
    names_of,
    once,
    own_of,
    print_answer,
    print_one,
    situation_of,
)


def run_bench(arguments: argparse.Namespace) -> int:
    """Show the card."""
    from weldref.advice.card import bench
    from weldref.text import card_text

    found = bench(**_asked(arguments), line=arguments.line, **_readings(arguments))
    print_one(arguments, found.as_dict(), lambda: card_text(found))
    return INSIDE if found.values else NOTHING


def run_window(arguments: argparse.Namespace) -> int:
    """Show the rows that apply."""
    from weldref.core.check import published
    from weldref.data.store import open_tables
    from weldref.text import published_text

    found = published(**_asked(arguments), quantity=arguments.quantity)
    shown = [row.window_id for row in found.rows]
    store = open_tables(own_of(arguments))
    print_answer(arguments, found.as_dict(), lambda: published_text(found), store, shown)
    return INSIDE if found.rows or found.own_rows else NOTHING


def run_check(arguments: argparse.Namespace) -> int:
    """Check proposed values."""
    from weldref.core.check import check
    from weldref.data.store import open_tables
    from weldref.text import check_text

    found = check(**_asked(arguments), **_readings(arguments))
    shown = [row.window_id for reading in found.readings for row in reading.rows]
    colour = sys.stdout.isatty()
    store = open_tables(own_of(arguments))
    print_answer(arguments, found.as_dict(), lambda: check_text(found, colour=colour), store, shown)
    return exit_code(found.verdict)


def _asked(arguments: argparse.Namespace) -> dict[str, Any]:
    return situation_of(arguments) | {"grade": arguments.grade, "own": own_of(arguments)}


def _readings(arguments: argparse.Namespace) -> dict[str, Any]:
    """Return the proposed values by quantity; one that is given twice is refused."""
    from weldref.text import pairs

    names = [name for name in names_of("readings") if name != "set"]
    lists = given(arguments, *names)
    said = [(name, value) for name in names for value in lists[name] or ()]
    return once([*said, *pairs("--set", arguments.set).items()])


def run_compute(arguments: argparse.Namespace) -> int:
    """Compute a formula, explain it or list all."""
    from weldref.calculate import by_name, text
    from weldref.text import pairs

    if arguments.list or not arguments.name:
        listed = by_name.listing()
        print_one(arguments, {"formulas": listed}, lambda: text.listing_text(listed))
    elif arguments.explain:
        explained = by_name.explain(arguments.name)
        print_one(arguments, explained, lambda: text.explanation_text(explained))
    else:
        answer = by_name.compute(arguments.name, pairs("compute", arguments.inputs))
        print_one(arguments, answer.as_dict(), lambda: text.answer_text(answer))
    return INSIDE
