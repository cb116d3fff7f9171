"""Define what every comparison with a test record uses: the line, the pair, the common forms."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

from weldref.audit.case import Case
from weldref.audit.codes import level_in
from weldref.procedures.model import Procedure, Range, gather

State = Literal["covered", "not covered", "not stated", "you must check", "does not apply"]

STATES: dict[State, str] = {
    "covered": "the test qualifies what the procedure says",
    "not covered": "the procedure goes beyond what the test qualifies",
    "not stated": "procedure or record does not say it, so that nothing was compared",
    "you must check": "it was not compared, or not wholly: a person has to",
    "does not apply": "the rule is for other work",
}
"""The results that a variable of a code can have, and what each means."""

T = TypeVar("T")
Row = dict[str, Any]
"""A row of a code's rules."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One variable of a code: what procedure and record state, and what the test qualifies.

    `says` is the sentence of a comparison, empty where nothing was compared; `why` is the rule's
    own condition, or why nothing was compared. `wanted` and `reaches` are the limits claimed and
    qualified in SI units, where there are any.
    """

    code: str
    clause: str
    variable: str
    state: State
    role: str = ""
    claim: str = ""
    tested: str = ""
    qualified: str = ""
    why: str = ""
    says: str = ""
    place: str = ""
    record: str = ""
    source_id: str = ""
    locator: str = ""
    grade: str = "read"
    edition: str = ""
    wanted: tuple[float, float] | None = None
    reaches: tuple[float, float] | None = None

    @property
    def named(self) -> str:
        """Clause and variable, as a reader looks them up."""
        return f"{self.clause} {self.variable}".strip()


@dataclass(frozen=True, slots=True)
class Pair:
    """A procedure and the test record that it is compared with, under one rule of the code."""

    case: Case
    test: Case
    row: Row

    @property
    def record(self) -> Procedure:
        """The test record."""
        return self.test.procedure

    @property
    def procedure(self) -> Procedure:
        """The procedure that claims to be covered."""
        return self.case.procedure

    @property
    def alone(self) -> bool:
        """Whether there is no test record to compare with."""
        return self.test is self.case

    @property
    def variable(self) -> str:
        """The variable of the rule, as the tables name it."""
        return str(self.row["variable"])

    @property
    def impact(self) -> bool:
        """Whether impact tests are among the tests of the record."""
        return _tested_for(self.record, "impact", "charpy", "toughness")

    @property
    def hardness(self) -> bool:
        """Whether hardness tests are among the tests of the record."""
        return _tested_for(self.record, "hardness")

    @property
    def demands(self) -> bool:
        """Whether the record has impact or hardness tests."""
        return self.impact or self.hardness

    def both(self, says: Callable[[Case], T]) -> tuple[T, T]:
        """What record and procedure say."""
        return says(self.test), says(self.case)

    def line(self, state: State, **more: Any) -> Line:
        """Make a line of the rule."""
        row = self.row
        return Line(
            code=self.case.code or row["standard"], clause=row["clause"] or "",
            variable=self.variable, state=state, source_id=row["source_id"],
            locator=row["locator"] or "", grade=row["how_read"], **more,
        )  # fmt: skip

    def other_work(self, why: str) -> Line:
        """Make the line of a rule for other work."""
        return self.line("does not apply", why=why)

    def check(self, what: str, why: str, **more: Any) -> Line:
        """Make the line of what a person has to compare, with the sentence and the reason."""
        return self.line("you must check", says=self._sentence(what), why=why, **more)

    def covers(
        self, covered: bool, what: str, qualified: str, given: Range | None = None, **more: Any
    ) -> Line:
        """Make the line of one claim that was compared, with the rule's condition."""
        level = f", level {self.row['level']}" if self.row["level"] else ""
        return self.line(
            "covered" if covered else "not covered",
            claim=what if given is None else str(given),
            qualified=qualified,
            why=self.row["condition"] or "",
            says=self._sentence(f"{what}: the record qualifies {qualified}", level),
            place="" if given is None else given.place,
            **more,
        )

    def _sentence(self, what: str, level: str = "") -> str:
        return f"{self.case.code} {self.row['clause']}{level}: {what}"


Handler = Callable[[Pair], Iterator[Line]]
"""A comparison: it yields nothing where one side states nothing; the matrix then says so."""


def each(
    says: Callable[[Case], Mapping[str, object]],
    what: str = "{}",
    qualified: Callable[[Mapping[str, Any]], str] = ", ".join,
) -> Handler:
    """Compare choices: the kind of each choice of the procedure has to be among those tested.

    `says` gives the choices by name, each with its kind; `qualified` writes those of the test.
    """

    def compare(pair: Pair) -> Iterator[Line]:
        tested, claimed = pair.both(says)
        for name, kind in claimed.items() if tested else ():
            yield pair.covers(kind in tested.values(), what.format(name), qualified(tested))

    return compare


def alike(says: Callable[[Case], bool | None], yes: str, no: str, qualified: str = "{}") -> Handler:
    """Compare what is true or false of a document, and has to be as in the test."""

    def compare(pair: Pair) -> Iterator[Line]:
        tested, claimed = pair.both(says)
        if tested is not None and claimed is not None:
            words = yes if tested else no
            yield pair.covers(tested == claimed, yes if claimed else no, qualified.format(words))

    return compare


def only_for(applies: Callable[[Pair], object], why: str) -> Callable[[Handler], Handler]:
    """Limit a comparison to the work that its rule is for."""

    def limit(compare: Handler) -> Handler:
        return lambda pair: compare(pair) if applies(pair) else iter([pair.other_work(why)])

    return limit


if_tested = only_for(lambda pair: pair.demands, "for work with impact or hardness tests")
"""Limit a comparison to work with impact or hardness tests."""


def by_a_person(_pair: Pair) -> Iterator[Line]:
    """Compare nothing: a person has to, where the rule applies."""
    yield from ()


def by_name(names: Iterable[str]) -> dict[str, object]:
    """Choices that are each a kind of their own, as `each` takes them."""
    return {name: name for name in names}


def _tested_for(record: Procedure, *words: str) -> bool:
    tests = " ".join(f"{entry.name} {entry.text}" for entry in record.tests).casefold()
    return any(word in tests for word in words)


def names_process(processes: str | None, process: str | None) -> bool:
    """Whether a rule's processes include this one."""
    named = {part.strip() for part in (processes or "all").split(";")}
    return "all" in named or (process or "").split("-")[0] in named


def level(*documents: Procedure) -> str:
    """The level of ISO 15614-1 that the first of the documents names; 2 where none is."""
    texts = (text for one in documents for text in gather(one, "standards"))
    return next(filter(None, (level_in(text.text) for text in texts)), "2")


def runs(record: Procedure) -> str | None:
    """Whether the test weld was made in one run or in several; None if it is not shown."""
    said = str(record.technique.passes_per_side or "").casefold()
    if "multi" in said or "single" in said:
        return "multi" if "multi" in said else "single"
    if len(record.passes) != 1:
        return "multi" if record.passes else None
    label = str(record.passes[0].label or "1").casefold()
    return "single" if re.fullmatch(r"(?:pass |run )?1|single.*", label) else None
