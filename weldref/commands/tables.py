"""The commands that list, show, check and query the tables."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path

from weldref.commands.options import (
    INSIDE,
    Command,
    add_json,
    add_own,
    local_part,
    own_of,
    print_json,
    print_local,
)
from weldref.errors import InputError


def declare(command: Command) -> None:
    """Declare the commands of this module."""
    source = command("source", run_source, "show a document: title, edition, where it was read")
    source.add_argument("source_id", metavar="ID", help="its key, as answers print it")
    add_own(source)
    add_json(source)

    tables = command("tables", run_tables, "list the tables, or what is and is not covered")
    tables.add_argument("--coverage", action="store_true", help="rows by process, metal, quantity")
    add_own(tables)
    add_json(tables)

    validate = command("validate", run_validate, "check tables against their schemas")
    validate.add_argument(
        "folder", nargs="?", type=Path, metavar="DIR", help="a datasets folder, or own tables"
    )
    validate.add_argument("--tables", type=Path, metavar="DIR", help="a folder of own tables")

    new = command("new-table", run_new_table, "write an empty table of your own, with its columns")
    new.add_argument("name", nargs="?", metavar="NAME", help="windows, sources or another table")
    new.add_argument("--chart", action="store_true", help="a chart to fill in for `chart add`")
    new.add_argument("--process", default="", metavar="TEXT", help="of the chart: GMAW, tig ...")
    new.add_argument(
        "--units", choices=("us", "metric"), default="us", help="of the chart's headings (us)"
    )
    new.add_argument(
        "-o", "--output", type=Path, required=True, metavar="FILE", help="ends in .csv or .xlsx"
    )

    query = command("query", run_query, "run one read-only SELECT against the tables")
    query.add_argument("sql", metavar="SQL", help="the statement, in one argument")
    query.add_argument("--rows", type=int, default=100, metavar="N", help="rows at most (100)")
    add_own(query)
    add_json(query)


def run_source(arguments: argparse.Namespace) -> int:
    """Show a document."""
    from weldref.data.catalogue import source
    from weldref.data.own import plain
    from weldref.text import source_text

    own = own_of(arguments)
    found = source(arguments.source_id, own)
    if arguments.json:
        print_json(plain(asdict(found), own))
    else:
        print(source_text(found))
    return INSIDE


def run_tables(arguments: argparse.Namespace) -> int:
    """List tables or coverage."""
    from weldref import text
    from weldref.data import catalogue
    from weldref.data import own as own_tables
    from weldref.data.store import described, open_tables

    own = own_of(arguments)
    if arguments.coverage:
        covered = catalogue.coverage(own)
        shown, plain = text.coverage_text(covered), [asdict(row) for row in covered]
    else:
        listed = catalogue.tables(own)
        shown, plain = text.tables_text(listed), [asdict(row) for row in listed]
    store = open_tables(own)
    used = described(store)
    if arguments.json:
        answer = {"coverage" if arguments.coverage else "tables": plain, "own_tables": used}
        print_json(own_tables.plain(answer, used) | local_part(store, ()))
    else:
        print(shown)
        if used:
            print("\n" + own_tables.line(used))
        print_local(store, ())
    return INSIDE


def run_validate(arguments: argparse.Namespace) -> int:
    """Check the tables of a folder."""
    from weldref.data.folder import datasets_folder
    from weldref.data.own import own_in
    from weldref.data.validate import validate
    from weldref.text import clean

    own = own_in(arguments.tables or arguments.folder, named=arguments.tables is not None)
    folder = own.folder if own else arguments.folder or datasets_folder()
    if not folder.is_dir():
        raise InputError(f"validate: '{folder}' is not a folder; give a datasets folder")
    problems = validate(datasets_folder() if own else folder, own)
    for problem in problems:
        print(clean(problem))
    if problems:
        raise InputError(f"{len(problems)} problem{'s' if len(problems) > 1 else ''} found")
    print(clean(f"every table below {folder} follows its schema"))
    return INSIDE


def run_new_table(arguments: argparse.Namespace) -> int:
    """Write an empty table."""
    from weldref.exchange.new_table import write_new_chart, write_new_table
    from weldref.text import clean

    if bool(arguments.name) == arguments.chart:
        raise InputError("new-table: give the name of a table, or --chart")
    if not arguments.chart and (arguments.process or arguments.units != "us"):
        raise InputError("new-table: --process and --units belong to --chart")
    if arguments.chart:
        print(clean(write_new_chart(arguments.output, arguments.process, arguments.units)))
        return INSIDE
    for path in write_new_table(arguments.name, arguments.output):
        print(clean(path))
    return INSIDE


def run_query(arguments: argparse.Namespace) -> int:
    """Answer a SELECT."""
    from weldref import text
    from weldref.data import own as own_tables
    from weldref.data import query as queries
    from weldref.data.store import described, open_tables

    own = own_of(arguments)
    answer = queries.run_query(arguments.sql, arguments.rows, own)
    store = open_tables(own)
    used = described(store)
    if arguments.json:
        said = own_tables.plain(asdict(answer) | {"own_tables": used}, used)
        print_json(said | local_part(store, ()))
    else:
        print(text.table(answer.columns, answer.rows))
        if answer.cut:
            print(f"... more than {arguments.rows} rows; raise --rows to see them")
        if used:
            print("\n" + own_tables.line(used))
        print_local(store, ())
    return INSIDE
