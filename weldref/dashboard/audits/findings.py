"""Show the findings of an audit by file or by rule, the gravest first."""

from __future__ import annotations

from base64 import b64encode
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape

from weldref.audit.cited import Cited, TableRow, cited
from weldref.audit.covering import Line
from weldref.audit.dossier import matrix_title, pictures_of, state_counts
from weldref.audit.finding import RULES, SEVERITIES, Finding
from weldref.audit.places import where
from weldref.audit.procedure_audit import Report
from weldref.charts.ranges import shown_span
from weldref.core.situation import LABELS
from weldref.core.verdict import Row
from weldref.dashboard import fragments, tables
from weldref.dashboard.said import first_up
from weldref.data.store import Store
from weldref.grades import FULL
from weldref.text import clean


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which findings to show; an empty part of it leaves none out."""

    severities: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    files: tuple[str, ...] = ()
    text: str = ""

    def has(self, title: str, finding: Finding) -> bool:
        """Tell whether a finding of the document with this title is wanted."""
        words = (
            finding.what, finding.place, finding.value, finding.expected, finding.source_id,
            finding.locator, finding.next_step, finding.rule,
        )  # fmt: skip
        # What nobody compared is never switched off.
        shown = (*self.severities, "not checked")
        return (
            (not self.severities or finding.severity in shown)
            and (not self.rules or finding.rule in self.rules)
            and (not self.files or title in self.files)
            and self.text.strip().casefold() in " ".join(words).casefold()
        )


def titles(reports: Sequence[Report]) -> list[str]:
    """Name each document, never two alike.

    >>> from types import SimpleNamespace as R
    >>> titles([R(file="a.csv", number="7"), R(file="a.csv", number="7"), R(file="b", number="")])
    ['7 (a.csv)', '7 (a.csv), 2', 'b']
    """
    named: list[str] = []
    for report in reports:
        file, number = clean(report.file), clean(report.number)
        title = plain = f"{number} ({file})" if number else file
        turn = 2
        while title in named:
            title, turn = f"{plain}, {turn}", turn + 1
        named.append(title)
    return named


def summary(reports: Sequence[Report]) -> str:
    """Count the findings of each document."""
    names = tuple(SEVERITIES)
    rows = [
        (title, report.outcome, *map(report.counts.__getitem__, names))
        for title, report in zip(titles(reports), reports, strict=True)
    ]
    sums = {name: sum(report.counts[name] for report in reports) for name in names}
    said = ", ".join(f"{count} {name}" for name, count in sums.items() if count)
    many = f"{len(reports)} document{'s' if len(reports) > 1 else ''}"
    head = f"<h2>{many} <span>{said or 'nothing to report'}</span></h2>"
    header = ("document", "outcome", *names)
    numbers = range(2, len(header))
    return head + tables.table("Findings of each document", header, rows, numbers=numbers)


def meanings() -> str:
    """Explain the words for how grave a finding is."""
    said = ((name.capitalize(), meaning) for name, meaning in SEVERITIES.items())
    return fragments.aside("What the words mean", fragments.facts(said, "words"))


def listed(store: Store, reports: Sequence[Report], wanted: Wanted) -> tuple[str, int]:
    """Write the findings that are wanted, by document and rule; return them and their number."""
    parts = []
    count = 0
    for title, report in zip(titles(reports), reports, strict=True):
        chosen = [f for f in report.findings if wanted.has(title, f)]
        if not chosen:
            continue
        count += len(chosen)
        number = f"{len(chosen)} of {len(report.findings)} shown"
        parts.append(f"<h2>{escape(title)} <span>{number}</span></h2>")
        by_rule: dict[str, list[Finding]] = defaultdict(list)
        for finding in chosen:
            by_rule[finding.rule].append(finding)
        for name, found in by_rule.items():
            words = name.replace("-", " ").capitalize()
            asks = RULES[name].asks if name in RULES else ""
            parts.append(f"<h3>{escape(words)} <span>{escape(asks)}</span></h3>")
            parts += [_finding(store, report, finding) for finding in found]
        if report.changes is not None and report.changes.closed:
            gone = (escape(clean(f.what)) for f in report.changes.closed)
            listed = fragments.bullets(gone, "cells")
            parts.append(f"<h3>Closed since the earlier report</h3>{listed}")
    return "".join(parts), count


def _rule_of(line: Line) -> str:
    kind = f"{line.role}, {FULL[line.grade]}"
    source = f"{line.source_id}, {line.locator}".strip(", ")
    return clean("; ".join(filter(None, (line.why, kind, source))))


_MATRIX: dict[str, Callable[[Line], object]] = {
    "variable": lambda line: f"{line.variable} ({line.clause})" if line.clause else line.variable,
    "state": lambda line: line.state,
    "procedure says": lambda line: clean(line.claim),
    "record says": lambda line: clean(line.tested),
    "qualified": lambda line: clean(line.qualified),
    "rule or reason, kind, source": _rule_of,
}


def matrices(reports: Sequence[Report]) -> str:
    """Write the matrix of each document: every variable of the code, and what becomes of it."""
    parts = []
    for title, report in zip(titles(reports), reports, strict=True):
        if not report.matrix:
            continue
        head = f"{escape(title)}: {escape(clean(matrix_title(report)))}"
        parts.append(f"<h2>{head} <span>{state_counts(report.matrix)}</span></h2>")
        caption = "Every variable of the code that the tables hold"
        made = tables.of(caption, report.matrix, _MATRIX)
        parts.append(f'<div class="sides matrix">{made}</div>')
    return "".join(parts)


def _finding(store: Store, report: Report, finding: Finding) -> str:
    fresh = report.is_new(finding)
    places = "; ".join(where(place, report.fields) for place in finding.places)
    recalled = finding.grade == "memory"
    mark = ' <span class="recalled">from memory, verify</span>' if recalled else ""
    details = [
        ("Value", finding.value),
        ("Expected", finding.expected),
        ("Where", places),
        ("Read", finding.machine_read),
        ("Next", finding.next_step),
    ]
    shown = fragments.facts((name, clean(text)) for name, text in details if text)
    paper = "".join(
        f'<img class="paper" src="data:image/png;base64,{b64encode(picture).decode()}"'
        ' alt="as the paper has it">'
        for picture in pictures_of(report, finding)
    )
    found = cited(store, finding.source_id, finding.locator, finding.expected)
    return (
        f'<article class="finding {finding.severity.replace(" ", "-")}">'
        f"<p><b>{'New: ' if fresh else ''}{escape(finding.severity.capitalize())}</b>{mark}</p>"
        f'<p class="what">{escape(first_up(clean(finding.what)))}</p>'
        f"{shown if any(dict(details).values()) else ''}{paper}"
        f"{_source(finding, found) if found else ''}"
        "</article>"
    )


def _source(finding: Finding, found: Cited) -> str:
    """Write what opens: the document with its edition, the place, and the row as printed."""
    source = found.source
    number = f" ({source.document_number})" if source.document_number else ""
    said = [
        ("Document", f"{source.title}{number}"),
        ("Issuer", source.issuer or ""),
        ("Edition", source.edition or "not noted"),
        ("Place", finding.locator or "not noted"),
        ("How read", FULL.get(finding.grade, finding.grade)),
    ]
    body = fragments.facts(said)
    if found.ranges:
        body += fragments.heading("Published there") + _ranges(found.ranges)
    if found.others:
        body += fragments.heading("Rows of the tables there") + _cells(found.others)
    if found.left:
        body += f'<p class="more">... and {found.left} more at that place.</p>'
    if not (found.ranges or found.others):
        body += '<p class="more">The tables hold no row of that place: read it there.</p>'
    return f"<details><summary>Cited: {escape(source.title)}</summary>{body}</details>"


def _ranges(rows: Iterable[Row]) -> str:
    items = []
    for row in rows:
        holds = ", ".join(f"{LABELS[name]} {text}" for name, text in row.conditions.items())
        about = f"{FULL[row.how_read]}; {fragments.BASES[row.basis]}"
        if row.status:
            about += f"; {row.status}"
        quantity = row.quantity.replace("_", " ")
        remark = f" <span>Remark: {escape(row.remark)}.</span>" if row.remark else ""
        items.append(
            f"<b>{escape(quantity)} {escape(shown_span(row))}</b>"
            f"{escape(f' for {holds}') if holds else ''} ({escape(about)}).{remark}"
        )
    return fragments.bullets(items, "cells")


def _cells(rows: Iterable[TableRow]) -> str:
    items = []
    for row in rows:
        cells = "; ".join(f"{name.replace('_', ' ')} {text}" for name, text in row.cells.items())
        about = row.table.replace("_", " ")
        if row.how_read:
            about += f"; {FULL[row.how_read]}"
        items.append(f"{escape(cells)} ({escape(about)}).")
    return fragments.bullets(items, "cells")
