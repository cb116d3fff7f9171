"""The command that writes a page for students' phones."""

from __future__ import annotations

import argparse
from pathlib import Path

from weldref.commands.options import (
    INSIDE,
    SITUATION,
    Command,
    add_conditions,
    add_grade,
    add_own,
    own_of,
)
from weldref.handouts.words import LANGUAGES


def declare(command: Command) -> None:
    """Declare the commands of this module."""
    pocket = command("pocket", run_pocket, "write a page for students' phones: one file, offline")
    pocket.add_argument(
        "-o", "--output", type=Path, required=True, metavar="FILE", help="ends in .html"
    )
    pocket.add_argument(
        "--situations", type=Path, metavar="FILE", help="a CSV file with a situation in each line"
    )
    add_conditions(pocket, "; may repeat")
    pocket.add_argument(
        "--units", choices=("us", "metric"), default="us", help="of bare numbers (us)"
    )
    pocket.add_argument("--language", default="en", help=f"{', '.join(LANGUAGES)} (en)")
    pocket.add_argument("--title", default="", metavar="TEXT", help="at the top of the page")
    pocket.add_argument("--date", metavar="DATE", help="on the page (today)")
    add_grade(pocket)
    add_own(pocket)


def run_pocket(arguments: argparse.Namespace) -> int:
    """Write the page."""
    from weldref.handouts.pocket import make_pocket
    from weldref.text import clean

    options = vars(arguments)
    names = [name.replace("-", "_") for name in SITUATION]
    how = ("output", "situations", "units", "language", "title", "date", "grade")
    for path in make_pocket(
        **{name: options[name] for name in (*names, *how)}, own=own_of(arguments)
    ):
        print(clean(path))
    return INSIDE
