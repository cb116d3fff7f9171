"""Check that the test record covers the procedure under the chosen code."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from weldref.audit import covering_metals, covering_settings, covering_sizes
from weldref.audit.case import Case
from weldref.audit.codes import code_in, level_in
from weldref.audit.covering import names_process
from weldref.audit.finding import Finding, Rule, rule
from weldref.procedures.model import Procedure

_THICKNESS = re.compile(r"base metal thickness|plate thickness cjp|thickness t(?:, \w+[ -]run)?")
Handler = Callable[[Case, Procedure, Rule, dict[str, Any]], Iterator[Finding]]


@rule(
    "record-coverage",
    "coverage",
    "Does the test record cover what the procedure claims, by the rules of the chosen code?",
    "",
    "",
    "memory",
)
def record_coverage(case: Case, this: Rule) -> Iterator[Finding]:
    """Walk the code's rules that the tables hold, and say which were not looked at, and why.

    A document that carries its own test coupon is held against that coupon's sizes.
    """
    if case.record is None or case.code is None:
        return
    own = case.record is case.procedure
    made_to = code_in(" ".join(text.text for text in case.record.standards))
    if made_to is not None and made_to != case.code:
        yield this.finding(
            "question",
            f"the record names {made_to} and is compared under {case.code}",
            place=case.record.standards[0].place,
            value=made_to,
            expected=case.code,
            source_id="",
            grade="read",
            next_step="see whether that code takes a test made to the other",
        )
    rows = case.store.rows(
        "SELECT * FROM qualification_rules WHERE standard = $code ORDER BY rowid",
        {"code": case.code},
    )
    skipped: dict[Skipped, dict[str, None]] = {}
    compared: set[str] = set()
    said: set[tuple[str, str]] = set()
    for row in rows:
        if not _for_process(case, row["process"]):
            continue
        compare = handler(row)
        if own and compare not in (
            covering_sizes.thickness,
            covering_sizes.impact,
            covering_sizes.deposit,
        ):
            continue
        named = f"{row['clause'] or ''} {row['variable']}".strip()
        why = _why_not(case, case.record, row, compare)
        if why is None and compare is not None:
            found = list(compare(case, case.record, this, row))
            # Two rows may state one rule: it is said once.
            yield from (f for f in found if (f.severity, f.what) not in said)
            said |= {(f.severity, f.what) for f in found}
            compared |= {named} if found else set()
            why = None if found else Skipped("not compared, for want of a value on one side")
        if why is not None:
            skipped.setdefault(why, {})[named] = None
    if case.code == "ISO 15614-1" and not own:
        yield from covering_metals.iso_groups(case, case.record, this)
    if own:
        return
    yield this.finding(
        "not checked",
        f"{case.code}: not compared here: position, progression, polarity and filler metal class",
        grade="read",
        next_step="compare these by hand, and verify every rule against the standard",
    )
    for why, names in skipped.items():
        left = [name for name in names if name not in compared]
        if left:
            yield this.finding(
                "not checked" if why.applies else "note",
                f"{case.code}: {why.reason}: {'; '.join(left)}",
                grade="read",
                next_step="compare these by hand" if why.applies else "",
            )


@dataclass(frozen=True, slots=True)
class Skipped:
    """Why a rule was not compared; `applies` tells whether somebody else has to."""

    reason: str
    applies: bool = True


def _why_not(
    case: Case, record: Procedure, row: dict[str, Any], compare: Handler | None
) -> Skipped | None:
    """Say why a rule is not compared; None if it can be."""
    level, runs = _level(case, record), _runs(record)
    welds = case.procedure.passes
    modes = {case.term("transfer_mode", m.text) for w in welds for m in case.transfer_modes(w)}
    mode, work = row["transfer_mode"], row["application"]
    if row["level"] and row["level"] != level:
        return Skipped(f"for level {row['level']} only", applies=False)
    if row["variable"].startswith("welder"):
        return Skipped("for tests of welders only", applies=False)
    if mode and modes and mode not in modes:
        return Skipped(f"for {mode} transfer only", applies=False)
    if mode and not modes:
        return Skipped(f"not compared, for {mode} transfer, and none is stated")
    if work and not row["level"] and not mode:
        return Skipped(f"not compared, for one kind of work ({work})")
    if row["runs"] and runs is None:
        return Skipped("not compared, the record does not show in how many runs it was welded")
    if row["runs"] and row["runs"] != runs:
        return Skipped(f"for tests in {row['runs']} run only", applies=False)
    if row["status"]:
        return Skipped(f"not compared, the print is {row['status']}")
    return None if compare is not None else Skipped("not compared here")


def _level(case: Case, record: Procedure) -> str:
    """The level of ISO 15614-1 that record or procedure names; 2 where none is."""
    texts = (*record.standards, *case.procedure.standards)
    return next(filter(None, (level_in(text.text) for text in texts)), "2")


def _runs(record: Procedure) -> str | None:
    """Whether the test weld was made in one run or in several; None if it is not shown."""
    said = str(record.technique.passes_per_side or "").casefold()
    if "multi" in said or "single" in said:
        return "multi" if "multi" in said else "single"
    if len(record.passes) != 1:
        return "multi" if record.passes else None
    label = str(record.passes[0].label or "1").casefold()
    return "single" if re.fullmatch(r"(?:pass |run )?1|single.*", label) else None


def _for_process(case: Case, processes: str | None) -> bool:
    return any(names_process(processes, process) for process in case.processes or (None,))


def handler(row: dict[str, Any]) -> Handler | None:
    """The comparison that a rule's row asks for; None where there is none yet."""
    variable = row["variable"].casefold()
    kind = row["rule_kind"]
    if kind in ("table", "range_factor") and _THICKNESS.fullmatch(variable):
        return covering_sizes.thickness
    if variable == "base metal minimum with impact":
        return covering_sizes.impact
    if (
        kind == "range_factor"
        and row["upper"]
        and ("deposited thickness" in variable or variable == "deposit s per process")
    ):
        return covering_sizes.deposit
    if variable == "fillet and pjp from cjp test" or (
        variable == "fillet size" and row["level"] == "1"
    ):
        return covering_sizes.any_fillet
    if kind == "max_decrease" and variable == "preheat":
        return covering_settings.preheat
    if kind == "max_increase" and row["variable"] in covering_settings.INTERPASS:
        return covering_settings.interpass
    if kind == "range_percent" and variable in covering_settings.MEASURES:
        return covering_settings.percent
    if kind == "range_percent" and row["variable"] in covering_settings.SHARES:
        return covering_settings.share
    if (
        kind == "max_increase"
        and variable == "heat input"
        and not (row["application"] and not row["level"])
    ):
        return covering_settings.heat_input
    if kind == "max_increase" and variable in ("filler diameter", "electrode size"):
        return covering_sizes.diameter
    if variable == "p-number":
        return covering_metals.metals
    if variable == "transfer mode":
        return covering_settings.transfer
    if variable == "gas composition":
        return covering_settings.gas
    return None
