"""Audit a written procedure by every rule, and list the gravest findings first."""

from __future__ import annotations

import hashlib
import importlib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any, Literal

from weldref.audit.case import Case, rows_of
from weldref.audit.covering import Line
from weldref.audit.finding import RULES, SEVERITIES, Finding, Rule, listed_rules
from weldref.audit.heat_inputs import Corner, worked
from weldref.audit.matrix import matrix
from weldref.audit.places import fields_at
from weldref.audit.welder import welder_matrix
from weldref.core.check import NOT_APPROVAL
from weldref.data.catalogue import document_names
from weldref.data.own import Given, plain
from weldref.data.store import described, open_tables
from weldref.errors import InputError
from weldref.grades import accepted_grades
from weldref.procedures.model import Procedure, gather

Outcome = Literal["no findings", "not checked", "findings"]

FAMILIES = (
    "understood",
    "published",
    "heat_inputs",
    "set_up",
    "consistency",
    "numbers",
    "document",
    "plausible",
    "completeness",
    "coverage",
    "record_tests",
    "preheats",
)
"""Modules that hold the rules."""


@dataclass(frozen=True, slots=True)
class Changes:
    """How the findings differ from those of an earlier report of the same document.

    `new` and `open` are findings of this report, `closed` those that only the earlier one has.
    """

    new: tuple[Finding, ...]
    open: tuple[Finding, ...]
    closed: tuple[Finding, ...]

    def __str__(self) -> str:
        return f"{len(self.new)} new, {len(self.open)} still open, {len(self.closed)} closed"


@dataclass(frozen=True, slots=True)
class Report:
    """What an audit of one procedure found.

    `outcome` is "findings" when something is to be corrected or answered; "not checked" when there
    is none of that, and something was not understood or could not be compared; "no findings" when
    all was compared. `sources` names the documents that findings cite, by source id. `changes`
    compares with an earlier report, where one was given; `findings` are all that are open.
    `matrix` has a line for each variable of the code that was asked for. `about` names the
    document, `files` gives the SHA-256 of each file that was read, `fields` says what is at
    each place that a finding names, `corners` works the heat inputs out. `unconfirmed` counts the
    values that a machine read and nobody confirmed; `pictures` shows places on paper, as PNG.
    """

    file: str
    number: str
    outcome: Outcome
    counts: dict[str, int]
    findings: tuple[Finding, ...]
    sources: dict[str, str]
    asked: dict[str, Any]
    dataset: dict[str, str]
    reminder: str = NOT_APPROVAL
    own_tables: dict[str, str] | None = None
    changes: Changes | None = None
    matrix: tuple[Line, ...] = ()
    about: dict[str, str] = field(default_factory=dict)
    files: dict[str, str] = field(default_factory=dict)
    fields: dict[str, str] = field(default_factory=dict)
    unconfirmed: int = 0
    pictures: dict[str, bytes] = field(default_factory=dict, repr=False)
    corners: tuple[Corner, ...] = ()

    @property
    def counted(self) -> str:
        """How many findings of each severity there are, in words; empty without any."""
        return ", ".join(f"{n} {name}" for name, n in self.counts.items() if n)

    @property
    def rests_on(self) -> str:
        """The version of the dataset, and the beginning of its digest."""
        return f"{self.dataset['version']}, {self.dataset['digest'][:12]}"

    def is_new(self, finding: Finding) -> bool:
        """Say whether an earlier report was given and lacks this finding."""
        return self.changes is not None and finding in self.changes.new

    def as_dict(self) -> dict[str, Any]:
        """The report as plain dictionaries and lists, as ``--format json`` prints it."""
        answer: dict[str, Any] = plain(asdict(self), self.own_tables)
        for line in answer["matrix"]:  # only for joining ranges, and some are infinite
            del line["wanted"], line["reaches"]
        del answer["pictures"]
        return answer


@cache
def all_rules() -> tuple[Rule, ...]:
    """Import every family and return the rules, in the order of the report.

    >>> "heat-input-corners" in [rule.name for rule in all_rules()]
    True
    """
    for family in FAMILIES:
        importlib.import_module(f"weldref.audit.{family}")
    return tuple(RULES[name] for name in listed_rules())


def outcome_of(findings: Iterable[Finding]) -> Outcome:
    """Sum the findings up in one word; anything not checked is never clean.

    >>> outcome_of(())
    'not checked'
    """
    found = list(findings)
    severities = {finding.severity for finding in found}
    if severities - {"not checked", "note"}:
        return "findings"
    compared = any(f.rule == "published-range" and f.severity == "note" for f in found)
    return "no findings" if compared and "not checked" not in severities else "not checked"


def audit_procedure(
    procedure: Procedure,
    *,
    record: Procedure | Sequence[Procedure] | None = None,
    code: str | None = None,
    standards: Sequence[str] = (),
    grade: str = "memory",
    own: Given = None,
    welders: Sequence[Procedure] = (),
) -> Report:
    """Audit a procedure that has been read.

    Parameters
    ----------
    procedure
        The procedure.
    record, code
        The test record or records that should cover it, and the code whose rules count, with
        its edition if that is known ("ASME IX 2021"). A code alone shows what the procedure has
        to state; without either, a procedure that states its own test coupon and its code is
        held against that coupon.
    standards
        Standards whose contents it should have: "ISO 15609-1", "AWS D1.1", "ASME IX".
    grade
        The lowest evidence grade of windows to accept.
    own
        Own tables, as `weldref.check` takes them. Beside the published ones their rows give
        notes; instead of them they count for the rule "published-range" only.
    welders
        Certificates of the welders who will use it (ISO 9606-1, ISO 9606-2, ISO 14732).

    Raises
    ------
    InputError
        If a code, standard or grade is not known, or a record comes without a code.

    Examples
    --------
    A covered-electrode pass at 300 A on a 1/8 in E7018 is far outside Machinery's Handbook:

    >>> from weldref.procedures.model import Pass, Procedure, Range, Text
    >>> weld = Pass(process=Text("SMAW"), filler_class=Text("E7018"),
    ...             sizes=(Range(0.125, 0.125, "in"),), current=Range(300, 300, "A"))
    >>> report = audit_procedure(Procedure(passes=(weld,), processes=(Text("SMAW"),)))
    >>> [f.severity for f in report.findings if f.rule == "published-range"]
    ['outside']
    """
    from weldref.audit.codes import CODES, code_in, edition_in, known_code
    from weldref.audit.completeness import known_standard

    accepted_grades(grade)
    named = known_code(code) if code else None
    records = (record,) if isinstance(record, Procedure) else tuple(record or ())
    if records and named is None:
        raise InputError(f"code: a test record needs one; give {', '.join(CODES)}")
    if not records and (procedure.coupon_thickness or procedure.test_deposit):
        named = named or code_in(" ".join(text.text for text in procedure.standards))
        records = (procedure,) if named else ()
    store = open_tables(own)
    case = Case(
        store,
        procedure,
        records,
        named,
        tuple(dict.fromkeys(known_standard(name) for name in standards)),
        grade,
        tuple(welders),
        edition_in(code or ""),
    )
    said = dict.fromkeys(finding for each in all_rules() for finding in each.run(case))
    order = list(SEVERITIES)
    found = [as_read(finding, procedure) for finding in said]
    found.sort(key=lambda f: order.index(f.severity))
    counted = Counter(f.severity for f in found)
    names = document_names(store)
    cited = {finding.source_id for finding in found if finding.source_id}
    places = {place for finding in found for place in finding.places}
    read = procedure.machine_read
    return Report(
        file=procedure.file,
        number=procedure.number.text if procedure.number else "",
        outcome=outcome_of(found),
        counts={name: counted[name] for name in SEVERITIES},
        findings=tuple(found),
        sources={source: names[source] for source in sorted(cited)},
        asked={
            "code": case.code,
            "edition": case.edition,
            "standards": list(case.standards),
            "grade": grade,
            "records": [one.name for one in records],
            "welders": [one.name for one in welders],
        },
        dataset=rows_of(store, "SELECT version, digest FROM dataset")[0],
        own_tables=described(store),
        matrix=(
            *matrix(case),
            *(line for one in case.welders for line in welder_matrix(store, procedure, one)),
        ),
        about=_about(procedure),
        fields={at: field for at, field in fields_at(procedure).items() if at in places},
        unconfirmed=sum(not one.confirmed for one in read.values()),
        pictures={at: one.picture for at, one in read.items() if at in places and one.picture},
        corners=worked(case),
    )


def as_read(finding: Finding, procedure: Procedure) -> Finding:
    """Mark a finding that rests on a value that a machine read and nobody confirmed.

    The paper may state what the machine did not read at all, so a finding without a place is
    marked as long as anything is not confirmed.
    """
    read = procedure.machine_read
    places = finding.places
    rests = [read[place] for place in places if place in read] if places else list(read.values())
    open_ones = [one for one in rests if not one.confirmed]
    if not open_ones:
        return finding
    if not places:
        return replace(finding, machine_read="read by machine, not confirmed: look at the paper")
    doubts = dict.fromkeys(one.doubt for one in open_ones if one.doubt)
    said = ": ".join(filter(None, ("read by machine, not confirmed", "; ".join(doubts))))
    return replace(finding, machine_read=said)


def _about(procedure: Procedure) -> dict[str, str]:
    """What the heading of the document states."""
    names = ("number", "revision", "date", "title", "organization", "standards", "supporting_pqrs")
    return {name: "; ".join(map(str, gather(procedure, name))) for name in names}


def audit_file(
    path: Path,
    *,
    record: Path | Sequence[Path] | None = None,
    code: str | None = None,
    standards: Sequence[str] = (),
    grade: str = "memory",
    own: Given = None,
    welders: Sequence[Path] = (),
    unconfirmed: bool = False,
) -> Report:
    """Read a procedure file and audit it (see `audit_procedure`).

    With `unconfirmed`, what a machine read of a PDF or a picture counts as it was read.
    """
    from weldref.procedures.read import read_procedure

    records = (record,) if isinstance(record, Path) else tuple(record or ())
    report = audit_procedure(
        read_procedure(path, unconfirmed=unconfirmed),
        record=[read_procedure(one, unconfirmed=unconfirmed) for one in records],
        code=code,
        standards=standards,
        grade=grade,
        own=own,
        welders=[read_procedure(one, unconfirmed=unconfirmed) for one in welders],
    )
    every = (path, *records, *welders)
    return replace(report, files={one.name: digest(one.read_bytes()) for one in every})


def digest(data: bytes) -> str:
    """The SHA-256 of a file, to recognise it later.

    >>> digest(b"")[:12]
    'e3b0c44298fc'
    """
    return hashlib.sha256(data).hexdigest()
