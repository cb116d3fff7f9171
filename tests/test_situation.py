"""A process may name its transfer mode."""

from __future__ import annotations

import pytest

from weldref.situation import describe
from weldref.store import Store


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
