"""Compare base metals with the test record, by P-Number or by group."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from weldref.audit.case import Case
from weldref.audit.covering import covers
from weldref.audit.finding import Finding, Rule
from weldref.procedures.model import BaseMetal, Procedure


def metals(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    """Compare the P-Numbers of the base metals."""
    other = Case(case.store, record)

    def groups(one: Case) -> dict[str, set[str]]:
        return {
            name: {
                kind.split(",")[0]
                for kind in one.kinds("material", name)
                if kind.startswith("P-No.")
            }
            for name, _ in one.metals
        }

    tested, claimed = groups(other), groups(case)
    qualified = sorted(set().union(*tested.values()))
    asked = sorted(set().union(*claimed.values()))
    unknown = sorted(name for name, found in claimed.items() if not found)
    if unknown and qualified:
        yield this.finding(
            "question",
            f"{case.code} {row['clause']}: the tables give no P-Number for {', '.join(unknown)}: "
            "whether the record covers it was not compared",
            value=", ".join(unknown),
            expected=", ".join(qualified),
            source_id=row["source_id"],
            locator=row["locator"] or "",
            grade=row["how_read"],
            next_step="look the P-Number up in the code",
        )
    if qualified and asked:
        what = f"base metals of {', '.join(asked)}"
        covered = set(asked) <= set(qualified)
        yield from covers(case, this, row, covered, what, None, ", ".join(qualified))


def main_group(group: str) -> str:
    """The main group of a group: "1.2" is of group 1."""
    return group.partition(".")[0]


def group_of(case: Case, metal: BaseMetal) -> str | None:
    """The ISO/TR 15608 group of a base metal: as stated, or by the tables of P-Numbers."""
    # Beside a P-Number a group is that of the P-Number.
    if metal.group and not metal.p_number and re.fullmatch(r"\d{1,2}(?:\.\d)?", metal.group.text):
        return metal.group.text
    for name, _ in Case(case.store, Procedure(base_metals=(metal,))).metals:
        spec, _, grade = name.partition(" ")
        rows = case.store.rows(
            "SELECT iso_15608_group AS found FROM p_numbers WHERE specification = $spec "
            "AND (grade = $grade OR $grade = '') AND iso_15608_group IS NOT NULL",
            {"spec": spec, "grade": grade},
        )
        if len({row["found"] for row in rows}) == 1:
            return str(rows[0]["found"])
    return None


def iso_groups(case: Case, record: Procedure, this: Rule) -> Iterator[Finding]:
    """Compare the groups of the metals with the pairs that the groups of the test cover."""
    if not record.base_metals or not case.procedure.base_metals:
        return
    tested = [group_of(case, metal) for metal in record.base_metals]
    claimed = [group_of(case, metal) for metal in case.procedure.base_metals]
    if None in tested or None in claimed:
        yield this.finding(
            "not checked",
            "ISO 15614-1 8.3.1: the group of a base metal is not known: whether the record covers "
            "the metals was not compared",
            grade="read",
            next_step="state the group by ISO/TR 15608 of each metal",
        )
        return
    (a, b), (c, d) = (
        sorted((main_group(groups[0] or ""), main_group(groups[-1] or "")), key=int, reverse=True)
        for groups in (tested, claimed)
    )
    rows = case.store.rows(
        "SELECT * FROM iso15614_1_groups WHERE (test_group_a = $a AND test_group_b = $b) "
        "OR (test_group_a = $b AND test_group_b = $a)",
        {"a": a, "b": b},
    )
    pairs = {pair.strip() for row in rows for pair in row["covers"].split(";")}
    covered = bool({f"{c}-{d}", f"{d}-{c}"} & pairs)
    exact = sorted(map(str, tested)) == sorted(map(str, claimed))
    row = rows[0] if rows else None
    yield this.finding(
        ("note" if exact else "question") if covered else "not covered",
        f"ISO 15614-1: metals of groups {' and '.join(map(str, claimed))}: a test on groups "
        f"{' and '.join(map(str, tested))} covers "
        + (", ".join(sorted(pairs)) or "none that the tables hold")
        + ("" if exact or not covered else "; sub-group and yield strength were not compared"),
        expected=(row["condition"] or "") if row else "",
        source_id=row["source_id"] if row else "",
        locator=(row["locator"] or "") if row else "",
        grade=row["how_read"] if row else "read",
        next_step="compare sub-group and yield strength by hand"
        if covered and not exact
        else ""
        if covered
        else "narrow the procedure, or qualify it by another test",
    )
