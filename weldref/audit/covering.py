"""Share what the comparisons with a test record need: the finding, and sizes in a code's units."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from weldref.audit.case import Case
from weldref.audit.codes import level_in
from weldref.procedures.model import Procedure, Range

SCALE = {"in": 0.0254, "mm": 0.001}
"""Metres in a unit of the codes' tables."""


State = Literal["covered", "not covered", "not stated", "you must check", "does not apply"]

STATES: dict[State, str] = {
    "covered": "the test qualifies what the procedure says",
    "not covered": "the procedure goes beyond what the test qualifies",
    "not stated": "procedure or record does not say it, so that nothing was compared",
    "you must check": "it was not compared, or not wholly: a person has to",
    "does not apply": "the rule is for other work",
}
"""What may be said of a variable of a code, and what each means."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One variable of a code: what procedure and record say of it, and what the test qualifies.

    `says` is the sentence of a comparison that was made, empty where none was; `why` the rule's
    own condition, or why nothing was compared. `wanted` and `reaches` are the ends claimed and
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


def line(case: Case, row: dict[str, Any], state: State, **more: Any) -> Line:
    """Make the line of a row of the code's rules."""
    return Line(
        code=case.code or row["standard"],
        clause=row["clause"] or "",
        variable=row["variable"],
        state=state,
        source_id=row["source_id"],
        locator=row["locator"] or "",
        grade=row["how_read"],
        **more,
    )


def covers(
    case: Case,
    row: dict[str, Any],
    covered: bool,
    what: str,
    claimed: Range | None,
    qualified: str,
    **more: Any,
) -> Iterator[Line]:
    """Say whether a record covers one claim, with the rule's own condition beside it."""
    level = f", level {row['level']}" if row["level"] else ""
    yield line(
        case,
        row,
        "covered" if covered else "not covered",
        claim=str(claimed) if claimed is not None else what,
        qualified=qualified,
        why=row["condition"] or "",
        says=f"{case.code} {row['clause']}{level}: {what}: the record qualifies {qualified}",
        place=claimed.place if claimed is not None else "",
        **more,
    )


def metres(case: Case, number: float | None, given: Range) -> float | None:
    """A number of a range in metres; None without one, or in no unit of length."""
    if number is None:
        return None
    value = case.value(number, given, "length")
    return None if value is None else value.si


def own_size(case: Case, size: float, printed: str, wanted: str) -> float:
    """Write a size of a rule in inches or millimetres, as the code's own column prints it."""
    if printed == wanted or printed not in SCALE or wanted not in SCALE:
        return size
    if printed == "in":
        twins = case.store.rows(
            "SELECT mm FROM metric_columns WHERE standard = $code AND abs(inch - $size) < 1e-6",
            {"code": case.code, "size": size},
        )
        if twins:
            return float(twins[0]["mm"])
    return size * SCALE[printed] / SCALE[wanted]


def inch_or_mm(given: Range) -> str:
    """The unit of a code's tables in which a range is compared."""
    return "mm" if given.unit in ("mm", "cm", "m") else "in"


def _tests(record: Procedure) -> str:
    return " ".join(f"{entry.name} {entry.text}" for entry in record.tests).casefold()


def has_impact(record: Procedure) -> bool:
    """Whether impact tests are among the tests of a record."""
    return any(word in _tests(record) for word in ("impact", "charpy", "toughness"))


def has_hardness(record: Procedure) -> bool:
    """Whether hardness tests are among the tests of a record."""
    return "hardness" in _tests(record)


def names_process(processes: str | None, process: str | None) -> bool:
    """Whether a rule's processes take in this one."""
    named = {part.strip() for part in (processes or "all").split(";")}
    return "all" in named or (process or "").split("-")[0] in named


def level(case: Case, record: Procedure) -> str:
    """The level of ISO 15614-1 that record or procedure names; 2 where none is."""
    texts = (*record.standards, *case.procedure.standards)
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
