"""Compare the joint with the test record by ISO 15614-1, clauses 8.3.3, 8.3.4 and 8.4.3.

Each rule of the clause is for one kind of test or of work; for another it does not apply.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from weldref.audit.case import Case
from weldref.audit.covering import Line, covers, has_hardness, has_impact, line, metres, runs
from weldref.procedures.model import Procedure

NO_BACKING, BACKING = "one side without backing", "with backing"
GOUGED, NOT_GOUGED = "both sides with gouging", "both sides without gouging"
_NONE = re.compile(r"(?:no|none|without|n/?a)\b", re.IGNORECASE)

SUPPORTS: dict[str, tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...]] = {
    # level: (clause, how the test was welded, what that covers)
    "2": (
        ("8.4.3 f", (NO_BACKING,), (NO_BACKING, GOUGED, NOT_GOUGED, BACKING)),
        ("8.4.3 g", (BACKING,), (BACKING, GOUGED, NOT_GOUGED)),
        ("8.4.3 h", (NOT_GOUGED,), (NOT_GOUGED, GOUGED)),
        ("8.4.3 i", (GOUGED, NOT_GOUGED), (BACKING,)),
    ),
    "1": (
        ("8.4.3 d", (NO_BACKING,), (NO_BACKING, GOUGED, NOT_GOUGED, BACKING)),
        ("8.4.3 e", (BACKING,), (BACKING, GOUGED, NOT_GOUGED, NO_BACKING)),
        ("8.4.3 f", (NOT_GOUGED,), (NOT_GOUGED, GOUGED)),
        ("8.4.3 g", (GOUGED, NOT_GOUGED), (BACKING,)),
    ),
}
"""What each way of holding the root covers, as ISO 15614-1:2017 prints it; itself always."""


def support(procedure: Procedure) -> str | None:
    """How the root is held, as far as the document says it.

    >>> from weldref.procedures.model import Joint, Text
    >>> support(Procedure(joint=Joint(backing=Text("none"), sides=Text("single"))))
    'one side without backing'
    """
    joint = procedure.joint
    sides = " ".join(str(text) for text in (joint.sides, joint.text) if text).casefold()
    gouging = joint.back_gouging.text if joint.back_gouging else ""
    if gouging and not _NONE.match(gouging.strip()):
        return GOUGED
    if re.search(r"\b(?:both|two|double)\b", sides):
        return NOT_GOUGED if gouging else "both sides"
    if joint.backing is None:
        return None
    if _NONE.match(joint.backing.text.strip()):
        single = re.search(r"\b(?:one|single)\b", sides)
        return NO_BACKING if single or procedure.pipe_diameter else None
    return BACKING


def root(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare how the root is held; the rules are one list, of which the fitting ones count."""
    tested, claimed = support(record), support(case.procedure)
    if tested is None or claimed is None or record.joint.is_fillet:
        return
    rules = SUPPORTS[row["level"] or "2"]
    # "Both sides" without a word of gouging is either.
    kinds = (GOUGED, NOT_GOUGED) if tested == "both sides" else (tested,)
    asked = (GOUGED, NOT_GOUGED) if claimed == "both sides" else (claimed,)
    fitting = [(clause, of) for clause, of, _ in rules if set(of) & set(kinds)]
    if row["clause"] not in [clause for clause, _ in fitting]:
        of = next(of for clause, of, _ in rules if clause == row["clause"])
        yield line(case, row, "does not apply", why=f"for tests welded {' or '.join(of)}")
        return
    per_kind = [
        {kind, *(one for _, of, covered in rules if kind in of for one in covered)}
        for kind in kinds
    ]
    reached = set.intersection(*per_kind)
    if claimed == tested or set(asked) <= reached or row["clause"] == fitting[0][0]:
        yield from covers(
            case, row, claimed == tested or set(asked) <= reached, claimed, None,
            "; ".join(dict.fromkeys([tested, *sorted(reached)])),
        )  # fmt: skip


def fillet_test(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A fillet test covers fillets alone."""
    joint = case.procedure.joint
    if not record.joint.is_fillet:
        if record.joint.is_groove:
            yield line(case, row, "does not apply", why="for tests on fillet welds")
    elif joint.is_groove or joint.is_fillet:
        yield from covers(
            case, row, not joint.is_groove, "a butt weld" if joint.is_groove else "a fillet weld",
            None, "fillet welds alone",
        )  # fmt: skip


def butt_test(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A butt weld test covers butt welds of full and partial penetration, and fillets."""
    joint = case.procedure.joint
    if record.joint.is_fillet:
        yield line(case, row, "does not apply", why="for tests on butt welds")
    elif record.joint.is_groove and (joint.is_groove or joint.is_fillet):
        partial = "partial" in _words(record) and "partial" not in _words(case.procedure)
        if partial and joint.is_groove:
            return  # whether a test of partial penetration reaches so far is for a person
        yield from covers(
            case, row, True, "a butt weld" if joint.is_groove else "a fillet weld", None,
            "butt welds of full and partial penetration, and fillet welds",
        )  # fmt: skip


def tee_test(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A butt weld tested in a T-joint covers T-joints alone."""
    tested = _is_tee(record) and not record.joint.is_fillet
    if not tested:
        yield line(case, row, "does not apply", why="for tests on a butt weld in a T-joint")
    elif case.procedure.joint.is_fillet or case.procedure.joint.is_groove:
        covered = case.procedure.joint.is_fillet or _is_tee(case.procedure)
        yield from covers(
            case, row, covered, _words(case.procedure), None,
            "butt welds in T-joints, and fillet welds",
        )  # fmt: skip


def branches(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Branch connections: by a butt weld, at level 2 in pipe and from 60 degrees."""
    if "branch" not in _words(case.procedure):
        yield line(case, row, "does not apply", why="for branch connections")
    elif row["level"] == "1" and record.joint.is_groove:
        yield from covers(case, row, True, "a branch connection", None, "any branch connection")


def _words(procedure: Procedure) -> str:
    joint = procedure.joint
    texts = (joint.text, joint.kind, joint.weld, joint.preparation, procedure.title)
    return " ".join(str(text) for text in texts if text).casefold()


def _is_tee(procedure: Procedure) -> bool:
    return bool(re.search(r"\bt[- ]?(?:joint|butt)|\btee\b", _words(procedure)))


def number_of_runs(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """With impact or hardness tests, one run and several are tested apart."""
    if not (has_impact(record) or has_hardness(record)):
        yield line(case, row, "does not apply", why="for work with impact or hardness tests")
        return
    tested, claimed = runs(record), runs(case.procedure)
    words = {"multi": "several runs", "single": "a single run"}
    if tested and claimed:
        yield from covers(case, row, tested == claimed, words[claimed], None, words[tested])


def _only_for(word: str, why: str) -> Callable[[Case, Procedure, dict[str, Any]], Iterator[Line]]:
    def handler(case: Case, _record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
        if not re.search(word, _words(case.procedure)):
            yield line(case, row, "does not apply", why=why)

    return handler


build_up = _only_for(r"build[- ]?up|overlay|surfac|cladding", "for build-up welds")
buttering = _only_for(r"butter", "for buttered joints")


def permanent_backing(case: Case, _record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A backing that stays is a base metal; none, ceramic or copper is not."""
    joint = case.procedure.joint
    held = f"{joint.backing or ''} {joint.backing_material or ''}".casefold()
    root_of = support(case.procedure)
    stays = root_of == BACKING and not re.search(r"ceramic|copper|flux|gas|tempor", held)
    if not stays and (held.strip() or joint.is_fillet or root_of is not None):
        yield line(case, row, "does not apply", why="for a backing of metal that stays")


def pipe_and_plate(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Pipe covers plate; plate covers pipe over 500 mm."""
    tested, claimed = (bool(one.pipe_diameter) for one in (record, case.procedure))
    if row["variable"] == "pipe for plate":
        if tested and not claimed:
            yield from covers(case, row, True, "plate", None, "plate, from a test on pipe")
        else:
            why = "for plate after a test on pipe"
            yield line(case, row, "does not apply", why=why)
        return
    if tested or not claimed:
        yield line(case, row, "does not apply", why="for pipe after a test on plate")
        return
    ends = [metres(case, one.low, one) for one in case.procedure.pipe_diameter]
    large = all(end is not None and end >= 0.5 * (1 - 1e-3) for end in ends)
    if "500" in (row["condition"] or "") and large:
        sizes = ", ".join(map(str, case.procedure.pipe_diameter))
        yield from covers(case, row, True, f"pipe {sizes}", None, "pipe over 500 mm")
    elif large:
        yield line(case, row, "does not apply", why="covered as pipe over 500 mm")


JOINTS: dict[tuple[str, str | None], Callable[..., Iterator[Line]]] = {
    ("8.4.3 a", "2"): butt_test,
    ("8.4.3 b", "2"): butt_test,
    ("8.4.3 c", "2"): branches,
    ("8.4.3 d", "2"): tee_test,
    ("8.4.3 e", "2"): fillet_test,
    ("8.4.3 j", "2"): number_of_runs,
    ("8.4.3 k", "2"): build_up,
    ("8.4.3 l", "2"): buttering,
    ("8.4.3 a", "1"): butt_test,
    ("8.4.3 b", "1"): branches,
    ("8.4.3 c", "1"): fillet_test,
    ("8.4.3 h", "1"): number_of_runs,
    ("8.4.3 i", "1"): build_up,
} | {(clause, level): root for level, rules in SUPPORTS.items() for clause, _, _ in rules}
"""The comparison of each rule of ISO 15614-1, clause 8.4.3, by clause and level."""
