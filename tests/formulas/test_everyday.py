"""Rules of thumb against printed examples and the units they are said in."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.formulas.reference import si
from weldref.errors import InputError
from weldref.formulas.everyday import (
    conventional_load_voltage,
    cup_diameter,
    gmaw_current_from_thickness,
    smaw_current_from_diameter,
    starting_current_e60xx,
    starting_current_e70xx,
)

few = settings(max_examples=100, deadline=None)


# ---------------------------------------------------------------- published examples


def test_published_middle_of_the_range() -> None:
    # sm-02: machinerys-handbook-31, p. 1594 Table 14 and text (read).
    result = starting_current_e70xx(110, 160)
    assert (result.value, result.grade, result.caveats) == (135, "read", ())


def test_published_low_end_on_sheet() -> None:
    # sm-05: machinerys-handbook-31, p. 1593 text, p. 1594 Table 13 (read).
    result = starting_current_e60xx(50, 100, si(0.1, "inch"), si(3 / 32, "inch"))
    assert (result.value, result.grade, result.caveats) == (50, "read", ())


def test_published_centre_above_10_gage() -> None:
    # sm-06: machinerys-handbook-31, p. 1593 text; the window of Table 13 is 80 to 130 A (read).
    assert starting_current_e60xx(80, 130, si(0.1875, "inch")).value == 105


def test_published_load_voltage() -> None:
    # sm-14: iec-60974-1 (memory), 0.05 V.
    result = conventional_load_voltage(150, "SMAW")
    assert result.value == pytest.approx(26.0, abs=0.05)
    assert result.grade == "memory"


# ---------------------------------------------------------------- starting current


def test_the_boundary_is_at_10_gage() -> None:
    at = starting_current_e60xx(50, 100, si(0.134, "inch"))
    above = starting_current_e60xx(50, 100, si(0.1345, "inch"))
    assert (at.value, above.value) == (50, 75)
    assert "10 gage" in at.caveats[0]
    assert "10 gage" in above.caveats[0]
    # 10 gage of the US standard gauge: usc-15-206, table (read).
    assert "10 gage" in starting_current_e60xx(50, 100, si(0.140625, "inch")).caveats[0]
    assert starting_current_e60xx(50, 100, si(0.141, "inch")).caveats == ()
    assert starting_current_e60xx(50, 100, si(0.133, "inch")).caveats == ()


def test_a_thick_electrode_on_sheet_has_a_caveat() -> None:
    assert starting_current_e60xx(150, 230, 0.0025, si(3 / 16, "inch")).caveats == ()
    assert starting_current_e60xx(20, 40, 0.0025, si(1 / 16, "inch")).caveats == ()
    caveat = starting_current_e60xx(150, 230, 0.0025, si(0.19, "inch")).caveats[0]
    assert caveat.startswith("electrode on sheet 0.19 in")


@few
@given(low=st.floats(10, 400), width=st.floats(0, 300), thickness=st.floats(0.0005, 0.02))
def test_a_start_lies_inside_its_window(low: float, width: float, thickness: float) -> None:
    high = low + width
    for start in (
        starting_current_e70xx(low, high).value,
        starting_current_e60xx(low, high, thickness).value,
    ):
        assert low <= start <= high
    assert starting_current_e70xx(low, high).value - low == pytest.approx(width / 2)


# ---------------------------------------------------------------- rules of thumb


@few
@given(thousandths=st.floats(10, 240))
def test_one_ampere_per_thousandth(thousandths: float) -> None:
    # common-practice (memory) and general-practice (memory).
    length = si(thousandths, "thou")
    assert gmaw_current_from_thickness(length).value == pytest.approx(thousandths)
    assert gmaw_current_from_thickness(length).caveats == ()
    assert smaw_current_from_diameter(length).value == pytest.approx(thousandths)


def test_39_amperes_per_millimetre() -> None:
    # general-practice (memory): 39.4 A per mm of core diameter.
    assert smaw_current_from_diameter(0.001).value == pytest.approx(39.4, abs=0.05)


@pytest.mark.parametrize(
    ("inches", "gmaw_ok", "smaw_ok"),
    [
        (0.093, True, False),
        (3 / 32, True, True),
        (5 / 32, True, True),
        (0.157, True, False),
        (1 / 4, True, False),
        (0.251, False, False),
    ],
)
def test_caveats_outside_the_range_of_a_rule(inches: float, gmaw_ok: bool, smaw_ok: bool) -> None:
    length = si(inches, "inch")
    assert (gmaw_current_from_thickness(length).caveats == ()) is gmaw_ok
    assert (smaw_current_from_diameter(length).caveats == ()) is smaw_ok


@pytest.mark.parametrize(
    ("process", "level"), [("SMAW", 44.0), ("GMAW", 44.0), ("FCAW", 44.0), ("GTAW", 34.0)]
)
def test_load_voltage_rises_to_600_a_and_is_level_above(process: str, level: float) -> None:
    # iec-60974-1 (memory): the lines meet their level at 600 A.
    volts = [conventional_load_voltage(current, process).value for current in (5, 100, 300, 599)]
    assert volts == sorted(volts)
    assert volts[-1] < level
    assert conventional_load_voltage(600, process).value == pytest.approx(level)
    assert conventional_load_voltage(900, process).value == level


@pytest.mark.parametrize(("number", "inches"), [(4, 1 / 4), (6, 3 / 8), (8, 1 / 2), (10, 5 / 8)])
def test_cup_numbers_are_sixteenths(number: int, inches: float) -> None:
    # cup-size-sheet (read) prints 4, 6 and 8; 10 is the same rule.
    assert cup_diameter(number).value == pytest.approx(si(inches, "inch"))
    assert cup_diameter(number).grade == "read"


@pytest.mark.parametrize(
    "call",
    [
        lambda: starting_current_e70xx(160, 110),
        lambda: starting_current_e60xx(100, 50, 0.002),
    ],
)
def test_impossible_input_is_refused(call: Any) -> None:
    with pytest.raises(InputError):
        call()
