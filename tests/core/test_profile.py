"""A profile says of every value what `Evidence.settle` says of it."""

from __future__ import annotations

import math
import random
from collections import Counter
from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.logs import invented
from tests.logs.records import COLUMNS, Records
from weldref.core.lookup import find
from weldref.core.profile import Piece, Profile, profile
from weldref.core.profiles import Profiles
from weldref.core.setup import held_back
from weldref.core.situation import Situation, describe
from weldref.core.units import UnitSystem
from weldref.core.verdict import Evidence
from weldref.data.store import Store, open_store
from weldref.errors import InputError

QUANTITIES = ("current", "voltage", "wire_feed_speed", "travel_speed", "gas_flow", "preheat")


@lru_cache(maxsize=2)
def tables(name: str) -> tuple[Store, Records]:
    """The tables that ship, or invented ones that overlap, contradict and leave gaps."""
    store = open_store()
    if name == "wild":
        store = invented.store_of(store, invented.windows(store, 300, 5, wild=True))
    return store, Records(store)


def situations(name: str, seed: int, count: int) -> list[Situation]:
    """Situations near rows of the tables; some say little."""
    store, records = tables(name)
    pick = random.Random(seed)  # noqa: S311
    found = []
    for record in records.draw(seed, count):
        share = pick.choice((0.4, 0.8, 1.0))
        said = {
            field.replace("joint_type", "joint"): record[field]
            for field in (*COLUMNS, "thickness")
            if record[field].strip() and pick.random() < share
        }
        try:
            found.append(describe(store, **said))  # type: ignore[arg-type]
        except InputError:
            continue
    return found


def values(evidence: Evidence, pick: random.Random) -> list[float]:
    """Values at every edge and tie, just beside them, and anywhere."""
    rows = [m.row for m in (*evidence.deciding, *evidence.general, *evidence.conditional)]
    edges = [row[end] for row in rows for end in ("min_si", "max_si") if row[end] is not None]
    near = [edge * (1 + step) for edge in edges for step in (0, 1e-9, -1e-9, 3e-9, -3e-9, 0.01)]
    near += [math.nextafter(value, way) for value in near for way in (0, math.inf)]
    ties = [(one + other) / 2 for one in edges for other in edges]
    anywhere = [pick.uniform(0, 2 * max(edges, default=1)) for _ in range(20)]
    pick.shuffle(near)
    pick.shuffle(ties)
    return [*near[:60], *ties[:20], *anywhere, 0.0, 1e9]


def same(found: Profile, evidence: Evidence, value: float) -> bool:
    piece, settled = found.at(value), evidence.settle(value)
    return (piece.word, piece.by(value), piece.ask) == (
        settled.word,
        settled.by,
        settled.ask.condition if settled.ask else "",
    )


@pytest.mark.parametrize("name", ["shipped", "wild"])
@settings(max_examples=4, deadline=None)
@given(seed=st.integers(0, 2**32), system=st.sampled_from(["us", "metric", None]))
def test_a_profile_says_what_settling_says(name: str, seed: int, system: UnitSystem | None) -> None:
    store, _ = tables(name)
    pick = random.Random(seed)  # noqa: S311
    shared = Profiles(store, [(quantity, system) for quantity in QUANTITIES])
    for situation in situations(name, seed, 4):
        thickness = situation.thickness.si if situation.thickness else None
        states = shared.of(shared.base(shared.part(situation)), thickness)
        never = held_back(store, situation)
        for quantity, number in zip(QUANTITIES, states, strict=True):
            speaking = [
                m for m in find(store, situation, quantity) if m.gives_verdict and m.is_range
            ]
            printed = [m for m in speaking if m.grade != "memory"]
            recalled = [m for m in speaking if m.grade == "memory"]
            evidence = Evidence(store, printed, system)
            own = profile(store, printed, system)
            state = shared.states[number]
            assert {one.match.row["window_id"] for one in state.recalled} == {
                m.row["window_id"] for m in recalled
            }
            for value in values(evidence, pick):
                assert same(own, evidence, value), (str(situation), quantity, value)
                expected = own.settle(value)
                if expected[0] in ("inside", "depends") and any(
                    held.holds_at(quantity, thickness)
                    and (not held.value or held.value.holds(value))
                    for held in never
                ):
                    expected = ("no published range", None)
                assert state.profile.settle(value) == expected


def test_the_samples_reach_every_word() -> None:
    store, _ = tables("wild")
    words: Counter[str] = Counter()
    for seed in range(3):
        for situation in situations("wild", seed, 10):
            for quantity in ("current", "voltage"):
                numbers = [20.0, 80.0, 130.0, 250.0, 700.0]
                found = Profiles(store, [(quantity, None)]).profile(situation)
                words.update(found.settle(number)[0] for number in numbers)
    assert set(words) == {
        *("inside", "low", "high", "sources differ", "depends", "no published range")
    }


def test_without_distances_the_words_are_the_same() -> None:
    store, _ = tables("wild")
    pick = random.Random(3)  # noqa: S311
    asked: list[tuple[str, UnitSystem | None]] = [(quantity, "us") for quantity in QUANTITIES]
    full, plain = Profiles(store, asked), Profiles(store, asked, distances=False)
    for situation in situations("wild", 3, 10):
        one, other = full.profile(situation), plain.profile(situation)
        assert len(other.pieces) <= len(one.pieces)
        edges = [piece.begin for piece in one.pieces[1:]]
        for value in (*edges, *(pick.uniform(0, 2 * max(edges, default=1)) for _ in range(9))):
            word, by = one.settle(value)
            assert other.settle(value) == (word, None if word == "sources differ" else by)


def test_the_same_rows_share_one_profile() -> None:
    store, _ = tables("shipped")
    shared = Profiles(store, [("current", None)])
    said = [
        {"process": "stick", "electrode": "E7018", "diameter": diameter, "thickness": thickness}
        for diameter in ("1/8", "0.125", "1/8 in")
        for thickness in ("0.3", "0.31", "0.32")
    ]
    found = {id(shared.profile(describe(store, **one))) for one in said}  # type: ignore[arg-type]
    assert len(found) == 1


def test_what_cannot_be_passes_nothing() -> None:
    """AWS C5.10, 4.2.4: no active gas on tungsten; the set-up rules hold it back."""
    store, _ = tables("shipped")
    work = describe(store, process="TIG", material="mild steel", thickness="1/8", gas="CO2")
    found = Profiles(store, [("current", None)]).profile(work)
    words = {found.settle(value)[0] for value in (20.0, 90.0, 120.0, 500.0)}
    assert words.isdisjoint({"inside", "depends"})


def test_a_value_that_cannot_be_is_held_back_and_its_neighbour_is_not() -> None:
    """The rating of a carbon of 1/4 in is 400 A: rule cut-11-4."""
    store, _ = tables("shipped")
    work = describe(store, process="CAC-A", diameter="1/4")
    (held,) = (one for one in held_back(store, work) if one.quantity == "current")
    assert held.value is not None
    assert held.value.low == 400.0
    one_range = Profile((Piece(-math.inf, "inside"),)).held_back([held.value])
    assert [one_range.settle(a)[0] for a in (400.0, 401.0)] == ["inside", "no published range"]


def test_an_answer_that_depends_tells_what_would_settle_it() -> None:
    store, _ = tables("shipped")
    found = Profiles(store, [("current", None)]).profile(
        describe(store, process="SMAW", electrode="E7018")
    )
    piece = found.at(130.0)
    assert (piece.word, piece.ask, piece.settles) == ("depends", "electrode_size", True)
    assert piece.by(130.0) is None
