"""Plain numbers, symbols and pint quantities give what texts with units give."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import numpy as np
import pint
import pytest

import weldref
from weldref.calculate.by_name import compute as by_texts
from weldref.errors import InputError

HEAT = {"voltage": "25 V", "current": "140 A", "process": "136"}


@pytest.mark.parametrize("speed", [120, 120.0, np.float64(120), np.int64(120), "120 mm/min"])
def test_plain_numbers_are_read_in_the_units_of_the_system(speed: Any) -> None:
    """pwps-488823046, root pass: 25 V, 140 A, 120 mm/min and k = 0.8 print 1.4 kJ/mm."""
    answer = weldref.compute(
        "heat-input", units="metric", voltage=25, current=140, travel_speed=speed, process="136"
    )
    assert answer.shown[0] == "1.4 kJ/mm"
    assert answer.inputs["travel_speed"] == "120 mm/min"
    assert answer.value == by_texts("heat-input", {**HEAT, "travel_speed": "120 mm/min"}).value


def test_us_units_are_the_default_and_said() -> None:
    answer = weldref.compute("heat-input", voltage=25, current=140, travel_speed=5, process="136")
    assert answer.inputs["travel_speed"] == "5 in/min"
    assert answer.inputs["voltage"] == "25 V"


def test_symbols_stand_for_elements() -> None:
    answer = weldref.compute("carbon-equivalent-iiw", C=0.2, Mn=1.4)
    same = by_texts("carbon-equivalent-iiw", {"carbon": "0.2 %", "manganese": "1.4 %"})
    assert answer == same


def test_pint_quantities_of_any_registry() -> None:
    unit = pint.UnitRegistry[float](autoconvert_offset_to_baseunit=True)
    answer = weldref.compute(
        "heat-input",
        voltage=unit.Quantity(0.025, "kV"),
        current=unit.Quantity(140, "A"),
        travel_speed=unit.Quantity(2, "mm/s"),
        process="136",
    )
    assert answer.shown[0] == "1.4 kJ/mm"
    with pytest.raises(InputError, match=r"current: .* is not accepted; give a number"):
        weldref.compute("heat-input", **HEAT | {"current": unit.Quantity(1, "kg")},
                        travel_speed="120 mm/min")  # fmt: skip


@pytest.mark.parametrize(
    ("name", "inputs", "sentence"),
    [
        ("carbon-equivalent-iiw", {"C": 0.2, "carbon": 0.2}, "carbon: given twice"),
        ("carbon-equivalent-iiw", {"Xx": 0.2}, "'Xx' is not a parameter"),
        ("heat-input", {"current": "140"}, "voltage is missing (arc voltage"),
        ("heat-input", {**HEAT, "travel_speed": "120"}, "120 has no unit"),
        ("heat-input", {**HEAT, "travel_speed": True}, "'True' is not a number"),
        ("heat-inputs", {}, "did you mean heat-input"),
        ("heat-input", {"units": "cgs"}, "units: 'cgs'"),
    ],
)
def test_bad_input_is_one_sentence(name: str, inputs: dict[str, Any], sentence: str) -> None:
    with pytest.raises(InputError) as caught:
        weldref.compute(name, **inputs)
    assert sentence in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_decimal_is_text_without_a_unit() -> None:
    with pytest.raises(InputError, match="has no unit"):
        weldref.compute("heat-input", **HEAT, travel_speed=Decimal(120))
