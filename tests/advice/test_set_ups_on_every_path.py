"""What a welder would refuse is named and passes nothing: check, card, frame and log.

The set-ups and what an instructor says of them are trade knowledge (common practice), written
down before the rules were asked.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import weldref
from weldref.logs.audit import audit_log

STICK = {"process": "SMAW", "material": "A36", "electrode": "E7018", "diameter": "1/8 in"}
MIG = {"process": "GMAW", "material": "mild steel", "electrode": "ER70S-6", "diameter": ".035 in",
       "thickness": "1/8 in", "gas": "75/25", "polarity": "DCEP"}  # fmt: skip
TIG = {"process": "GTAW", "material": "304", "thickness": "1/8 in", "polarity": "DCEN"}

REFUSED: list[tuple[str, dict[str, Any], dict[str, str]]] = [
    ("E7018 downhill", {**STICK, "position": "vertical down"}, {"current": "130 A"}),
    ("E7018 on DCEN", {**STICK, "polarity": "DCEN"}, {"current": "130 A"}),
    ("E7024 overhead", {**STICK, "electrode": "E7024", "position": "overhead"},
     {"current": "160 A"}),
    ("E6010 on AC", {**STICK, "electrode": "E6010", "polarity": "AC"}, {"current": "100 A"}),
    ("stick with argon", {**STICK, "gas": "argon"}, {"current": "130 A"}),
    ("130 A on 22 gauge", {**STICK, "electrode": "E6013", "thickness": "22 ga"},
     {"current": "130 A"}),
    ("130 A on 22 gauge, MIG", {**MIG, "thickness": "22 ga"}, {"current": "130 A"}),
    ("130 A on 22 gauge, TIG", {**TIG, "material": "mild steel", "thickness": "22 ga"},
     {"current": "130 A"}),
    ("MIG on DCEN", {**MIG, "polarity": "DCEN"}, {"current": "110 A", "voltage": "18 V"}),
    ("aluminium in 75/25", {**MIG, "material": "6061", "electrode": "ER4043"},
     {"current": "130 A", "voltage": "22 V"}),
    ("acetylene as shielding", {**MIG, "gas": "acetylene"}, {"current": "110 A"}),
    ("1/8 in wire in a gun", {**MIG, "diameter": "1/8 in", "thickness": "1/4 in"},
     {"current": "300 A", "voltage": "28 V"}),
    ("spray in CO2", {**MIG, "transfer_mode": "spray", "gas": "CO2"}, {"current": "220 A"}),
    ("stick rod in a gun", {**MIG, "electrode": "E7018"}, {"current": "110 A"}),
    ("TIG in CO2 mix", {**TIG, "gas": "75/25"}, {"current": "110 A"}),
    ("TIG on titanium in nitrogen", {**TIG, "material": "titanium", "gas": "nitrogen"},
     {"current": "110 A"}),
    ("self-shielded T-8 on DCEP", {"process": "FCAW-S", "material": "A36", "electrode": "E71T-8",
     "diameter": "5/64 in", "polarity": "DCEP"}, {"current": "250 A"}),
    ("torch cutting stainless", {"process": "OFC", "material": "304", "thickness": "1/4 in"},
     {"oxygen_pressure": "30 psi"}),
    ("acetylene at 25 psi", {"process": "OFC", "material": "A36", "thickness": "1/2 in",
     "gas": "acetylene"}, {"fuel_pressure": "25 psi"}),
]  # fmt: skip
NAMES = [name for name, _, _ in REFUSED]
PASSING = {"inside", "depends"}


@pytest.mark.parametrize(("said", "values"), [one[1:] for one in REFUSED], ids=NAMES)
def test_what_a_welder_refuses_is_named_and_passes_nothing(
    said: dict[str, Any], values: dict[str, str]
) -> None:
    answer = weldref.check(**said, **values)  # type: ignore[arg-type]
    assert any(found.holds_back for found in answer.sense)
    assert PASSING.isdisjoint(reading.verdict for reading in answer.readings)
    recalled = [one.from_memory.verdict for one in answer.readings if one.from_memory]
    assert PASSING.isdisjoint(recalled)
    card = weldref.bench(**said, **values)
    assert any(found.holds_back for found in card.sense)
    assert PASSING.isdisjoint(v.reading.verdict for v in card.values if v.reading)


@pytest.mark.parametrize("name", ["E7018 downhill", "MIG on DCEN", "aluminium in 75/25"])
def test_such_a_set_up_gets_no_start(name: str) -> None:
    (said,) = [said for one, said, _ in REFUSED if one == name]
    assert weldref.bench(**said).values == ()


def test_no_row_of_a_frame_or_of_a_log_reads_inside(tmp_path: Path) -> None:
    fields = sorted({name for _, said, _ in REFUSED for name in said})
    quantities = sorted({name for *_, values in REFUSED for name in values})
    records = [{**said, **values} for _, said, values in REFUSED]
    frame = pd.DataFrame(records, columns=[*fields, *quantities])
    checked = weldref.check_frame(frame)
    for quantity in quantities:
        said = set(checked[f"{quantity}_verdict"].dropna())
        assert PASSING.isdisjoint(said), quantity
    log = tmp_path / "log.csv"
    with log.open("w", newline="") as file:
        writer = csv.DictWriter(file, [*fields, *quantities], lineterminator="\n")
        writer.writeheader()
        writer.writerows(records)
    for one in audit_log(log).counts:
        assert (one.inside, one.depends) == (0, 0), one
