"""The commands that list, show, check and query the tables."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from weldref.commands.parser import INSIDE, own_of, print_all, print_answer, print_one
from weldref.errors import InputError


def run_source(arguments: argparse.Namespace) -> int:
    """Show a document."""
    from weldref.data.catalogue import source
    from weldref.data.own import plain
    from weldref.text import source_text

    own = own_of(arguments)
    found = source(arguments.source_id, own)
    print_one(arguments, plain(asdict(found), own), lambda: source_text(found))
    return INSIDE


def run_tables(arguments: argparse.Namespace) -> int:
    """List tables or coverage."""
    from weldref import text
    from weldref.data import catalogue

    own = own_of(arguments)
    if arguments.coverage:
        covered = catalogue.coverage(own)
        found = {"coverage": [asdict(row) for row in covered]}
        return _print(arguments, found, lambda: text.coverage_text(covered))
    listed = catalogue.tables(own)
    found = {"tables": [asdict(row) for row in listed]}
    return _print(arguments, found, lambda: text.tables_text(listed))


def run_query(arguments: argparse.Namespace) -> int:
    """Answer a SELECT."""
    from weldref import text
    from weldref.data import query as queries

    answer = queries.run_query(arguments.sql, arguments.rows, own_of(arguments))
    more = f"\n... more than {arguments.rows} rows; raise --rows to see them"
    return _print(
        arguments,
        asdict(answer),
        lambda: text.table(answer.columns, answer.rows) + (more if answer.cut else ""),
    )


def _print(arguments: argparse.Namespace, found: dict[str, Any], shown: Callable[[], str]) -> int:
    """Print what was found in the tables, and which own tables are among them."""
    from weldref.data import own
    from weldref.data.store import described, open_tables

    store = open_tables(own_of(arguments))
    used = described(store)
    named = f"\n\n{own.line(used)}" if used else ""
    value = own.plain(found | {"own_tables": used}, used)
    print_answer(arguments, value, lambda: shown() + named, store)
    return INSIDE


def run_validate(arguments: argparse.Namespace) -> int:
    """Check the tables of a folder."""
    from weldref.data.folder import datasets_folder
    from weldref.data.own import own_in
    from weldref.data.validate import validate

    own = own_in(arguments.tables or arguments.folder, named=arguments.tables is not None)
    folder = own.folder if own else arguments.folder or datasets_folder()
    if not folder.is_dir():
        raise InputError(f"validate: '{folder}' is not a folder; give a datasets folder")
    problems = validate(datasets_folder() if own else folder, own)
    print_all(problems)
    if problems:
        raise InputError(f"{len(problems)} problem{'s' if len(problems) > 1 else ''} found")
    return print_all([f"every table below {folder} follows its schema"])


def run_new_table(arguments: argparse.Namespace) -> int:
    """Write an empty table."""
    from weldref.exchange.new_table import write_new_chart, write_new_table

    if bool(arguments.name) == arguments.chart:
        raise InputError("new-table: give the name of a table, or --chart")
    if not arguments.chart and (arguments.process or arguments.units != "us"):
        raise InputError("new-table: --process and --units belong to --chart")
    if arguments.chart:
        return print_all([write_new_chart(arguments.output, arguments.process, arguments.units)])
    return print_all(write_new_table(arguments.name, arguments.output))
