"""Commands that audit written procedures and weld logs."""

from __future__ import annotations

import argparse
from pathlib import Path

from weldref.commands.options import (
    INSIDE,
    NOTHING,
    OUTSIDE,
    Command,
    add_grade,
    add_json,
    add_own,
    exit_code,
    own_of,
    print_json,
)


def declare(command: Command) -> None:
    """Declare the commands of this module."""
    audit = command("audit", run_audit, "audit written procedures (WPS) and report what was found")
    audit.add_argument(
        "files", nargs="*", type=Path, metavar="FILE", help="JSON, YAML, CSV, XLSX; PDF"
    )
    audit.add_argument(
        "--pqr",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="the test record that should cover it; may repeat",
    )
    audit.add_argument(
        "--code", metavar="NAME", help="code whose qualification rules are used: ASME IX ..."
    )
    audit.add_argument(
        "--standard",
        action="append",
        default=[],
        metavar="NAME",
        help="standard whose contents it should have: ISO 15609-1, AWS D1.1, ASME IX; may repeat",
    )
    add_grade(audit)
    add_own(audit)
    audit.add_argument(
        "--format", metavar="NAME", help="text, json, html, pdf, xlsx (by the output's name)"
    )
    audit.add_argument(
        "-o", "--output", type=Path, metavar="PATH", help="a file, or a folder: dossier.pdf ..."
    )
    audit.add_argument(
        "--welder",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="certificate of a welder (ISO 9606-1, 9606-2, 14732): does it cover the WPS",
    )
    audit.add_argument(
        "--unconfirmed",
        action="store_true",
        help="audit what a machine read of a PDF or a picture, as it was read",
    )
    audit.add_argument("--auditor", default="", metavar="NAME", help="who signs the dossier")
    audit.add_argument(
        "--reply", type=Path, metavar="FILE", help="the XLSX of an earlier round, answered"
    )
    audit.add_argument(
        "--baseline",
        type=Path,
        metavar="FILE",
        help="an earlier JSON report: show new, open, closed",
    )
    audit.add_argument("--rules", action="store_true", help="list the rules and their sources")

    log = command("audit-log", run_audit_log, "compare the records of a weld log, CSV or Parquet")
    log.add_argument("file", type=Path, metavar="FILE", help="a record of a weld in each row")
    log.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="FIELD=HEADING",
        help="a heading that is not understood: current=ch1; may repeat",
    )
    log.add_argument(
        "--wps",
        type=Path,
        metavar="FILE",
        help="the procedure it was welded to: compare with its passes too (--map weld=HEADING)",
    )
    log.add_argument(
        "--unit",
        action="append",
        default=[],
        metavar="FIELD=UNIT",
        help="a unit that the heading does not name: travel_speed=mm/s; may repeat",
    )
    log.add_argument("--units", default="us", help="of columns without a unit: us, metric (us)")
    log.add_argument("--under-water", action="store_true", help="for under-water work")
    add_grade(log)
    add_own(log)
    log.add_argument("--most", type=int, default=10, metavar="N", help="worst readings shown (10)")
    log.add_argument("--engine", default="duckdb", metavar="NAME", help="duckdb or spark (duckdb)")
    log.add_argument("-o", "--output", type=Path, metavar="FILE", help="every verdict, as Parquet")
    add_json(log)

    paper = command(
        "read-procedure", run_read_procedure, "read a PDF or a picture, for a person to confirm"
    )
    paper.add_argument("file", type=Path, metavar="FILE", help="PDF, PNG, JPEG, TIFF; or a draft")
    paper.add_argument(
        "-o", "--output", type=Path, metavar="FILE", help="a draft to confirm in: .xlsx or .json"
    )

    form = command(
        "procedure-template",
        run_procedure_template,
        "write a procedure's form, empty or filled in",
    )
    form.add_argument(
        "-o",
        "--output",
        type=Path,
        required=True,
        metavar="FILE",
        help="ends in .xlsx, .csv, .json or .yaml",
    )
    form.add_argument(
        "--units", choices=("us", "metric"), default="us", help="of the headings (us)"
    )
    form.add_argument(
        "--fill",
        type=Path,
        metavar="FILE",
        help="with the procedure of this file, for example JSON",
    )
    command("procedure-schema", run_procedure_schema, "print the JSON Schema of a procedure file")


def run_audit(arguments: argparse.Namespace) -> int:
    """Audit procedures."""
    from weldref.audit import report

    if arguments.rules:
        print(report.rules_text())
        return INSIDE
    outcomes, shown = report.audit_files(
        arguments.files,
        record=arguments.pqr,
        code=arguments.code,
        standards=arguments.standard,
        grade=arguments.grade,
        form=arguments.format,
        output=arguments.output,
        baseline=arguments.baseline,
        reply=arguments.reply,
        auditor=arguments.auditor,
        welders=arguments.welder,
        unconfirmed=arguments.unconfirmed,
        own=own_of(arguments),
    )
    print(shown)
    if "findings" in outcomes:
        return OUTSIDE
    return NOTHING if "not checked" in outcomes else INSIDE


def run_audit_log(arguments: argparse.Namespace) -> int:
    """Audit a weld log."""
    from weldref.audit.welded_log import with_joint
    from weldref.logs.audit import STAGES, audit_log
    from weldref.logs.progress import progress_bar
    from weldref.logs.text import audit_text
    from weldref.text import pairs

    columns = pairs("--map", arguments.map)
    against = None
    if arguments.wps is not None:
        from weldref.audit.welded_log import audit_against
        from weldref.procedures.read import read_procedure

        against = audit_against(
            arguments.file,
            read_procedure(arguments.wps),
            columns=columns,
            unit_of=pairs("--unit", arguments.unit),
            units=arguments.units,
            engine=arguments.engine,
        )
    with progress_bar(len(STAGES)) as progress:
        found = audit_log(
            arguments.file,
            columns=with_joint(columns),
            unit_of=pairs("--unit", arguments.unit),
            units=arguments.units,
            grade=arguments.grade,
            under_water=arguments.under_water,
            output=arguments.output,
            most=arguments.most,
            engine=arguments.engine,
            own=own_of(arguments),
            progress=progress,
        )
    if arguments.json:
        more = {"against_wps": against.as_dict()} if against else {}
        print_json(found.as_dict() | more)
    else:
        print(audit_text(found))
        if against is not None:
            from weldref.audit.welded_log import against_text

            print(against_text(against))
    if against is not None and against.verdict == "outside":
        return OUTSIDE
    return exit_code(found.verdict)


def run_read_procedure(arguments: argparse.Namespace) -> int:
    """Read a procedure from paper."""
    from weldref.procedures.paper.draft import reading_text, save_draft
    from weldref.procedures.read import reading_at
    from weldref.text import clean

    reading = reading_at(arguments.file)
    print(reading_text(reading, whole=arguments.output is None))
    if arguments.output is not None:
        print(f"written: {clean(save_draft(reading, arguments.output, arguments.file))}")
    return INSIDE


def run_procedure_template(arguments: argparse.Namespace) -> int:
    """Write a form to fill in."""
    from weldref.procedures.read import read_procedure
    from weldref.procedures.template import write_template
    from weldref.text import clean

    filled = read_procedure(arguments.fill) if arguments.fill else None
    path = write_template(
        arguments.output, units=arguments.units, procedure=filled, read_from=arguments.fill
    )
    print(clean(path))
    return INSIDE


def run_procedure_schema(_arguments: argparse.Namespace) -> int:
    """Print the schema of our own layout."""
    from weldref.procedures.schema import schema

    print_json(schema())
    return INSIDE
