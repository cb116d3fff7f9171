"""Compare the thickness of base metal and deposit, and the diameter of pipe, with the record."""

from __future__ import annotations

import math
from collections.abc import Iterator

from weldref.audit.case import Case
from weldref.audit.codes import evaluate
from weldref.audit.covering import Line, Pair, Row
from weldref.procedures.model import Procedure, Range

SCALE = {"in": 0.0254, "mm": 0.001}
"""Metres in a unit of the codes' tables."""

NEAR = 0.02
"""Sizes within this share of each other are one nominal size: 3/16 in is printed as 4.8 mm."""

NEXT_LINE = 1.5
"""A claim that starts this many times higher than it may looks like the table's next line."""


def inch_or_mm(given: Range) -> str:
    """The unit, of the two that codes print, in which a range is compared."""
    return "mm" if given.unit in ("mm", "cm", "m") else "in"


def _own_size(case: Case, size: float, printed: str, wanted: str) -> float:
    """Convert a size of a rule to inches or millimetres, as the code's other column prints it."""
    if printed == wanted or printed not in SCALE or wanted not in SCALE:
        return size
    if printed == "in":
        twins = case.rows(
            "SELECT mm FROM metric_columns WHERE standard = $code AND abs(inch - $size) < 1e-6",
            code=case.code,
            size=size,
        )
        if twins:
            return float(twins[0]["mm"])
    return size * SCALE[printed] / SCALE[wanted]


def in_band(case: Case, tested: float, row: Row, unit: str) -> bool:
    """Whether a tested size in metres is in the band for which a rule is printed."""
    size = tested / SCALE[unit]
    low, high = (
        None if edge is None else _own_size(case, edge, row["tested_unit"], unit)
        for edge in (row["tested_min"], row["tested_max"])
    )
    slack = 1e-3 * size  # 9.53 mm is the coupon of 3/8 in
    # The slack widens the band at an edge that belongs to it, and narrows it at any other.
    above = low is None or size > low + (-slack if row["tested_min_inclusive"] else slack)
    below = high is None or size < high + (slack if row["tested_max_inclusive"] else -slack)
    return above and below


def limits(case: Case, row: Row, tested: float, unit: str) -> tuple[float, float]:
    """Both limits of a rule in a unit, for a tested size in metres; 0 and infinity for no limit."""
    size = tested / SCALE[unit]
    printed = row["unit"] if row["unit"] in SCALE else row["tested_unit"]

    def limit(end: str, without: float) -> float:
        if row[f"{end}_rule"]:
            return evaluate(
                row[f"{end}_rule"], size, lambda one: _own_size(case, one, printed, unit)
            )
        if row[end] is None:
            return without
        if row["rule_kind"] == "range_factor":
            return float(row[end]) * size
        return _own_size(case, row[end], row["unit"], unit)

    return limit("lower", 0.0), limit("upper", math.inf)


def is_inside(case: Case, claimed: Range, low: float, high: float, unit: str) -> bool:
    """Whether a claim is inside both limits in a unit, as nominal sizes."""
    least, most = case.ends(claimed)
    return (
        (least is None or least >= low * SCALE[unit] * (1 - NEAR))
        and (most is None or most <= high * SCALE[unit] * (1 + NEAR))
        and not (claimed.unlimited and not math.isinf(high))
    )


def thickness(pair: Pair) -> Iterator[Line]:
    """Compare the base metal thickness with what the coupon qualifies."""
    coupons = _coupons(pair.record)
    tested = pair.case.ends(coupons[0])[0] if coupons else None
    if tested is None or not in_band(pair.case, tested, pair.row, inch_or_mm(coupons[0])):
        return
    fillet = "fillet" in pair.row["clause"]
    of_fillet, joint = pair.record.joint.is_fillet, pair.procedure.joint
    claims_fillet = joint.is_fillet or (of_fillet and not joint.is_groove)
    # A butt weld test covers fillets too, by the table for fillets if the code has one.
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
    """Compare one range of thickness with what a coupon of `tested` metres qualifies."""
    unit = inch_or_mm(claimed)
    scale = SCALE[unit]
    low, high = limits(pair.case, pair.row, tested, unit)
    least, most = pair.case.ends(claimed)
    covered = is_inside(pair.case, claimed, low, high, unit)
    what = f"thickness {claimed}"
    if covered and least is not None and least > low * scale * NEXT_LINE and low:
        what += " (starts higher than the rule asks: was the right line of the table used?)"
    return pair.covers(
        covered, what, f"{span(low, high, unit)} from a coupon of {coupon}", claimed,
        wanted=(least or 0.0, math.inf if most is None or claimed.unlimited else most),
        reaches=(low * scale * (1 - NEAR), high * scale * (1 + NEAR)),
    )  # fmt: skip


def _coupons(record: Procedure) -> list[Range]:
    """List the single thicknesses that were tested: of coupons, else of the plate."""
    for ranges in (record.coupon_thickness, record.thickness):
        if single := [one for one in ranges if one.single]:
            return single
    return []


def _has_fillet_rules(case: Case) -> bool:
    """Whether the tables hold rules of the code for fillets; its butt tables are then not used."""
    return bool(
        case.rows(
            "SELECT 1 FROM qualification_rules WHERE standard = $code AND status IS NULL "
            "AND (clause LIKE '%fillet%' OR lower(variable) LIKE 'fillet%') LIMIT 1",
            code=case.code,
        )
    )


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
    """The ranges of thickness that the document claims, without those "with impact tests"."""
    claims: dict[tuple[float | None, float | None, str], Range] = {}
    for one in (*procedure.thickness, *procedure.qualified_thickness):
        if "impact" not in one.of:
            claims.setdefault((one.low, one.high, one.unit), one)
    return list(claims.values())


def impact(pair: Pair) -> Iterator[Line]:
    """With impact tests the least thickness that the record covers is greater."""
    case, row = pair.case, pair.row
    coupon = next(iter(_coupons(pair.record)), None)
    tested = case.ends(coupon)[0] if coupon else None
    if coupon is None or tested is None or not pair.impact:
        return
    unit = inch_or_mm(coupon)
    if row["rule_kind"] == "table":  # for coupons that the next row does not include
        if tested < _own_size(case, 0.25, "in", unit) * SCALE[unit] * (1 - 1e-3):
            return
    elif not in_band(case, tested, row, unit):
        return
    for claimed in pair.procedure.thickness:
        unit = inch_or_mm(claimed)
        low, _ = limits(case, row, tested, unit)
        qualified = f"{low:.4g} {unit} and up with impact tests, from a coupon of {coupon}"
        lowest = Range(claimed.low, None, claimed.unit)
        covered = is_inside(case, lowest, low, math.inf, unit)
        yield pair.covers(covered, f"thickness {claimed}", qualified, claimed)


def deposit(pair: Pair) -> Iterator[Line]:
    """Compare the weld metal thickness, by process."""
    case, procedure = pair.case, pair.procedure
    for tested in pair.record.test_deposit:
        size = case.ends(tested)[1]
        if size is None or not in_band(case, size, pair.row, inch_or_mm(tested)):
            continue
        limit = pair.row["upper"] * size
        for claimed in (*procedure.deposit_thickness, *procedure.qualified_deposit):
            most = case.ends(claimed)[1]
            if most is None or (tested.of and claimed.of and tested.of not in claimed.of):
                tests = pair.record.test_deposit
                if claimed.of and not any(not one.of or one.of in claimed.of for one in tests):
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


def outside_diameter(pair: Pair) -> Iterator[Line]:
    """Compare the diameter of pipe with the factors that are printed for the tested one."""
    row, edge = pair.row, 0.025
    size = min(filter(None, (pair.test.ends(one)[0] for one in pair.record.pipe_diameter)),
               default=None)  # fmt: skip
    small, large = row["tested_max"] is not None, row["tested_min"] is not None
    if size is None or (small and size > edge * 1.001) or (large and size <= edge * 1.001):
        return
    low = max(size * row["lower"], edge if large else 0.0)
    high = size * row["upper"] if row["upper"] else math.inf
    for claimed in pair.procedure.pipe_diameter:
        least, most = pair.case.ends(claimed)
        if least is None and most is None:
            continue
        unit = "mm" if claimed.unit == "mm" else "in"
        first, last = (f"{end / SCALE[unit]:.4g}" for end in (low, high))
        ends = f"{first} {unit} and up" if math.isinf(high) else f"{first} to {last} {unit}"
        covered = (least is None or least >= low * (1 - 1e-3)) and (
            most is None or most <= high * (1 + 1e-3)
        )
        yield pair.covers(covered, f"outside diameter {claimed}", ends, claimed)


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
    elif all((pair.case.ends(one)[0] or 0.0) >= 0.5 * (1 - 1e-3) for one in claimed):
        if "500" in (pair.row["condition"] or ""):
            yield pair.covers(True, f"pipe {', '.join(map(str, claimed))}", "pipe over 500 mm")
        else:
            yield pair.other_work("covered as pipe over 500 mm")
