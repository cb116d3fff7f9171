"""Headings as people write them, and the sentence for every one that is not accepted."""

from __future__ import annotations

import pytest

from weldref.data.store import Store
from weldref.errors import InputError
from weldref.logs.columns import CONDITIONS, HEADINGS, LABELS, read_columns


@pytest.mark.parametrize(
    ("heading", "field", "unit"),
    [
        ("current", "current", "A"),
        ("Amps", "current", "A"),
        ("welding_amps", "current", "A"),
        ("Current (A)", "current", "A"),
        ("Arc Volts", "voltage", "V"),
        ("WFS [m/min]", "wire_feed_speed", "m/min"),
        ("wfs_ipm", "wire_feed_speed", "in/min"),
        ("travel (in/min)", "travel_speed", "in/min"),
        ("Travel Speed mm/s", "travel_speed", "mm/s"),
        ("gas flow cfh", "gas_flow", "ft3/h"),
        ("Flow rate (L/min)", "gas_flow", "L/min"),
        ("thickness (mm)", "thickness", "mm"),
        ("base metal thickness", "thickness", "in"),
        ("wire dia", "diameter", "in"),
        ("Electrode Class", "electrode", None),
        ("filler", "electrode", None),
        ("shielding gas", "gas", None),
        ("joint", "joint", None),
        ("joint type", "joint_type", None),
        ("Seam No.", "joint", None),
        ("time stamp", "time", None),
        ("welder code", "welder", None),
        ("preheat", "preheat", "F"),
        ("tungsten", "tungsten", None),
        ("governing code", "code", None),
    ],
)
def test_common_headings(store: Store, heading: str, field: str, unit: str | None) -> None:
    headings = ["travel angle", heading]
    found = read_columns(store, headings, {}, {}, "us")
    column = next(c for c in found.used if c.heading == heading)
    assert (column.field, column.unit) == (field, unit)


@pytest.mark.parametrize("letter", ["a", "A", "v", "i"])
def test_a_lone_letter_is_no_heading(store: Store, letter: str) -> None:
    assert read_columns(store, ["travel angle", letter], {}, {}, "us").unknown == (letter,)


def test_every_listed_heading_is_read_as_its_field(store: Store) -> None:
    for field, listed in HEADINGS.items():
        for heading in listed.split("; "):
            found = read_columns(store, ["travel angle", heading.upper()], {}, {}, "us")
            assert found.get(field), heading
    for field in (*CONDITIONS, *LABELS):
        assert read_columns(store, ["travel angle", field], {}, {}, "us").get(field)


def test_bare_columns_follow_the_unit_system(store: Store) -> None:
    found = read_columns(store, ["travel speed", "thickness"], {}, {}, "metric")
    assert [(c.unit, c.unit_from) for c in found.used] == [("mm/min", "bare"), ("mm", "bare")]
    found = read_columns(store, ["travel speed"], {}, {"ts": "mm/s"}, "metric")
    assert [(c.unit, c.unit_from) for c in found.used] == [("mm/s", "option")]


def test_a_mapped_heading_keeps_the_unit_in_its_brackets(store: Store) -> None:
    found = read_columns(store, ["ch1 (mm/s)", "ch2"], {"travel": "ch1 (mm/s)"}, {}, "us")
    assert [str(c) for c in found.used] == ["travel speed: 'ch1 (mm/s)' in mm/s"]
    assert found.unknown == ("ch2",)


def test_a_mapped_field_leaves_its_other_heading_aside(store: Store) -> None:
    found = read_columns(store, ["amps", "current"], {"current": "AMPS"}, {}, "us")
    assert [c.heading for c in found.used] == ["amps"]
    assert found.unknown == ("current",)


@pytest.mark.parametrize(
    ("headings", "mapping", "unit_of", "said"),
    [
        (["amps", "current"], {}, {}, "'amps' and 'current' both read as current"),
        (["amps", "amps"], {}, {}, "two columns are headed 'amps'"),
        (["fixture"], {}, {}, "no column holds readings"),
        (["amps"], {"current": "ch9"}, {}, "the log has no column 'ch9'"),
        (["amps"], {"colour": "amps"}, {}, "'colour' is not a field of a log"),
        (["ch1"], {"current": "ch1", "voltage": "ch1"}, {}, "'ch1' is mapped twice"),
        (["amps"], {}, {"current": "mm"}, "'mm' is not a unit of current"),
        (["amps", "gas"], {}, {"gas": "A"}, "gas is a word and has no unit"),
        (["amps"], {}, {"voltage": "V"}, "no column holds voltage"),
    ],
)
def test_what_is_not_accepted_is_said_in_one_sentence(
    store: Store,
    headings: list[str],
    mapping: dict[str, str],
    unit_of: dict[str, str],
    said: str,
) -> None:
    with pytest.raises(InputError) as caught:
        read_columns(store, headings, mapping, unit_of, "us")
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)
