"""Share what the comparisons with a test record need: the finding, and sizes in a code's units."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from weldref.audit.case import Case
from weldref.audit.finding import Finding, Rule
from weldref.procedures.model import Procedure, Range

SCALE = {"in": 0.0254, "mm": 0.001}
"""Metres in a unit of the codes' tables."""


def covers(
    case: Case,
    this: Rule,
    row: dict[str, Any],
    covered: bool,
    what: str,
    claimed: Range | None,
    qualified: str,
) -> Iterator[Finding]:
    """Say whether a record covers one claim, with the rule's own condition beside it."""
    memory = row["how_read"] == "memory"
    level = f", level {row['level']}" if row["level"] else ""
    yield this.finding(
        # A rule that was only recalled never gives a plain pass.
        ("question" if memory else "note") if covered else "not covered",
        f"{case.code} {row['clause']}{level}: {what}: the record qualifies {qualified}"
        + ("" if not covered or not memory else " (recalled rule)"),
        place=claimed.place if claimed is not None else "",
        value=str(claimed) if claimed is not None else "",
        expected=qualified + (f"; the rule: {row['condition']}" if row["condition"] else ""),
        source_id=row["source_id"],
        locator=row["locator"] or "",
        grade=row["how_read"],
        next_step=("" if covered else "narrow the procedure, or qualify it by another test")
        or ("verify against the standard" if memory else ""),
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


def has_impact(record: Procedure) -> bool:
    """Whether impact tests are among the tests of a record."""
    tests = " ".join(f"{entry.name} {entry.text}" for entry in record.tests).casefold()
    return any(word in tests for word in ("impact", "charpy", "toughness"))


def names_process(processes: str | None, process: str | None) -> bool:
    """Whether a rule's processes take in this one."""
    named = {part.strip() for part in (processes or "all").split(";")}
    return "all" in named or (process or "").split("-")[0] in named
