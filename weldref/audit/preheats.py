"""Compare the preheat with the tables of the governing code."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from weldref.audit.case import Case
from weldref.audit.finding import Finding, Rule, conditions_of, rule
from weldref.audit.published import cite
from weldref.core.index import UNSTATABLE
from weldref.core.lookup import find
from weldref.core.situation import LABELS, Situation
from weldref.core.units import Value
from weldref.core.verdict import Reading, judge
from weldref.procedures.model import Range
from weldref.text import question, span

HALF_DEGREE = 0.5
"""Tables are printed in whole degrees of either scale."""


@rule("preheat-by-method")
def preheat_by_method(case: Case, this: Rule) -> Iterator[Finding]:
    """Judge each stated minimum at the thick end of what it covers, for each metal and process.

    Tables of a code apply if the document names that code; if it names none and they differ, the
    question is which code governs. Metals with the same result share a finding.
    """
    told: dict[Finding, list[tuple[Finding, Range, str, list[Situation]]]] = {}
    stated = list(_stated(case))
    yield from _uncompared(case, this, {minimum for minimum, _ in stated})
    for minimum, thickness in stated:
        value = case.value(minimum.low, minimum, "temperature")
        if value is None:
            continue
        said: dict[Finding, list[Situation]] = {}
        for situation in _situations(case, thickness):
            reading = _judged(case, situation, value)
            said.setdefault(_say(case, this, reading, minimum.unit), []).append(situation)
        for found, where in said.items():
            same = replace(found, expected="", locator="")
            told.setdefault(same, []).append((found, minimum, thickness, where))
    for alike in told.values():
        found, first, _, situations = alike[0]
        lead = "; ".join(f"{_metals(where)} up to {thickness} with {minimum}"
                         for _, minimum, thickness, where in alike)  # fmt: skip
        details = f" ({conditions_of(situations)})" if found.severity == "outside" else ""
        yield replace(
            found,
            what=f"preheat of {lead}: {found.what}{details}",
            place=first.place,
            also_at=tuple(dict.fromkeys(m.place for _, m, _, _ in alike if m.place != first.place)),
            value=", ".join(dict.fromkeys(str(minimum) for _, minimum, _, _ in alike)),
            expected="; ".join(dict.fromkeys(f.expected for f, _, _, _ in alike if f.expected)),
        )


@rule("tempered-after")
def tempered_after(case: Case, this: Rule) -> Iterator[Finding]:
    """9Cr-1Mo-V steel is tempered after welding."""
    for name, place in case.metals:
        treated = [one for one in case.procedure.heat_treatments
                   if one.kind.casefold() == "pwht" and one.temperature]  # fmt: skip
        if "P-No.15E" in case.kinds("material", name) and not treated:
            yield this.finding(at=[place], value=name, name=name)
            return


def _metals(where: list[Situation]) -> str:
    return ", ".join(dict.fromkeys(s.given().get("material", "any metal") for s in where))


def _situations(case: Case, thickness: str) -> Iterator[Situation]:
    """The situations of a preheat: each metal with each process and its one filler class."""
    welds = {case.process_of(weld): weld for weld in reversed(case.procedure.passes)}
    for metal, _ in case.metals:
        for process in case.processes or (None,):
            named = [name for name, _ in case.filler_classes(welds.get(process))]
            classes = [name for name in named if case.kinds("filler_class", name)]
            yield case.describe(
                {
                    "material": metal,
                    "process": process,
                    "electrode": classes[0] if len(classes) == 1 else None,
                    "thickness": thickness,
                    "code": case.work_code,
                }
            )


def _judged(case: Case, situation: Situation, value: Value) -> Reading:
    matches = list(case.of_its_code(find(case.store, situation, "preheat", case.grade)))
    # A minimum of 66 C meets a table's 150 F: both are printed in whole degrees.
    slack = value._replace(si=value.si + HALF_DEGREE)
    reading = judge(case.store, situation, "preheat", value, case.grade, matches)
    if reading.verdict != "low":
        return reading
    kept = judge(case.store, situation, "preheat", slack, case.grade, matches)
    return kept if kept.verdict == "inside" else reading


def _say(case: Case, this: Rule, reading: Reading, unit: str) -> Finding:
    """Make the finding about a minimum, without metal, thickness and place."""
    rows = reading.rows or reading.general or reading.conditional
    grade = reading.grade or "memory"
    cited = cite(case, rows, unit, grade)
    if reading.verdict in ("low", "high"):
        printed = " or ".join(dict.fromkeys(span(row) for row in rows if row.verdict != "inside"))
        way = "raise" if reading.verdict == "low" else "lower"
        return this.finding("outside", document=rows[0].source, printed=printed, way=way, **cited)
    if reading.verdict == "inside":
        return this.finding("inside", **cited)
    if reading.verdict == "depends" and reading.ask is not None:
        condition = reading.ask.condition
        return this.finding(
            "which code" if condition == "scope" else "open",
            severity="not checked" if condition in UNSTATABLE else "question",
            condition=LABELS[condition],
            ask=question(reading.ask, reading.unit),
            **cited,
        )
    if reading.verdict == "sources differ":
        return this.finding("differ", **cited)
    recalled = reading.from_memory
    if recalled is not None and recalled.verdict == "inside":
        return this.finding("recalled", **cite(case, recalled.rows, unit, "memory"))
    if recalled is not None:
        every = (*recalled.rows, *recalled.general, *recalled.conditional)
        if less := [row for row in every if row.verdict == "low"]:
            under = " under a code that is not named" if less[0].special else ""
            return this.finding("less", under=under, **cite(case, less, unit, "memory"))
    return this.finding("none", named=" of the code named" if case.procedure.standards else "")


def _uncompared(case: Case, this: Rule, compared: set[Range]) -> Iterator[Finding]:
    """Report each minimum that was not compared, for want of a thickness, a unit or a metal."""
    procedure = case.procedure
    steps = [one.minimum for one in procedure.preheat_by_thickness]
    every = steps or [one for one in procedure.preheat_min if one.low is not None]
    left = [one for one in every if one not in compared]
    why = "no greatest thickness is stated for it"
    if every and not case.metals:
        left, why = every, "the base metal is not known"
    if left:
        listed = ", ".join(dict.fromkeys(map(str, left)))
        yield this.finding(
            "uncompared", [one.place for one in left], value=", ".join(map(str, left)),
            listed=listed, why=why,
        )  # fmt: skip


def _stated(case: Case) -> Iterator[tuple[Range, str]]:
    """Each stated minimum with the greatest thickness that it covers."""
    procedure = case.procedure
    for step in procedure.preheat_by_thickness:
        if step.thickness.high is not None:
            yield step.minimum, f"{step.thickness.high:g} {step.thickness.unit}"
    if procedure.preheat_by_thickness:
        return
    for minimum in procedure.preheat_min:
        for thickness in procedure.thickness:
            if thickness.high is not None and thickness.unit in ("in", "mm"):
                yield minimum, f"{thickness.high:g} {thickness.unit}"
