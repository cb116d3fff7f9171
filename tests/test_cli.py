"""The command line: exit codes, one JSON object, one sentence for bad input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import read_csv, write_csv
from weldref.cli import main
from weldref.commands.parser import build_parser, names_of

NAMES = names_of("conditions") + [name for name in names_of("readings") if name != "set"]
OPTIONS = [f"--{name.replace('_', '-')}" for name in NAMES]
E7018 = ["check", "--process", "SMAW", "--electrode", "E7018", "--diameter", "1/8"]


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        ([*E7018, "--current", "130"], 0),
        ([*E7018, "--current", "250"], 1),
        ([*E7018, "--current", "60"], 1),
        ([*E7018, "--current", "soup"], 2),
        ([*E7018, "--current", "130", "--voltage", "24"], 3),
        (["check", "--process", "EGW", "--current", "300"], 3),
        (["check", "--process", "wizardry", "--current", "300"], 2),
        (["check", "--process", "SMAW"], 2),
        (["check", "--nonsense"], 2),
        (["check", "--process", "GMAW", "--thickness", "-1/4", "--current", "80"], 2),
        (["check", "--process", "", "--current", "130"], 2),
        (["bench", "--process", "SMAW", "--material", " "], 2),
        ([*E7018, "--electrode", "E6010", "--current", "130"], 2),
        (["handout", "--process", "SMAW", "--material", "", "-o", "sheet.pdf"], 2),
        (["pocket", "--process", "SMAW", "--gas", "", "-o", "page.html"], 2),
        ([], 2),
        (["window", "--process", "SMAW", "--quantity", "current"], 0),
        (["window", "--process", "EGW", "--quantity", "current"], 3),
        (["source", "machinerys-handbook-31"], 0),
        (["source", "no-such-book"], 2),
        (["tables"], 0),
        (["tables", "--coverage"], 0),
        (["query", "SELECT 1 AS one"], 0),
        (["query", "DROP TABLE windows"], 2),
        (["validate"], 0),
        (["validate", "/no/such/folder"], 2),
    ],
)
def test_exit_codes(arguments: list[str], code: int, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == code
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    if code == 2:
        assert err.startswith("weldref: ")
        assert err.count("\n") == 1


def test_inside_shows_source_place_and_grade(capsys: pytest.CaptureFixture[str]) -> None:
    main([*E7018, "--current", "130"])
    out = capsys.readouterr().out
    assert "current 130 A: INSIDE (grade: read)" in out
    assert "110 to 160 A" in out
    assert "machinerys-handbook-31, p. 1594 Table 14" in out
    assert "is not safe, qualified or sound" in out
    assert "\x1b" not in out


def test_high_says_by_how_much(capsys: pytest.CaptureFixture[str]) -> None:
    main([*E7018, "--current", "250"])
    assert "current 250 A: HIGH by 90 A" in capsys.readouterr().out


def test_no_rows_says_what_is_published_nearby(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["check", "--process", "SMAW", "--electrode", "E7018", "--diameter", "1/16"]
    assert main([*arguments, "--current", "60"]) == 3
    out = capsys.readouterr().out
    assert "NO PUBLISHED RANGE" in out
    assert "nearby:" in out


def test_text_fits_80_columns(capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (
        [*E7018, "--current", "130"],
        ["window", "--process", "GTAW", "--material", "aluminium"],
        ["source", "aws-d1-1-2015"],
        ["tables"],
        ["tables", "--coverage"],
    ):
        main(arguments)
        for line in capsys.readouterr().out.splitlines():
            assert len(line) <= 80 or "http" in line, line


def test_json_is_one_object_with_the_promised_keys(capsys: pytest.CaptureFixture[str]) -> None:
    main([*E7018, "--current", "130", "--json"])
    answer = json.loads(capsys.readouterr().out)
    assert answer["verdict"] == "inside"
    assert {"readings", "assumptions", "cautions", "dataset"} <= set(answer)
    assert {"version", "digest"} <= set(answer["dataset"])
    (reading,) = answer["readings"]
    assert {"quantity", "value", "unit", "verdict", "by", "grade", "rows"} <= set(reading)
    (row,) = reading["rows"]
    assert {"source_id", "locator", "how_read", "min", "max", "typical", "unit"} <= set(row)
    assert (row["min"], row["max"], row["unit"]) == (110.0, 160.0, "A")


def test_bare_numbers_follow_units_and_are_echoed(capsys: pytest.CaptureFixture[str]) -> None:
    cutting = ["check", "--process", "OFC", "--thickness", "13 mm", "--travel-speed", "360"]
    main([*cutting, "--units", "metric", "--json"])
    metric = json.loads(capsys.readouterr().out)["readings"][0]
    main([*cutting, "--json"])
    us = json.loads(capsys.readouterr().out)["readings"][0]
    assert (metric["value"], metric["unit"]) == (360.0, "mm/min")
    assert (us["value"], us["unit"]) == (360.0, "in/min")


def test_any_other_quantity_can_be_set(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["check", "--process", "SMAW", "--material", "A36", "--joint", "TC-U4a"]
    main([*arguments, "--set", "root opening=1/4", "--json"])
    assert json.loads(capsys.readouterr().out)["readings"][0]["quantity"] == "root_opening"
    assert main([*arguments, "--set", "nonsense"]) == 2


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["--current", "300", "--set", "amps=130"], "current: given twice (current, amps)"),
        (["--current", "300", "--set", "current=130"], "current: given twice"),
        (["--current", "300", "--current", "130"], "current: given twice"),
        (
            ["--wire-feed-speed", "300", "--set", "wire-feed-speed=30"],
            "wire feed speed: given twice (wire_feed_speed, wire-feed-speed)",
        ),
    ],
)
def test_a_value_given_twice_is_refused(
    given: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*E7018, *given]) == 2
    assert capsys.readouterr().err == f"weldref: {said}; give it once\n"


def test_validate_lists_every_problem_and_exits_2(
    tables_copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = read_csv(tables_copy / "windows/saw.csv")
    rows[0]["unit"] = rows[1]["unit"] = "furlong"
    write_csv(tables_copy / "windows/saw.csv", rows)
    assert main(["validate", str(tables_copy)]) == 2
    out, err = capsys.readouterr()
    assert "windows/saw.csv:2: unit: 'furlong' is not accepted" in out
    assert "windows/saw.csv:3: unit: 'furlong' is not accepted" in out
    assert err == "weldref: 2 problems found\n"


def test_no_control_character_reaches_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--process", "\x1b[31mred", "--current", "1"]) == 2
    assert "\x1b" not in capsys.readouterr().err


def test_every_option_has_help() -> None:
    parser = build_parser()
    commands = parser._subparsers._group_actions[0].choices  # type: ignore[union-attr, index]
    assert set(commands) >= {"window", "check", "source", "validate", "query", "dashboard"}
    for option in OPTIONS:
        assert option in commands["check"].format_help()  # type: ignore[index]


@given(
    st.lists(
        st.tuples(
            st.sampled_from(OPTIONS),
            st.text(max_size=20).filter(lambda text: not text.startswith("-")),
        ),
        max_size=4,
    )
)
def test_any_values_give_an_answer_or_a_sentence(pairs: list[tuple[str, str]]) -> None:
    import contextlib
    import io

    arguments = ["check", *[part for pair in pairs for part in pair]]
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(arguments)
    assert code in (0, 1, 2, 3)
    if code == 2:
        assert err.getvalue().startswith("weldref: ")
        assert err.getvalue().count("\n") == 1
