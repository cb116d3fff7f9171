"""Check that a test record states the results of its tests, and compare them with the tables."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from weldref.audit.case import NOTHING_SAID, Case
from weldref.audit.codes import code_in
from weldref.audit.covering import level
from weldref.audit.covering_choices import treatments
from weldref.audit.covering_metals import group_of, main_group
from weldref.audit.finding import Finding, Rule, Severity, rule, source_of
from weldref.audit.results import Result, kinds_in, results
from weldref.audit.strengths import ends, of_metal, of_thickness
from weldref.procedures.build import RECORD
from weldref.procedures.model import BaseMetal, Procedure, Range, gather

Answer = Finding | str
"""The result of a comparison: a finding, or why there is none."""

Row = dict[str, Any]

NOTHING_HELD = "the tables hold nothing to compare with"

BY_CONDITION = ("hardness", "impact")
"""Tests that ISO 15614-1 requires only for some metals, thicknesses or specifications."""


def records(case: Case) -> tuple[Procedure, ...]:
    """The test records that an audit is about: those given, or the document if it is one."""
    document = case.procedure
    kind = document.kind.text if document.kind else ""
    itself = bool(RECORD.match(kind)) or (not kind and bool(document.coupon_thickness))
    given = tuple(record for record in case.records if record is not document)
    return given or ((document,) if itself else ())


def _code(case: Case, record: Procedure) -> str:
    return case.code or code_in(" ".join(text.text for text in record.standards)) or ""


def _name(case: Case, record: Procedure) -> str:
    """The name of a record in front of a finding; empty for the document itself."""
    if record is case.procedure:
        return ""
    return f"{f'record {record.number or record.file}'.strip()}: "


@rule("record-tests")
def results_stated(case: Case, this: Rule) -> Iterator[Finding]:
    """Ask for the tests that the tables list for the code; where they list none, for any."""
    for record in records(case):
        name, code = _name(case, record), _code(case, record)
        listed, why = _asked(case, record, code)
        stated = {result.kind for result in results(record)}
        wanted = [row for row in listed if not stated & set(kinds_in(row["test"]))]
        always = [row for row in wanted if row["test"] not in BY_CONDITION]
        open_ones = [row for row in wanted if row["test"] in BY_CONDITION]
        source = (listed[0]["source_id"], listed[0]["locator"], this.grade) if listed else None
        if not record.tests or always:
            yield this.finding(
                "some" if record.tests else "none", source=source, about=f"{name}test results",
                name=name, code=code,
                wanted=_listed(always) or "the results of the tests that the code asks for",
            )  # fmt: skip
        if open_ones:
            yield this.finding(
                "on a condition", source=source, about=f"{name}tests asked for on a condition",
                name=name, code=code,
                listed="; ".join(f"{row['test']}: {row['condition']}" for row in open_ones),
            )  # fmt: skip
        if record.tests:
            number = f"{code}: how many specimens were tested, and from where, was not compared"
            yield this.finding(
                "number", source=source or ("", "", this.grade),
                about=f"{name}number of specimens", name=name,
                why=why or f"{number}: {_listed(listed)}",
            )  # fmt: skip


def _listed(tests: Iterable[Row]) -> str:
    return "; ".join(f"{row['test']}, {row['extent']}" for row in tests)


def _asked(case: Case, record: Procedure, code: str) -> tuple[Sequence[Row], str]:
    """The tests that the tables list for a record's test piece, or why none are."""
    if code != "ISO 15614-1":
        named = code or "a code that is not named"
        return [], f"which tests {named} asks of a record is not in the tables"
    piece = _test_piece(record)
    if piece is None:
        return [], f"{code}: the kind of test piece is not stated: its tests were not compared"
    rows = case.rows(
        "SELECT * FROM iso15614_1_tests WHERE level = $level AND test_piece LIKE $piece || '%' "
        "ORDER BY rowid",
        level=level(record, case.procedure),
        piece=piece,
    )
    return rows, "" if rows else f"{code}: the tables list no tests of a {piece} at its level"


def _test_piece(record: Procedure) -> str | None:
    joint = record.joint
    said = " ".join(map(str, gather(joint, "text", "kind", "weld"))).casefold()
    if joint.is_fillet:
        return "fillet weld"
    if "branch" in said:
        return "branch connection"
    if "t-joint" in said or "tee" in said.split():
        return "T-joint"
    return "butt joint" if joint.is_groove else None


@rule("test-results")
def results_compared(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare each result; what the tables cannot judge is gathered by reason."""
    for record in records(case):
        name = _name(case, record)
        by_kind: dict[str, list[Result]] = {}
        for result in results(record):
            by_kind.setdefault(result.kind, []).append(result)
        left: dict[str, dict[str, None]] = {}
        for kind, alike in by_kind.items():
            told = _Told(case, this, record, kind, alike)
            refused = list(told.refused())
            yield from refused
            called = kind or "; ".join(dict.fromkeys(result.said for result in alike))
            for answer in JUDGES[kind](told) if kind in JUDGES else (NOTHING_HELD,):
                if isinstance(answer, Finding):
                    yield answer
                elif not refused:
                    left.setdefault(answer, {})[called] = None
        for why, kinds in left.items():
            listed = ", ".join(kinds)
            yield this.finding("left", about=f"{name}{why}", name=name, kinds=listed, why=why)


@dataclass(frozen=True, slots=True)
class _Told:
    """The results of one kind of test in one record, and how a finding about them is made."""

    case: Case
    this: Rule
    record: Procedure
    kind: str
    alike: list[Result]

    @property
    def code(self) -> str:
        return _code(self.case, self.record)

    def finding(
        self, severity: Severity, what: str, row: Row | None, expected: str = "", after: str = ""
    ) -> Finding:
        """Make a finding, with what to do after unless it is in order.

        Places are given only if the record is the audited document itself.
        """
        own = self.record is self.case.procedure
        source = source_of(row) if row else ("", "", "read")
        if severity == "outside" and source[2] == "memory":
            severity = "question"
        name = _name(self.case, self.record)
        return self.this.finding(
            "result", [result.place for result in self.alike] if own else (), source=source,
            severity=severity, value="; ".join(dict.fromkeys(one.text for one in self.alike)),
            about=f"{name}{self.kind}", name=name, kind=self.kind, what=what, expected=expected,
            next_step="" if severity == "note" else after,
        )  # fmt: skip

    def refused(self) -> Iterator[Finding]:
        """What the record itself reports as failed or as a defect."""
        for result in self.alike:
            defect = "" if self.kind == "bend" else result.defect  # a bend may show a small one
            if word := result.says_bad or defect:
                yield self.finding(
                    "question",
                    f"the record itself says '{word}' ({result.said})",
                    self._crack() if "crack" in word.casefold() else None,
                    "a test that was passed",
                    "see whether it was tested again, and what the code then asks",
                )

    def _crack(self) -> Row | None:
        """What the tables hold on cracks under the code."""
        query = {
            "ISO 15614-1": "SELECT * FROM iso5817_limits WHERE standard = 'ISO 5817' "
            "AND imperfection = 'crack' AND level = 'B' AND permitted = 'false' LIMIT 1",
            "AWS D1.1": "SELECT * FROM visual_acceptance WHERE standard = 'AWS D1.1' "
            "AND criterion = 'cracks' ORDER BY edition DESC LIMIT 1",
        }.get(self.code)
        rows = self.case.rows(query) if query else []
        return rows[0] if rows else None

    def iso_rule(self, test: str) -> Row | None:
        """The limit of ISO 15614-1 for a test, if it prints a number."""
        rows = self.case.rows(
            "SELECT * FROM iso15614_1_tests WHERE test = $test AND allowed IS NOT NULL", test=test
        )
        return rows[0] if rows and self.code == "ISO 15614-1" else None

    def thickness(self) -> float | None:
        """The thickness of the test piece in metres."""
        every = (*self.record.coupon_thickness, *self.record.thickness)
        single = (one for one in every if one.single and one.low is not None)
        return next((self.case.ends(one)[0] for one in single), None)

    def not_held(self, what: str) -> str:
        """Say that the tables hold nothing of it."""
        return f"the tables hold no {what} of it{f' under {self.code}' if self.code else ''}"


def _tensile(told: _Told) -> Iterator[Answer]:
    """Compare a tensile test with the least strength of the base metal, the weaker of two."""
    found = [(numbers, unit) for r in told.alike for numbers, unit in [r.stresses()] if numbers]
    if not found:
        yield "no strength is stated with its unit (ksi, psi, MPa)"
    metals = [name for name, _ in Case(told.case.store, told.record).metals]
    thickness = told.thickness()
    written = {word for metal in told.record.base_metals for word in _words(metal)}
    for unit in dict.fromkeys(unit for _, unit in found):
        worst = min(min(numbers) for numbers, its in found if its == unit)
        spans = {
            metal: span
            for metal in metals
            if (span := ends(of_metal(told.case.store, metal, thickness, written), unit))
        }
        unheld = [metal for metal in metals if metal not in spans]
        if unheld or not metals:
            of = ", ".join(unheld) or "the base metal, which is not understood"
            yield f"the tables hold no tensile strength in {unit} of {of}"
            continue
        column = unit.casefold()
        metal, (low, high) = min(spans.items(), key=lambda pair: float(pair[1][0][column]))
        if low[column] <= worst < high[column]:
            yield (
                f"{worst:g} {unit}: {metal} has {low[column]:g} to {high[column]:g} {unit} at "
                "least, by a grade or thickness that is not stated"
            )
            continue
        reached = worst >= high[column]
        row = high if reached else low
        yield told.finding(
            "note" if reached else "outside",
            f"lowest {worst:g} {unit}; {metal} has {row[column]:g} {unit} at least"
            + ("" if row["how_read"] == "read" else " (recalled)")
            + "; that the weld has to reach it is recalled",
            row,
            f"{row[column]:g} {unit} and up",
            "see what the code accepts: where the specimen broke, a weaker filler by design",
        )


def _bend(told: _Told) -> Iterator[Answer]:
    """Compare a bend test with the largest imperfection that is allowed."""
    row = told.iso_rule("bend")
    if row is None:
        yield told.not_held("acceptance")
        return
    sizes = [
        (value.si, f"{number:g} {unit}")
        for result in told.alike
        for number, unit in result.flaws()
        if (value := told.case.value(number, Range(unit=unit), "length"))
    ]
    most = f"{row['allowed']:g} {row['allowed_unit']}"
    if sizes:
        size, printed = max(sizes)
        yield told.finding(
            "outside" if size > row["allowed"] / 1000 + 1e-9 else "note",
            f"an imperfection of {printed}; up to {most} is allowed",
            row,
            f"{row['extent']} ({row['condition']})",
            "see whether it is at a corner, and whether more were tested",
        )
    elif all(result.says_good for result in told.alike):
        yield told.finding(
            "note", f"passed, by the record's own words; up to {most} is allowed", row
        )
    else:
        yield "neither a size nor a result is understood"


def _hardness(told: _Told) -> Iterator[Answer]:
    """Compare hardness with the table of ISO 15614-1, by group and heat treatment."""
    if told.code != "ISO 15614-1":
        yield told.not_held("limit")
        return
    read = [result.vickers() for result in told.alike]
    numbers = [number for ones, _ in read for number in ones]
    scales = {scale for ones, scale in read if ones}
    groups = {group_of(told.case, metal) for metal in told.record.base_metals}
    group = groups.pop() if len(groups) == 1 else None
    if group is None:
        yield "the table has a limit for one material group on both sides, which is not stated"
        return
    treated = any(
        one.temperature or str(one.text or "-").strip(" .").casefold() not in NOTHING_SAID
        for one in treatments(told.record, after_welding=True)
    )
    state = f"for group {group}, {'' if treated else 'not '}heat treated"
    rows = told.case.rows(
        "SELECT * FROM iso15614_1_hardness WHERE material_group IN ($group, $main) "
        "AND heat_treated = $treated",
        group=group,
        main=main_group(group),
        treated="yes" if treated else "no",
    )
    if not rows:
        yield f"the table has no limit {state}"
    elif not numbers or scales != {rows[0]["unit"]}:
        yield f"no values are stated in {rows[0]['unit']}, the scale of the table"
    else:
        row, worst = rows[0], max(numbers)
        most, condition = f"at most {row['hardness_max']:g}", row["condition"]
        yield told.finding(
            "outside" if worst > row["hardness_max"] else "note",
            f"highest {worst:g} {row['unit']}; {most} {state}",
            row,
            f"{most} {row['unit']}" + (f" ({condition})" if condition else ""),
            "see preheat, heat input and heat treatment, and test again",
        )


def _impact(told: _Told) -> Iterator[Answer]:
    """Compare impact energies with those of the steel's standard at the same temperature."""
    sets = [one for result in told.alike for one in result.energies()]
    rows = _impact_rows(told)
    if not sets:
        yield "no energy is stated in J, the unit of the tables"
    elif not rows:
        yield "the tables hold no impact energy of the base metal, and none that the code asks for"
    else:
        row = max(rows, key=lambda one: float(one["energy_min"]))
        yield from (_energy(told, energies, degrees, row) for energies, degrees in sets)


def _energy(told: _Told, energies: list[float], degrees: float | None, row: Row) -> Answer:
    """Compare one set; a test colder than the standard's can pass, but not fail."""
    wanted, mean, own = float(row["energy_min"]), sum(energies) / len(energies), row["temperature"]
    one = told.iso_rule("impact")
    least = wanted * (one["allowed"] / 100 if one else 0)
    low_one = min(energies) < least - 1e-9
    low = mean < wanted - 1e-9 or low_one
    of_steel = f"{row['grade']} has {wanted:g} J at {own:g} C"
    if degrees is None or degrees > own or (low and degrees < own):
        at = "at no stated temperature" if degrees is None else f"at {degrees:g} C"
        return f"average {mean:.3g} J {at}; {of_steel}"
    return told.finding(
        "question" if low else "note",
        f"average {mean:.3g} J{f', lowest {min(energies):g} J' if len(energies) > 1 else ''} at "
        f"{degrees:g} C; {of_steel}{' (' + row['condition'] + ')' if row['condition'] else ''}: "
        "the steel's own value, not what the work asks",
        one if low_one and mean >= wanted else row,
        f"{wanted:g} J" + (f", one value down to {least:g} J" if one else ""),
        "compare with what is specified for the work",
    )


def _impact_rows(told: _Told) -> list[Row]:
    """The rows of each steel of the record by its grade as written; none where one has none."""
    size, found = told.thickness(), list[Row]()
    every = told.case.rows(
        "SELECT *, thickness_over / 1000 AS over, thickness_to / 1000 AS top, true AS takes_top, "
        "false AS takes_over FROM en_steel_impact ORDER BY rowid"
    )
    for metal in told.record.base_metals:
        words = _words(metal)
        rows = [
            row | {"grade": grade}
            for row in every
            for grade in row["grade"].split("; ")
            if grade in words and of_thickness(row, size)
        ]
        if not rows:
            return []
        found += rows
    return found


def _words(metal: BaseMetal) -> list[str]:
    """The words in which a base metal is written."""
    return re.findall(r"\w+", " ".join(map(str, gather(metal, "text", "grade"))).upper())


JUDGES: dict[str, Callable[[_Told], Iterable[Answer]]] = {
    "tensile": _tensile,
    "bend": _bend,
    # No table says what a macro section has to show; what the record reports was reported.
    "macro section": lambda told: [told.not_held("acceptance")],
    "hardness": _hardness,
    "impact": _impact,
}
"""The comparison of each kind of test; for the others the tables have nothing."""
