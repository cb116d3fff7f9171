"""Forms with their own ways: a value beside a table, titles for names, headings in two rows."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.procedures.conftest import read, said, slips
from weldref.procedures.model import Procedure, Range


def others(procedure: Procedure) -> list[tuple[str, str]]:
    return [(entry.name, entry.text) for entry in procedure.other]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("DC+", ["DC+"]),
        ("DC (+)", ["DC (+)"]),
        ("DC+/DC-", ["DC+", "DC-"]),
        ("DC+; AC", ["DC+", "AC"]),
        ("AC/DCEP", ["AC", "DCEP"]),
    ],
)
def test_the_plus_of_a_polarity_stays(given: str, expected: list[str]) -> None:
    found = read({"wps": "1", "process": "GTAW+SMAW", "polarity": given})
    assert [text.text for text in found.polarities] == expected
    assert [text.text for text in found.processes] == ["GTAW", "SMAW"]


@pytest.mark.parametrize(
    "given",
    [
        "DCEP",
        "DCEP (reverse)",
        "DC straight polarity (electrode negative)",
        "EP (reverse)",
        "DC (+)",
        "AC",
        "reverse polarity",
        "electrode positive",
    ],
)
def test_a_current_that_says_its_kind_is_a_polarity(given: str) -> None:
    flat, inside = read({"wps": "1", "current": given}), read({"passes": [{"current": given}]})
    assert [text.text for text in flat.polarities] == [given]
    assert flat.passes == ()
    assert str(inside.passes[0].polarity) == given
    assert flat.slips == inside.slips == ()


def test_a_current_with_a_number_is_none() -> None:
    found = read({"passes": [{"current": "DC 90-150 A"}]})
    assert found.passes[0].polarity is None
    assert found.passes[0].current is not None
    assert (found.passes[0].current.low, found.passes[0].current.high) == (90, 150)


def test_values_beside_a_table_of_passes_are_no_pass() -> None:
    found = read(
        {
            "wps": "1",
            "specification": ["EN ISO 15609-1", "EN ISO 15614-1"],
            "electrical": {"Amps (range)": "450-550"},
            "passes": [{"pass": "1", "amps": "400-500"}, {"pass": "2", "amps": "500-600"}],
        }
    )
    assert [str(one.label) for one in found.passes] == ["1", "2"]
    assert others(found) == [
        ("specification", "EN ISO 15609-1"),
        ("specification", "EN ISO 15614-1"),
        ("electrical / Amps (range)", "450-550"),
    ]
    assert slips(found) == [("unknown field", "")] * 2
    assert {slip.suspected for slip in found.slips} == {
        "is beside the table of passes, whose values are read; kept under other"
    }


def test_flat_values_are_a_pass_where_no_table_has_that_process() -> None:
    flat = read({"wps": "1", "process": "SAW", "amps": "450-550", "passes": [{"pass": "1"}]})
    assert [str(one.current) for one in flat.passes] == ["None", "450 to 550 A"]
    found = read(
        {
            "wps": "1",
            "GTAW amps": "90-120",
            "passes": [{"pass": "fill", "process": "SMAW", "amps": "100-140"}],
        }
    )
    assert [(str(one.process), str(one.current)) for one in found.passes] == [
        ("SMAW", "100 to 140 A"),
        ("GTAW", "90 to 120 A"),
    ]


@pytest.mark.parametrize("title", ["welding_procedure", "Welding procedure", "sequence of work"])
def test_a_list_with_electrical_values_is_the_table_of_passes(title: str) -> None:
    found = read(
        {
            "wps": "1",
            "welding_process": "SMAW",
            "current": "DCEP (reverse)",
            title: [
                {"weld_layer": "Root", "electrode": "E7018", "dia": '1/8"', "amps": "115-140"},
                {"weld_layer": "2-n", "electrode": "E7018", "volts": "21-25"},
            ],
        }
    )
    assert said(found) == {
        "number": "1",
        "processes[0]": "SMAW",
        "polarities[0]": "DCEP (reverse)",
        "passes[0].label": "Root",
        "passes[0].filler_class": "E7018",
        "passes[0].sizes[0]": "0.125 in",
        "passes[0].current": "115 to 140 A",
        "passes[1].label": "2-n",
        "passes[1].filler_class": "E7018",
        "passes[1].voltage": "21 to 25 V",
    }


TWO_COLUMNS = [
    ["WELDING PROCEDURE SPECIFICATION"],
    ["WPS No.", "INV-2", None, "Process", "FCAW-S"],
    ["BASE METALS", None, None, "Current", "DCEN"],
    ["Thickness: groove", '3/8" - 1"', None, "Stringer or weave bead", "Stringer"],
    ["FILLER METALS", None, None, "Multi-pass or single pass", "Multi-pass"],
    ["AWS specification", "A5.20", None, "Contact tube to work distance", '1" +/- 1/4"'],
    ["AWS classification", "E70T-4", None, "Peening", "None"],
    [],
    ["Pass or weld layer(s)", "Process", "Filler metals", None, "Current", None, "Volts"],
    [None, None, "Class", "Diam.", "Type & polarity", "Amps or wire feed speed"],
    ["1-n", "FCAW-S", "E70T-4", '3/32"', "DCEN", "350-400", "28-30"],
]


def test_a_form_in_two_columns_with_headings_in_two_rows(workbook: Callable[..., bytes]) -> None:
    cells = {
        f"{'ABCDEFG'[column]}{number}": text
        for number, row in enumerate(TWO_COLUMNS, 1)
        for column, text in enumerate(row)
        if text is not None
    }
    found = read(workbook(WPS=cells), "x.xlsx")
    assert said(found) == {
        "number": "INV-2",
        "processes[0]": "FCAW-S",
        "thickness[0]": "0.375 to 1 in",
        "fillers[0].spec": "A5.20",
        "fillers[0].classification": "E70T-4",
        "polarities[0]": "DCEN",
        "technique.bead": "Stringer",
        "technique.passes_per_side": "Multi-pass",
        "technique.peening": "None",
        "technique.contact_tip_distance": "0.75 to 1.25 in",
        "passes[0].label": "1-n",
        "passes[0].process": "FCAW-S",
        "passes[0].filler_class": "E70T-4",
        "passes[0].sizes[0]": "0.09375 in",
        "passes[0].polarity": "DCEN",
        "passes[0].current": "350 to 400 A",
        "passes[0].voltage": "28 to 30 V",
    }
    assert found.slips == ()


def test_what_every_row_says_holds_for_the_document() -> None:
    found = read(
        "pass,amps,gas,gas_cfh,position,base_metal,thickness_in,preheat_f,interpass_f\n"
        "1,220-260,CO2,35,3G,ASTM A36,1.0,70,450\n2-8,230-270,CO2,35,3G,ASTM A36,1.0,70,400\n",
        "x.csv",
    )
    assert [str(value) for value in (*found.thickness, *found.positions)] == ["1 in", "3G"]
    assert [str(value) for value in found.preheat_min] == ["at least 70 F"]
    assert found.interpass_max == ()  # the rows differ
    assert [str(one.interpass_max) for one in found.passes] == ["at most 450 F", "at most 400 F"]
    assert [(one.thickness, str(one.position)) for one in found.passes] == [(None, "3G")] * 2
    assert [one.gas_flow for one in found.passes] == [Range(35, 35, "ft3/h")] * 2
    assert found.slips == found.other == ()


def test_a_thickness_of_passes_stays_theirs() -> None:
    with_form = "WPS,1\nThickness,1 in\n\npass,amps,base_metal,thickness_in\n1,90,A36,1/8\n"
    assert str(read(with_form, "x.csv").passes[0].thickness) == "0.125 in"
    plain = "WPS,1\n\npass,amps,thickness_in\n1,90,1/8\n2,90,1/8\n"
    assert read(plain, "x.csv").thickness == ()
    layers = "pass,amps,base_metal,layer_thickness_in\n1,90,A36,1/8\n2,90,A36,1/8\n"
    assert [str(one.thickness) for one in read(layers, "x.csv").passes] == ["0.125 in"] * 2


def test_a_thickness_inside_the_base_metal_is_the_documents() -> None:
    metal = {"parent_metal": {"designation": "S355J2", "thickness_mm": [20, 40]}}
    found = read({"wps": "1", **metal})
    assert found.thickness == (Range(20, 40, "mm"),)
    assert found.thickness[0].place == "/parent_metal/thickness_mm"
    stated = read({"wps": "1", "thickness_mm": [3, 12], **metal})
    assert stated.thickness == (Range(3, 12, "mm"),)


def test_the_sections_of_an_asme_form() -> None:
    found = read(
        {
            "QW-482": {"WPS No.": "1", "Type(s)": "Machine"},
            "QW-403 Base Metals": {
                "P-No.": "1",
                "to P-No.": "8",
                "Specification type and grade": "SA-516 Gr. 70",
                "Thickness range, groove": "3/16 in to 2 in",
                "Thickness range, fillet": "All",
            },
            "QW-407 PWHT": {"Temperature range": "1100-1200 F"},
            "QW-408 Gas": {"Shielding": "N/A"},
        }
    )
    text = said(found)
    assert text["modes[0]"] == "Machine"
    assert (text["base_metals[0].text"], text["base_metals[0].p_number"]) == ("SA-516 Gr. 70", "1")
    assert text["base_metals[1].p_number"] == "8"
    assert (text["thickness[0]"], text["fillet_thickness[0]"]) == ("0.1875 to 2 in", "All")
    assert text["heat_treatments[0].temperature"] == "1100 to 1200 F"
    assert (found.gases, others(found)) == ((), [("QW-408 Gas / Shielding", "N/A")])
    assert found.slips == ()


@pytest.mark.parametrize("nothing", ["N/A", "n/a", "none", "-", "Not applicable", "None (self)"])
def test_no_gas_is_no_gas(nothing: str) -> None:
    found = read(
        {
            "wps": "1",
            "shielding gas": nothing,
            "shielding gas flow": nothing,
            "gases": [{"role": "backing", "composition": nothing}],
            "passes": [{"amps": 90, "gas": nothing}],
        }
    )
    assert found.gases == ()
    assert found.passes[0].gas is None
    assert [entry.text for entry in found.other].count(nothing) == 4
    one = read({"wps": "1", "shielding gas": f"GTAW argon; SMAW {nothing}"})
    assert [(str(gas.process), str(gas.composition)) for gas in one.gases] == [("GTAW", "argon")]


@pytest.mark.parametrize(
    ("key", "field"),
    [
        ("pWPS", "number"),
        ("Supporting WPQR", "supporting_pqrs[0]"),
        ("supporting record", "supporting_pqrs[0]"),
        ("Shielding gas designation", "gases[0].composition"),
        ("joint_designation", "joint.text"),
        ("prozess", "processes[0]"),
        ("welding process", "processes[0]"),
        ("Specification type and grade", "base_metals[0].text"),
    ],
)
def test_names_of_fields(key: str, field: str) -> None:
    assert said(read({"rev": "0", key: "X 5"}))[field] == "X 5"


@pytest.mark.parametrize("kind", ["PQR", "WPQR", "Procedure Qualification Record"])
def test_the_deposit_of_a_record_is_that_of_its_test(kind: str) -> None:
    record = read({"kind": kind, "pqr no": "7", "deposit": {"GTAW": "0.125 in", "SMAW": ".3 in"}})
    assert [(r.of, r.low) for r in record.test_deposit] == [("GTAW", 0.125), ("SMAW", 0.3)]
    assert record.deposit_thickness == ()
    qualified = read({"kind": kind, "weld metal thickness": "max 0.5 in"})
    assert (qualified.test_deposit, len(qualified.deposit_thickness)) == ((), 1)
    assert read({"kind": "WPS", "deposit": "0.3 in"}).test_deposit == ()


def test_a_range_for_each_process_in_one_cell() -> None:
    found = read("WPS,1\nWeld metal thickness range (in),GTAW max 0.25; SMAW max 0.614\n", "x.csv")
    assert found.deposit_thickness == (
        Range(None, 0.25, "in", of="GTAW"),
        Range(None, 0.614, "in", of="SMAW"),
    )
    assert found.slips == ()
    assert read({"wps": "1", "thickness": "111 mm"}).thickness == (Range(111, 111, "mm"),)
