"""Audit files that are held in memory, as the dashboard receives them.

Nothing of them stays on a disk. A log has to be read from a file, so it is in a private folder
while it is audited.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from weldref.audit.dossier import Reply
from weldref.audit.procedure_audit import Report, audit_procedure, digest
from weldref.audit.report import (
    SUFFIXES,
    against,
    baseline_from,
    render,
    report_paths,
    summary_text,
)
from weldref.errors import InputError
from weldref.procedures.limits import check_size
from weldref.procedures.model import Procedure
from weldref.procedures.paper.reading import Reading
from weldref.procedures.read import read_bytes, reading_in
from weldref.text import clean

if TYPE_CHECKING:
    from weldref.audit.welded_log import AgainstProcedure
    from weldref.logs.audit import LogAudit

LONGEST_NAME = 80
LOG_ENDINGS = (".csv", ".parquet", ".pq", ".tsv", ".txt")
_MADE = (2026, 1, 1, 0, 0, 0)  # equal reports make equal archives


@dataclass(frozen=True, slots=True)
class Upload:
    """A file in memory; `name` is what its sender calls it."""

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Read:
    """The procedures of a file, or one sentence that says why it could not be read.

    `reading` is what a machine read, where a person has to confirm it first.
    """

    name: str
    procedures: tuple[Procedure, ...]
    problem: str = ""
    digest: str = ""
    reading: Reading | None = None


def plain_name(name: str) -> str:
    r"""Name a file without its folders and without unprintable characters.

    >>> plain_name("../../posts\x1b[31m.json"), plain_name("C:\\work\\a.csv"), plain_name("..")
    ('posts [31m.json', 'a.csv', 'file')
    """
    last = clean(name).replace("\\", "/").rpartition("/")[2].strip()
    if not last.strip("."):
        return "file"
    stem, dot, ending = last.rpartition(".")
    if not dot or len(ending) > 8:
        return last[:LONGEST_NAME]
    return f"{stem[: LONGEST_NAME - len(ending) - 1]}.{ending}"


def read_upload(upload: Upload) -> Read:
    r"""Read the procedures of a file in memory; a file that is none says why.

    >>> read_upload(Upload("wps.csv", b"WPS No.,7\nProcess,SMAW\n")).procedures[0].number.text
    '7'
    >>> read_upload(Upload("wps.rtf", b"{\\rtf1")).problem[:37]
    'procedure: the file is an RTF text; w'
    """
    name = plain_name(upload.name)
    try:
        reading = reading_in(upload.data, name)
        if reading is not None:
            reading.procedures()  # raises if it holds no procedure
            return Read(name, (), digest=digest(upload.data), reading=reading)
        return Read(name, read_bytes(upload.data, name), digest=digest(upload.data))
    except InputError as error:
        return Read(name, (), str(error))


def audit_read(
    read: Read,
    *,
    record: Procedure | Sequence[Procedure] | None = None,
    code: str | None = None,
    standards: Sequence[str] = (),
    grade: str = "memory",
    welders: Sequence[Procedure] = (),
) -> tuple[Report, ...]:
    r"""Audit every procedure of a file (see `audit_procedure`).

    A test record covers others, not itself, and a welder's certificate is not a procedure.

    >>> found = audit_read(read_upload(Upload("wps.csv", b"WPS No.,7\nProcess,SMAW\n")))
    >>> [(report.file, report.number) for report in found]
    [('wps.csv', '7')]
    """
    records = (record,) if isinstance(record, Procedure) else tuple(record or ())
    reports = []
    for one in read.procedures:
        if any(one is each for each in welders):
            continue
        covered = not any(one is each for each in records)
        about: dict[str, Any] = {"record": records, "code": code, "welders": welders}
        report = audit_procedure(one, standards=standards, grade=grade, **about if covered else {})
        files = {read.name: read.digest} if read.digest else {}
        reports.append(replace(report, file=read.name, files=files))
    return tuple(reports)


def new_since(reports: Sequence[Report], earlier: Upload) -> tuple[Report, ...]:
    r"""Compare the report of one document with an earlier one in JSON.

    Returns
    -------
    tuple
        The reports; those of other documents unchanged.

    Raises
    ------
    InputError
        If it is not such a report, or not of exactly one of these documents.

    >>> (report,) = audit_read(read_upload(Upload("wps.csv", b"WPS No.,7\nProcess,SMAW\n")))
    >>> (fresh,) = new_since([report], Upload("earlier.json", render(report, "json")))
    >>> fresh.findings == report.findings, fresh.changes.new
    (True, ())
    """
    name = plain_name(earlier.name)
    check_size(earlier.data, "json")
    found = baseline_from(earlier.data, name)
    about = [report for report in reports if report.number == found.get("number")]
    if len(about) != 1:
        raise InputError(
            f"baseline: '{name}' is of '{clean(str(found.get('number', '')))[:LONGEST_NAME]}'; "
            "give the report of one document that is audited here"
        )
    return tuple(against(one, found) if one is about[0] else one for one in reports)


def packed_reports(
    reports: Sequence[Report],
    form: str,
    *,
    auditor: str = "",
    replies: dict[str, Reply] | None = None,
) -> tuple[str, bytes]:
    """Write the report of one procedure, or an archive with those of several and a summary.

    A dossier (PDF, HTML, XLSX) names its auditor and carries the replies of an earlier round.

    Returns
    -------
    tuple
        The name for the file, and its content.

    Raises
    ------
    InputError
        If there is no report, or the format is not known or needs an extra.
    """
    if not reports:
        raise InputError("report: nothing was audited; give at least one procedure")
    contents = [render(one, form, auditor=auditor, replies=replies) for one in reports]
    targets = report_paths(Path(), [Path(report.file) for report in reports], form)
    if len(reports) == 1:
        return targets[0].name, contents[0]
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        files = zip([path.name for path in targets], contents, strict=True)
        for name, content in (("summary.txt", f"{summary_text(reports)}\n".encode()), *files):
            archive.writestr(
                zipfile.ZipInfo(name, _MADE), content, compress_type=zipfile.ZIP_DEFLATED
            )
    return f"audits-{SUFFIXES[form][1:]}.zip", packed.getvalue()


def audit_log_upload(upload: Upload, **asked: Any) -> LogAudit:
    r"""Audit a weld log that is in memory (see `weldref.audit_log`).

    Raises
    ------
    InputError
        As `weldref.audit_log` does; the message names the file as its sender does.

    >>> log = Upload("posts.csv", b"process,electrode,diameter,amps\nSMAW,E7018,1/8,250\n")
    >>> found = audit_log_upload(log)
    >>> found.log, found.verdict
    ('posts.csv', 'high')
    """
    return _audited_log(upload, write=False, **asked)[0]


def log_verdicts(upload: Upload, **asked: Any) -> bytes:
    r"""Audit a weld log that is in memory and return every verdict as Parquet.

    >>> log = Upload("posts.csv", b"process,electrode,diameter,amps\nSMAW,E7018,1/8,250\n")
    >>> log_verdicts(log)[:4]
    b'PAR1'
    """
    return _audited_log(upload, write=True, **asked)[1]


def log_against(upload: Upload, procedure: Procedure, **asked: Any) -> AgainstProcedure:
    r"""Compare a weld log that is in memory with its procedure (see `audit_against`).

    >>> wps = read_upload(Upload("w.csv", b"WPS,7\n\nPass,Process,Amps\nroot,SMAW,90-120\n"))
    >>> log = Upload("posts.csv", b"weld,process,amps\nroot,SMAW,150\n")
    >>> log_against(log, wps.procedures[0]).verdict
    'outside'
    """
    from weldref.audit.welded_log import audit_against

    with _on_disk(upload) as (path, name):
        return replace(audit_against(path, procedure, **asked), log=name)


def _audited_log(upload: Upload, *, write: bool, **asked: Any) -> tuple[LogAudit, bytes]:
    # Imported here, so that an audit of procedures does not load the engine of the logs.
    from weldref.logs.audit import audit_log

    with _on_disk(upload) as (path, name):
        target = path.with_name("verdicts.parquet") if write else None
        found = audit_log(path, output=target, **asked)
        written = target.read_bytes() if target else b""
    return replace(found, log=name, output=None), written


@contextmanager
def _on_disk(upload: Upload) -> Iterator[tuple[Path, str]]:
    """Write a log to a temporary folder while it is read; give its path and plain name.

    An error names the file as its sender does.
    """
    from weldref.logs.engine import SCRATCH

    name = plain_name(upload.name)
    ending = Path(name).suffix.lower()
    with TemporaryDirectory(prefix=SCRATCH) as folder:
        path = Path(folder, f"log{ending if ending in LOG_ENDINGS else '.csv'}")
        path.write_bytes(upload.data)
        try:
            yield path, name
        except InputError as error:
            raise InputError(str(error).replace(str(path), name)) from None
