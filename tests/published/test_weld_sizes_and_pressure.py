"""Limits that a code sets: minimum fillets, acetylene pressure."""

from __future__ import annotations

import pytest

from weldref.core.check import check
from weldref.core.verdict import Row


@pytest.mark.parametrize(
    ("thickness", "leg"),
    [("1/8", "1/8"), ("1/4", "1/8"), ("0.26", "3/16"), ("1/2", "3/16"), ("3/4", "1/4"),
     ("0.76", "5/16"), ("2", "5/16")],
)  # fmt: skip
def test_minimum_fillet_of_aisc_table_j2_4(thickness: str, leg: str) -> None:
    # ANSI/AISC 360-05, Table J2.4: minimum leg by the thinner part joined.
    def aisc(size: str) -> list[Row]:
        (reading,) = check(
            joint="fillet", material="A36", thickness=thickness, code="AISC 360",
            minimum_fillet_size=size,
        ).readings  # fmt: skip
        # To 1/4 in the table holds for parts of 1/8 in and over, which is a condition.
        shown = (*reading.rows, *reading.conditional)
        return [row for row in shown if row.source_id == "aisc-360-05-j2"]

    (row,) = aisc(leg)
    assert row.verdict == "inside"
    assert row.min is not None
    assert [under.verdict for under in aisc(f"{row.min - 0.01} in")] == ["low"]


def test_acetylene_stays_at_15_psig() -> None:
    # 29 CFR 1910.253(a)(2): a ceiling fails what is above it and passes nothing below.
    for pressure, word, verdict in (
        ("15 psig", "inside", "no published range"),
        ("16 psig", "high", "high"),
        ("1.2 bar", "high", "high"),
    ):
        (reading,) = check(process="OFW", gas="acetylene", fuel_pressure=pressure).readings
        rows = [row for row in reading.general if row.source_id == "cfr-29-1910-253"]
        assert [row.verdict for row in rows] == [word]
        assert rows[0].basis == "limit"
        assert reading.verdict == verdict
