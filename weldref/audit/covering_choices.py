"""Compare process, position, joint, filler, polarity and treatment with the test record.

A comparison yields nothing where one side says nothing; the matrix then says so.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from weldref.audit.case import Case
from weldref.audit.covering import Line, covers, has_hardness, has_impact, level, line, metres
from weldref.audit.covering_joints import GOUGED, NOT_GOUGED, support
from weldref.audit.variables import said
from weldref.core.cautions import METAL_OF_FILLER
from weldref.procedures.model import Procedure

SAME = 5e-5
"""Two sizes of filler metal within these metres are the same size."""


def processes(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Only the processes of the test; those of part of them alone are asked about at level 2."""
    tested = Case(case.store, record).processes
    for process in case.processes if tested else ():
        yield from covers(case, row, process in tested, process, None, ", ".join(tested))


def by_hand(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Manual, partly mechanised, mechanised and automatic work are each qualified apart."""
    tested, claimed = (_ways(one) for one in (record, case.procedure))
    for way in claimed if tested else ():
        yield from covers(case, row, way in tested, way, None, ", ".join(tested))


def _ways(procedure: Procedure) -> list[str]:
    """The ways of working, by the four words of ISO."""
    words = [*procedure.modes, *(weld.mode for weld in procedure.passes if weld.mode)]
    found: dict[str, None] = {}
    for text in words:
        plain = re.sub(r"[\s-]", "", text.text.casefold())
        if "semi" in plain or "part" in plain:
            found["partly mechanised"] = None
        elif "manual" in plain:
            found["manual"] = None
        elif "automatic" in plain or "robot" in plain:
            found["automatic"] = None
        elif "mach" in plain or "mechani" in plain:
            found["fully mechanised"] = None
    return list(found)


def positions(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Any position covers all, unless impact or hardness is required."""
    tested, claimed = _positions(Case(case.store, record)), _positions(case)
    if not tested or not claimed:
        return
    demands = has_impact(record) or has_hardness(record)
    named = ", ".join(claimed)
    if not demands or set(claimed) <= set(tested):
        qualified = ", ".join(tested) if demands else "every position but vertical down"
        yield from covers(case, row, True, f"position {named}", None, qualified)
        return
    yield line(
        case, row, "you must check",
        claim=named, qualified="by the positions of least and greatest heat input",
        why="the record has impact or hardness tests: these go by the positions of greatest and "
        "of least heat input, which no document states",
        says=f"{case.code} {row['clause']}: position {named}: tested in {', '.join(tested)}, with "
        "impact or hardness tests",
    )  # fmt: skip


def downward(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Welding vertically down needs its own test."""
    tested, claimed = (goes_down(one) for one in (Case(case.store, record), case))
    if claimed:
        yield from covers(
            case, row, tested, "vertical down", None,
            "vertical down" if tested else "no vertical down: it needs its own test",
        )  # fmt: skip


def goes_down(case: Case) -> bool:
    """Whether a document welds vertically down."""
    texts = [*case.procedure.progressions, *(w.progression for w in case.procedure.passes)]
    texts += [*case.procedure.positions, *(weld.position for weld in case.procedure.passes)]
    words = " ".join(str(text) for text in texts if text)
    return bool(re.search(r"\b(?:PG|PJ|J-L045|down\w*)\b", words, re.IGNORECASE))


def _positions(case: Case) -> list[str]:
    texts = [*case.procedure.positions, *(w.position for w in case.procedure.passes if w.position)]
    return list(dict.fromkeys(name for text in texts for name in case.positions_in(text.text)))


def polarity(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Type of current and polarity are those of the test; AC also covers DC of covered rods."""
    tested, claimed = _polarities(Case(case.store, record)), _polarities(case)
    wide = row["process"] == "SMAW"  # the row that lets AC of covered electrodes cover DC
    if wide and ("AC" not in tested or has_impact(record) or set(case.processes) != {"SMAW"}):
        return
    freely = "AC" in tested and not has_impact(record) and set(case.processes) == {"SMAW"}
    if freely and not wide:
        return
    for name in claimed if tested else ():
        yield from covers(
            case, row, wide or name in tested, name, None,
            "AC and DC of both polarities" if wide else ", ".join(tested),
        )  # fmt: skip


def _polarities(case: Case) -> list[str]:
    texts = [*case.procedure.polarities, *(w.polarity for w in case.procedure.passes)]
    names = [case.term("polarity", text.text) for text in texts if text]
    return list(dict.fromkeys(name for name in names if name))


def after_welding(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Heat treatment after welding is neither added nor left out."""
    tested, claimed = (_treated(one) for one in (record, case.procedure))
    if tested is None or claimed is None:
        return
    words = {True: "with heat treatment after welding", False: "without"}
    yield from covers(
        case, row, tested == claimed, words[claimed], None, f"{words[tested]}, as tested"
    )


def _treated(procedure: Procedure) -> bool | None:
    """Whether there is a heat treatment after welding; None where a treatment is in words only."""
    said = [one for one in procedure.heat_treatments if "pwht" in one.kind.casefold()]
    if not said:
        return False
    words = " ".join(str(one.text or "") for one in said).casefold().strip(" .-")
    if any(one.temperature is not None for one in said):
        return True
    if re.fullmatch(r"(?:none|no|n/?a|nil|not (?:required|applicable|permitted)|as[- ]welded|)",
                    words):  # fmt: skip
        return False
    return None


def holding(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """The holding temperature of the test, within the printed kelvin."""
    if _treated(record) is False and _treated(case.procedure) is False:
        yield line(case, row, "does not apply", why="for work that is heat treated after welding")
        return
    pairs = [
        [
            (case.value(end, one.temperature, "temperature"), one.temperature)
            for one in procedure.heat_treatments
            if "pwht" in one.kind.casefold() and one.temperature
            for end in (one.temperature.low, one.temperature.high)
            if end is not None
        ]
        for procedure in (record, case.procedure)
    ]
    tested, claimed = ([(v.si, given) for v, given in pair if v] for pair in pairs)
    if not tested or not claimed:
        return
    low = min(si for si, _ in tested) + row["lower"]
    high = max(si for si, _ in tested) + row["upper"]
    given = claimed[0][1]
    ends = [case.units.convert(end, given.unit) for end in (low, high)]
    yield from covers(
        case, row, all(low - 0.6 <= si <= high + 0.6 for si, _ in claimed),
        f"holding temperature {given}", given, f"{ends[0]:.0f} to {ends[1]:.0f} {given.unit}",
    )  # fmt: skip


def f_numbers(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Any change of F-number, stated or by the classification; A-numbers where both state one."""
    tested, claimed = _f_numbers(Case(case.store, record)), _f_numbers(case)
    if not tested or not claimed or None in tested.values():
        return
    known = {number for number in tested.values() if number}
    for name, number in claimed.items():
        if number is None:
            yield line(
                case, row, "you must check", claim=name, why="the tables give it no F-number",
                qualified=", ".join(f"F-{one}" for one in sorted(known)),
                says=f"{case.code} {row['clause']}: {name}: the tables give no F-number",
            )  # fmt: skip
        else:
            yield from covers(
                case, row, number in known, f"{name} of F-number {number}", None,
                ", ".join(f"F-{one}" for one in sorted(known)),
            )  # fmt: skip
    both = [
        {filler.a_number.text for filler in one.fillers if filler.a_number}
        for one in (record, case.procedure)
    ]
    if all(both):
        yield from covers(
            case, row, both[1] <= both[0], f"A-number {', '.join(sorted(both[1]))}", None,
            f"A-{', A-'.join(sorted(both[0]))}",
        )  # fmt: skip


def _f_numbers(case: Case) -> dict[str, str | None]:
    stated = {
        name: "".join(re.findall(r"\d+", filler.f_number.text))
        for filler in case.procedure.fillers
        if filler.f_number is not None
        for text in (filler.classification or filler.text,)
        if text
        for name in case.classes_in(text.text) or [text.text.strip()]
    }
    return {
        name: stated.get(name) or f_number(case, name) for name, _ in case.filler_classes()
    }  # fmt: skip


def f_number(case: Case, name: str) -> str | None:
    """The F-number of a classification, by the table of ISO 15614-1, Annex A; None if unknown.

    That table prints the classes of covered electrodes by their last digits ("EXX18"), and all
    solid and cored wires of steel as one number.
    """
    kinds = case.kinds("filler_class", name)
    metal = next((METAL_OF_FILLER[kind] for kind in kinds if kind in METAL_OF_FILLER), None)
    if metal not in ("ferritic steel", "stainless steel"):
        return None
    rod = re.match(r"E\d{2,3}?(\d{2})(?:$|-)", name)
    stainless = re.match(r"E\d{3}\w*-1[567]", name)
    if stainless and metal == "stainless steel":
        found = "of = 'ISO 3581 austenitic and duplex'"
    elif rod:
        found = (
            f"of LIKE 'ISO 2560%' AND list_contains(string_split(members_b, '; '), 'EXX{rod[1]}')"
        )
    elif {"solid wire or rod", "flux cored wire", "metal cored wire"} & kinds:
        found = "of IN ('ISO 14341', 'ISO 17632')"
    else:
        return None
    rows = case.store.rows(
        f"SELECT DISTINCT group_number AS n FROM a_f_numbers WHERE kind = 'F-number' AND {found}"  # noqa: S608  two digits at most are put in
    )
    return str(rows[0]["n"]) if len(rows) == 1 else None


def as_tested(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """What the procedure says just as the record does is covered, whatever change is allowed."""
    claimed = said(case, row["variable"])[0]
    tested = said(Case(case.store, record), row["variable"], tested=True)[0]
    if claimed and claimed.casefold() == tested.casefold():
        yield from covers(case, row, True, f"{row['variable']} {claimed}", None, "as tested")


def without_tests(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A rule that counts only with impact or hardness tests."""
    if has_impact(record) or has_hardness(record):
        yield from as_tested(case, record, row)
    else:
        yield line(case, row, "does not apply", why="for work with impact or hardness tests")


def trade_name(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """The make of the filler metal counts only where impact tests are required."""
    if not has_impact(record):
        yield line(case, row, "does not apply", why="for work with impact tests below -20 C")


def after_heating(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Post-heating of the test is neither left out nor reduced; it may be added."""
    tested, claimed = (
        [one for one in procedure.heat_treatments if one.kind.casefold() != "pwht"]
        for procedure in (record, case.procedure)
    )
    if not tested:
        words = "with post-heating" if claimed else "without post-heating"
        yield from covers(case, row, True, words, None, "with or without post-heating")
    elif not claimed:
        yield from covers(case, row, False, "without post-heating", None, "with post-heating")


def interpass_remark(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """An exception for work that is heat treated after welding."""
    if _treated(record) is False and _treated(case.procedure) is False:
        yield line(case, row, "does not apply", why="for work that is heat treated after welding")


def two_thicknesses(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A rule for parts of two thicknesses, for documents that name one."""
    for one in (record, case.procedure):
        sizes = {str(metal.thickness) for metal in one.base_metals if metal.thickness}
        if len(sizes) > 1 or len(one.coupon_thickness) > 1:
            return
    yield line(case, row, "does not apply", why="for joints of two thicknesses; one is stated")


def levels(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A test at level 2 covers level 1, and not the reverse; where none is named it is level 2."""
    tested, claimed = (
        level(Case(case.store, Procedure()), one) for one in (record, case.procedure)
    )
    yield from covers(
        case, row, tested == "2" or claimed == "1", f"level {claimed}", None,
        "levels 1 and 2" if tested == "2" else "level 1",
    )  # fmt: skip


def remark(why: str) -> Callable[[Case, Procedure, dict[str, Any]], Iterator[Line]]:
    """A sentence of the code that is no variable."""

    def handler(case: Case, _record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
        yield line(case, row, "does not apply", why=why)

    return handler


def groove_type(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A change to or from a square groove asks for a new test."""
    tested, claimed = (
        " ".join(str(t) for t in (one.joint.preparation, one.joint.text) if t).casefold()
        for one in (record, case.procedure)
    )
    if not all("groove" in text or "vee" in text or re.search(r"\bv\b", text) or "square" in text
               for text in (tested, claimed)):  # fmt: skip
        return
    words = {True: "a square groove", False: "a groove that is not square"}
    yield from covers(
        case, row, ("square" in tested) == ("square" in claimed), words["square" in claimed], None,
        words["square" in tested],
    )  # fmt: skip


def is_square(procedure: Procedure) -> bool:
    """Whether a document names a square groove."""
    joint = procedure.joint
    return "square" in " ".join(str(t) for t in (joint.preparation, joint.text)).casefold()


def same_size(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Any other diameter of the filler metal asks for a new test."""
    tested, claimed = (
        [
            (value, size)
            for size in (
                *(s for weld in one.passes for s in weld.sizes),
                *(s for filler in one.fillers for s in filler.sizes),
            )
            if (value := metres(case, size.high, size)) is not None
        ]
        for one in (record, case.procedure)
    )
    named = ", ".join(dict.fromkeys(str(size) for _, size in tested))
    for shown in dict.fromkeys(str(size) for _, size in claimed) if tested else ():
        value, size = next(pair for pair in claimed if str(pair[1]) == shown)
        covered = any(abs(value - other) <= SAME + 0.02 * other for other, _ in tested)
        yield from covers(case, row, covered, f"filler size {shown}", size, named)


def outside_diameter(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Half the diameter of the test and up, or within the factors that are printed."""
    tested = [v for one in record.pipe_diameter if (v := metres(case, one.low, one))]
    for claimed in case.procedure.pipe_diameter if tested else ():
        least, most = metres(case, claimed.low, claimed), metres(case, claimed.high, claimed)
        size = min(tested)
        edge = 0.025
        if row["tested_max"] is not None and size > edge * 1.001:
            continue
        if row["tested_min"] is not None and size <= edge * 1.001:
            continue
        low = size * row["lower"]
        if row["tested_min"] is not None:
            low = max(low, edge)
        high = size * row["upper"] if row["upper"] else float("inf")
        if least is None and most is None:
            continue
        unit = "mm" if claimed.unit == "mm" else "in"
        scale = 0.001 if unit == "mm" else 0.0254
        ends = f"{low / scale:.4g} {unit} and up" if high == float("inf") else (
            f"{low / scale:.4g} to {high / scale:.4g} {unit}"
        )  # fmt: skip
        inside = (least is None or least >= low * (1 - 1e-3)) and (
            most is None or most <= high * (1 + 1e-3)
        )
        yield from covers(case, row, inside, f"outside diameter {claimed}", claimed, ends)


def with_filler(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A test with filler metal does not cover work without, nor the reverse."""
    words = {True: "with filler metal", False: "without filler metal"}
    tested, claimed = (bool(one.fillers or any(w.filler_class for w in one.passes))
                       for one in (record, case.procedure))  # fmt: skip
    if tested or claimed:
        yield from covers(case, row, tested == claimed, words[claimed], None, words[tested])


def nonessential(case: Case, _record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """A nonessential variable may change without a new test, and has to be stated."""
    told, _ = said(case, row["variable"])
    if told:
        yield line(
            case, row, "covered", claim=told, qualified="any: a change needs no new test",
            why=row["condition"] or "",
            says=f"{case.code} {row['clause']}: {row['variable']} {told}: nonessential, a change "
            "needs no new test",
        )  # fmt: skip


def filler_families(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Fillers of aluminium of one family, 4000 or 5000, stand for each other."""
    tested, claimed = (_families(one) for one in (Case(case.store, record), case))
    for name, family in claimed.items() if tested else ():
        yield from covers(
            case, row, family in tested.values(), name, None,
            ", ".join(f"fillers of the {one}000 group" for one in dict.fromkeys(tested.values())),
        )  # fmt: skip


def _families(case: Case) -> dict[str, str]:
    found = {
        name: re.search(r"(?<!\d)([1-5])\d{3}(?!\d)", name) for name, _ in case.filler_classes()
    }
    return {name: match[1] for name, match in found.items() if match}


def aluminium_joints(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """ISO 15614-2, Table 8: which joints a test on one kind of joint covers."""
    tested, claimed = _joint_of(record), _joint_of(case.procedure)
    if tested is None or claimed is None:
        return
    rows = case.store.rows(
        "SELECT * FROM iso15614_2_joints WHERE test_joint = $tested AND joint = $claimed",
        {"tested": tested, "claimed": claimed},
    )
    if rows:
        own = rows[0] | {key: row[key] for key in ("clause", "variable", "level", "condition")}
        yield from covers(
            case, own, rows[0]["covered"] == "yes", claimed, None, f"what {tested} covers"
        )


def _joint_of(procedure: Procedure) -> str | None:
    """The kind of joint by the words of ISO 15614-2, Table 8; None if the document is silent."""
    if procedure.joint.is_fillet:
        return "fillet, plate and pipe"
    if not procedure.joint.is_groove:
        return None
    held = support(procedure)
    if held in (GOUGED, NOT_GOUGED, "both sides"):
        return None if procedure.pipe_diameter else (
            f"butt plate, both sides, {'gouging' if held == GOUGED else 'no gouging'}"
        )  # fmt: skip
    words = {"with backing": "backing", "one side without backing": "no backing"}
    if held is None:
        return None
    return f"butt {'pipe' if procedure.pipe_diameter else 'plate'}, one side, {words[held]}"
