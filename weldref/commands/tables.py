"""What is in the tables, and where does it come from?"""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path

from weldref.commands.options import INSIDE, Command, add_json, print_json
from weldref.errors import InputError


def declare(command: Command) -> None:
    """Declare the commands of this module."""
    source = command("source", run_source, "show a document: title, edition, where it was read")
    source.add_argument("source_id", metavar="ID")
    add_json(source)

    tables = command("tables", run_tables, "list the tables, or what is and is not covered")
    tables.add_argument("--coverage", action="store_true", help="rows by process, metal, quantity")
    add_json(tables)

    validate = command("validate", run_validate, "check tables against their schemas")
    validate.add_argument("folder", nargs="?", type=Path, metavar="DIR", help="a datasets folder")

    query = command("query", run_query, "run one read-only SELECT against the tables")
    query.add_argument("sql", metavar="SQL")
    query.add_argument("--rows", type=int, default=100, metavar="N", help="at most (100)")
    add_json(query)


def run_source(arguments: argparse.Namespace) -> int:
    """Show a document."""
    from weldref.catalogue import source
    from weldref.text import source_text

    found = source(arguments.source_id)
    if arguments.json:
        print_json(asdict(found))
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
        print_json({"coverage" if arguments.coverage else "tables": plain})
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


def run_query(arguments: argparse.Namespace) -> int:
    """Answer a SELECT."""
    from weldref import queries, text

    answer = queries.run_query(arguments.sql, arguments.rows)
    if arguments.json:
        print_json(asdict(answer))
    else:
        print(text.table(answer.columns, answer.rows))
        if answer.cut:
            print(f"... more than {arguments.rows} rows; raise --rows to see them")
    return INSIDE
