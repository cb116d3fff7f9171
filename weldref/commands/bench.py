"""The command that shows what to set, on one card."""

from __future__ import annotations

import argparse

from weldref.commands.lookups import READINGS, readings_of
from weldref.commands.options import (
    INSIDE,
    NOTHING,
    Command,
    add_situation,
    own_of,
    print_json,
    situation_of,
)


def declare(command: Command) -> None:
    """Declare the commands of this module."""
    bench = command("bench", run_bench, "show what to set, on one card")
    add_situation(bench)
    for name, unit in READINGS.items():
        bench.add_argument(f"--{name}", action="append", metavar="VALUE", help=unit)
    bench.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="QUANTITY=VALUE",
        help="any other quantity of the table quantities",
    )
    bench.add_argument(
        "--line", type=int, default=1, metavar="N", help="which of the lines that fit leads"
    )


def run_bench(arguments: argparse.Namespace) -> int:
    """Show the card."""
    from weldref.advice.card import bench

    found = bench(
        **situation_of(arguments),
        grade=arguments.grade,
        own=own_of(arguments),
        line=arguments.line,
        **readings_of(arguments),
    )
    if arguments.json:
        print_json(found.as_dict())
    else:
        from weldref.text import card_text

        print(card_text(found))
    return INSIDE if found.values else NOTHING
