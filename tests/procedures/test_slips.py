"""Slips of writing: each found where it is planted, and none where the print is right."""

from __future__ import annotations

import pytest

from tests.procedures.conftest import read, slips


def one(**given: object) -> list[tuple[str, str]]:
    return [(kind, at.partition(".")[2]) for kind, at in slips(read({"passes": [given]}))]


def test_swapped_limits() -> None:
    assert one(current=[150, 90]) == [("swapped limits", "current")]
    assert slips(read({"wps": "1", "thickness": "20-16 ga"})) == []


@pytest.mark.parametrize(
    ("given", "found"),
    [
        ("1500C", True),
        ("150C", False),
        ("1500F", True),
        ("500 F", False),
        ("150 0C", True),
        (2000, True),
        ([1500, 2500], True),
    ],
)
def test_degree_signs_read_as_zeros(given: object, found: bool) -> None:
    kinds = [kind for kind, _ in slips(read({"wps": "1", "interpass": given, "temp_unit": "C"}))]
    assert ("degree sign" in kinds) is found


def test_a_hot_heat_treatment_is_no_slip() -> None:
    assert slips(read({"wps": "1", "pwht_temperature": "1100 - 1200 F", "pwht_time": "1 h"})) == []


def test_speed_unit_against_the_printed_heat_input() -> None:
    """140-180 A, 25-28 V at 80-120 mm/min give 1.4-3.0 kJ/mm with k = 0.8, as a sheet prints."""
    right = {"current": [140, 180], "voltage": [25, 28], "heat_input_kJ_mm": [1.4, 3.0]}
    assert one(**right, travel_speed_mm_min=[80, 120]) == []
    assert one(**right, travel_speed_mm_s=[80, 120]) == [("unit heading", "travel_speed")]
    found = read({"passes": [{**right, "travel_speed_mm_s": [80, 120]}]}).slips[0]
    assert found.suspected.startswith("mm/min")
    assert found.place == "/passes/0/travel_speed_mm_s"
    wrong_heat = {**right, "travel_speed_mm_min": [80, 120], "heat_input_kJ_mm": None}
    found = read({"passes": [{**wrong_heat, "heat_input_kJ_cm": [1.4, 3.0]}]}).slips[0]
    assert found.suspected.startswith("cm/min, or the heat input kJ/mm")


def test_narrow_printed_heat_inputs_are_no_slip() -> None:
    """60-113 A, 22-34 V, 76-152 mm/min, 0.67-2.17 kJ/mm: narrower than the corners, as printed."""
    assert (
        one(
            current=[60, 113],
            voltage=[22, 34],
            travel_mm_min=[76, 152],
            heat_input="0.67-2.17 kJ/mm",
        )
        == []
    )


def test_impossible_units_without_a_heat_input() -> None:
    assert one(process="SMAW", travel_speed="80-120 mm/s") == [("unit heading", "travel_speed")]
    assert one(process="SMAW", travel_speed="80-120 mm/min") == []
    assert one(wire_feed_speed="350 m/min") == [("unit heading", "wire_feed_speed")]
    assert one(filler_size="3.2 in") == [("unit heading", "sizes[0]")]
    assert one(filler_size="0.045 mm") == [("unit heading", "sizes[0]")]
    assert one(current="90000") == [("implausible", "current")]


def test_shares_and_percentages() -> None:
    def gas(text: str) -> list[str]:
        return [kind for kind, _ in slips(read({"wps": "1", "shielding_gas": text}))]

    assert gas("75 Ar / 25 CO2") == gas("argon 100 %") == gas("CO2") == gas("Ar + 2-5 % CO2") == []
    assert gas("0.75 Ar 0.25 CO2") == ["percent"]
    assert gas("75 Ar 35 CO2") == ["percent"]
    assert slips(read({"wps": "1", "efficiency": 80})) == [("percent", "efficiency[0]")]
    assert slips(read({"wps": "1", "efficiency": 0.8})) == []


def test_two_prints_of_one_value() -> None:
    assert one(travel_in_min=[3, 6], travel_mm_min=[76, 152]) == []
    apart = read({"passes": [{"travel_in_min": [3, 6], "travel_mm_min": [76, 252]}]}).slips
    assert [(s.kind, s.field, s.suspected) for s in apart] == [
        ("conversion", "travel_mm_min", "does not agree with 6 in/min at /passes/0/travel_in_min")
    ]
    assert slips(read({"wps": "1", "preheat": "150 F (66 C)"})) == []
    assert slips(read({"wps": "1", "preheat": "150 F (150 C)"})) == [
        ("conversion", "preheat_min[1]")
    ]


def test_numbers_that_are_none() -> None:
    assert one(current=float("nan")) == [("not a number", "current")]
    assert one(current=float("inf")) == [("not a number", "current")]
    assert one(current=True) == [("text for a number", "current")]
    assert one(current="medium") == [("text for a number", "current")]
    assert one(current=-90) == [("implausible", "current"), ("negative", "current")]


def test_a_pass_number_that_became_a_date() -> None:
    assert one(label="8-Feb", current=90) == [("date", "label")]


def test_nothing_is_changed() -> None:
    found = read({"passes": [{"current": [150, 90], "travel_speed": "80 mm/s", "process": "SMAW"}]})
    assert str(found.passes[0].current) == "150 to 90 A"
    assert str(found.passes[0].travel_speed) == "80 mm/s"


def test_what_is_stated_twice_is_told_in_the_words_of_the_file() -> None:
    found = read(b'{"rev": "1", "rev": "2", "passes": [{"amps": "90", "welding current": "95"}]}')
    assert [str(slip) for slip in found.slips] == [
        "/rev (again): 2: 2 here, 1 at /rev",
        "/passes/0/welding current: 95: 95 here, 90 at /passes/0/amps",
    ]
    assert [slip.field for slip in found.slips] == ["rev", "welding current"]
