"""Is a test record asked for its results, and are they held against the tables and nothing else?

The limits are those of the tables: ISO 15614-1:2017 Table 1, Table 2, 7.4.2, 7.4.4 and Table 3;
EN 10025-2:2019 Tables 6 and 8; AWS D1.1:2015 Table 3.1. The records are invented.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.audit.constructed.bases import a_copy, read
from tests.audit.constructed.pairs import record_of
from weldref.audit.case import Case
from weldref.audit.finding import Finding
from weldref.audit.procedure_audit import all_rules, audit_procedure
from weldref.audit.results import Result
from weldref.data.store import open_store

Tests = dict[str, str]

S355 = ("gmaw-iso-spray", "ISO 15614-1", "12 mm")
A36 = ("smaw-d11-groove", "AWS D1.1", "1/2 in")
A516 = ("fcaw-asme-groove", "ASME IX", "1/2 in")
PWHT = {"heat_treatments": [{"kind": "PWHT", "temperature": "580 C"}]}
S355_AND_S235 = {
    "base_metals": [{"text": "S355J2", "group": "1.2"}, {"text": "S235JR", "group": "1.1"}]
}
METAL_JR = {"base_metals": [{"text": "S355JR", "group": "1.2"}]}
UNKNOWN = {"base_metals": [{"text": "Q999"}]}


def told(pair: tuple[str, str, str], tests: Tests, **more: Any) -> list[Finding]:
    """What an audit says of the tests of the record of a clean procedure."""
    base, code, coupon = pair
    plain = record_of(a_copy(base), coupon) | more
    plain["tests"] = [{"name": name, "text": text} for name, text in tests.items()]
    case = Case(open_store(), read(a_copy(base)), (read(plain),), code)
    rules = [rule for rule in all_rules() if rule.name in ("record-tests", "test-results")]
    return [found for rule in rules for found in rule.run(case)]


@pytest.mark.parametrize(
    ("pair", "tests", "more", "severity", "words", "source"),
    [
        # EN 10025-2 Table 6: S355, 3 to 100 mm: 470 MPa; S235: 360 MPa, the weaker of the two.
        (S355, {"Tensile": "512 and 470 MPa"}, {}, "note", "470 MPa at least", "en-10025-2-2019"),
        (S355, {"Tensile": "512 and 469 MPa"}, {}, "outside", "lowest 469", "en-10025-2-2019"),
        (S355, {"Tensile": "469 N/mm2"}, S355_AND_S235, "note", "S235 has 360", "en-10025-2-2019"),
        (S355, {"Tensile": "yield 340 MPa, tensile 480 MPa"}, {}, "note", "480", "en-10025-2-2019"),
        (S355, {"Tensile": "480 MPa (required 470 MPa)"}, {}, "note", "480", "en-10025-2-2019"),
        (S355, {"Tensile": "74 ksi"}, {}, "not checked", "no tensile strength in ksi", ""),
        (S355, {"Tensile": "512"}, {}, "not checked", "no strength is stated with its unit", ""),
        (S355, {"Tensile": "512 MPa"}, UNKNOWN, "not checked", "not understood", ""),
        # AWS D1.1:2015 Table 3.1: A36 to 3/4 in: 58 ksi, 400 MPa. A516 Gr. 70 is recalled.
        (A36, {"Tension": "58.0 ksi"}, {}, "note", "58 ksi at least", "aws-d1-1-2015"),
        (A36, {"Tension": "71,200 psi; 57 900 psi"}, {}, "outside", "57.9", "aws-d1-1-2015"),
        (A36, {"Tension": "399 MPa, broke in weld"}, {}, "outside", "400 MPa", "aws-d1-1-2015"),
        (A516, {"Tension": "69 ksi"}, {}, "question", "(recalled)", "aws-d1-1-2015"),
        # ISO 15614-1, 7.4.2: imperfections to 3 mm in any direction.
        (S355, {"Bend": "open defect 3 mm"}, {}, "note", "3 mm", "iso-15614-1-2017"),
        (S355, {"Bend": "former 40 mm; opened 3.5 mm"}, {}, "outside", "3.5", "iso-15614-1-2017"),
        (S355, {"Bend": "opening 1/4 in"}, {}, "outside", "0.25 in", "iso-15614-1-2017"),
        (S355, {"Bend": "4 side bends, no defects"}, {}, "note", "own words", "iso-15614-1-2017"),
        (S355, {"Bend": "180 degrees"}, {}, "not checked", "neither a size nor a result", ""),
        (A36, {"Bend": "no open defects"}, {}, "not checked", "no acceptance of it", ""),
        (A516, {"Bend": "one of four failed"}, {}, "question", "itself says 'failed'", ""),
        # ISO 15614-1, Table 3: group 1 380 HV10 as welded, 320 HV10 after heat treatment.
        (S355, {"Hardness HV10": "HAZ 380"}, {}, "note", "at most 380", "iso-15614-1-2017"),
        (S355, {"Hardness": "HAZ 381 HV10"}, {}, "outside", "381", "iso-15614-1-2017"),
        (S355, {"Hardness": "HAZ 330 HV10"}, PWHT, "outside", "at most 320", "iso-15614-1-2017"),
        (S355, {"Hardness": "HAZ 248 HV5"}, {}, "not checked", "no values are stated in HV10", ""),
        (S355, {"Hardness": "22 HRC"}, {}, "not checked", "no values are stated in HV10", ""),
        (S355, {"Hardness": "300 HV10"}, S355_AND_S235, "not checked", "one material group", ""),
        (A36, {"Hardness": "391 HV10"}, {}, "not checked", "no limit of it", ""),
        # EN 10025-2 Table 8: J2 27 J at -20 C; 7.4.4: one value down to 70 % of it, 18.9 J.
        (S355, {"Charpy": "25, 30, 27 J at -20 C"}, {}, "note", "27 J", "en-10025-2-2019"),
        (S355, {"Charpy": "25, 26, 27 J at -20 C"}, {}, "question", "26 J", "en-10025-2-2019"),
        (S355, {"Charpy": "18, 60, 60 J at -20 C"}, {}, "question", "18 J", "iso-15614-1-2017"),
        (S355, {"Charpy": "60, 61, 59 J at 0 C"}, {}, "not checked", "27 J at -20 C", ""),
        (S355, {"Charpy": "60, 61, 59 J"}, {}, "not checked", "no stated temperature", ""),
        (S355, {"Charpy": "20 J at -20 C"}, METAL_JR, "not checked", "27 J at 20 C", ""),
        (S355, {"Charpy": "44 ft-lb at -20 C"}, {}, "not checked", "no energy is stated in J", ""),
        (A36, {"Charpy": "60 J at -20 C"}, {}, "not checked", "no impact energy", ""),
        # Words of the record itself; a crack is permitted at no level of ISO 5817.
        (S355, {"Macro": "crack in the root"}, {}, "question", "'crack'", "iso-5817-2014-extract"),
        (S355, {"Macro": "lack of root fusion"}, {}, "question", "'lack of root fusion'", ""),
        (S355, {"Macro": "no cracks, lack of fusion"}, {}, "not checked", "no acceptance", ""),
        (A36, {"Radiography": "rejected"}, {}, "question", "'rejected'", ""),
        (A36, {"Visual": "accepted"}, {}, "not checked", "nothing to compare", ""),
        (A36, {"Leak test": "tight"}, {}, "not checked", "Leak test: tight", ""),
    ],
)  # fmt: skip
def test_a_result_is_held_against_the_tables(
    pair: tuple[str, str, str], tests: Tests, more: dict[str, Any],
    severity: str, words: str, source: str,
) -> None:  # fmt: skip
    found = [one for one in told(pair, tests, **more) if one.rule == "test-results"]
    assert [(one.severity, one.source_id) for one in found] == [(severity, source)]
    assert words in found[0].what
    assert severity == "note" or found[0].next_step


def test_a_record_without_results_is_asked_for_them() -> None:
    # ISO 15614-1 Table 2, level 2, butt joint; hardness and impact are on a condition.
    missing, conditional = told(S355, {})
    assert (missing.severity, missing.source_id) == ("missing", "iso-15614-1-2017")
    assert "transverse bend, 4 specimens; transverse tensile, 2 specimens" in missing.expected
    assert "hardness" not in missing.expected
    assert (conditional.severity, "sub-group 1.1" in conditional.what) == ("not checked", True)
    (missing,) = told(A36, {})
    assert (missing.severity, "no test results" in missing.what) == ("missing", True)


def test_each_test_of_the_level_and_piece_is_asked_for() -> None:
    every = {
        "Transverse tensile": "512 MPa", "Bends": "no defects", "Visual": "accepted",
        "Macro": "no cracks", "Hardness": "248 HV10", "Charpy": "60 J at -20 C",
        "Penetrant": "accepted", "Radiography": "accepted",
    }  # fmt: skip

    def missing(tests: Tests, **more: Any) -> list[str]:
        return [one.expected for one in told(S355, tests, **more) if one.severity == "missing"]

    assert missing(every) == []
    without = {name: text for name, text in every.items() if name not in ("Bends", "Macro")}
    assert missing(without) == ["macro section, 1 specimen; transverse bend, 4 specimens"]
    # Level 1 asks for bends, tensile tests and a visual one alone.
    first = {"standards": ["ISO 15614-1:2017 level 1"]}
    assert missing(without, **first) == ["transverse bend, 4 specimens"]
    fillet = {"joint": {"kind": "T-joint", "weld": "fillet"}}
    assert missing(without, **fillet) == ["macro section, 2 specimens"]
    assert any("how many specimens" in one.what for one in told(S355, every))


def test_a_record_that_is_audited_itself_names_the_place() -> None:
    plain = record_of(a_copy(S355[0]), S355[2]) | {"tests": [{"name": "Bend", "text": "rejected"}]}
    report = audit_procedure(read(plain))
    (found,) = [one for one in report.findings if one.rule == "test-results"]
    assert found.place.startswith("/tests")
    assert found.what.startswith("bend: ")


def test_a_procedure_is_asked_for_no_test_results() -> None:
    rules = {one.rule for one in audit_procedure(read(a_copy(S355[0]))).findings}
    assert not rules & {"record-tests", "test-results"}


@pytest.mark.parametrize(
    ("text", "unit", "numbers"),
    [
        ("T1 71,200 psi, T2 70 900 psi", "ksi", [71.2, 70.9]),
        ("512,5 MPa; 498 MPa", "MPa", [512.5, 498]),
        ("512,498 MPa", "MPa", [512, 498]),
        ("480-512 N/mm2", "MPa", [480, 512]),
        ("71.2 ksi (491 MPa)", "ksi", [71.2]),
        ("25,200 lbf on 0.375 in2", "", []),
    ],
)
def test_strengths_are_read_as_they_are_written(text: str, unit: str, numbers: list[float]) -> None:
    assert Result("tensile", "Tension", text).stresses() == (numbers, unit)
