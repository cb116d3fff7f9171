"""Show the findings of an audit by file or by rule, the gravest first."""

from __future__ import annotations

from base64 import b64encode
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from weldref.audit.cited import Cited, TableRow, cited
from weldref.audit.dossier import matrix_title, pictures_of, state_counts
from weldref.audit.finding import RULES, SEVERITIES, Finding
from weldref.audit.places import where
from weldref.audit.procedure_audit import Report
from weldref.charts.ranges import shown_span
from weldref.core.situation import LABELS
from weldref.core.verdict import Row
from weldref.dashboard import fragments, tables
from weldref.data.store import Store
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
    names = list(SEVERITIES)
    rows = [
        (title, report.outcome, *(report.counts[name] for name in names))
        for title, report in zip(titles(reports), reports, strict=True)
    ]
    sums = {name: sum(report.counts[name] for report in reports) for name in names}
    said = ", ".join(f"{count} {name}" for name, count in sums.items() if count)
    many = f"{len(reports)} document{'s' if len(reports) > 1 else ''}"
    head = f"<h2>{many} <span>{said or 'nothing to report'}</span></h2>"
    return head + tables.table(
        "Findings of each document",
        ("document", "outcome", *names),
        rows,
        numbers=range(2, 2 + len(names)),
    )


def meanings() -> str:
    """Explain the words for how grave a finding is."""
    items = "".join(
        f"<dt>{escape(name.capitalize())}</dt><dd>{escape(meaning)}</dd>"
        for name, meaning in SEVERITIES.items()
    )
    return fragments.aside("What the words mean", f'<dl class="words">{items}</dl>')


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
            gone = "".join(f"<li>{escape(clean(f.what))}</li>" for f in report.changes.closed)
            parts.append(f'<h3>Closed since the earlier report</h3><ul class="cells">{gone}</ul>')
    return "".join(parts), count


def matrices(reports: Sequence[Report]) -> str:
    """Write the matrix of each document: every variable of the code, and what becomes of it."""
    parts = []
    for title, report in zip(titles(reports), reports, strict=True):
        if not report.matrix:
            continue
        rows = [
            (
                f"{line.variable} ({line.clause})" if line.clause else line.variable,
                line.state,
                clean(line.claim),
                clean(line.tested),
                clean(line.qualified),
                clean("; ".join(filter(None, (
                    line.why, f"{line.role}, {fragments.GRADES[line.grade]}",
                    f"{line.source_id}, {line.locator}".strip(", "))))),
            )
            for line in report.matrix
        ]  # fmt: skip
        head = f"{escape(title)}: {escape(clean(matrix_title(report)))}"
        parts.append(f"<h2>{head} <span>{state_counts(report.matrix)}</span></h2>")
        parts.append(
            '<div class="sides matrix">'
            + tables.table(
                "Every variable of the code that the tables hold",
                ("variable", "state", "procedure says", "record says", "qualified",
                 "rule or reason, kind, source"),
                rows,
            )
            + "</div>"
        )  # fmt: skip
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
    shown = "".join(
        f"<dt>{name}</dt><dd>{escape(clean(text))}</dd>" for name, text in details if text
    )
    paper = "".join(
        f'<img class="paper" src="data:image/png;base64,{b64encode(picture).decode()}"'
        ' alt="as the paper has it">'
        for picture in pictures_of(report, finding)
    )
    found = cited(store, finding.source_id, finding.locator, finding.expected)
    return (
        f'<article class="finding {finding.severity.replace(" ", "-")}">'
        f"<p><b>{'New: ' if fresh else ''}{escape(finding.severity.capitalize())}</b>{mark}</p>"
        f'<p class="what">{escape(_sentence(clean(finding.what)))}</p>'
        f"{f'<dl>{shown}</dl>' if shown else ''}{paper}{_source(finding, found) if found else ''}"
        "</article>"
    )


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _source(finding: Finding, found: Cited) -> str:
    """Write what opens: the document with its edition, the place, and the row as printed."""
    source = found.source
    number = f" ({source.document_number})" if source.document_number else ""
    said = [
        ("Document", f"{source.title}{number}"),
        ("Issuer", source.issuer or ""),
        ("Edition", source.edition or "not noted"),
        ("Place", finding.locator or "not noted"),
        ("How read", fragments.GRADES.get(finding.grade, finding.grade)),
    ]
    shown = "".join(f"<dt>{name}</dt><dd>{escape(text)}</dd>" for name, text in said if text)
    body = f"<dl>{shown}</dl>"
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
        about = f"{fragments.GRADES[row.how_read]}; {fragments.BASES[row.basis]}"
        if row.status:
            about += f"; {row.status}"
        quantity = row.quantity.replace("_", " ")
        remark = f" <span>Remark: {escape(row.remark)}.</span>" if row.remark else ""
        items.append(
            f"<li><b>{escape(quantity)} {escape(shown_span(row))}</b>"
            f"{escape(f' for {holds}') if holds else ''} ({escape(about)}).{remark}</li>"
        )
    return f'<ul class="cells">{"".join(items)}</ul>'


def _cells(rows: Iterable[TableRow]) -> str:
    items = []
    for row in rows:
        cells = "; ".join(f"{name.replace('_', ' ')} {text}" for name, text in row.cells.items())
        about = row.table.replace("_", " ")
        if row.how_read:
            about += f"; {fragments.GRADES[row.how_read]}"
        items.append(f"<li>{escape(cells)} ({escape(about)}).</li>")
    return f'<ul class="cells">{"".join(items)}</ul>'
