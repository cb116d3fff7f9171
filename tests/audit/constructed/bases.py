"""Twenty clean procedures, invented, in GMAW, SMAW, GTAW and FCAW and to D1.1, ASME IX and ISO.

Trade knowledge, no source: which metals, fillers and preparations go together, and which settings
are ordinary. What is published for them is looked up by the audit itself.
"""

from __future__ import annotations

import copy
import json
from typing import Any

from weldref.procedures.model import Procedure
from weldref.procedures.read import read_bytes

Plain = dict[str, Any]
"""A procedure in our own layout, as JSON has it."""

A36 = {"text": "ASTM A36", "p_number": "1", "group": "1", "form": "plate"}
A516 = {"text": "ASTM A516 Gr. 70", "p_number": "1", "group": "2", "form": "plate"}
A106 = {"text": "ASTM A106 Gr. B", "p_number": "1", "group": "1", "form": "pipe"}
A240 = {"text": "ASTM A240 Type 304L", "p_number": "8", "group": "1", "form": "plate"}
S355 = {"text": "S355J2", "group": "1.2", "form": "plate"}
S235 = {"text": "S235JR", "group": "1.1", "form": "plate"}
X304 = {"text": "304L", "group": "8.1", "form": "plate"}
A6061 = {"text": "6061", "group": "23.1", "form": "plate"}
A5083 = {"text": "5083", "group": "22.4", "form": "plate"}

SPECIFICATIONS = {
    "E7018": "A5.1", "E6010": "A5.1", "E308L-16": "A5.4", "ER70S-6": "A5.18", "ER70S-2": "A5.18",
    "ER308L": "A5.9", "ER4043": "A5.10", "ER5356": "A5.10", "E71T-1C": "A5.20",
    "E71T-1M": "A5.20", "E71T-11": "A5.20",
}  # fmt: skip

FILLET = {
    "text": "fillet weld on a T-joint",
    "kind": "T-joint",
    "weld": "fillet",
    "backing": "none",
}
GROOVE = {
    "text": "butt joint, single-V groove", "kind": "butt joint", "weld": "groove",
    "preparation": "single V", "backing": "none",
}  # fmt: skip
IN_INCHES = {"root_opening": "1/8 in", "root_face": "1/16 in", "groove_angle": "60 deg"}
IN_MM = {"root_opening": "3 mm", "root_face": "1.5 mm", "groove_angle": "60 deg"}

D11, ASME, ISO = "AWS D1.1", "ASME IX", "ISO 15614-1"


def _base(
    code: str, process: str, metal: Plain, filler: str, size: str, *, thickness: str, joint: Plain,
    position: str, **settings: str,
) -> Plain:  # fmt: skip
    unit = "mm" if thickness.endswith("mm") else "in"
    own = {name: settings[name] for name in ("current", "voltage", "travel_speed", "polarity")}
    own |= {
        name: settings[name]
        for name in ("wire_feed_speed", "gas", "gas_flow", "transfer_mode", "progression",
                     "tungsten", "tungsten_size")
        if name in settings
    }  # fmt: skip
    weld: Plain = {
        "label": "1", "process": process, "filler_class": filler, "sizes": [size],
        "position": position, **own,
    }  # fmt: skip
    fillet = joint is FILLET
    made: Plain = {
        "kind": "WPS", "revision": "1", "date": "2026-03-02",
        "title": "posts of a handrail, plates of a footbridge ramp (invented)",
        "organization": "an invented school workshop", "prepared_by": "the instructor",
        "approved_by": ["the head of the workshop"], "supporting_pqrs": ["R-1"],
        "standards": [code], "processes": [process],
        "modes": ["manual" if process in ("SMAW", "GTAW") else "semiautomatic"],
        "base_metals": [metal, metal], "thickness": [thickness],
        "joint": joint if not fillet else
            joint | {"fillet_size": settings["fillet"]},
        "fillers": [{"process": process, "spec": SPECIFICATIONS[filler],
                     "classification": filler, "sizes": [size]}],
        "positions": [position], "polarities": [settings["polarity"]],
        "preheat_min": [settings.get("preheat", "50 F" if unit == "in" else "10 C")],
        "interpass_max": [settings.get("interpass", "450 F" if unit == "in" else "230 C")],
        "technique": {"bead": "stringer", "cleaning": "wire brush", "passes_per_side": "multiple"},
        "passes": [weld], "source": ["invented for tests"], "how_read": ["copied from print"],
    }  # fmt: skip
    if not fillet:
        made["joint"] = joint | (IN_INCHES if unit == "in" else IN_MM)
    if "gas" in settings:
        made["gases"] = [
            {"role": "shielding", "composition": settings["gas"], "flow": settings["gas_flow"],
             "process": process}
        ]  # fmt: skip
    for one, many in (
        ("progression", "progressions"), ("tungsten", "tungsten"),
        ("tungsten_size", "tungsten_size"), ("transfer_mode", "transfer_modes"),
    ):  # fmt: skip
        if one in settings:
            made[many] = [settings[one]]
    return made


CO2 = {"gas": "CO2", "gas_flow": "30 to 45 ft3/h"}
MIX = {"gas": "75 Ar / 25 CO2", "gas_flow": "30 to 40 ft3/h"}
M21 = {"gas": "82 Ar / 18 CO2", "gas_flow": "12 to 18 L/min"}
ARGON = {"gas": "argon", "gas_flow": "15 to 25 ft3/h"}
ARGON_L = {"gas": "argon", "gas_flow": "7 to 11 L/min"}
DCEP, DCEN, AC = {"polarity": "DCEP"}, {"polarity": "DCEN"}, {"polarity": "AC"}


def _all() -> dict[str, Plain]:
    every = {
        "smaw-d11-fillet": _base(
            D11, "SMAW", A36, "E7018", "1/8 in", thickness="3/16 to 3/4 in", joint=FILLET,
            position="2F", fillet="5/16 in", current="115 to 150 A", voltage="20 to 24 V",
            travel_speed="5 to 8 in/min", **DCEP),
        "smaw-d11-groove": _base(
            D11, "SMAW", A36, "E7018", "5/32 in", thickness="1/4 to 3/4 in", joint=GROOVE,
            position="1G", current="150 to 200 A", voltage="21 to 24 V",
            travel_speed="6 to 10 in/min", **DCEP),
        "smaw-asme-root": _base(
            ASME, "SMAW", A106, "E6010", "1/8 in", thickness="3/16 to 3/4 in", joint=GROOVE,
            position="1G", current="80 to 120 A", voltage="22 to 28 V",
            travel_speed="4 to 7 in/min", **DCEP),
        "smaw-asme-stainless": _base(
            ASME, "SMAW", A240, "E308L-16", "1/8 in", thickness="3/16 to 1/2 in", joint=GROOVE,
            position="1G", current="75 to 110 A", voltage="22 to 26 V", interpass="350 F",
            travel_speed="4 to 8 in/min", **DCEP),
        "smaw-iso-fillet": _base(
            ISO, "SMAW", S355, "E7018", "3.2 mm", thickness="6 to 20 mm", joint=FILLET,
            position="PB", fillet="8 mm", current="115 to 150 A", voltage="20 to 24 V",
            travel_speed="120 to 200 mm/min", **DCEP),
        "gmaw-d11-spray": _base(
            D11, "GMAW", A36, "ER70S-6", "0.045 in", thickness="1/4 to 3/4 in", joint=FILLET,
            position="2F", fillet="5/16 in", current="230 to 300 A", voltage="25 to 29 V",
            travel_speed="12 to 18 in/min", wire_feed_speed="320 to 400 in/min",
            transfer_mode="spray", gas="90 Ar / 10 CO2", gas_flow="35 to 45 ft3/h", **DCEP),
        "gmaw-d11-groove": _base(
            D11, "GMAW", A36, "ER70S-6", "1/16 in", thickness="1/2 to 1 in", joint=GROOVE,
            position="1G", current="290 to 340 A", voltage="26 to 29 V",
            travel_speed="12 to 18 in/min", transfer_mode="spray", gas="95 Ar / 5 O2",
            gas_flow="35 to 45 ft3/h", **DCEP),
        "gmaw-asme-short": _base(
            ASME, "GMAW", A36, "ER70S-6", "0.035 in", thickness="1/16 to 1/4 in", joint=GROOVE,
            position="1G", current="100 to 140 A", voltage="17 to 19 V",
            travel_speed="10 to 16 in/min", transfer_mode="short-circuiting", **MIX, **DCEP),
        "gmaw-asme-spray": _base(
            ASME, "GMAW", A240, "ER308L", "0.045 in", thickness="3/16 to 1/2 in", joint=GROOVE,
            position="1G", current="205 to 240 A", voltage="24 to 27 V", interpass="350 F",
            travel_speed="12 to 18 in/min", transfer_mode="spray", gas="98 Ar / 2 O2",
            gas_flow="35 to 45 ft3/h", **DCEP),
        "gmaw-iso-spray": _base(
            ISO, "GMAW", S355, "ER70S-6", "1.2 mm", thickness="8 to 20 mm", joint=GROOVE,
            position="PA", current="230 to 290 A", voltage="26 to 29 V",
            travel_speed="300 to 450 mm/min", transfer_mode="spray", **M21, **DCEP),
        "gmaw-iso-aluminium": _base(
            "ISO 15614-2", "GMAW", A5083, "ER5356", "1.2 mm", thickness="6 to 12 mm",
            joint=GROOVE, position="PA", current="160 to 195 A", voltage="22 to 25 V",
            preheat="10 C", interpass="60 C", travel_speed="480 to 700 mm/min",
            transfer_mode="spray", gas="argon", gas_flow="16 to 22 L/min", **DCEP),
        "gtaw-asme-root": _base(
            ASME, "GTAW", A516, "ER70S-2", "3/32 in", thickness="3/16 to 1/2 in", joint=GROOVE,
            position="1G", current="90 to 130 A", voltage="10 to 14 V",
            travel_speed="3 to 5 in/min", tungsten="EWTh-2", tungsten_size="3/32 in", **ARGON,
            **DCEN),
        "gtaw-asme-stainless": _base(
            ASME, "GTAW", A240, "ER308L", "1/16 in", thickness="1/16 to 1/4 in", joint=GROOVE,
            position="1G", current="70 to 110 A", voltage="10 to 13 V", interpass="350 F",
            travel_speed="3 to 5 in/min", tungsten="EWCe-2", tungsten_size="3/32 in", **ARGON,
            **DCEN),
        "gtaw-d11-fillet": _base(
            D11, "GTAW", A36, "ER70S-6", "3/32 in", thickness="1/8 to 1/4 in", joint=FILLET,
            position="2F", fillet="3/16 in", current="110 to 150 A", voltage="11 to 14 V",
            travel_speed="3 to 5 in/min", tungsten="EWLa-1.5", tungsten_size="3/32 in", **ARGON,
            **DCEN),
        "gtaw-iso-stainless": _base(
            ISO, "GTAW", X304, "ER308L", "2 mm", thickness="2 to 4 mm", joint=GROOVE,
            position="PA", current="70 to 100 A", voltage="10 to 13 V", interpass="150 C",
            travel_speed="70 to 120 mm/min", tungsten="EWLa-1.5", tungsten_size="2.4 mm",
            **ARGON_L, **DCEN),
        "gtaw-iso-aluminium": _base(
            "ISO 15614-2", "GTAW", A6061, "ER4043", "2.4 mm", thickness="3 to 6 mm",
            joint=GROOVE, position="PA", current="120 to 160 A", voltage="12 to 16 V",
            preheat="10 C", interpass="90 C", travel_speed="150 to 250 mm/min",
            tungsten="EWLa-1.5", tungsten_size="3.2 mm", gas="argon",
            gas_flow="8 to 12 L/min", **AC),
        "fcaw-d11-fillet": _base(
            D11, "FCAW-G", A36, "E71T-1C", "0.045 in", thickness="3/16 to 3/4 in", joint=FILLET,
            position="2F", fillet="5/16 in", current="180 to 220 A", voltage="25 to 28 V",
            travel_speed="12 to 18 in/min", **CO2, **DCEP),
        "fcaw-d11-groove": _base(
            D11, "FCAW-G", A36, "E71T-1C", "1/16 in", thickness="1/2 to 1 in", joint=GROOVE,
            position="1G", current="265 to 315 A", voltage="26.5 to 29.5 V",
            travel_speed="12 to 18 in/min", **CO2, **DCEP),
        "fcaw-iso-groove": _base(
            ISO, "FCAW-G", S355, "E71T-1C", "1.2 mm", thickness="10 to 20 mm", joint=GROOVE,
            position="PA", current="200 to 250 A", voltage="25 to 28 V",
            travel_speed="300 to 450 mm/min", gas="CO2", gas_flow="15 to 20 L/min", **DCEP),
        "fcaw-asme-groove": _base(
            ASME, "FCAW-G", A516, "E71T-1M", "0.045 in", thickness="3/16 to 3/4 in",
            joint=GROOVE, position="1G", current="180 to 220 A", voltage="24 to 27 V",
            travel_speed="8 to 14 in/min", **MIX, **DCEP),
    }  # fmt: skip
    for name, made in every.items():
        made |= {"format": "weldref-procedure/1", "number": name}
    return every


BASES = _all()
"""The clean procedures, by name."""


def a_copy(name: str) -> Plain:
    """A clean procedure to plant something in."""
    return copy.deepcopy(BASES[name])


def read(plain: Plain) -> Procedure:
    """Read a procedure as the program reads a file of it."""
    (found,) = read_bytes(json.dumps(plain).encode(), f"{plain['number']}.json")
    return found
