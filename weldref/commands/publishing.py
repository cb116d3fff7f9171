"""The commands that export the data, compare two datasets and list what to read next."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from weldref.commands.options import INSIDE, OUTSIDE, Command, add_json, print_json


def declare(command: Command) -> None:
    """Declare the commands of this module."""
    export = command("export", run_export, "write all tables as Parquet, CSV, JSON or SQLite")
    export.add_argument(
        "-o", "--output", type=Path, required=True, metavar="PATH", help="folder, .zip, .json ..."
    )
    export.add_argument("--format", metavar="NAME", help="parquet, csv, json, sqlite (by ending)")
    export.add_argument(
        "--spreadsheet", action="store_true", help="for CSV: no cell can be taken for a formula"
    )

    diff = command(
        "diff", run_diff, "compare two datasets: rows, grades, version step (exit code 1: differ)"
    )
    diff.add_argument("old", metavar="OLD", help="folder of CSV tables, or an export as .zip")
    diff.add_argument("new", metavar="NEW", help="folder of CSV tables, or an export as .zip")
    diff.add_argument(
        "--rows", type=_count, default=20, metavar="N", help="rows shown of each sort (20)"
    )
    diff.add_argument("--changelog", action="store_true", help="as an entry of the change log")
    add_json(diff)

    evidence = command(
        "evidence", run_evidence, "list what is to be read next, and what is missing"
    )
    evidence.add_argument(
        "--rows", type=_count, default=15, metavar="N", help="rows shown of each list (15)"
    )
    add_json(evidence)


def _count(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"'{text}' is not accepted; give a number of 1 or more")
    return int(text)


def run_export(arguments: argparse.Namespace) -> int:
    """Write the tables."""
    from weldref.data.folder import DATASET_VERSION
    from weldref.data.store import open_store
    from weldref.exchange.export import export
    from weldref.text import clean

    for file in export(arguments.output, arguments.format, spreadsheet=arguments.spreadsheet):
        print(f"sha256:{file.digest}  {clean(file.path)}")
    print(f"dataset {DATASET_VERSION}, {open_store().digest}")
    return INSIDE


def run_diff(arguments: argparse.Namespace) -> int:
    """Compare two datasets."""
    from weldref.exchange.diff import diff
    from weldref.exchange.diff_text import changelog_entry, diff_text

    found = diff(arguments.old, arguments.new)
    if arguments.json:
        print_json(found.as_dict())
    elif arguments.changelog:
        print(changelog_entry(found, date.today().isoformat()))
    else:
        print(diff_text(found, arguments.rows))
    return OUTSIDE if found.tables else INSIDE


def run_evidence(arguments: argparse.Namespace) -> int:
    """List the work."""
    from weldref.exchange.evidence import evidence
    from weldref.exchange.evidence_text import evidence_text

    found = evidence()
    if arguments.json:
        print_json(found.as_dict())
    else:
        print(evidence_text(found, arguments.rows))
    return INSIDE
