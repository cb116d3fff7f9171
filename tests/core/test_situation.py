"""A process may name its transfer mode."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from weldref.core.cautions import cautions_for
from weldref.core.lookup import find
from weldref.core.situation import describe
from weldref.data.store import Store
from weldref.errors import InputError


@pytest.mark.parametrize(
    ("process", "mode"),
    # AWS letters: S for short-circuiting, P for pulsed.
    [("GMAW-S", "short-circuiting"), ("gmaw-p", "pulsed spray"), ("pulsed MIG", "pulsed spray"),
     ("GMAW", None), ("stick", None)],
)  # fmt: skip
def test_letters_that_name_a_transfer_mode_are_told(
    store: Store, process: str, mode: str | None
) -> None:
    situation = describe(store, process=process)
    assert "transfer_mode" not in situation.given()
    told = [note for note in situation.notes if "give the transfer mode" in note]
    assert bool(told) == bool(mode)
    assert mode is None or f"names {mode} transfer" in told[0]
    both = describe(store, process=process, transfer_mode="spray")
    assert both.given()["transfer_mode"] == "spray"
    assert both.notes == ()


@pytest.mark.parametrize(
    ("process", "electrode", "told"),
    [("GMAW", "E7018", True), ("SMAW", "ER70S-6", True), ("FCAW-G", "ER70S-6", True),
     ("SMAW", "E7018", False), ("GMAW", "ER70S-6", False), ("FCAW", "E71T-1C", False),
     ("GTAW", "ER308L", False), ("SAW", "EM12K", False)],
)  # fmt: skip
def test_a_filler_metal_of_another_process_is_told(
    store: Store, process: str, electrode: str, told: bool
) -> None:
    notes = describe(store, process=process, electrode=electrode).notes
    assert any("is not a filler metal for" in note for note in notes) == told, notes


@pytest.mark.parametrize(
    ("process", "electrode", "named"),
    [("SMAW", "308L", "E308L-16"), ("GTAW", "308L", "ER308L"), ("GMAW", "316L", "ER316L"),
     ("SMAW", "7018", "E7018"), ("GMAW", "4043", "ER4043")],
)  # fmt: skip
def test_an_electrode_is_read_in_the_light_of_the_process(
    store: Store, process: str, electrode: str, named: str
) -> None:
    situation = describe(store, process=process, electrode=electrode)
    assert situation.given()["filler_class"] == named
    told = any(f"{electrode} read as {named}" in note for note in situation.notes)
    assert told == (electrode != "7018")


@pytest.mark.parametrize("name", ["process", "electrode", "gas", "code", "diameter", "thickness"])
def test_an_empty_cell_of_a_frame_is_one_sentence(store: Store, name: str) -> None:
    for empty in (float("nan"), pd.NA):
        with pytest.raises(InputError, match=f"^{name}: '?(nan|<NA>)'? is not"):
            describe(store, **{name: empty})  # type: ignore[arg-type]


def test_work_is_in_one_place(store: Store) -> None:
    assert describe(store, in_service=True).given() == {"environment": "in service"}
    with pytest.raises(InputError, match="give one of them"):
        describe(store, under_water=True, in_service=True)


@pytest.mark.parametrize(("position", "passes"), [("5G", False), ("vertical", True)])
def test_a_row_for_a_part_of_a_pipe_weld_may_only_fail(
    store: Store, position: str, passes: bool
) -> None:
    # AWS D1.1 limits the size of a covered electrode by position.
    said: dict[str, Any] = {
        "process": "SMAW",
        "electrode": "E7018",
        "code": "AWS D1.1 prequalified",
    }
    situation = describe(store, **said, position=position)
    vertical = [
        match
        for match in find(store, situation, "electrode_diameter")
        if match.row["position"] == "vertical"
    ]
    assert vertical
    assert all(match.bounds != passes for match in vertical)


def test_a_second_question_of_the_same_words_reads_no_table(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: dict[str, Any] = {"process": "mig", "material": "ASTM A572 Grade 50",
            "electrode": "308L", "gas": "C25",
            "diameter": ".035", "thickness": "11 ga", "position": "5G"}  # fmt: skip
    first = describe(store, **said), cautions_for(store, describe(store, **said))
    monkeypatch.setattr(Store, "rows", lambda *_: pytest.fail("a table was read"))
    assert (describe(store, **said), cautions_for(store, describe(store, **said))) == first
