"""Commands that audit written procedures and weld logs."""

from __future__ import annotations

import argparse

from weldref.commands.parser import (
    INSIDE,
    NOTHING,
    OUTSIDE,
    exit_code,
    given,
    own_of,
    print_all,
    print_json,
)


def run_audit(arguments: argparse.Namespace) -> int:
    """Audit procedures."""
    from weldref.audit import report

    if arguments.rules:
        print(report.rules_text())
        return INSIDE
    same = ("code", "grade", "output", "baseline", "reply", "auditor", "unconfirmed")
    outcomes, shown = report.audit_files(
        arguments.files,
        record=arguments.pqr,
        standards=arguments.standard,
        form=arguments.format,
        welders=arguments.welder,
        own=own_of(arguments),
        **given(arguments, *same),
    )
    print(shown)
    if "findings" in outcomes:
        return OUTSIDE
    return NOTHING if "not checked" in outcomes else INSIDE


def run_audit_log(arguments: argparse.Namespace) -> int:
    """Audit a weld log."""
    from weldref.audit.welded_log import against_text, audit_against, with_joint
    from weldref.logs.audit import STAGES, audit_log
    from weldref.logs.progress import progress_bar
    from weldref.logs.text import audit_text
    from weldref.procedures.read import read_procedure
    from weldref.text import pairs

    columns = pairs("--map", arguments.map)
    how = given(arguments, "units", "engine")
    how["unit_of"] = pairs("--unit", arguments.unit)
    against = None
    if arguments.wps is not None:
        procedure = read_procedure(arguments.wps)
        against = audit_against(arguments.file, procedure, columns=columns, **how)
    with progress_bar(len(STAGES)) as progress:
        found = audit_log(
            arguments.file,
            columns=with_joint(columns),
            own=own_of(arguments),
            progress=progress,
            **how,
            **given(arguments, "grade", "under_water", "output", "most"),
        )
    if arguments.json:
        print_json(found.as_dict() | ({"against_wps": against.as_dict()} if against else {}))
    else:
        print(audit_text(found))
        if against:
            print(against_text(against))
    outside = against is not None and against.verdict == "outside"
    return OUTSIDE if outside else exit_code(found.verdict)


def run_read_procedure(arguments: argparse.Namespace) -> int:
    """Read a procedure from paper."""
    from weldref.procedures.paper.draft import reading_text, save_draft
    from weldref.procedures.read import reading_at
    from weldref.text import clean

    reading = reading_at(arguments.file)
    written = save_draft(reading, arguments.output, arguments.file) if arguments.output else None
    print(reading_text(reading, whole=written is None))  # after it: a closed pipe ends the program
    if written is not None:
        print(f"written: {clean(written)}")
    return INSIDE


def run_procedure_template(arguments: argparse.Namespace) -> int:
    """Write a form to fill in."""
    from weldref.procedures.read import read_procedure
    from weldref.procedures.template import write_template

    filled = read_procedure(arguments.fill) if arguments.fill else None
    path = write_template(
        arguments.output, units=arguments.units, procedure=filled, read_from=arguments.fill
    )
    return print_all([path])


def run_procedure_schema(_arguments: argparse.Namespace) -> int:
    """Print the schema of our own layout."""
    from weldref.procedures.own_layout import schema

    print_json(schema())
    return INSIDE
