"""Compare the joint with the test record by ISO 15614-1, clauses 8.3.4 and 8.4.3, and 15614-2.

Each rule of a clause is for one kind of test or work, and does not apply to another.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.audit.case import Case
from weldref.audit.covering import Line, Pair, alike, by_a_person, if_tested, only_for, runs
from weldref.procedures.model import Procedure, gather

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
"""What each root support covers by ISO 15614-1:2017, besides itself."""


def support(procedure: Procedure) -> str | None:
    """How the root is supported, as far as the document states it.

    >>> from weldref.procedures.model import Joint, Text
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
    """Compare how the root is supported, by those rules of the level that are for the test."""
    tested, claimed = support(pair.record), support(pair.procedure)
    if tested is None or claimed is None or pair.record.joint.is_fillet:
        return
    rules = SUPPORTS[pair.row["level"] or "2"]
    # "Both sides" without a word of gouging is either.
    kinds, asked = (
        {GOUGED, NOT_GOUGED} if one == "both sides" else {one} for one in (tested, claimed)
    )
    fitting = [clause for clause, of, _ in rules if set(of) & kinds]
    clause = pair.row["clause"]
    if clause not in fitting:
        (of,) = (of for its, of, _ in rules if its == clause)
        yield pair.other_work(f"for tests welded {' or '.join(of)}")
        return
    reached = set.intersection(
        *({kind, *(one for _, of, covered in rules if kind in of for one in covered)}
          for kind in kinds)
    )  # fmt: skip
    covered = claimed == tested or asked <= reached
    if covered or clause == fitting[0]:
        yield pair.covers(covered, claimed, "; ".join(dict.fromkeys([tested, *sorted(reached)])))


def weld_of(procedure: Procedure) -> str:
    """The kind of weld that a document names, "butt" or "fillet"; empty if it names none."""
    joint = procedure.joint
    return "butt" if joint.is_groove else "fillet" if joint.is_fillet else ""


def joint_words(procedure: Procedure) -> str:
    """All that a document says about its joint, in small letters."""
    texts = gather(
        procedure, "joint.text", "joint.kind", "joint.weld", "joint.preparation", "title"
    )
    return " ".join(map(str, texts)).casefold()


def _is_tee(procedure: Procedure) -> bool:
    return bool(re.search(r"\bt[- ]?(?:joint|butt)|\btee\b", joint_words(procedure)))


@only_for(lambda pair: weld_of(pair.record) != "butt", "for tests on fillet welds")
def fillet_test(pair: Pair) -> Iterator[Line]:
    """A test on a fillet weld covers only fillet welds."""
    tested, claimed = weld_of(pair.record), weld_of(pair.procedure)
    if tested and claimed:
        yield pair.covers(claimed == tested, f"a {claimed} weld", "fillet welds alone")


@only_for(lambda pair: weld_of(pair.record) != "fillet", "for tests on butt welds")
def butt_test(pair: Pair) -> Iterator[Line]:
    """A test on a butt weld covers butt and fillet welds."""
    claimed = weld_of(pair.procedure)
    partial = "partial" in joint_words(pair.record) and "partial" not in joint_words(pair.procedure)
    # A person has to decide whether a test of partial penetration covers full penetration.
    if weld_of(pair.record) and claimed and not (partial and claimed == "butt"):
        qualified = "butt welds of full and partial penetration, and fillet welds"
        yield pair.covers(True, f"a {claimed} weld", qualified)


@only_for(
    lambda pair: _is_tee(pair.record) and not pair.record.joint.is_fillet,
    "for tests on a butt weld in a T-joint",
)
def tee_test(pair: Pair) -> Iterator[Line]:
    """A test on a butt weld in a T-joint covers such welds and fillet welds."""
    if claimed := weld_of(pair.procedure):
        covered = claimed == "fillet" or _is_tee(pair.procedure)
        qualified = "butt welds in T-joints, and fillet welds"
        yield pair.covers(covered, joint_words(pair.procedure), qualified)


@only_for(lambda pair: "branch" in joint_words(pair.procedure), "for branch connections")
def branches(pair: Pair) -> Iterator[Line]:
    """At level 2 a branch goes by a butt weld in pipe, from 60 degrees: for a person."""
    if pair.row["level"] == "1" and pair.record.joint.is_groove:
        yield pair.covers(True, "a branch connection", "any branch connection")


number_of_runs = if_tested(
    alike(
        lambda case: {"multi": True, "single": False, None: None}[runs(case.procedure)],
        "several runs",
        "a single run",
    )
)
build_up = only_for(
    lambda pair: re.search(r"build[- ]?up|overlay|surfac|cladding", joint_words(pair.procedure)),
    "for build-up welds",
)(by_a_person)
buttering = only_for(lambda pair: "butter" in joint_words(pair.procedure), "for buttered joints")(
    by_a_person
)


def _may_stay(pair: Pair) -> bool:
    """Whether a backing stays, which is a base metal then; none, ceramic or copper is not."""
    joint = pair.procedure.joint
    held = " ".join(map(str, gather(joint, "backing", "backing_material"))).casefold()
    how = support(pair.procedure)
    stays = how == BACKING and not re.search(r"ceramic|copper|flux|gas|tempor", held)
    return stays or not (held.strip() or joint.is_fillet or how is not None)


permanent_backing = only_for(_may_stay, "for a backing of metal that stays")(by_a_person)


def _groove(case: Case) -> str:
    return " ".join(map(str, gather(case.procedure.joint, "preparation", "text"))).casefold()


def is_square(case: Case) -> bool:
    """Whether a document names a square groove."""
    return "square" in _groove(case)


groove_type = alike(
    lambda case: is_square(case) if re.search(r"groove|vee|\bv\b|square", _groove(case)) else None,
    "a square groove",
    "a groove that is not square",
)
"""A change to or from a square groove needs a new test."""


def aluminium_joints(pair: Pair) -> Iterator[Line]:
    """ISO 15614-2, Table 8: which joints a test on one kind of joint covers."""
    tested, claimed = _aluminium_joint(pair.record), _aluminium_joint(pair.procedure)
    rows = pair.case.rows(
        "SELECT * FROM iso15614_2_joints WHERE test_joint = $tested AND joint = $claimed",
        tested=tested,
        claimed=claimed,
    )
    if rows and claimed is not None:
        kept = {key: pair.row[key] for key in ("clause", "variable", "level", "condition")}
        yield Pair(pair.case, pair.test, rows[0] | kept).covers(
            rows[0]["covered"] == "yes", claimed, f"what {tested} covers"
        )


def _aluminium_joint(procedure: Procedure) -> str | None:
    """The kind of joint by the words of ISO 15614-2, Table 8; None if the document is silent."""
    if procedure.joint.is_fillet:
        return "fillet, plate and pipe"
    held = support(procedure)
    if not procedure.joint.is_groove or held is None:
        return None
    if held in (GOUGED, NOT_GOUGED, "both sides"):
        gouging = "gouging" if held == GOUGED else "no gouging"
        return None if procedure.pipe_diameter else f"butt plate, both sides, {gouging}"
    backing = "backing" if held == BACKING else "no backing"
    return f"butt {'pipe' if procedure.pipe_diameter else 'plate'}, one side, {backing}"
