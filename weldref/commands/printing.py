"""The commands that print handouts and practice sheets, and write a page for phones."""

from __future__ import annotations

import argparse

from weldref.commands.parser import INSIDE, given, names_of, own_of, print_all


def run_handout(arguments: argparse.Namespace) -> int:
    """Print a handout."""
    from weldref.handouts.handout import print_handout
    from weldref.handouts.output import said
    from weldref.text import clean

    conditions = given(arguments, *names_of("conditions"))
    options = given(arguments, *names_of("handout"))
    left = (*conditions, *names_of("own"), "output")
    asked = {name: value for name, value in options.items() if name not in left}
    made = print_handout(arguments.output, conditions, own_of(arguments), **asked)
    for path, drawn in made.items():
        print(f"{clean(path)}{said(drawn)}")
    return INSIDE


def run_practice(arguments: argparse.Namespace) -> int:
    """Print practice sheets and their key."""
    from weldref.handouts import make_practice

    return print_all(make_practice(**given(arguments, *names_of("practice"))))


def run_practice_results(arguments: argparse.Namespace) -> int:
    """Mark answers."""
    from weldref.handouts.practice_results import make_results

    return print_all(make_results(**given(arguments, *names_of("practice-results"))))


def run_pocket(arguments: argparse.Namespace) -> int:
    """Write a page for students' phones."""
    from weldref.handouts.pocket import make_pocket

    names = (name for name in names_of("pocket") if name not in names_of("own"))
    return print_all(make_pocket(**given(arguments, *names), own=own_of(arguments)))
