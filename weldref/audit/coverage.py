"""Does the test record cover what the procedure claims, under the code asked for?"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import Any

from weldref.audit.case import Case
from weldref.audit.codes import code_in, evaluate
from weldref.audit.consistency import passes
from weldref.audit.finding import Finding, Rule, rule
from weldref.errors import InputError
from weldref.procedures.model import Procedure, Range

NEAR = 0.02
"""Sizes within this share are one nominal size: 1 1/2 in is printed as 38 mm."""

NEXT_LINE = 1.5
"""A claim that starts so much higher than the rule lets it looks like the table's next line."""

PROCESSES = ("SMAW", "GMAW", "FCAW", "GTAW", "SAW")
_MEASURES = {
    "amperage": ("current", "current"),
    "voltage": ("voltage", "voltage"),
    "travel speed": ("travel_speed", "speed"),
    "wire feed speed": ("wire_feed_speed", "speed"),
    "gas flow": ("gas_flow", "flow"),
}


@rule(
    "record-coverage",
    "coverage",
    "Does the test record cover what the procedure claims, by the rules of the code asked for?",
    "",
    "",
    "memory",
)
def record_coverage(case: Case, this: Rule) -> Iterator[Finding]:
    """Walk the code's rules that the tables hold, and say which were not looked at.

    A document that carries its own test coupon is held against that coupon's sizes.
    """
    if case.record is None or case.code is None:
        return
    own = case.record is case.procedure
    made_to = code_in(" ".join(text.text for text in case.record.standards))
    if made_to is not None and made_to != case.code:
        yield this.finding(
            "question",
            f"the record names {made_to} and is compared under {case.code}",
            place=case.record.standards[0].place,
            value=made_to,
            expected=case.code,
            source_id="",
            grade="read",
            next_step="see whether that code takes a test made to the other",
        )
    rows = case.store.rows(
        """
        SELECT * FROM qualification_rules WHERE standard = $code AND status IS NULL
        ORDER BY rowid
        """,
        {"code": case.code},
    )
    skipped: list[str] = []
    silent: list[str] = []
    compared: set[str] = set()
    for row in rows:
        if not _for_process(case, row["process"]) or row["application"] is not None:
            continue
        compare = handler(row)
        if own and compare not in (_thickness, _impact, _deposit):
            continue
        named = f"{row['clause']} {row['variable']}"
        if compare is None:
            skipped.append(named)
            continue
        found = list(compare(case, case.record, this, row))
        compared |= {named} if found else set()
        if not found:
            silent.append(named)
        yield from found
    silent = [named for named in dict.fromkeys(silent) if named not in compared]
    if silent and not own:
        yield this.finding(
            "note",
            f"{case.code}: not compared here, for want of a value on one side: {'; '.join(silent)}",
            grade="read",
            next_step="compare these by hand",
        )
    if not own:
        held = f"; {'; '.join(dict.fromkeys(skipped))}" if skipped else ""
        yield this.finding(
            "note",
            f"{case.code}: not compared here: position, progression, polarity and filler metal "
            f"class{held}",
            grade="read",
            next_step="compare these by hand, and verify every rule against the standard",
        )


def _for_process(case: Case, processes: str | None) -> bool:
    return any(_names(processes, process) for process in case.processes or (None,))


def _names(processes: str | None, process: str | None) -> bool:
    """Whether a rule's processes take in this one."""
    named = {part.strip() for part in (processes or "all").split(";")}
    return "all" in named or (process or "").split("-")[0] in named


Handler = Callable[[Case, Procedure, Rule, dict[str, Any]], Iterator[Finding]]


def handler(row: dict[str, Any]) -> Handler | None:
    """The comparison that a rule's row asks for; None where there is none yet."""
    variable = row["variable"].casefold()
    kind = row["rule_kind"]
    if kind == "table" and variable in (
        "base metal thickness",
        "plate thickness cjp",
        "thickness t",
    ):
        return _thickness
    if variable == "base metal minimum with impact":
        return _impact
    if kind == "range_factor" and "deposited thickness" in variable and row["upper"]:
        return _deposit
    if kind == "max_decrease" and variable == "preheat":
        return _preheat
    if kind == "max_increase" and variable == "interpass":
        return _interpass
    if kind == "range_percent" and variable in _MEASURES:
        return _percent
    if kind == "max_increase" and variable in ("filler diameter", "electrode size"):
        return _diameter
    if variable == "p-number":
        return _metals
    if variable == "gas composition":
        return _gas
    return None


def _report(
    case: Case,
    this: Rule,
    row: dict[str, Any],
    covered: bool,
    what: str,
    claimed: Range | None,
    qualified: str,
) -> Iterator[Finding]:
    memory = row["how_read"] == "memory"
    yield this.finding(
        # A rule that was only recalled never gives a plain pass.
        ("question" if memory else "note") if covered else "not covered",
        f"{case.code} {row['clause']}: {what}: the record qualifies {qualified}"
        + ("" if not covered or not memory else " (recalled rule)"),
        place=claimed.place if claimed is not None else "",
        value=str(claimed) if claimed is not None else "",
        expected=qualified,
        source_id=row["source_id"],
        locator=row["locator"] or "",
        grade=row["how_read"],
        next_step=("" if covered else "narrow the procedure, or qualify it by another test")
        or ("verify against the standard" if memory else ""),
    )


def _metres(case: Case, number: float | None, given: Range) -> float | None:
    if number is None:
        return None
    value = case.value(number, given, "length")
    return None if value is None else value.si


def _coupon(record: Procedure) -> Range | None:
    for given in (*record.coupon_thickness, *record.thickness):
        if given.low is not None and given.low == given.high:
            return given
    return None


def _thickness(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    coupon = _coupon(record)
    tested = _metres(case, coupon.low, coupon) if coupon else None
    if coupon is None or tested is None:
        return
    scale = 0.0254 if row["unit"] == "in" else 0.001
    size = tested / scale
    if not _in_band(size, row) or ("fillet" in row["clause"]) != record.joint.is_fillet:
        return
    low = row["lower"] if row["lower"] is not None else 0.0
    if row["lower_rule"]:
        low = evaluate(row["lower_rule"], size)
    high = row["upper"] if row["upper"] is not None else math.inf
    if row["upper_rule"]:
        high = evaluate(row["upper_rule"], size)
    qualified = f"{_span(low, high, row['unit'], coupon.unit)} from a coupon of {coupon}"
    for claimed in _claims(case.procedure):
        least, most = _metres(case, claimed.low, claimed), _metres(case, claimed.high, claimed)
        below = least is not None and least < low * scale * (1 - NEAR)
        above = (most is not None and most > high * scale * (1 + NEAR)) or (
            claimed.unlimited and not math.isinf(high)
        )
        what = f"thickness {claimed}"
        if least is not None and least > low * scale * NEXT_LINE and not above:
            what += " (starts higher than the rule asks: was the right line of the table used?)"
        yield from _report(case, this, row, not (below or above), what, claimed, qualified)


def _span(low: float, high: float, unit: str, other: str) -> str:
    """Write a range in the rule's unit and, where it differs, in that of the document."""

    def written(scale: float, name: str) -> str:
        if math.isinf(high):
            return f"{low * scale:.3g} {name} and up"
        return f"{low * scale:.3g} to {high * scale:.3g} {name}"

    shown = written(1, unit)
    if other == unit or other not in ("in", "mm"):
        return shown
    return f"{shown} ({written(25.4 if unit == 'in' else 1 / 25.4, other)})"


def _claims(procedure: Procedure) -> list[Range]:
    """The ranges of thickness that the document claims, those "with impact tests" left out."""
    printed = (*procedure.thickness, *procedure.qualified_thickness)
    claims: list[Range] = []
    for one in printed:
        same = any((one.low, one.high, one.unit) == (c.low, c.high, c.unit) for c in claims)
        if not same and "impact" not in one.of:
            claims.append(one)
    return claims


def _impact(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    """With impact tests the record does not reach so far down."""
    tests = " ".join(f"{entry.name} {entry.text}" for entry in record.tests).casefold()
    coupon = _coupon(record)
    tested = _metres(case, coupon.low, coupon) if coupon else None
    if tested is None or not any(word in tests for word in ("impact", "charpy", "toughness")):
        return
    size = tested / 0.0254
    if row["rule_kind"] == "table":  # for coupons that the row below does not take in
        if size < 0.25 * (1 - 1e-3):
            return
        low = evaluate(row["lower_rule"], size)
    else:
        if not _in_band(size, row):
            return
        low = row["lower"] * size
    qualified = f"{low:.4g} in and up with impact tests, from a coupon of {coupon}"
    for claimed in case.procedure.thickness:
        least = _metres(case, claimed.low, claimed)
        covered = least is None or least >= low * 0.0254 * (1 - 0.02)
        what = f"thickness {claimed}"
        yield from _report(case, this, row, covered, what, claimed, qualified)


def _in_band(size: float, row: dict[str, Any]) -> bool:
    low, high = row["tested_min"], row["tested_max"]
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


def _deposit(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    for tested in record.test_deposit:
        size = _metres(case, tested.high, tested)
        if size is None or not _in_band(size / 0.0254, row):
            continue
        limit = row["upper"] * size
        for claimed in (*case.procedure.deposit_thickness, *case.procedure.qualified_deposit):
            most = _metres(case, claimed.high, claimed)
            if most is None or (tested.of and claimed.of and tested.of not in claimed.of):
                continue
            shown = f"{case.units.convert(limit, claimed.unit):.4g} {claimed.unit}"
            qualified = f"up to {shown} deposit from {tested} {tested.of}".strip()
            covered = most <= limit * 1.005
            what = f"deposit {claimed} {claimed.of}".strip()
            yield from _report(case, this, row, covered, what, claimed, qualified)


def _kelvin(case: Case, given: tuple[Range, ...], end: str) -> list[tuple[float, Range]]:
    """Each stated end in kelvin, with the range that it stands in."""
    found = []
    for one in given:
        number = getattr(one, end)
        value = case.value(number, one, "temperature") if number is not None else None
        if value is not None:
            found.append((value.si, one))
    return found


def _step(row: dict[str, Any]) -> float:
    """A permitted change of temperature in kelvin."""
    return float(row["upper"]) / (1.8 if row["unit"] == "delta_degF" else 1.0)


def _rounding(one: Range, other: Range) -> float:
    """The kelvin by which two temperatures in whole degrees of other scales may seem to differ."""
    return 1e-6 if one.unit == other.unit else 0.6


def _preheat(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    # The lowest preheat that was tested reaches farthest.
    tested = sorted(_kelvin(case, record.preheat_min, "low"), key=_first)
    for kelvin, claimed in _kelvin(case, case.procedure.preheat_min, "low") if tested else ():
        lowest, stated = tested[0]
        least = lowest - _step(row)
        limit = case.units.convert(least, claimed.unit)
        qualified = f"a preheat of {limit:.0f} {claimed.unit} and up from {stated}"
        covered = kelvin >= least - _rounding(stated, claimed)
        yield from _report(case, this, row, covered, f"preheat {claimed}", claimed, qualified)


def _interpass(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    tested = sorted(_kelvin(case, record.interpass_max, "high"), key=_first)
    for kelvin, claimed in _kelvin(case, case.procedure.interpass_max, "high") if tested else ():
        highest, stated = tested[-1]
        most = highest + _step(row)
        limit = case.units.convert(most, claimed.unit)
        qualified = f"an interpass temperature up to {limit:.0f} {claimed.unit} from {stated}"
        covered = kelvin <= most + _rounding(stated, claimed)
        yield from _report(case, this, row, covered, f"interpass {claimed}", claimed, qualified)


def _first(pair: tuple[float, Range]) -> float:
    return pair[0]


def _means(case: Case, record: Procedure, name: str, dimension: str) -> dict[str | None, float]:
    """The mean of the record's passes in SI, by process."""
    other = Case(case.store, record)
    values: dict[str | None, list[float]] = {}
    for weld, _, process in passes(other):
        given: Range | None = getattr(weld, name)
        for number in (given.low, given.high) if given else ():
            value = case.value(number, given, dimension) if given and number is not None else None
            if value is not None:
                values.setdefault(process, []).append(value.si)
    return {process: sum(found) / len(found) for process, found in values.items()}


def _percent(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    name, dimension = _MEASURES[row["variable"].casefold()]
    means = _means(case, record, name, dimension)
    for weld, label, process in passes(case):
        given: Range | None = getattr(weld, name)
        if given is None or process not in means or not _names(row["process"], process):
            continue
        ends = [case.value(n, given, dimension) for n in (given.low, given.high) if n is not None]
        stated = [end for end in ends if end is not None]
        if not stated:
            continue
        low, high = (means[process] * (1 + row[end] / 100) for end in ("lower", "upper"))
        shown = [case.units.convert(end, stated[0].unit) for end in (low, high)]
        qualified = (
            f"{shown[0]:.4g} to {shown[1]:.4g} {stated[0].unit} around the mean of its "
            f"{process or 'only'} passes"
        )
        covered = all(low * (1 - 1e-6) <= end.si <= high * (1 + 1e-6) for end in stated)
        open_end = "" if None not in (given.low, given.high) else " (one end only is stated)"
        what = f"{label}: {row['variable']} {given}{open_end}"
        yield from _report(case, this, row, covered and not open_end, what, given, qualified)


def _sizes(case: Case, procedure: Procedure) -> list[tuple[float, Range]]:
    given = [size for weld in procedure.passes for size in weld.sizes]
    given += [size for filler in procedure.fillers for size in filler.sizes]
    found = [(_metres(case, size.high, size), size) for size in given]
    return [(value, size) for value, size in found if value is not None]


def _diameter(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    tested, claimed = _sizes(case, record), _sizes(case, case.procedure)
    if not tested or not claimed:
        return
    largest, size = max(claimed, key=lambda pair: pair[0])
    limit = max(value for value, _ in tested) + row["upper"] * 0.0254
    qualified = f"a size up to {limit / 0.0254:.4g} in"
    covered = largest <= limit + 5e-5
    yield from _report(case, this, row, covered, f"filler size {size}", size, qualified)


def _metals(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    other = Case(case.store, record)

    def groups(one: Case) -> dict[str, set[str]]:
        return {
            name: {
                kind.split(",")[0]
                for kind in one.kinds("material", name)
                if kind.startswith("P-No.")
            }
            for name, _ in one.metals
        }

    tested, claimed = groups(other), groups(case)
    qualified = sorted(set().union(*tested.values()))
    asked = sorted(set().union(*claimed.values()))
    unknown = sorted(name for name, found in claimed.items() if not found)
    if unknown and qualified:
        yield this.finding(
            "question",
            f"{case.code} {row['clause']}: the tables give no P-Number for {', '.join(unknown)}: "
            "whether the record covers it was not compared",
            value=", ".join(unknown),
            expected=", ".join(qualified),
            source_id=row["source_id"],
            locator=row["locator"] or "",
            grade=row["how_read"],
            next_step="look the P-Number up in the code",
        )
    if qualified and asked:
        what = f"base metals of {', '.join(asked)}"
        covered = set(asked) <= set(qualified)
        yield from _report(case, this, row, covered, what, None, ", ".join(qualified))


def _gas(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:

    def compositions(one: Procedure) -> dict[str, Any]:
        texts = [g.composition for g in one.gases if g.role == "shielding"]
        found = {}
        for text in (*texts, *(weld.gas for weld in one.passes)):
            with suppress(InputError):
                if text:
                    found[text.text] = case.vocabulary.gas(text.text)[1]
        return found

    tested, claimed = compositions(record), compositions(case.procedure)
    for text, composition in claimed.items():
        if tested:
            covered = any(composition == one for one in tested.values())
            yield from _report(case, this, row, covered, f"gas {text}", None, ", ".join(tested))
