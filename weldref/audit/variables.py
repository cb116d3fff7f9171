"""List what a procedure and a test record say of each variable of a code."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

from weldref.audit.case import Case
from weldref.procedures.model import Range, Text

Says = Callable[[Case], Iterable[object]]


def _in_passes(name: str) -> Says:
    return lambda case: [getattr(weld, name) for weld in case.procedure.passes]


def _of(name: str) -> Says:
    """A field of the document, which may also stand in its passes."""
    return lambda case: [*getattr(case.procedure, name), *_also_in_passes(case, name)]


def _also_in_passes(case: Case, name: str) -> list[object]:
    single = {
        "positions": "position",
        "progressions": "progression",
        "polarities": "polarity",
        "transfer_modes": "transfer_mode",
        "modes": "mode",
        "processes": "process",
    }
    own = single.get(name, name)
    return [getattr(weld, own, None) for weld in case.procedure.passes]  # fmt: skip


def _sizes(case: Case) -> list[object]:
    return [
        *(size for weld in case.procedure.passes for size in weld.sizes),
        *(size for filler in case.procedure.fillers for size in filler.sizes),
    ]


def _fillers(case: Case) -> list[object]:
    return [name for name, _ in case.filler_classes()] + [
        weld.filler_class for weld in case.procedure.passes
    ]


def _f_numbers(case: Case) -> list[object]:
    numbers = [
        f"F-{filler.f_number}" for filler in case.procedure.fillers if filler.f_number is not None
    ]
    return [*numbers, *_fillers(case)]


def _metals(case: Case) -> list[object]:
    return [
        metal.text or metal.spec or metal.p_number or metal.group
        for metal in case.procedure.base_metals
    ]


def _gases(role: str) -> Says:
    return lambda case: [
        *(gas.composition for gas in case.procedure.gases if gas.role == role),
        *((weld.gas for weld in case.procedure.passes) if role == "shielding" else ()),
    ]


def _flows(case: Case) -> list[object]:
    return [*(gas.flow for gas in case.procedure.gases if gas.role == "shielding"),
            *(weld.gas_flow for weld in case.procedure.passes)]  # fmt: skip


def _treatments(*kinds: str) -> Says:
    return lambda case: [
        " ".join(str(part) for part in (one.kind, one.text, one.temperature, one.time) if part)
        for one in case.procedure.heat_treatments
        if (one.kind.casefold() == "pwht") == ("pwht" in kinds)
    ]


def _joint(*names: str) -> Says:
    return lambda case: [getattr(case.procedure.joint, name) for name in names]


def _technique(*names: str) -> Says:
    return lambda case: [getattr(case.procedure.technique, name) for name in names]


def _settings(case: Case) -> list[object]:
    return [part for weld in case.procedure.passes for part in (weld.current, weld.voltage)]


def _thickness(case: Case) -> list[object]:
    procedure = case.procedure
    return [*(procedure.coupon_thickness or procedure.thickness or procedure.qualified_thickness)]


def _deposit(case: Case) -> list[object]:
    procedure = case.procedure
    return [*(procedure.test_deposit or procedure.deposit_thickness or procedure.qualified_deposit)]


TOPICS: tuple[tuple[str, str, Says], ...] = (
    # words of the variable, as a pattern; what it is called; where it stands
    (r"deposit", "weld metal thickness", _deposit),
    (r"pass thickness", "thickness of a pass", _technique("max_pass_thickness")),
    (r"fillet size|throat", "fillet size", _joint("fillet_size")),
    (r"thickness|base metal minimum|fillet and pjp|square groove without", "thickness", _thickness),
    (r"p-number|s-number|material group|base material|backing, permanent|permanent backing",
     "base metal", _metals),
    (r"f-number", "filler metal and its F-number", _f_numbers),
    (r"filler diameter|electrode diameter|electrode size|filler size", "filler size", _sizes),
    (r"hydrogen|filler", "filler metal", _fillers),
    (r"vertical progression", "progression", _of("progressions")),
    (r"\bposition|test location", "position", _of("positions")),
    (r"post-heating", "post-heating", _treatments("other")),
    (r"pwht", "heat treatment after welding", _treatments("pwht")),
    (r"preheat", "preheat", _of("preheat_min")),
    (r"interpass", "interpass temperature", _of("interpass_max")),
    (r"backing gas", "backing gas", _gases("backing")),
    (r"trailing gas", "trailing gas", _gases("trailing")),
    (r"gas flow", "gas flow", _flows),
    (r"gas|co2 content|he content", "shielding gas", _gases("shielding")),
    (r"heat input", "heat input", lambda case: [
        *case.procedure.heat_input, *(weld.heat_input for weld in case.procedure.passes)]),
    (r"transfer mode", "transfer mode", _of("transfer_modes")),
    (r"type of current|current type|polarity", "current and polarity", _of("polarities")),
    (r"i and e range", "current and voltage", _settings),
    (r"amperage", "current", _in_passes("current")),
    (r"voltage", "voltage", _in_passes("voltage")),
    (r"travel speed", "travel speed", _in_passes("travel_speed")),
    (r"wire feed", "wire feed speed", _in_passes("wire_feed_speed")),
    (r"groove angle", "groove angle", _joint("groove_angle", "bevel_angle")),
    (r"groove type", "preparation", _joint("preparation", "text")),
    (r"type of joint", "joint", _joint("kind", "weld", "preparation", "backing", "sides")),
    (r"diameter|pipe for plate|plate for pipe|pipe od", "pipe diameter", _of("pipe_diameter")),
    (r"mechanisation", "manual, part-mechanised or mechanised", _of("modes")),
    (r"welding process|submerged arc variant", "process", _of("processes")),
    (r"waveform|power source", "power source", _of("power_source")),
    (r"wire system|multiple electrode", "electrodes", _technique("electrodes")),
    (r"flux", "flux", lambda case: [filler.flux for filler in case.procedure.fillers]),
    (r"layers", "layers", _technique("passes_per_side")),
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
        claims: dict[str, Any] = {
            "thickness": ("thickness", "fillet_thickness", "qualified_thickness"),
            "weld metal thickness": ("deposit_thickness", "qualified_deposit"),
        }
        values = [one for name in claims[found[0]] for one in getattr(case.procedure, name)]
    else:
        values = [one for one in found[1](case) if one is not None and str(one).strip()]
    place = next((one.place for one in values if isinstance(one, (Text, Range)) and one.place), "")
    return "; ".join(dict.fromkeys(str(one).strip() for one in values)), place
