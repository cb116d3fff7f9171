"""Compare base metals with the test record, by P-Number or by group."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from weldref.audit.case import Case
from weldref.audit.covering import Line, State, covers, line
from weldref.procedures.model import BaseMetal, Procedure


def metals(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
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
        yield line(
            case,
            row,
            "you must check",
            claim=", ".join(unknown),
            qualified=", ".join(qualified),
            why="the tables give it no P-Number: look it up in the code",
            says=f"{case.code} {row['clause']}: the tables give no P-Number for "
            f"{', '.join(unknown)}: whether the record covers it was not compared",
        )
    if qualified and asked:
        what = f"base metals of {', '.join(asked)}"
        covered = set(asked) <= set(qualified)
        yield from covers(case, row, covered, what, None, ", ".join(qualified))


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


def iso_groups(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare the groups of the metals with the pairs that the groups of the test cover.

    Within a main group the notes of the table count: lower sub-groups, or the same alone, or the
    yield strength, which is asked about.
    """
    if not record.base_metals or not case.procedure.base_metals:
        return
    tested = [group_of(case, metal) for metal in record.base_metals]
    claimed = [group_of(case, metal) for metal in case.procedure.base_metals]
    if None in tested or None in claimed:
        yield _group_unknown(case, row)
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
    of_pair = bool({f"{c}-{d}", f"{d}-{c}"} & pairs)
    tests, claims = sorted(map(str, tested)), sorted(map(str, claimed))
    exact = tests == claims
    within = exact or _within(tests, claims)
    shown = f"metals of groups {' and '.join(map(str, claimed))}"
    qualified = ", ".join(sorted(pairs)) or "none that the tables hold"
    state: State = "not covered"
    if of_pair and within is not False:
        state = "covered" if within else "you must check"
    yield replace(
        line(
            case,
            rows[0] | {"clause": "8.3.1", "variable": row["variable"]} if rows else row,
            state,
            claim=", ".join(claims),
            qualified=qualified,
            why=(rows[0]["condition"] or "") if rows else "",
        ),
        says=f"ISO 15614-1: {shown}: a test on groups {' and '.join(map(str, tested))} covers "
        f"{qualified}"
        + ("; sub-group and yield strength were not compared" if state == "you must check" else "")
        + ("; of its own group no such sub-group" if of_pair and within is False else ""),
    )


LOWER_TOO, ALONE = ("4", "5", "6", "8", "9"), ("7", "10")
"""Groups of which a test covers the sub-group and lower ones, and the same sub-group alone.

ISO 15614-1:2017, Table 5, notes b and c.
"""


def _within(tests: list[str], claims: list[str]) -> bool | None:
    """Whether sub-groups of the same main groups are covered; None where strength decides."""
    if [main_group(one) for one in tests] != [main_group(one) for one in claims]:
        return None
    pairs = [(t, c) for t, c in zip(tests, claims, strict=True) if t != c]
    if any(main_group(t) not in (*LOWER_TOO, *ALONE) or "." not in t or "." not in c
           for t, c in pairs):  # fmt: skip
        return None
    return all(main_group(t) in LOWER_TOO and float(c) <= float(t) for t, c in pairs)


def aluminium_groups(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """ISO 15614-2, Table 4: which groups of aluminium a test on one group covers."""
    if not record.base_metals or not case.procedure.base_metals:
        return
    tested = [group_of(case, metal) for metal in record.base_metals]
    claimed = [group_of(case, metal) for metal in case.procedure.base_metals]
    if None in tested or None in claimed:
        yield _group_unknown(case, row)
        return
    tests, claims = sorted(set(map(str, tested))), sorted(set(map(str, claimed)))
    if len(tests) > 1:  # a dissimilar test covers the combination of the test alone
        yield from covers(
            case, row, claims == tests, f"metals of groups {' and '.join(claims)}", None,
            f"the combination {' and '.join(tests)} alone",
        )  # fmt: skip
        return
    rows = case.store.rows(
        "SELECT * FROM iso15614_2_groups WHERE test_group = $group",
        {"group": f"{tests[0]} to {tests[0]}"},
    )
    if not rows:
        return
    found = rows[0] | {"clause": row["clause"], "variable": row["variable"]}
    similar = [part.strip() for part in found["similar"].split(";")]
    what = f"metals of groups {' and '.join(claims)}"
    if len(claims) == 1:
        covered = claims[0] in similar
        yield from covers(case, found | {"level": None}, covered, what, None, ", ".join(similar))
        return
    yield line(
        case,
        found,
        "you must check" if set(claims) <= {*similar, tests[0]} else "not covered",
        claim=" and ".join(claims),
        qualified=f"{', '.join(similar)}; dissimilar: {found['dissimilar']}",
        why=found["condition"] or "",
        says=f"{case.code} {found['clause']}: {what}: a test on group {tests[0]} covers, of "
        f"dissimilar joints, {found['dissimilar']}",
    )


def _group_unknown(case: Case, row: dict[str, Any]) -> Line:
    return line(
        case,
        row,
        "you must check",
        why="the group of a base metal is not known: state the group by ISO/TR 15608 of each metal",
    )
