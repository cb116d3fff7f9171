"""Hardness models, all recalled: their end points, their shape, and how far they part."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.errors import InputError
from weldref.formulas.carbon import carbon_equivalent_pcm
from weldref.formulas.haz_hardness import (
    haz_hardness_bl70s,
    haz_hardness_duren,
    haz_hardness_models,
    haz_hardness_yurioka_1987,
)

STEEL = {"carbon": 0.15, "silicon": 0.3, "manganese": 1.4}


def test_recalled_arithmetic_of_yurioka():
    # Written out by hand for 0.15 C, 0.3 Si, 1.4 Mn and 6 s.
    martensite = 884 * 0.15 * (1 - 0.3 * 0.15**2) + 294
    bainite = 145 + 130 * math.tanh(2.65 * (0.15 + 0.0125 + 0.28) - 0.69)
    log_m = 10.6 * (0.15 + 0.0125 + 1.4 / 6) - 4.8
    log_b = 6.2 * (0.15 + 1.4 / 3.6) + 0.74
    x = 4 * (math.log(6) - log_m) / (log_b - log_m) - 2
    by_hand = (martensite + bainite) / 2 - (martensite - bainite) / 2.2 * math.atan(x)
    assert haz_hardness_yurioka_1987(cooling_time=6.0, **STEEL).value == pytest.approx(by_hand)


def test_yurioka_reaches_its_ends_at_its_own_times():
    parts = haz_hardness_yurioka_1987(cooling_time=6.0, **STEEL).parts
    span = parts["martensite_hardness"] - parts["bainite_hardness"]
    for time, hardness in (
        ("martensite_time", "martensite_hardness"),
        ("bainite_time", "bainite_hardness"),
    ):
        found = haz_hardness_yurioka_1987(cooling_time=parts[time], **STEEL).value
        # atan(2)/2.2 is 0.503 and not one half: the ends are passed by 0.3 % of the span.
        assert found == pytest.approx(parts[hardness], abs=0.0035 * span)


def test_other_elements_of_yurioka_by_hand():
    rich = STEEL | {"copper": 0.2, "nickel": 0.5, "chromium": 0.3, "molybdenum": 0.2}
    rich |= {"vanadium": 0.05, "niobium": 0.03}
    parts = haz_hardness_yurioka_1987(cooling_time=6.0, **rich).parts
    ce_1 = 0.15 + 0.0125 + 1.4 / 6 + 0.2 / 15 + 0.5 / 12 + 0.05
    ce_1 += 0.3 * (1 - 0.16 * math.sqrt(0.3)) / 8
    ce_2 = 0.15 + 0.0125 + 0.28 + 0.02 + 0.5 / 18 + 0.06 + 0.08 + 0.01 + 0.01
    ce_3 = 0.15 + 1.4 / 3.6 + 0.01 + 0.5 / 9 + 0.06 + 0.05
    assert math.log(parts["martensite_time"]) == pytest.approx(10.6 * ce_1 - 4.8)
    assert parts["bainite_hardness"] == pytest.approx(145 + 130 * math.tanh(2.65 * ce_2 - 0.69))
    assert math.log(parts["bainite_time"]) == pytest.approx(6.2 * ce_3 + 0.74)


def test_high_carbon_counts_less_for_the_times_of_yurioka():
    at = haz_hardness_yurioka_1987(cooling_time=6.0, carbon=0.3).parts["martensite_time"]
    above = haz_hardness_yurioka_1987(cooling_time=6.0, carbon=0.36).parts["martensite_time"]
    assert math.log(above / at) == pytest.approx(10.6 * 0.06 / 6)
    close = haz_hardness_yurioka_1987(cooling_time=6.0, carbon=0.303).parts["martensite_time"]
    assert math.log(close / at) == pytest.approx(10.6 * 0.003 / 6)


def test_recalled_arithmetic_of_duren():
    # By hand: CEB 0.35227, mixed 332.4, martensite 425.3, bainite 224.3.
    found = haz_hardness_duren(cooling_time=6.0, **STEEL)
    ceb = 0.15 + 0.3 / 11 + 1.4 / 8
    log = math.log10(6)
    mixed = 2019 * ((1 - 0.5 * log) * 0.15 + 0.3 * (ceb - 0.15)) + 66 * (1 - 0.8 * log)
    assert found.value == found.parts["mixed_hardness"] == pytest.approx(mixed)
    assert found.parts["martensite_hardness"] == pytest.approx(425.3)
    assert found.parts["bainite_hardness"] == pytest.approx(224.3, abs=0.05)


def test_other_elements_of_duren_by_hand():
    more = {"copper": 9, "chromium": 5, "nickel": 17, "molybdenum": 6, "vanadium": 3}
    plain = haz_hardness_duren(cooling_time=6.0, **STEEL).parts["bainite_hardness"]
    for element, divisor in more.items():
        found = haz_hardness_duren(cooling_time=6.0, **STEEL, **{element: 0.9})
        assert found.parts["bainite_hardness"] - plain == pytest.approx(350 * 0.9 / divisor)


def test_duren_is_cut_at_its_ends_and_says_so():
    fast = haz_hardness_duren(cooling_time=0.5, **STEEL)
    slow = haz_hardness_duren(cooling_time=200.0, **STEEL)
    assert fast.value == fast.parts["martensite_hardness"]
    assert slow.value == slow.parts["bainite_hardness"]
    assert "was cut" in fast.caveats[1]
    assert "was cut" in slow.caveats[1]
    assert len(haz_hardness_duren(cooling_time=6.0, **STEEL).caveats) == 1


def test_recalled_arithmetic_of_bl70s():
    # By hand for 0.15 C and Pcm 0.23: K 215.84, Hinf 203.76, Y5 0.8571.
    parts = haz_hardness_bl70s(cooling_time=6.0, carbon=0.15, pcm=0.23).parts
    assert parts["hardness_cooled_slowly"] == pytest.approx(203.76)
    assert parts["hardness_cooled_fast"] == pytest.approx(884 * 0.15 + 287)
    middle = haz_hardness_bl70s(cooling_time=10**0.8571, carbon=0.15, pcm=0.23).value
    assert middle == pytest.approx(203.76 + 215.84 / 2)
    slope = (566 + 5532 * 0.15 - 2880 * 0.23) / 215.84
    found = haz_hardness_bl70s(cooling_time=6.0, carbon=0.15, pcm=0.23).value
    assert found == pytest.approx(
        203.76 + 215.84 / (1 + math.exp(slope * (math.log10(6) - 0.8571)))
    )


@pytest.mark.parametrize("carbon", [0.05, 0.10, 0.15, 0.20, 0.25])
def test_three_models_agree_on_martensite(carbon):
    # Recalled apart, so their agreement on this end speaks for the coefficients.
    yurioka = haz_hardness_yurioka_1987(cooling_time=1.0, carbon=carbon).parts[
        "martensite_hardness"
    ]
    duren = haz_hardness_duren(cooling_time=1.0, carbon=carbon).parts["martensite_hardness"]
    bl70s = haz_hardness_bl70s(cooling_time=1.0, carbon=carbon, pcm=carbon)
    assert duren == pytest.approx(yurioka, abs=9)
    assert bl70s.parts["hardness_cooled_fast"] == pytest.approx(yurioka, abs=7)


STRUCTURAL = st.fixed_dictionaries(
    {
        "C": st.floats(0.08, 0.2),
        "Si": st.floats(0.1, 0.5),
        "Mn": st.floats(0.6, 1.6),
        "Cr": st.floats(0.0, 0.3),
        "Ni": st.floats(0.0, 0.5),
        "Mo": st.floats(0.0, 0.1),
    }
)


@given(composition=STRUCTURAL, time=st.floats(2.0, 60.0), longer=st.floats(1.1, 3.0))
def test_slower_cooling_is_never_harder(composition, time, longer):
    before = haz_hardness_models(time, composition)
    after = haz_hardness_models(time * longer, composition)
    for name, found in before.items():
        assert after[name].value <= found.value


def test_side_by_side_each_with_its_spread():
    models = haz_hardness_models(6.0, {"C": 0.15, "Si": 0.3, "Mn": 1.4, "S": 0.01})
    assert len(models) == 3
    for found in models.values():
        assert found.parts["highest"] - found.value == pytest.approx(28.0)
        assert found.value - found.parts["lowest"] == pytest.approx(28.0)
        assert found.caveats[0].startswith("show with a spread of at least 28 HV")
        assert found.grade == "memory"
    pcm = carbon_equivalent_pcm(**STEEL).value
    assert models["haz-hardness-bl70s"].value == pytest.approx(
        haz_hardness_bl70s(cooling_time=6.0, carbon=0.15, pcm=pcm).value
    )
    assert models["haz-hardness-duren"] == haz_hardness_duren(cooling_time=6.0, **STEEL)


def test_a_model_that_has_no_answer_says_why_beside_the_others():
    models = haz_hardness_models(6.0, {"C": 0.03, "Mn": 4.0, "Mo": 1.0})
    assert "the curve of the model turns over" in models["haz-hardness-bl70s"]
    assert models["haz-hardness-duren"].value > 0
    with pytest.raises(InputError, match="bainite before martensite"):
        haz_hardness_yurioka_1987(cooling_time=6.0, carbon=0.3, molybdenum=4.0)


def test_boron_has_a_caveat_and_no_term():
    plain = haz_hardness_yurioka_1987(cooling_time=6.0, **STEEL)
    boron = haz_hardness_yurioka_1987(cooling_time=6.0, **STEEL, boron=0.001)
    assert boron.value == plain.value
    assert "boron" in boron.caveats[1]


def test_carbon_outside_the_data_has_a_caveat():
    for carbon, outside in ((0.0169, True), (0.017, False), (0.33, False), (0.3301, True)):
        found = haz_hardness_bl70s(cooling_time=6.0, carbon=carbon, pcm=carbon + 0.05)
        assert any(one.startswith(f"carbon {carbon} %") for one in found.caveats) is outside


@pytest.mark.parametrize(
    ("time", "composition", "message"),
    [
        (0.0, {"C": 0.1}, "cooling_time"),
        (math.nan, {"C": 0.1}, "cooling_time"),
        (6.0, {"Mn": 1.0}, "must give carbon"),
        (6.0, {"C": -0.1}, "C: -0.1 is not possible"),
        (6.0, {"C": 1.0, "Fe": 99.5}, "adds up to"),
        (6.0, {"C": 0.1, "Xx": 1.0}, "'Xx' is not one of the elements"),
    ],
)
def test_impossible_input_is_refused(time, composition, message):
    with pytest.raises(InputError, match=message):
        haz_hardness_models(time, composition)
