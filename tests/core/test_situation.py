"""A process may name its transfer mode."""

from __future__ import annotations

import pytest

from weldref.core.situation import describe
from weldref.data.store import Store


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
    assert any("is no filler metal for" in note for note in notes) == told, notes
