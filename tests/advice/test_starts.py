"""The starts of the card against what an instructor would accept as a first try on scrap.

`starts.csv` is trade knowledge (common practice), written down from memory before the card was
asked; its ranges are wide on purpose. It is not a source of the tables.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from tests.conftest import read_csv
from weldref.advice.card import Card, card
from weldref.core.situation import describe
from weldref.data.store import Store, open_store

QUESTIONS = read_csv(Path(__file__).parent / "starts.csv")
SAID = ("process", "material", "thickness", "electrode", "diameter", "transfer_mode", "polarity",
        "gas")  # fmt: skip


@cache
def made(said: tuple[tuple[str, str], ...]) -> Card:
    store = open_store()
    return card(store, describe(store, **dict(said)))  # type: ignore[arg-type]


def start(question: dict[str, str]) -> float | None:
    found = made(tuple((name, question[name]) for name in SAID if question[name]))
    value = next((v for v in found.values if v.quantity == question["quantity"]), None)
    assert value is None or value.unit == question["unit"]
    return value.start if value else None


def test_nearly_every_question_gets_a_start_that_an_instructor_would_accept() -> None:
    assert len(QUESTIONS) >= 85
    assert len({question["case"] for question in QUESTIONS}) >= 40
    starts = [(question, start(question)) for question in QUESTIONS]
    without = [question for question, found in starts if found is None]
    refused = [
        (question["case"], question["quantity"], found)
        for question, found in starts
        if found is not None and not float(question["low"]) <= found <= float(question["high"])
    ]
    assert len(without) <= 0.05 * len(QUESTIONS), without
    assert len(refused) <= 0.05 * (len(QUESTIONS) - len(without)), refused


VAGUE = [
    {"process": "SMAW"},
    {"process": "SMAW", "material": "A36", "thickness": "1 in"},
    {"process": "SMAW", "material": "A572", "thickness": "1 in", "code": "AWS D1.1"},
    {"process": "GMAW", "material": "mild steel"},
    {"process": "GTAW", "material": "304"},
    {"process": "PAC", "material": "6061"},
    {"process": "SMAW", "material": "A36", "electrode": "E7018"},
]


@pytest.mark.parametrize("said", VAGUE, ids=lambda said: " ".join(said.values()))
def test_what_was_not_said_is_asked_and_not_guessed(store: Store, said: dict[str, str]) -> None:
    """Nobody sets 40 A because the table of electrodes begins at 1/16 in."""
    found = card(store, describe(store, **said))  # type: ignore[arg-type]
    assert found.ask is not None
    assert (found.lines, found.values) == ((), ())
    assert len(found.ask.text()) < 400
