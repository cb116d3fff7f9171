"""The command line: it parses, calls and prints; no rule, number or SQL lives here."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from weldref import __version__
from weldref.errors import DataError, InputError, WeldrefError

INSIDE, OUTSIDE, BAD_INPUT, NOTHING = 0, 1, 2, 3
"""Exit codes: all inside; low, high or sources differ; bad input; no published range."""

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
    "gas": "75/25, C25, 98 Ar / 2 O2, argon, M21 ...",
}
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


class Parser(argparse.ArgumentParser):
    """A parser that reports bad input like every other part: one sentence, exit code 2."""

    def error(self, message: str) -> Any:
        """Raise the message instead of printing usage."""
        raise InputError(message)


def build_parser() -> Parser:
    """Declare the commands and their options."""
    parser = Parser(
        prog="weldref",
        description="Published welding-parameter ranges, every number with its source.",
        epilog="Exit codes: 0 inside, 1 low, high or sources differ, 2 bad input, "
        "3 no published range.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"weldref {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)

    def command(name: str, run: Callable[[argparse.Namespace], int], text: str) -> Parser:
        made: Parser = commands.add_parser(name, help=text, description=text, allow_abbrev=False)
        made.set_defaults(run=run)
        return made

    window = command("window", run_window, "show the published rows that apply to a situation")
    _add_situation(window)
    window.add_argument(
        "--quantity", metavar="NAME", help="only this quantity: current, preheat ..."
    )

    check = command("check", run_check, "check proposed values against published ranges")
    _add_situation(check)
    for name, unit in READINGS.items():
        check.add_argument(f"--{name}", metavar="VALUE", help=unit)
    check.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="QUANTITY=VALUE",
        help="any other quantity of the table quantities",
    )

    source = command("source", run_source, "show a document: title, edition, where it was read")
    source.add_argument("source_id", metavar="ID")
    _add_json(source)

    tables = command("tables", run_tables, "list the tables, or what is and is not covered")
    tables.add_argument("--coverage", action="store_true", help="rows by process, metal, quantity")
    _add_json(tables)

    validate = command("validate", run_validate, "check tables against their schemas")
    validate.add_argument("folder", nargs="?", type=Path, metavar="DIR", help="a datasets folder")

    compute = command(
        "compute", run_compute, "compute a formula or look up a table, with units on every value"
    )
    compute.add_argument("name", nargs="?", metavar="NAME", help="see --list")
    compute.add_argument("inputs", nargs="*", metavar="key=value", help='for example "leg=1/4 in"')
    compute.add_argument("--list", action="store_true", help="list every formula and look-up")
    compute.add_argument("--explain", action="store_true", help="equation, source, validity")
    _add_json(compute)

    query = command("query", run_query, "run one read-only SELECT against the tables")
    query.add_argument("sql", metavar="SQL")
    query.add_argument("--rows", type=int, default=100, metavar="N", help="at most (100)")
    _add_json(query)

    dashboard = command("dashboard", run_dashboard, "open the dashboard on this machine")
    dashboard.add_argument("--address", default="127.0.0.1", help="to listen on (127.0.0.1)")
    dashboard.add_argument("--port", type=int, default=8501, help="to listen on (8501)")
    return parser


def _add_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def _add_situation(parser: argparse.ArgumentParser) -> None:
    for name, text in SITUATION.items():
        parser.add_argument(f"--{name}", metavar="TEXT", help=text)
    parser.add_argument("--under-water", action="store_true", help="for under-water work")
    parser.add_argument(
        "--units", choices=("us", "metric"), default="us", help="of bare numbers (us)"
    )
    parser.add_argument(
        "--grade",
        choices=("read", "secondary", "memory"),
        default="memory",
        help="lowest evidence grade to accept (memory)",
    )
    _add_json(parser)


def _situation(arguments: argparse.Namespace) -> dict[str, Any]:
    options = vars(arguments)
    names = [name.replace("-", "_") for name in SITUATION]
    return {name: options[name] for name in (*names, "under_water", "units")}


def run_window(arguments: argparse.Namespace) -> int:
    """Show the rows that apply."""
    from weldref.checks import published

    found = published(**_situation(arguments), quantity=arguments.quantity, grade=arguments.grade)
    if arguments.json:
        _print_json(found.as_dict())
    else:
        from weldref.text import published_text

        print(published_text(found))
    return INSIDE if found.rows else NOTHING


def run_check(arguments: argparse.Namespace) -> int:
    """Check proposed values."""
    from weldref.checks import check

    options = vars(arguments)
    readings = {
        name.replace("-", "_"): options[name.replace("-", "_")]
        for name in READINGS
        if options[name.replace("-", "_")] is not None
    }
    for pair in arguments.set:
        name, equals, value = pair.partition("=")
        if not equals:
            raise InputError(f"--set: '{pair}' is not accepted; give QUANTITY=VALUE")
        readings[name] = value
    result = check(**_situation(arguments), grade=arguments.grade, **readings)
    if arguments.json:
        _print_json(result.as_dict())
    else:
        from weldref.text import check_text

        print(check_text(result, colour=sys.stdout.isatty()))
    return {"inside": INSIDE, "no published range": NOTHING}.get(result.verdict, OUTSIDE)


def run_source(arguments: argparse.Namespace) -> int:
    """Show a document."""
    from weldref.catalogue import source
    from weldref.text import source_text

    found = source(arguments.source_id)
    if arguments.json:
        _print_json(asdict(found))
    else:
        print(source_text(found))
    return INSIDE


def run_tables(arguments: argparse.Namespace) -> int:
    """List tables or coverage."""
    from weldref import catalogue, text

    if arguments.coverage:
        covered = catalogue.coverage()
        shown, plain = text.coverage_text(covered), [asdict(row) for row in covered]
    else:
        listed = catalogue.tables()
        shown, plain = text.tables_text(listed), [asdict(row) for row in listed]
    if arguments.json:
        _print_json({"coverage" if arguments.coverage else "tables": plain})
    else:
        print(shown)
    return INSIDE


def run_validate(arguments: argparse.Namespace) -> int:
    """Check the tables of a folder."""
    from weldref.store import datasets_folder
    from weldref.validate import validate

    folder = arguments.folder or datasets_folder()
    if not folder.is_dir():
        raise InputError(f"validate: '{folder}' is not a folder; give a datasets folder")
    problems = validate(folder)
    for problem in problems:
        print(problem)
    if problems:
        raise InputError(f"{len(problems)} problem{'s' if len(problems) > 1 else ''} found")
    print(f"every table below {folder} follows its schema")
    return INSIDE


def run_compute(arguments: argparse.Namespace) -> int:
    """Compute a formula, explain it or list all."""
    from weldref import compute, compute_text

    if arguments.list or not arguments.name:
        listed = compute.listing()
        shown, plain = compute_text.listing_text(listed), {"formulas": listed}
    elif arguments.explain:
        explained = compute.explain(arguments.name)
        shown, plain = compute_text.explanation_text(explained), explained
    else:
        pairs = [pair.partition("=") for pair in arguments.inputs]
        for key, equals, value in pairs:
            if not (equals and key and value):
                raise InputError(f"compute: '{key}{equals}{value}' is not accepted; give key=value")
        answer = compute.compute(arguments.name, {key: value for key, _, value in pairs})
        shown, plain = compute_text.answer_text(answer), answer.as_dict()
    if arguments.json:
        _print_json(plain)
    else:
        print(shown)
    return INSIDE


def run_query(arguments: argparse.Namespace) -> int:
    """Answer a SELECT."""
    from weldref import queries, text

    answer = queries.run_query(arguments.sql, arguments.rows)
    if arguments.json:
        _print_json(asdict(answer))
    else:
        print(text.table(answer.columns, answer.rows))
        if answer.cut:
            print(f"... more than {arguments.rows} rows; raise --rows to see them")
    return INSIDE


def run_dashboard(arguments: argparse.Namespace) -> int:
    """Start the dashboard."""
    from weldref.dashboard import start

    return start(arguments.address, arguments.port)


def _print_json(value: object) -> None:
    print(json.dumps(value, ensure_ascii=False, indent=2))


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        parsed = build_parser().parse_args(arguments)
        return int(parsed.run(parsed))
    except DataError as error:
        print(f"weldref: {error}", file=sys.stderr)
        return BAD_INPUT
    except WeldrefError as error:
        from weldref.text import clean

        print(f"weldref: {clean(error)}", file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        return INSIDE
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main())
