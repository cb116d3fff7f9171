"""List every variable of a code with what the procedure says and what the test record covers.

The comparisons stand in `covering_*.py`; here each of the code's rules finds its comparison, and
a rule that is not compared says why. The findings of the rule "record-coverage" are made from
these lines.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from weldref.audit import covering_choices as choices
from weldref.audit import covering_joints as joints
from weldref.audit import covering_metals as metals
from weldref.audit import covering_settings as settings
from weldref.audit import covering_sizes as sizes
from weldref.audit.case import Case
from weldref.audit.covering import (
    Handler,
    Line,
    Pair,
    Row,
    has_impact,
    level,
    line,
    names_process,
    runs,
)
from weldref.audit.prequalified import prequalified
from weldref.audit.variables import said, topic
from weldref.procedures.model import Procedure, gather

_THICKNESS = re.compile(r"base metal thickness|plate thickness cjp|thickness t(?:, \w+[ -]run)?")
_DEPOSIT = re.compile(r"deposited thickness|^deposit s per process$")
_WELDER = re.compile(r"\bwelder\b")

SUPPLEMENTARY = {
    "ASME IX": ("QW-403.6", "QW-404.7", "QW-406.3", "QW-409.1", "QW-409.4"),
    "AWS D1.1": ("Table 4.6", "Table 4.6 item 2"),
}
"""Clauses that count only where impact tests are required."""

NONESSENTIAL = {
    "ASME IX": ("QW-404.6", "QW-405.1", "QW-408.3", "QW-409.4", "QW-409.8"),
    "ISO 15614-1": ("8.3.3 1", "8.4.1 1", "8.4.10 1"),
}
"""Clauses whose variables may change without a new test; of ISO with the level.

What is supplementary too may do so where no impact tests are required.
"""

_NAMED = {"overlay": r"overlay|clad|surfac|build-?up", "temper bead": r"temper.?bead"}
"""Work that a procedure names where it is for it."""

_PIPE = re.compile(r"outside diameter|pipe for plate|plate for pipe|branch angle|tubular")


def _other_work(case: Case, row: Row) -> str | None:
    """For which other work a rule is, as far as the procedure shows that its own is another."""
    procedure, variable = case.procedure, row["variable"].casefold()
    forms = " ".join(map(str, gather(procedure, "base_metals.text", "base_metals.form")))
    pipe = procedure.pipe_diameter or re.search(r"pipe|tub|hollow", forms.casefold())
    if _PIPE.search(variable) and not pipe:
        return "for pipe only, and the procedure is for none"
    named = _NAMED.get(row["application"] or "")
    if named and not re.search(named, repr(procedure).casefold()):
        return f"for {row['application']} only, which the procedure does not name"
    fillet = "fillet" in f"{row['clause']} {variable}".casefold()
    if fillet and procedure.joint.is_groove:
        return "for fillet welds only"
    if "square groove" in variable and not choices.is_square(case):
        return "for square grooves only"
    if "vertical down" in variable and not choices.goes_down(case):
        return "for welding vertically down only"
    wanted = settings.INTERPASS.get(row["variable"])
    if wanted is not None and settings.is_cool(case) not in (None, wanted):
        return "for other groups of base metal"
    return None


SEE_TABLES = choices.remark("says which tables count; they are compared by their own lines")
SEE_CONTENTS = choices.remark("says what a procedure has to state: ask for its contents")

BY_KIND: dict[tuple[str, str], Handler] = {
    ("max_decrease", "preheat"): settings.preheat,
    ("max_decrease", "interpass"): settings.least_interpass,
    **{("max_increase", name): settings.interpass for name in settings.INTERPASS},
    **{("range_percent", name): settings.percent for name in settings.MEASURES},
    **{("range_percent", name.casefold()): settings.share for name in settings.SHARES},
    ("max_increase", "filler diameter"): choices.diameter,
    ("max_increase", "electrode size"): choices.diameter,
    ("set", "interpass"): choices.interpass_remark,
}
"""Comparisons of variables by the kind of their rule."""

HEAT_INPUT: dict[tuple[str, str], Handler] = {
    (kind, name): compare
    for kind, compare in (
        ("max_increase", settings.heat_input),
        ("max_decrease", settings.least_heat_input),
    )
    for name in ("heat input", "heat input, group 23")
}
"""Comparisons of heat input; a rule for one kind of work alone has none."""

BY_NAME: dict[str, Handler] = {
    "base metal minimum with impact": sizes.impact,
    "fillet and pjp from cjp test": sizes.any_fillet,
    "p-number": metals.metals,
    "f-number, a-number": choices.f_numbers,
    "filler f-number and a-number": choices.f_numbers,
    "transfer mode": settings.transfer,
    "gas component added or removed": settings.component,
    "groove type": choices.groove_type,
    "welding process": choices.processes,
    "degree of mechanisation": choices.by_hand,
    "position, vertical down": choices.downward,
    "type of current": choices.polarity,
    "pwht": choices.after_welding,
    "pwht or ageing": choices.after_welding,
    "pwht holding temperature": choices.holding,
    "outside diameter": joints.outside_diameter,
    "filler, with or without": choices.with_filler,
    "filler group": choices.filler_families,
    "gas composition": settings.gas,
    "gas composition, shielding and backing": settings.sub_group,
    "pipe for plate": joints.pipe_for_plate,
    "plate for pipe, outside diameter": joints.plate_for_pipe,
    "dissimilar thickness": choices.two_thicknesses,
    "fillet of two thicknesses": choices.two_thicknesses,
    "test location": choices.without_tests,
    "test location, group 10": choices.without_tests,
    "filler trade name": choices.trade_name,
    "post-heating": choices.after_heating,
    "backing gas": settings.backing_gas,
    "backing gas, reactive metals": settings.kept_gas,
    "trailing gas, reactive metals": settings.kept_gas,
    "level": choices.levels,
    "level 1 basis": SEE_TABLES,
    # Of these only what is unchanged is known to be covered.
    "filler designation": choices.as_tested,
    "wire system": choices.as_tested,
    "waveform control": choices.as_tested,
    "power source": choices.as_tested,
    "flux": choices.as_tested,
    "submerged arc variant": choices.as_tested,
    "multiple electrode": choices.as_tested,
    "gas composition, plasma and shielding": choices.as_tested,
}
"""Comparisons of variables that are named alike wherever they stand."""

BY_PLACE: dict[tuple[str, str], Handler] = {
    ("ASME IX", "QW-200.1(b)"): SEE_CONTENTS,
    ("ASME IX", "QW-200.1(c)"): SEE_CONTENTS,
    ("ASME IX", "QW-409.4"): choices.current_type,
    ("ISO 15614-1", "8.3.1.1"): joints.permanent_backing,
    ("ISO 15614-1", "8.3.1.2 Table 5 note a"): metals.iso_groups,
    ("ISO 15614-1", "8.3.2.2 Tables 7 and 8"): SEE_TABLES,
    ("ISO 15614-1", "8.3.4"): joints.branches,
    ("ISO 15614-1", "8.4.2"): choices.positions,
    ("ISO 15614-1", "8.4.5"): choices.without_tests,
    ("ISO 15614-2", "8.3.1 Table 4"): metals.aluminium_groups,
    ("ISO 15614-2", "8.4.2"): choices.downward,
    ("ISO 15614-2", "8.4.3"): choices.aluminium_joints,
    ("ISO 15614-2", "8.5.1.1"): settings.sub_group,
}
"""Comparisons of single rules, by code and clause."""


def matrix(case: Case) -> tuple[Line, ...]:
    """Every variable of the code that the tables hold, with what becomes of it.

    Without a test record each line shows what the procedure says, and what it leaves out.
    """
    if case.code is None:
        return ()
    if case.code == "AWS D1.1" and not case.records and case.claims_prequalified:
        return tuple(prequalified(case))
    found = [list(_of_record(case, record)) for record in case.records or (None,)]
    lines = found[0] if len(found) == 1 else list(_joined(case, found))
    # In the order of the code; what is for other work comes last.
    return tuple(sorted(lines, key=lambda one: one.state == "does not apply"))


def _of_record(case: Case, record: Procedure | None) -> Iterator[Line]:
    name = record.number.text if record is not None and record.number else ""
    test = Case(case.store, record) if record is not None else None
    editions = {
        row["source_id"]: row["edition"] or ""
        for row in case.rows("SELECT source_id, edition FROM sources")
    }
    for rows in _groups(case):
        for one in _compared(case, test, rows):
            told, place = said(case, one.variable)
            yield replace(
                one,
                role=one.role or role(one.code, rows[0]),
                claim=one.claim or told,
                place=one.place or place,
                tested=said(test, one.variable, tested=True)[0] if test is not None else "",
                record=name,
                edition=editions.get(one.source_id, ""),
            )


def _groups(case: Case) -> Iterator[list[Row]]:
    """The rules of the code for the processes of the procedure, those of one variable together."""
    rows = case.rows(
        "SELECT * FROM qualification_rules WHERE standard = $code ORDER BY rowid",
        code=case.code,
    )
    found: dict[tuple[str, str, str], list[Row]] = {}
    for row in rows:
        if any(names_process(row["process"], one) for one in case.processes or (None,)):
            # What one comparison takes in together is one variable.
            alike = row["variable"] == "material group" and case.code == "ISO 15614-1"
            key = ("" if alike else row["clause"] or "", row["variable"], row["level"] or "")
            found.setdefault(key, []).append(row)
    return iter(found.values())


def role(code: str, row: Row) -> str:
    """Whether a variable is essential, supplementary (with impact tests alone) or neither.

    >>> role("ASME IX", {"clause": "QW-409.1", "variable": "heat input", "level": None})
    'supplementary'
    """
    clause = row["clause"] or ""
    if _WELDER.search(row["variable"]):
        return "welder"
    if clause in SUPPLEMENTARY.get(code, ()) or (
        code == "ISO 15614-1" and row["variable"] == "heat input"
    ):
        return "supplementary"
    if {clause, f"{clause} {row['level']}"} & set(NONESSENTIAL.get(code, ())):
        return "nonessential"
    return "essential" if topic(row["variable"]) else "statement"


def _compared(case: Case, test: Case | None, rows: Sequence[Row]) -> Iterator[Line]:
    """The lines of one variable: the comparisons that were made, or one that says why not."""
    own = test is not None and test.procedure is case.procedure
    found: dict[tuple[str, str], Line] = {}
    reasons: list[tuple[str, bool, Row]] = []
    for row in rows:
        compare = handler(row)
        if own and compare not in (sizes.thickness, sizes.impact, sizes.deposit):
            continue
        why = _why_not(case, test.procedure if test else None, row)
        if why is not None:
            reasons.append((*why, row))
        if compare is None or (test is None and compare is not choices.nonessential):
            continue
        lines = compare(Pair(case, test or case, row))
        if why is None:
            for one in lines:
                found.setdefault((one.state, one.says or one.why), one)
        elif row["status"] and why == _print_is(row):
            doubt = _rule(row, f"it differs, and the print of the rule is {row['status']}")
            for one in (each for each in lines if each.state == "not covered"):
                asked = replace(one, state="you must check", why=doubt)
                found.setdefault((asked.state, asked.says), asked)
    if found:
        yield from found.values()
    elif not (own and all(handler(row) is None for row in rows)):
        yield _uncompared(case, test, rows, reasons)


def _uncompared(
    case: Case,
    test: Case | None,
    rows: Sequence[Row],
    reasons: Sequence[tuple[str, bool, Row]],
) -> Line:
    """Say why nothing was compared: for other work, not said by one side, or for a person."""
    first = rows[0]
    variable = first["variable"]
    applying = [(why, row) for why, applies, row in reasons if applies]
    if reasons and len(reasons) == len(rows) and not applying:
        return line(case, reasons[0][2], "does not apply", why=reasons[0][0])
    about = topic(variable)
    claim = said(case, variable)[0]
    if test is None and about is not None and not claim:
        return line(case, first, "not stated", why=_rule(first, "the procedure does not say it"))
    row, reason = first, "not compared here"
    if test is None:
        reason = "no test record was given"
    elif applying:
        reason, row = applying[0]
    elif any(handler(one) for one in rows):
        sides = {"procedure": claim, "record": said(test, variable, tested=True)[0]}
        silent = [side for side, told in sides.items() if not told]
        if about is not None and silent:
            why = (
                "procedure and record do not say it"
                if len(silent) == 2
                else f"the {silent[0]} does not say it"
            )
            return line(case, first, "not stated", why=why)
        reason = (
            "no rule that is held includes the test, or one side is in no form that is compared"
        )
    return line(case, row, "you must check", why=_rule(first, reason))


def _rule(row: Row, reason: str) -> str:
    return f"{reason}; the rule: {row['condition']}" if row["condition"] else reason


def _why_not(case: Case, record: Procedure | None, row: Row) -> tuple[str, bool] | None:
    """Say why a rule is not compared, and whether somebody has to; None if it can be."""
    of_level = level(record, case.procedure) if record is not None else level(case.procedure)
    of_runs = runs(record) if record is not None else None
    welds = case.procedure.passes
    modes = {case.term("transfer_mode", m.text) for w in welds for m in case.transfer_modes(w)}
    mode, work = row["transfer_mode"], row["application"]
    if row["level"] and row["level"] != of_level:
        return f"for level {row['level']} only", False
    if _WELDER.search(row["variable"]):
        return "for tests of welders only", False
    if (other := _other_work(case, row)) is not None:
        return other, False
    if mode and modes and mode not in modes:
        return f"for {mode} transfer only", False
    if mode and not modes:
        return f"not compared, for {mode} transfer, and none is stated", True
    if work and work.startswith("2017 with"):  # the rule is for an edition alone
        if work.startswith("2017 with A1") == (case.edition == "2017"):
            return f"for the edition {work.partition(',')[0]} only", False
        if "level 2" in work and of_level != "2":
            return "for level 2 only", False
    elif work and not row["level"] and not mode:
        return f"not compared, for one kind of work ({work})", True
    if row["runs"] and record is not None and of_runs is None:
        return "not compared, the record does not show in how many runs it was welded", True
    if row["runs"] and of_runs is not None and row["runs"] != of_runs:
        return f"for tests in {row['runs']} run only", False
    if row["status"]:
        return _print_is(row)
    supplementary = role(case.code or "", row) == "supplementary"
    told = row["clause"] in NONESSENTIAL.get(case.code or "", ())
    if supplementary and not told and record is not None and not has_impact(record):
        return "only where impact tests are required; the record shows none", False
    return None


def _print_is(row: Row) -> tuple[str, bool]:
    return f"not compared, the print is {row['status']}", True


def handler(row: Row) -> Handler | None:
    """The comparison that a rule's row asks for; None where there is none yet."""
    variable, code = row["variable"].casefold(), row["standard"]
    kind, clause = row["rule_kind"], row["clause"] or ""
    if kind in ("table", "range_factor") and _THICKNESS.fullmatch(variable):
        return sizes.thickness
    if kind == "range_factor" and row["upper"] and _DEPOSIT.search(variable):
        return sizes.deposit
    if variable == "fillet size" and row["level"] == "1":
        return sizes.any_fillet
    if (kind, variable) in HEAT_INPUT:
        return None if row["application"] and not row["level"] else HEAT_INPUT[kind, variable]
    if (kind, variable) in BY_KIND:
        return BY_KIND[kind, variable]
    if variable == "filler diameter" and row["lower"] == row["upper"] == 0:
        return choices.same_size
    if code == "ISO 15614-1" and (clause, row["level"]) in joints.JOINTS:
        return joints.JOINTS[clause, row["level"]]
    if (code, clause) in BY_PLACE and (clause != "8.4.2" or variable == "position"):
        return BY_PLACE[code, clause]
    if role(code, row) == "nonessential":
        return choices.nonessential
    return BY_NAME.get(variable)


JOINABLE = {("ISO 15614-1", "heat input")}
"""Variables whose ranges a rule that is held lets several tests share (8.4.7)."""


def _joined(case: Case, found: Sequence[Sequence[Line]]) -> Iterator[Line]:
    """One line for each claim over several records.

    A claim is covered where one record that covers everything else covers it too. Where each
    covers a part, a person has to see whether the code lets them be joined.
    """
    claims: dict[tuple[str, str, str], list[tuple[bool, Line]]] = {}
    for lines in found:
        whole = not any(one.state == "not covered" for one in lines)
        for one in lines:
            claims.setdefault((one.clause, one.variable, one.claim), []).append((whole, one))
    for alike in claims.values():
        yield _best(case, alike)


def _best(case: Case, alike: Sequence[tuple[bool, Line]]) -> Line:
    """The line of one claim; beside each record's line stands whether it covers everything."""
    lines = [one for _, one in alike]
    covering = [one for one in lines if one.state == "covered"]
    gaps = [one for one in lines if one.state == "not covered"]
    speaking = covering or gaps or lines
    names = [one.record for one in speaking]
    best = replace(
        speaking[0],
        record=", ".join(dict.fromkeys(names) if covering else names),
        qualified=_of_each(lines, "qualified"),
        tested=_of_each(lines, "tested"),
    )
    why = ""
    if covering:
        free = not gaps or any(whole for whole, one in alike if one.state == "covered")
        if not free and (case.code, best.variable) not in JOINABLE:
            why = (
                f"covered by {best.record or 'one record'}, and no single record covers "
                "everything: whether the code lets these tests be joined is not held"
            )
    elif gaps and _together(gaps):
        why = (
            "no record covers it alone, and their ranges together do: whether the code lets them "
            "be joined is not held"
        )
    return replace(best, state="you must check", says="", why=why) if why else best


def _of_each(lines: Sequence[Line], name: str) -> str:
    told = [(one.record or "a record", getattr(one, name)) for one in lines]
    return "; ".join(dict.fromkeys(f"{record}: {text}" for record, text in told if text))


def _together(gaps: Sequence[Line]) -> bool:
    """Whether the ranges of several records, laid end to end, take in what is claimed."""
    wanted = gaps[0].wanted
    spans = sorted(one.reaches for one in gaps if one.reaches is not None)
    if wanted is None or len(spans) != len(gaps):
        return False
    low, high = wanted
    for start, end in spans:
        if start <= low:
            low = max(low, end)
    return low >= high
