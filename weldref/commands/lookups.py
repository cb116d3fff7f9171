"""The commands that show the published rows and check values against them."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from weldref.commands.options import (
    INSIDE,
    NOTHING,
    Command,
    add_situation,
    exit_code,
    local_part,
    own_of,
    print_json,
    print_local,
    situation_of,
)
from weldref.errors import InputError

READINGS = {
    "current": "A",
    "voltage": "V",
    "wire-feed-speed": "in/min or m/min",
    "travel-speed": "in/min or mm/min",
    "gas-flow": "ft3/h or L/min",
    "preheat": "F or C",
    "interpass": "F or C",
    "contact-tip-distance": "contact tip to work, in or mm",
    "electrode-extension": "in or mm",
    "arc-length": "in or mm",
    "heat-input": "kJ/in or kJ/mm",
    "fuel-pressure": "psi or bar",
    "oxygen-pressure": "psi or bar",
    "root-opening": "in or mm",
    "groove-angle": "deg",
}


def declare(command: Command) -> None:
    """Declare the commands of this module."""
    window = command("window", run_window, "show the published rows that apply to a situation")
    add_situation(window)
    window.add_argument(
        "--quantity", metavar="NAME", help="only this quantity: current, preheat ..."
    )

    check = command("check", run_check, "check proposed values against published ranges")
    add_situation(check)
    for name, unit in READINGS.items():
        # Each is kept: of two, neither may be lost.
        check.add_argument(f"--{name}", action="append", metavar="VALUE", help=unit)
    check.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="QUANTITY=VALUE",
        help="any other quantity of the table quantities",
    )


def run_window(arguments: argparse.Namespace) -> int:
    """Show the rows that apply."""
    from weldref.core.check import published
    from weldref.data.store import open_tables

    own = own_of(arguments)
    found = published(
        **situation_of(arguments), quantity=arguments.quantity, grade=arguments.grade, own=own
    )
    store, shown = open_tables(own), [row.window_id for row in found.rows]
    if arguments.json:
        print_json(found.as_dict() | local_part(store, shown))
    else:
        from weldref.text import published_text

        print(published_text(found))
        print_local(store, shown)
    return INSIDE if found.rows or found.own_rows else NOTHING


def run_check(arguments: argparse.Namespace) -> int:
    """Check proposed values."""
    from weldref.core.check import check
    from weldref.data.store import open_tables
    from weldref.text import check_text

    own = own_of(arguments)
    result = check(
        **situation_of(arguments), grade=arguments.grade, own=own, **readings_of(arguments)
    )
    store = open_tables(own)
    shown = [row.window_id for reading in result.readings for row in reading.rows]
    if arguments.json:
        print_json(result.as_dict() | local_part(store, shown))
    else:
        print(check_text(result, colour=sys.stdout.isatty()))
        print_local(store, shown)
    return exit_code(result.verdict)


def readings_of(arguments: argparse.Namespace) -> dict[str, Any]:
    """Return the proposed values by quantity.

    Raises
    ------
    InputError
        If one is given twice.
    """
    from weldref.text import pairs

    options = vars(arguments)
    names = [name.replace("-", "_") for name in READINGS]
    given = [(name, value) for name in names for value in options[name] or ()]
    given += pairs("--set", arguments.set).items()
    readings: dict[str, Any] = {}
    for name, value in given:
        if name in readings:
            raise InputError(f"{name.replace('_', ' ')}: given twice; give it once")
        readings[name] = value
    return readings
