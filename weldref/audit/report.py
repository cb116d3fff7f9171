"""Write an audit's report: text, JSON, or a dossier as HTML, PDF or XLSX."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from datetime import UTC, datetime, time
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from weldref.audit.dossier import Dossier, Reply, cited_as, dossier, machine_lines, own_lines
from weldref.audit.dossier_xlsx import dossier_xlsx, read_replies
from weldref.audit.finding import SEVERITIES, Finding
from weldref.audit.procedure_audit import Changes, Report, all_rules, audit_file
from weldref.errors import InputError
from weldref.files import check_place, write_whole
from weldref.text import clean, displayable, paragraph, table

SUFFIXES = {"text": ".txt", "json": ".json", "html": ".html", "pdf": ".pdf", "xlsx": ".xlsx"}
FORMATS = tuple(SUFFIXES)
LONGEST_WHOLE = 900
"""A row of a dossier stays on one page if its cells have no more characters."""
LARGEST_BASELINE = 20_000_000
"""The most bytes of an earlier report; ours have some ten thousand."""


def against(report: Report, earlier: dict[str, Any]) -> Report:
    """Compare a report with an earlier one of the same document: new, still open, closed.

    The outcome is that of everything still open.

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
    """Read a finding of an earlier report; every part has to be text."""
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


def render(
    report: Report, form: str, *, auditor: str = "", replies: dict[str, Reply] | None = None
) -> bytes:
    """Write a report in one of the formats; HTML, PDF and XLSX are the dossier.

    Parameters
    ----------
    report, form
        The report, and "text", "json", "html", "pdf" or "xlsx".
    auditor, replies
        Who signs a dossier, and what came back from an earlier round (see `read_replies`).

    Raises
    ------
    InputError
        If the format is not known, or needs an extra that is not installed.
    """
    _check_form(form)
    if form == "text":
        return (report_text(report) + "\n").encode()
    if form == "json":
        return (json.dumps(report.as_dict(), ensure_ascii=False, indent=2) + "\n").encode()
    return DOSSIERS[form](dossier(report, auditor=auditor, replies=replies), report)


def audit_files(
    paths: Sequence[Path],
    *,
    form: str | None = None,
    output: Path | None = None,
    baseline: Path | None = None,
    reply: Path | None = None,
    auditor: str = "",
    **asked: Any,
) -> tuple[Sequence[str], str]:
    """Audit files and write their reports.

    Parameters
    ----------
    paths
        Procedure files.
    form
        Format of the reports: "text", "json", "html", "pdf" or "xlsx"; without one, what the
        name of the output ends in, else text.
    output
        A file for the report of one procedure; a folder for those of several. Nothing is
        written before every procedure has been read and audited.
    baseline
        An earlier report in JSON of the same one procedure.
    reply
        The workbook of an earlier round, with the manufacturer's replies: numbers are kept.
    auditor
        Who signs, as a dossier prints it.
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
    ending = output.suffix.lower() if output is not None else ""
    form = form or next((name for name, suffix in SUFFIXES.items() if suffix == ending), "text")
    several = len(paths) > 1
    _check_form(form)
    for name, given in (("baseline", baseline), ("reply", reply)):
        if given and several:
            raise InputError(f"{name}: it belongs to one procedure; audit one file at a time")
    for name, said in (("reply", reply), ("auditor", auditor)):
        if said and form not in DOSSIERS:
            raise InputError(f"{name}: it is for a dossier; name a PDF, HTML or XLSX with -o")
    if output is None and form in ("pdf", "xlsx"):
        raise InputError(f"output: {form.upper()} is not for a terminal; name a file with -o")
    if output is None and several and form != "text":
        raise InputError("output: several reports need a folder; name it with -o")
    record = asked.get("record")
    records = (record,) if isinstance(record, Path) else tuple(record or ())
    welders = asked.get("welders", ())
    read = [path for path in (*paths, *records, *welders, baseline, reply) if path]
    replies = read_replies(reply) if reply else None
    if output is not None:
        check_place(output, inputs=read)
    reports = [audit_file(path, **asked) for path in paths]
    if baseline:
        reports = [against(reports[0], read_baseline(baseline))]
    outcomes = [report.outcome for report in reports]
    if output is None:
        shown = "\n\n".join(render(report, form).decode().rstrip() for report in reports)
        return outcomes, f"{summary_text(reports)}\n\n{shown}" if several else shown
    folder = several or output.is_dir()
    targets = report_paths(output, paths, form) if folder else [output]
    for target in targets:
        check_place(target, inputs=read)
    contents = [render(one, form, auditor=auditor, replies=replies) for one in reports]
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
        turns = ("", *(f"-{turn}" for turn in range(2, len(paths) + 1)))
        targets = (folder / f"{path.stem}-audit{turn}{SUFFIXES[form]}" for turn in turns)
        named.append(next(target for target in targets if target not in named))
    return named


def report_text(report: Report) -> str:
    """Write a report for a terminal of 80 columns."""
    parts = [
        paragraph(f"{report.file or 'procedure'} {report.number}".strip()),
        paragraph(f"{report.outcome}: {report.counted or 'nothing to report'}"),
    ]
    changes = report.changes
    if changes is not None:
        parts.append(paragraph(f"since the earlier report: {changes}"))
    for severity, meaning in SEVERITIES.items():
        found = [f for f in report.findings if f.severity == severity]
        if not found:
            continue
        parts.append(f"\n{severity.upper()} ({meaning})")
        parts += [_finding_text(f, report.is_new(f)) for f in found]
    if changes is not None and changes.closed:
        parts.append("\nCLOSED (in the earlier report, and no longer found)")
        parts += [paragraph(f"- {f.what} [{f.rule}]") for f in changes.closed]
    if report.sources:
        parts.append("\nSOURCES")
        parts += [paragraph(f"- {source}: {name}") for source, name in report.sources.items()]
    parts.append("\n" + paragraph(report.reminder))
    parts += [paragraph(text) for text in machine_lines(report)]
    parts.append(f"dataset {report.rests_on}")
    parts += [paragraph(text) for text in own_lines(report)]
    return "\n".join(parts)


def _finding_text(finding: Finding, new: bool) -> str:
    lines = [paragraph(f"- {'new: ' if new else ''}{finding.what} [{finding.rule}]")]
    details = [
        ("at", "; ".join(finding.places)),
        ("read", finding.machine_read),
        ("value", finding.value),
        ("expected", finding.expected),
        ("source", cited_as(finding)),
        ("next", finding.next_step),
    ]
    lines += [paragraph(f"{name}: {text}", "    ") for name, text in details if text]
    return "\n".join(lines)


def summary_text(reports: Sequence[Report]) -> str:
    """Write one line for each document."""
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


@cache
def _page() -> Any:
    """The template of the page, compiled once."""
    try:
        import jinja2
    except ImportError as error:
        raise InputError("format: html needs jinja2; install weldref[print]") from error

    template = files("weldref.audit").joinpath("report.html").read_text(encoding="utf-8")
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined)
    return environment.from_string(template)


def _html(made: Dossier, _report: Report) -> bytes:
    """Write a dossier as one self-contained page."""
    page: str = _page().render(made=made, clean=clean, base64=lambda data: b64encode(data).decode())
    return page.encode()


def _pdf(made: Dossier, report: Report) -> bytes:
    """Write a dossier as a PDF with typst's own fonts."""
    try:
        import typst
    except ImportError as error:
        raise InputError("format: pdf needs typst; install weldref[print]") from error

    template = files("weldref.audit").joinpath("report.typ").read_bytes()
    plain = made.as_dict()
    for line in plain["matrix"]:  # not printed, and some are infinite
        del line["wanted"], line["reaches"]
    for items in ("findings", "unchecked", "notes", "closed"):
        for item in plain[items]:
            item["pictures"] = [list(picture) for picture in item["pictures"]]
    data = plain | {"dataset": report.rests_on}
    texts = [part for item in (*made.findings, *made.unchecked, *made.closed, *made.notes)
             for part in (item.what, item.where, item.reply, item.expected)]  # fmt: skip
    # A row is not split over pages, unless it may be longer than a page.
    data["long"] = any(len(text) > LONGEST_WHOLE for text in texts)
    data["heading"] = [pair for pair in data["heading"] if pair[1]]
    document = typst.compile(
        template,
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(_each(data), ensure_ascii=True)},
        pdf_standards=["ua-1"],
        # Only the day: the same report gives the same file.
        timestamp=datetime.combine(datetime.now(UTC).date(), time(), UTC),
    )
    assert isinstance(document, bytes)  # noqa: S101  a PDF is one document
    return document


DOSSIERS: dict[str, Callable[[Dossier, Report], bytes]] = {
    "html": _html,
    "pdf": _pdf,
    "xlsx": lambda made, _report: dossier_xlsx(made),
}
"""Forms of a dossier, and what writes each."""


def _check_form(form: str) -> None:
    if form not in FORMATS:
        raise InputError(f"format: '{form}' is not known; give {', '.join(FORMATS)}")


def _each(value: Any) -> Any:
    """Clean every text in plain dictionaries and lists for typesetting."""
    if isinstance(value, str):
        return displayable(clean(value))
    if isinstance(value, dict):
        return {_each(key): _each(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [_each(each) for each in value]
    return value
