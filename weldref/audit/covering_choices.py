"""Compare process, position, filler, polarity and treatment with the test record."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from weldref.audit.case import Case
from weldref.audit.covering import Handler, Line, Pair, alike, each, has_impact, level, metres
from weldref.audit.covering_joints import GOUGED, NOT_GOUGED, support
from weldref.audit.variables import said
from weldref.core.cautions import METAL_OF_FILLER
from weldref.procedures.model import HeatTreatment, Procedure, Range, gather

SAME = 5e-5
"""Two sizes of filler metal within these metres are the same size."""

TREATED = "for work that is heat treated after welding"


def _by_name(names: Iterable[str]) -> dict[str, object]:
    """Things of which each is a kind of its own, as `each` takes them."""
    return {name: name for name in names}


processes = each(lambda case: _by_name(case.processes))
"""Only the processes of the test."""


def _ways(case: Case) -> dict[str, object]:
    """The ways of working, by the four words of ISO."""
    found: list[str] = []
    for text in gather(case.procedure, "modes", "passes.mode"):
        plain = re.sub(r"[\s-]", "", text.text.casefold())
        if "semi" in plain or "part" in plain:
            found.append("partly mechanised")
        elif "manual" in plain:
            found.append("manual")
        elif "automatic" in plain or "robot" in plain:
            found.append("automatic")
        elif "mach" in plain or "mechani" in plain:
            found.append("fully mechanised")
    return _by_name(found)


by_hand = each(_ways)
"""Manual, partly mechanised, mechanised and automatic work are each qualified apart."""


def positions(pair: Pair) -> Iterator[Line]:
    """Any position covers all, unless impact or hardness is required."""
    tested, claimed = pair.both(_positions)
    if not tested or not claimed:
        return
    named = f"position {', '.join(claimed)}"
    if not pair.demands:
        yield pair.covers(True, named, "every position but vertical down")
    elif set(claimed) <= set(tested):
        yield pair.covers(True, named, ", ".join(tested))
    else:
        yield pair.check(
            f"{named}: tested in {', '.join(tested)}, with impact or hardness tests",
            "the record has impact or hardness tests: these go by the positions of greatest and "
            "of least heat input, which no document states",
            claim=", ".join(claimed),
            qualified="by the positions of least and greatest heat input",
        )


def _positions(case: Case) -> list[str]:
    texts = gather(case.procedure, "positions", "passes.position")
    return list(dict.fromkeys(name for text in texts for name in case.positions_in(text.text)))


def downward(pair: Pair) -> Iterator[Line]:
    """Welding vertically down needs its own test."""
    tested, claimed = pair.both(goes_down)
    if claimed:
        qualified = "vertical down" if tested else "no vertical down: it needs its own test"
        yield pair.covers(tested, "vertical down", qualified)


def goes_down(case: Case) -> bool:
    """Whether a document welds vertically down."""
    texts = gather(
        case.procedure, "progressions", "passes.progression", "positions", "passes.position"
    )
    words = " ".join(map(str, texts))
    return bool(re.search(r"\b(?:PG|PJ|J-L045|down\w*)\b", words, re.IGNORECASE))


def polarity(pair: Pair) -> Iterator[Line]:
    """Type of current and polarity are those of the test; AC also covers DC of covered rods."""
    tested, claimed = pair.both(_polarities)
    freely = "AC" in tested and not has_impact(pair.record) and set(pair.case.processes) == {"SMAW"}
    if freely != (pair.row["process"] == "SMAW"):  # the row that lets AC of rods cover DC
        return
    for name in claimed if tested else ():
        qualified = "AC and DC of both polarities" if freely else ", ".join(tested)
        yield pair.covers(freely or name in tested, name, qualified)


def current_type(pair: Pair) -> Iterator[Line]:
    """Type of current and polarity are those of the test; without impact tests a change is told."""
    tested, claimed = pair.both(_polarities)
    for name in claimed if tested else ():
        on = ", ".join(tested)
        if name in tested or has_impact(pair.record):
            yield pair.covers(name in tested, name, on)
        else:
            yield pair.check(
                f"{name}: the test was welded on {on}",
                "without impact tests the change needs no new test, but a revised procedure",
                claim=name,
                qualified=on,
            )


def _polarities(case: Case) -> list[str]:
    texts = gather(case.procedure, "polarities", "passes.polarity")
    names = (case.term("polarity", text.text) for text in texts)
    return list(dict.fromkeys(name for name in names if name))


def _after_welding(procedure: Procedure) -> list[HeatTreatment]:
    return [one for one in procedure.heat_treatments if "pwht" in one.kind.casefold()]


def _treated(case: Case) -> bool | None:
    """Whether there is a heat treatment after welding; None where a treatment is in words only."""
    said = _after_welding(case.procedure)
    words = " ".join(str(one.text or "") for one in said).casefold().strip(" .-")
    if any(one.temperature is not None for one in said):
        return True
    none = r"(?:none|no|n/?a|nil|not (?:required|applicable|permitted)|as[- ]welded|)"
    return False if not said or re.fullmatch(none, words) else None


after_welding = alike(_treated, "with heat treatment after welding", "without", "{}, as tested")
"""Heat treatment after welding is neither added nor left out."""


def holding(pair: Pair) -> Iterator[Line]:
    """The holding temperature of the test, within the printed kelvin."""
    if pair.both(_treated) == (False, False):
        yield pair.other_work(TREATED)
        return
    tested, claimed = pair.both(_held)
    if not tested or not claimed:
        return
    low = min(si for si, _ in tested) + pair.row["lower"]
    high = max(si for si, _ in tested) + pair.row["upper"]
    given = claimed[0][1]
    ends = [pair.case.units.convert(end, given.unit) for end in (low, high)]
    yield pair.covers(
        all(low - 0.6 <= si <= high + 0.6 for si, _ in claimed),
        f"holding temperature {given}",
        f"{ends[0]:.0f} to {ends[1]:.0f} {given.unit}",
        given,
    )


def _held(case: Case) -> list[tuple[float, Range]]:
    """Both ends of the holding temperatures in kelvin, with their ranges."""
    return [
        (si, given)
        for one in _after_welding(case.procedure)
        if (given := one.temperature)
        for end in (given.low, given.high)
        if (si := case.si(end, given, "temperature")) is not None
    ]


def interpass_remark(pair: Pair) -> Iterator[Line]:
    """An exception for work that is heat treated after welding."""
    if pair.both(_treated) == (False, False):
        yield pair.other_work(TREATED)


def after_heating(pair: Pair) -> Iterator[Line]:
    """Post-heating of the test is neither left out nor reduced; it may be added."""
    tested, claimed = (
        any(one.kind.casefold() != "pwht" for one in procedure.heat_treatments)
        for procedure in (pair.record, pair.procedure)
    )
    if not tested:
        words = "with post-heating" if claimed else "without post-heating"
        yield pair.covers(True, words, "with or without post-heating")
    elif not claimed:
        yield pair.covers(False, "without post-heating", "with post-heating")


def f_numbers(pair: Pair) -> Iterator[Line]:
    """Any change of F-number, stated or by the classification; A-numbers where both state one."""
    tested, claimed = pair.both(_f_numbers)
    if not tested or not claimed or None in tested.values():
        return
    known = {number for number in tested.values() if number}
    qualified = ", ".join(f"F-{one}" for one in sorted(known))
    for name, number in claimed.items():
        if number is None:
            yield pair.check(
                f"{name}: the tables give no F-number",
                "the tables give it no F-number",
                claim=name,
                qualified=qualified,
            )
        else:
            yield pair.covers(number in known, f"{name} of F-number {number}", qualified)
    a_tested, a_claimed = (
        {number.text for number in gather(one, "fillers.a_number")}
        for one in (pair.record, pair.procedure)
    )
    if a_tested and a_claimed:
        yield pair.covers(
            a_claimed <= a_tested,
            f"A-number {', '.join(sorted(a_claimed))}",
            ", ".join(f"A-{one}" for one in sorted(a_tested)),
        )


def _f_numbers(case: Case) -> dict[str, str | None]:
    stated = {
        name: "".join(re.findall(r"\d+", filler.f_number.text))
        for filler in case.procedure.fillers
        if filler.f_number and (text := filler.classification or filler.text)
        for name in case.classes_in(text.text) or [text.text.strip()]
    }
    names = (name for name, _ in case.filler_classes())
    return {name: stated.get(name) or f_number(case, name) for name in names}


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
    rows = case.rows(
        f"SELECT DISTINCT group_number AS n FROM a_f_numbers WHERE kind = 'F-number' AND {found}"  # noqa: S608  two digits at most are put in
    )
    return str(rows[0]["n"]) if len(rows) == 1 else None


def as_tested(pair: Pair) -> Iterator[Line]:
    """What the procedure says just as the record does is covered, whatever change is allowed."""
    variable = pair.row["variable"]
    claimed, tested = said(pair.case, variable)[0], said(pair.test, variable, tested=True)[0]
    if claimed and claimed.casefold() == tested.casefold():
        yield pair.covers(True, f"{variable} {claimed}", "as tested")


def without_tests(pair: Pair) -> Iterator[Line]:
    """A rule that counts only with impact or hardness tests."""
    if pair.demands:
        yield from as_tested(pair)
    else:
        yield pair.other_work("for work with impact or hardness tests")


def trade_name(pair: Pair) -> Iterator[Line]:
    """The make of the filler metal counts only where impact tests are required."""
    if not has_impact(pair.record):
        yield pair.other_work("for work with impact tests below -20 C")


def two_thicknesses(pair: Pair) -> Iterator[Line]:
    """A rule for parts of two thicknesses, for documents that name one."""
    if not any(
        len({str(size) for size in gather(one, "base_metals.thickness")}) > 1
        or len(one.coupon_thickness) > 1
        for one in (pair.record, pair.procedure)
    ):
        yield pair.other_work("for joints of two thicknesses; one is stated")


def levels(pair: Pair) -> Iterator[Line]:
    """A test at level 2 covers level 1, and not the reverse; where none is named it is level 2."""
    tested, claimed = level(pair.record), level(pair.procedure)
    yield pair.covers(
        tested == "2" or claimed == "1",
        f"level {claimed}",
        "levels 1 and 2" if tested == "2" else "level 1",
    )


def remark(why: str) -> Handler:
    """A sentence of the code that is no variable."""

    def handler(pair: Pair) -> Iterator[Line]:
        yield pair.other_work(why)

    return handler


def _groove(case: Case) -> str:
    return " ".join(map(str, gather(case.procedure.joint, "preparation", "text"))).casefold()


def is_square(case: Case) -> bool:
    """Whether a document names a square groove."""
    return "square" in _groove(case)


groove_type = alike(
    lambda case: is_square(case) if re.search(r"groove|vee|\bv\b|square", _groove(case)) else None,
    "a square groove",
    "a groove that is not square",
)
"""A change to or from a square groove asks for a new test."""


def same_size(pair: Pair) -> Iterator[Line]:
    """Any other diameter of the filler metal asks for a new test."""
    tested, claimed = pair.both(filler_sizes)
    named = ", ".join(dict.fromkeys(str(size) for _, size in tested))
    told: set[str] = set()
    for value, size in claimed if tested else ():
        if str(size) not in told:
            told.add(str(size))
            covered = any(abs(value - other) <= SAME + 0.02 * other for other, _ in tested)
            yield pair.covers(covered, f"filler size {size}", named, size)


def filler_sizes(case: Case) -> list[tuple[float, Range]]:
    """The sizes of the filler metal in metres, with their ranges."""
    sizes = gather(case.procedure, "passes.sizes", "fillers.sizes")
    found = ((metres(case, size.high, size), size) for size in sizes)
    return [(value, size) for value, size in found if value is not None]


def diameter(pair: Pair) -> Iterator[Line]:
    """Compare the greatest filler size with the greatest tested."""
    tested, claimed = pair.both(filler_sizes)
    if tested and claimed:
        largest, size = max(claimed, key=lambda found: found[0])
        limit = max(value for value, _ in tested) + pair.row["upper"] * 0.0254
        qualified = f"a size up to {limit / 0.0254:.4g} in"
        yield pair.covers(largest <= limit + SAME, f"filler size {size}", qualified, size)


def with_filler(pair: Pair) -> Iterator[Line]:
    """A test with filler metal does not cover work without, nor the reverse."""
    if any(pair.both(_has_filler)):
        yield from alike(_has_filler, "with filler metal", "without filler metal")(pair)


def _has_filler(case: Case) -> bool:
    return bool(gather(case.procedure, "fillers", "passes.filler_class"))


def nonessential(pair: Pair) -> Iterator[Line]:
    """A nonessential variable may change without a new test, and has to be stated."""
    told, _ = said(pair.case, pair.row["variable"])
    if told:
        yield pair.line(
            "covered",
            claim=told,
            qualified="any: a change needs no new test",
            why=pair.row["condition"] or "",
            says=f"{pair.case.code} {pair.row['clause']}: {pair.row['variable']} {told}: "
            "nonessential, a change needs no new test",
        )


def _families(case: Case) -> dict[str, object]:
    found = {
        name: re.search(r"(?<!\d)([1-5])\d{3}(?!\d)", name) for name, _ in case.filler_classes()
    }
    return {name: match[1] for name, match in found.items() if match}


def _of_families(tested: Mapping[str, object]) -> str:
    return ", ".join(f"fillers of the {one}000 group" for one in dict.fromkeys(tested.values()))


filler_families = each(_families, qualified=_of_families)
"""Fillers of aluminium of one family, 4000 or 5000, stand for each other."""


def aluminium_joints(pair: Pair) -> Iterator[Line]:
    """ISO 15614-2, Table 8: which joints a test on one kind of joint covers."""
    tested, claimed = _joint_of(pair.record), _joint_of(pair.procedure)
    rows = pair.case.rows(
        "SELECT * FROM iso15614_2_joints WHERE test_joint = $tested AND joint = $claimed",
        tested=tested,
        claimed=claimed,
    )
    if rows and claimed is not None:
        kept = {key: pair.row[key] for key in ("clause", "variable", "level", "condition")}
        yield Pair(pair.case, pair.test, rows[0] | kept).covers(
            rows[0]["covered"] == "yes", claimed, f"what {tested} covers"
        )


def _joint_of(procedure: Procedure) -> str | None:
    """The kind of joint by the words of ISO 15614-2, Table 8; None if the document is silent."""
    if procedure.joint.is_fillet:
        return "fillet, plate and pipe"
    held = support(procedure)
    if not procedure.joint.is_groove or held is None:
        return None
    if held in (GOUGED, NOT_GOUGED, "both sides"):
        gouging = "gouging" if held == GOUGED else "no gouging"
        return None if procedure.pipe_diameter else f"butt plate, both sides, {gouging}"
    words = {"with backing": "backing", "one side without backing": "no backing"}
    return f"butt {'pipe' if procedure.pipe_diameter else 'plate'}, one side, {words[held]}"
