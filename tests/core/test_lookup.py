"""Which rows apply: conditions, trees, sizes, thickness bands and their edges."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import weldref
from weldref.core.index import NARROWER
from weldref.core.lookup import Match, compare, find, neighbours, thickness_text
from weldref.core.setup import impossible
from weldref.core.situation import describe
from weldref.data.store import Store, open_store
from weldref.grades import GRADES


def rows(store: Store, quantity: str | None = None, **conditions: Any) -> list[dict[str, Any]]:
    return [match.row for match in find(store, describe(store, **conditions), quantity)]


def said(match: Match) -> tuple[str, ...]:
    return tuple(str(assumption) for assumption in match.assumptions)


def test_a_row_applies_to_a_kind_of_what_it_states(store: Store) -> None:
    # Printed for stainless 300 series; asked for 304.
    found = rows(store, "current", process="GMAW", transfer_mode="spray", material="304")
    assert any(r["material"] == "300-series stainless steel" for r in found)
    # Pulsed spray is a mode of its own: what is printed for spray at constant voltage is not its.
    found = rows(store, "voltage", process="GMAW", transfer_mode="pulsed spray", material="304")
    assert not any(r["transfer_mode"] == "spray" for r in found)


def test_a_broader_situation_is_a_named_assumption(store: Store) -> None:
    situation = describe(store, process="GMAW", transfer_mode="spray", material="stainless steel")
    match = next(
        m for m in find(store, situation, "current")
        if m.row["material"] == "300-series stainless steel"
    )  # fmt: skip
    assert "holds for material 300-series stainless steel; you said stainless steel" in said(match)


def test_a_condition_left_out_is_a_named_assumption(store: Store) -> None:
    situation = describe(store, process="SMAW", electrode="E7018", diameter="1/8")
    match = next(
        m for m in find(store, situation, "current")
        if m.row["source_id"] == "machinerys-handbook-31"
    )  # fmt: skip
    assert said(match) == ("holds for material carbon steel; you did not say",)


@pytest.mark.parametrize("typed", ["2.4 mm", "2.5 mm", "3/32", "0.094", ".09375 in"])
def test_sizes_match_by_label(typed: str, store: Store) -> None:
    # 3/32 in is sold as 2.4 or 2.5 mm (Machinery's Handbook Table 13 prints 2.5 mm beside it).
    found = rows(store, "current", process="SMAW", electrode="E7018", diameter=typed)
    assert {r["electrode_size"] for r in found if r["source_id"] == "machinerys-handbook-31"} == {
        "3/32 in"
    }


def test_another_name_of_a_size_is_farther_than_its_own_and_said(store: Store) -> None:
    def first(diameter: str) -> Match:
        situation = describe(store, process="SMAW", electrode="E7018", diameter=diameter)
        return next(m for m in find(store, situation, "current") if "electrode_size" in m.codes)

    material = "holds for material carbon steel; you did not say"
    own, twin = first("3/32"), first("2.4 mm")
    assert (own.codes["electrode_size"], said(own)) == (0, (material,))
    assert (twin.codes["electrode_size"], said(twin)) == (
        1,
        (material, "printed for 3/32 in, sold as the same size as 2.4 mm"),
    )


def test_a_gas_is_nearer_than_the_group_it_belongs_to(store: Store) -> None:
    def codes(gas: str) -> dict[str, set[int]]:
        found: dict[str, set[int]] = {}
        for match in find(store, describe(store, process="GMAW", gas=gas)):
            if "gas" in match.codes:
                found.setdefault(match.row["gas"], set()).add(match.codes["gas"])
        return found

    assert codes("C25")["75 Ar / 25 CO2"] == {0}
    assert codes("C25")["ISO 14175 M21"] == {1}
    group = codes("M21")
    assert group["ISO 14175 M21"] == {0}
    assert group["75 Ar / 25 CO2"] == {NARROWER}


def test_membership_of_a_group_is_said_and_may_weaken_the_grade(store: Store) -> None:
    def first(material: str, group: str) -> Match:
        situation = describe(store, material=material, thickness="1")
        matches = find(store, situation, "preheat")
        return next(m for m in matches if m.row["material"] == group)

    match = first("A36", "P-No.1")
    assert "takes A36 as P-No.1 (read)" in said(match)
    assert match.grade == match.row["how_read"] == "read"
    recalled = [
        (row["material"], row["group"])
        for row in store.rows("SELECT * FROM material_groups WHERE how_read = 'memory'")
    ]
    weakened = 0
    for term, group in recalled:
        situation = describe(store, material=term)
        for match in find(store, situation):
            if match.row["material"] == group:
                assert match.grade == "memory"
                weakened += match.row["how_read"] != "memory"
    assert weakened


def test_a_size_no_table_has_matches_nothing(store: Store) -> None:
    situation = describe(store, process="SMAW", electrode="E7018", diameter="0.11 in")
    assert "no table has the electrode size 0.11 in" in situation.notes
    assert all(m.row["electrode_size"] is None for m in find(store, situation, "current"))


@pytest.mark.parametrize(
    ("thickness", "preheat"),
    [("0.125", 32), ("0.75", 32), ("0.76", 150), ("1.5", 150), ("1.51", 225), ("2.5", 225)],
)
def test_d11_bands_own_their_upper_edge(thickness: str, preheat: float, store: Store) -> None:
    # AWS D1.1:2015 Table 3.3, Category A, other than low-hydrogen: 1/8 to 3/4 incl., over 3/4
    # thru 1-1/2, over 1-1/2 thru 2-1/2.
    found = rows(
        store, "preheat", process="SMAW", material="A36", electrode="E6010", thickness=thickness
    )
    assert [r["min"] for r in found if r["source_id"] == "aws-d1-1-2015" and r["unit"] == "F"] == [
        preheat
    ]


@pytest.mark.parametrize(("thickness", "preheat"), [("0.99", 50), ("1.0", 175), ("1.01", 175)])
def test_b313_bands_own_their_lower_edge(thickness: str, preheat: float, store: Store) -> None:
    # ASME B31.3-2010 Table 330.1.1, P-No.1: below 1 in, 1 in and over.
    found = rows(store, "preheat", material="A36", thickness=thickness)
    assert [
        r["min"] for r in found if r["source_id"] == "asme-b31-3-2010" and r["unit"] == "F"
    ] == [preheat]


def test_above_the_end_of_a_table_nothing_applies(store: Store) -> None:
    # The inch rows of Category A end at 2-1/2 in (the next one has not been read).
    found = rows(store, "preheat", process="SMAW", material="A36", electrode="E6010",
                 thickness="3")  # fmt: skip
    assert not [r for r in found if r["source_id"] == "aws-d1-1-2015" and r["unit"] == "F"]


def test_a_nominal_thickness_serves_its_twin_aloud(store: Store) -> None:
    situation = describe(store, process="GTAW", material="aluminium", thickness="1/8")
    match = next(
        m for m in find(store, situation, "current")
        if m.row["source_id"] == "nimi-cits-welder-theory"
    )  # fmt: skip
    assert "printed for 3.2 mm thickness; you said 1/8 in" in said(match)


def test_gauge_is_read_as_us_standard_gauge(store: Store) -> None:
    # 15 U.S.C. 206: gauge 11 is 1/8 in.
    situation = describe(store, process="GTAW", thickness="11 ga")
    assert situation.thickness is not None
    assert situation.thickness.number == 0.125
    assert any("15 U.S.C. 206" in note for note in situation.notes)


def test_order_is_by_matched_conditions_then_assumptions_then_grade(store: Store) -> None:
    situation = describe(store, process="GTAW", material="aluminium", thickness="1/8")
    keys = [
        (-len(m.matched), len(m.assumptions), GRADES.index(m.grade))
        for m in compare(store, situation, "current", "memory")
    ]
    assert all(one <= two for one, two in pairwise(keys))


def test_near_rows_differ_in_one_or_two_conditions_and_stand_once(store: Store) -> None:
    situation = describe(store, process="SMAW", electrode="E7018", diameter="1/16", thickness="3")
    near = neighbours(store, situation, "current", most=10_000)
    assert {len(one.differs) for one in near} == {1, 2}
    for one in near:
        assert one.match.row["quantity"] == "current"
        assert one.match.gives_verdict
        assert one.match.fit != "broad"
        assert not {"process", "environment"} & set(one.differs)
    stated = [
        (*(one.match.row[c] for c in ("source_id", "min", "max", "typical", "unit")), one.side)
        for one in near
    ]
    assert len(stated) == len(set(stated))
    assert neighbours(store, situation, "current") == near[:6]


def test_the_nearest_rungs_on_both_sides_come_first(store: Store) -> None:
    # Recalled GTAW starts of aluminium stand at 1/16, 1/8, 3/16 and 1/4 in.
    situation = describe(store, process="GTAW", material="aluminium", thickness="5/32")
    first = neighbours(store, situation, "current")[:3]
    assert {one.side for one in first} == {"below", "above"}
    assert all(one.differs == ("thickness",) for one in first)
    away = [one.away for one in first]
    assert away == sorted(away)
    assert away[0] < 0.0009


def test_under_water_is_never_near_to_dry(store: Store) -> None:
    situation = describe(store, process="CAC", material="A36")
    near = neighbours(store, situation, "current", most=10_000)
    assert not any(one.match.row["environment"] for one in near)


def test_near_rows_are_of_the_grade_that_was_asked_for(store: Store) -> None:
    situation = describe(store, process="SMAW", electrode="E7018", diameter="1/16")
    grades = {
        least: {
            one.match.grade for one in neighbours(store, situation, "current", least, most=10_000)
        }
        for least in GRADES
    }
    assert grades["read"] == {"read"}
    assert "memory" not in grades["secondary"]
    assert "memory" in grades["memory"]


# GMAW current: wire size, metal or wire class, and transfer mode decide.
WIRE = {"process": "GMAW", "material": "304", "transfer_mode": "spray"}


@pytest.mark.parametrize(
    ("conditions", "row", "fit", "ignores"),
    [
        (WIRE | {"diameter": ".045"}, "modern-welding-2020:011", "near", ()),
        ({"process": "SMAW", "electrode": "E7018", "diameter": "1/8", "thickness": "22 ga"},
         "machinerys-handbook-31:026", "near", ()),
    ],
)  # fmt: skip
def test_how_closely_a_row_fits(
    conditions: dict[str, str], row: str, fit: str, ignores: tuple[str, ...], store: Store
) -> None:
    found = {m.row["window_id"]: m for m in find(store, describe(store, **conditions), "current")}
    assert (found[row].fit, found[row].ignores) == (fit, ignores)


def test_a_row_says_which_stated_conditions_it_is_silent_on(store: Store) -> None:
    situation = describe(
        store, process="SMAW", electrode="E7018", diameter="1/8", thickness="1/4", position="flat"
    )
    for match in find(store, situation, "current"):
        assert set(match.silent_on) == set(situation.stated) - set(match.codes)


def test_a_general_minimum_says_nothing_of_a_hardenable_steel(store: Store) -> None:
    for metal in ("4140", "A514", "1045", "P91"):
        situation = describe(store, material=metal, thickness="1")
        for match in find(store, situation, "preheat"):
            assert (
                match.ignores
                or match.special
                or match.codes["material"] == 0
                or (
                    match.row["material"] in situation.terms["material"].membership
                    or match.row["material"] in situation.terms["material"].broader
                )
            )
            if match.row["material"] in ("steel", "carbon steel", "ferritic steel", "alloy steel"):
                assert "material" in match.ignores


def test_rows_of_welding_say_nothing_of_a_cut(store: Store) -> None:
    situation = describe(store, process="PAC", material="A36", thickness="1/4")
    assert not find(store, situation, "preheat")
    assert not find(store, situation, "minimum_fillet_size")


def test_every_driver_is_shown_by_the_tables_or_says_why(store: Store) -> None:
    """A document whose rows differ in a driver alone and print other ranges proves it."""
    drivers = store.rows("SELECT * FROM drivers WHERE NOT contains(condition, ';')")
    for driver in drivers:
        column = "thickness_min_si" if driver["condition"] == "thickness" else driver["condition"]
        others = [c for c in SAME if c != driver["condition"]]
        same = " AND ".join(f'a."{c}" IS NOT DISTINCT FROM b."{c}"' for c in others)
        (found,) = store.rows(
            f"""
            SELECT count(*) AS n FROM windows a JOIN windows b
            ON a.source_id = b.source_id AND a.quantity = b.quantity AND {same}
            WHERE a.quantity = $quantity AND a.{column} IS DISTINCT FROM b.{column}
            AND (a.min_si IS DISTINCT FROM b.min_si OR a.max_si IS DISTINCT FROM b.max_si
                OR a.typical_si IS DISTINCT FROM b.typical_si)
            AND ($process IS NULL OR a.process IN (
                SELECT term FROM broader_terms WHERE tree = 'processes' AND broader = $process))
            """,  # noqa: S608
            {"quantity": driver["quantity"], "process": driver["process"]},
        )
        key = (driver["process"], driver["quantity"], driver["condition"])
        assert (found["n"] > 0) != (key in TOO_FEW_ROWS), key
        assert driver["reason"]


TOO_FEW_ROWS = {
    ("CAC", "current", "electrode_size"),
    ("GMAW", "current", "transfer_mode"),
    ("GMAW", "wire_feed_speed", "transfer_mode"),
    *(("LBC", q, c) for q in ("current", "laser_power", "travel_speed")
      for c in ("material", "thickness")),
    ("OFC", "fuel_flow", "gas"),
    ("OFC", "fuel_pressure", "gas"),
    *(("OFC", q, "material") for q in ("oxygen_pressure", "tip_orifice", "travel_speed")),
    ("OFW", "filler_diameter", "thickness"),
    ("OFW", "fuel_flow", "gas"),
    ("OFW", "fuel_pressure", "gas"),
    ("OFW", "fuel_pressure", "thickness"),
    ("OFW", "oxygen_pressure", "thickness"),
    ("PAW", "current", "thickness"),
    ("SAW", "current", "electrode_size"),
    ("SAW", "voltage", "electrode_size"),
    ("SAW", "wire_feed_speed", "electrode_size"),
    ("SMAW", "voltage", "filler_class"),
}  # fmt: skip
"""Drivers that rest on trade knowledge alone (common practice): no document of ours has two rows
that differ in nothing else. When one has, the entry goes."""


SAME = (
    "process", "transfer_mode", "material", "filler_class", "electrode_size", "polarity", "gas",
    "technique", "scope",
)  # fmt: skip


@pytest.mark.parametrize(
    ("low", "low_in", "high", "high_in", "words"),
    [
        (None, None, None, None, ""),
        (3.0, True, 3.0, True, "3 mm"),
        (3.0, True, None, None, "3 mm and up"),
        (3.0, False, None, None, "over 3 mm"),
        (None, None, 6.0, True, "up to 6 mm"),
        (None, None, 6.0, False, "below 6 mm"),
        (3.0, True, 6.0, True, "3 to 6 mm"),
        (3.0, False, 6.0, False, "over 3 to below 6 mm"),
    ],
)
def test_a_band_says_who_owns_its_edges(
    low: float | None, low_in: bool | None, high: float | None, high_in: bool | None, words: str
) -> None:
    row = {
        "thickness_min": low,
        "thickness_min_inclusive": low_in,
        "thickness_max": high,
        "thickness_max_inclusive": high_in,
        "thickness_unit": "mm",
    }
    assert thickness_text(row) == words


def test_dataframe_of_windows() -> None:
    frame = weldref.windows(process="SMAW", electrode="E7018", diameter="1/8", quantity="current")
    assert list(frame["window_id"])
    assert {"assumptions", "matched", "gives_verdict", "min_si"} <= set(frame.columns)
    assert weldref.windows(process="EGW", quantity="current").empty


TERMS = st.fixed_dictionaries(
    {},
    optional={
        "process": st.sampled_from(["GMAW", "SMAW", "GTAW", "FCAW-S", "PAC", "OFC"]),
        "material": st.sampled_from(["A36", "304", "aluminium", "stainless steel", "titanium"]),
        "electrode": st.sampled_from(["E7018", "E6010", "ER70S-6", "E71T-11"]),
        "diameter": st.sampled_from(["1/8", ".045", "1.2 mm", "3/32"]),
        "thickness": st.sampled_from(["1/8", "1/4", "6 mm", "25 mm", "3"]),
        "position": st.sampled_from(["1G", "vertical up", "overhead"]),
        "polarity": st.sampled_from(["DCEP", "DCEN", "AC"]),
        "gas": st.sampled_from(["C25", "argon", "98 Ar / 2 O2", "M21"]),
    },
)


@given(TERMS)
def test_saying_more_never_adds_a_row(conditions: dict[str, str]) -> None:
    store = open_store()
    # Of a set-up that cannot be, the rows show what is wrong and pass nothing.
    assume(not impossible(store, describe(store, **conditions)))
    all_ids = {m.row["window_id"] for m in find(store, describe(store, **conditions))}
    for left_out in conditions:
        fewer = {name: value for name, value in conditions.items() if name != left_out}
        wider = {m.row["window_id"] for m in find(store, describe(store, **fewer))}
        # A nominal twin may fit a thickness that was given and stay when it is not.
        assert all_ids <= wider
