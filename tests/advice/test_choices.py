"""What is chosen around a setting: by the tables' bands, print before memory."""

from __future__ import annotations

import pytest

from weldref.advice.choices import (
    best_grade,
    cup_diameters,
    fillers,
    gases,
    polarities,
    shade_currents,
    tungstens,
)
from weldref.core.lookup import find
from weldref.core.situation import describe
from weldref.data.store import Store


@pytest.mark.parametrize("typed", ["3/4 in", "0.75 in", "19.05 mm"])
def test_the_upper_edge_of_a_group_belongs_to_it(store: Store, typed: str) -> None:
    # AWS D1.1:2015, Table 3.1: A36 up to and including 3/4 in is Group I.
    situation = describe(store, process="SMAW", material="A36", thickness=typed)
    assert {s.only_for[0] for s in fillers(store, situation)} == {"AWS D1.1 Group I"}


@pytest.mark.parametrize(("typed", "holds"), [("3/32 in", False), ("1/8 in", True)])
def test_a_band_over_a_size_leaves_the_size_out(store: Store, typed: str, holds: bool) -> None:
    # FAA AC 43.13-1B, Table 4-12: aluminium over 3/32 in.
    situation = describe(store, process="GTAW", material="aluminium", thickness=typed)
    assert any("over 3/32 in" in s.only_for for s in polarities(store, situation)) is holds


def test_the_shade_is_looked_up_at_the_ends_of_what_is_printed(store: Store) -> None:
    situation = describe(store, process="SMAW", electrode="E7018", diameter="1/8 in")
    matches = find(store, situation)
    # Machinery's Handbook, 31st edition, p. 1594, Table 14: 110 to 160 A; memory says otherwise.
    assert any(m.grade == "memory" and m.row["quantity"] == "current" for m in matches)
    found = shade_currents(matches)
    assert (found.amperes, found.from_memory) == ((110.0, 160.0), False)


def test_recalled_currents_serve_only_where_nothing_is_printed_and_say_so(store: Store) -> None:
    situation = describe(store, process="SMAW", electrode="E6010", diameter="1/8 in")
    matches = find(store, situation)
    found = shade_currents(matches)
    recalled = [m.row for m in matches if m.row["quantity"] == "current" and m.gives_verdict]
    assert recalled
    assert {row["how_read"] for row in recalled} == {"memory"}
    assert found.amperes == (
        min(row["min_si"] for row in recalled), max(row["max_si"] for row in recalled)
    )  # fmt: skip
    assert found.from_memory
    assert shade_currents([m for m in matches if m.grade != "memory"]).amperes == ()


def test_the_current_that_is_set_comes_before_what_is_published(store: Store) -> None:
    matches = find(store, describe(store, process="SMAW", electrode="E6010", diameter="1/8 in"))
    found = shade_currents(matches, 85.0)
    assert (found.amperes, found.from_memory) == ((85.0,), False)


def test_one_current_is_looked_up_once(store: Store) -> None:
    # NIMI, Welder theory: GTAW on magnesium, 1.6 mm, argon, AC: 60 A, and no range.
    situation = describe(
        store, process="GTAW", material="magnesium", thickness="1.6 mm", polarity="AC", gas="argon"
    )
    assert shade_currents(find(store, situation)).amperes == (60.0,)


def test_a_capacity_of_the_tungsten_is_no_current_to_choose_a_lens_by(store: Store) -> None:
    matches = find(store, describe(store, process="GTAW", material="304", thickness="1/8 in"))
    broad = [m for m in matches if m.row["quantity"] == "current" and m.ignores]
    assert max(m.row["max_si"] or 0.0 for m in broad) == 1000.0
    assert max(shade_currents(matches).amperes) < 200.0


def test_what_a_source_says_beside_a_polarity_is_shown(store: Store) -> None:
    situation = describe(store, process="GTAW", material="aluminium", thickness="1/8 in")
    (refused,) = [s for s in polarities(store, situation) if s.only_for[0] == "over 3/32 in"
                  and s.refuses]  # fmt: skip
    assert refused.only_for[1] == "implied: argon, by hand"


def test_a_flux_cored_class_speaks_before_its_usability(store: Store) -> None:
    # Table 23-2 of a welding textbook: E71T-1M is used with 75 to 80 % argon, balance CO2.
    gas = {s.value for s in gases(store, describe(store, process="FCAW", electrode="E71T-1M"))}
    assert gas == {"75 to 80 Ar, balance CO2"}
    single = gases(store, describe(store, process="FCAW", electrode="E70T-2"))
    assert {s.only_for for s in single} == {("E70T-2", "single-pass welds only")}


def test_the_way_up_or_down_a_wall_is_shown(store: Store) -> None:
    (seen,) = fillers(store, describe(store, process="SMAW", electrode="E7048"))
    assert seen.only_for == ("F; OH; H; V-down", "vertical down")


def test_tungsten_is_named_by_class_or_by_kind_of_current(store: Store) -> None:
    assert tungstens(store, describe(store, process="GTAW")) == []
    assert tungstens(store, describe(store, process="SMAW", polarity="AC")) == []
    named = tungstens(store, describe(store, process="GTAW", tungsten="thoriated"))
    assert {s.value for s in named} == {"EWTh-1", "EWTh-2"}
    straight = {s.value for s in tungstens(store, describe(store, process="GTAW", polarity="DCEN"))}
    assert "EWTh-2" in straight
    assert "EWP" not in straight


def test_cups_are_named_with_their_tungsten(store: Store) -> None:
    matches = find(store, describe(store, process="GTAW"))
    rows = [m for m in matches if m.row["quantity"] == "cup_diameter" and m.row["typical"]]
    found = cup_diameters(matches)
    assert len(found) == len([m for m in rows if m.gives_verdict]) > 0
    assert all(s.value.endswith("inside diameter") for s in found)
    assert any(only.startswith("tungsten ") for s in found for only in s.only_for)


@pytest.mark.parametrize(
    ("conditions", "grade"),
    [
        ({"process": "GMAW", "material": "aluminium"}, "memory"),
        ({"process": "SMAW", "material": "A36"}, "read"),
        ({"process": "OFC", "material": "titanium"}, None),
    ],
)
def test_the_best_grade_tells_what_preheat_rests_on(
    store: Store, conditions: dict[str, str], grade: str | None
) -> None:
    assert best_grade(find(store, describe(store, **conditions)), "preheat") == grade
