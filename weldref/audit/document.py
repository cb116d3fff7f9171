"""Check that the document agrees with itself: slips, open ranges, preheat, progression."""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.advice.handbook import minimum_fillet
from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Finding, Rule, rule
from weldref.procedures.model import Pass, Range, Text
from weldref.procedures.quantity import parse_quantity

VERTICAL = re.compile(r"\b(?:V|vertical|3G|3F|5G|5F|6G|PF|PG|PH|PJ|all)\b", re.IGNORECASE)
SAYS_PROGRESSION = re.compile(r"up|down|\bP[FGHJ]\b", re.IGNORECASE)
"""ISO 6947 has a letter for vertical upwards and another for downwards."""


BY_VOLTAGE = ("GMAW", "FCAW", "FCAW-G", "FCAW-S", "SAW")
"""Processes of which the voltage is set on the machine."""


def without_progression(case: Case) -> Text | None:
    """The first position that takes in vertical work, where nothing says up or down."""
    procedure = case.procedure
    positions = [*procedure.positions, *(w.position for w in procedure.passes if w.position)]
    said = [*positions, *procedure.progressions]
    said += [w.progression for w in procedure.passes if w.progression]
    if any(SAYS_PROGRESSION.search(text.text) for text in said):
        return None
    return next((p for p in positions if VERTICAL.search(p.text)), None)


@rule(
    "slips",
    "consistency",
    "Is anything printed that looks like a mistake of writing?",
    "",
    "",
    "read",
)
def slips(case: Case, this: Rule) -> Iterator[Finding]:
    """Report every slip that the reader noticed; the value is left as printed."""
    for slip in case.procedure.slips:
        if slip.field.startswith("recorded"):
            continue  # what the file records of itself is told below, once
        unknown = slip.kind == "unknown field"
        yield this.finding(
            "note" if unknown else "question",
            f"not audited: {slip.suspected}"
            if unknown
            else f"{_called(slip.field)}: {slip.kind}: {slip.suspected}",
            place=slip.place,
            value=slip.value,
            next_step="" if unknown else "confirm with the author and correct it",
        )
    for entry in case.procedure.recorded:
        yield this.finding(
            "question",
            f"the file itself records: {entry.text}",
            place=entry.place,
            next_step="settle it before the document is used",
        )


def _called(field: str) -> str:
    """Write a place in the model as a reader says it.

    >>> _called("passes[1].heat_input"), _called("preheat_min[0]"), _called("amps")
    ('pass 2, heat input', 'preheat min', 'amps')
    """
    numbered = re.sub(r"\bpasses\[(\d+)\]\.?", lambda m: f"pass {int(m[1]) + 1}, ", field)
    return re.sub(r"\[\d+\]", "", numbered).replace("_", " ").strip(" ,") or "a field"


@rule(
    "evidence",
    "consistency",
    "Does the file say that it was copied from print, and not recalled?",
    "",
    "",
    "read",
)
def evidence(case: Case, this: Rule) -> Iterator[Finding]:
    """A file that says of itself that it was recalled or quoted proves nothing by itself."""
    words = {"memory": "recalled, not seen in print", "secondary": "quoted by another document"}
    for text in case.procedure.how_read:
        if text.text in words:
            yield this.finding(
                "question",
                f"the file says of itself that it was {words[text.text]}: so is every value in it",
                place=text.place,
                value=text.text,
                grade=text.text,
                next_step="compare every value with the document itself",
            )


@rule(
    "progression",
    "consistency",
    "Is the progression stated where a vertical position is?",
    "ncdot-fwp",
    "27-1",
    "read",
)
def progression(case: Case, this: Rule) -> Iterator[Finding]:
    """Vertical positions need "up" or "down"."""
    vertical = without_progression(case)
    if vertical is not None:
        yield this.finding(
            "missing",
            f"position {vertical.text} includes vertical work, and no progression is stated",
            place=vertical.place,
            value=vertical.text,
            expected="up or down",
            next_step="state the progression",
        )


@rule(
    "preheat-box-and-table",
    "consistency",
    "Does the preheat box agree with the preheat table?",
    "ncdot-fwp",
    "WPS sheet preheat table",
    "read",
)
def preheat_box_and_table(case: Case, this: Rule) -> Iterator[Finding]:
    """One minimum in the box, and a higher one for thick metal in the table below it."""
    boxes = [r for r in case.procedure.preheat_min if r.low is not None]
    steps = [s for s in case.procedure.preheat_by_thickness if s.minimum.low is not None]
    if not boxes or not steps:
        return
    box = boxes[0]
    higher = [s for s in steps if (s.minimum.low or 0) > (box.low or 0)]
    if higher:
        top = max(higher, key=lambda s: s.minimum.low or 0)
        yield this.finding(
            "question",
            f"the preheat box says {box}, the table rises to {top.minimum} for thick metal",
            place=box.place,
            value=str(box),
            expected=f"{top.minimum}, thickness {top.thickness}",
            next_step="the table by thickness governs: say so in the box",
        )


@rule(
    "open-ranges",
    "consistency",
    "Does every range have both ends?",
    "lanl-wps-sa517",
    "welding characteristics",
    "read",
)
def open_ranges(case: Case, this: Rule) -> Iterator[Finding]:
    """A window with one end, or none, controls nothing."""
    found: dict[str, list[tuple[str, Range]]] = {}
    for weld, label, _ in passes(case):
        for name in ("current", "voltage", "travel_speed", "wire_feed_speed"):
            given = getattr(weld, name)
            if given is None or not given.stated or given.typical is not None:
                continue
            if None in (given.low, given.high):
                found.setdefault(name.replace("_", " "), []).append((label, given))
    for name, alike in found.items():
        labels = ", ".join(dict.fromkeys(label for label, _ in alike))
        yield this.finding(
            "question",
            f"{labels}: {name} has one end only",
            place=alike[0][1].place,
            also_at=[given.place for _, given in alike[1:]],
            value=", ".join(dict.fromkeys(str(given) for _, given in alike)),
            expected="lowest and highest value",
            next_step="state both ends",
        )
    yield from _unset(case, this)


def _unset(case: Case, this: Rule) -> Iterator[Finding]:
    """A pass that is there and has no setting that makes its arc: its boxes are blank."""
    without: dict[str, list[tuple[str, Pass]]] = {}
    for weld, label, process in passes(case):
        stated = {name for name in ("current", "wire_feed_speed", "voltage")
                  if (given := getattr(weld, name)) is not None and given.stated}  # fmt: skip
        if process is not None and not stated & {"current", "wire_feed_speed"}:
            without.setdefault("current", []).append((label, weld))
        if process in BY_VOLTAGE and "voltage" not in stated:
            without.setdefault("voltage", []).append((label, weld))
    for name, alike in without.items():
        yield this.finding(
            "question",
            f"no {name} is stated for {', '.join(dict.fromkeys(label for label, _ in alike))}",
            place=alike[0][1].place,
            also_at=[weld.place for _, weld in alike[1:]],
            next_step="state both ends",
        )


@rule(
    "code-scope",
    "consistency",
    "Is the thickness inside the scope of the code named?",
    "nrc-ml20198f416",
    "item 1a",
    "read",
)
def code_scope(case: Case, this: Rule) -> Iterator[Finding]:
    """AWS D1.1 begins at 1/8 in (3 mm)."""
    named = " ".join(s.text for s in case.procedure.standards)
    if not re.search(r"\bD1\.1\b", named):
        return
    for given in case.procedure.thickness:
        if given.low is None:
            continue
        value = case.value(given.low, given, "length")
        if value is not None and value.si < 0.003 - 1e-9:
            yield this.finding(
                "contradiction",
                f"thickness from {value} under AWS D1.1, whose scope begins at 1/8 in (3 mm)",
                place=given.place,
                value=str(given),
                expected="1/8 in (3 mm) and over",
                next_step="another code covers thinner metal",
            )


@rule(
    "prequalified-process",
    "consistency",
    "Is the process one that AWS D1.1 takes as prequalified, where the document claims so?",
    "aws-d1-1-2000",
    "3.2.1 and 3.2.2",
    "read",
)
def prequalified_process(case: Case, this: Rule) -> Iterator[Finding]:
    """GTAW and short-circuiting GMAW are approved but need a test; so do other processes."""
    claim = case.procedure.prequalified
    named = " ".join(text.text for text in case.procedure.standards)
    if claim is None or not re.search(r"D1\.1\b", named):
        return
    if not re.search(r"pre-?qualified|^yes$", claim.text.strip(), re.IGNORECASE) or re.search(
        r"\b(?:not|by test)\b", claim.text, re.IGNORECASE
    ):
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
        yield this.finding(
            "contradiction",
            f"{label}: {name} is claimed as prequalified, and needs a test",
            place=claim.place,
            value=claim.text,
            expected="SMAW, SAW, FCAW, or GMAW other than short-circuiting",
            next_step="name the test record, or change the process",
        )


@rule(
    "filler-classes-agree",
    "consistency",
    "Do all mentions of the filler metal class agree?",
    "aws-inspection-trends-2013",
    "p. 27",
    "read",
)
def filler_classes_agree(case: Case, this: Rule) -> Iterator[Finding]:
    """A class in the table of passes that the filler metal section does not name."""
    declared = {
        name for filler in case.procedure.fillers
        for text in (filler.classification, filler.text) if text
        for name in case.classes_in(text.text)
    }  # fmt: skip
    if not declared:
        return
    told: set[str] = set()
    for weld, label, _ in passes(case):
        if weld.filler_class is None:
            continue
        for name in case.classes_in(weld.filler_class.text):
            same = any(_same_class(name, other) for other in declared)
            if not same and name not in told:
                told.add(name)
                yield this.finding(
                    "contradiction",
                    f"{label}: {name} is not among the filler metals named elsewhere",
                    place=weld.filler_class.place,
                    value=name,
                    expected=", ".join(sorted(declared)),
                    next_step="correct one of the two mentions",
                )


def _same_class(one: str, other: str) -> bool:
    """E7018 and E7018-1 H4R are one class with more said; E70C-6 and E70C-6M too."""
    plain = [re.sub(r"[^A-Z0-9]", "", name.upper()) for name in (one, other)]
    return plain[0].startswith(plain[1]) or plain[1].startswith(plain[0])


@rule(
    "thickness-stated",
    "consistency",
    "Is the range of thickness stated?",
    "nrc-ml20198f416",
    "item 1b",
    "read",
)
def thickness_stated(case: Case, this: Rule) -> Iterator[Finding]:
    """Procedures were cited for having no thickness at all."""
    procedure = case.procedure
    stated = (
        *procedure.thickness,
        *procedure.fillet_thickness,
        *procedure.qualified_thickness,
        *(metal.thickness for metal in procedure.base_metals if metal.thickness),
    )
    if not any(given.stated or given.words for given in stated):
        yield this.finding(
            "missing",
            "no range of base metal thickness is stated",
            expected="lowest and highest thickness",
            next_step="state the thickness that the procedure is for",
        )


@rule(
    "quenched-and-tempered",
    "consistency",
    "Is heat input controlled on quenched and tempered steel?",
    "lanl-wps-sa517",
    "welding technique",
    "read",
)
def quenched_and_tempered(case: Case, this: Rule) -> Iterator[Finding]:
    """Neither a heat input nor a closed window of travel speed on such a steel."""
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
            yield this.finding(
                "question",
                f"{label}: {steels[0][0]} is quenched and tempered, and neither heat input nor "
                "the slowest travel is limited",
                place=steels[0][1] or weld.place,
                value=steels[0][0],
                expected="a highest heat input",
                next_step="state a limit: too much heat softens such steel",
            )
            return


@rule(
    "fillet-and-thickness",
    "consistency",
    "Is the fillet at least the minimum size for the thickness?",
    "aisc-360-05-j2",
    "Table J2.4",
    "read",
)
def fillet_and_thickness(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare with the tables of minimum fillet sizes, at both ends of the range of thickness."""
    size = case.procedure.joint.fillet_size
    least = case.value(size.low, size, "length") if size and size.low else None
    if size is None or least is None:
        return
    every = (*case.procedure.fillet_thickness, *case.procedure.thickness)
    if not any(end for given in every for end in (given.low, given.high)):
        yield this.finding(
            "not checked",
            f"fillet {size}: no thickness is stated: it was held against no table of least sizes",
            place=size.place,
            value=str(size),
            source_id="",
            next_step="state the thickness",
        )
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
                    "question",
                    f"fillet {size} on {thickness}: {row.source} asks for {row.value:g} "
                    f"{row.unit} at least ({row.condition})",
                    place=size.place,
                    value=str(size),
                    expected=f"{row.value:g} {row.unit} and up",
                    source_id=row.source_id,
                    locator=row.locator,
                    grade=row.how_read,
                    next_step="compare with the governing code's table of minimum sizes",
                )
            if short:
                return
        return


@rule(
    "pass-thickness",
    "consistency",
    "Is any pass thicker than 1/2 in (13 mm), where ASME IX narrows the range?",
    "asme-ix-2019",
    "QW-403.9, listed in QW-254",
    "read",
)
def pass_thickness(case: Case, this: Rule) -> Iterator[Finding]:
    """A pass over 1/2 in limits the base metal to 1.1 times the coupon."""
    asked = case.code == "ASME IX" or "ASME IX" in case.standards
    named = any(re.search(r"ASME.*\bIX\b", text.text) for text in case.procedure.standards)
    rows = case.store.rows(
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
            yield this.finding(
                "question",
                f"{label}: a pass of {given} narrows the thickness that the record qualifies",
                place=given.place,
                value=str(given),
                expected="up to 1/2 in (13 mm) a pass",
                source_id=rows[0]["source_id"],
                locator=rows[0]["locator"],
                grade=rows[0]["how_read"],
                next_step="read QW-403.9 for the limit that then counts",
            )
