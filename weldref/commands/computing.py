"""The command that computes a formula or looks up a table."""

from __future__ import annotations

import argparse

from weldref.commands.options import INSIDE, Command, add_json, print_json


def declare(command: Command) -> None:
    """Declare the commands of this module."""
    compute = command(
        "compute", run_compute, "compute a formula or look up a table, with units on every value"
    )
    compute.add_argument("name", nargs="?", metavar="NAME", help="see --list")
    compute.add_argument("inputs", nargs="*", metavar="key=value", help='for example "leg=1/4 in"')
    compute.add_argument("--list", action="store_true", help="list every formula and look-up")
    compute.add_argument("--explain", action="store_true", help="equation, source, validity")
    add_json(compute)


def run_compute(arguments: argparse.Namespace) -> int:
    """Compute a formula, explain it or list all."""
    from weldref.calculate import by_name as compute
    from weldref.calculate import text as compute_text
    from weldref.text import pairs

    if arguments.list or not arguments.name:
        listed = compute.listing()
        shown, plain = compute_text.listing_text(listed), {"formulas": listed}
    elif arguments.explain:
        explained = compute.explain(arguments.name)
        shown, plain = compute_text.explanation_text(explained), explained
    else:
        answer = compute.compute(arguments.name, pairs("compute", arguments.inputs))
        shown, plain = compute_text.answer_text(answer), answer.as_dict()
    if arguments.json:
        print_json(plain)
    else:
        print(shown)
    return INSIDE
