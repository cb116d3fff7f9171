"""The commands that print handouts and practice sheets."""

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

PRACTISED = {
    "process": "what the class welds by; may repeat",
    "metal": "what it welds; may repeat",
    "thickness": "of its plates, tubes and sheet; may repeat",
    "topic": "settings, set-up, gas, polarity, preheat, symbols, heat-input, shade or wps",
}
HEADER = {
    "school": "its name, in the header",
    "course": "in the header",
    "instructor": "the instructor's line in the header",
    "logo": "a PNG or SVG for the header",
    "colour": "of the header, as #1f4e79",
}
SHOWN = ("quantity", "units", "kind", "pages", "landscape", "also_seen", "address")
PRINTED = ("output", "language", "paper", "title", "date")


def declare(command: Command) -> None:
    """Declare the commands of this module."""
    handout = command("handout", run_handout, "print bench cards, a wall chart or a booklet")
    _add_paper(handout)
    add_conditions(handout, "; may repeat")
    handout.add_argument(
        "--quantity", action="append", metavar="NAME", help="only these, or all; may repeat"
    )
    handout.add_argument("--units", default="both", help="us, metric or both (both)")
    handout.add_argument(
        "--kind",
        default="bench-card",
        help="bench-card, half-card (two on a page), wall-chart or booklet (bench-card)",
    )
    handout.add_argument("--pages", type=int, default=1, metavar="N", help="of a wall chart (1)")
    handout.add_argument("--landscape", action="store_true", help="print across the paper")
    handout.add_argument("--also-seen", action="store_true", help="add what somebody once used")
    handout.add_argument("--address", metavar="URL", help="of the dashboard, for a QR code")
    for name, text in HEADER.items():
        handout.add_argument(f"--{name}", metavar="FILE" if name == "logo" else "TEXT", help=text)
    add_grade(handout)
    add_own(handout)

    practice = command("practice", run_practice, "print practice sheets with planted mistakes")
    _add_paper(practice)
    practice.add_argument(
        "--key", action="append", metavar="FILE", help="file of the answers (beside); may repeat"
    )
    practice.add_argument(
        "--reference", type=Path, metavar="FILE", help="file of the rows that answer the sheets"
    )
    practice.add_argument(
        "--qti", type=Path, metavar="FILE", help="a .zip for a learning platform, with answers"
    )
    practice.add_argument(
        "--seed", metavar="TEXT", help="of a key, to draw its sheets again (by chance)"
    )
    practice.add_argument("--sheets", type=int, default=1, metavar="N", help="number of sheets (1)")
    practice.add_argument(
        "--level", default="bench", metavar="NAME", help="first-week, bench or inspector (bench)"
    )
    for name, text in PRACTISED.items():
        practice.add_argument(f"--{name}", action="append", metavar="TEXT", help=text)
    results = command("practice-results", run_results, "mark what a class answered to tickets")
    results.add_argument("key", type=Path, metavar="KEY", help="the key of the sheets as CSV")
    results.add_argument(
        "answers", type=Path, metavar="ANSWERS", help="CSV: student, sheet, number, answer"
    )
    _add_paper(results)


def _add_paper(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "-o", "--output", type=Path, required=True, metavar="FILE", help="ends in .pdf, .html, .csv"
    )
    parser.add_argument("--language", default="en", help=f"{', '.join(LANGUAGES)} (en)")
    parser.add_argument("--paper", default="letter", help="letter, a4, tabloid, a3 or a2 (letter)")
    parser.add_argument("--title", default="", metavar="TEXT", help="at the top of the sheet")
    parser.add_argument("--date", metavar="DATE", help="on the sheet (today)")


def run_handout(arguments: argparse.Namespace) -> int:
    """Print a handout."""
    from weldref.handouts.handout import print_handout
    from weldref.handouts.output import said
    from weldref.text import clean

    options = vars(arguments)
    conditions = {name.replace("-", "_"): options[name.replace("-", "_")] for name in SITUATION}
    how = (*PRINTED, *HEADER, *SHOWN, "grade")
    asked = {name: options[name] for name in how if name != "output"}
    made = print_handout(arguments.output, conditions, own_of(arguments), **asked)
    for path, drawn in made:
        print(f"{clean(path)}{said(drawn)}")
    return INSIDE


def run_practice(arguments: argparse.Namespace) -> int:
    """Print practice sheets and their key."""
    from weldref.handouts import make_practice
    from weldref.text import clean

    options = vars(arguments)
    how = ("key", "reference", "qti", "seed", "sheets", "level", *PRACTISED)
    for path in make_practice(**{name: options[name] for name in (*PRINTED, *how)}):
        print(clean(path))
    return INSIDE


def run_results(arguments: argparse.Namespace) -> int:
    """Mark answers."""
    from weldref.handouts.practice_results import make_results
    from weldref.text import clean

    options = vars(arguments)
    for path in make_results(**{name: options[name] for name in (*PRINTED, "key", "answers")}):
        print(clean(path))
    return INSIDE
