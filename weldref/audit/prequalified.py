"""Compare a document with what AWS D1.1 requires of a prequalified procedure.

A prequalified procedure has no test record, so each line of its matrix is a requirement. Where a
rule of the audit checks the requirement, the line says what that rule found.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from weldref.audit.case import Case
from weldref.audit.covering import Line, State
from weldref.audit.finding import RULES
from weldref.audit.variables import said
from weldref.procedures.model import gather

COMPARED = (
    # requirement, the rule that checks it, the variable whose statement is shown
    ("process", "prequalified-process", "welding process"),
    ("strength of the filler metal", "filler-strength", "filler designation"),
    ("preheat", "preheat-by-method", "preheat"),
    ("minimum size of a fillet", "fillet-and-thickness", "fillet size"),
    ("progression in vertical positions", "progression", "position"),
    ("settings within published ranges", "published-range", "i and e range"),
)


def prequalified(case: Case) -> Iterator[Line]:
    """The lines of a procedure that claims to be prequalified."""
    for name, rule, variable in COMPARED:
        told, place = said(case, variable)
        if name.endswith("fillet") and case.procedure.joint.is_groove:
            continue
        found = list(RULES[rule].run(case)) if told else []
        grave = [one for one in found if one.severity not in ("note", "question", "not checked")]
        open_ = [one for one in found if one.severity in ("question", "not checked")]
        state: State = "not covered" if grave else "you must check" if open_ else "covered"
        first = next(iter(grave or open_ or found), None)
        cited = first or RULES[rule]
        why = f"the rule {rule}: {first.what}" if first else f"the rule {rule} found nothing"
        yield Line(
            code="AWS D1.1", clause="prequalified", variable=name, role="essential",
            state=state if told else "not stated", claim=told, place=place,
            qualified=first.expected if first else "",
            why=why if told else "the procedure does not say it",
            source_id=cited.source_id, locator=cited.locator, grade=cited.grade,
        )  # fmt: skip
    yield from _details(case)
    for row in case.rows("SELECT * FROM prequalified_notes ORDER BY rowid"):
        yield _statement(row, row["topic"], f"not compared here; the rule: {row['statement']}")


def _details(case: Case) -> Iterator[Line]:
    """The joint designations that the document names, each with its printed detail."""
    told = " ".join(map(str, gather(case.procedure.joint, "text", "preparation", "kind")))
    rows = case.rows("SELECT * FROM prequalified_joints ORDER BY rowid")
    named = [
        row for row in rows
        if re.search(rf"(?<![\w-]){re.escape(row['designation'])}(?![\w-])", told)
    ]  # fmt: skip
    for row in named:
        shown = ("joint", "thickness", "root_opening_rule", "groove_angle", "positions")
        detail = "; ".join(f"{name.replace('_', ' ')} {row[name]}" for name in shown if row[name])
        yield _statement(row, f"joint {row['designation']}", f"compare with the detail: {detail}",
                         told)  # fmt: skip
    if not named and rows:
        listed = ", ".join(dict.fromkeys(row["designation"] for row in rows))
        why = f"the document names no designation that the tables hold: {listed}"
        yield _statement(rows[0], "joint detail", why, told)


def _statement(row: dict[str, Any], variable: str, why: str, claim: str = "") -> Line:
    return Line(
        code="AWS D1.1", clause="prequalified", variable=variable, state="you must check",
        role="essential" if claim else "statement", claim=claim, why=why,
        source_id=row["source_id"], locator=row["locator"] or "", grade=row["how_read"],
    )  # fmt: skip
