"""The sample procedures load whole: every value is in the model or in `other`.

Facts of real documents, with names withheld and remarks in our own words; pqr-v is recalled and
says so. The demo files are invented.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.procedures.conftest import SAMPLES, said, slips
from weldref.procedures.model import Procedure, Range, values
from weldref.procedures.own_layout import to_json
from weldref.procedures.read import read_bytes, read_procedure
from weldref.procedures.tree import Leaf, Pairs, as_tree, leaves

ALL = sorted(SAMPLES.glob("*.json"))


def filled(path: Path) -> Iterator[Leaf]:
    tree = as_tree(json.loads(path.read_text(), object_pairs_hook=Pairs))
    return (leaf for leaf in leaves(tree) if not leaf.blank)


def represented(procedure: Procedure) -> dict[str, str]:
    """What stands in the model for each place of the file."""
    found: dict[str, str] = {}
    for _, value in values(procedure):
        places = (value.place, *(value.also_at if isinstance(value, Range) else ()))
        for place in places:
            said = value.text
            if isinstance(value, Range):
                said = f"{said} {value.low} {value.high} {value.unit}"
            found[place] = f"{found.get(place, '')} {said}"
    return found


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.stem)
def test_every_value_is_kept(path: Path) -> None:
    procedure = read_procedure(path)
    kept = represented(procedure)
    given = list(filled(path))
    own = path.stem.startswith("demo")
    missing = [leaf for leaf in given if leaf.place not in kept]
    # Our own layout has two marks that are no values: the format and the role of a gas.
    assert [
        leaf.place for leaf in missing if not (own and leaf.place.endswith(("format", "role")))
    ] == []
    for leaf in given:
        if leaf in missing:
            continue
        printed = kept[leaf.place].replace(",", " ")
        words = leaf.text.replace(",", " ").replace(";", " ").split()
        for word in words:
            assert word in printed or word in ("GTAW", "GMAW"), leaf


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.stem)
def test_model_to_json_to_model(path: Path) -> None:
    procedure = read_procedure(path)
    (again,) = read_bytes(to_json(procedure).encode(), path.name)
    assert again == procedure


def test_structural_steel_sheet() -> None:
    found = read_procedure(SAMPLES / "wps-a.json")
    assert [str(one.current) for one in found.passes] == ["90 to 150 A", "120 to 200 A"]
    assert [str(size) for size in found.fillers[0].sizes] == ["0.125 in", "0.15625 in"]
    assert [str(step.thickness) for step in found.preheat_by_thickness] == [
        "at most 0.75 in",
        "0.75 to 1.5 in",
        "1.5 to 2.5 in",
        "at least 2.5 in",
    ]
    assert str(found.preheat_by_thickness[3].minimum) == "at least 225 F"
    assert found.thickness[0].unlimited
    assert slips(found) == []
    assert len(found.recorded) == 2


def test_a_conversion_that_does_not_agree() -> None:
    """18,277 J/in is 0.72 kJ/mm; 0.78 is printed. The other seven pairs agree."""
    found = read_procedure(SAMPLES / "wps-e.json")
    assert [(kind, at) for kind, at in slips(found) if kind != "unknown field"] == [
        ("conversion", "heat_input_J_per_in")
    ]
    assert found.passes[2].also[1].name == "heat_input"
    assert str(found.passes[2].also[1].value) == "18277 to 42458 J/in"
    assert [filler.passes.text for filler in found.fillers if filler.passes] == [
        "root",
        "hot",
        "fill and stringer cap",
    ]


def test_ranges_of_two_codes_stay_apart() -> None:
    found = read_procedure(SAMPLES / "wps-g.json")
    assert [(r.of, r.low, r.unit) for r in found.pipe_diameter] == [
        ("AWS", 6, "in"),
        ("ASME", 0.75, "in"),
    ]
    assert [r.of for r in found.deposit_thickness] == [
        "AWS root",
        "AWS balance",
        "ASME root",
        "ASME balance",
    ]
    assert [(gas.role, str(gas.flow)) for gas in found.gases] == [
        ("shielding", "10 to 25 ft3/h"),
        ("backing", "3 to 10 ft3/h"),
    ]
    assert found.joint.root_opening == Range(0, 0.09375, "in")


def test_a_lost_degree_sign_is_left_as_printed() -> None:
    found = read_procedure(SAMPLES / "wps-k.json")
    assert found.preheat_min[0].low == 1500
    assert found.interpass_max[0].high == 2000
    assert slips(found) == [
        ("degree sign", "interpass_max[0]"),
        ("degree sign", "preheat_min[0]"),
    ]
    assert found.slips[1].suspected.startswith("150 C")
    assert found.efficiency[0].low == 0.8


def test_submerged_arc_without_electrical_values() -> None:
    found = read_procedure(SAMPLES / "wps-o.json")
    assert said(found)["fillers[0].flux"] == "F7A2-EM12K"
    assert [(r.of, r.high) for r in found.carbon_equivalent] == [("Pcm", 0.25), ("CE_IIW", 0.43)]
    assert all(one.current is None for one in found.passes)


def test_two_processes() -> None:
    found = read_procedure(SAMPLES / "wps-s.json")
    assert [(str(g.process), str(g.composition), str(g.flow)) for g in found.gases] == [
        ("GTAW", "Ar 100 %", "10 to 15 L/min"),
        ("GMAW", "80 % Ar 20 % CO2", "15 to 25 L/min"),
    ]
    assert [(r.of, str(r)) for r in found.qualified_thickness] == [
        ("", "5 to 25.4 mm"),
        ("with impact", "12.7 to 25.4 mm"),
    ]
    assert [entry.name for entry in found.other] == ["qualified / groove_angle_deg"]


def test_a_recalled_record_says_so() -> None:
    found = read_procedure(SAMPLES / "pqr-v.json")
    assert [text.text for text in found.how_read] == ["memory"]
    assert "Recalled" in found.remarks[0].text
    assert [one.label.text for one in found.passes if one.label] == [
        "1",
        "2-8",
        "9-11",
        "12-15",
        "16",
    ]


@pytest.mark.parametrize("name", ["demo-posts", "demo-brackets", "demo-ramp"])
def test_demo_procedures_are_clean_and_marked(name: str) -> None:
    found = read_procedure(SAMPLES / f"{name}.json")
    assert found.slips == found.other == ()
    assert "invented" in str(found.title)
    assert "Invented" in found.remarks[0].text
