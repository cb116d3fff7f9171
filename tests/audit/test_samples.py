"""What the audit finds in procedures that were published, beside what their readers noted.

The files below tests/procedures/samples were copied from print by hand; their `inconsistencies`
say what the reader saw. Each expectation here names the table or the arithmetic behind it.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from tests.procedures.conftest import SAMPLES
from weldref.audit.finding import Finding
from weldref.audit.procedure_audit import Report, audit_file
from weldref.procedures.read import read_procedure

NAMES = sorted(path.stem for path in SAMPLES.glob("*.json"))


@cache
def audit(name: str, standards: tuple[str, ...] = ()) -> Report:
    return audit_file(SAMPLES / f"{name}.json", standards=standards)


def of(report: Report, rule: str, *severities: str) -> list[Finding]:
    wanted = severities or ("contradiction", "outside", "not covered", "missing", "question")
    return [f for f in report.findings if f.rule == rule and f.severity in wanted]


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_lost_and_every_finding_can_be_followed(name: str) -> None:
    report = audit(name, ("ISO 15609-1", "AWS D1.1", "ASME IX"))
    told = " ".join(f.what for f in of(report, "slips"))
    for entry in read_procedure(SAMPLES / f"{name}.json").recorded:
        assert entry.text in told
    for finding in report.findings:
        assert finding.place.startswith("/") or not finding.place
        assert not finding.source_id or finding.source_id in report.sources
        assert finding.severity == "note" or finding.next_step


def test_covered_electrode_below_the_printed_current() -> None:
    report = audit("wps-a")
    # Machinery's Handbook, Table 14: E7018, 1/8 in 110 to 160 A, 5/32 in 150 to 215 A.
    (low,) = of(report, "published-range", "outside")
    assert (low.value, low.expected) == ("90 to 150 A", "110 to 160 A")
    assert (low.source_id, low.grade) == ("machinerys-handbook-31", "read")
    # 5/32 in is printed for flat and horizontal work; the sheet is for all positions.
    (thicker,) = of(report, "published-range", "question")
    assert (thicker.value, "150 to 215 A" in thicker.expected) == ("120 to 200 A", True)
    # The box says 100 F, the table rises to 225 F.
    (box,) = of(report, "preheat-box-and-table")
    assert ("100 F" in box.value, "225 F" in box.expected) == (True, True)
    # Other codes' tables say nothing; of AWS D1.5, which it works to, all is recalled.
    assert of(report, "preheat-by-method") == []
    recalled = of(report, "preheat-by-method", "not checked")
    assert {f.source_id for f in recalled} <= {"aws-d1-5-2015", ""}


def test_pipeline_procedure_with_narrow_heat_inputs() -> None:
    report = audit("wps-e")
    # 18,277 J/in is 0.72 kJ/mm, and 0.78 is printed beside it.
    (conversion,) = [f for f in of(report, "slips") if "conversion" in f.what]
    assert conversion.value == "18277 J/in"
    (narrow,) = of(report, "heat-input-corners", "question")
    assert narrow.what.startswith("root, hot, fill, stringer cap: ")
    assert len(narrow.also_at) == 3
    # 60 A x 22 V / 152 mm/min and 113 A x 34 V / 76 mm/min: 0.52 to 3.03 kJ/mm.
    assert narrow.expected.startswith("root: 0.521 to 3.03 kJ/mm without k; ")
    assert of(report, "thickness-stated", "missing")
    # Only recalled practice for plates of one thickness speaks of this electrode on line pipe.
    assert {f.severity for f in report.findings if f.rule == "published-range"} == {"not checked"}
    assert of(report, "published-range", "outside") == []


def test_aluminium_sheet_with_one_tungsten_for_everything() -> None:
    # Each printed range holds for a thickness or a tungsten that the sheet leaves open.
    (current,) = (
        f for f in of(audit("wps-g"), "published-range", "question") if "300 A" in f.value
    )
    assert "depends on the thickness" in current.what
    assert "thickness 1.6 mm" in current.expected


def test_flux_cored_with_lost_degree_signs() -> None:
    report = audit("wps-k")
    signs = [f for f in of(report, "slips") if "degree sign:" in f.what]
    assert [(f.place, f.value) for f in signs] == [
        ("/interpass_max", "2000C max"),
        ("/preheat_min", "1500C"),
    ]
    # Only k = 0.8 gives the printed 1.4 to 3, 1 to 2.3 and 1 to 2 kJ/mm.
    (follow,) = of(report, "heat-input-corners", "note")
    assert follow.what.rpartition(" corners ")[2] == "with k = 0.8"
    assert len(follow.also_at) == 2


def test_submerged_arc_coupon_gives_a_wider_range() -> None:
    # ASME IX QW-451.1: a 9.53 mm coupon gives 1/16 in (1.5 mm) to 2T; 5 mm is the
    # floor of the next line.
    (thickness,) = of(audit("wps-o"), "record-coverage", "note")
    assert "was the right line of the table used?" in thickness.what
    assert "1.5 to 19.1 mm" in thickness.expected


def test_two_processes_with_their_own_record() -> None:
    report = audit("wps-s")
    covered = [f.what for f in of(report, "record-coverage", "note")]
    # QW-451: 12.7 mm gives 5 to 25.4 mm; deposits of 2.7 and 10 mm give 5.4 and 20 mm.
    assert len(covered) == 3
    assert "5 to 25.4 mm" in covered[0]
    assert of(report, "record-coverage", "not covered") == []


def test_a_cored_form_of_a_solid_wire_is_a_contradiction(tmp_path: Path) -> None:
    text = (SAMPLES / "wps-s.json").read_text(encoding="utf-8")
    path = tmp_path / "s.json"
    path.write_text(text.replace('"filler_class":', '"filler_form": "metal cored", "filler_class":',
                                 1), "utf-8")  # fmt: skip
    assert [f.severity for f in of(audit_file(path), "process-and-filler")] == ["contradiction"]


def test_a_recalled_record_says_so() -> None:
    report = audit("pqr-v")
    (told,) = of(report, "evidence")
    assert told.grade == "memory"
    assert "from memory, not seen in print" in told.what


@pytest.mark.parametrize("name", ["demo-posts", "demo-brackets", "demo-ramp"])
def test_the_invented_procedures_of_the_footbridge_class(name: str) -> None:
    procedure = read_procedure(SAMPLES / f"{name}.json")
    assert "invented" in (SAMPLES / f"{name}.json").read_text(encoding="utf-8").casefold()
    assert not procedure.slips
    report = audit(name)
    # Where nothing printed fits, what is recalled passes nothing and asks.
    assert report.outcome == ("not checked" if name == "demo-posts" else "findings")
    assert not [f for f in report.findings if f.severity in ("contradiction", "outside")]
