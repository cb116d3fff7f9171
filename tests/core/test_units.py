"""Units: every conversion against pint, every value as people type it."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import read_csv
from weldref.core.check import check
from weldref.core.units import Units, parse_number
from weldref.data.folder import datasets_folder
from weldref.data.store import Store, open_store
from weldref.errors import InputError

PINT: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
ROWS = read_csv(datasets_folder() / "vocabulary" / "units.csv")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["unit"])
def test_every_unit_against_pint(row: dict[str, str], store: Store) -> None:
    # pint (PyPI): the reference library for unit conversion.
    unit = Units(store).by_spelling[row["unit"]]
    for number in (-40.0, 0.0, 1.0, 123.456):
        wanted = PINT.Quantity(number, row["pint_expression"]).to_base_units().magnitude
        assert math.isclose(number * unit.factor + unit.shift, wanted, rel_tol=1e-12, abs_tol=1e-12)


@pytest.mark.parametrize(
    ("typed", "dimension", "default", "si"),
    [
        ("250 in/min", "speed", "in/min", 250 * 0.0254 / 60),
        ("250", "speed", "in/min", 250 * 0.0254 / 60),
        ("6.4 m/min", "speed", "in/min", 6.4 / 60),
        ("250ipm", "speed", "mm/min", 250 * 0.0254 / 60),
        ("35 cfh", "flow", "L/min", 35 * 0.3048**3 / 3600),
        ("1/8", "length", "in", 0.003175),
        ('1/8"', "length", "mm", 0.003175),
        ("1/8", "length", "mm", 0.003175),  # nobody writes millimetres as fractions
        ("1-1/2", "length", "mm", 0.0381),
        ("3.2", "length", "mm", 0.0032),
        ("1-1/2 in", "length", "mm", 0.0381),
        ("1 1/2 in", "length", "mm", 0.0381),
        (".035", "length", "in", 0.035 * 0.0254),
        ("3.2 mm", "length", "in", 0.0032),
        ("150 F", "temperature", "C", (150 - 32) / 1.8 + 273.15),
        ("65 °C", "temperature", "F", 338.15),
        ("1.5 kJ/mm", "heat input", "kJ/in", 1.5e6),
        ("15 psig", "pressure", "bar", 15 * 6894.757293168),
        ("1/8\u201d", "length", "mm", 0.003175),
        ("3/32\u2033", "length", "mm", 0.00238125),
        ("1/8''", "length", "mm", 0.003175),
        ("\u215b", "length", "mm", 0.003175),
        ("1\u00bd in", "length", "mm", 0.0381),
        ("1 \u00bd\u2033", "length", "mm", 0.0381),
        ("1\u20448 in", "length", "mm", 0.003175),
        ("0,035", "length", "in", 0.035 * 0.0254),
        ("12,5 mm", "length", "in", 0.0125),
        ("3.2\u2009mm", "length", "in", 0.0032),
        ("1\u202f200 mm/min", "speed", "in/min", 1.2 / 60),
        ("\u00d8 3.2", "length", "mm", 0.0032),
        ("dia. 1/8", "length", "mm", 0.003175),
        ("1/8-in", "length", "mm", 0.003175),
        ("0.25 in.", "length", "mm", 0.00635),
        ("20 v", "voltage", "V", 20.0),
        ("65 \u00baC", "temperature", "F", 338.15),
    ],
)
def test_values_as_people_type_them(
    typed: str, dimension: str, default: str, si: float, store: Store
) -> None:
    assert math.isclose(Units(store).parse(typed, dimension, default, "x").si, si, rel_tol=1e-9)


@pytest.mark.parametrize(
    ("typed", "words"),
    [("fast", "is not a number"), ("10 V", "not a unit of speed"), ("1/0", "not a number"),
     ("", "not a number"), ("nan", "not a number"), ("1e999", "not a number"),
     ("1,200 mm/min", "write 1200 mm/min or 1.200 mm/min"), ("1,2,3", "not a number"),
     ("10 20 in/min", "not a number")],
)  # fmt: skip
def test_bad_values_get_one_sentence(typed: str, words: str, store: Store) -> None:
    with pytest.raises(InputError, match=words) as caught:
        Units(store).parse(typed, "speed", "in/min", "wire feed speed")
    assert str(caught.value).startswith("wire feed speed:")
    assert "\n" not in str(caught.value)


@given(st.fractions(min_value=0, max_value=20, max_denominator=64))
def test_inch_fractions_read_exactly(fraction: object) -> None:
    from fractions import Fraction

    assert isinstance(fraction, Fraction)
    whole, rest = divmod(fraction.numerator, fraction.denominator)
    typed = f"{whole}-{rest}/{fraction.denominator}"
    assert parse_number(typed) == whole + rest / fraction.denominator


@given(st.text(max_size=30))
def test_any_text_is_a_number_or_none(text: str) -> None:
    number = parse_number(text)
    assert number is None or isinstance(number, float)


@given(st.floats(-1e6, 1e6), st.sampled_from([r["unit"] for r in ROWS]))
def test_there_and_back(number: float, label: str) -> None:
    units = Units(open_store())
    unit = units.by_spelling[label]
    back = units.convert(number * unit.factor + unit.shift, label)
    assert math.isclose(back, number, rel_tol=1e-9, abs_tol=1e-6)


@given(st.floats(0.1, 3000))
def test_every_digit_of_a_number_counts(number: float) -> None:
    value = Units(open_store()).parse(number, "current", "A", "current")
    assert value.number == number
    assert float(value.text) == number


def test_a_hair_above_the_limit_is_high() -> None:
    # Machinery's Handbook, Table 14: E7018, 1/8 in: 110 to 160 A.
    for current in (160.0004, "160.0004"):
        result = check(process="SMAW", electrode="E7018", diameter="1/8", current=current)
        assert result.verdict == "high"
