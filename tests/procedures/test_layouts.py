"""Layouts that nobody has seen before: flat or nested, lists or groups, units anywhere."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.procedures.conftest import SAMPLES, read, said, slips
from weldref.errors import InputError
from weldref.procedures.model import Range
from weldref.procedures.read import read_bytes, read_procedure


@pytest.mark.parametrize(
    "given",
    [
        {"amps": "90-150"},
        {"Amperage": "90 - 150 A"},
        {"current_A": [90, 150]},
        {"current": {"min": 90, "max": 150, "unit": "A"}},
        {"current": {"range": [90, 150], "units": "amps"}},
        {"current_min": 90, "current_max": 150},
        {"minAmps": "90", "maxAmps": "150"},
        {"welding current (A)": "90 to 150"},
        {"current": [90, 150], "current_unit": "A"},
        {"current": ["90", "150", "A"]},
        {"electrical": {"amps": {"low": 90, "high": 150}}},
    ],
)
def test_one_current_written_in_many_ways(given: dict[str, object]) -> None:
    for whole in ({"passes": [given]}, {"passes": {"root": given}}, {"WPS": "1", **given}):
        found = read(whole)
        assert found.passes[0].current == Range(90, 150, "A"), whole
        assert found.slips == (), whole


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"travel_ipm": [6, 9]}, Range(6, 9, "in/min")),
        ({"ipm": "6-9"}, Range(6, 9, "in/min")),
        ({"travelSpeed": "6 to 9 in. per min."}, Range(6, 9, "in/min")),
        ({"travel_speed_mm_min": [80, 120]}, Range(80, 120, "mm/min")),
        ({"Travel speed [cm/min]": "20/30"}, Range(20, 30, "cm/min")),
        ({"speed": 120, "speed_unit": "mm/min"}, Range(120, 120, "mm/min")),
        ({"travel": {"value": 9, "unit": "ipm"}}, Range(9, 9, "in/min")),
        ({"U": "24 V", "v": "30 cm/min"}, Range(30, 30, "cm/min")),
        ({"travel": "9"}, Range(9, 9, "")),
    ],
)
def test_travel_speeds(given: dict[str, object], expected: Range) -> None:
    assert read({"passes": [given]}).passes[0].travel_speed == expected


def test_nested_groups_with_a_wrapper() -> None:
    found = read(
        {
            "WPS": {
                "wpsNumber": "GM-1",
                "weldingProcess": "GMAW / FCAW-G",
                "baseMetal": {"spec": "A36",
                              "thickness": {"min": 0.125, "max": 0.75, "units": "in"}},
                "fillerMetal": {"class": "ER70S-6", "spec": "A5.18", "diameter": [0.035, 0.045],
                                "diameterUnit": "in"},
                "shielding": {"gas": "75/25 Ar/CO2", "flowRate": "35-45 CFH"},
                "preheat": {"minimum": "50 °F", "interpassMax": "450°F"},
            }
        }
    )  # fmt: skip
    assert said(found) == {
        "number": "GM-1",
        "processes[0]": "GMAW",
        "processes[1]": "FCAW-G",
        "base_metals[0].spec": "A36",
        "base_metals[0].thickness": "0.125 to 0.75 in",
        "thickness[0]": "0.125 to 0.75 in",  # the document states no other
        "fillers[0].spec": "A5.18",
        "fillers[0].classification": "ER70S-6",
        "fillers[0].sizes[0]": "0.035 in",
        "fillers[0].sizes[1]": "0.045 in",
        "gases[0].composition": "75/25 Ar/CO2",
        "gases[0].flow": "35 to 45 ft3/h",
        "preheat_min[0]": "at least 50 F",
        "interpass_max[0]": "at most 450 F",
    }


def test_a_block_for_each_process() -> None:
    found = read(
        {
            "id": "X",
            "processes": [
                {"process": "GTAW", "filler": "ER70S-2", "filler_size": "3/32",
                 "passes": [{"pass": "root", "amps": "80-110", "volts": "10-12"}]},
                {"process": "SMAW", "filler": "E7018",
                 "passes": [{"pass": "fill", "amps": [90, 140]}]},
            ],
        }
    )  # fmt: skip
    assert [str(text) for text in found.processes] == ["GTAW", "SMAW"]
    assert [(str(one.label), str(one.process)) for one in found.passes] == [
        ("root", "GTAW"),
        ("fill", "SMAW"),
    ]
    assert [(str(f.process), str(f.classification)) for f in found.fillers] == [
        ("GTAW", "ER70S-2"),
        ("SMAW", "E7018"),
    ]


def test_texts_for_each_process_and_mixtures_by_share() -> None:
    found = read(
        {
            "polarity": {"GTAW": "DCEN", "FCAW": "DCEP"},
            "gas": {
                "shielding": {"Ar": 82, "CO2": 18},
                "backing": {"type": "Ar", "flow": "5 l/min"},
            },
            "current": "DC",
        }
    )
    assert [(t.of, t.text) for t in found.polarities] == [
        ("GTAW", "DCEN"),
        ("FCAW", "DCEP"),
        ("", "DC"),
    ]
    assert [(g.role, str(g.composition), str(g.flow)) for g in found.gases] == [
        ("shielding", "82 Ar / 18 CO2", "None"),
        ("backing", "Ar", "5 L/min"),
    ]


def test_preheat_tables() -> None:
    for given in (
        {"preheat": [{"thickness": "up to 3/4 in", "temp": "32 F"},
                     {"thickness": "over 3/4 to 1-1/2 in", "temp": "150 F"}]},
        {"preheat_by_thickness": {"up to 3/4 in": "32 F", "over 3/4 to 1-1/2 in": "150 F"}},
        {"preheat_table": [{"to": 0.75, "min": 32}, {"over": 0.75, "to": 1.5, "min": 150}],
         "thickness_unit": "in", "temperature_unit": "F"},
    ):  # fmt: skip
        steps = read({"number": "1", **given}).preheat_by_thickness
        assert [(str(s.thickness), str(s.minimum)) for s in steps] == [
            ("at most 0.75 in", "at least 32 F"),
            ("0.75 to 1.5 in", "at least 150 F"),
        ]


def test_what_is_not_understood_is_kept_and_reported() -> None:
    found = read({"wps": "1", "shoe size": [43, 44], "welder": {"name": "X"}, "amps": 100})
    assert [(e.name, e.text, e.place) for e in found.other] == [
        ("shoe size", "43", "/shoe size/0"),
        ("shoe size", "44", "/shoe size/1"),
        ("welder / name", "X", "/welder/name"),
    ]
    assert slips(found) == [("unknown field", "")] * 2


def test_a_key_that_comes_twice_keeps_both() -> None:
    found = read(b'{"wps": "1", "rev": 1, "rev": 2, "passes": [{"amps": 90, "amps": 95}]}')
    assert str(found.revision) == "1"
    assert [(e.name, e.text) for e in found.other] == [("rev", "2")]
    assert [str(named.value) for named in found.passes[0].also] == ["95 A"]
    assert [kind for kind, _ in slips(found)] == ["stated twice", "stated twice"]


def test_pqr_no_is_a_records_own_number_and_a_procedures_record() -> None:
    record = read({"PQR No.": "9", "coupon thickness": "1/2 in"})
    assert (str(record.number), record.supporting_pqrs) == ("9", ())
    procedure = read({"process": "GMAW", "PQR No.": "9"})
    assert procedure.number is None
    assert [str(text) for text in procedure.supporting_pqrs] == ["9"]


def test_several_procedures_in_one_file() -> None:
    found = read_bytes(b'[{"wps": "1", "process": "GMAW"}, {"wps": "2"}]', "x.json")
    assert [str(one.number) for one in found] == ["1", "2"]


def test_json_read_as_yaml_is_the_same() -> None:
    for path in sorted(SAMPLES.glob("*.json")):
        data = path.read_bytes()
        assert read(data, "x.yaml") == read(data, "x.json"), path.name


def test_yaml_keeps_the_print() -> None:
    found = read(
        "WPS No.: 010\nDate: 2024-05-01\nBacking: no\nBase Metal: A516 Gr 70 to A106 Gr B\n"
        "Filler: &f {class: E7018, sizes: [3/32, 1/8], unit: in}\nPosition: 3G, 4G\n"
        "Passes:\n  - {Layer: 1, Amps: 80 - 110, Travel (in/min): 3-6}\n",
        "x.yaml",
    )
    text = said(found)
    assert (text["number"], text["date"], text["joint.backing"]) == ("010", "2024-05-01", "no")
    assert text["base_metals[0].designations[1]"] == "A106 Gr B"
    assert [str(size) for size in found.fillers[0].sizes] == ["0.09375 in", "0.125 in"]
    assert found.passes[0].travel_speed == Range(3, 6, "in/min")


FORM = '''\
Welding Procedure Specification,,,,
WPS No.,SM-3,,Rev.,0
Welding Process(es):,SMAW,,Type(s):,Manual
Base metal,ASTM A36,,Thickness,"1/8"" to 3/4"""
Backing,none,,Position(s),"1G, 2G"
Min. Preheat (°F),50,,Max. Interpass (°F),450

Weld Layer(s),Process,Class,Dia.,Type Polar.,Amp. Range,Volt Range,Travel Speed Range
,,,in,,A,V,ipm
1,SMAW,E6010,1/8,DCEP,75-110,24-27,4-7
2-n,SMAW,E7018,Mar-32,DCEP,90-120,20-24,5-9
'''


def test_a_form_as_csv() -> None:
    found = read(FORM, "x.csv")
    text = said(found)
    assert (text["number"], text["revision"], text["modes[0]"]) == ("SM-3", "0", "Manual")
    assert str(found.thickness[0]) == "0.125 to 0.75 in"
    assert (str(found.preheat_min[0]), str(found.interpass_max[0])) == (
        "at least 50 F",
        "at most 450 F",
    )
    assert [str(one.travel_speed) for one in found.passes] == ["4 to 7 in/min", "5 to 9 in/min"]
    assert found.passes[0].sizes == (Range(0.125, 0.125, "in"),)
    assert found.passes[0].current is not None
    assert found.passes[0].current.place == "line 10:6"
    assert slips(found) == [("date", "passes[1].sizes[0]")]
    assert found.slips[0].place == "line 11:4"


def test_csv_with_semicolons_and_decimal_commas() -> None:
    found = read(
        "pass;process;diameter_mm;current_A_min;current_A_max;travel_mm_min\n"
        "root;GTAW;2,4;80;110;60-90\nfill;SMAW;3,2;90;130;100-0\n",
        "x.csv",
    )
    assert [str(one.sizes[0]) for one in found.passes] == ["2.4 mm", "3.2 mm"]
    assert [str(one.current) for one in found.passes] == ["80 to 110 A", "90 to 130 A"]
    assert str(found.passes[1].travel_speed) == "at least 100 mm/min"
    assert slips(found) == [("zero", "passes[1].travel_speed")]


def test_csv_with_fields_of_the_procedure_in_columns() -> None:
    found = read("wps_number,material,label,amps\nA-1,A36,1,150\nA-1,A36,2,170\n", "x.csv")
    assert said(found) == {
        "number": "A-1",
        "base_metals[0].text": "A36",
        "base_metals[0].designations[0]": "A36",
        "passes[0].label": "1",
        "passes[0].current": "150 A",
        "passes[1].label": "2",
        "passes[1].current": "170 A",
    }


def test_xlsx_dates_formulas_percent_and_places(workbook: Callable[..., bytes]) -> None:
    data = workbook(
        WPS={
            "A1": "WPS No.", "B1": 7, "A2": "Date", "B2": datetime.date(2026, 3, 2),
            "A3": "Max. interpass (F)", "B3": "=200+50",
            "A5": "Pass", "B5": "Filler dia. (in)", "C5": "Amps", "D5": "Volts",
            "A6": datetime.datetime(2026, 2, 8), "B6": datetime.datetime(2032, 3, 1),
            "C6": "90-120", "D6": 22,
        }
    )  # fmt: skip
    found = read(data, "x.xlsx")
    assert (str(found.number), str(found.date)) == ("7", "2026-03-02")
    assert found.interpass_max == ()
    assert [(e.name, e.text) for e in found.other] == [("formula", "=200+50 (stored result None)")]
    assert found.passes[0].current is not None
    assert found.passes[0].current.place == "WPS!C6"
    assert [(s.kind, s.place) for s in found.slips] == [
        ("date", "WPS!A6"),
        ("date", "WPS!B6"),
        ("formula", "WPS!B3"),
    ]
    assert "3/32" in found.slips[1].suspected
    assert "2/8" in found.slips[0].suspected


def test_a_workbook_of_several_procedures(workbook: Callable[..., bytes]) -> None:
    data = workbook(
        One={"A1": "WPS No.", "B1": "1", "A2": "Process", "B2": "GMAW"},
        Passes={"A1": "Pass", "B1": "Amps", "A2": "1", "B2": "150"},
        Two={"A1": "WPS No.", "B1": "2"},
    )
    first, second = read_bytes(data, "x.xlsx")
    assert (str(first.number), len(first.passes)) == ("1", 1)
    assert (str(second.number), len(second.passes)) == ("2", 0)


def test_two_procedures_where_one_is_asked(tmp_path: Path) -> None:
    path = tmp_path / "two.json"
    path.write_text('[{"wps": "1", "process": "GMAW"}, {"wps": "2", "process": "SAW"}]')
    with pytest.raises(InputError, match=r"holds 2 procedures \(1, 2\); give one"):
        read_procedure(path)
