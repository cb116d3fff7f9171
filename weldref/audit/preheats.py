"""Is the preheat at least what each published method asks for?"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace

from weldref.advice.preheat import Method, compare_preheat
from weldref.audit.case import Case
from weldref.audit.finding import Finding, Rule, rule
from weldref.audit.published import MOST_ROWS
from weldref.errors import InputError
from weldref.procedures.model import Range

HALF_DEGREE = 0.5
"""Tables are printed in whole degrees of either scale."""

UNSAID = "you did not say"
"""How a note marks a table that holds only under a condition the document does not state."""


@rule(
    "preheat-by-method",
    "preheat",
    "Is the minimum preheat at least what each published table asks for at that thickness?",
    "",
    "",
    "read",
)
def preheat_by_method(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare each stated minimum with every table, at the thick end of what it covers.

    A table is held against the document where the document works to that table's code, or
    names no code; what the tables of other codes ask is told in one finding a thickness.
    """
    for minimum, thickness in _stated(case):
        value = case.value(minimum.low, minimum, "temperature") if minimum.low is not None else None
        if value is None:
            continue
        above: list[tuple[Method, list[str]]] = []
        governed = False
        silent = []
        met = False
        for metal, _ in case.metals:
            methods = list(_methods(case, metal, thickness))
            met = met or any(
                _is_kept(m, value.si)
                for m in methods
                if m.how_read != "memory" and UNSAID not in m.note
            )
            if not any(method.celsius is not None for method in methods):
                silent.append(metal)
            for method in methods:
                governed = governed or (bool(case.procedure.standards) and _governs(case, method))
                if method.celsius is not None and not _is_kept(method, value.si):
                    same = _without(method, metal)
                    metals = next((names for seen, names in above if seen == same), None)
                    if metals is None:
                        above.append((same, [metal]))
                    elif metal not in metals:
                        metals.append(metal)
        # No code is named, and one table's minimum is kept: which of them governs is the question.
        differ = met and not case.procedure.standards
        others = [
            each
            for each in above
            if differ or not _governs(case, each[0]) or UNSAID in each[0].note
        ]
        for method, metals in above:
            if (method, metals) in others:
                continue
            yield this.finding(
                "question" if method.how_read == "memory" else "outside",
                f"preheat {minimum} for {', '.join(metals)}, {thickness}: {method.source} prints "
                f"{method.printed}" + (f" ({method.note})" if method.note else ""),
                place=minimum.place,
                value=str(minimum),
                expected=method.printed,
                source_id=method.source_id,
                locator=method.locator or "",
                grade=method.how_read,
                next_step="raise the preheat, or show why this table does not govern",
            )
        if silent:
            yield this.finding(
                "note",
                f"preheat {minimum}, {thickness}: the tables ask nothing for {', '.join(silent)}: "
                "not compared",
                place=minimum.place,
                value=str(minimum),
                source_id="",
            )
        if others:
            yield _elsewhere(case, this, minimum, thickness, others, governed)


def _is_kept(method: Method, kelvin: float) -> bool:
    """Whether a minimum is at least what a table asks for."""
    return method.celsius is not None and kelvin - 273.15 >= method.celsius - HALF_DEGREE


def _methods(case: Case, metal: str, thickness: str) -> Iterator[Method]:
    """What each table asks, for each process of the document with its own filler metal."""
    welds = {case.process_of(weld): weld for weld in reversed(case.procedure.passes)}
    for process in case.processes or (None,):
        named = [name for name, _ in case.filler_classes(welds.get(process))]
        classes = [name for name in named if case.kinds("filler_class", name)]
        with suppress(InputError):
            yield from compare_preheat(
                material=metal,
                thickness=thickness,
                process=process,
                electrode=classes[0] if len(classes) == 1 else None,
                units=case.system,
            ).methods


def _elsewhere(
    case: Case,
    this: Rule,
    minimum: Range,
    thickness: str,
    others: list[tuple[Method, list[str]]],
    governed: bool,
) -> Finding:
    """Tell in one finding what tables ask that need not govern this document.

    Where the document's own code has a table, which was held against it, this is for information.
    """
    asked = []
    for method, metals in others:
        number = _number(case, method) or method.source_id
        place = f"{number}, {method.locator}" if method.locator else number
        seen = "" if method.how_read == "read" else f", {method.how_read}"
        note = (
            f"; {method.note.replace(UNSAID, 'the document does not say')}" if method.note else ""
        )
        asked.append(f"{method.printed} for {', '.join(metals)} ({place}{seen}{note})")
    first = others[0][0]
    count = "a table" if len(others) == 1 else f"{len(others)} tables"
    one = len(others) == 1
    named = bool(case.procedure.standards)
    return this.finding(
        "note" if governed or named else "question",
        f"preheat {minimum}, {thickness}: {count} that may not govern this work "
        f"{'asks' if one else 'ask'} for more",
        place=minimum.place,
        value=str(minimum),
        expected="; ".join(asked[:MOST_ROWS])
        + (f"; and {left} more" if (left := len(asked) - MOST_ROWS) > 0 else ""),
        source_id=first.source_id,
        locator=first.locator or "",
        grade=first.how_read,
        next_step=""
        if governed
        else "the tables hold none of the code named: compare with it"
        if named
        else "say which code governs, and that its table was used",
    )


def _without(method: Method, metal: str) -> Method:
    """Take the metal's name out of a method's note, so that metals share one line."""
    return replace(method, parts={}, note=method.note.replace(f"takes {metal} as", "as"))


def _number(case: Case, method: Method) -> str:
    (row,) = case.store.rows(
        "SELECT document_number FROM sources WHERE source_id = $source",
        {"source": method.source_id},
    )
    return str(row["document_number"] or "")


def _governs(case: Case, method: Method) -> bool:
    """Say whether a table's document is one that the procedure works to; all are if none is."""
    named = " ".join(text.text for text in case.procedure.standards)
    if not named:
        return True
    marks = re.findall(r"[A-Z]*\d+[.-]\d+", _number(case, method))
    return any(re.search(rf"(?<![\w.]){re.escape(mark)}(?![\d.]\d|\d)", named) for mark in marks)


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
