"""Define what an audit reports: a finding, its severity, and the rule that made it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from weldref.audit.case import Case

Severity = Literal[
    "contradiction", "outside", "not covered", "missing", "question", "not checked", "note"
]

SEVERITIES: dict[Severity, str] = {
    "contradiction": "the document contradicts itself, or states what cannot be",
    "outside": "a value is outside what is published",
    "not covered": "the test record does not cover it under the chosen code",
    "missing": "the chosen standard requires it, and it is not stated",
    "question": "a qualified person should look: sources differ, or a slip is suspected",
    "not checked": "not understood, or nothing to compare it with: check it by hand",
    "note": "for information: nothing to correct",
}
"""The severities, gravest first, and what each means."""

VERIFY = "verify against the standard: this rests on memory"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing an auditor should know.

    `place` points into the file, `also_at` to the other places with the same cause; `about` names
    the subject where no place does (a variable of a code, a rule of set-ups); `expected` is the
    range or rule; `grade` is the evidence grade of `source_id` for it; `next_step` says
    what to do. `machine_read` says so where it rests on what a machine read and nobody confirmed.
    """

    rule: str
    severity: Severity
    what: str
    place: str
    value: str
    expected: str
    source_id: str
    locator: str
    grade: str
    next_step: str
    also_at: tuple[str, ...] = ()
    about: str = ""
    machine_read: str = ""

    @property
    def places(self) -> str:
        """Every place, as a reader is shown them."""
        return "; ".join(filter(None, (self.place, *self.also_at)))


@dataclass(frozen=True, slots=True)
class Rule:
    """A named rule: what it asks, and the source it rests on."""

    name: str
    family: str
    asks: str
    source_id: str
    locator: str
    grade: str
    run: Callable[[Case], Iterator[Finding]]

    def finding(
        self,
        severity: Severity,
        what: str,
        *,
        place: str = "",
        also_at: Iterable[str] = (),
        value: str = "",
        expected: str = "",
        source_id: str | None = None,
        locator: str | None = None,
        grade: str | None = None,
        next_step: str = "",
        about: str = "",
    ) -> Finding:
        """Make a finding of this rule; the rule's own source unless another is named."""
        used = grade or self.grade
        others = tuple(p for p in dict.fromkeys(also_at) if p and p != place)
        if used == "memory" and severity not in ("question", "not checked", "note"):
            if severity == "contradiction":  # what is only recalled contradicts nothing
                severity = "question"
            next_step = "; ".join(filter(None, (next_step, VERIFY)))
        return Finding(
            self.name,
            severity,
            what,
            place,
            value,
            expected,
            source_id if source_id is not None else self.source_id,
            locator if locator is not None else self.locator,
            used,
            next_step,
            others,
            about,
        )


RULES: dict[str, Rule] = {}
"""Every rule by name, in the order in which the families are imported."""

Body = Callable[["Case", Rule], Iterator[Finding]]


def rule(
    name: str, family: str, asks: str, source_id: str, locator: str, grade: str
) -> Callable[[Body], Body]:
    """Register a rule. The function gets the case and the rule, and yields findings.

    Parameters
    ----------
    name
        As reports show it, in kebab-case.
    family
        The part of the report that it belongs to.
    asks
        The question that the rule asks, as a sentence.
    source_id, locator, grade
        Where the rule itself stands; a finding may name a more exact row.
    """

    def register(body: Body) -> Body:
        made: Rule

        def run(case: Case) -> Iterator[Finding]:
            return body(case, made)

        if name in RULES:
            raise TypeError(f"{name}: two rules have this name")
        made = Rule(name, family, asks, source_id, locator, grade, run)
        RULES[name] = made
        return body

    return register
