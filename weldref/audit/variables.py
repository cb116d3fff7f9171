"""List what a procedure and a test record say of each variable of a code."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

from weldref.audit.case import Case
from weldref.procedures.model import Range, Text, gather

Says = Callable[[Case], Iterable[object]]


def _at(*paths: str) -> Says:
    return lambda case: gather(case.procedure, *paths)


def _first(*paths: str) -> Says:
    """What stands at the first of the paths at which there is something."""
    return lambda case: next(filter(None, (gather(case.procedure, path) for path in paths)), [])


def _fillers(case: Case) -> list[object]:
    names = [name for name, _ in case.filler_classes()]
    return [*names, *gather(case.procedure, "passes.filler_class")]


def _f_numbers(case: Case) -> list[object]:
    numbers = gather(case.procedure, "fillers.f_number")
    return [*(f"F-{number}" for number in numbers), *_fillers(case)]


def _metals(case: Case) -> list[object]:
    return [
        metal.text or metal.spec or metal.p_number or metal.group
        for metal in case.procedure.base_metals
    ]


def _gases(role: str, name: str, *in_passes: str) -> Says:
    return lambda case: [
        *(getattr(gas, name) for gas in case.procedure.gases if gas.role == role),
        *gather(case.procedure, *in_passes),
    ]


def _treatments(*, after_welding: bool) -> Says:
    return lambda case: [
        " ".join(map(str, gather(one, "kind", "text", "temperature", "time")))
        for one in case.procedure.heat_treatments
        if (one.kind.casefold() == "pwht") == after_welding
    ]


TOPICS: tuple[tuple[str, str, Says], ...] = (
    # words of the variable, as a pattern; what it is called; where it stands
    (r"deposit", "weld metal thickness",
     _first("test_deposit", "deposit_thickness", "qualified_deposit")),
    (r"pass thickness", "thickness of a pass", _at("technique.max_pass_thickness")),
    (r"fillet size|throat", "fillet size", _at("joint.fillet_size")),
    (r"thickness|base metal minimum|fillet and pjp|square groove without", "thickness",
     _first("coupon_thickness", "thickness", "qualified_thickness")),
    (r"p-number|s-number|material group|base material|backing, permanent|permanent backing",
     "base metal", _metals),
    (r"f-number", "filler metal and its F-number", _f_numbers),
    (r"filler diameter|electrode diameter|electrode size|filler size", "filler size",
     _at("passes.sizes", "fillers.sizes")),
    (r"hydrogen|filler", "filler metal", _fillers),
    (r"vertical progression", "progression", _at("progressions", "passes.progression")),
    (r"\bposition|test location", "position", _at("positions", "passes.position")),
    (r"post-heating", "post-heating", _treatments(after_welding=False)),
    (r"pwht", "heat treatment after welding", _treatments(after_welding=True)),
    (r"preheat", "preheat", _at("preheat_min", "passes.preheat_min")),
    (r"interpass", "interpass temperature", _at("interpass_max", "passes.interpass_max")),
    (r"backing gas", "backing gas", _gases("backing", "composition")),
    (r"trailing gas", "trailing gas", _gases("trailing", "composition")),
    (r"gas flow", "gas flow", _gases("shielding", "flow", "passes.gas_flow")),
    (r"gas|co2 content|he content", "shielding gas",
     _gases("shielding", "composition", "passes.gas")),
    (r"heat input", "heat input", _at("heat_input", "passes.heat_input")),
    (r"transfer mode", "transfer mode", _at("transfer_modes", "passes.transfer_mode")),
    (r"type of current|current type|polarity", "current and polarity",
     _at("polarities", "passes.polarity")),
    (r"i and e range", "current and voltage", lambda case: [
        part for weld in case.procedure.passes for part in (weld.current, weld.voltage)]),
    (r"amperage", "current", _at("passes.current")),
    (r"voltage", "voltage", _at("passes.voltage")),
    (r"travel speed", "travel speed", _at("passes.travel_speed")),
    (r"wire feed", "wire feed speed", _at("passes.wire_feed_speed")),
    (r"groove angle", "groove angle", _at("joint.groove_angle", "joint.bevel_angle")),
    (r"groove type", "preparation", _at("joint.preparation", "joint.text")),
    (r"type of joint", "joint",
     _at("joint.kind", "joint.weld", "joint.preparation", "joint.backing", "joint.sides")),
    (r"diameter|pipe for plate|plate for pipe|pipe od", "pipe diameter", _at("pipe_diameter")),
    (r"mechanisation", "manual, part-mechanised or mechanised", _at("modes", "passes.mode")),
    (r"welding process|submerged arc variant", "process", _at("processes", "passes.process")),
    (r"waveform|power source", "power source", _at("power_source")),
    (r"wire system|multiple electrode", "electrodes", _at("technique.electrodes")),
    (r"flux", "flux", _at("fillers.flux")),
    (r"layers", "layers", _at("technique.passes_per_side")),
)  # fmt: skip


def topic(variable: str) -> tuple[str, Says] | None:
    """What a variable is about, and where it stands in a document; None if it is a statement.

    >>> topic("plate thickness CJP")[0], topic("nonessential variable")
    ('thickness', None)
    """
    for pattern, name, says in TOPICS:
        if re.search(pattern, variable.casefold()):
            return name, says
    return None


def said(case: Case, variable: str, *, tested: bool = False) -> tuple[str, str]:
    """What a document says of a variable, and where; both empty where it says nothing.

    Parameters
    ----------
    case, variable
        The document, and the variable as the table of rules calls it.
    tested
        Whether it is a test record, of which the coupon counts.
    """
    found = topic(variable)
    if found is None:
        return "", ""
    if not tested and found[0] in ("thickness", "weld metal thickness"):
        claims = {
            "thickness": ("thickness", "fillet_thickness", "qualified_thickness"),
            "weld metal thickness": ("deposit_thickness", "qualified_deposit"),
        }
        values: list[Any] = gather(case.procedure, *claims[found[0]])
    else:
        values = [one for one in found[1](case) if one is not None and str(one).strip()]
    place = next((one.place for one in values if isinstance(one, (Text, Range)) and one.place), "")
    return "; ".join(dict.fromkeys(str(one).strip() for one in values)), place
