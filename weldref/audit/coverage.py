"""Check that the test record covers the procedure under the chosen code."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from weldref.audit.case import Case
from weldref.audit.codes import code_in, not_held_in
from weldref.audit.covering import Line
from weldref.audit.finding import Finding, Rule, Severity, rule
from weldref.audit.matrix import matrix
from weldref.audit.welder import welder_matrix

READ = ("", "", "read")
"""The source of what is said about the document itself."""


@rule("record-coverage")
def record_coverage(case: Case, this: Rule) -> Iterator[Finding]:
    """Report the lines of the matrix; what was not compared is gathered by reason.

    A document with its own test coupon is compared with the sizes of that coupon.
    """
    if case.code is None:
        yield from _unheld(case, this)
        return
    own = bool(case.records) and case.records[0] is case.procedure
    for record in case.records:
        made_to = code_in(" ".join(text.text for text in record.standards))
        if made_to is not None and made_to != case.code:
            yield this.finding(
                "other code", [record.standards[0].place], source=READ, value=made_to,
                about="code of the record", named=made_to, code=case.code,
            )  # fmt: skip
    lines = matrix(case)
    recalled = [line for line in lines if _only_recalled(line)]
    yield from (_told(this, line) for line in lines if line.says and line not in recalled)
    if recalled:
        named = "; ".join(dict.fromkeys(line.named for line in recalled))
        about = "covered by recalled rules"
        yield this.finding("recalled", about=about, code=case.code, listed=named)
    if own:
        return
    gathered: dict[tuple[str, str], dict[str, None]] = {}
    unsaid = "not compared, for want of a value on one side" if case.records else "not stated"
    for line in lines:
        if not line.says and line.state != "covered":
            text = "other work" if line.state == "does not apply" else "left"
            why = unsaid if line.state == "not stated" else line.why.partition("; the rule: ")[0]
            gathered.setdefault((why, text), {})[line.named] = None
    for (reason, text), names in gathered.items():
        listed = "; ".join(names)
        yield this.finding(
            text, source=READ, about=reason, code=case.code, reason=reason, listed=listed
        )


@rule("welder-coverage")
def welder_coverage(case: Case, this: Rule) -> Iterator[Finding]:
    """Report what each certificate covers; what was not compared is gathered."""
    for certificate in case.welders:
        lines = welder_matrix(case.store, case.procedure, certificate)
        name = certificate.name
        for line in lines:
            if line.says:
                yield replace(_told(this, line), about=f"{name}: {line.variable}")
        left = [line.variable for line in lines if line.state in ("you must check", "not stated")]
        if left:
            yield this.finding(
                "left", about=f"{name}: not compared", code=lines[0].code, name=name,
                listed="; ".join(left),
            )  # fmt: skip


def _unheld(case: Case, this: Rule) -> Iterator[Finding]:
    """Report a code that the document works to, without qualification rules in the tables."""
    for text in case.procedure.standards:
        named = not_held_in(text.text)
        if named and (case.procedure.supporting_pqrs or case.records):
            yield this.finding("unheld", [text.place], source=READ, value=text.text, named=named)
            return


def _only_recalled(line: Line) -> bool:
    """Whether a line is covered only by a recalled rule, which never gives a plain pass.

    What the procedure states exactly as the record does is covered by any rule.
    """
    unchanged = line.claim == line.tested != ""
    return bool(line.says) and line.state == "covered" and line.grade == "memory" and not unchanged


def _told(this: Rule, line: Line) -> Finding:
    severity: Severity = "question"
    after = line.why or "compare it by hand" if line.state == "you must check" else ""
    says = line.says
    if line.state == "not covered":
        severity, after = "not covered", "narrow the procedure, or qualify it by another test"
        if line.role == "welder":
            after = "have the welder tested for it, or choose another welder"
    elif line.state == "covered":
        severity = "note"
        says += " (recalled rule; as tested)" if line.grade == "memory" else ""
    return this.finding(
        "line",
        [line.place],
        source=(line.source_id, line.locator, line.grade),
        severity=severity,
        value=line.claim,
        expected=line.qualified + (f"; the rule: {line.why}" if line.why else ""),
        next_step=after,
        about=line.named,
        says=says,
    )
