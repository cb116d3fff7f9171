"""The commands that publish the data: export, comparison, what to read next, the dashboard."""

from __future__ import annotations

import argparse
from datetime import date

from weldref.commands.parser import INSIDE, OUTSIDE, own_of, print_one


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
    if arguments.changelog and not arguments.json:
        print(changelog_entry(found, date.today().isoformat()))
    else:
        print_one(arguments, found.as_dict(), lambda: diff_text(found, arguments.rows))
    return OUTSIDE if found.tables else INSIDE


def run_evidence(arguments: argparse.Namespace) -> int:
    """List what is to be read next."""
    from weldref.exchange.evidence import evidence
    from weldref.exchange.evidence_text import evidence_text

    found = evidence()
    print_one(arguments, found.as_dict(), lambda: evidence_text(found, arguments.rows))
    return INSIDE


def run_dashboard(arguments: argparse.Namespace) -> int:
    """Start the dashboard."""
    from weldref.dashboard import start

    return start(arguments.address, arguments.port, own_of(arguments))
