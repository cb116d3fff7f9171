"""Compare a welder's certificate with a procedure, by ISO 9606-1, ISO 9606-2 or ISO 14732.

A certificate is read as a procedure file: process, position, joint, filler metal, test piece. The
answer has the form of the coverage matrix, with a line for each variable that the tables hold.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from weldref.audit import covering_sizes as sizes
from weldref.audit.case import Case
from weldref.audit.covering import SCALE, Line, State, line, metres, runs
from weldref.audit.covering_joints import support
from weldref.audit.welder_choices import COMPARED, REMARKS, Said, filler_groups, validity
from weldref.data.store import Store
from weldref.procedures.model import Procedure, Range

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
"""The number of ISO 4063 that stands for a process where a document gives letters alone."""

SIZES = {
    "deposited thickness s, butt": ("deposited thickness s", False),
    "material thickness, butt": ("butt material thickness t", False),
    "material thickness, fillet": ("fillet material thickness t", True),
    "outside diameter, pipe": ("pipe OD D", None),
    "outside diameter": ("pipe OD D", None),
}
"""Variables with limits in the rules of qualification: their name there, and for fillets or not."""


def welder_matrix(
    store: Store,
    procedure: Procedure,
    certificate: Procedure,
    on: datetime.date | None = None,
) -> tuple[Line, ...]:
    """Every variable of the certificate's standard, with what becomes of it.

    Parameters
    ----------
    store, procedure, certificate
        The open store, the procedure that is to be welded to, and the certificate as it was read.
    on
        The day on which it has to be valid; today where none is given.
    """
    standard = standard_of(certificate, procedure)
    case = Case(store, procedure, code=standard)
    tested = Case(store, certificate, code=standard)
    rows = store.rows(
        "SELECT * FROM welder_qualification WHERE standard = $standard ORDER BY rowid",
        {"standard": standard},
    )
    grouped: dict[str, list[dict[str, Any]]] = {}
    for row in rows:
        grouped.setdefault(row["variable"], []).append(row)
    name = certificate.number.text if certificate.number else certificate.file
    lines = (
        replace(one, role="welder", record=name, edition=str(of[0]["edition"] or ""))
        for variable, of in grouped.items()
        for one in _line(case, tested, variable, of, on or datetime.date.today())
    )
    return tuple(sorted(lines, key=lambda one: one.state == "does not apply"))


def standard_of(certificate: Procedure, procedure: Procedure) -> str:
    """The standard that a certificate names; of none named, that of hand work on steel.

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
    """Whether a document is a welder's certificate and no procedure.

    >>> from weldref.procedures.model import Text
    >>> is_certificate(Procedure(kind=Text("welder certificate"))), is_certificate(Procedure())
    (True, False)
    """
    text = " ".join(str(one) for one in (document.kind, *document.standards) if one)
    return bool(re.search(r"certificate|(?<!\d)(?:9606|14732)(?!\d)", text))


def _line(
    case: Case, tested: Case, variable: str, rows: list[dict[str, Any]], on: datetime.date
) -> Iterator[Line]:
    """The lines of one variable."""
    fillet = case.procedure.joint.is_fillet
    if variable.endswith(("butt", "fillet")) and variable.endswith("fillet") != fillet:
        other = "fillet" if variable.endswith("fillet") else "butt"
        yield _made(case, rows[0], "does not apply", why=f"for {other} welds only")
    elif variable in REMARKS:
        yield _made(case, rows[0], "does not apply", why=REMARKS[variable])
    elif variable in COMPARED:
        yield _said_line(case, variable, rows, COMPARED[variable](case, tested, rows))
    elif variable == "validity":
        yield _said_line(case, variable, rows, validity(tested, on))
    elif variable in SIZES:
        yield _size(case, tested, variable, rows)
    elif (found := _said(case, tested, variable)) is None:
        listed = "; ".join(f"{row['test_value'] or ''}: {row['qualified'] or ''}" for row in rows)
        yield _made(case, rows[0], "you must check", why=f"not compared here; the rule: {listed}")
    else:
        yield _choice(case, variable, rows, *found)


def _said_line(case: Case, variable: str, rows: list[dict[str, Any]], said: Said) -> Line:
    """The line of a comparison that was made elsewhere."""
    reach = "valid" if variable == "validity" else "the welder is qualified for"
    told = (
        f"{case.code} {rows[0]['locator']}: {variable.partition(',')[0]} {said.claim}: {reach} "
        f"{said.qualified}"
        if said.state in ("covered", "not covered")
        else ""
    )
    return _made(
        case, rows[0], said.state, claim=said.claim, tested=said.tested,
        qualified=said.qualified, why=said.why, says=told,
    )  # fmt: skip


def _choice(
    case: Case, variable: str, rows: list[dict[str, Any]], claims: list[str], tests: list[str]
) -> Line:
    """Compare what is chosen: each claim has to stand in what one of the tests qualifies."""
    claim, test = ", ".join(claims), ", ".join(tests)
    if not claims or not tests:
        why = f"{'the procedure' if not claims else 'the certificate'} does not say it"
        return _made(case, rows[0], "not stated", claim=claim, tested=test, why=why)
    qualified: dict[str, None] = {}
    speaking: list[dict[str, Any]] = []
    for row in rows:
        # Process and position of the test cover themselves where no row speaks of them.
        if row["status"] is None and any(_is(one, str(row["test_value"] or "")) for one in tests):
            speaking.append(row)
            qualified |= dict.fromkeys(_parts(str(row["qualified"] or "")))
    if variable.startswith(("process", "position", "filler material")):
        qualified = dict.fromkeys([*tests, *qualified])
    if not qualified:
        return _made(
            case, rows[0], "you must check", claim=claim, tested=test,
            why=f"no row that is held is about a test with {test}",
        )  # fmt: skip
    unknown = [one for one in (*claims, *tests) if one.startswith("?")]
    if unknown:
        left = ", ".join(one[3:-1] for one in unknown)
        why = f"the group or number of {left} is not known: state it"
        return _made(case, rows[0], "you must check", claim=claim, tested=test, why=why)
    shown = "; ".join(qualified)
    gaps = [one for one in claims if not any(_is(one, part) for part in qualified)]
    row = speaking[0] if speaking else rows[0]
    state: State = "not covered" if gaps else "covered"
    return _made(
        case, row, state, claim=claim, tested=test, qualified=shown, why=row["condition"] or "",
        says=f"{case.code} {row['locator']}: {variable.partition(',')[0]} {claim}: the welder is "
        f"qualified for {shown}",
    )  # fmt: skip


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


def _said(case: Case, tested: Case, variable: str) -> tuple[list[str], list[str]] | None:
    """What procedure and certificate say of a variable; None where it is not compared."""
    of = _SAYS.get(variable.partition(",")[0])
    if variable == "filler material group, meaning" or of is None:
        return None
    if variable.startswith("covering") and "SMAW" not in case.processes:
        return None
    return of(case), of(tested)


def _processes(case: Case) -> list[str]:
    texts = [*case.procedure.processes, *(w.process for w in case.procedure.passes if w.process)]
    found: dict[str, None] = {}
    for text in texts:
        number = re.search(r"\b(1[1-4]\d|15|311)\b", text.text)
        name = case.process(text.text) or ""
        aluminium = case.code == "ISO 9606-2"
        known = number[1] if number else NUMBERS.get(name)
        if known is None and name == "GMAW":
            known = "131" if aluminium else "135"
        found[known or f"? ({text})"] = None
    return list(found)


def _positions(case: Case) -> list[str]:
    """Positions by the letters of ISO 6947; those of AWS are turned by the table."""
    texts = [*case.procedure.positions, *(w.position for w in case.procedure.passes if w.position)]
    up = " ".join(
        str(text) for text in (*case.procedure.progressions,
                               *(w.progression for w in case.procedure.passes)) if text
    ).casefold()  # fmt: skip
    found: dict[str, None] = {}
    for text in texts:
        written = text.text.upper()
        letters = re.findall(r"\b(?:P[A-HJ]|[HJ]-L045)\b", written)
        for one in re.findall(r"\b[1-6][FG]\b", written):
            rows = case.store.rows(
                "SELECT iso_6947 AS iso, meaning FROM position_designations "
                "WHERE aws_groove = $one OR aws_fillet = $one ORDER BY iso_6947",
                {"one": one},
            )
            down = "down" in up
            letters += [row["iso"] for row in rows
                        if len(rows) == 1 or ("down" in row["meaning"]) == down][:1]  # fmt: skip
        found |= dict.fromkeys(letters)
    return list(found)


def _backings(case: Case) -> list[str]:
    words = {
        "one side without backing": "no backing (ss nb)",
        "with backing": "with backing (ss mb)" if case.code == "ISO 9606-2"
        else "material backing (ss mb)",
    }  # fmt: skip
    if case.procedure.joint.is_fillet:
        return []
    held = support(case.procedure)
    if held and held.startswith("both sides"):
        return ["both sides (bs)"]
    return [words[held]] if held else []


def _coverings(case: Case) -> list[str]:
    matches = [re.match(r"E\d{2,3}?(\d{2})(?:$|-)", name) for name, _ in case.filler_classes()]
    return list(dict.fromkeys(match[1] for match in matches if match))


def _layers(case: Case) -> list[str]:
    known = {"multi": "multi-layer", "single": "single layer"}
    return [known[found]] if (found := runs(case.procedure)) else []


def _material(case: Case) -> list[str]:
    return [
        found.partition(".")[0]
        for metal in case.procedure.base_metals
        if metal.group and (found := metal.group.text)
    ]


_SAYS: dict[str, Callable[[Case], list[str]]] = {
    "process": _processes,
    "position": _positions,
    "backing": _backings,
    "filler material group": filler_groups,
    "covering": _coverings,
    "layers": _layers,
    "material group": lambda case: list(dict.fromkeys(_material(case))),
}
"""What a document says of the variables that are compared."""


def _size(case: Case, tested: Case, variable: str, rows: list[dict[str, Any]]) -> Line:
    """Compare a thickness or a diameter with the limits that stand in the rules."""
    name, _ = SIZES[variable]
    diameter = "diameter" in variable
    one = tested.procedure
    coupon = one.pipe_diameter if diameter else (
        (one.test_deposit or one.coupon_thickness or one.thickness)
        if variable.startswith("deposited")
        else (one.coupon_thickness or one.thickness)
    )  # fmt: skip
    claims = case.procedure.pipe_diameter if diameter else (
        (case.procedure.deposit_thickness or case.procedure.thickness)
        if variable.startswith("deposited")
        else case.procedure.thickness
    )  # fmt: skip
    shown = {"claim": ", ".join(map(str, claims)), "tested": ", ".join(map(str, coupon))}
    if diameter and not claims:
        return _made(case, rows[0], "does not apply", why="the procedure is for no pipe")
    if not claims or not coupon:
        why = f"{'the procedure' if not claims else 'the certificate'} does not say it"
        return _made(case, rows[0], "not stated", why=why, **shown)
    found = _limits(case, name, coupon[0])
    if found is None:
        return _made(case, rows[0], "you must check", why="no line includes the test", **shown)
    low, high, unit, rule = found
    scale = SCALE[unit]
    covered = all(
        (least is None or least >= low * scale * (1 - sizes.NEAR))
        and (most is None or most <= high * scale * (1 + sizes.NEAR))
        and not (claim.unlimited and not math.isinf(high))
        for claim in claims
        for least, most in [(metres(case, claim.low, claim), metres(case, claim.high, claim))]
    )
    qualified = sizes.span(low, high, unit)
    state: State = "covered" if covered else "not covered"
    return replace(
        _made(case, rows[0], state, qualified=qualified, why=rule["condition"] or "", **shown),
        clause=rule["clause"] or "",
        says=f"{case.code} {rule['clause']}: {variable.partition(',')[0]} {shown['claim']}: the "
        f"welder is qualified for {qualified}",
    )


def _limits(
    case: Case, name: str, coupon: Range
) -> tuple[float, float, str, dict[str, Any]] | None:
    size = metres(case, coupon.high, coupon)
    unit = "mm" if coupon.unit in ("mm", "cm", "m") else "in"
    if size is None:
        return None
    rows = case.store.rows(
        "SELECT * FROM qualification_rules WHERE standard = $code AND variable = $name "
        "ORDER BY rowid",
        {"code": case.code, "name": name},
    )
    # A sign was lost where a line begins: its edge belongs to the line above.
    for row in rows:
        if sizes.in_band(case, size, row, unit):
            low, high = (
                sizes.limit(case, row, end, size / SCALE[unit], unit) for end in ("lower", "upper")
            )
            return low, high, unit, row
    return None


def _made(case: Case, row: dict[str, Any], state: State, **more: Any) -> Line:
    """A line of the certificate's standard; the locator is the clause."""
    own = row | {"clause": row["locator"], "variable": row["variable"]}
    return line(case, own, state, **more)
