"""List every variable of a code with what the procedure says and what the test record covers.

`COMPARISONS` names the function of `covering_*.py` that compares each rule of a code; a rule that
is not compared says why. The rule "record-coverage" makes its findings from these lines.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from weldref.audit import covering_choices as choices
from weldref.audit import covering_joints as joints
from weldref.audit import covering_metals as metals
from weldref.audit import covering_settings as settings
from weldref.audit import covering_sizes as sizes
from weldref.audit.case import Case
from weldref.audit.covering import Handler, Line, Pair, Row, level, names_process, runs
from weldref.audit.prequalified import prequalified
from weldref.audit.variables import said, topic
from weldref.procedures.model import Procedure, gather

_WELDER = re.compile(r"\bwelder\b")

SUPPLEMENTARY = re.compile(
    r"ASME IX (?:QW-403\.6|QW-404\.7|QW-406\.3|QW-409\.1|QW-409\.4)"
    r"|AWS D1\.1 Table 4\.6(?: item 2)?|ISO 15614-1 8\.4\.7(?: [12])?"
)
"""Clauses that count only where impact tests are required."""

NONESSENTIAL = re.compile(
    r"ASME IX (?:QW-404\.6|QW-405\.1|QW-408\.3|QW-409\.4|QW-409\.8)"
    r"|ISO 15614-1 (?:8\.3\.3|8\.4\.1|8\.4\.10) 1"
)
"""Clauses whose variables may change without a new test; for ISO with the level.

Those that are supplementary too may change only where no impact tests are required.
"""

COMPARISONS: tuple[tuple[str, str, Handler], ...] = (
    # Patterns of "code, clause, level" and of "kind of rule, variable"; the first match counts.
    ("", r"(table|range_factor) (base metal|plate) thickness( cjp)?", sizes.thickness),
    ("", r"(table|range_factor) thickness t(, \w+[ -]run)?", sizes.thickness),
    ("", r"range_factor (deposited thickness|deposit s per process)", sizes.deposit),
    ("", r".* base metal minimum with impact", sizes.impact),
    ("", r".* fillet and pjp from cjp test", sizes.any_fillet),
    (r"ISO 15614-1 8.3.2.2 1", r".* fillet size", sizes.any_fillet),
    ("", r".* pipe for plate", sizes.pipe_for_plate),
    ("", r".* plate for pipe, outside diameter", sizes.plate_for_pipe),
    ("", r"range_factor outside diameter", sizes.outside_diameter),
    ("", r".* (dissimilar thickness|fillet of two thicknesses)", choices.two_thicknesses),
    ("", r".* p-number", metals.metals),
    (r"ISO 15614-1 8.3.1.2 Table 5 note a", r".*", metals.iso_groups),
    (r"ISO 15614-2 8.3.1 Table 4", r".*", metals.aluminium_groups),
    ("", r"max_increase heat input(, group 23)?", settings.heat_input),
    ("", r"max_decrease heat input(, group 23)?", settings.least_heat_input),
    ("", r"max_decrease preheat", settings.preheat),
    ("", r"max_decrease interpass", settings.least_interpass),
    ("", r"max_increase interpass(, groups .*)?", settings.interpass),
    ("", r"set interpass", choices.interpass_remark),
    ("", r"range_percent (amperage|voltage|travel speed|wire feed speed|gas flow)",
     settings.percent),
    ("", r"range_percent (co2|he) content of gas", settings.share),
    ("", r".* transfer mode", settings.transfer),
    ("", r".* gas component added or removed", settings.component),
    (r"ISO 15614-2 8.5.1.1", r".*", settings.sub_group),
    ("", r".* gas composition, shielding and backing", settings.sub_group),
    ("", r".* gas composition", settings.gas),
    ("", r".* (backing|trailing) gas, reactive metals", settings.kept_gas),
    ("", r".* backing gas", settings.backing_gas),
    ("", r"max_increase (filler diameter|electrode size)", choices.diameter),
    (r"AWS D1.1 .*", r"set filler diameter", choices.same_size),
    # ISO 15614-1, clause 8.4.3 and the joint
    (r"ISO 15614-1 8.4.3 (a|b) 2|ISO 15614-1 8.4.3 a 1", r".*", joints.butt_test),
    (r"ISO 15614-1 (8.4.3 c 2|8.4.3 b 1|8.3.4( .)?)", r".*", joints.branches),
    (r"ISO 15614-1 8.4.3 d 2", r".*", joints.tee_test),
    (r"ISO 15614-1 8.4.3 (e 2|c 1)", r".*", joints.fillet_test),
    (r"ISO 15614-1 8.4.3 (j 2|h 1)", r".*", joints.number_of_runs),
    (r"ISO 15614-1 8.4.3 (k 2|i 1)", r".*", joints.build_up),
    (r"ISO 15614-1 8.4.3 l 2", r".*", joints.buttering),
    (r"ISO 15614-1 8.4.3 ([fghi] 2|[defg] 1)", r".*", joints.root),
    (r"ISO 15614-1 8.3.1.1", r".*", joints.permanent_backing),
    (r"ISO 15614-2 8.4.3", r".*", joints.aluminium_joints),
    ("", r".* groove type", joints.groove_type),
    # what is chosen
    (r"ISO 15614-1 8.4.2", r".* position", choices.positions),
    (r"ISO 15614-2 8.4.2", r".* position", choices.downward),
    ("", r".* position, vertical down", choices.downward),
    ("", r".* test location(, group 10)?", choices.without_tests),
    (r"ISO 15614-1 8.4.5", r".*", choices.without_tests),
    (r"ASME IX QW-409.4", r".*", choices.current_type),
    ("", r".* type of current", choices.polarity),
    ("", r".* (f-number, a-number|filler f-number and a-number)", choices.f_numbers),
    ("", r".* filler, with or without", choices.with_filler),
    ("", r".* filler group", choices.filler_families),
    ("", r".* filler trade name", choices.trade_name),
    (NONESSENTIAL.pattern, r".*", choices.nonessential),
    ("", r".* welding process", choices.processes),
    ("", r".* degree of mechanisation", choices.by_hand),
    ("", r".* (pwht|pwht or ageing)", choices.after_welding),
    ("", r".* pwht holding temperature", choices.holding),
    ("", r".* post-heating", choices.after_heating),
    ("", r".* level", choices.levels),
    ("", r".* level 1 basis", choices.see_tables),
    (r"ISO 15614-1 8.3.2.2 Tables 7 and 8", r".*", choices.see_tables),
    (r"ASME IX QW-200.1\([bc]\)", r".*", choices.see_contents),
    # For these only an unchanged value is known to be covered.
    ("", r".* (filler designation|wire system|waveform control|power source|flux"
         r"|submerged arc variant|multiple electrode|gas composition, plasma and shielding)",
     choices.as_tested),
)  # fmt: skip
"""The comparison of each rule of a code."""

_NAMED = {"overlay": r"overlay|clad|surfac|build-?up", "temper bead": r"temper.?bead"}
"""Special work, and the words by which a procedure names it."""

_PIPE = re.compile(r"outside diameter|pipe for plate|plate for pipe|branch angle|tubular")


def _place(code: str, row: Row) -> str:
    """Code, clause and level of a rule, as the patterns name them."""
    return " ".join(filter(None, (code, row["clause"], row["level"])))


def handler(row: Row) -> Handler | None:
    """The comparison that a rule's row asks for; None where there is none yet."""
    place, rule = _place(row["standard"], row), f"{row['rule_kind']} {row['variable'].casefold()}"
    for of, asks, compare in COMPARISONS:
        if (not of or re.fullmatch(of, place)) and re.fullmatch(asks, rule):
            of_one_work = row["application"] and not row["level"]
            return None if of_one_work and rule.endswith("heat input") else compare
    return None


@lru_cache(maxsize=4)
def matrix(case: Case) -> tuple[Line, ...]:
    """List every variable of the code that the tables hold, with the result of its comparison.

    Without a test record each line shows what the procedure states, or that it does not.
    """
    if case.code is None:
        return ()
    if case.code == "AWS D1.1" and not case.records and case.claims_prequalified:
        return tuple(prequalified(case))
    found = [list(_of_record(case, record)) for record in case.records or (None,)]
    lines = found[0] if len(found) == 1 else list(_joined(case, found))
    # In the order of the code; rules for other work come last.
    return tuple(sorted(lines, key=lambda one: one.state == "does not apply"))


def _of_record(case: Case, record: Procedure | None) -> Iterator[Line]:
    test = case if record is None else Case(case.store, record)
    editions = {
        row["source_id"]: row["edition"] or ""
        for row in case.rows("SELECT source_id, edition FROM sources")
    }
    for rows in _groups(case):
        variable = rows[0]["variable"]
        told, place = said(case, variable)
        tested = "" if record is None else said(test, variable, tested=True)[0]
        for one in _compared([Pair(case, test, row) for row in rows], told, tested):
            yield replace(
                one,
                role=role(one.code, rows[0]),
                claim=one.claim or told,
                place=one.place or place,
                tested=tested,
                record=record.number.text if record is not None and record.number else "",
                edition=editions.get(one.source_id, ""),
            )


def _groups(case: Case) -> Iterable[list[Row]]:
    """The rules of the code for the processes of the procedure, those of one variable together."""
    rows = case.rows(
        "SELECT * FROM qualification_rules WHERE standard = $code ORDER BY rowid", code=case.code
    )
    found: dict[tuple[str, str, str], list[Row]] = {}
    for row in rows:
        if any(names_process(row["process"], one) for one in case.processes or (None,)):
            # One comparison handles all clauses of this variable.
            alike = row["variable"] == "material group" and case.code == "ISO 15614-1"
            key = ("" if alike else row["clause"] or "", row["variable"], row["level"] or "")
            found.setdefault(key, []).append(row)
    return found.values()


def role(code: str, row: Row) -> str:
    """Say whether a variable is essential, supplementary (with impact tests only) or neither.

    >>> role("ASME IX", {"clause": "QW-409.1", "variable": "heat input", "level": None})
    'supplementary'
    """
    place = _place(code, row)
    if _WELDER.search(row["variable"]):
        return "welder"
    if SUPPLEMENTARY.fullmatch(place):
        return "supplementary"
    if NONESSENTIAL.fullmatch(place):
        return "nonessential"
    return "essential" if topic(row["variable"]) else "statement"


def _compared(pairs: Sequence[Pair], told: str, tested: str) -> Iterator[Line]:
    """The lines of one variable: the comparisons that were made, or one that says why not.

    `told` and `tested` are what procedure and record state.
    """
    own = not pairs[0].alone and pairs[0].record is pairs[0].procedure
    compares = [handler(pair.row) for pair in pairs]
    found: dict[tuple[str, str], Line] = {}
    reasons: list[tuple[str, bool, Pair]] = []
    for pair, compare in zip(pairs, compares, strict=True):
        if own and compare not in (sizes.thickness, sizes.impact, sizes.deposit):
            continue
        reason = _why_not(pair)
        if reason is not None:
            reasons.append((*reason, pair))
        if compare is None or (pair.alone and compare is not choices.nonessential):
            continue
        lines = compare(pair)
        if reason is not None and reason == _print_is(pair.row):
            # A rule whose print is doubtful passes nothing, but what it does not cover is shown.
            doubt = _rule(pair, f"it differs, and the print of the rule is {pair.row['status']}")
            lines = (replace(one, state="you must check", why=doubt)
                     for one in lines if one.state == "not covered")  # fmt: skip
        elif reason is not None:
            continue
        for one in lines:
            found.setdefault((one.state, one.says or one.why), one)
    if found:
        yield from found.values()
    elif not own or any(compares):
        yield _uncompared(pairs, reasons, {"procedure": told, "record": tested}, any(compares))


def _uncompared(
    pairs: Sequence[Pair],
    reasons: Sequence[tuple[str, bool, Pair]],
    sides: dict[str, str],
    comparable: bool,
) -> Line:
    """Say why nothing was compared: for other work, not stated by one side, or for a person."""
    first = pairs[0]
    for_a_person = [(why, pair) for why, a_person, pair in reasons if a_person]
    if len(reasons) == len(pairs) and not for_a_person:
        why, _, pair = reasons[0]
        return pair.other_work(why)
    if first.alone:
        del sides["record"]
    silent = [side for side, says in sides.items() if not says] if topic(first.variable) else []
    if silent and (first.alone or (comparable and not for_a_person)):
        who = "procedure and record do" if len(silent) == 2 else f"the {silent[0]} does"
        why = f"{who} not say it"
        return first.line("not stated", why=_rule(first, why) if first.alone else why)
    pair = first
    if first.alone:
        why = "no test record was given"
    elif for_a_person:
        why, pair = for_a_person[0]
    elif comparable:
        why = (
            "no rule in the tables includes the test, or one side is stated in a form that is not "
            "compared"
        )
    else:
        why = "not compared here"
    return pair.line("you must check", why=_rule(first, why))


def _rule(pair: Pair, reason: str) -> str:
    condition = pair.row["condition"]
    return f"{reason}; the rule: {condition}" if condition else reason


def _why_not(pair: Pair) -> tuple[str, bool] | None:
    """Say why a rule is not compared, and whether a person has to; None if it can be."""
    case, row, procedure, variable = pair.case, pair.row, pair.procedure, pair.variable.casefold()
    of_level = level(pair.record, procedure)
    of_runs = None if pair.alone else runs(pair.record)
    modes = {case.term("transfer_mode", mode.text)
             for weld in procedure.passes for mode in case.transfer_modes(weld)}  # fmt: skip
    mode, work = row["transfer_mode"], row["application"] or ""
    forms = " ".join(map(str, gather(procedure, "base_metals.text", "base_metals.form")))
    pipe = procedure.pipe_diameter or re.search(r"pipe|tub|hollow", forms.casefold())
    of_groups = settings.INTERPASS.get(pair.variable)
    of_edition = work.startswith("2017 with")
    place = _place(case.code or "", row)
    needs_impact = SUPPLEMENTARY.fullmatch(place) and not NONESSENTIAL.fullmatch(place)
    reasons = (
        # when, why, whether a person has to compare it: the first that fits counts
        (row["level"] and row["level"] != of_level, f"for level {row['level']} only", False),
        (_WELDER.search(pair.variable), "for tests of welders only", False),
        (_PIPE.search(variable) and not pipe,
         "for pipe only, and the procedure is for none", False),
        (work in _NAMED and not re.search(_NAMED[work], repr(procedure).casefold()),
         f"for {work} only, which the procedure does not name", False),
        ("fillet" in f"{row['clause']} {variable}".casefold() and procedure.joint.is_groove,
         "for fillet welds only", False),
        ("square groove" in variable and not joints.is_square(case),
         "for square grooves only", False),
        ("vertical down" in variable and not choices.goes_down(case),
         "for welding vertically down only", False),
        (of_groups is not None and settings.is_cool(case) not in (None, of_groups),
         "for other groups of base metal", False),
        (mode and modes and mode not in modes, f"for {mode} transfer only", False),
        (mode and not modes, f"not compared, for {mode} transfer, and none is stated", True),
        (of_edition and work.startswith("2017 with A1") == (case.edition == "2017"),
         f"for the edition {work.partition(',')[0]} only", False),
        (of_edition and "level 2" in work and of_level != "2", "for level 2 only", False),
        (work and not of_edition and not row["level"] and not mode,
         f"not compared, for one kind of work ({work})", True),
        (row["runs"] and not pair.alone and of_runs is None,
         "not compared, the record does not show in how many runs it was welded", True),
        (row["runs"] and of_runs and row["runs"] != of_runs,
         f"for tests in {row['runs']} run only", False),
        (row["status"], *_print_is(row)),
        (needs_impact and not pair.alone and not pair.impact,
         "only where impact tests are required; the record shows none", False),
    )  # fmt: skip
    return next(((why, a_person) for applies, why, a_person in reasons if applies), None)


def _print_is(row: Row) -> tuple[str, bool]:
    return f"not compared, the print is {row['status']}", True


JOINABLE = {("ISO 15614-1", "heat input")}
"""Variables whose ranges may be joined over several tests, by a rule that is held (8.4.7)."""


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
        lines = [one for _, one in alike]
        covering = [one for one in lines if one.state == "covered"]
        gaps = [one for one in lines if one.state == "not covered"]
        deciding = covering or gaps or lines
        names = [one.record for one in deciding]
        best = replace(
            deciding[0],
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
                    "everything: the tables do not say whether the code lets these tests be joined"
                )
        elif gaps and _together(gaps):
            why = (
                "no record covers it alone, and their ranges together do: the tables do not say "
                "whether the code lets them be joined"
            )
        yield replace(best, state="you must check", says="", why=why) if why else best


def _of_each(lines: Sequence[Line], name: str) -> str:
    told = [(one.record or "a record", getattr(one, name)) for one in lines]
    return "; ".join(dict.fromkeys(f"{record}: {text}" for record, text in told if text))


def _together(gaps: Sequence[Line]) -> bool:
    """Whether the ranges of several records together include what is claimed."""
    wanted = gaps[0].wanted
    spans = sorted(one.reaches for one in gaps if one.reaches is not None)
    if wanted is None or len(spans) != len(gaps):
        return False
    low, high = wanted
    for start, end in spans:
        if start <= low:
            low = max(low, end)
    return low >= high
