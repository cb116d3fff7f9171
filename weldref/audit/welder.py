"""Compare a welder's certificate with a procedure, by ISO 9606-1, ISO 9606-2 or ISO 14732.

A certificate is read as a procedure file: process, position, joint, filler metal, test piece. The
answer has the form of the coverage matrix, with a line for each variable that the tables hold.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import replace
from functools import cache, partial

from weldref.audit import covering_sizes as sizes
from weldref.audit.case import Case
from weldref.audit.covering import Line, Row, runs
from weldref.audit.covering_joints import support
from weldref.audit.covering_metals import main_group
from weldref.audit.finding import table
from weldref.audit.welder_choices import (
    COMPARED,
    Compare,
    Held,
    Says,
    compared,
    filler_groups,
    validity,
)
from weldref.data.store import Store
from weldref.procedures.model import Procedure, gather

STANDARDS = ("ISO 9606-1", "ISO 9606-2", "ISO 14732")
"""Standards of welders and operators whose ranges the tables hold."""

NUMBERS = {
    "SMAW": "111",
    "FCAW-S": "114",
    "FCAW-G": "136",
    "SAW": "121",
    "GTAW": "141",
    "PAW": "15",
}
"""The number of ISO 4063 for a process that a document gives only in letters."""


def welder_matrix(
    store: Store, procedure: Procedure, certificate: Procedure, on: datetime.date | None = None
) -> tuple[Line, ...]:
    """List every variable of the certificate's standard, with the result of its comparison.

    `on` is the day on which it has to be valid; without it, today.
    """
    standard = standard_of(certificate, procedure)
    case = Case(store, procedure, code=standard)
    tested = Case(store, certificate, code=standard)
    rows = case.rows(
        "SELECT * FROM welder_qualification WHERE standard = $standard ORDER BY rowid",
        standard=standard,
    )
    grouped: dict[str, list[Row]] = {}
    for row in rows:
        grouped.setdefault(row["variable"], []).append(row)
    lines = (
        replace(
            _compared(Held(case, tested, of), on),
            role="welder", record=certificate.name, edition=str(of[0]["edition"] or ""),
        )
        for of in grouped.values()
    )  # fmt: skip
    return tuple(sorted(lines, key=lambda one: one.state == "does not apply"))


def standard_of(certificate: Procedure, procedure: Procedure) -> str:
    """The standard that a certificate names; if none, the part of ISO 9606 for the base metal.

    >>> from weldref.procedures.model import Text
    >>> standard_of(Procedure(standards=(Text("EN ISO 9606-2:2004"),)), Procedure())
    'ISO 9606-2'
    """
    text = " ".join(one.text for one in certificate.standards)
    for name in STANDARDS:
        if re.search(rf"(?<!\d){re.escape(name.removeprefix('ISO '))}(?!\d)", text):
            return name
    words = " ".join(str(metal.group or "") for metal in procedure.base_metals)
    return "ISO 9606-2" if re.search(r"\b2[1-6](?:\.\d)?\b", words) else "ISO 9606-1"


def is_certificate(document: Procedure) -> bool:
    """Whether a document is a welder's certificate, not a procedure.

    >>> from weldref.procedures.model import Text
    >>> is_certificate(Procedure(kind=Text("welder certificate"))), is_certificate(Procedure())
    (True, False)
    """
    text = " ".join(str(one) for one in (document.kind, *document.standards) if one)
    return bool(re.search(r"certificate|(?<!\d)(?:9606|14732)(?!\d)", text))


def _compared(held: Held, on: datetime.date | None) -> Line:
    """Compare one variable."""
    case, variable = held.case, held.variable
    kind = "fillet" if case.procedure.joint.is_fillet else "butt"
    if variable.endswith(("butt", "fillet")) and not variable.endswith(kind):
        return held.other(f"for {'butt' if kind == 'fillet' else 'fillet'} welds only")
    if variable == "validity":
        return validity(held, on or datetime.date.today())
    named = variable.partition(",")[0]
    compare = _comparisons().get(variable) or _comparisons().get(named)
    if compare is None or (named == "covering" and "SMAW" not in case.processes):
        rules = (f"{row['test_value'] or ''}: {row['qualified'] or ''}" for row in held.rows)
        return held.check(f"not compared here; the rule: {'; '.join(rules)}")
    return compare(held)


def _choice(held: Held) -> Line:
    """Compare what is chosen: one of the tests has to qualify each claim."""
    claims, tests = held.claims, held.tests
    deciding = [
        row for row in held.rows
        if row["status"] is None and any(_is(one, str(row["test_value"] or "")) for one in tests)
    ]  # fmt: skip
    qualified = [part for row in deciding for part in _parts(str(row["qualified"] or ""))]
    # Process and position of the test cover themselves where no row is about them.
    if held.variable.startswith(("process", "position", "filler material")):
        qualified = [*tests, *qualified]
    if not qualified:
        return held.check(f"no row of the tables is about a test with {', '.join(tests)}")
    unknown = [one[3:-1] for one in (*claims, *tests) if one.startswith("?")]
    if unknown:
        return held.check(f"the group or number of {', '.join(unknown)} is not known: state it")
    covered = all(any(_is(one, part) for part in qualified) for one in claims)
    cited = replace(held, rows=deciding or held.rows)
    shown = "; ".join(dict.fromkeys(qualified))
    return cited.covers(covered, shown, cited.rows[0]["condition"] or "")


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(";") if part.strip()]


def _is(one: str, printed: str) -> bool:
    """Whether what a document says is one of the things printed: "PF" in "PF (plate)".

    >>> _is("PF", "PA; PF"), _is("136", "135; 138"), _is("18", "B (15, 16, 18)")
    (True, False, True)
    """
    parts = _parts(printed)
    inside = [word.strip() for part in parts for word in re.findall(r"\(([^)]*)\)", part)]
    listed = [word.strip() for group in inside for word in group.split(",")]
    plain = [re.sub(r"\s*\(.*?\)", "", part) for part in parts]
    return one in (*parts, *listed, *plain)


def _processes(case: Case) -> list[str]:
    found: dict[str, None] = {}
    for text in gather(case.procedure, "processes", "passes.process"):
        number = re.search(r"\b(1[1-4]\d|15|311)\b", text.text)
        name = case.process(text.text) or ""
        known = number[1] if number else NUMBERS.get(name)
        if known is None and name == "GMAW":
            known = "131" if case.code == "ISO 9606-2" else "135"
        found[known or f"? ({text})"] = None
    return list(found)


def _positions(case: Case) -> list[str]:
    """Positions in the letters of ISO 6947; those of AWS are converted by the table."""
    progressions = gather(case.procedure, "progressions", "passes.progression")
    down = "down" in " ".join(map(str, progressions)).casefold()
    found: dict[str, None] = {}
    for text in gather(case.procedure, "positions", "passes.position"):
        written = text.text.upper()
        letters = re.findall(r"\b(?:P[A-HJ]|[HJ]-L045)\b", written)
        for one in re.findall(r"\b[1-6][FG]\b", written):
            rows = case.rows(
                "SELECT iso_6947 AS iso, meaning FROM position_designations "
                "WHERE aws_groove = $one OR aws_fillet = $one ORDER BY iso_6947",
                one=one,
            )
            letters += [row["iso"] for row in rows
                        if len(rows) == 1 or ("down" in row["meaning"]) == down][:1]  # fmt: skip
        found |= dict.fromkeys(letters)
    return list(found)


def _backings(case: Case) -> list[str]:
    held = None if case.procedure.joint.is_fillet else support(case.procedure)
    if held is None:
        return []
    if held.startswith("both sides"):
        return ["both sides (bs)"]
    if held == "one side without backing":
        return ["no backing (ss nb)"]
    return [f"{'with' if case.code == 'ISO 9606-2' else 'material'} backing (ss mb)"]


def _coverings(case: Case) -> list[str]:
    matches = [re.match(r"E\d{2,3}?(\d{2})(?:$|-)", name) for name, _ in case.filler_classes()]
    return list(dict.fromkeys(match[1] for match in matches if match))


_LAYERS = {"multi": "multi-layer", "single": "single layer"}
_SAYS: dict[str, Says] = {
    "process": _processes,
    "position": _positions,
    "backing": _backings,
    "filler material group": filler_groups,
    "covering": _coverings,
    "layers": lambda case: [_LAYERS[found]] if (found := runs(case.procedure)) else [],
    "material group": lambda case: list(
        dict.fromkeys(main_group(text.text) for text in gather(case.procedure, "base_metals.group"))
    ),
}
"""What a document says of a variable whose rows list what each test qualifies."""


@cache
def _comparisons() -> dict[str, Compare]:
    """The comparison of each variable, by its whole name in the tables or the first part of it.

    `welder_variables.csv` lists variables that the rules of qualification limit by `size`, and
    those without a range to compare, each with a remark.
    """
    choices = {name: compared(says, _choice) for name, says in _SAYS.items()}
    listed: dict[str, Compare] = {
        row["variable"]: partial(Held.other, why=row["remark"]) if row["remark"]
        else partial(_size, name=row["size"])
        for row in table("welder_variables.csv")
    }  # fmt: skip
    return COMPARED | choices | listed


def _size(held: Held, name: str) -> Line:
    """Compare a thickness or a diameter with the limits in the rules of qualification."""
    case, test, claim = held.case, held.tested.procedure, held.case.procedure
    if "diameter" in held.variable:
        coupon, claims = test.pipe_diameter, claim.pipe_diameter
        if not claims:
            return held.other("the procedure is for no pipe")
    else:
        coupon, claims = test.coupon_thickness or test.thickness, claim.thickness
        if held.variable.startswith("deposited"):
            coupon, claims = test.test_deposit or coupon, claim.deposit_thickness or claims
    held = replace(held, claims=[*map(str, claims)], tests=[*map(str, coupon)])
    if not claims or not coupon:
        return held.unsaid()
    size, unit = case.ends(coupon[0])[1], sizes.inch_or_mm(coupon[0])
    rules = case.rows(
        "SELECT * FROM qualification_rules WHERE standard = $code AND variable = $name "
        "ORDER BY rowid",
        code=case.code,
        name=name,
    )
    # A sign was lost where a line begins: its edge belongs to the line above.
    fitting = [row for row in rules if size is not None and sizes.in_band(case, size, row, unit)]
    if size is None or not fitting:
        return held.check("no line of the table includes the test")
    rule = fitting[0]
    low, high = sizes.limits(case, rule, size, unit)
    covered = all(sizes.is_inside(case, one, low, high, unit) for one in claims)
    cited = replace(held, rows=[held.rows[0] | {"clause": rule["clause"] or ""}])
    return cited.covers(covered, sizes.span(low, high, unit), rule["condition"] or "")
