"""Check that the document states what the chosen standard requires."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from weldref.audit.case import GAS_PROCESSES, Case
from weldref.audit.document import without_progression
from weldref.audit.finding import Finding, Rule, rule
from weldref.errors import InputError
from weldref.procedures.model import Procedure

STANDARDS: dict[str, tuple[str, ...]] = {
    "ISO 15609-1": ("ISO 15609-1", "ISO 15609-1 form"),
    "AWS D1.1": ("D1.1 form", "AWS D1.1:2010 form"),
    "ASME IX": ("QW-482",),
}
"""Standards that can be asked for, with what the table of fields calls their forms."""

Stated = Callable[[Procedure], bool]


def _in_passes(name: str) -> Stated:
    return lambda p: bool(p.passes) and all(getattr(w, name) is not None for w in p.passes)


def _gas(role: str) -> Stated:
    return lambda p: any(g.role == role and g.composition for g in p.gases)


FIELDS: dict[str, tuple[str, Stated]] = {
    "wps_number": ("identification number", lambda p: p.number is not None),
    "revision": ("revision", lambda p: p.revision is not None),
    "date": ("date", lambda p: p.date is not None),
    "organization": ("organization", lambda p: p.organization is not None),
    "manufacturer_iso": ("manufacturer and number", lambda p: bool(p.organization and p.number)),
    "prepared_by": ("author or approval", lambda p: p.prepared_by is not None),
    "supporting_pqr": (
        "supporting test record, or that it is prequalified",
        lambda p: bool(p.supporting_pqrs or p.prequalified),
    ),
    "process": ("process", lambda p: bool(p.processes)),
    "process_iso": ("process number", lambda p: bool(p.processes)),
    "type": ("manual, semiautomatic or machine", lambda p: bool(p.modes)),
    "joint_design": ("joint design", lambda p: bool(p.joint.text or p.joint.preparation)),
    "joint_iso": ("joint design", lambda p: bool(p.joint.text or p.joint.preparation)),
    "root_opening": ("root opening", lambda p: p.joint.root_opening is not None),
    "root_face": ("root face", lambda p: p.joint.root_face is not None),
    "groove_angle": ("groove angle", lambda p: p.joint.groove_angle is not None),
    "backing": ("backing", lambda p: p.joint.backing is not None),
    "base_metal_group": ("base metal", lambda p: bool(p.base_metals)),
    "parent_group_iso": ("base metal or group", lambda p: bool(p.base_metals)),
    "filler_class": ("filler metal class", lambda p: bool(p.fillers)),
    "filler_designation_iso": ("filler metal", lambda p: bool(p.fillers)),
    "filler_size": (
        "filler metal size",
        lambda p: any(f.sizes for f in p.fillers) or any(w.sizes for w in p.passes),
    ),
    "filler_size_iso": (
        "filler metal size",
        lambda p: any(f.sizes for f in p.fillers) or any(w.sizes for w in p.passes),
    ),
    "position_groove": ("position", lambda p: bool(p.positions)),
    "position_iso": ("position", lambda p: bool(p.positions)),
    "preheat_min": ("minimum preheat", lambda p: bool(p.preheat_min or p.preheat_by_thickness)),
    "preheat_iso": ("preheat", lambda p: bool(p.preheat_min or p.preheat_by_thickness)),
    "interpass_max": ("maximum interpass temperature", lambda p: bool(p.interpass_max)),
    "interpass_iso": ("interpass temperature", lambda p: bool(p.interpass_max)),
    "current_polarity": ("polarity", lambda p: bool(p.polarities) or _in_passes("polarity")(p)),
    "current_type_iso": (
        "type of current",
        lambda p: bool(p.polarities) or _in_passes("polarity")(p),
    ),
    "amperage_range": ("current of each pass", _in_passes("current")),
    "current_iso": ("current of each pass", _in_passes("current")),
    "voltage_range": ("voltage of each pass", _in_passes("voltage")),
    "travel_speed": ("travel speed of each pass", _in_passes("travel_speed")),
    "pass_table": ("table of passes", lambda p: bool(p.passes)),
    "cleaning": ("cleaning", lambda p: p.technique.cleaning is not None),
    "back_gouging": (
        "back gouging",
        lambda p: p.joint.back_gouging is not None or "goug" in str(p.joint.text or ""),
    ),
}
"""Fields that the model can show to be stated, with plain names.

The range of thickness is not among them: the rule "thickness-stated" always asks for it.
"""

PASS_TABLE: dict[str, Callable[[Case], bool]] = {
    "process": lambda case: all(map(case.process_of, case.procedure.passes)),
    "filler metal class": lambda case: all(map(case.filler_classes, case.procedure.passes)),
    "electrode size": lambda case: all(map(case.sizes, case.procedure.passes)),
    "polarity": lambda case: all(map(case.polarity, case.procedure.passes)),
    "current or wire feed speed": lambda case: all(
        weld.current or weld.wire_feed_speed for weld in case.procedure.passes
    ),
    "voltage": lambda case: _in_passes("voltage")(case.procedure),
    "travel speed": lambda case: _in_passes("travel_speed")(case.procedure),
}
"""What the table of passes of a form has columns for: in each pass, or once for all."""

WIRE_PROCESSES = ("GMAW", "FCAW", "FCAW-G", "FCAW-S", "SAW")
GAS_WIRES = ("GMAW", "FCAW", "FCAW-G")

MECHANISED: dict[str, tuple[str, Stated]] = {
    "wire_feed_iso": ("wire feed speed of each pass", _in_passes("wire_feed_speed")),
    "travel_speed_iso": ("travel speed of each pass", _in_passes("travel_speed")),
}
"""Fields that ISO 15609-1:2019 asks of mechanised and automatic work alone (4.4.9 and 4.4.10)."""

BY_PROCESS: dict[str, tuple[str, tuple[str, ...], Stated]] = {
    "shielding_gas": ("shielding gas", GAS_PROCESSES, _gas("shielding")),
    "gas_flow": ("gas flow", GAS_PROCESSES, lambda p: any(g.flow for g in p.gases)),
    "gas_designation_iso": ("shielding gas", GAS_PROCESSES, _gas("shielding")),
    "gas_flow_iso": ("gas flow", GAS_PROCESSES, lambda p: any(g.flow for g in p.gases)),
    "tungsten": ("tungsten size and type", ("GTAW", "PAW"), lambda p: _tungsten(p)),
    "tungsten_iso": ("tungsten size and type", ("GTAW", "PAW"), lambda p: _tungsten(p)),
    "tungsten_d11": ("tungsten size and type", ("GTAW", "PAW"), lambda p: _tungsten(p)),
    "transfer_mode": (
        "transfer mode",
        ("GMAW",),
        lambda p: bool(p.transfer_modes) or any(w.transfer_mode for w in p.passes),
    ),
    "transfer_mode_d11": (
        "transfer mode",
        ("GMAW",),
        lambda p: bool(p.transfer_modes) or any(w.transfer_mode for w in p.passes),
    ),
    "voltage_iso": ("voltage of each pass", WIRE_PROCESSES, _in_passes("voltage")),
    "arc_voltage_iso": ("voltage of each pass", WIRE_PROCESSES, _in_passes("voltage")),
    "runout_or_travel_iso": (
        "run-out length or travel speed of each pass",
        ("SMAW",),
        lambda p: (
            bool(p.passes)
            and all(w.travel_speed is not None or w.run_out_length is not None for w in p.passes)
        ),
    ),
    "transfer_mode_iso": (
        "transfer mode",
        GAS_WIRES,
        lambda p: bool(p.transfer_modes) or any(w.transfer_mode for w in p.passes),
    ),
    "contact_tip_iso": (
        "distance of contact tip to workpiece",
        GAS_WIRES,
        lambda p: (
            p.technique.contact_tip_distance is not None or _in_passes("contact_tip_distance")(p)
        ),
    ),
}
"""Fields that only some processes need."""


def _tungsten(procedure: Procedure) -> bool:
    return bool(procedure.tungsten or any(w.tungsten for w in procedure.passes))


FIRST = (
    *("process", "process number", "base metal", "base metal or group"),
    *("filler metal class", "filler metal", "filler metal size", "current of each pass"),
    *("voltage of each pass", "travel speed of each pass", "wire feed speed of each pass"),
    *("run-out length or travel speed of each pass", "polarity", "type of current", "position"),
    *("progression", "minimum preheat", "preheat", "shielding gas", "gas flow"),
)
"""What makes the weld is asked for first."""

LAST = (
    *("identification number", "manufacturer and number", "revision", "organization"),
    *("author or approval", "date"),
)
"""The paper's own data are asked for last."""


def _turn(name: str) -> int:
    if name in FIRST:
        return FIRST.index(name)
    return len(FIRST) + (LAST.index(name) + 1 if name in LAST else 0)


def _is_mechanised(procedure: Procedure) -> bool:
    """Whether any of the work is mechanised or automatic; a gun held in the hand is not.

    >>> from weldref.procedures.model import Text
    >>> [_is_mechanised(Procedure(modes=(Text(mode),))) for mode in ("semiautomatic", "automatic")]
    [False, True]
    """
    texts = [*procedure.modes, *(weld.mode for weld in procedure.passes if weld.mode)]
    said = " ".join(text.text.casefold() for text in texts)
    by_hand = re.sub(r"semi[- ]?automatic|partly mechani[sz]ed", "", said)
    return bool(re.search(r"automatic|mechani[sz]ed|machine|robot", by_hand))


def known_standard(text: str) -> str:
    """Resolve the name of a standard whose contents can be asked for.

    Raises
    ------
    InputError
        If it is none of them.

    >>> known_standard("iso15609")
    'ISO 15609-1'
    """
    wanted = "".join(c for c in text.casefold() if c.isalnum())
    spellings = {
        "ISO 15609-1": ("iso156091", "156091", "iso15609", "15609", "eniso156091"),
        "AWS D1.1": ("awsd11", "d11", "awsd11d11m", "d11d11m"),
        "ASME IX": ("asmeix", "asme9", "ix", "sectionix", "asmesectionix"),
    }
    for name, known in spellings.items():
        if wanted in known:
            return name
    raise InputError(f"standard: '{text}' is not known; give {', '.join(STANDARDS)}")


@rule(
    "completeness",
    "completeness",
    "Is everything stated that the chosen standard requires?",
    "",
    "",
    "read",
)
def completeness(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare with the fields of each standard's form."""
    for standard in case.standards:
        missing: dict[str, dict[str, str]] = {}
        unseen = [row for row in _required(case, standard) if not _shown(row["field"])]
        if unseen:
            listed = "; ".join(dict.fromkeys(row["meaning"] for row in unseen))
            yield this.finding(
                "not checked",
                f"{standard}: whether these are stated was not checked: {listed}",
                source_id=unseen[0]["source_id"],
                locator=unseen[0]["locator"],
                grade=unseen[0]["how_read"],
                next_step="look for them in the document",
                about=f"{standard}: fields that are not checked",
            )
        for row in _required(case, standard):
            for name in _missing(case, row["field"]):
                missing.setdefault(name, row)
        for name, row in sorted(missing.items(), key=lambda pair: _turn(pair[0])):
            yield this.finding(
                "missing",
                f"{standard}: {name} is not stated",
                expected=row["meaning"],
                source_id=row["source_id"],
                locator=row["locator"],
                grade=row["how_read"],
                next_step="state it, or that it does not apply",
                about=f"{standard}: {name}",
            )


def _required(case: Case, standard: str) -> list[dict[str, str]]:
    forms = STANDARDS[standard]
    rows = case.store.rows("SELECT * FROM procedure_fields ORDER BY rowid")
    return [
        row for row in rows if set(forms) & {part.strip() for part in row["required_by"].split(";")}
    ]


def _shown(field: str) -> bool:
    """Whether a part of a procedure shows that a field is stated."""
    return field in (*FIELDS, *BY_PROCESS, *MECHANISED, "progression", "pass_table", *ASKED_BY_RULE)


ASKED_BY_RULE = ("thickness_range", "thickness_iso")
"""Fields that a rule of its own asks for: "thickness-stated"."""

GROOVE_ONLY = ("root_opening", "root_face", "groove_angle", "back_gouging")
"""Fields that a fillet weld does not have."""


def _missing(case: Case, field: str) -> list[str]:
    """The plain names of what a field asks for and the document does not state."""
    procedure = case.procedure
    if field in GROOVE_ONLY and procedure.joint.is_fillet:
        return []
    if field == "progression":
        return ["progression"] if without_progression(case) else []
    if field == "pass_table" and procedure.passes:
        return [f"{name} of each pass" for name, stated in PASS_TABLE.items() if not stated(case)]
    if field in MECHANISED:
        name, stated = MECHANISED[field]
        return [name] if _is_mechanised(procedure) and not stated(procedure) else []
    if field in BY_PROCESS:
        name, processes, stated = BY_PROCESS[field]
        return [name] if set(case.processes) & set(processes) and not stated(procedure) else []
    if field in FIELDS:
        name, stated = FIELDS[field]
        return [] if stated(procedure) else [name]
    return []  # no part of the model shows whether it is stated
