"""A procedure and the record of its test, with a gap in exactly one variable, or with none.

The limits are those of the codes as the tables hold them (datasets/reference); that these pairs
are ordinary work is trade knowledge, with no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tests.audit.constructed.bases import Plain, a_copy
from tests.audit.constructed.plants import (
    Plant,
    both,
    filler,
    gas,
    in_pass,
    metal,
    mode,
    of_all,
    polarity,
    size,
)

IMPACT = [{"name": "Charpy impact tests", "text": "27 J at -20 C"}]


@dataclass(frozen=True)
class Pair:
    """A procedure, the record of its test, the code, and the variable of the one gap."""

    name: str
    procedure: Plain
    record: Plain
    code: str
    gap: str


def record_of(plain: Plain, coupon: str) -> Plain:
    """The record of a test that was welded as the procedure says."""
    made = {**plain, "kind": "PQR", "number": "R-1", "coupon_thickness": [coupon]}
    made.pop("thickness")
    made.pop("supporting_pqrs")
    return made


PWHT = [{"kind": "PWHT", "temperature": "1125 F", "time": "1 h"}]
PWHT_C = [{"kind": "PWHT", "temperature": "600 C", "time": "1 h"}]
LEVEL_1 = ["ISO 15614-1:2017 level 1"]
D11, ASME, ISO, AL = "AWS D1.1", "ASME IX", "ISO 15614-1", "ISO 15614-2"

GAPS: tuple[tuple[str, str, str, Plant, str], ...] = (
    # base, code, coupon, what the procedure then says, the variable of the gap
    ("smaw-d11-groove", D11, "1/2 in", of_all(thickness=["1/4 to 1 1/4 in"]),
        "plate thickness CJP"),
    ("smaw-d11-groove", D11, "1/4 in", of_all(thickness=["1/4 to 5/8 in"]), "plate thickness CJP"),
    ("smaw-d11-groove", D11, "1/2 in", size("7/32 in"), "filler diameter"),
    ("smaw-d11-groove", D11, "1/2 in", of_all(preheat_min=["20 F"]), "preheat"),
    ("smaw-d11-groove", D11, "1/2 in",
        lambda p: p["joint"].update(preparation="square groove", text="butt joint, square groove"),
        "groove type"),
    ("gmaw-d11-groove", D11, "1 in", in_pass(current="290 to 380 A"), "amperage"),
    ("gmaw-d11-groove", D11, "1 in", in_pass(voltage="24 to 29 V"), "voltage"),
    ("gmaw-d11-groove", D11, "1 in", size("0.045 in"), "filler diameter"),
    ("fcaw-d11-groove", D11, "1 in", in_pass(current="220 to 320 A"), "amperage"),
    ("fcaw-d11-groove", D11, "1 in", in_pass(voltage="26 to 32 V"), "voltage"),
    ("smaw-asme-root", ASME, "1/2 in", of_all(thickness=["3/16 to 1 1/4 in"]),
        "base metal thickness"),
    ("smaw-asme-root", ASME, "1/2 in", of_all(thickness=["1/8 to 3/4 in"]),
        "base metal thickness"),
    ("smaw-asme-root", ASME, "1/2 in", metal("ASTM A240 Type 304L", p_number="8"), "P-number"),
    ("smaw-asme-root", ASME, "1/2 in", filler("E7018"), "F-number, A-number"),
    ("smaw-asme-root", ASME, "1/2 in", of_all(preheat_min=["-60 F"]), "preheat"),
    ("smaw-asme-root", ASME, "1/2 in", of_all(heat_treatments=PWHT), "PWHT"),
    ("gmaw-asme-spray", ASME, "1/2 in", mode("short-circuiting"), "transfer mode"),
    ("gtaw-asme-stainless", ASME, "1/8 in", of_all(thickness=["1/16 to 3/8 in"]),
        "base metal thickness"),
    ("gmaw-iso-spray", ISO, "12 mm", of_all(thickness=["8 to 30 mm"]), "thickness t, multi-run"),
    ("gmaw-iso-spray", ISO, "12 mm", metal("S690QL", group="3.1"), "material group"),
    ("gmaw-iso-spray", ISO, "12 mm", gas("75 Ar / 25 CO2"), "CO2 content of gas"),
    ("gmaw-iso-spray", ISO, "12 mm", mode("short-circuiting"), "transfer mode"),
    ("gmaw-iso-spray", ISO, "12 mm", of_all(modes=["fully mechanised"]), "degree of mechanisation"),
    ("gmaw-iso-spray", ISO, "12 mm", of_all(interpass_max=["300 C"]),
        "interpass, groups other than 8, 10, 41 to 48"),
    ("gmaw-iso-spray", ISO, "12 mm", of_all(preheat_min=["-60 C"]), "preheat"),
    ("gmaw-iso-spray", ISO, "12 mm", polarity("DCEN"), "type of current"),
    ("gmaw-iso-spray", ISO, "12 mm", of_all(heat_treatments=PWHT_C), "PWHT"),
    ("fcaw-iso-groove", ISO, "15 mm", of_all(positions=["PG"]), "position, vertical down"),
    ("gtaw-iso-stainless", ISO, "3 mm", of_all(interpass_max=["180 C"]),
        "interpass, groups 8, 10, 41 to 48"),
    ("gtaw-iso-stainless", ISO, "3 mm", of_all(thickness=["2 to 8 mm"]), "thickness t"),
    ("gtaw-iso-stainless", ISO, "3 mm", gas("98 Ar / 2 H2"), "gas component added or removed"),
    ("gmaw-iso-aluminium", AL, "8 mm", metal("6061", group="23.1"), "material group"),
    ("gmaw-iso-aluminium", AL, "8 mm", filler("ER4043"), "filler group"),
    ("gmaw-iso-aluminium", AL, "8 mm", gas("70 Ar / 30 He"), "gas composition"),
    ("gmaw-iso-aluminium", AL, "8 mm", of_all(interpass_max=["100 C"]), "interpass"),
    ("gmaw-iso-aluminium", AL, "8 mm", of_all(thickness=["6 to 20 mm"]), "thickness t"),
)  # fmt: skip

COVERED: tuple[tuple[str, str, str, Plant], ...] = (
    ("smaw-d11-groove", D11, "1/2 in", of_all(thickness=["1/8 to 1 in"])),
    ("smaw-d11-groove", D11, "1 in", of_all(thickness=["1/8 to 4 in"])),
    ("smaw-d11-groove", D11, "1/2 in", of_all(preheat_min=["30 F"])),
    ("gmaw-d11-groove", D11, "1 in", in_pass(current="290 to 345 A")),
    ("fcaw-d11-groove", D11, "1 in", in_pass(voltage="26.2 to 29.8 V")),
    ("smaw-asme-root", ASME, "1/2 in", of_all(thickness=["3/16 to 1 in"])),
    ("smaw-asme-root", ASME, "1/2 in", both(of_all(positions=["3G"], progressions=["up"]),
                                             in_pass(current="60 to 150 A"))),
    ("smaw-asme-root", ASME, "1/2 in", filler("E6011")),
    ("gmaw-asme-spray", ASME, "3/8 in", both(mode("globular"), size("1/16 in"))),
    ("gtaw-asme-stainless", ASME, "1/8 in", of_all(preheat_min=["0 F"])),
    ("gmaw-iso-spray", ISO, "12 mm", of_all(thickness=["3 to 24 mm"])),
    ("gmaw-iso-spray", ISO, "12 mm", both(gas("80 Ar / 20 CO2"), mode("pulsed spray"))),
    ("gmaw-iso-spray", ISO, "12 mm", of_all(interpass_max=["280 C"], positions=["PC"])),
    ("fcaw-iso-groove", ISO, "15 mm", metal("S235JR", group="1.1")),
    ("gtaw-iso-stainless", ISO, "3 mm", of_all(thickness=["1.5 to 6 mm"])),
    ("gmaw-iso-aluminium", AL, "8 mm", metal("5754", group="22.3")),
    ("gmaw-iso-aluminium", AL, "8 mm", of_all(thickness=["3 to 16 mm"])),
)  # fmt: skip


def gaps() -> Iterator[Pair]:
    """The pairs with one gap."""
    for base, code, coupon, plant, variable in GAPS:
        record, procedure = record_of(a_copy(base), coupon), a_copy(base)
        plant(procedure)
        yield Pair(f"{variable}: {base}", procedure, record, code, variable)


def covered() -> Iterator[Pair]:
    """The pairs without a gap."""
    for number, (base, code, coupon, plant) in enumerate(COVERED, 1):
        record, procedure = record_of(a_copy(base), coupon), a_copy(base)
        plant(procedure)
        yield Pair(f"{number}: {base}", procedure, record, code, "")
