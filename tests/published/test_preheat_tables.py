"""Preheat against the codes' tables: AWS D1.1, ASME B31.3, NAVSEA 278, TI 809-26."""

from __future__ import annotations

from typing import Any

import pytest

from weldref.core.check import check, published


def minimum(source: str, unit: str, **situation: Any) -> list[float]:
    """The minimum preheat that one document prints for a situation, in one unit."""
    found = published(**situation, quantity="preheat")
    return [
        row.min
        for row in found.rows
        if row.source_id == source and row.unit == unit and row.min is not None and not row.status
    ]


@pytest.mark.parametrize(
    ("thickness", "fahrenheit"),
    [("1/8", 32), ("3/4", 32), ("13/16", 150), ("1-1/2", 150), ("2", 225), ("2-1/2", 225)],
)
def test_d11_category_a_inch(thickness: str, fahrenheit: float) -> None:
    # AWS D1.1/D1.1M:2015, Table 3.3, Category A, SMAW with other than low-hydrogen electrodes.
    situation = {"process": "SMAW", "material": "A36", "electrode": "E6010"}
    assert minimum("aws-d1-1-2015", "F", **situation, thickness=thickness) == [fahrenheit]


@pytest.mark.parametrize(
    ("thickness", "celsius"),
    [("3 mm", 0), ("20 mm", 0), ("21 mm", 65), ("38 mm", 65), ("65 mm", 110), ("66 mm", 150)],
)
def test_d11_category_a_metric(thickness: str, celsius: float) -> None:
    # The metric columns of the same table have limits of their own (20, 38, 65 mm).
    situation = {"process": "SMAW", "material": "A36", "electrode": "E6010"}
    assert minimum("aws-d1-1-2015", "C", **situation, thickness=thickness) == [celsius]


@pytest.mark.parametrize(
    ("thickness", "fahrenheit"), [("3/4", 32), ("1", 50), ("2", 150), ("3", 225)]
)
@pytest.mark.parametrize("material", ["A36", "A572 Gr 50", "A992"])
def test_d11_category_b_inch(material: str, thickness: str, fahrenheit: float) -> None:
    # The same table, Category B: SMAW with low-hydrogen electrodes, and GMAW, FCAW, SAW.
    found = minimum(
        "aws-d1-1-2015", "F", process="SMAW", material=material, electrode="E7018",
        thickness=thickness,
    )  # fmt: skip
    assert found == [fahrenheit]


@pytest.mark.parametrize(
    ("material", "thickness", "celsius"),
    [
        ("P-No.1", "30 mm", 79),  # all strengths, 25 mm and over
        ("P-No.4", "6 mm", 149),  # required, all thicknesses
        ("P-No.15E", "10 mm", 204),
        ("P-No.5A", "10 mm", 177),
    ],
)
def test_b313_table_330_1_1(material: str, thickness: str, celsius: float) -> None:
    # ASME B31.3-2010, Table 330.1.1.
    found = minimum("asme-b31-3-2010", "C", material=material, thickness=thickness)
    assert celsius in found


def test_b313_by_strength() -> None:
    # Below 25 mm the table splits P-No.1 at a specified tensile strength of 490 MPa.
    weak = minimum(
        "asme-b31-3-2010", "C", material="P-No.1, strength up to 490 MPa", thickness="12 mm"
    )
    strong = minimum(
        "asme-b31-3-2010", "C", material="P-No.1, strength over 490 MPa", thickness="12 mm"
    )
    assert weak == [10]
    assert strong == [79]


@pytest.mark.parametrize(("thickness", "fahrenheit"), [("1/2", 32), ("2", 225)])
def test_ti_809_26_category_a(thickness: str, fahrenheit: float) -> None:
    # US Army Corps of Engineers TI 809-26 (2000), Table 3-1, p. 3-3.
    found = minimum(
        "ti-809-26", "F", process="SMAW", material="A36", electrode="E6010", thickness=thickness
    )
    assert found == [fahrenheit]


def test_navsea_278_interpass_of_austenitic_steel() -> None:
    # NAVSEA S9074-AR-GIB-010/278, Table IV: S-8 interpass 350 F at most.
    asked = {"process": "GTAW", "material": "304"}
    at_limit = check(**asked, code="NAVSEA 278", interpass="350 F").readings[0]
    above = check(**asked, code="NAVSEA 278", interpass="351 F").readings[0]
    assert at_limit.verdict == "inside"
    assert above.verdict == "high"
    # Where no code is named, it binds nobody.
    assert check(**asked, interpass="350 F").readings[0].verdict == "depends"


def test_minimum_preheat_is_also_minimum_interpass() -> None:
    # Table 3.3 is headed minimum preheat and interpass temperature.
    (reading,) = check(
        process="SMAW", material="A572 Gr 50", electrode="E7018", thickness="2",
        interpass_minimum="140 F", code="AWS D1.1", grade="read",
    ).readings  # fmt: skip
    assert {r.source_id: r.verdict for r in reading.rows}["aws-d1-1-2015"] == "low"
    assert reading.verdict == "low"
