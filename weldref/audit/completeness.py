"""Check that the document states what the chosen standard requires."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from weldref.audit.case import GAS_PROCESSES, Case
from weldref.audit.document import without_progression
from weldref.audit.finding import Finding, Rule, rule, source_of
from weldref.errors import InputError
from weldref.procedures.model import Procedure, gather

STANDARDS: dict[str, tuple[str, ...]] = {
    "ISO 15609-1": ("ISO 15609-1", "ISO 15609-1 form"),
    "AWS D1.1": ("D1.1 form", "AWS D1.1:2010 form"),
    "ASME IX": ("QW-482",),
}
"""Standards that can be asked for, with what the table of fields calls their forms."""

Stated = Callable[[Procedure], bool]


def _any(*paths: str) -> Stated:
    """Whether the document states something at one of the paths."""
    return lambda procedure: bool(gather(procedure, *paths))


def _each(*names: str) -> Stated:
    """Whether every pass states one of these."""
    return lambda procedure: (
        bool(procedure.passes) and all(gather(weld, *names) for weld in procedure.passes)
    )


def _either(*tests: Stated) -> Stated:
    return lambda procedure: any(test(procedure) for test in tests)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a field of a form asks for, in plain words, and whether a document states it.

    Where processes are named the field is for these alone, and where `mechanised` is set for
    mechanised and automatic work alone.
    """

    name: str
    stated: Stated
    processes: tuple[str, ...] = ()
    mechanised: bool = False


WIRE_PROCESSES = ("GMAW", "FCAW", "FCAW-G", "FCAW-S", "SAW")
GAS_WIRES = ("GMAW", "FCAW", "FCAW-G")
TUNGSTEN = ("GTAW", "PAW")

_ASKED: tuple[tuple[str, Asked], ...] = (
    # fields of the forms; what they ask for
    ("wps_number", Asked("identification number", _any("number"))),
    ("revision", Asked("revision", _any("revision"))),
    ("date", Asked("date", _any("date"))),
    ("organization", Asked("organization", _any("organization"))),
    ("manufacturer_iso",
     Asked("manufacturer and number", lambda p: bool(p.organization and p.number))),
    ("prepared_by", Asked("author or approval", _any("prepared_by"))),
    ("supporting_pqr", Asked("supporting test record, or that it is prequalified",
                             _any("supporting_pqrs", "prequalified"))),
    ("process", Asked("process", _any("processes"))),
    ("process_iso", Asked("process number", _any("processes"))),
    ("type", Asked("manual, semiautomatic or machine", _any("modes"))),
    ("joint_design joint_iso", Asked("joint design", _any("joint.text", "joint.preparation"))),
    ("root_opening", Asked("root opening", _any("joint.root_opening"))),
    ("root_face", Asked("root face", _any("joint.root_face"))),
    ("groove_angle", Asked("groove angle", _any("joint.groove_angle"))),
    ("backing", Asked("backing", _any("joint.backing"))),
    ("base_metal_group", Asked("base metal", _any("base_metals"))),
    ("parent_group_iso", Asked("base metal or group", _any("base_metals"))),
    ("filler_class", Asked("filler metal class", _any("fillers"))),
    ("filler_designation_iso", Asked("filler metal", _any("fillers"))),
    ("filler_size filler_size_iso",
     Asked("filler metal size", _any("fillers.sizes", "passes.sizes"))),
    ("position_groove position_iso", Asked("position", _any("positions"))),
    ("preheat_min", Asked("minimum preheat", _any("preheat_min", "preheat_by_thickness"))),
    ("preheat_iso", Asked("preheat", _any("preheat_min", "preheat_by_thickness"))),
    ("interpass_max", Asked("maximum interpass temperature", _any("interpass_max"))),
    ("interpass_iso", Asked("interpass temperature", _any("interpass_max"))),
    ("current_polarity", Asked("polarity", _either(_any("polarities"), _each("polarity")))),
    ("current_type_iso", Asked("type of current", _either(_any("polarities"), _each("polarity")))),
    ("amperage_range current_iso", Asked("current of each pass", _each("current"))),
    ("voltage_range", Asked("voltage of each pass", _each("voltage"))),
    ("voltage_iso arc_voltage_iso",
     Asked("voltage of each pass", _each("voltage"), WIRE_PROCESSES)),
    ("travel_speed", Asked("travel speed of each pass", _each("travel_speed"))),
    # ISO 15609-1:2019, 4.4.9 and 4.4.10
    ("travel_speed_iso",
     Asked("travel speed of each pass", _each("travel_speed"), mechanised=True)),
    ("wire_feed_iso",
     Asked("wire feed speed of each pass", _each("wire_feed_speed"), mechanised=True)),
    ("runout_or_travel_iso", Asked("run-out length or travel speed of each pass",
                                   _each("travel_speed", "run_out_length"), ("SMAW",))),
    ("pass_table", Asked("table of passes", _any("passes"))),
    ("cleaning", Asked("cleaning", _any("technique.cleaning"))),
    ("back_gouging", Asked("back gouging", _either(
        _any("joint.back_gouging"), lambda p: "goug" in str(p.joint.text or "")))),
    ("shielding_gas gas_designation_iso", Asked(
        "shielding gas", lambda p: any(g.role == "shielding" and g.composition for g in p.gases),
        GAS_PROCESSES)),
    ("gas_flow gas_flow_iso", Asked("gas flow", _any("gases.flow"), GAS_PROCESSES)),
    ("tungsten tungsten_iso tungsten_d11",
     Asked("tungsten size and type", _any("tungsten", "passes.tungsten"), TUNGSTEN)),
    ("transfer_mode transfer_mode_d11",
     Asked("transfer mode", _any("transfer_modes", "passes.transfer_mode"), ("GMAW",))),
    ("transfer_mode_iso",
     Asked("transfer mode", _any("transfer_modes", "passes.transfer_mode"), GAS_WIRES)),
    ("contact_tip_iso", Asked("distance of contact tip to workpiece", _either(
        _any("technique.contact_tip_distance"), _each("contact_tip_distance")), GAS_WIRES)),
)  # fmt: skip

FIELDS = {field: asked for fields, asked in _ASKED for field in fields.split()}
"""Fields that the model can show to be stated.

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
    "voltage": lambda case: _each("voltage")(case.procedure),
    "travel speed": lambda case: _each("travel_speed")(case.procedure),
}
"""What the table of passes of a form has columns for: in each pass, or once for all."""

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
    said = " ".join(map(str, gather(procedure, "modes", "passes.mode"))).casefold()
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


@rule("completeness")
def completeness(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare with the fields of each standard's form."""
    for standard in case.standards:
        missing: dict[str, dict[str, str]] = {}
        unseen = [row for row in _required(case, standard) if not _shown(row["field"])]
        if unseen:
            listed = "; ".join(dict.fromkeys(row["meaning"] for row in unseen))
            yield this.finding(
                "unseen", source=source_of(unseen[0]), listed=listed, standard=standard,
                about=f"{standard}: fields that are not checked",
            )  # fmt: skip
        for row in _required(case, standard):
            for name in _missing(case, row["field"]):
                missing.setdefault(name, row)
        for name, row in sorted(missing.items(), key=lambda pair: _turn(pair[0])):
            yield this.finding(
                "missing", source=source_of(row), about=f"{standard}: {name}",
                standard=standard, name=name, meaning=row["meaning"],
            )  # fmt: skip


def _required(case: Case, standard: str) -> list[dict[str, str]]:
    forms = STANDARDS[standard]
    rows = case.rows("SELECT * FROM procedure_fields ORDER BY rowid")
    return [
        row for row in rows if set(forms) & {part.strip() for part in row["required_by"].split(";")}
    ]


def _shown(field: str) -> bool:
    """Whether a part of a procedure shows that a field is stated."""
    return field in (*FIELDS, "progression", *ASKED_BY_RULE)


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
    asked = FIELDS.get(field)
    if (
        asked is None  # no part of the model shows whether it is stated
        or (asked.processes and not set(case.processes) & set(asked.processes))
        or (asked.mechanised and not _is_mechanised(procedure))
        or asked.stated(procedure)
    ):
        return []
    return [asked.name]
