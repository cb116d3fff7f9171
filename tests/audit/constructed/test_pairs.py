"""Is a gap between procedure and test record found, and nothing refused that is covered?"""

from __future__ import annotations

import pytest

from tests.audit.asked import audit_by
from tests.audit.constructed.bases import a_copy, read
from tests.audit.constructed.pairs import Pair, covered, gaps, record_of
from weldref.audit.case import Case
from weldref.audit.covering import STATES, Line
from weldref.audit.matrix import matrix
from weldref.audit.procedure_audit import Report
from weldref.data.store import open_store

GAPS, COVERED = list(gaps()), list(covered())
covered_by = audit_by("record-coverage")


def audited(pair: Pair) -> Report:
    return covered_by(read(pair.procedure), record=read(pair.record), code=pair.code)


def refused(report: Report) -> list[Line]:
    return [line for line in report.matrix if line.state == "not covered"]


@pytest.mark.parametrize("pair", GAPS, ids=lambda pair: pair.name)
def test_a_gap_in_one_variable_is_found_and_no_other(pair: Pair) -> None:
    report = audited(pair)
    assert {line.variable for line in refused(report)} == {pair.gap}
    assert any(f.severity == "not covered" for f in report.findings)


@pytest.mark.parametrize("pair", COVERED, ids=lambda pair: pair.name)
def test_nothing_is_refused_that_is_covered(pair: Pair) -> None:
    report = audited(pair)
    assert not refused(report)
    assert any(line.state == "covered" for line in report.matrix)


def test_there_are_enough_pairs() -> None:
    assert len(GAPS) >= 30
    assert len(COVERED) >= 15


@pytest.mark.parametrize(
    ("base", "code", "coupon", "low", "high"),
    [
        # The edges of the tables, in inches and as the metric column prints them.
        ("smaw-asme-root", "ASME IX", "1/16 in", "1/16", "1/8 in"),
        ("smaw-asme-root", "ASME IX", "3/8 in", "1/16", "3/4 in"),
        ("smaw-asme-root", "ASME IX", "0.376 in", "3/16", "3/4 in"),
        ("smaw-asme-root", "ASME IX", "3/4 in", "3/16", "1.5 in"),
        ("smaw-asme-root", "ASME IX", "1.5 in", "3/16", "8 in"),
        ("smaw-asme-root", "ASME IX", "1.5 mm", "1.5", "3 mm"),
        ("smaw-asme-root", "ASME IX", "10 mm", "1.5", "20 mm"),
        ("smaw-asme-root", "ASME IX", "10.5 mm", "5", "21 mm"),
        ("smaw-asme-root", "ASME IX", "19 mm", "5", "38 mm"),
        ("smaw-asme-root", "ASME IX", "38 mm", "5", "200 mm"),
        ("smaw-d11-groove", "AWS D1.1", "1/8 in", "1/8", "1/4 in"),
        ("smaw-d11-groove", "AWS D1.1", "3/8 in", "1/8", "3/4 in"),
        ("smaw-d11-groove", "AWS D1.1", "0.99 in", "1/8", "1.98 in"),
        ("smaw-d11-groove", "AWS D1.1", "3 mm", "3", "6 mm"),
        ("smaw-d11-groove", "AWS D1.1", "10 mm", "3", "20 mm"),
        ("smaw-d11-groove", "AWS D1.1", "24 mm", "3", "48 mm"),
        ("gmaw-iso-spray", "ISO 15614-1", "3 mm", "1.5", "6 mm"),
        ("gmaw-iso-spray", "ISO 15614-1", "3.1 mm", "3", "6.2 mm"),
        ("gmaw-iso-spray", "ISO 15614-1", "12 mm", "3", "24 mm"),
        ("gmaw-iso-spray", "ISO 15614-1", "12.5 mm", "6.25", "25 mm"),
        ("gmaw-iso-spray", "ISO 15614-1", "40 mm", "20", "80 mm"),
        ("gmaw-iso-spray", "ISO 15614-1", "100 mm", "50", "200 mm"),
        ("gmaw-iso-spray", "ISO 15614-1", "110 mm", "50", "220 mm"),
        ("gmaw-iso-aluminium", "ISO 15614-2", "3 mm", "1.5", "6 mm"),
        ("gmaw-iso-aluminium", "ISO 15614-2", "10 mm", "3", "20 mm"),
        ("gmaw-iso-aluminium", "ISO 15614-2", "12 mm", "5", "24 mm"),
        ("gmaw-iso-aluminium", "ISO 15614-2", "160 mm", "5", "240 mm"),
    ],
)
def test_every_edge_of_the_tables(base: str, code: str, coupon: str, low: str, high: str) -> None:
    end, unit = high.rsplit(" ", 1)
    record = read(record_of(a_copy(base), coupon))

    def state(claim: str) -> set[str]:
        procedure = read(a_copy(base) | {"thickness": [claim]})
        lines = matrix(Case(open_store(), procedure, (record,), code))
        return {one.state for one in lines if "thickness" in one.variable and one.says}

    assert state(f"{low} to {high}") == {"covered"}
    assert state(f"{low} to {float(eval(end)) * 1.06:.5g} {unit}") == {"not covered"}  # noqa: S307  a number of our own
    less = float(eval(low)) * 0.9  # noqa: S307  a number of our own
    assert state(f"{less:.5g} to {high}") == {"not covered"}


def test_every_line_says_what_it_is() -> None:
    """Nothing of a code's list is left out, and what is not compared says why."""
    for code, base in (
        ("AWS D1.1", "smaw-d11-groove"), ("ASME IX", "smaw-asme-root"),
        ("ISO 15614-1", "gmaw-iso-spray"), ("ISO 15614-2", "gmaw-iso-aluminium"),
    ):  # fmt: skip
        procedure = read(a_copy(base))
        for record in (None, read(record_of(a_copy(base), "12 mm"))):
            lines = matrix(Case(open_store(), procedure, (record,) if record else (), code))
            rows = {
                (row["variable"])
                for row in _rows(code)
                if procedure.processes[0].text in str(row["process"] or "all").replace("all",
                    procedure.processes[0].text)
            }  # fmt: skip
            assert rows == {line.variable for line in lines}
            assert all(line.state in STATES for line in lines)
            assert all(line.why for line in lines if line.state not in ("covered", "not covered"))
            assert all(line.source_id and line.grade for line in lines)


def _rows(code: str) -> list[dict[str, object]]:
    return open_store().rows(
        "SELECT * FROM qualification_rules WHERE standard = $code", {"code": code}
    )


def test_without_a_record_the_matrix_shows_what_has_to_be_stated() -> None:
    plain = a_copy("smaw-asme-root")
    plain.pop("preheat_min")
    report = covered_by(read(plain), code="ASME IX")
    states = {line.variable: line.state for line in report.matrix}
    assert states["preheat"] == "not stated"
    assert states["base metal thickness"] == "you must check"
    assert "not covered" not in states.values()


def test_two_records_are_joined_only_where_the_code_lets_them() -> None:
    base = "smaw-asme-root"
    thin, thick = (record_of(a_copy(base), coupon) for coupon in ("3/8 in", "1 1/2 in"))
    thick["number"] = "R-2"
    wide = read(a_copy(base) | {"thickness": ["1/16 to 3 in"]})
    (line,) = [
        one
        for one in covered_by(wide, record=[read(thin), read(thick)], code="ASME IX").matrix
        if one.variable == "base metal thickness"
    ]
    assert (line.state, "whether the code lets them" in line.why) == ("you must check", True)
    one_alone = read(a_copy(base) | {"thickness": ["3/16 to 3 in"]})
    (line,) = [
        one
        for one in covered_by(one_alone, record=[read(thin), read(thick)], code="ASME IX").matrix
        if one.variable == "base metal thickness"
    ]
    assert (line.state, line.record) == ("covered", "R-2")


def test_a_prequalified_procedure_is_held_against_what_the_code_wants() -> None:
    plain = a_copy("gmaw-d11-groove") | {"prequalified": "prequalified", "thickness": ["1 to 3 in"]}
    lines = {line.variable: line for line in covered_by(read(plain), code="D1.1").matrix}
    assert lines["process"].state == "covered"
    # 50 F on plate over 2 1/2 in: AWS D1.1 Table 3.3 asks for more.
    assert lines["preheat"].state == "not covered"
    assert lines["joint detail"].state == "you must check"
    assert all(line.why for line in lines.values())
    plain["transfer_modes"] = ["short-circuiting"]
    plain["passes"][0]["transfer_mode"] = "short-circuiting"
    lines = {line.variable: line for line in covered_by(read(plain), code="D1.1").matrix}
    assert lines["process"].state == "not covered"
