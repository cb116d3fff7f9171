"""Compare the joint with the test record by ISO 15614-1, clauses 8.3.3, 8.3.4 and 8.4.3.

Each rule of the clause is for one kind of test or of work; for another it does not apply.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.audit.covering import Handler, Line, Pair, metres, runs
from weldref.procedures.model import Joint, Procedure, gather

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

    >>> from weldref.procedures.model import Text
    >>> support(Procedure(joint=Joint(backing=Text("none"), sides=Text("single"))))
    'one side without backing'
    """
    joint = procedure.joint
    sides = " ".join(map(str, gather(joint, "sides", "text"))).casefold()
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


def root(pair: Pair) -> Iterator[Line]:
    """Compare how the root is held; the rules are one list, of which the fitting ones count."""
    tested, claimed = support(pair.record), support(pair.procedure)
    if tested is None or claimed is None or pair.record.joint.is_fillet:
        return
    rules = SUPPORTS[pair.row["level"] or "2"]
    # "Both sides" without a word of gouging is either.
    kinds = (GOUGED, NOT_GOUGED) if tested == "both sides" else (tested,)
    asked = (GOUGED, NOT_GOUGED) if claimed == "both sides" else (claimed,)
    fitting = [clause for clause, of, _ in rules if set(of) & set(kinds)]
    clause = pair.row["clause"]
    if clause not in fitting:
        (of,) = (of for its, of, _ in rules if its == clause)
        yield pair.other_work(f"for tests welded {' or '.join(of)}")
        return
    reached = set.intersection(
        *({kind, *(one for _, of, covered in rules if kind in of for one in covered)}
          for kind in kinds)
    )  # fmt: skip
    covered = claimed == tested or set(asked) <= reached
    if covered or clause == fitting[0]:
        yield pair.covers(covered, claimed, "; ".join(dict.fromkeys([tested, *sorted(reached)])))


def _kind(joint: Joint) -> str:
    """The kind of weld that a document names; empty if it names none."""
    return "a butt weld" if joint.is_groove else "a fillet weld" if joint.is_fillet else ""


def fillet_test(pair: Pair) -> Iterator[Line]:
    """A fillet test covers fillets alone."""
    tested, claimed = _kind(pair.record.joint), _kind(pair.procedure.joint)
    if tested == "a butt weld":
        yield pair.other_work("for tests on fillet welds")
    elif tested and claimed:
        yield pair.covers(claimed == tested, claimed, "fillet welds alone")


def butt_test(pair: Pair) -> Iterator[Line]:
    """A butt weld test covers butt welds of full and partial penetration, and fillets."""
    tested, claimed = _kind(pair.record.joint), _kind(pair.procedure.joint)
    partial = "partial" in _words(pair.record) and "partial" not in _words(pair.procedure)
    if tested == "a fillet weld":
        yield pair.other_work("for tests on butt welds")
    elif partial and claimed == "a butt weld":
        return  # whether a test of partial penetration reaches so far is for a person
    elif tested and claimed:
        qualified = "butt welds of full and partial penetration, and fillet welds"
        yield pair.covers(True, claimed, qualified)


def tee_test(pair: Pair) -> Iterator[Line]:
    """A butt weld tested in a T-joint covers T-joints alone."""
    claimed = _kind(pair.procedure.joint)
    if not _is_tee(pair.record) or pair.record.joint.is_fillet:
        yield pair.other_work("for tests on a butt weld in a T-joint")
    elif claimed:
        yield pair.covers(
            claimed == "a fillet weld" or _is_tee(pair.procedure),
            _words(pair.procedure),
            "butt welds in T-joints, and fillet welds",
        )


def branches(pair: Pair) -> Iterator[Line]:
    """Branch connections: by a butt weld, at level 2 in pipe and from 60 degrees."""
    if "branch" not in _words(pair.procedure):
        yield pair.other_work("for branch connections")
    elif pair.row["level"] == "1" and pair.record.joint.is_groove:
        yield pair.covers(True, "a branch connection", "any branch connection")


def _words(procedure: Procedure) -> str:
    texts = gather(
        procedure, "joint.text", "joint.kind", "joint.weld", "joint.preparation", "title"
    )
    return " ".join(map(str, texts)).casefold()


def _is_tee(procedure: Procedure) -> bool:
    return bool(re.search(r"\bt[- ]?(?:joint|butt)|\btee\b", _words(procedure)))


def number_of_runs(pair: Pair) -> Iterator[Line]:
    """With impact or hardness tests, one run and several are tested apart."""
    words = {"multi": "several runs", "single": "a single run"}
    tested, claimed = runs(pair.record), runs(pair.procedure)
    if not pair.demands:
        yield pair.other_work("for work with impact or hardness tests")
    elif tested and claimed:
        yield pair.covers(tested == claimed, words[claimed], words[tested])


def _only_for(word: str, why: str) -> Handler:
    def handler(pair: Pair) -> Iterator[Line]:
        if not re.search(word, _words(pair.procedure)):
            yield pair.other_work(why)

    return handler


build_up = _only_for(r"build[- ]?up|overlay|surfac|cladding", "for build-up welds")
buttering = _only_for(r"butter", "for buttered joints")


def permanent_backing(pair: Pair) -> Iterator[Line]:
    """A backing that stays is a base metal; none, ceramic or copper is not."""
    joint = pair.procedure.joint
    held = " ".join(map(str, gather(joint, "backing", "backing_material"))).casefold()
    root_of = support(pair.procedure)
    stays = root_of == BACKING and not re.search(r"ceramic|copper|flux|gas|tempor", held)
    if not stays and (held.strip() or joint.is_fillet or root_of is not None):
        yield pair.other_work("for a backing of metal that stays")


def pipe_for_plate(pair: Pair) -> Iterator[Line]:
    """Pipe covers plate."""
    if pair.record.pipe_diameter and not pair.procedure.pipe_diameter:
        yield pair.covers(True, "plate", "plate, from a test on pipe")
    else:
        yield pair.other_work("for plate after a test on pipe")


def plate_for_pipe(pair: Pair) -> Iterator[Line]:
    """Plate covers pipe over 500 mm."""
    claimed = pair.procedure.pipe_diameter
    if pair.record.pipe_diameter or not claimed:
        yield pair.other_work("for pipe after a test on plate")
        return
    ends = [metres(pair.case, one.low, one) for one in claimed]
    if not all(end is not None and end >= 0.5 * (1 - 1e-3) for end in ends):
        return
    if "500" in (pair.row["condition"] or ""):
        yield pair.covers(True, f"pipe {', '.join(map(str, claimed))}", "pipe over 500 mm")
    else:
        yield pair.other_work("covered as pipe over 500 mm")


def outside_diameter(pair: Pair) -> Iterator[Line]:
    """Half the diameter of the test and up, or within the factors that are printed."""
    row, edge = pair.row, 0.025
    tested = [v for one in pair.record.pipe_diameter if (v := metres(pair.test, one.low, one))]
    size = min(tested, default=0.0)
    small, large = row["tested_max"] is not None, row["tested_min"] is not None
    if not tested or (small and size > edge * 1.001) or (large and size <= edge * 1.001):
        return
    low = max(size * row["lower"], edge if large else 0.0)
    high = size * row["upper"] if row["upper"] else float("inf")
    for claimed in pair.procedure.pipe_diameter:
        least, most = (metres(pair.case, end, claimed) for end in (claimed.low, claimed.high))
        if least is None and most is None:
            continue
        unit, scale = ("mm", 0.001) if claimed.unit == "mm" else ("in", 0.0254)
        ends = f"{low / scale:.4g} to {high / scale:.4g} {unit}"
        if high == float("inf"):
            ends = f"{low / scale:.4g} {unit} and up"
        inside = (least is None or least >= low * (1 - 1e-3)) and (
            most is None or most <= high * (1 + 1e-3)
        )
        yield pair.covers(inside, f"outside diameter {claimed}", ends, claimed)


JOINTS: dict[tuple[str, str | None], Handler] = {
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
    **{(clause, level): root for level, rules in SUPPORTS.items() for clause, _, _ in rules},
}
"""The comparison of each rule of ISO 15614-1, clause 8.4.3, by clause and level."""
