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


@rule(
    "record-coverage",
    "coverage",
    "Does the test record cover what the procedure claims, by the rules of the chosen code?",
    "",
    "",
    "memory",
)
def record_coverage(case: Case, this: Rule) -> Iterator[Finding]:
    """Tell what the lines of the matrix come to; what was not compared is gathered by reason.

    A document that carries its own test coupon is held against that coupon's sizes.
    """
    if case.code is None:
        yield from _unheld(case, this)
        return
    own = case.record is case.procedure
    for record in case.records:
        made_to = code_in(" ".join(text.text for text in record.standards))
        if made_to is not None and made_to != case.code:
            yield this.finding(
                "question",
                f"the record names {made_to} and is compared under {case.code}",
                place=record.standards[0].place,
                value=made_to,
                expected=case.code,
                about="code of the record",
                source_id="",
                grade="read",
                next_step="see whether that code takes a test made to the other",
            )
    lines = matrix(case)
    recalled = [line for line in lines if _only_recalled(line)]
    yield from (_told(this, line) for line in lines if line.says and line not in recalled)
    if recalled:
        yield this.finding(
            "not checked",
            f"{case.code}: covered by rules that are recalled, not seen in print: "
            + "; ".join(dict.fromkeys(line.named for line in recalled)),
            grade="memory",
            next_step="verify these rules against the standard (see the matrix)",
            about="covered by recalled rules",
        )
    if own:
        return
    gathered: dict[tuple[str, Severity], dict[str, None]] = {}
    for line in lines:
        if not line.says and (line.state != "covered"):
            key = (_reason(line, bool(case.records)), _weight(line))
            gathered.setdefault(key, {})[line.named] = None
    for (reason, severity), names in gathered.items():
        yield this.finding(
            severity,
            f"{case.code}: {reason}: {'; '.join(names)}",
            grade="read",
            next_step="" if severity == "note" else "compare these by hand (see the matrix)",
            about=reason,
        )


@rule(
    "welder-coverage",
    "coverage",
    "Does the welder's certificate cover the procedure, by the standard that it names?",
    "",
    "",
    "read",
)
def welder_coverage(case: Case, this: Rule) -> Iterator[Finding]:
    """Tell what each certificate covers; what was not compared is gathered."""
    for certificate in case.welders:
        lines = welder_matrix(case.store, case.procedure, certificate)
        name = certificate.number.text if certificate.number else certificate.file
        for line in lines:
            if line.says:
                yield replace(_told(this, line), about=f"{name}: {line.variable}")
        left = [line.variable for line in lines if line.state in ("you must check", "not stated")]
        if left:
            yield this.finding(
                "not checked",
                f"{lines[0].code}, certificate {name}: not compared: {'; '.join(left)}",
                about=f"{name}: not compared",
                next_step="compare these by hand, and see that the certificate is valid",
            )


def _unheld(case: Case, this: Rule) -> Iterator[Finding]:
    """A code that the document works to and whose qualification rules are not held."""
    for text in case.procedure.standards:
        named = not_held_in(text.text)
        if named and (case.procedure.supporting_pqrs or case.records):
            yield this.finding(
                "not checked",
                f"{named}: its rules of qualification are not held: what a test covers under it "
                "was not compared",
                place=text.place,
                value=text.text,
                source_id="",
                grade="read",
                next_step="compare procedure and record by the code itself",
            )
            return


def _only_recalled(line: Line) -> bool:
    """Whether a line is covered by a rule that was only recalled: it never gives a plain pass.

    What the procedure says just as the record does is covered by any rule.
    """
    unchanged = line.claim == line.tested != ""
    return bool(line.says) and line.state == "covered" and line.grade == "memory" and not unchanged


def _told(this: Rule, line: Line) -> Finding:
    memory = line.grade == "memory"
    severity: Severity = "question"
    if line.state == "not covered":
        severity = "not covered"
    elif line.state == "covered":
        severity = "note"
    after = {
        "not covered": "have the welder tested for it, or choose another welder"
        if line.role == "welder"
        else "narrow the procedure, or qualify it by another test",
        "you must check": line.why or "compare it by hand",
    }.get(line.state, "")
    return this.finding(
        severity,
        line.says + (" (recalled rule; as tested)" if line.state == "covered" and memory else ""),
        place=line.place,
        value=line.claim,
        expected=line.qualified + (f"; the rule: {line.why}" if line.why else ""),
        source_id=line.source_id,
        locator=line.locator,
        grade=line.grade,
        next_step=after,
        about=line.named,
    )


def _reason(line: Line, tested: bool) -> str:
    if line.state == "not stated":
        return "not compared, for want of a value on one side" if tested else "not stated"
    return line.why.partition("; the rule: ")[0]


def _weight(line: Line) -> Severity:
    return "note" if line.state == "does not apply" else "not checked"
