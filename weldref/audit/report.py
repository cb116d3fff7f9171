"""Write an audit's report as text, JSON, HTML or PDF, compared with an earlier one if given."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import fields, replace
from datetime import UTC, datetime, time
from importlib.resources import files
from pathlib import Path
from typing import Any

from weldref.audit.finding import SEVERITIES, Finding
from weldref.audit.procedure_audit import Changes, Report, all_rules, audit_file
from weldref.data import own as own_tables
from weldref.errors import InputError
from weldref.files import check_place, write_whole
from weldref.text import GRADE_WORDS, clean, paragraph, table

FORMATS = ("text", "json", "html", "pdf")
LARGEST_BASELINE = 20_000_000
"""Bytes of an earlier report; one of this package's has some ten thousand."""


def against(report: Report, earlier: dict[str, Any]) -> Report:
    """Compare a report with an earlier one of the same document: new, still open, closed.

    The outcome stays that of everything that is open.

    Raises
    ------
    InputError
        If the earlier report is not one that this package wrote.
    """
    try:
        seen = [_earlier(finding) for finding in earlier["findings"]]
        keys = {_key(finding) for finding in seen}
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise InputError("baseline: the file is not a report in JSON; give one") from error
    here = {_key(finding) for finding in report.findings}
    return replace(
        report,
        changes=Changes(
            new=tuple(f for f in report.findings if _key(f) not in keys),
            open=tuple(f for f in report.findings if _key(f) in keys),
            closed=tuple(f for f in seen if _key(f) not in here),
        ),
    )


def _earlier(stored: dict[str, Any]) -> Finding:
    """Read a finding of an earlier report, whose texts must be texts."""
    finding = Finding(**stored | {"also_at": tuple(stored.get("also_at", ()))})
    texts = (getattr(finding, each.name) for each in fields(finding))
    if finding.severity not in SEVERITIES or not all(
        isinstance(text, (str, tuple)) and all(isinstance(part, str) for part in text)
        for text in texts
    ):
        raise ValueError(finding.severity)
    return finding


def _key(finding: Finding) -> tuple[str, ...]:
    return (finding.rule, finding.severity, finding.what, finding.value, finding.expected)


def read_baseline(path: Path) -> dict[str, Any]:
    """Read an earlier report.

    Raises
    ------
    InputError
        If the file cannot be read as JSON.
    """
    try:
        # A pipe or a device may never end.
        small = path.is_file() and path.stat().st_size <= LARGEST_BASELINE
        data = path.read_bytes() if small else b""
    except (OSError, ValueError) as error:
        raise InputError(f"baseline: '{path}' cannot be read as a report in JSON") from error
    return baseline_from(data, str(path))


def baseline_from(data: bytes, name: str) -> dict[str, Any]:
    """Read an earlier report that is in memory.

    Raises
    ------
    InputError
        If it is not JSON.

    >>> baseline_from(b'{"findings": []}', "earlier.json")
    {'findings': []}
    """
    try:
        found = json.loads(data.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise InputError(f"baseline: '{name}' cannot be read as a report in JSON") from error
    if not isinstance(found, dict):
        raise InputError(f"baseline: '{name}' is not a report in JSON")
    return found


def render(report: Report, form: str) -> bytes:
    """Write a report in one of the formats.

    Raises
    ------
    InputError
        If the format is not known, or needs an extra that is not installed.
    """
    if form == "text":
        return (report_text(report) + "\n").encode()
    if form == "json":
        return (json.dumps(report.as_dict(), ensure_ascii=False, indent=2) + "\n").encode()
    if form == "html":
        return report_html(report).encode()
    if form == "pdf":
        return report_pdf(report)
    raise InputError(f"format: '{form}' is not known; give {', '.join(FORMATS)}")


SUFFIXES = {"text": ".txt", "json": ".json", "html": ".html", "pdf": ".pdf"}


def audit_files(
    paths: Sequence[Path],
    *,
    form: str = "text",
    output: Path | None = None,
    baseline: Path | None = None,
    **asked: Any,
) -> tuple[Sequence[str], str]:
    """Audit files and write their reports.

    Parameters
    ----------
    paths
        Procedure files.
    form
        Format of the reports: "text", "json", "html" or "pdf".
    output
        A file for the report of one procedure; a folder for those of several. Nothing is
        written before every procedure has been read and audited.
    baseline
        An earlier report in JSON of the same one procedure.
    **asked
        What `audit_file` takes: record, code, standards, grade.

    Returns
    -------
    tuple
        The outcome of each file, and the text for the terminal.

    Raises
    ------
    InputError
        If something that was asked for cannot be done.
    """
    if not paths:
        raise InputError("audit: no file is named; give a JSON, YAML, CSV or XLSX procedure")
    if form not in FORMATS:
        raise InputError(f"format: '{form}' is not known; give {', '.join(FORMATS)}")
    if baseline and len(paths) > 1:
        raise InputError("baseline: it belongs to one procedure; audit one file at a time")
    if output is None and form == "pdf":
        raise InputError("output: a PDF is not for a terminal; name a file with -o")
    if output is None and len(paths) > 1 and form != "text":
        raise InputError("output: several reports need a folder; name it with -o")
    read = [path for path in (*paths, asked.get("record"), baseline) if path]
    if output is not None:
        check_place(output, inputs=read)
    reports = [audit_file(path, **asked) for path in paths]
    if baseline:
        reports = [against(reports[0], read_baseline(baseline))]
    outcomes = [report.outcome for report in reports]
    if output is None:
        shown = "\n\n".join(render(report, form).decode().rstrip() for report in reports)
        return outcomes, shown if len(paths) == 1 else f"{summary_text(reports)}\n\n{shown}"
    folder = len(paths) > 1 or output.is_dir()
    targets = report_paths(output, paths, form) if folder else [output]
    for target in targets:
        check_place(target, inputs=read)
    contents = [render(report, form) for report in reports]
    if folder:
        try:
            output.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputError(f"output: '{output}' cannot be made: {error.strerror}") from error
    for target, content in zip(targets, contents, strict=True):
        write_whole(target, content)
    written = "\n".join(f"written: {clean(target)}" for target in targets)
    return outcomes, f"{summary_text(reports)}\n{written}"


def report_paths(folder: Path, paths: Sequence[Path], form: str) -> list[Path]:
    """Name a report after each file, never two alike."""
    named: list[Path] = []
    for path in paths:
        target, turn = folder / f"{path.stem}-audit{SUFFIXES[form]}", 2
        while target in named:
            target = folder / f"{path.stem}-audit-{turn}{SUFFIXES[form]}"
            turn += 1
        named.append(target)
    return named


def report_text(report: Report) -> str:
    """Write a report for a terminal of 80 columns."""
    counts = ", ".join(f"{n} {name}" for name, n in report.counts.items() if n)
    parts = [
        paragraph(f"{report.file or 'procedure'} {report.number}".strip()),
        paragraph(f"{report.outcome}: {counts or 'nothing to report'}"),
    ]
    changes = report.changes
    if changes is not None:
        parts.append(paragraph(f"since the earlier report: {changes}"))
    for severity, meaning in SEVERITIES.items():
        found = [f for f in report.findings if f.severity == severity]
        if not found:
            continue
        parts.append(f"\n{severity.upper()} ({meaning})")
        parts += [_finding_text(f, is_new(report, f)) for f in found]
    if changes is not None and changes.closed:
        parts.append("\nCLOSED (in the earlier report, and no longer found)")
        parts += [paragraph(f"- {f.what} [{f.rule}]") for f in changes.closed]
    if report.sources:
        parts.append("\nSOURCES")
        parts += [paragraph(f"- {source}: {name}") for source, name in report.sources.items()]
    parts.append("\n" + paragraph(report.reminder))
    version, digest = report.dataset["version"], report.dataset["digest"][:12]
    parts.append(f"dataset {version}, {digest}")
    parts += [paragraph(text) for text in _own(report)]
    return "\n".join(parts)


def _own(report: Report) -> list[str]:
    """Say which own tables an audit used, and for what."""
    own = report.own_tables
    if own is None:
        return []
    says = "their rows are reported in notes and change no other finding"
    if own["mode"] == "instead":
        says = "each finding of the rule published-range is by own tables, not published"
    return [f"{own_tables.line(own)}: {says}; every other rule rests on published documents"]


def is_new(report: Report, finding: Finding) -> bool:
    """Say whether an earlier report was given and has not this finding."""
    return report.changes is not None and finding in report.changes.new


def _finding_text(finding: Finding, new: bool) -> str:
    lines = [paragraph(f"- {'new: ' if new else ''}{finding.what} [{finding.rule}]")]
    details = [
        ("at", finding.places),
        ("value", finding.value),
        ("expected", finding.expected),
        ("source", _source(finding)),
        ("next", finding.next_step),
    ]
    lines += [paragraph(f"{name}: {text}", "    ") for name, text in details if text]
    return "\n".join(lines)


def _source(finding: Finding) -> str:
    if not finding.source_id:
        return ""
    place = f"{finding.source_id}, {finding.locator}".strip(", ")
    return f"{place} ({GRADE_WORDS.get(finding.grade, finding.grade)})"


def summary_text(reports: Sequence[Report]) -> str:
    """Write one line a document."""
    names = [name for name in SEVERITIES if name != "note"]
    return table(
        (*names, "document"),
        [
            (*(r.counts[name] for name in names), f"{r.file} {r.number}: {r.outcome}")
            for r in reports
        ],
    )


def rules_text() -> str:
    """List the rules: name, family, what it asks, source."""
    rows = []
    for rule in all_rules():
        source = f" [{rule.source_id}, {rule.locator}]" if rule.source_id else ""
        rows.append((rule.name, rule.family, rule.asks + source))
    return table(("rule", "family", "what it asks [source]"), rows)


def report_html(report: Report) -> str:
    """Write a report as one self-contained page."""
    try:
        import jinja2
    except ImportError as error:
        raise InputError("format: html needs jinja2; install weldref[print]") from error

    template = files("weldref.audit").joinpath("report.html").read_text(encoding="utf-8")
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined)
    return environment.from_string(template).render(
        report=report,
        severities=SEVERITIES,
        source=_source,
        clean=clean,
        own=_own(report),
        is_new=is_new,
    )


def report_pdf(report: Report) -> bytes:
    """Write a report as a PDF with typst's own fonts."""
    try:
        import typst
    except ImportError as error:
        raise InputError("format: pdf needs typst; install weldref[print]") from error

    template = files("weldref.audit").joinpath("report.typ").read_bytes()
    data = _printable(
        report.as_dict()
        | {
            "severities": SEVERITIES,
            "cited": [_source(finding) for finding in report.findings],
            "own": _own(report),
            "since": str(report.changes) if report.changes else "",
            "fresh": [is_new(report, finding) for finding in report.findings],
            "places": [finding.places for finding in report.findings],
            "closed": [f.what for f in report.changes.closed] if report.changes else [],
        }
    )
    made = typst.compile(
        template,
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=True)},
        pdf_standards=["ua-1"],
        # Of the day: the same report gives the same file.
        timestamp=datetime.combine(datetime.now(UTC).date(), time(), UTC),
    )
    assert isinstance(made, bytes)  # noqa: S101  a PDF is one document
    return made


def _printable(value: Any) -> Any:
    """Take control characters out of every text."""
    if isinstance(value, str):
        return clean(value)
    if isinstance(value, dict):
        return {clean(key): _printable(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [_printable(each) for each in value]
    return value
