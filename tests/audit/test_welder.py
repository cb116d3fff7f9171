"""Does a welder's certificate cover a procedure? Against the tables of ISO 9606 as printed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.audit.constructed.bases import Plain, a_copy, read
from weldref.audit.covering import Line
from weldref.audit.procedure_audit import audit_procedure
from weldref.audit.welder import standard_of
from weldref.cli import main
from weldref.procedures.model import Procedure, Text


def certificate(base: str = "gmaw-iso-spray", coupon: str = "12 mm", **changed: Any) -> Plain:
    made = a_copy(base) | {
        "kind": "welder certificate", "number": "C-1", "coupon_thickness": [coupon],
        "standards": ["ISO 9606-1:2012"], "processes": ["135"],
    }  # fmt: skip
    made.pop("thickness")
    made["passes"] = []
    return made | changed


def lines(wps: Plain, made: Plain) -> dict[str, Line]:
    report = audit_procedure(read(wps), welders=[read(made)])
    return {line.variable: line for line in report.matrix}


@pytest.mark.parametrize(
    ("tested", "claimed", "state"),
    [
        # ISO 9606-1:2012, 5.8 Table 9, butt welds.
        ("PC", "PA", "covered"),
        ("PC", "PE", "not covered"),
        ("PF", "PA", "covered"),
        ("PG", "PF", "not covered"),
        ("H-L045", "PF", "covered"),
        ("H-L045", "PG", "not covered"),
        ("3G", "1G", "covered"),
    ],
)
def test_positions(tested: str, claimed: str, state: str) -> None:
    wps = a_copy("gmaw-iso-spray") | {"positions": [claimed]}
    wps["passes"][0].pop("position")
    found = lines(wps, certificate(positions=[tested]))
    assert found["position, butt"].state == state


@pytest.mark.parametrize(
    ("coupon", "claim", "state"),
    [
        # 5.7 Table 6: s under 3 mm: s to 3 mm or 2 s; from 3 to under 12: 3 mm to 2 s; over.
        ("8 mm", "3 to 16 mm", "covered"),
        ("8 mm", "3 to 17 mm", "not covered"),
        ("8 mm", "2 to 10 mm", "not covered"),
        ("12 mm", "3 to 60 mm", "covered"),
        ("2 mm", "2 to 4 mm", "covered"),
        ("2 mm", "2 to 5 mm", "not covered"),
    ],
)
def test_thickness_of_a_butt_weld(coupon: str, claim: str, state: str) -> None:
    wps = a_copy("gmaw-iso-spray") | {"thickness": [claim]}
    assert lines(wps, certificate(coupon=coupon))["deposited thickness s, butt"].state == state


@pytest.mark.parametrize(
    ("tested", "claimed", "state"),
    [
        # 5.2: 135 covers 138, 136 is another; 141 covers 142, not the reverse.
        ("135", "135", "covered"), ("135", "138", "covered"), ("135", "136", "not covered"),
        ("141", "142", "covered"), ("142", "141", "not covered"), ("111", "135", "not covered"),
    ],
)  # fmt: skip
def test_processes(tested: str, claimed: str, state: str) -> None:
    wps = a_copy("gmaw-iso-spray") | {"processes": [claimed], "passes": []}
    assert lines(wps, certificate(processes=[tested]))["process"].state == state


def test_a_butt_test_covers_no_fillet_and_a_fillet_test_no_butt() -> None:
    fillet, butt = a_copy("smaw-iso-fillet"), a_copy("gmaw-iso-spray")
    on_butt = certificate("smaw-iso-fillet", processes=["111"], joint=butt["joint"])
    assert lines(fillet, on_butt)["type of weld"].state == "not covered"
    assert lines(fillet, on_butt)["position, butt"].state == "does not apply"
    on_fillet = certificate(joint=fillet["joint"])
    assert lines(butt, on_fillet)["type of weld"].state == "not covered"


def test_groups_of_filler_metal_and_coverings() -> None:
    # 5.5.2 Table 3: FM1 covers FM1 and FM2, FM5 only FM5; 5.6 Table 4: B covers A and R, not C.
    stainless = a_copy("smaw-iso-fillet")
    stainless["fillers"][0]["classification"] = "E308L-16"
    stainless["passes"][0]["filler_class"] = "E308L-16"
    made = certificate("smaw-iso-fillet", processes=["111"])
    assert lines(stainless, made)["filler material group"].state == "not covered"
    assert lines(a_copy("smaw-iso-fillet"), made)["filler material group"].state == "covered"
    for name, state in (("E6013", "covered"), ("E7018", "covered"), ("E6010", "not covered")):
        wps = a_copy("smaw-iso-fillet")
        wps["fillers"][0]["classification"] = wps["passes"][0]["filler_class"] = name
        assert lines(wps, made)["covering, process 111"].state == state


def test_aluminium_by_its_own_standard() -> None:
    # ISO 9606-2:2004, 5.5.2 Table 2: 22 covers 21 and 22, 23 needs its own.
    made = certificate("gmaw-iso-aluminium", coupon="8 mm", standards=["ISO 9606-2"],
                       processes=["131"])  # fmt: skip
    found = lines(a_copy("gmaw-iso-aluminium"), made)
    assert found["material group"].state == "covered"
    assert found["material thickness, butt"].state == "covered"
    of_23 = a_copy("gtaw-iso-aluminium")
    assert lines(of_23, made)["material group"].state == "not covered"
    assert standard_of(Procedure(standards=(Text("ISO 14732:2025"),)), Procedure()) == "ISO 14732"


def test_nothing_of_the_standard_is_left_out() -> None:
    from weldref.data.store import open_store

    for standard in ("ISO 9606-1", "ISO 9606-2", "ISO 14732"):
        rows = open_store().rows(
            "SELECT DISTINCT variable FROM welder_qualification WHERE standard = $s",
            {"s": standard},
        )
        found = lines(a_copy("gmaw-iso-spray"), certificate(standards=[standard]))
        assert {row["variable"] for row in rows} == set(found)
        assert all(line.why for line in found.values()
                   if line.state not in ("covered", "not covered"))  # fmt: skip


def test_findings_and_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wps, paper = tmp_path / "wps.json", tmp_path / "welder.json"
    wps.write_text(json.dumps(a_copy("gmaw-iso-spray") | {"positions": ["PE"]}))
    paper.write_text(json.dumps(certificate(positions=["PC"])))
    assert main(["audit", str(wps), "--welder", str(paper), "-o", str(tmp_path / "d.html")]) == 1
    page = (tmp_path / "d.html").read_text("utf-8")
    assert "what the certificate C-1 covers" in page
    assert "have the welder tested for it" in page
    report = audit_procedure(read(json.loads(wps.read_text())), welders=[read(certificate())])
    assert [f.severity for f in report.findings
            if f.rule == "welder-coverage" and ": process 135" in f.what] == ["note"]  # fmt: skip
    capsys.readouterr()
