"""Compare thickness, deposit and electrode size with the test record."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from weldref.audit.case import Case
from weldref.audit.codes import evaluate
from weldref.audit.covering import (
    SCALE,
    Line,
    covers,
    has_impact,
    inch_or_mm,
    line,
    metres,
    own_size,
)
from weldref.procedures.model import Procedure, Range

NEAR = 0.02
"""Sizes within this share are one nominal size: 3/16 in is printed as 4.8 mm."""

NEXT_LINE = 1.5
"""A claim that starts so much higher than the rule lets it looks like the table's next line."""


def thickness(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare the base metal thickness with what the coupon qualifies."""
    coupons = _coupons(record)
    coupon, others = next(iter(coupons), None), coupons[1:]
    tested = metres(case, coupon.low, coupon) if coupon else None
    if coupon is None or tested is None or not in_band(case, tested, row, inch_or_mm(coupon)):
        return
    fillet = "fillet" in row["clause"]
    claims_fillet = case.procedure.joint.is_fillet or (
        record.joint.is_fillet and not case.procedure.joint.is_groove
    )
    # A butt weld test covers fillets too, by the fillet's table where the code has one.
    if fillet != claims_fillet and (fillet or _has_fillet_rules(case)):
        return
    if record.joint.is_fillet and not fillet:
        if case.procedure.joint.is_groove:
            yield from covers(
                case, row, False, "a groove weld", None, "fillet welds only, by a fillet test"
            )
        return
    for claimed in _claims(case.procedure):
        unit = inch_or_mm(claimed)
        size = tested / SCALE[unit]
        low, high = (limit(case, row, end, size, unit) for end in ("lower", "upper"))
        qualified = f"{span(low, high, unit)} from a coupon of {coupon}"
        least, most = metres(case, claimed.low, claimed), metres(case, claimed.high, claimed)
        scale = SCALE[unit]
        below = least is not None and least < low * scale * (1 - NEAR)
        above = (most is not None and most > high * scale * (1 + NEAR)) or (
            claimed.unlimited and not math.isinf(high)
        )
        what = f"thickness {claimed}"
        if least is not None and least > low * scale * NEXT_LINE and low and not above:
            what += " (starts higher than the rule asks: was the right line of the table used?)"
        yield from covers(
            case,
            row,
            not (below or above),
            what,
            claimed,
            qualified,
            wanted=(least or 0.0, math.inf if most is None or claimed.unlimited else most),
            reaches=(low * scale * (1 - NEAR), high * scale * (1 + NEAR)),
        )
    if others:
        left = ", ".join(map(str, others))
        why = f"the record names more coupons ({left}); only that of {coupon} was compared"
        yield line(case, row, "you must check", why=why)


def limit(case: Case, row: dict[str, Any], end: str, tested: float, unit: str) -> float:
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
        if single := [one for one in ranges if one.low is not None and one.low == one.high]:
            return single
    return []


def _has_fillet_rules(case: Case) -> bool:
    """Whether the tables hold rules of the code for fillets: its butt tables then say nothing."""
    rows = case.store.rows(
        "SELECT count(*) AS n FROM qualification_rules WHERE standard = $code AND status IS NULL "
        "AND (clause LIKE '%fillet%' OR lower(variable) LIKE 'fillet%')",
        {"code": case.code},
    )
    return bool(rows[0]["n"])


def any_fillet(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Some codes take any groove test for fillets of every size and thickness."""
    if case.procedure.joint.is_fillet:
        covered = not record.joint.is_fillet or row["level"] == "1"
        if covered:
            yield from covers(
                case, row, True, "fillet weld", None, "fillets of any size and thickness"
            )


def span(low: float, high: float, unit: str) -> str:
    """Write a range of thickness."""
    digits = 4 if unit == "in" else 3  # 3/16 in is 0.1875 in
    if math.isinf(high):
        return f"{low:.{digits}g} {unit} and up" if low else "any thickness"
    return (
        f"{low:.{digits}g} to {high:.{digits}g} {unit}"
        if low
        else f"up to {high:.{digits}g} {unit}"
    )


def _claims(procedure: Procedure) -> list[Range]:
    """The ranges of thickness that the document claims, those "with impact tests" left out."""
    printed = (*procedure.thickness, *procedure.qualified_thickness)
    claims: list[Range] = []
    for one in printed:
        same = any((one.low, one.high, one.unit) == (c.low, c.high, c.unit) for c in claims)
        if not same and "impact" not in one.of:
            claims.append(one)
    return claims


def impact(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """With impact tests the record does not reach so far down."""
    coupon = next(iter(_coupons(record)), None)
    tested = metres(case, coupon.low, coupon) if coupon else None
    if coupon is None or tested is None or not has_impact(record):
        return
    if row["rule_kind"] == "table":  # for coupons that the row below does not take in
        unit = inch_or_mm(coupon)
        if tested < own_size(case, 0.25, "in", unit) * SCALE[unit] * (1 - 1e-3):
            return
    elif not in_band(case, tested, row, inch_or_mm(coupon)):
        return
    for claimed in case.procedure.thickness:
        unit = inch_or_mm(claimed)
        low = limit(case, row, "lower", tested / SCALE[unit], unit)
        qualified = f"{low:.4g} {unit} and up with impact tests, from a coupon of {coupon}"
        least = metres(case, claimed.low, claimed)
        covered = least is None or least >= low * SCALE[unit] * (1 - NEAR)
        what = f"thickness {claimed}"
        yield from covers(case, row, covered, what, claimed, qualified)


def in_band(case: Case, tested: float, row: dict[str, Any], unit: str) -> bool:
    """Whether a tested size in metres is in a rule's band, whose edges the code prints."""
    size = tested / SCALE[unit]
    low, high = (
        None if edge is None else own_size(case, edge, row["tested_unit"], unit)
        for edge in (row["tested_min"], row["tested_max"])
    )
    slack = 1e-3 * size  # 9.53 mm is the coupon of 3/8 in
    above = (
        low is None or size > low + slack or (row["tested_min_inclusive"] and size >= low - slack)
    )
    below = (
        high is None
        or size < high - slack
        or (row["tested_max_inclusive"] and size <= high + slack)
    )
    return bool(above and below)


def deposit(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare the weld metal thickness, by process."""
    for tested in record.test_deposit:
        size = metres(case, tested.high, tested)
        if size is None or not in_band(case, size, row, inch_or_mm(tested)):
            continue
        limit = row["upper"] * size
        for claimed in (*case.procedure.deposit_thickness, *case.procedure.qualified_deposit):
            most = metres(case, claimed.high, claimed)
            if most is None or (tested.of and claimed.of and tested.of not in claimed.of):
                if claimed.of and not _has_deposit(record, claimed.of):
                    yield line(
                        case, row, "you must check", claim=str(claimed), place=claimed.place,
                        says=f"{case.code} {row['clause']}: deposit {claimed} {claimed.of}: the "
                        "record states no deposit of it",
                        why="the record states no deposit of that process",
                    )  # fmt: skip
                continue
            shown = f"{case.units.convert(limit, claimed.unit):.4g} {claimed.unit}"
            qualified = f"up to {shown} deposit from {tested} {tested.of}".strip()
            covered = most <= limit * 1.005
            what = f"deposit {claimed} {claimed.of}".strip()
            yield from covers(case, row, covered, what, claimed, qualified)


def _has_deposit(record: Procedure, of: str) -> bool:
    return any(not one.of or one.of in of for one in record.test_deposit)


def _sizes(case: Case, procedure: Procedure) -> list[tuple[float, Range]]:
    given = [size for weld in procedure.passes for size in weld.sizes]
    given += [size for filler in procedure.fillers for size in filler.sizes]
    found = [(metres(case, size.high, size), size) for size in given]
    return [(value, size) for value, size in found if value is not None]


def diameter(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare the greatest filler size with the greatest tested."""
    tested, claimed = _sizes(case, record), _sizes(case, case.procedure)
    if not tested or not claimed:
        return
    largest, size = max(claimed, key=lambda pair: pair[0])
    limit = max(value for value, _ in tested) + row["upper"] * 0.0254
    qualified = f"a size up to {limit / 0.0254:.4g} in"
    covered = largest <= limit + 5e-5
    yield from covers(case, row, covered, f"filler size {size}", size, qualified)
