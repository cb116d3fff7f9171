"""Collect the dossier of an audit: numbered findings, the matrix, the arithmetic.

Every printed form uses this one arrangement. A finding keeps its number over rounds: it is
recognised by its rule, its subject and its fields, never by its words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from typing import Any

from weldref.audit.covering import STATES, Line
from weldref.audit.finding import SEVERITIES, Finding
from weldref.audit.places import where
from weldref.audit.procedure_audit import Report, all_rules
from weldref.data import own as own_tables
from weldref.grades import GRADE_WORDS, SHORT

GRADES = SHORT | {"memory": "from memory: verify"}
"""How a rule of the matrix was read, as a dossier prints it."""

MOST_PICTURES = 4
"""The most pictures of the paper that one finding shows."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What a manufacturer answered to a finding in an earlier round, and who closed it."""

    number: int
    what: str
    reply: str
    closed: str


@dataclass(frozen=True, slots=True)
class Item:
    """A finding as the dossier prints it."""

    number: int
    status: str
    what: str
    key: str
    severity: str = ""
    where: str = ""
    value: str = ""
    expected: str = ""
    source: str = ""
    closes: str = ""
    rule: str = ""
    reply: str = ""
    closed: str = ""
    machine_read: str = ""
    pictures: tuple[bytes, ...] = ()


@dataclass(frozen=True, slots=True)
class Dossier:
    """Everything a dossier prints, in its order.

    `findings` need an answer, `unchecked` were not compared, `notes` were found in order, `silent`
    are the rules that found nothing. `closed` are findings of an earlier round that are gone.
    """

    title: str
    heading: tuple[tuple[str, str], ...]
    outcome: str
    counts: str
    since: str
    warnings: tuple[str, ...]
    findings: tuple[Item, ...]
    unchecked: tuple[Item, ...]
    closed: tuple[Item, ...]
    notes: tuple[Item, ...]
    silent: tuple[tuple[str, str], ...]
    matrix: tuple[Line, ...]
    matrix_title: str
    matrix_counts: str
    corners: tuple[dict[str, str], ...]
    sources: tuple[tuple[str, str], ...]
    severities: dict[str, str]
    states: dict[str, str]
    grades: dict[str, str]

    def as_dict(self) -> dict[str, Any]:
        """The dossier as plain dictionaries and lists."""
        return asdict(self)


def keys(findings: Iterable[Finding], fields: dict[str, str]) -> list[str]:
    """Name each finding by rule, subject and fields; equal names are numbered.

    >>> from types import SimpleNamespace as F
    >>> one = F(rule="open-ranges", about="", places=["L2"])
    >>> keys([one, one], {"L2": "passes[1].current"})
    ['open-ranges | passes[1].current', 'open-ranges | passes[1].current | 2']
    """
    seen: Counter[str] = Counter()
    found = []
    for one in findings:
        at = sorted({fields.get(place, place) for place in one.places})
        key = " | ".join(filter(None, (one.rule, one.about, ", ".join(at))))
        seen[key] += 1
        found.append(key if seen[key] == 1 else f"{key} | {seen[key]}")
    return found


def dossier(
    report: Report, *, auditor: str = "", replies: dict[str, Reply] | None = None
) -> Dossier:
    """Arrange a report as a dossier.

    Parameters
    ----------
    report
        The report of an audit.
    auditor
        Who signs it, as printed.
    replies
        The replies of an earlier round, by the key of the finding.
    """
    replies = replies or {}
    named = list(zip(report.findings, keys(report.findings, report.fields), strict=True))
    last = max((reply.number for reply in replies.values()), default=0)
    items: list[Item] = []
    asking = [pair for pair in named if pair[0].severity != "note"]
    asking.sort(key=lambda pair: pair[0].severity == "not checked")
    for finding, key in asking:
        if reply := replies.get(key):
            item = _item(report, finding, key, reply.number, "still open")
            items.append(replace(item, reply=reply.reply, closed=reply.closed))
        else:
            last += 1
            new = "new" if replies or report.is_new(finding) else ""
            items.append(_item(report, finding, key, last, new))
    items.sort(key=lambda item: item.number)
    asked = {key for _, key in asking}
    gone = [
        Item(number=one.number, status="closed", what=one.what, key=key, reply=one.reply,
             closed=one.closed)
        for key, one in replies.items() if key not in asked
    ]  # fmt: skip
    closed = report.changes.closed if report.changes else ()
    gone += [_item(report, one, "", 0, "closed") for one in closed]
    spoken = {finding.rule for finding in report.findings}
    return Dossier(
        title=report.number or report.file,
        heading=tuple(_heading(report, auditor)),
        outcome=report.outcome,
        counts=report.counted,
        since=str(report.changes) if report.changes else _rounds(items, gone, replies),
        warnings=(report.reminder, *machine_lines(report), *own_lines(report)),
        findings=tuple(item for item in items if item.severity != "not checked"),
        unchecked=tuple(item for item in items if item.severity == "not checked"),
        closed=tuple(sorted(gone, key=lambda item: item.number)),
        notes=tuple(_item(report, f, key, 0, "") for f, key in named if f.severity == "note"),
        silent=tuple((one.name, one.asks) for one in all_rules() if one.name not in spoken),
        matrix=report.matrix,
        matrix_title=matrix_title(report),
        matrix_counts=state_counts(report.matrix),
        corners=tuple(asdict(corner) for corner in report.corners),
        sources=tuple(report.sources.items()),
        severities={str(name): text for name, text in SEVERITIES.items()},
        grades=GRADES,
        states={str(name): text for name, text in STATES.items()},
    )


def _item(report: Report, finding: Finding, key: str, number: int, status: str) -> Item:
    return Item(
        number=number,
        status=status,
        severity=finding.severity,
        what=finding.what,
        where="; ".join(dict.fromkeys(where(at, report.fields) for at in finding.places)),
        value=finding.value,
        expected=finding.expected,
        source=cited_as(finding),
        closes=finding.next_step,
        rule=finding.rule,
        key=key,
        machine_read=finding.machine_read,
        pictures=pictures_of(report, finding),
    )


def pictures_of(report: Report, finding: Finding) -> tuple[bytes, ...]:
    """Return pictures (PNG) of the paper at the first places of a finding."""
    shown = [report.pictures[at] for at in finding.places if at in report.pictures]
    return tuple(shown[:MOST_PICTURES])


def _rounds(items: list[Item], gone: list[Item], replies: dict[str, Reply]) -> str:
    if not replies:
        return ""
    new = sum(item.status == "new" for item in items)
    return f"{new} new, {len(items) - new} still open, {len(gone)} closed"


def cited_as(finding: Finding) -> str:
    """Write the source of a finding, its place and how it was read; empty if it has none."""
    if not finding.source_id:
        return ""
    place = f"{finding.source_id}, {finding.locator}".strip(", ")
    return f"{place} ({GRADE_WORDS.get(finding.grade, finding.grade)})"


def machine_lines(report: Report) -> list[str]:
    """Warn of values that a machine read and nobody confirmed."""
    if not report.unconfirmed:
        return []
    return [
        f"Not confirmed: a machine read {report.unconfirmed} values of this document, and nobody "
        "has compared them with it."
    ]


def own_lines(report: Report) -> list[str]:
    """Say which own tables an audit used, and for what."""
    own = report.own_tables
    if own is None:
        return []
    says = "their rows are reported in notes and change no other finding"
    if own["mode"] == "instead":
        says = "each finding of the rule published-range is by own tables, not published"
    return [f"{own_tables.line(own)}: {says}; every other rule rests on published documents"]


def _heading(report: Report, auditor: str) -> Iterable[tuple[str, str]]:
    about, asked = report.about, report.asked
    code = asked["code"] or "none asked for"
    if asked["edition"]:
        code += f", edition {asked['edition']}; each rule names the edition it was read in"
    records = ", ".join(asked["records"])
    yield "Procedure", about.get("number") or report.file
    yield "Revision", " of ".join(filter(None, (about.get("revision"), about.get("date"))))
    yield "Title", about.get("title", "")
    yield "Organisation", about.get("organization", "")
    yield "Written to", about.get("standards", "")
    yield "Names the records", about.get("supporting_pqrs", "")
    yield "Test record (PQR)", records or "none given"
    yield "Rules of qualification", code
    yield "Welder's certificate", ", ".join(asked["welders"])
    yield "Contents by", ", ".join(asked["standards"])
    for name, digest in (report.files or {report.file: ""}).items():
        yield f"File {name}", f"SHA-256 {digest}" if digest else "not kept"
    yield "Dataset", report.rests_on
    yield "Lowest evidence accepted", GRADE_WORDS.get(asked["grade"], asked["grade"])
    yield "Date of the audit", datetime.now(UTC).date().isoformat()
    yield "Auditor", auditor or "not named"


def matrix_title(report: Report) -> str:
    """Name the code, the records and the certificates of a matrix."""
    asked = report.asked
    parts = []
    if asked["code"] is not None:
        against = ", ".join(asked["records"])
        says = f"what {against} qualifies" if against else "what has to be stated"
        parts.append(f"{asked['code']}, {says}")
    if asked["welders"]:
        parts.append(f"what the certificate {', '.join(asked['welders'])} covers")
    return "; ".join(parts)


def state_counts(lines: Iterable[Line]) -> str:
    """Count the lines of a matrix by their state.

    >>> state_counts(())
    'no variables'
    """
    counted = Counter(line.state for line in lines)
    return ", ".join(f"{counted[name]} {name}" for name in STATES if counted[name]) or (
        "no variables"
    )
