"""Heat input by rule: letters, refusals and what each form needs."""

from __future__ import annotations

import pytest
from uncertainties import ufloat

from weldref.errors import InputError
from weldref.formulas.formula import REGISTRY
from weldref.formulas.heat_rules import CLAUSES, heat_input_by_rule

VOLTS_AMPERES = {"voltage": 25.0, "current": 200.0, "travel_speed": 0.005}
ENERGY = {"energy": 100_000.0, "bead_length": 0.1}
POWER = {"power": 5000.0, "arc_time": 20.0, "bead_length": 0.1}


def test_letters_of_two_codes_for_one_idea():
    # navsea-248-r1 4-4.1.13.2 and asme-ix-2023 QW-409.1, both read.
    letters = {(one.rule, one.form): one.letter for one in CLAUSES}
    assert letters["asme-ix", "volts-amperes"] == letters["navsea-248", "volts-amperes"] == "(a)"
    assert letters["asme-ix", "energy"] == letters["asme-ix", "power"] == "(c)"
    assert letters["navsea-248", "energy"] == "(b1)"
    assert letters["navsea-248", "power"] == "(b2)"
    assert (letters["asme-ix", "deposit"], letters["navsea-248", "deposit"]) == ("(b)", "(c)")


@pytest.mark.parametrize("rule", ["asme-ix", "navsea-248"])
def test_a_waveform_controlled_arc_may_not_use_volts_times_amperes(rule):
    with pytest.raises(InputError, match=r"average readings.*give energy .* or power"):
        heat_input_by_rule(rule=rule, form="volts-amperes", waveform="controlled", **VOLTS_AMPERES)


@pytest.mark.parametrize("rule", ["asme-ix", "navsea-248"])
@pytest.mark.parametrize(("form", "given"), [("energy", ENERGY), ("power", POWER)])
@pytest.mark.parametrize("waveform", ["controlled", "not-controlled"])
def test_measured_energy_and_power_serve_every_arc_without_efficiency(rule, form, given, waveform):
    found = heat_input_by_rule(rule=rule, form=form, waveform=waveform, **given)
    assert found.value == pytest.approx(1e6)
    assert (found.caveats, found.grade) == ((), "read")


def test_volts_times_amperes_of_a_plain_arc():
    found = heat_input_by_rule(
        rule="asme-ix", form="volts-amperes", waveform="not-controlled", **VOLTS_AMPERES
    )
    assert found.value == pytest.approx(1e6)
    assert found.sources[-1].locator.startswith("QW-409.1 (a)")


def test_european_rule_has_the_efficiency_and_is_recalled():
    found = heat_input_by_rule(
        rule="en-1011-1",
        form="volts-amperes",
        waveform="not-controlled",
        process="135",
        **VOLTS_AMPERES,
    )
    assert found.value == pytest.approx(0.8e6)
    assert (found.caveats, found.grade) == ((), "memory")


def test_european_rule_warns_where_its_text_was_not_seen():
    found = heat_input_by_rule(
        rule="en-1011-1",
        form="volts-amperes",
        waveform="controlled",
        process="GTAW",
        **VOLTS_AMPERES,
    )
    assert found.value == pytest.approx(0.6e6)
    assert "waveform is controlled" in found.caveats[0]


def test_european_rule_needs_the_process():
    with pytest.raises(InputError, match="process"):
        heat_input_by_rule(rule="en-1011-1", form="energy", waveform="controlled", **ENERGY)


def test_what_is_missing_and_what_is_too_much_is_named():
    with pytest.raises(InputError, match="needs power, arc_time"):
        heat_input_by_rule(rule="asme-ix", form="power", waveform="controlled", bead_length=0.1)
    with pytest.raises(InputError, match="does not use voltage"):
        heat_input_by_rule(
            rule="asme-ix", form="energy", waveform="controlled", voltage=20.0, **ENERGY
        )


def test_a_required_word_may_not_be_none():
    with pytest.raises(InputError, match="rule"):
        heat_input_by_rule(rule=None, form="energy", waveform="controlled", **ENERGY)


def test_uncertainty_passes_through_the_rule():
    found = heat_input_by_rule(
        rule="navsea-248",
        form="energy",
        waveform="controlled",
        energy=ufloat(100_000, 3_000),
        bead_length=ufloat(0.1, 0.004),
    )
    assert found.uncertainty == pytest.approx(0.05 * found.value, rel=1e-6)


def test_listed_with_its_words():
    listed = REGISTRY["heat-input-by-rule"]
    assert listed.symbols["rule"].choices == ("en-1011-1", "asme-ix", "navsea-248")
    assert listed.defaults["process"] is None
