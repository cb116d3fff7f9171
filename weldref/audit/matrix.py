"""List every variable of a code with what the procedure says and what the test record covers.

The comparisons stand in `covering_*.py`; here each of the code's rules finds its comparison, and
a rule that is not compared says why. The findings of the rule "record-coverage" are made from
these lines.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from weldref.audit import covering_choices as choices
from weldref.audit import covering_joints as joints
from weldref.audit import covering_metals as metals
from weldref.audit import covering_settings as settings
from weldref.audit import covering_sizes as sizes
from weldref.audit.case import Case
from weldref.audit.covering import Line, has_impact, level, line, names_process, runs
from weldref.audit.prequalified import prequalified
from weldref.audit.variables import said, topic
from weldref.procedures.model import Procedure

Handler = Callable[[Case, Procedure, dict[str, Any]], Iterator[Line]]

_THICKNESS = re.compile(r"base metal thickness|plate thickness cjp|thickness t(?:, \w+[ -]run)?")
_WELDER = re.compile(r"\bwelder\b")

SUPPLEMENTARY = {
    "ASME IX": ("QW-403.6", "QW-404.7", "QW-406.3", "QW-409.1", "QW-409.4"),
    "AWS D1.1": ("Table 4.6", "Table 4.6 item 2"),
}
"""Clauses that count only where impact tests are required."""

NONESSENTIAL = {
    "ASME IX": ("QW-404.6", "QW-405.1", "QW-408.3", "QW-409.8"),
    "ISO 15614-1": ("8.3.3 1", "8.4.1 1", "8.4.10 1"),
}
"""Clauses whose variables may change without a new test; of ISO with the level."""

_PIPE = re.compile(r"outside diameter|pipe for plate|plate for pipe|branch angle|tubular")


def _other_work(case: Case, row: dict[str, Any]) -> str | None:
    """For which other work a rule is, as far as the procedure shows that its own is another."""
    procedure, variable = case.procedure, row["variable"].casefold()
    forms = " ".join(
        str(part) for one in procedure.base_metals for part in (one.text, one.form) if part
    )
    pipe = procedure.pipe_diameter or re.search(r"pipe|tub|hollow", forms.casefold())
    if _PIPE.search(variable) and not pipe:
        return "for pipe only, and the procedure is for none"
    fillet = "fillet" in f"{row['clause']} {variable}".casefold()
    if fillet and procedure.joint.is_groove:
        return "for fillet welds only"
    if "square groove" in variable and not choices.is_square(procedure):
        return "for square grooves only"
    if "vertical down" in variable and not choices.goes_down(case):
        return "for welding vertically down only"
    wanted = settings.INTERPASS.get(row["variable"])
    if wanted is not None and settings.is_cool(case) not in (None, wanted):
        return "for other groups of base metal"
    return None


HEAT_INPUT = ("heat input", "heat input, group 23")

SEE_TABLES = choices.remark("says which tables count; they are compared by their own lines")

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
    "outside diameter": choices.outside_diameter,
    "filler, with or without": choices.with_filler,
    "filler group": choices.filler_families,
    "gas composition, shielding and backing": settings.sub_group,
    "pipe for plate": joints.pipe_and_plate,
    "plate for pipe, outside diameter": joints.pipe_and_plate,
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
}
AS_TESTED = (
    *("filler designation", "wire system", "waveform control", "power source", "flux"),
    *("submerged arc variant", "multiple electrode", "gas composition, plasma and shielding"),
)
"""Variables of which only what is unchanged is known to be covered."""

"""Comparisons of variables that are named alike wherever they stand."""

SEE_CONTENTS = choices.remark("says what a procedure has to state: ask for its contents")

BY_PLACE: dict[tuple[str, str], Handler] = {
    ("ASME IX", "QW-200.1(b)"): SEE_CONTENTS,
    ("ASME IX", "QW-200.1(c)"): SEE_CONTENTS,
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
    other = Case(case.store, record) if record is not None else None
    own = record is case.procedure
    editions = {
        row["source_id"]: row["edition"] or ""
        for row in case.store.rows("SELECT source_id, edition FROM sources")
    }
    for rows in _groups(case):
        lines = list(_compared(case, record, rows, own=own))
        for one in lines:
            told, place = said(case, one.variable)
            yield replace(
                one,
                role=one.role or role(one.code, rows[0]),
                claim=one.claim or told,
                place=one.place or place,
                tested=said(other, one.variable, tested=True)[0] if other is not None else "",
                record=name,
                edition=editions.get(one.source_id, ""),
            )


def _groups(case: Case) -> Iterator[list[dict[str, Any]]]:
    """The rules of the code for the processes of the procedure, those of one variable together."""
    rows = case.store.rows(
        "SELECT * FROM qualification_rules WHERE standard = $code ORDER BY rowid",
        {"code": case.code},
    )
    found: dict[tuple[str, str, str], list[dict[str, Any]]] = {}
    for row in rows:
        if any(names_process(row["process"], one) for one in case.processes or (None,)):
            # What one comparison takes in together is one variable.
            alike = row["variable"] == "material group" and case.code == "ISO 15614-1"
            key = ("" if alike else row["clause"] or "", row["variable"], row["level"] or "")
            found.setdefault(key, []).append(row)
    return iter(found.values())


def role(code: str, row: dict[str, Any]) -> str:
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


def _compared(
    case: Case, record: Procedure | None, rows: Sequence[dict[str, Any]], *, own: bool
) -> Iterator[Line]:
    """The lines of one variable: the comparisons that were made, or one that says why not."""
    found: dict[tuple[str, str], Line] = {}
    reasons: list[tuple[str, bool, dict[str, Any]]] = []
    for row in rows:
        compare = handler(row)
        if own and compare not in (sizes.thickness, sizes.impact, sizes.deposit):
            continue
        why = _why_not(case, record, row)
        told = record or (case.procedure if compare is choices.nonessential else None)
        if why is None and told is not None and compare is not None:
            for one in compare(case, told, row):
                found.setdefault((one.state, one.says or one.why), one)
        elif row["status"] and why == _print_is(row) and told is not None and compare is not None:
            for one in (each for each in compare(case, told, row) if each.state == "not covered"):
                doubt = f"it differs, and the print of the rule is {row['status']}"
                asked = replace(one, state="you must check", why=_rule(row, doubt))
                found.setdefault((asked.state, asked.says), asked)
            reasons.append((*why, row))
        elif why is not None:
            reasons.append((*why, row))
    if found:
        yield from found.values()
    elif not (own and all(handler(row) is None for row in rows)):
        yield _uncompared(case, record, rows, reasons)


def _uncompared(
    case: Case,
    record: Procedure | None,
    rows: Sequence[dict[str, Any]],
    reasons: Sequence[tuple[str, bool, dict[str, Any]]],
) -> Line:
    """Say why nothing was compared: for other work, not said by one side, or for a person."""
    first = rows[0]
    variable = first["variable"]
    applying = [one for one in reasons if one[1]]
    if reasons and len(reasons) == len(rows) and not applying:
        return line(case, reasons[0][2], "does not apply", why=reasons[0][0])
    about = topic(variable)
    claim = said(case, variable)[0]
    if record is None:
        if about is not None and not claim:
            return line(case, first, "not stated", why=_state_it(first))
        return line(case, first, "you must check", why=_rule(first, "no test record was given"))
    if applying:
        return line(case, applying[0][2], "you must check", why=_rule(first, applying[0][0]))
    tested = said(Case(case.store, record), variable, tested=True)[0]
    if about is not None and not (claim and tested) and any(handler(row) for row in rows):
        silent = {True: "procedure", False: "record"}[not claim]
        both = "procedure and record" if not claim and not tested else f"the {silent}"
        return line(case, first, "not stated", why=f"{both} does not say it".replace(
            "procedure and record does not", "procedure and record do not"))  # fmt: skip
    if any(handler(row) for row in rows):
        return line(
            case, first, "you must check",
            why=_rule(first, "no rule that is held includes the test, or one side is in no "
                      "form that is compared"),
        )  # fmt: skip
    return line(case, first, "you must check", why=_rule(first, "not compared here"))


def _rule(row: dict[str, Any], reason: str) -> str:
    return f"{reason}; the rule: {row['condition']}" if row["condition"] else reason


def _state_it(row: dict[str, Any]) -> str:
    return _rule(row, "the procedure does not say it")


def _why_not(case: Case, record: Procedure | None, row: dict[str, Any]) -> tuple[str, bool] | None:
    """Say why a rule is not compared, and whether somebody has to; None if it can be."""
    of_level = level(case, record or case.procedure)
    of_runs = runs(record) if record is not None else None
    welds = case.procedure.passes
    modes = {case.term("transfer_mode", m.text) for w in welds for m in case.transfer_modes(w)}
    mode, work = row["transfer_mode"], row["application"]
    if row["level"] and row["level"] != of_level:
        return f"for level {row['level']} only", False
    if _WELDER.search(row["variable"]):
        return "for tests of welders only", False
    if mode and modes and mode not in modes:
        return f"for {mode} transfer only", False
    if mode and not modes:
        return f"not compared, for {mode} transfer, and none is stated", True
    if work and (of := _edition(work)):
        if of.startswith("2017 with A1") == (case.edition == "2017"):
            return f"for the edition {of} only", False
        if "level 2" in work and of_level != "2":
            return "for level 2 only", False
    elif work and not row["level"] and not mode:
        return f"not compared, for one kind of work ({work})", True
    if row["runs"] and record is not None and of_runs is None:
        return "not compared, the record does not show in how many runs it was welded", True
    if row["runs"] and of_runs is not None and row["runs"] != of_runs:
        return f"for tests in {row['runs']} run only", False
    if (other := _other_work(case, row)) is not None:
        return other, False
    if row["status"]:
        return _print_is(row)
    supplementary = role(case.code or "", row) == "supplementary"
    if supplementary and record is not None and not has_impact(record):
        return "only where impact tests are required; the record shows none", False
    return None


def _print_is(row: dict[str, Any]) -> tuple[str, bool]:
    return f"not compared, the print is {row['status']}", True


def _edition(work: str) -> str:
    """The edition that a rule is for, where its work is named by an edition alone."""
    return work.partition(",")[0] if work.startswith("2017 with") else ""


def handler(row: dict[str, Any]) -> Handler | None:
    """The comparison that a rule's row asks for; None where there is none yet."""
    variable, code = row["variable"].casefold(), row["standard"]
    kind, place = row["rule_kind"], (code, row["clause"] or "")
    if kind in ("table", "range_factor") and _THICKNESS.fullmatch(variable):
        return sizes.thickness
    if (
        kind == "range_factor"
        and row["upper"]
        and ("deposited thickness" in variable or variable == "deposit s per process")
    ):
        return sizes.deposit
    if variable == "fillet size" and row["level"] == "1":
        return sizes.any_fillet
    if kind == "max_decrease" and variable == "preheat":
        return settings.preheat
    if kind == "max_decrease" and variable == "interpass":
        return settings.least_interpass
    if kind == "max_increase" and row["variable"] in settings.INTERPASS:
        return settings.interpass
    if kind == "range_percent" and variable in settings.MEASURES:
        return settings.percent
    if kind == "range_percent" and row["variable"] in settings.SHARES:
        return settings.share
    if kind in ("max_increase", "max_decrease") and variable in HEAT_INPUT:
        if row["application"] and not row["level"]:
            return None
        return settings.heat_input if kind == "max_increase" else settings.least_heat_input
    if kind == "max_increase" and variable in ("filler diameter", "electrode size"):
        return sizes.diameter
    if variable == "filler diameter" and row["lower"] == row["upper"] == 0:
        return choices.same_size
    if code == "ISO 15614-1" and (place[1], row["level"]) in joints.JOINTS:
        return joints.JOINTS[place[1], row["level"]]
    if kind == "set" and variable == "interpass":
        return choices.interpass_remark
    if place in BY_PLACE and (place[1] != "8.4.2" or variable == "position"):
        return BY_PLACE[place]
    if role(code, row) == "nonessential":
        return choices.nonessential
    if variable == "gas composition":
        return settings.gas
    return BY_NAME.get(variable) or (choices.as_tested if variable in AS_TESTED else None)


JOINABLE = {("ISO 15614-1", "heat input")}
"""Variables whose ranges a rule that is held lets several tests share (8.4.7)."""


def _joined(case: Case, found: Sequence[Sequence[Line]]) -> Iterator[Line]:
    """One line for each claim over several records.

    A claim is covered where one record that covers everything else covers it too. Where each
    covers a part, a person has to see whether the code lets them be joined.
    """
    whole = {
        index
        for index, lines in enumerate(found)
        if not any(one.state == "not covered" for one in lines)
    }
    claims: dict[tuple[str, str, str], list[tuple[int, Line]]] = {}
    for index, lines in enumerate(found):
        for one in lines:
            claims.setdefault((one.clause, one.variable, one.claim), []).append((index, one))
    for alike in claims.values():
        yield _best(case, alike, whole)


def _best(case: Case, alike: Sequence[tuple[int, Line]], whole: set[int]) -> Line:
    covering = [(index, one) for index, one in alike if one.state == "covered"]
    gaps = [one for _, one in alike if one.state == "not covered"]
    qualified = "; ".join(
        dict.fromkeys(f"{one.record or 'a record'}: {one.qualified}" for _, one in alike
                      if one.qualified)
    )  # fmt: skip
    tested = "; ".join(
        dict.fromkeys(f"{one.record or 'a record'}: {one.tested}" for _, one in alike if one.tested)
    )
    shown: dict[str, Any] = {"qualified": qualified, "tested": tested}
    if covering:
        named = ", ".join(dict.fromkeys(one.record for _, one in covering))
        free = not gaps or any(index in whole for index, _ in covering)
        if free or (case.code, covering[0][1].variable) in JOINABLE:
            return replace(covering[0][1], record=named, **shown)
        return replace(
            covering[0][1], state="you must check", record=named, says="", **shown,
            why=f"covered by {named or 'one record'}, and no single record covers everything: "
            "whether the code lets these tests be joined is not held",
        )  # fmt: skip
    if gaps:
        if _together(gaps):
            return replace(
                gaps[0], state="you must check", says="", **shown,
                record=", ".join(one.record for one in gaps),
                why="no record covers it alone, and their ranges together do: whether the code "
                "lets them be joined is not held",
            )  # fmt: skip
        return replace(gaps[0], record=", ".join(one.record for one in gaps), **shown)
    return replace(alike[0][1], record=", ".join(one.record for _, one in alike), **shown)


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
