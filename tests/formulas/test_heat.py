"""Arc energy and heat input against printed values."""

from __future__ import annotations

import csv
from pathlib import Path

import pint
import pytest
from uncertainties import ufloat

from weldref.errors import InputError
from weldref.formulas.heat import (
    arc_energy,
    arc_energy_from_energy,
    arc_energy_from_power,
    heat_input,
    net_heat_input,
)
from weldref.formulas.ranges import corners
from weldref.formulas.thermal_efficiency import EFFICIENCIES, PROCESSES, thermal_efficiencies

KJ_PER_MM = 1e6
MM_PER_MIN = 1e-3 / 60
ROOT = Path(__file__).parents[2]


def test_arc_energy_of_a_teaching_page():
    # hi-01, expertsmind-arc-heat, read: 20 V, 300 A, 2.5 mm/s is 2.4 kJ/mm exactly.
    assert arc_energy(20.0, 300.0, 0.0025).value == pytest.approx(2.4 * KJ_PER_MM, rel=1e-12)


def test_arc_energy_of_an_aluminium_abstract():
    # gf-01, aa5083-6061-mig-2021, read: 20 V, 120 A, 12 mm/s is 200 J/mm exactly.
    assert arc_energy(20.0, 120.0, 0.012).value == pytest.approx(200e3, rel=1e-12)


def test_net_heat_input_recalled():
    # wh-peak-01, welding-handbook-v1, memory: 20 V, 200 A, 5 mm/s, 0.9 is 720 J/mm.
    assert net_heat_input(20.0, 200.0, 0.005, 0.9).value == pytest.approx(720e3, rel=1e-12)


PWPS = {
    # pwps-488823046, read: windows of V, A, mm/min; printed limits kJ/mm.
    "root": ((25, 28), (140, 180), (80, 120), (1.4, 3.0)),
    "filling": ((26, 29), (160, 200), (120, 200), (1.0, 2.3)),
    "capping": ((26, 29), (160, 200), (140, 200), (1.0, 2.0)),
}


@pytest.mark.parametrize("run", PWPS)
def test_printed_limits_are_the_corners_with_k_of_0_8(run):
    # pr-hi-k-*, pwps-488823046, read, +-0.05 kJ/mm.
    volts, amperes, speed, printed = PWPS[run]
    span = corners(
        heat_input,
        voltage=volts,
        current=amperes,
        travel_speed=(speed[0] * MM_PER_MIN, speed[1] * MM_PER_MIN),
        process="136",
    )
    assert span.lowest.value / KJ_PER_MM == pytest.approx(printed[0], abs=0.05)
    assert span.highest.value / KJ_PER_MM == pytest.approx(printed[1], abs=0.05)
    assert span.highest.grade == "read"


BRANCH = {
    # csa-branch-wps-2012, read: windows of V, A, mm/min; printed limits kJ/mm.
    "root": ((22, 34), (60, 113), (76, 152), (0.67, 2.17)),
    "hot": ((22, 34), (60, 118), (76, 152), (0.62, 1.90)),
    "fill": ((18, 28), (100, 165), (102, 203), (0.78, 1.67)),
    "stringer cap": ((18, 28), (100, 165), (127, 229), (0.57, 1.38)),
}


@pytest.mark.parametrize("run", BRANCH)
def test_a_procedure_may_print_narrower_limits_than_its_corners(run):
    volts, amperes, speed, printed = BRANCH[run]
    span = corners(
        arc_energy,
        voltage=volts,
        current=amperes,
        travel_speed=(speed[0] * MM_PER_MIN, speed[1] * MM_PER_MIN),
    )
    assert span.lowest.value / KJ_PER_MM < printed[0]
    assert span.highest.value / KJ_PER_MM > printed[1]
    assert span.lowest.name == "arc-energy"


def test_printed_pairs_of_inch_and_millimetre_units():
    # pr-conv-*, csa-branch-wps-2012, read, +-0.006 kJ/mm: energies per inch of bead.
    printed = {17013: 0.67, 55200: 2.17, 15738: 0.62, 42458: 1.67, 14422: 0.57, 34925: 1.38}
    inch = pint.UnitRegistry().Quantity(1, "inch").to("m").magnitude
    for joules, kilojoules_per_mm in printed.items():
        found = arc_energy_from_energy(float(joules), inch).value / KJ_PER_MM
        assert found == pytest.approx(kilojoules_per_mm, abs=0.006)


def test_energy_and_power_forms_agree_with_a_steady_arc():
    # 25 V and 200 A for 20 s over 100 mm, three ways.
    steady = arc_energy(25.0, 200.0, 0.1 / 20).value
    assert arc_energy_from_energy(25.0 * 200.0 * 20.0, 0.1).value == pytest.approx(steady)
    assert arc_energy_from_power(25.0 * 200.0, 20.0, 0.1).value == pytest.approx(steady)


def test_averages_misread_a_pulsed_arc():
    # Half the time 400 A at 30 V, half 50 A at 18 V: the product of averages is a sixth low.
    energy = (400 * 30 + 50 * 18) / 2 * 10.0
    true = arc_energy_from_energy(energy, 0.1).value
    averages = arc_energy(24.0, 225.0, 0.01).value
    assert averages / true == pytest.approx(0.837, abs=0.001)


def test_sources_that_disagree_are_all_shown():
    found = heat_input(12.0, 150.0, 0.002, "141")
    assert found.value == pytest.approx(0.6 * found.parts["arc_energy"])
    assert found.parts["efficiency"] == 0.6
    assert found.parts["heat_input (dupont-marder-1995)"] == pytest.approx(
        0.67 * found.parts["arc_energy"]
    )
    assert found.grade == "read"


def test_the_standard_itself_was_not_read():
    # Course slides print the table with the process numbers of EN 1011-1 and do not name it.
    quoted = heat_input(12.0, 150.0, 0.002, "141", "twi-arc-energy-slides-2006")
    assert quoted.grade == "secondary"


def test_measured_efficiency_of_plasma_is_a_garbled_figure():
    assert heat_input(25.0, 150.0, 0.002, "15", "dupont-marder-1995").grade == "memory"


def test_a_source_without_the_process_is_refused():
    with pytest.raises(InputError, match="gives no thermal efficiency for 111"):
        heat_input(25.0, 150.0, 0.002, "111", "dupont-marder-1995")


def test_unknown_process_is_refused():
    with pytest.raises(InputError, match="'52' is not accepted"):
        thermal_efficiencies("52")


def test_efficiencies_are_those_of_the_reference_table():
    with (ROOT / "datasets/reference/thermal_efficiency.csv").open(newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["source_id"] in EFFICIENCIES]
    assert len(rows) > 15
    for row in rows:
        for process in row["process"].split("; "):
            word = row["iso_4063"] or process
            found = EFFICIENCIES[row["source_id"]][PROCESSES[word]]
            assert (found.value, found.source.how_read) == (float(row["value"]), row["how_read"])


def test_uncertainty_adds_in_quadrature():
    # By hand: relative 2 %, 3 % and 6 % give 7 %.
    found = heat_input(ufloat(25, 0.5), ufloat(200, 6), ufloat(0.005, 0.0003), "135")
    assert found.uncertainty == pytest.approx(0.07 * found.value, rel=1e-6)
    assert arc_energy(25.0, 200.0, 0.005).uncertainty is None
