"""Check that the document agrees with itself: slips, open ranges, preheat, progression."""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.advice.handbook import minimum_fillet
from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Alike, Finding, Rule, rule, source_of
from weldref.grades import FULL, GRADES
from weldref.procedures.model import Range, Text, gather
from weldref.procedures.quantity import parse_quantity

VERTICAL = re.compile(r"\b(?:V|vertical|3G|3F|5G|5F|6G|PF|PG|PH|PJ|all)\b", re.IGNORECASE)
SAYS_PROGRESSION = re.compile(r"up|down|\bP[FGHJ]\b", re.IGNORECASE)
"""Words for a progression; ISO 6947 has letters for vertical up and vertical down."""


BY_VOLTAGE = ("GMAW", "FCAW", "FCAW-G", "FCAW-S", "SAW")
"""Processes where the voltage is set on the machine."""


def without_progression(case: Case) -> Text | None:
    """The first position that includes vertical work, if nothing says up or down."""
    positions = gather(case.procedure, "positions", "passes.position")
    said = [*positions, *gather(case.procedure, "progressions", "passes.progression")]
    if any(SAYS_PROGRESSION.search(text.text) for text in said):
        return None
    return next((p for p in positions if VERTICAL.search(p.text)), None)


@rule("slips")
def slips(case: Case, this: Rule) -> Iterator[Finding]:
    """Report every slip that the reader noticed; the value is left as printed."""
    for slip in case.procedure.slips:
        if slip.field.startswith("recorded"):
            continue  # what the file records about itself is reported below, once
        yield this.finding(
            "unknown field" if slip.kind == "unknown field" else "slip", [slip.place],
            value=slip.value, field=_called(slip.field), kind=slip.kind, suspected=slip.suspected,
        )  # fmt: skip
    for entry in case.procedure.recorded:
        yield this.finding("recorded", [entry.place], text=entry.text)


def _called(field: str) -> str:
    """Write a place in the model in words.

    >>> _called("passes[1].heat_input"), _called("preheat_min[0]"), _called("amps")
    ('pass 2, heat input', 'preheat min', 'amps')
    """
    numbered = re.sub(r"\bpasses\[(\d+)\]\.?", lambda m: f"pass {int(m[1]) + 1}, ", field)
    return re.sub(r"\[\d+\]", "", numbered).replace("_", " ").strip(" ,") or "a field"


@rule("evidence")
def evidence(case: Case, this: Rule) -> Iterator[Finding]:
    """A file that states that it was recalled or quoted proves nothing by itself."""
    for text in case.procedure.how_read:
        if text.text in GRADES[1:]:
            source = ("", "", text.text)
            yield this.finding(
                at=[text.place], source=source, value=text.text, words=FULL[text.text]
            )


@rule("progression")
def progression(case: Case, this: Rule) -> Iterator[Finding]:
    """Vertical positions need "up" or "down"."""
    vertical = without_progression(case)
    if vertical is not None:
        yield this.finding(at=[vertical.place], value=vertical.text, position=vertical.text)


@rule("preheat-box-and-table")
def preheat_box_and_table(case: Case, this: Rule) -> Iterator[Finding]:
    """The box has one minimum, and the table below it a higher one for thick metal."""
    boxes = [r for r in case.procedure.preheat_min if r.low is not None]
    steps = [s for s in case.procedure.preheat_by_thickness if s.minimum.low is not None]
    if not boxes or not steps:
        return
    box = boxes[0]
    higher = [s for s in steps if (s.minimum.low or 0) > (box.low or 0)]
    if higher:
        top = max(higher, key=lambda s: s.minimum.low or 0)
        yield this.finding(
            at=[box.place], value=str(box), box=box, top=top.minimum, thickness=top.thickness
        )


@rule("open-ranges")
def open_ranges(case: Case, this: Rule) -> Iterator[Finding]:
    """A window without both limits controls nothing."""
    open_ones, blank = Alike(this), Alike(this)
    for weld, label, process in passes(case):
        stated = set()
        for name in ("current", "voltage", "travel_speed", "wire_feed_speed"):
            given: Range | None = getattr(weld, name)
            if given is None or not given.stated:
                continue
            stated.add(name)
            if given.typical is None and None in (given.low, given.high):
                called = name.replace("_", " ")
                open_ones.add("one end", given.place, str(given), label, name=called)
        # A listed pass without a setting for its arc: the boxes were left blank.
        if process is not None and not stated & {"current", "wire_feed_speed"}:
            blank.add("unset", weld.place, "", label, name="current")
        if process in BY_VOLTAGE and "voltage" not in stated:
            blank.add("unset", weld.place, "", label, name="voltage")
    yield from open_ones.findings()
    yield from blank.findings()


@rule("code-scope")
def code_scope(case: Case, this: Rule) -> Iterator[Finding]:
    """AWS D1.1 begins at 1/8 in (3 mm)."""
    named = " ".join(s.text for s in case.procedure.standards)
    if not re.search(r"\bD1\.1\b", named):
        return
    for given in case.procedure.thickness:
        value = case.value(given.low, given, "length")
        if value is not None and value.si < 0.003 - 1e-9:
            yield this.finding(at=[given.place], value=str(given), least=value)


@rule("prequalified-process")
def prequalified_process(case: Case, this: Rule) -> Iterator[Finding]:
    """GTAW and short-circuiting GMAW are approved but need a test; so do other processes."""
    claim = case.procedure.prequalified
    named = " ".join(text.text for text in case.procedure.standards)
    if claim is None or not case.claims_prequalified or not re.search(r"D1\.1\b", named):
        return
    told: set[str] = set()
    for weld, label, process in passes(case):
        modes = case.transfer_modes(weld)
        short = any("short-circuiting" in case.kinds("transfer_mode", mode.text) for mode in modes)
        fits = process in ("SMAW", "SAW", "FCAW", "FCAW-G", "FCAW-S") or (
            process == "GMAW" and not short
        )
        name = f"{process}, short-circuiting" if process == "GMAW" else process
        if process is None or fits or name in told:
            continue
        told.add(str(name))
        yield this.finding(at=[claim.place], value=claim.text, label=label, name=name)


@rule("filler-classes-agree")
def filler_classes_agree(case: Case, this: Rule) -> Iterator[Finding]:
    """A class in the table of passes that the filler metal section does not name."""
    written = gather(case.procedure, "fillers.classification", "fillers.text")
    declared = {name for text in written for name in case.classes_in(text.text)}
    if not declared:
        return
    told: set[str] = set()
    for weld, label, _ in passes(case):
        text = weld.filler_class
        for name in case.classes_in(text.text) if text else ():
            if text and name not in told and not any(_same_class(name, one) for one in declared):
                told.add(name)
                others = ", ".join(sorted(declared))
                yield this.finding(
                    at=[text.place], value=name, label=label, name=name, declared=others
                )


def _same_class(one: str, other: str) -> bool:
    """Whether one class is the other with more detail, as E7018-1 H4R is E7018."""
    plain = [re.sub(r"[^A-Z0-9]", "", name.upper()) for name in (one, other)]
    return plain[0].startswith(plain[1]) or plain[1].startswith(plain[0])


@rule("thickness-stated")
def thickness_stated(case: Case, this: Rule) -> Iterator[Finding]:
    """Procedures were cited for having no thickness at all."""
    stated = gather(
        case.procedure,
        *("thickness", "fillet_thickness", "qualified_thickness", "base_metals.thickness"),
    )
    if not any(given.stated or given.words for given in stated):
        yield this.finding()


@rule("quenched-and-tempered")
def quenched_and_tempered(case: Case, this: Rule) -> Iterator[Finding]:
    """Quenched and tempered steel needs a heat input or a least travel speed."""
    steels = [
        (name, place)
        for name, place in case.metals
        if "quenched and tempered steel" in case.kinds("material", name)
    ]
    if not steels or any(given.stated for given in case.procedure.heat_input):
        return
    for weld, label, _ in passes(case):
        speed = weld.travel_speed
        closed = speed is not None and speed.low is not None
        if not closed and not (weld.heat_input and weld.heat_input.stated):
            name, place = steels[0]
            yield this.finding(at=[place or weld.place], value=name, label=label, name=name)
            return


@rule("fillet-and-thickness")
def fillet_and_thickness(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare with the tables of minimum fillet sizes, at both ends of the range of thickness."""
    size = case.procedure.joint.fillet_size
    least = case.value(size.low, size, "length") if size and size.low else None
    if size is None or least is None:
        return
    every = (*case.procedure.fillet_thickness, *case.procedure.thickness)
    if not any(end for given in every for end in (given.low, given.high)):
        yield this.finding("unstated", [size.place], value=str(size), size=size)
    for given in every:
        for end in dict.fromkeys((given.low, given.high)):
            thickness = case.value(end, given, "length") if end else None
            if thickness is None:
                continue
            short = [
                row
                for row in minimum_fillet(thickness.si / 0.0254)
                if row.value is not None and least.si < float(row.value) * 0.0254 * (1 - 0.01)
            ]
            for row in short:
                yield this.finding(
                    "small", [size.place], source=(row.source_id, row.locator or "", row.how_read),
                    value=str(size), size=size, thickness=thickness, document=row.source,
                    least=row.value, unit=row.unit, condition=row.condition,
                )  # fmt: skip
            if short:
                return
        return


@rule("pass-thickness")
def pass_thickness(case: Case, this: Rule) -> Iterator[Finding]:
    """A pass over 1/2 in limits the base metal to 1.1 times the coupon."""
    asked = case.code == "ASME IX" or "ASME IX" in case.standards
    named = any(re.search(r"ASME.*\bIX\b", text.text) for text in case.procedure.standards)
    rows = case.rows(
        "SELECT * FROM qualification_rules WHERE standard = 'ASME IX' AND clause = 'QW-403.9'"
    )
    told = [(label, weld.thickness) for weld, label, _ in passes(case)]
    if (said := case.procedure.technique.max_pass_thickness) is not None:
        read = parse_quantity(said.text, "length")
        told.append(("all passes", Range(read.low, read.high, read.unit, place=said.place)))
    for label, given in told:
        most = case.value(given.high, given, "length") if given and given.high else None
        if given is None or most is None or not rows or not (asked or named):
            continue
        if most.si > rows[0]["upper"] * 0.0254 * (1 + 0.03):
            source = source_of(rows[0])
            yield this.finding(
                at=[given.place], source=source, value=str(given), label=label, given=given
            )
