"""Compare process, position, filler, polarity and treatment with the test record."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from weldref.audit.case import Case
from weldref.audit.covering import (
    Line,
    Pair,
    alike,
    by_a_person,
    by_name,
    each,
    if_tested,
    level,
    only_for,
)
from weldref.audit.variables import said
from weldref.core.cautions import METAL_OF_FILLER
from weldref.procedures.model import HeatTreatment, Procedure, Range, gather

SAME = 5e-5
"""Two sizes of filler metal within these metres are the same size."""

processes = each(lambda case: by_name(case.processes))
"""Only the processes of the test are covered."""

_WAYS = {
    r"semi|part": "partly mechanised", r"manual": "manual", r"automatic|robot": "automatic",
    r"mach|mechani": "fully mechanised",
}  # fmt: skip
"""The ways of working in the four words of ISO; the first that matches counts."""


def _ways(case: Case) -> dict[str, object]:
    texts = gather(case.procedure, "modes", "passes.mode")
    plain = (re.sub(r"[\s-]", "", text.text.casefold()) for text in texts)
    found = (next((way for words, way in _WAYS.items() if re.search(words, one)), "")
             for one in plain)  # fmt: skip
    return by_name(filter(None, found))


by_hand = each(_ways)
"""Manual, partly mechanised, mechanised and automatic work are each qualified separately."""


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


def polarities(case: Case) -> list[str]:
    """The polarities that a document names, by stored term; what is not known is left out."""
    texts = gather(case.procedure, "polarities", "passes.polarity")
    names = (case.term("polarity", text.text) for text in texts)
    return list(dict.fromkeys(filter(None, names)))


def polarity(pair: Pair) -> Iterator[Line]:
    """Type of current and polarity are those of the test; AC also covers DC of covered rods."""
    tested, claimed = pair.both(polarities)
    freely = "AC" in tested and not pair.impact and set(pair.case.processes) == {"SMAW"}
    if freely != (pair.row["process"] == "SMAW"):  # the row that lets AC of rods cover DC
        return
    for name in claimed if tested else ():
        qualified = "AC and DC of both polarities" if freely else ", ".join(tested)
        yield pair.covers(freely or name in tested, name, qualified)


def current_type(pair: Pair) -> Iterator[Line]:
    """Type of current and polarity are those of the test; impact tests make a change essential."""
    tested, claimed = pair.both(polarities)
    on = ", ".join(tested)
    for name in claimed if tested else ():
        if name in tested or pair.impact:
            yield pair.covers(name in tested, name, on)
        else:
            yield pair.check(
                f"{name}: the test was welded on {on}",
                "without impact tests the change needs no new test, but a revised procedure",
                claim=name,
                qualified=on,
            )


def treatments(procedure: Procedure, *, after_welding: bool) -> list[HeatTreatment]:
    """The heat treatments after welding, or the others."""
    return [one for one in procedure.heat_treatments
            if ("pwht" in one.kind.casefold()) == after_welding]  # fmt: skip


def _treated(case: Case) -> bool | None:
    """Whether there is a heat treatment after welding; None where a treatment is in words only."""
    stated = treatments(case.procedure, after_welding=True)
    words = " ".join(str(one.text or "") for one in stated).casefold().strip(" .-")
    if any(one.temperature is not None for one in stated):
        return True
    none = r"(?:none|no|n/?a|nil|not (?:required|applicable|permitted)|as[- ]welded|)"
    return False if not stated or re.fullmatch(none, words) else None


after_welding = alike(_treated, "with heat treatment after welding", "without", "{}, as tested")
"""Heat treatment after welding is neither added nor left out."""


if_treated = only_for(
    lambda pair: pair.both(_treated) != (False, False),
    "for work that is heat treated after welding",
)


@if_treated
def holding(pair: Pair) -> Iterator[Line]:
    """The holding temperature of the test, within the printed kelvin."""
    tested, claimed = pair.both(_held)
    if not tested or not claimed:
        return
    low = min(si for si, _ in tested) + pair.row["lower"]
    high = max(si for si, _ in tested) + pair.row["upper"]
    given = claimed[0][1]
    ends = [pair.case.units.convert(end, given.unit) for end in (low, high)]
    covered = all(low - 0.6 <= si <= high + 0.6 for si, _ in claimed)
    shown = f"{ends[0]:.0f} to {ends[1]:.0f} {given.unit}"
    yield pair.covers(covered, f"holding temperature {given}", shown, given)


def _held(case: Case) -> list[tuple[float, Range]]:
    """Both ends of the holding temperatures in kelvin, with their ranges."""
    return [
        (si, one.temperature)
        for one in treatments(case.procedure, after_welding=True)
        if one.temperature
        for si in case.ends(one.temperature, "temperature")
        if si is not None
    ]


interpass_remark = if_treated(by_a_person)


def after_heating(pair: Pair) -> Iterator[Line]:
    """Post-heating of the test is neither left out nor reduced; it may be added."""
    tested, claimed = pair.both(_post_heated)
    if not tested:
        words = "with post-heating" if claimed else "without post-heating"
        yield pair.covers(True, words, "with or without post-heating")
    elif not claimed:
        yield pair.covers(False, "without post-heating", "with post-heating")


def _post_heated(case: Case) -> bool:
    return any(one.kind.casefold() != "pwht" for one in case.procedure.heat_treatments)


def f_numbers(pair: Pair) -> Iterator[Line]:
    """Any change of F-number, stated or by the classification; A-numbers where both state one."""
    tested, claimed = pair.both(_f_numbers)
    if not tested or not claimed or None in tested.values():
        return
    known = {number for number in tested.values() if number}
    qualified = ", ".join(f"F-{one}" for one in sorted(known))
    for name, number in claimed.items():
        if number is None:
            why = "the tables give it no F-number"
            said_of = f"{name}: the tables give no F-number"
            yield pair.check(said_of, why, claim=name, qualified=qualified)
        else:
            yield pair.covers(number in known, f"{name} of F-number {number}", qualified)
    a_tested, a_claimed = pair.both(
        lambda case: {number.text for number in gather(case.procedure, "fillers.a_number")}
    )
    if a_tested and a_claimed:
        qualified = ", ".join(f"A-{one}" for one in sorted(a_tested))
        yield pair.covers(a_claimed <= a_tested, f"A-number {', '.join(sorted(a_claimed))}",
                          qualified)  # fmt: skip


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
    """What the procedure states exactly as the record does is covered, whatever the rule."""
    variable = pair.variable
    claimed, tested = said(pair.case, variable)[0], said(pair.test, variable, tested=True)[0]
    if claimed and claimed.casefold() == tested.casefold():
        yield pair.covers(True, f"{variable} {claimed}", "as tested")


def _two_thicknesses(case: Case) -> bool:
    stated = {str(size) for size in gather(case.procedure, "base_metals.thickness")}
    return len(stated) > 1 or len(case.procedure.coupon_thickness) > 1


without_tests = if_tested(as_tested)
trade_name = only_for(lambda pair: pair.impact, "for work with impact tests below -20 C")(
    by_a_person
)
two_thicknesses = only_for(
    lambda pair: any(pair.both(_two_thicknesses)), "for joints of two thicknesses; one is stated"
)(by_a_person)


def see_tables(pair: Pair) -> Iterator[Line]:
    """Compare nothing: the rule only says which tables count."""
    yield pair.other_work("says which tables count; they are compared by their own lines")


def see_contents(pair: Pair) -> Iterator[Line]:
    """Compare nothing: the rule only says what a procedure has to state."""
    yield pair.other_work("says what a procedure has to state: ask for its contents")


def levels(pair: Pair) -> Iterator[Line]:
    """A test at level 2 covers level 1, and not the reverse; no level named is level 2."""
    tested, claimed = level(pair.record), level(pair.procedure)
    qualified = "levels 1 and 2" if tested == "2" else "level 1"
    yield pair.covers(tested == "2" or claimed == "1", f"level {claimed}", qualified)


def same_size(pair: Pair) -> Iterator[Line]:
    """Any other diameter of the filler metal needs a new test."""
    tested, claimed = pair.both(_filler_sizes)
    named = ", ".join(dict.fromkeys(str(size) for _, size in tested))
    for value, size in dict.fromkeys(claimed) if tested else ():
        covered = any(abs(value - other) <= SAME + 0.02 * other for other, _ in tested)
        yield pair.covers(covered, f"filler size {size}", named, size)


def _filler_sizes(case: Case) -> list[tuple[float, Range]]:
    """The sizes of the filler metal in metres, with their ranges."""
    sizes = gather(case.procedure, "passes.sizes", "fillers.sizes")
    return [(value, size) for size in sizes if (value := case.ends(size)[1]) is not None]


def diameter(pair: Pair) -> Iterator[Line]:
    """Compare the greatest filler size with the greatest tested."""
    tested, claimed = pair.both(_filler_sizes)
    if tested and claimed:
        largest, size = max(claimed, key=lambda found: found[0])
        limit = max(value for value, _ in tested) + pair.row["upper"] * 0.0254
        qualified = f"a size up to {limit / 0.0254:.4g} in"
        yield pair.covers(largest <= limit + SAME, f"filler size {size}", qualified, size)


def has_filler(case: Case) -> bool:
    """Whether a document names a filler metal."""
    return bool(gather(case.procedure, "fillers", "passes.filler_class"))


def with_filler(pair: Pair) -> Iterator[Line]:
    """A test with filler metal does not cover work without, nor the reverse."""
    if any(pair.both(has_filler)):
        yield from alike(has_filler, "with filler metal", "without filler metal")(pair)


def nonessential(pair: Pair) -> Iterator[Line]:
    """A nonessential variable may change without a new test, but has to be stated."""
    told, _ = said(pair.case, pair.variable)
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
    names = [name for name, _ in case.filler_classes()]
    found = {name: re.search(r"(?<!\d)([1-5])\d{3}(?!\d)", name) for name in names}
    return {name: match[1] for name, match in found.items() if match}


def _of_families(tested: Mapping[str, object]) -> str:
    return ", ".join(f"fillers of the {one}000 group" for one in dict.fromkeys(tested.values()))


filler_families = each(_families, qualified=_of_families)
"""Aluminium fillers of one family, 4000 or 5000, cover each other."""
