"""Check that the document states what the chosen standard requires.

`contents.csv` lists the fields of the standards' forms that a procedure can show: the paths, one of
which has to be stated; the settings, one of which each pass has to state; the processes or the
mechanised work that the field is limited to; and its order in the report, document data last.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache

from weldref.audit.case import Case
from weldref.audit.codes import spelled_as
from weldref.audit.document import without_progression
from weldref.audit.finding import Finding, Rule, rule, source_of, table
from weldref.audit.variables import stated
from weldref.errors import InputError
from weldref.procedures.model import Procedure, gather

STANDARDS: dict[str, tuple[str, ...]] = {
    "ISO 15609-1": ("ISO 15609-1", "ISO 15609-1 form"),
    "AWS D1.1": ("D1.1 form", "AWS D1.1:2010 form"),
    "ASME IX": ("QW-482",),
}
"""Standards that can be asked for, with the names of their forms in the table of fields."""

GROOVE_ONLY = ("root_opening", "root_face", "groove_angle", "back_gouging")
"""Fields that a fillet weld does not have."""


def _each(procedure: Procedure, *names: str) -> bool:
    """Whether every pass states one of these."""
    return bool(procedure.passes) and all(gather(weld, *names) for weld in procedure.passes)


PASS_TABLE: dict[str, Callable[[Case], bool]] = {
    "process": lambda case: all(map(case.process_of, case.procedure.passes)),
    "filler metal class": lambda case: all(map(case.filler_classes, case.procedure.passes)),
    "electrode size": lambda case: all(map(case.sizes, case.procedure.passes)),
    "polarity": lambda case: all(map(case.polarity, case.procedure.passes)),
    "current or wire feed speed": lambda case: _each(case.procedure, "current", "wire_feed_speed"),
    "voltage": lambda case: _each(case.procedure, "voltage"),
    "travel speed": lambda case: _each(case.procedure, "travel_speed"),
}
"""The columns of a form's table of passes: stated in each pass, or once for all."""


@cache
def _contents() -> tuple[dict[str, dict[str, str]], dict[str, int]]:
    """The rows of `contents.csv` by field, and the order of their names in the report."""
    rows = table("contents.csv")
    fields = {field: row for row in rows for field in row["fields"].split()}
    return fields, {row["name"]: int(row["turn"] or 50) for row in rows}


def _is_mechanised(procedure: Procedure) -> bool:
    """Whether any of the work is mechanised or automatic; a hand-held gun is neither.

    >>> from weldref.procedures.model import Text
    >>> [_is_mechanised(Procedure(modes=(Text(mode),))) for mode in ("semiautomatic", "automatic")]
    [False, True]
    """
    said = " ".join(map(str, gather(procedure, "modes", "passes.mode"))).casefold()
    by_hand = re.sub(r"semi[- ]?automatic|partly mechani[sz]ed", "", said)
    return bool(re.search(r"automatic|mechani[sz]ed|machine|robot", by_hand))


def known_standard(text: str) -> str:
    """Resolve the name of a standard whose contents can be asked for.

    Raises
    ------
    InputError
        If it is none of them.

    >>> known_standard("iso15609")
    'ISO 15609-1'
    """
    if (name := spelled_as(text, STANDARDS)) is None:
        raise InputError(f"standard: '{text}' is not known; give {', '.join(STANDARDS)}")
    return name


@rule("completeness")
def completeness(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare with the fields of each standard's form."""
    fields, turns = _contents()
    for standard in case.standards:
        required = [
            row
            for row in case.rows("SELECT * FROM procedure_fields ORDER BY rowid")
            if set(STANDARDS[standard]) & {part.strip() for part in row["required_by"].split(";")}
        ]
        if unseen := [row for row in required if row["field"] not in fields]:
            listed = "; ".join(dict.fromkeys(row["meaning"] for row in unseen))
            yield this.finding(
                "unseen", source=source_of(unseen[0]), listed=listed, standard=standard,
                about=f"{standard}: fields that are not checked",
            )  # fmt: skip
        missing: dict[str, dict[str, str]] = {}
        for row in required:
            for name in _missing(case, row["field"]):
                missing.setdefault(name, row)
        for name, row in sorted(missing.items(), key=lambda pair: turns.get(pair[0], 50)):
            yield this.finding(
                "missing", source=source_of(row), about=f"{standard}: {name}",
                standard=standard, name=name, meaning=row["meaning"],
            )  # fmt: skip


def _missing(case: Case, field: str) -> list[str]:
    """The plain names of what a field requires and the document does not state."""
    procedure, asked = case.procedure, _contents()[0].get(field)
    if asked is None or (field in GROOVE_ONLY and procedure.joint.is_fillet):
        return []  # the model does not show whether it is stated, or the work has no such field
    if field == "progression":
        return ["progression"] if without_progression(case) else []
    if field == "pass_table" and procedure.passes:
        return [f"{name} of each pass" for name, said in PASS_TABLE.items() if not said(case)]
    processes = asked["processes"].split()
    if (
        not (asked["stated_at"] or asked["in_each_pass"])  # another rule asks for it
        or (processes and not set(case.processes) & set(processes))
        or (asked["mechanised"] and not _is_mechanised(procedure))
        or any(all(stated(procedure, *one.split("+"))) for one in asked["stated_at"].split())
        or (asked["in_each_pass"] and _each(procedure, *asked["in_each_pass"].split()))
        or (field == "back_gouging" and "goug" in str(procedure.joint.text or ""))
    ):
        return []
    return [asked["name"]]
