"""The table of fields: whole, without collisions, and in step with the model and the units."""

from __future__ import annotations

from dataclasses import fields
from typing import get_args, get_type_hints

import pytest

from weldref.core.units import Units
from weldref.data.store import Store
from weldref.procedures.fields import AT_THE_TOP, GROUPS, all_fields
from weldref.procedures.keys import resolve, words_of
from weldref.procedures.model import Procedure, Range, Text
from weldref.procedures.units import si, spellings, unit_of

KINDS = {
    "text": Text | None,
    "texts": tuple[Text, ...],
    "split": tuple[Text, ...],
    "range": Range | None,
    "ranges": tuple[Range, ...],
    "sizes": tuple[Range, ...],
}
# Attributes whose type differs because they are never missing.
OTHERWISE = {"gas.role", "heat.kind", "step.thickness", "step.minimum"}


def test_every_attribute_of_the_model_is_a_field() -> None:
    groups = get_type_hints(Procedure)
    parts = {"procedure": Procedure} | {
        area: next(iter(get_args(groups[name])), groups[name])
        for name, area in GROUPS.items()
        if name in groups  # what a test qualifies has fields of the procedure itself
    }
    assert len(parts) == len(GROUPS)
    for area, part in parts.items():
        hints = get_type_hints(part)
        listed = {each.name: each for each in all_fields() if each.area == area}
        apart = {"place", "also", "other", "slips", "file", "layout", "machine_read"}
        assert set(listed) - set(GROUPS) <= set(hints)
        assert {each.name for each in fields(part)} - apart <= set(listed)
        for name, each in listed.items():
            if each.kind in KINDS and each.target not in OTHERWISE:
                assert hints[name] == KINDS[each.kind], each.target


def test_no_spelling_means_two_fields() -> None:
    for areas in (AT_THE_TOP, *((area,) for area in {each.area for each in all_fields()})):
        seen: dict[tuple[str, ...], str] = {}
        for each in all_fields():
            weak = each.weak_spellings if len(areas) == 1 else ()
            for spelling in (*each.spellings, *weak) if each.area in areas else ():
                key = tuple(sorted(words_of(spelling)))
                assert seen.setdefault(key, each.target) == each.target, spelling


def test_dimensions_are_those_of_the_units() -> None:
    assert {each.dimension for each in all_fields()} - {""} <= {d for _, d in spellings().values()}


def test_factors_are_those_of_the_store(store: Store) -> None:
    known = Units(store).by_spelling
    compared = {unit.label: unit for unit in known.values() if si(7.0, unit.label) is not None}
    assert len(compared) > 30
    for label, unit in compared.items():
        if unit.dimension != "angle":  # angles are compared in degrees
            expected = 7.0 * unit.factor + unit.shift
            assert si(7.0, label) == pytest.approx(expected, rel=1e-9), label


def test_every_spelling_of_the_table_of_units_is_known(store: Store) -> None:
    for spelling, unit in Units(store).by_spelling.items():
        assert unit_of(spelling, unit.dimension) == unit.label, spelling


@pytest.mark.parametrize(
    ("key", "area", "target", "unit", "side"),
    [
        ("WPS No.", "procedure", "procedure.number", "", ""),
        ("Supporting PQR No.(s)", "procedure", "procedure.supporting_pqrs", "", ""),
        ("Type(s)", "procedure", "procedure.modes", "", ""),
        ("P-No.", "procedure", "metal.p_number", "", ""),
        ("Interpass Temp. Max (°F)", "procedure", "procedure.interpass_max", "F", ""),
        ("Size of Filler Metals", "procedure", "filler.sizes", "", ""),
        ("AWS No. (Class)", "procedure", "filler.classification", "", ""),
        ("Current AC or DC", "procedure", "procedure.polarities", "", ""),
        ("Thickness Range - Fillet", "procedure", "procedure.fillet_thickness", "", ""),
        ("Weld Metal Thickness Range", "procedure", "procedure.deposit_thickness", "", ""),
        ("pipe_od_min_in", "procedure", "procedure.pipe_diameter", "in", "low"),
        ("Orifice or Gas Cup Size", "procedure", "technique.nozzle_size", "", ""),
        ("Contact Tube to Work Distance", "procedure", "technique.contact_tip_distance", "", ""),
        ("shieldingGasFlow_cfh", "procedure", "gases.shielding.flow", "ft3/h", ""),
        ("amps", "pass", "pass.current", "A", ""),
        ("Amp. Range", "pass", "pass.current", "", ""),
        ("current_min", "pass", "pass.current", "", "low"),
        ("ipm", "pass", "pass.travel_speed", "in/min", ""),
        ("wfs_ipm", "pass", "pass.wire_feed_speed", "in/min", ""),
        ("travel_in_per_min", "pass", "pass.travel_speed", "in/min", ""),
        ("heatInput_kJ_mm", "pass", "pass.heat_input", "kJ/mm", ""),
        ("heat_input_J_per_in", "pass", "pass.heat_input", "J/in", ""),
        ("Size, mm", "pass", "pass.sizes", "mm", ""),
        ("Weld Layer(s)", "pass", "pass.label", "", ""),
        ("tungsten_diameter_in", "pass", "pass.tungsten_size", "in", ""),
    ],
)
def test_keys_of_forms(key: str, area: str, target: str, unit: str, side: str) -> None:
    found = resolve((key,), area)
    assert found is not None
    assert (found.field.target, found.unit, found.side) == (target, unit, side)


@pytest.mark.parametrize("key", ["shoe size", "welder number", "", "x" * 500, "weight_kg"])
def test_keys_that_mean_nothing(key: str) -> None:
    assert resolve((key,), "procedure") is None
