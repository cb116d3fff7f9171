"""What follows from settings: formulas fed with what is printed, and what is missing by name."""

import pytest

from weldref.calculate.derived import deposit, heat
from weldref.core.check import read_value
from weldref.core.situation import describe


def values(store, **typed):
    return dict(read_value(store, q, text, "us") for q, text in typed.items())


FEED = {"current": "300 A", "voltage": "20 V", "travel_speed": "2.5 mm/s"}


def test_heat_input_with_and_without_k(store):
    """The published example of arc energy: 20 V, 300 A, 2.5 mm/s give 2.4 kJ/mm."""
    found = heat(describe(store, process="SMAW"), values(store, **FEED))
    assert [(one.name, one.metric) for one in found.values][:2] == [
        ("Arc energy, without k", "2.4 kJ/mm"),
        ("Heat input, k = 0.8", "1.92 kJ/mm"),
    ]
    # Each source of k speaks for itself, with its own grade.
    assert [one.grade for one in found.values] == ["read", "read", "secondary"]
    assert {s.source_id for s in found.values[2].sources} >= {"twi-arc-energy-slides-2006"}


@pytest.mark.parametrize(
    ("left_out", "said"),
    [("voltage", "voltage, which is not set"), ("travel_speed", "travel speed, which is not set")],
)
def test_what_is_missing_is_named(store, left_out, said):
    typed = {name: text for name, text in FEED.items() if name != left_out}
    found = heat(describe(store, process="SMAW"), values(store, **typed))
    assert found.values == ()
    assert said in found.missing[0]


def test_a_process_without_k_gets_the_arc_energy_alone(store):
    found = heat(describe(store, material="carbon steel"), values(store, **FEED))
    assert [one.name for one in found.values] == ["Arc energy, without k"]
    assert "No thermal efficiency" in found.missing[0]


def test_deposition_rests_on_the_weakest_of_its_numbers(store):
    bench = describe(store, process="GMAW", material="mild steel", diameter="0.045")
    melted, deposited = deposit(store, bench, values(store, wire_feed_speed="300 in/min")).values
    # pi/4 x 0.045^2 in2 x 300 in/min x 60 x 0.2836 lb/in3 = 8.12 lb/h
    assert melted.us == "8.12 lb/h"
    assert deposited.us == "7.47 to 7.96 lb/h"
    # The density and the efficiency are read, the mass balance is recalled.
    assert deposited.grade == "memory"
    assert {"iowa-dot-im569", "gmaw-ch9-textbook"} <= {s.source_id for s in deposited.sources}


def test_a_cored_wire_carries_its_caveat(store):
    bench = describe(store, process="FCAW-G", material="mild steel", diameter="0.045")
    found = deposit(store, bench, values(store, wire_feed_speed="300 in/min"))
    assert any("tubular" in note for one in found.values for note in one.notes)


@pytest.mark.parametrize(
    ("conditions", "said"),
    [
        ({"process": "GMAW"}, "wire diameter and the metal"),
        ({"process": "GMAW", "material": "titanium", "diameter": "0.035"}, "No density"),
    ],
)
def test_a_deposit_that_cannot_be_told_says_why(store, conditions, said):
    found = deposit(store, describe(store, **conditions), values(store, wire_feed_speed="300"))
    assert found.values == ()
    assert said in found.missing[0]


def test_a_covered_electrode_is_not_fed(store):
    found = deposit(store, describe(store, process="SMAW"), values(store, wire_feed_speed="300"))
    assert found == deposit(store, describe(store, process="GTAW"), {})
    assert (found.values, found.missing) == ((), ())
