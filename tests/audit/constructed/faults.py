"""One fault planted in a clean procedure, and the rule that should find it.

Trade knowledge, no source: that each of these is a fault. The rule that should speak is named
beside it; another that speaks as well does no harm.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tests.audit.constructed.bases import BASES, Plain, a_copy
from tests.audit.constructed.plants import (
    Plant,
    also,
    both,
    filler,
    gas,
    in_joint,
    in_pass,
    metal,
    polarity,
    position,
    size,
    without,
)


@dataclass(frozen=True)
class Fault:
    """A procedure with one fault; `rules` are those of which one should speak."""

    name: str
    procedure: Plain
    rules: tuple[str, ...]
    asked: dict[str, Any]


def _to(*names: str) -> tuple[str, ...]:
    """The bases of which a name begins with or holds one of these words."""
    return tuple(one for one in BASES if any(part in one for part in names))


PLANTS: tuple[tuple[str, tuple[str, ...], Plant, tuple[str, ...]], ...] = (
    # name, bases, what is planted, rules of which one should speak
    ("current far too high", ("smaw-d11-fillet", "smaw-iso-fillet", "gmaw-asme-spray",
        "fcaw-d11-groove"), in_pass(current="300 to 480 A"), ("published-range",)),
    ("current too low", ("smaw-d11-fillet", "smaw-d11-groove", "gmaw-asme-spray"),
        in_pass(current="60 to 80 A"), ("published-range",)),
    ("a digit too many in the current", _to("smaw", "gtaw"), in_pass(current="1150 to 1500 A"),
        ("plausible", "published-range")),
    ("a digit too many in the voltage", ("smaw-d11-fillet", "gmaw-d11-spray", "gtaw-asme-root",
        "fcaw-asme-groove"), in_pass(voltage="200 to 240 V"), ("plausible",)),
    ("travel speed by the second, not the minute", ("smaw-iso-fillet", "gmaw-iso-spray",
        "fcaw-iso-groove", "gtaw-iso-stainless"), in_pass(travel_speed="150 to 250 mm/s"),
        ("slips",)),
    ("wire feed speed far too high", ("gmaw-d11-spray",),
        in_pass(wire_feed_speed="3200 to 4000 in/min"), ("plausible",)),
    ("a size ten times too great", ("smaw-iso-fillet", "gmaw-iso-spray", "fcaw-iso-groove"),
        size("32 mm"), ("plausible",)),
    ("a window that says nothing", ("smaw-d11-fillet", "gmaw-d11-spray", "gtaw-asme-root",
        "fcaw-d11-fillet"), in_pass(current="20 to 480 A"), ("window-width",)),
    ("preheat in one scale, interpass in the other", ("smaw-d11-fillet", "gmaw-iso-spray"),
        lambda p: p.update(preheat_min=["60 F"], interpass_max=["230 C"]), ("plausible",)),
    ("preheat above the interpass ceiling", ("smaw-d11-groove", "fcaw-asme-groove"),
        lambda p: p.update(preheat_min=["400 F"], interpass_max=["250 F"]),
        ("plausible", "set-up")),
    ("range upside down", ("smaw-d11-fillet", "gtaw-iso-stainless"),
        in_pass(current="150 to 115 A"), ("slips",)),
    ("wrong polarity", ("smaw-d11-fillet", "gmaw-d11-spray", "gmaw-asme-spray",
        "fcaw-d11-groove"), polarity("DCEN"), ("set-up",)),
    ("tungsten on the positive side", ("gtaw-asme-root", "gtaw-asme-stainless"), polarity("DCEP"),
        ("set-up",)),
    ("aluminium on direct current, electrode negative, in argon", ("gtaw-iso-aluminium",),
        polarity("DCEN"), ("set-up",)),
    ("active gas over tungsten", _to("gtaw"), gas("75 Ar / 25 CO2"), ("gas-and-process",)),
    ("carbon dioxide in spray transfer", ("gmaw-d11-spray", "gmaw-d11-groove", "gmaw-iso-spray"),
        gas("CO2"), ("set-up",)),
    ("carbon dioxide on aluminium", ("gmaw-iso-aluminium",), gas("75 Ar / 25 CO2"), ("set-up",)),
    ("no gas", ("gmaw-d11-spray", "gtaw-asme-root", "fcaw-d11-fillet"),
        without("gases", "gas", "gas_flow"), ("gas-and-process",)),
    ("gas flow of a tenth", ("gmaw-d11-spray", "fcaw-d11-fillet", "gtaw-asme-root"),
        lambda p: (in_pass(gas_flow="3 to 4 ft3/h")(p), p["gases"][0].update(flow="3 to 4 ft3/h")),
        ("published-range",)),
    ("steel filler on stainless steel", ("gmaw-asme-spray", "gtaw-asme-stainless"),
        filler("ER70S-6"), ("filler-and-metal",)),
    ("steel filler on aluminium", ("gmaw-iso-aluminium", "gtaw-iso-aluminium"), filler("ER70S-6"),
        ("filler-and-metal",)),
    ("aluminium filler on steel", ("gmaw-d11-spray", "gtaw-d11-fillet"), filler("ER4043"),
        ("filler-and-metal",)),
    ("covered electrode in a wire process", ("gmaw-d11-groove", "fcaw-asme-groove"),
        filler("E7018"), ("process-and-filler",)),
    ("wire in the covered-electrode process", ("smaw-d11-fillet", "smaw-asme-root"),
        filler("ER70S-6"), ("process-and-filler",)),
    ("self-shielded wire under gas", ("fcaw-d11-fillet", "fcaw-asme-groove"), filler("E71T-11"),
        ("set-up", "process-and-filler")),
    ("wire for carbon dioxide in a mixture", ("fcaw-asme-groove",), filler("E71T-1C"),
        ("set-up",)),
    ("filler weaker than the steel", ("smaw-d11-groove", "fcaw-d11-groove"),
        metal("ASTM A514"), ("filler-strength", "set-up")),
    ("two classes of filler", ("smaw-d11-groove", "gmaw-asme-short"),
        lambda p: p["fillers"][0].update(classification="E6013" if "smaw" in p["number"]
                                         else "ER70S-3"), ("filler-classes-agree",)),
    ("vertical without progression", ("smaw-d11-groove", "gmaw-asme-short", "fcaw-iso-groove",
        "gtaw-asme-root"), position("3G"), ("progression",)),
    ("flat electrode in vertical", ("smaw-d11-groove",),
        both(filler("E7024"), position("3G"), also("progressions", ["up"], progression="up")),
        ("set-up",)),
    ("spray in overhead", ("gmaw-d11-groove", "gmaw-asme-spray"), position("4G"), ("set-up",)),
    ("one end of a range left out", ("smaw-d11-fillet", "gmaw-d11-spray", "gtaw-iso-stainless",
        "fcaw-iso-groove"), in_pass(current={"min": 100, "unit": "A"}), ("open-ranges",)),
    ("no thickness", ("smaw-d11-fillet", "gmaw-asme-short", "gtaw-iso-stainless",
        "fcaw-iso-groove"), without("thickness"), ("thickness-stated",)),
    ("sheet under the structural code", ("smaw-d11-fillet", "gmaw-d11-spray", "gtaw-d11-fillet"),
        also("thickness", ["1/16 to 1/4 in"]), ("code-scope",)),
    ("prequalified by short-circuiting", ("gmaw-d11-groove",),
        both(also("transfer_modes", ["short-circuiting"], transfer_mode="short-circuiting",
                    voltage="18 to 20 V", current="150 to 190 A"),
              also("prequalified", "prequalified")), ("prequalified-process",)),
    ("prequalified with tungsten", ("gtaw-d11-fillet",), also("prequalified", "prequalified"),
        ("prequalified-process",)),
    ("fillet under the minimum", ("smaw-d11-fillet", "gmaw-d11-spray", "fcaw-d11-fillet"),
        in_joint(fillet_size="1/16 in"), ("fillet-and-thickness",)),
    ("preheat under the table", ("smaw-d11-groove", "fcaw-d11-groove", "gmaw-d11-groove"),
        lambda p: p.update(thickness=["1 to 3 in"], preheat_min=["32 F"]),
        ("preheat-by-method",)),
    ("heat input that does not follow", ("smaw-d11-fillet", "gmaw-iso-spray", "gtaw-asme-root",
        "fcaw-iso-groove"), in_pass(heat_input="190 to 260 kJ/mm"), ("heat-input-corners",)),
    ("heat input left free on quenched and tempered steel", ("smaw-d11-groove",),
        both(metal("ASTM A514"), filler("E11018-M"), without("travel_speed")),
        ("quenched-and-tempered",)),
    ("a steel that is none", ("smaw-d11-fillet", "gmaw-iso-spray"), metal("Q999 steel"),
        ("understood",)),
    ("a process that is none", ("smaw-d11-fillet",),
        also("processes", ["XMAW"], process="XMAW"), ("understood",)),
    ("a gas that is none", ("gmaw-d11-spray",), gas("Superweld 5"), ("understood",)),
    ("a position that is none", ("smaw-d11-groove",), position("9Q"), ("understood",)),
    ("recalled, not copied", ("smaw-d11-fillet",), also("how_read", ["memory"]),
        ("evidence",)),
    ("a pass too thick", ("smaw-asme-root", "fcaw-asme-groove"),
        lambda p: p["technique"].update({"max_pass_thickness": "5/8 in"}), ("pass-thickness",)),
)  # fmt: skip

LEFT_OUT = (
    # what completeness should miss: name, base, what to take out, what it says, standard
    ("no polarity", "smaw-d11-fillet", ("polarities", "polarity"), "AWS D1.1"),
    ("no position", "smaw-asme-root", ("positions", "position"), "ASME IX"),
    ("no filler", "gmaw-asme-short", ("fillers", "filler_class"), "ASME IX"),
    ("no base metal", "fcaw-asme-groove", ("base_metals",), "ASME IX"),
    ("no preheat", "smaw-asme-root", ("preheat_min",), "ASME IX"),
    ("no interpass temperature", "gtaw-iso-stainless", ("interpass_max",), "ISO 15609-1"),
    ("no current", "fcaw-iso-groove", ("current",), "ISO 15609-1"),
    ("no transfer mode", "gmaw-iso-spray", ("transfer_modes", "transfer_mode"), "ISO 15609-1"),
    ("no tungsten", "gtaw-iso-stainless", ("tungsten",), "ISO 15609-1"),
    ("no test record", "gmaw-asme-short", ("supporting_pqrs",), "ASME IX"),
)


def every_fault() -> Iterator[Fault]:
    """Every fault in every procedure that it is planted in."""
    for name, bases, plant, rules in PLANTS:
        for base in bases:
            plain = a_copy(base)
            plant(plain)
            yield Fault(f"{name}: {base}", plain, rules, {})
    for name, base, keys, standard in LEFT_OUT:
        plain = a_copy(base)
        without(*keys)(plain)
        yield Fault(f"{name}: {base}", plain, ("completeness",), {"standards": [standard]})
