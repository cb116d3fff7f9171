"""Is the preheat at least what the tables of the governing code ask for?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from weldref.audit.case import Case
from weldref.audit.finding import Finding, Rule, rule
from weldref.audit.published import cite, joined
from weldref.core.lookup import find
from weldref.core.situation import Situation
from weldref.core.units import Value
from weldref.core.verdict import Reading, judge
from weldref.procedures.model import Range
from weldref.text import question, span

HALF_DEGREE = 0.5
"""Tables are printed in whole degrees of either scale."""


@rule(
    "preheat-by-method",
    "preheat",
    "Is the minimum preheat at least what the governing code's tables ask for at that thickness?",
    "",
    "",
    "read",
)
def preheat_by_method(case: Case, this: Rule) -> Iterator[Finding]:
    """Judge each stated minimum at the thick end of what it covers, for each metal and process.

    Tables of a code speak where the document names that code; where it names none and they
    differ, the question is which code governs. Metals of which the same is said share a finding.
    """
    for minimum, thickness in _stated(case):
        value = case.value(minimum.low, minimum, "temperature") if minimum.low is not None else None
        if value is None:
            continue
        said: dict[Finding, list[Situation]] = {}
        for situation in _situations(case, thickness):
            reading = _judged(case, situation, value)
            said.setdefault(_say(case, this, minimum, reading), []).append(situation)
        for found, where in said.items():
            metals = dict.fromkeys(s.given().get("material", "any metal") for s in where)
            lead = f"preheat {minimum} for {', '.join(metals)}, {thickness}: "
            details = f" ({joined(where)})" if found.severity == "outside" else ""
            yield replace(found, what=f"{lead}{found.what}{details}")


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
    slack = replace(value, si=value.si + HALF_DEGREE)
    reading = judge(case.store, situation, "preheat", value, case.grade, matches)
    if reading.verdict != "low":
        return reading
    kept = judge(case.store, situation, "preheat", slack, case.grade, matches)
    return kept if kept.verdict == "inside" else reading


def _say(case: Case, this: Rule, minimum: Range, reading: Reading) -> Finding:
    """Say what a minimum was judged to be, without metal and thickness."""
    place, value = minimum.place, str(minimum)
    rows = reading.rows or reading.general or reading.conditional
    grade = reading.grade or "memory"
    if reading.verdict in ("low", "high"):
        printed = " or ".join(dict.fromkeys(span(row) for row in rows if row.verdict != "inside"))
        after = "raise the preheat, or show why this table does not govern"
        if reading.verdict == "high":
            after = "lower the preheat, or show why this table does not govern"
        return this.finding(
            "outside", f"{rows[0].source} prints {printed}", place=place, value=value,
            grade=grade, next_step=after, **cite(rows) | {"expected": printed},
        )  # fmt: skip
    if reading.verdict == "inside":
        return this.finding(
            "note", "at least what is printed", place=place, value=value, grade=grade, **cite(rows)
        )
    if reading.verdict == "depends" and reading.ask is not None:
        code = reading.ask.condition == "scope"
        return this.finding(
            "question",
            "whether it is enough turns on the code, and the document names none"
            if code
            else "whether it is enough turns on what the document does not settle",
            place=place, value=value, grade=grade,
            next_step="say which code governs, and that its table was used"
            if code
            else "state it, and compare again",
            **cite(rows) | {"expected": question(reading.ask, reading.unit)},
        )  # fmt: skip
    if reading.verdict == "sources differ":
        return this.finding(
            "question", "one published table asks for more, and another does not", place=place,
            value=value, grade=grade, next_step="see which table governs", **cite(rows),
        )  # fmt: skip
    recalled = reading.from_memory
    if recalled is not None and recalled.verdict == "low":
        return this.finding(
            "question", "less than is recalled; nothing printed fits", place=place, value=value,
            grade="memory", next_step="look the preheat up in the governing code",
            **cite(recalled.rows),
        )  # fmt: skip
    named = bool(case.procedure.standards)
    return this.finding(
        "not checked",
        "no table that fits is held" + (" of the code named" if named else "") + ": not compared",
        place=place, value=value, source_id="",
        next_step="look the preheat up in the governing code",
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
