"""Compare the thickness of base metal and deposit with the test record."""

from __future__ import annotations

import math
from collections.abc import Iterator

from weldref.audit.case import Case
from weldref.audit.codes import evaluate
from weldref.audit.covering import (
    SCALE,
    Line,
    Pair,
    Row,
    has_impact,
    inch_or_mm,
    metres,
    own_size,
)
from weldref.procedures.model import Procedure, Range

NEAR = 0.02
"""Sizes within this share are one nominal size: 3/16 in is printed as 4.8 mm."""

NEXT_LINE = 1.5
"""A claim that starts so much higher than the rule lets it looks like the table's next line."""


def thickness(pair: Pair) -> Iterator[Line]:
    """Compare the base metal thickness with what the coupon qualifies."""
    coupons = _coupons(pair.record)
    tested = metres(pair.case, coupons[0].low, coupons[0]) if coupons else None
    if tested is None or not in_band(pair.case, tested, pair.row, inch_or_mm(coupons[0])):
        return
    fillet = "fillet" in pair.row["clause"]
    of_fillet, joint = pair.record.joint.is_fillet, pair.procedure.joint
    claims_fillet = joint.is_fillet or (of_fillet and not joint.is_groove)
    # A butt weld test covers fillets too, by the fillet's table where the code has one.
    if fillet != claims_fillet and (fillet or _has_fillet_rules(pair.case)):
        return
    if of_fillet and not fillet:
        if joint.is_groove:
            yield pair.covers(False, "a groove weld", "fillet welds only, by a fillet test")
        return
    for claimed in _claims(pair.procedure):
        yield _reached(pair, claimed, tested, coupons[0])
    if len(coupons) > 1:
        left = ", ".join(map(str, coupons[1:]))
        why = f"the record names more coupons ({left}); only that of {coupons[0]} was compared"
        yield pair.line("you must check", why=why)


def _reached(pair: Pair, claimed: Range, tested: float, coupon: Range) -> Line:
    """Compare one range of thickness with what a coupon of this many metres qualifies."""
    unit = inch_or_mm(claimed)
    scale = SCALE[unit]
    low, high = (
        limit(pair.case, pair.row, end, tested / scale, unit) for end in ("lower", "upper")
    )
    least, most = (metres(pair.case, end, claimed) for end in (claimed.low, claimed.high))
    below = least is not None and least < low * scale * (1 - NEAR)
    above = (most is not None and most > high * scale * (1 + NEAR)) or (
        claimed.unlimited and not math.isinf(high)
    )
    what = f"thickness {claimed}"
    if least is not None and least > low * scale * NEXT_LINE and low and not above:
        what += " (starts higher than the rule asks: was the right line of the table used?)"
    return pair.covers(
        not (below or above),
        what,
        f"{span(low, high, unit)} from a coupon of {coupon}",
        claimed,
        wanted=(least or 0.0, math.inf if most is None or claimed.unlimited else most),
        reaches=(low * scale * (1 - NEAR), high * scale * (1 + NEAR)),
    )


def limit(case: Case, row: Row, end: str, tested: float, unit: str) -> float:
    """One limit of a rule in a unit, for a tested size in it; without a rule there is no end."""
    if row[f"{end}_rule"]:
        printed = row["unit"] if row["unit"] in SCALE else row["tested_unit"]
        return evaluate(
            row[f"{end}_rule"], tested, lambda size: own_size(case, size, printed, unit)
        )
    if row[end] is None:
        return 0.0 if end == "lower" else math.inf
    if row["rule_kind"] == "range_factor":
        return float(row[end]) * tested
    return own_size(case, row[end], row["unit"], unit)


def _coupons(record: Procedure) -> list[Range]:
    """List the single thicknesses that were tested: of coupons, else of the plate."""
    for ranges in (record.coupon_thickness, record.thickness):
        if single := [one for one in ranges if one.single]:
            return single
    return []


def _has_fillet_rules(case: Case) -> bool:
    """Whether the tables hold rules of the code for fillets: its butt tables then say nothing."""
    rows = case.rows(
        "SELECT count(*) AS n FROM qualification_rules WHERE standard = $code AND status IS NULL "
        "AND (clause LIKE '%fillet%' OR lower(variable) LIKE 'fillet%')",
        code=case.code,
    )
    return bool(rows[0]["n"])


def any_fillet(pair: Pair) -> Iterator[Line]:
    """Some codes take any groove test for fillets of every size and thickness."""
    by_groove = not pair.record.joint.is_fillet
    if pair.procedure.joint.is_fillet and (by_groove or pair.row["level"] == "1"):
        yield pair.covers(True, "fillet weld", "fillets of any size and thickness")


def span(low: float, high: float, unit: str) -> str:
    """Write a range of thickness."""
    digits = 4 if unit == "in" else 3  # 3/16 in is 0.1875 in
    first, last = f"{low:.{digits}g}", f"{high:.{digits}g}"
    if math.isinf(high):
        return f"{first} {unit} and up" if low else "any thickness"
    return f"{first} to {last} {unit}" if low else f"up to {last} {unit}"


def _claims(procedure: Procedure) -> list[Range]:
    """The ranges of thickness that the document claims, those "with impact tests" left out."""
    claims: dict[tuple[float | None, float | None, str], Range] = {}
    for one in (*procedure.thickness, *procedure.qualified_thickness):
        if "impact" not in one.of:
            claims.setdefault((one.low, one.high, one.unit), one)
    return list(claims.values())


def impact(pair: Pair) -> Iterator[Line]:
    """With impact tests the record does not reach so far down."""
    case, row = pair.case, pair.row
    coupon = next(iter(_coupons(pair.record)), None)
    tested = metres(case, coupon.low, coupon) if coupon else None
    if coupon is None or tested is None or not has_impact(pair.record):
        return
    unit = inch_or_mm(coupon)
    if row["rule_kind"] == "table":  # for coupons that the row below does not take in
        if tested < own_size(case, 0.25, "in", unit) * SCALE[unit] * (1 - 1e-3):
            return
    elif not in_band(case, tested, row, unit):
        return
    for claimed in pair.procedure.thickness:
        unit = inch_or_mm(claimed)
        low = limit(case, row, "lower", tested / SCALE[unit], unit)
        least = metres(case, claimed.low, claimed)
        yield pair.covers(
            least is None or least >= low * SCALE[unit] * (1 - NEAR),
            f"thickness {claimed}",
            f"{low:.4g} {unit} and up with impact tests, from a coupon of {coupon}",
            claimed,
        )


def in_band(case: Case, tested: float, row: Row, unit: str) -> bool:
    """Whether a tested size in metres is in a rule's band, whose edges the code prints."""
    size = tested / SCALE[unit]
    low, high = (
        None if edge is None else own_size(case, edge, row["tested_unit"], unit)
        for edge in (row["tested_min"], row["tested_max"])
    )
    slack = 1e-3 * size  # 9.53 mm is the coupon of 3/8 in
    # An edge that the band includes is reached from outside it, another is not.
    above = low is None or size > low + (-slack if row["tested_min_inclusive"] else slack)
    below = high is None or size < high + (slack if row["tested_max_inclusive"] else -slack)
    return above and below


def deposit(pair: Pair) -> Iterator[Line]:
    """Compare the weld metal thickness, by process."""
    case, procedure = pair.case, pair.procedure
    for tested in pair.record.test_deposit:
        size = metres(case, tested.high, tested)
        if size is None or not in_band(case, size, pair.row, inch_or_mm(tested)):
            continue
        limit = pair.row["upper"] * size
        for claimed in (*procedure.deposit_thickness, *procedure.qualified_deposit):
            most = metres(case, claimed.high, claimed)
            if most is None or (tested.of and claimed.of and tested.of not in claimed.of):
                if claimed.of and not _has_deposit(pair.record, claimed.of):
                    yield pair.check(
                        f"deposit {claimed} {claimed.of}: the record states no deposit of it",
                        "the record states no deposit of that process",
                        claim=str(claimed),
                        place=claimed.place,
                    )
                continue
            shown = f"{case.units.convert(limit, claimed.unit):.4g} {claimed.unit}"
            yield pair.covers(
                most <= limit * 1.005,
                f"deposit {claimed} {claimed.of}".strip(),
                f"up to {shown} deposit from {tested} {tested.of}".strip(),
                claimed,
            )


def _has_deposit(record: Procedure, of: str) -> bool:
    return any(not one.of or one.of in of for one in record.test_deposit)
