"""Parse the command line, call and print; no rule, number or SQL is here."""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Sequence
from importlib import import_module

from weldref import __version__
from weldref.commands.options import BAD_INPUT, INSIDE, Parser, Run, add_own, own_of
from weldref.errors import DataError, WeldrefError

COMMANDS = {
    "bench": ["bench"],
    "lookups": ["window", "check"],
    "computing": ["compute"],
    "audits": [
        "audit", "audit-log", "read-procedure", "procedure-template", "procedure-schema",
    ],
    "printing": ["handout", "practice", "practice-results"],
    "pocket": ["pocket"],
    "tables": ["source", "tables", "validate", "new-table", "query"],
    "charts": ["chart"],
    "publishing": ["export", "diff", "evidence"],
    "readings": ["read", "apply-readings"],
}  # fmt: skip
"""The modules of `commands/` with what each declares: a command imports no other."""


def build_parser(asked: str | None = None) -> Parser:
    """Declare the commands and their options: of the module of the one asked for, or all."""
    parser = Parser(
        prog="weldref",
        description="Published welding-parameter ranges, every number with its source.",
        epilog="Exit codes: 0 inside, 1 low, high or sources differ, 2 bad input, "
        "3 no published range, 4 depends on what was not said.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"weldref {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)

    def command(name: str, run: Run, text: str) -> Parser:
        made: Parser = commands.add_parser(name, help=text, description=text, allow_abbrev=False)
        made.set_defaults(run=run)
        return made

    modules = [module for module, declared in COMMANDS.items() if asked in declared]
    for module in modules or COMMANDS:
        import_module(f"weldref.commands.{module}").declare(command)
    dashboard = command("dashboard", run_dashboard, "open the dashboard on this machine")
    dashboard.add_argument("--address", default="127.0.0.1", help="to listen on (127.0.0.1)")
    dashboard.add_argument("--port", type=int, default=8501, help="to listen on (8501)")
    add_own(dashboard)
    return parser


def run_dashboard(arguments: argparse.Namespace) -> int:
    """Start the dashboard."""
    from weldref.dashboard import start

    return start(arguments.address, arguments.port, own_of(arguments))


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    if arguments is None:  # a program of its own: what it imports stays until it ends
        gc.set_threshold(100_000)
    try:
        typed = sys.argv[1:] if arguments is None else list(arguments)
        parsed = build_parser(next(iter(typed), None)).parse_args(typed)
        return int(parsed.run(parsed))
    except DataError as error:
        from weldref.text import clean

        shown = "\n".join(map(clean, str(error).split("\n")))
        print(f"weldref: {shown}", file=sys.stderr)
        return BAD_INPUT
    except WeldrefError as error:
        from weldref.text import clean

        print(f"weldref: {clean(error)}", file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        return INSIDE
    except OSError as error:
        from weldref.text import clean

        print(f"weldref: {clean(f'{error.filename}: {error.strerror}')[:300]}", file=sys.stderr)
        return BAD_INPUT
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main())
