"""Limits that a code sets: minimum fillets, acetylene pressure."""

from __future__ import annotations

import pytest

from weldref.core.check import check


@pytest.mark.parametrize(
    ("thickness", "leg"),
    [("1/8", "1/8"), ("1/4", "1/8"), ("0.26", "3/16"), ("1/2", "3/16"), ("3/4", "1/4"),
     ("0.76", "5/16"), ("2", "5/16")],
)  # fmt: skip
def test_minimum_fillet_of_aisc_table_j2_4(thickness: str, leg: str) -> None:
    # ANSI/AISC 360-05, Table J2.4: minimum leg by the thinner part joined.
    (reading,) = check(
        joint="fillet", material="A36", thickness=thickness, minimum_fillet_size=leg
    ).readings
    aisc = [row for row in reading.rows if row.source_id == "aisc-360-05-j2"]
    assert [row.verdict for row in aisc] == ["inside"]
    assert aisc[0].min is not None
    (under,) = check(
        joint="fillet", material="A36", thickness=thickness,
        minimum_fillet_size=f"{aisc[0].min - 0.01} in",
    ).readings  # fmt: skip
    assert {r.verdict for r in under.rows if r.source_id == "aisc-360-05-j2"} == {"low"}


def test_acetylene_stays_at_15_psig() -> None:
    # 29 CFR 1910.253(a)(2).
    for pressure, word in (("15 psig", "inside"), ("16 psig", "high"), ("1.2 bar", "high")):
        (reading,) = check(process="OFW", gas="acetylene", fuel_pressure=pressure).readings
        rows = [row for row in reading.rows if row.source_id == "cfr-29-1910-253"]
        assert [row.verdict for row in rows] == [word]
        assert rows[0].basis == "limit"
