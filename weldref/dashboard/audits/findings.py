"""Show the findings of an audit by file or by rule, the gravest first."""

from __future__ import annotations

from base64 import b64encode
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

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
from weldref.dashboard.markup import Markup, aside, bullets, facts, joined, p, tag, title
from weldref.dashboard.said import many, spaced
from weldref.data.store import Store
from weldref.grades import FULL
from weldref.handouts.words import sentence
from weldref.text import clean


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which findings to show; an empty field leaves none out."""

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


def summary(reports: Sequence[Report]) -> Markup:
    """Count the findings of each document."""
    names = tuple(SEVERITIES)
    rows = [
        (title, report.outcome, *map(report.counts.__getitem__, names))
        for title, report in zip(titles(reports), reports, strict=True)
    ]
    sums = {name: sum(report.counts[name] for report in reports) for name in names}
    said = ", ".join(f"{count} {name}" for name, count in sums.items() if count)
    header = ("document", "outcome", *names)
    counts = tables.table("Findings of each document", header, rows, numbers=range(2, len(header)))
    return title(many(len(reports), "document"), said or "nothing to report") + counts


def meanings() -> Markup:
    """Explain the words for how grave a finding is."""
    said = ((name.capitalize(), meaning) for name, meaning in SEVERITIES.items())
    return aside("What the words mean", facts(said, "words"))


def listed(store: Store, reports: Sequence[Report], wanted: Wanted) -> tuple[Markup, int]:
    """Write the findings that are wanted, by document and rule; return them and their number."""
    parts = []
    count = 0
    for name, report in zip(titles(reports), reports, strict=True):
        chosen = [f for f in report.findings if wanted.has(name, f)]
        if not chosen:
            continue
        count += len(chosen)
        parts.append(title(name, f"{len(chosen)} of {len(report.findings)} shown"))
        by_rule: dict[str, list[Finding]] = defaultdict(list)
        for finding in chosen:
            by_rule[finding.rule].append(finding)
        for rule, found in by_rule.items():
            asks = RULES[rule].asks if rule in RULES else ""
            parts.append(title(rule.replace("-", " ").capitalize(), asks, 3))
            parts += [_finding(store, report, finding) for finding in found]
        if report.changes is not None and report.changes.closed:
            parts.append(title("Closed since the earlier report", level=3))
            parts.append(bullets((clean(f.what) for f in report.changes.closed), "cells"))
    return joined(parts), count


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


def matrices(reports: Sequence[Report]) -> Markup:
    """Write the matrix of each document: every variable of the code, and what becomes of it."""
    parts = []
    for name, report in zip(titles(reports), reports, strict=True):
        if report.matrix:
            head = f"{name}: {clean(matrix_title(report))}"
            parts.append(title(head, state_counts(report.matrix)))
            caption = "Every variable of the code that the tables hold"
            made = tables.of(caption, report.matrix, _MATRIX)
            parts.append(tag("div", made, look="sides matrix"))
    return joined(parts)


def _finding(store: Store, report: Report, finding: Finding) -> Markup:
    new = "New: " if report.is_new(finding) else ""
    recalled = (" ", tag("span", "from memory, verify", look="recalled"))
    details = {
        "Value": finding.value,
        "Expected": finding.expected,
        "Where": "; ".join(where(place, report.fields) for place in finding.places),
        "Read": finding.machine_read,
        "Next": finding.next_step,
    }
    paper = (
        tag("img", look="paper", alt="as the paper has it",
            src=f"data:image/png;base64,{b64encode(picture).decode()}")
        for picture in pictures_of(report, finding)
    )  # fmt: skip
    found = cited(store, finding.source_id, finding.locator, finding.expected)
    return tag(
        "article",
        tag("p", tag("b", new, finding.severity.capitalize()),
            *recalled if finding.grade == "memory" else ()),
        p("what", sentence(clean(finding.what))),
        facts((name, clean(text)) for name, text in details.items()),
        *paper,
        _source(finding, found) if found else "",
        look=f"finding {finding.severity.replace(' ', '-')}",
    )  # fmt: skip


def _source(finding: Finding, found: Cited) -> Markup:
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
    body = [facts(said)]
    if found.ranges:
        body += [p("heading", "Published there"), bullets(map(_range, found.ranges), "cells")]
    if found.others:
        rows = bullets(map(_cells, found.others), "cells")
        body += [p("heading", "Rows of the tables there"), rows]
    if found.left:
        body.append(p("more", f"... and {found.left} more at that place."))
    if not (found.ranges or found.others):
        body.append(p("more", "The tables hold no row of that place: read it there."))
    return aside(f"Cited: {source.title}", *body, look="")


def _range(row: Row) -> Markup:
    holds = ", ".join(f"{LABELS[name]} {text}" for name, text in row.conditions.items())
    kind = f"{FULL[row.how_read]}; {fragments.BASES[row.basis]}"
    about = f"{f' for {holds}' if holds else ''} ({fragments.with_status(kind, row)})."
    remark = (" ", tag("span", f"Remark: {row.remark}.")) if row.remark else ()
    return joined([tag("b", f"{spaced(row.quantity)} {shown_span(row)}"), about, *remark])


def _cells(row: TableRow) -> str:
    cells = "; ".join(f"{spaced(name)} {text}" for name, text in row.cells.items())
    grade = f"; {FULL[row.how_read]}" if row.how_read else ""
    return f"{cells} ({spaced(row.table)}{grade})."
