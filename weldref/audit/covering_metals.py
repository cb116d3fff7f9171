"""Compare base metals with the test record, by P-Number or by group."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

from weldref.audit.case import Case
from weldref.audit.covering import Handler, Line, Pair, State
from weldref.audit.numbers import other_p_numbers
from weldref.procedures.model import BaseMetal, Procedure

UNKNOWN_GROUP = (
    "the group of a base metal is not known: state the group by ISO/TR 15608 of each metal"
)


def metals(pair: Pair) -> Iterator[Line]:
    """Compare the P-Numbers of the base metals."""
    tested, claimed = pair.both(_p_numbers)
    qualified = sorted(set().union(*tested.values()))
    asked = sorted(set().union(*claimed.values()))
    reach = ", ".join(qualified)
    unknown = ", ".join(sorted(name for name, found in claimed.items() if not found))
    left = "whether the record covers it was not compared"
    if unknown and qualified:
        yield pair.check(
            f"the tables give no P-Number for {unknown}: {left}",
            "the tables give it no P-Number: look it up in the code",
            claim=unknown,
            qualified=reach,
        )
    for _, stated, known in other_p_numbers(pair.case):
        numbers = f"P-No.{' and '.join(sorted(stated))}"
        yield pair.check(
            f"{numbers} is stated of a metal that is {' or '.join(sorted(known))} by the "
            f"tables: {left}",
            "metal and P-Number contradict each other: correct the one that is wrong",
            claim=numbers,
            qualified=reach,
        )
        return
    if qualified and asked:
        yield pair.covers(set(asked) <= set(qualified), f"base metals of {', '.join(asked)}", reach)


def _p_numbers(case: Case) -> dict[str, frozenset[str]]:
    return {name: case.p_numbers(name) for name, _ in case.metals}


def main_group(group: str) -> str:
    """The main group of a group: that of "1.2" is "1"."""
    return group.partition(".")[0]


def group_of(case: Case, metal: BaseMetal) -> str | None:
    """The ISO/TR 15608 group of a base metal: as stated, or by the tables of P-Numbers."""
    # A group that is stated beside a P-Number is the group of that P-Number.
    if metal.group and not metal.p_number and re.fullmatch(r"\d{1,2}(?:\.\d)?", metal.group.text):
        return metal.group.text
    for name, _ in Case(case.store, Procedure(base_metals=(metal,))).metals:
        spec, _, grade = name.partition(" ")
        rows = case.rows(
            "SELECT DISTINCT iso_15608_group AS found FROM p_numbers WHERE specification = $spec "
            "AND (grade = $grade OR $grade = '') AND iso_15608_group IS NOT NULL",
            spec=spec,
            grade=grade,
        )
        if len(rows) == 1:
            return str(rows[0]["found"])
    return None


def _by_group(compare: Callable[[Pair, list[str], list[str]], Iterator[Line]]) -> Handler:
    """Compare the groups of all base metals of record and procedure, where all are known."""

    def compared(pair: Pair) -> Iterator[Line]:
        tested, claimed = pair.both(
            lambda case: [group_of(case, metal) or "" for metal in case.procedure.base_metals]
        )
        if tested and claimed and "" in (*tested, *claimed):
            yield pair.line("you must check", why=UNKNOWN_GROUP)
        elif tested and claimed:
            yield from compare(pair, tested, claimed)

    return compared


@_by_group
def iso_groups(pair: Pair, tested: list[str], claimed: list[str]) -> Iterator[Line]:
    """Compare the groups of the metals with the pairs that the groups of the test cover.

    Within a main group the notes of the table count: a test covers lower sub-groups, or only the
    same one, or the yield strength decides, which is left to a person.
    """
    (a, b), (c, d) = (
        sorted((main_group(groups[0]), main_group(groups[-1])), key=int, reverse=True)
        for groups in (tested, claimed)
    )
    rows = pair.case.rows(
        "SELECT * FROM iso15614_1_groups WHERE (test_group_a = $a AND test_group_b = $b) "
        "OR (test_group_a = $b AND test_group_b = $a)",
        a=a,
        b=b,
    )
    covered_pairs = {one.strip() for row in rows for one in row["covers"].split(";")}
    of_pair = bool({f"{c}-{d}", f"{d}-{c}"} & covered_pairs)
    tests, claims = sorted(tested), sorted(claimed)
    within = tests == claims or _within(tests, claims)
    qualified = ", ".join(sorted(covered_pairs)) or "none that the tables hold"
    state: State = "not covered"
    if of_pair and within is not False:
        state = "covered" if within else "you must check"
    row = rows[0] | {"clause": "8.3.1", "variable": pair.variable} if rows else pair.row
    yield replace(pair, row=row).line(
        state,
        claim=", ".join(claims),
        qualified=qualified,
        why=(rows[0]["condition"] or "") if rows else "",
        says=f"ISO 15614-1: metals of groups {' and '.join(claimed)}: a test on groups "
        f"{' and '.join(tested)} covers {qualified}"
        + ("; sub-group and yield strength were not compared" if state == "you must check" else "")
        + ("; of its own group no such sub-group" if of_pair and within is False else ""),
    )


LOWER_TOO, ALONE = ("4", "5", "6", "8", "9"), ("7", "10")
"""Groups where a test covers the sub-group and lower ones, and where it covers only the same.

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


@_by_group
def aluminium_groups(pair: Pair, tested: list[str], claimed: list[str]) -> Iterator[Line]:
    """ISO 15614-2, Table 4: which groups of aluminium a test on one group covers."""
    tests, claims = sorted(set(tested)), sorted(set(claimed))
    what = f"metals of groups {' and '.join(claims)}"
    if len(tests) > 1:  # a dissimilar test covers the combination of the test alone
        yield pair.covers(claims == tests, what, f"the combination {' and '.join(tests)} alone")
        return
    rows = pair.case.rows(
        "SELECT * FROM iso15614_2_groups WHERE test_group = $group",
        group=f"{tests[0]} to {tests[0]}",
    )
    if not rows:
        return
    named = {"clause": pair.row["clause"], "variable": pair.variable, "level": None}
    found = replace(pair, row=rows[0] | named)
    similar = [part.strip() for part in found.row["similar"].split(";")]
    dissimilar = found.row["dissimilar"]
    if len(claims) == 1:
        yield found.covers(claims[0] in similar, what, ", ".join(similar))
        return
    yield replace(
        found.check(
            f"{what}: a test on group {tests[0]} covers, of dissimilar joints, {dissimilar}",
            found.row["condition"] or "",
            claim=" and ".join(claims),
            qualified=f"{', '.join(similar)}; dissimilar: {dissimilar}",
        ),
        state="you must check" if set(claims) <= {*similar, tests[0]} else "not covered",
    )
