"""Define what an audit reports: a finding, its severity, and the rule that made it.

The rules are listed in `rules.csv`, their texts in `findings.csv`.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast

if TYPE_CHECKING:
    from weldref.audit.case import Case
    from weldref.core.situation import Situation

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
    range or rule; `grade` is the evidence grade of `source_id` for it; `next_step` says what to
    do. `machine_read` says so if the finding rests on an unconfirmed value that a machine read.
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
    def places(self) -> list[str]:
        """Every place."""
        return [place for place in (self.place, *self.also_at) if place]


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
        self, key: str = "", at: Sequence[str] = (), *, source: Source | None = None, **given: Any
    ) -> Finding:
        """Make a finding of this rule.

        Parameters
        ----------
        key
            Which of the rule's texts in `findings.csv`.
        at
            The places in the file: the first, and the others with the same cause.
        source
            Source, place and grade; the rule's own unless they are given.
        **given
            The words in the text, and parts of the finding itself: value, about, and severity,
            expected or next_step if the text has none.
        """
        text = _texts()[self.name, key]
        says = {name: text[name].format(**given) for name in ("what", "expected", "next_step")}
        severity = cast(Severity, given.get("severity") or text["severity"])
        source_id, locator, grade = source or (
            "" if text["unsourced"] else self.source_id, self.locator, self.grade
        )  # fmt: skip
        next_step = says["next_step"] or given.get("next_step", "")
        if grade == "memory" and severity not in ("question", "not checked", "note"):
            if severity == "contradiction":  # a recalled source contradicts nothing
                severity = "question"
            next_step = "; ".join(filter(None, (next_step, VERIFY)))
        place, *others = at or ("",)
        return Finding(
            self.name,
            severity,
            says["what"],
            place,
            given.get("value", ""),
            says["expected"] or given.get("expected", ""),
            source_id,
            locator,
            grade,
            next_step,
            tuple(other for other in dict.fromkeys(others) if other and other != place),
            given.get("about", ""),
        )


class Alike:
    """Gather equal findings of several passes or places into one."""

    def __init__(self, this: Rule) -> None:
        self.this = this
        self.found: dict[tuple[str, tuple[tuple[str, Any], ...]], list[tuple[Any, ...]]] = {}

    def add(
        self, key: str, at: str, value: str = "", label: str = "",
        situation: Situation | None = None, **words: Any,
    ) -> None:  # fmt: skip
        """Add a place, with its value, the label of its pass and a situation of it.

        The text may name all labels and situations of a finding as `labels` and `where`; for the
        other words see `Rule.finding`.
        """
        alike = self.found.setdefault((key, tuple(words.items())), [])
        alike.append((at, value, label, situation))

    def findings(self) -> Iterator[Finding]:
        """Make the findings, in the order in which the first of each was added."""
        for (key, words), alike in self.found.items():
            places, values, labels, situations = zip(*alike, strict=True)
            yield self.this.finding(
                key, places, value=", ".join(dict.fromkeys(filter(None, values))),
                labels=", ".join(dict.fromkeys(labels)),
                where=conditions_of(filter(None, situations)), **dict(words),
            )  # fmt: skip


def conditions_of(situations: Iterable[Situation]) -> str:
    """Name several situations together: a condition in which they differ lists its values."""
    values: dict[str, dict[str, None]] = {}
    for situation in situations:
        for name, value in situation.given().items():
            shown = f"{value} thick" if name == "thickness" else value
            values.setdefault(name, {})[shown] = None
    return ", ".join(" or ".join(each) for each in values.values()) or "any situation"


Source = tuple[str, str, str]
"""Source, place in it, and evidence grade."""


def source_of(row: Mapping[str, Any]) -> Source:
    """The source of a row of the tables."""
    return row["source_id"], row["locator"] or "", row["how_read"]


def table(name: str) -> list[dict[str, str]]:
    """Read a table of this folder."""
    with (Path(__file__).parent / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def _texts() -> dict[tuple[str, str], dict[str, str]]:
    """The texts of the rules, by rule and key."""
    return {(row["rule"], row["key"]): row for row in table("findings.csv")}


@cache
def listed_rules() -> dict[str, dict[str, str]]:
    """The rows of `rules.csv` by name, in the order of the report."""
    return {row["name"]: row for row in table("rules.csv")}


RULES: dict[str, Rule] = {}
"""Every rule by name, once its family is imported."""

Body = Callable[["Case", Rule], Iterator[Finding]]


def rule(name: str) -> Callable[[Body], Body]:
    """Register the function of a rule of `rules.csv`, which yields findings of a case."""

    def register(body: Body) -> Body:
        if name in RULES:
            raise TypeError(f"{name}: two functions are for this rule")
        made = Rule(**listed_rules()[name], run=lambda case: body(case, made))
        RULES[name] = made
        return body

    return register
