"""Practice sheets: each planted mistake is caught by the engine, each clean line passes."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest

from tests.handouts.pages import CLASS_DATE, page_texts, squeezed
from weldref import check
from weldref.calculate.by_name import compute
from weldref.cli import main
from weldref.data.store import Store
from weldref.handouts import make_practice
from weldref.handouts.answers import key_row
from weldref.handouts.arithmetic import QUESTIONS, TOLERANCE
from weldref.handouts.mistakes import FAMILIES, Draw, ticket
from weldref.handouts.practice import LEVELS, draw_sheets
from weldref.handouts.practice_pool import lines
from weldref.handouts.sources import Notes
from weldref.handouts.tickets import Ticket, judge_ticket
from weldref.handouts.words import words

DRAWS = range(5)


def checked(one: Ticket, grade: str = "memory") -> dict[str, str]:
    """The verdict on each reading of a ticket by the public check."""
    result = check(**one.conditions, **one.readings, grade=grade)  # type: ignore[arg-type]
    return {reading.quantity: reading.verdict for reading in result.readings}


@pytest.mark.parametrize("family", [family for family in FAMILIES if family != "depends"])
@pytest.mark.parametrize("number", DRAWS)
def test_a_clean_ticket_passes_on_every_line(store: Store, family: str, number: int) -> None:
    one, findings = ticket(store, Draw(f"clean {family} {number}"), family, planted=False)
    assert findings
    assert {finding.outcome for finding in findings} == {"passes"}
    if one.readings:
        # By rows that were read alone: what a clean line rests on.
        assert set(checked(one, "read").values()) == {"inside"}
    assert not one.mistake


@pytest.mark.parametrize("number", DRAWS)
def test_a_value_above_every_source_is_caught(store: Store, number: int) -> None:
    one, _ = ticket(store, Draw(f"high {number}"), "setting", planted=True)
    result = check(**one.conditions, **one.readings)  # type: ignore[arg-type]
    (high,) = [r for r in result.readings if r.verdict != "inside"]
    assert high.verdict == "high"
    for row in (*high.rows, *(high.from_memory.rows if high.from_memory else ())):
        assert row.verdict == "high"


@pytest.mark.parametrize("number", DRAWS)
def test_a_slip_of_unit_is_caught(store: Store, number: int) -> None:
    one, _ = ticket(store, Draw(f"unit {number}"), "unit", planted=True)
    ((quantity, written),) = one.readings.items()
    assert written.split(" ")[0] == one.meant.split(" ")[0]
    assert written != one.meant
    assert checked(one)[quantity] in ("low", "high")
    assert check(**one.conditions, **{quantity: one.meant}).verdict == "inside"  # type: ignore[arg-type]


@pytest.mark.parametrize("number", DRAWS)
def test_forgotten_preheat_is_caught(store: Store, number: int) -> None:
    one, _ = ticket(store, Draw(f"preheat {number}"), "preheat", planted=True)
    assert checked(one) == {"preheat": "low"}


@pytest.mark.parametrize("number", DRAWS)
def test_a_ticket_without_its_code_depends_on_it(store: Store, number: int) -> None:
    one, _ = ticket(store, Draw(f"depends {number}"), "depends", planted=True)
    assert "code" not in one.conditions
    result = check(**one.conditions, **one.readings)  # type: ignore[arg-type]
    (reading,) = result.readings
    assert reading.verdict == "depends"
    assert reading.ask is not None
    assert reading.ask.condition == "scope"
    # What one code passes, another fails: once it is named, the answer is plain.
    named = {answer.value: answer.verdict for answer in reading.ask.answers}
    assert {"inside", "low"} <= set(named.values())
    for code, word in named.items():
        if code in ("AWS D1.1", "ASME B31.3"):
            assert check(**one.conditions, code=code, **one.readings).verdict == word  # type: ignore[arg-type]


@pytest.mark.parametrize("number", DRAWS)
def test_a_wrong_polarity_is_caught(store: Store, number: int) -> None:
    """By the tables themselves: the class's own entry, or the advice for the metal."""
    one, findings = ticket(store, Draw(f"polarity {number}"), "polarity", planted=True)
    given = one.conditions["polarity"]
    (wrong,) = [f for f in findings if f.outcome == "fails"]
    assert wrong.subject == "polarity"
    if one.conditions["process"] == "SMAW":
        rows = store.rows(
            "SELECT current FROM smaw_classes WHERE classification = $e AND how_read = 'read'",
            {"e": one.conditions["electrode"]},
        )
        assert rows
        assert all(given not in row["current"] for row in rows)
    else:
        rows = store.rows(
            "SELECT advice FROM polarity WHERE process = $p AND current_type = $c "
            "AND status IS NULL AND starts_with(material, $m)",
            {"p": one.conditions["process"], "c": given, "m": one.conditions["material"]},
        )
        assert {row["advice"] for row in rows} & {"not recommended", "not suitable"}


@pytest.mark.parametrize("number", DRAWS)
def test_a_gas_that_cannot_spray_is_caught(store: Store, number: int) -> None:
    """The tables name 100 % CO2 and 75/25 for other modes only, and print "not true spray"."""
    one, findings = ticket(store, Draw(f"gas {number}"), "gas", planted=True)
    assert one.conditions["transfer_mode"] == "spray"
    printed = {"CO2": "100% CO2", "75 Ar / 25 CO2": "75% Ar + 25% CO2"}[one.conditions["gas"]]
    rows = store.rows(
        "SELECT transfer_mode FROM shielding_gas_selection WHERE shielding_gas = $gas "
        "AND contains(coalesce(transfer_mode, ''), 'spray')",
        {"gas": printed},
    )
    assert rows == []
    assert [f.subject for f in findings if f.outcome == "fails"] == ["gas"]
    assert all(s.how_read != "memory" for f in findings for s in f.statements)


@pytest.mark.parametrize("number", DRAWS)
@pytest.mark.parametrize("planted", [True, False])
def test_heat_input_follows_or_does_not(store: Store, number: int, planted: bool) -> None:
    one, _ = ticket(store, Draw(f"heat {number}"), "heat", planted=planted)
    answer = compute(
        "heat-input",
        {
            "voltage": one.readings["voltage"],
            "current": one.readings["current"],
            "travel_speed": one.shown["travel_speed"],
            "process": one.conditions["process"],
        },
    )
    computed = float(answer.shown[1].removesuffix(" kJ/in"))
    assert one.recorded_heat is not None
    assert (abs(one.recorded_heat / computed - 1) > 0.05) == planted
    assert set(checked(one).values()) == {"inside"}


def test_direct_current_alone_says_no_polarity(store: Store) -> None:
    """AC 43.13-1B prints "DC" for carbon steel: that is no word for electrode positive."""
    wrong = Ticket("polarity", {"process": "GTAW", "material": "carbon steel", "polarity": "DCEP"})
    (finding,) = judge_ticket(store, wrong)
    assert finding.outcome == "open"


@pytest.mark.parametrize("name", list(QUESTIONS))
def test_answers_are_those_of_compute(store: Store, name: str) -> None:
    for number in DRAWS:
        question = QUESTIONS[name](store, Draw(f"{name} {number}"))
        v = question.values
        typed = {
            "heat": lambda v: {"voltage": f"{v['volts']} V", "current": f"{v['amps']} A",
                               "travel_speed": f"{v['travel']} in/min", "process": v["process"]},
            "wire": lambda v: {"length": f"{v['inches']} in", "time": f"{v['seconds']} s"},
            "throat": lambda v: {"leg": f"{v['leg']} in"},
            "start": lambda v: {"window_low": f"{v['low']} A", "window_high": f"{v['high']} A"},
            "carbon": lambda v: {n: f"{v[n]} %" for n in
                                 ("carbon", "manganese", "chromium", "nickel")},
            "labor": lambda v: {"arc_time": f"{v['minutes']} min",
                                "operating_factor": f"{v['percent']} %"},
        }[name](v)  # fmt: skip
        answer = compute(question.formula_name, typed)
        texts = [text for text in answer.shown if text.endswith(f" {question.unit}")]
        (value,) = [float(text.split(" ")[0]) for text in texts]
        assert abs(float(question.answer) / value - 1) < TOLERANCE / 100


def test_no_line_binds_under_a_code_or_another_special_condition(store: Store) -> None:
    special = ("scope", "other_condition", "technique", '"pass"', "environment", "joint_detail")
    places = {
        (row["source_id"], row["locator"], row["quantity"], row["min"], row["max"])
        for row in store.rows(
            f"SELECT * FROM windows WHERE {' AND '.join(f'{name} IS NULL' for name in special)}"  # noqa: S608
        )
    }
    for line in lines(store):
        for one in line.ranges:
            assert (one.source_id, one.locator, one.quantity, one.low, one.high) in places


def test_the_key_asks_the_question(store: Store) -> None:
    """A verdict that depends stands with its question and the word for each answer."""
    one, findings = ticket(store, Draw("depends 1"), "depends", planted=True)
    english = words("en")
    row = key_row(store, 1, one, findings, english, Notes(store, english))
    assert row[2] == "Depends: no code named"
    assert "depends: which code? AWS D1.1: " in row[3]
    assert "ASME B31.3: low" in row[3]
    spanish = words("es")
    row = key_row(store, 1, one, findings, spanish, Notes(store, spanish))
    assert "depende: ¿qué código? AWS D1.1: " in row[3]


def test_lines_are_read_and_give_verdicts(store: Store) -> None:
    found = lines(store)
    assert len(found) > 40
    assert {dict(line.conditions)["process"] for line in found} >= {"SMAW", "GMAW", "GTAW", "OFC"}


def test_a_seed_gives_the_same_sheets_and_each_is_different(store: Store) -> None:
    first = draw_sheets(store, 7, 8, "first-week")
    again = draw_sheets(store, 7, 3, "first-week")
    other = draw_sheets(store, 8, 1, "first-week")
    assert first[:3] == again
    asked = {str([(t.conditions, t.readings) for t, _ in s.tickets]) for s in (*first, *other)}
    assert len(asked) == 9


@pytest.mark.parametrize("level", list(LEVELS))
def test_key_and_sheets_belong_together(store: Store, tmp_path: Path, level: str) -> None:
    sheet_file, key_file = make_practice(
        tmp_path / "p.pdf", seed=5, sheets=2, level=level, date=CLASS_DATE
    )
    assert key_file.name == "p.key.pdf"
    sheet = " ".join(page_texts(sheet_file.read_bytes()))
    key = " ".join(page_texts(key_file.read_bytes()))
    assert "invented for practice: do not weld or cut by it" in sheet
    for word in ("Wrong:", "inside. Printed", "Depends:"):
        assert word not in sheet
    drawn = draw_sheets(store, 5, 2, level)
    assert key.count("Wrong: ") == sum(
        bool(one.mistake) and one.family != "depends" for s in drawn for one, _ in s.tickets
    )
    for one_sheet in drawn:
        for one, findings in one_sheet.tickets:
            for value in one.readings.values():
                assert squeezed(value.split(" ")[0]) in squeezed(sheet)
            for finding in findings:
                assert squeezed(finding.word) in squeezed(key)
        for question in one_sheet.questions:
            assert f"{question.answer} {question.unit}" in key


def test_key_names_the_source_row(tmp_path: Path) -> None:
    _, key = make_practice(tmp_path / "p.csv", seed=5, sheets=3, level="bench")
    rows = list(csv.DictReader(io.StringIO(key.read_text(encoding="utf-8-sig"))))
    assert len(rows) == 3 * 9
    for row in rows:
        assert re.search(r"\[\d+\]", row["reasoning"]), row
        assert row["sources"].startswith("["), row


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--level", "expert"], "--level"),
        (["--sheets", "0"], "--sheets"),
        (["--sheets", "61"], "--sheets"),
        (["--sheets", "many"], "--sheets"),
        (["--seed", "x"], "--seed"),
        (["--language", "fr"], "--language"),
        (["--key", "/none/key.pdf"], "--key"),
    ],
)
def test_bad_input_is_one_sentence(
    arguments: list[str], word: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["practice", *arguments, "-o", str(tmp_path / "p.pdf")]) == 2
    err = capsys.readouterr().err
    assert err.startswith("weldref: ")
    assert err.count("\n") == 1
    assert word in err
    assert list(tmp_path.iterdir()) == []


def test_the_key_needs_a_file_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    same = str(tmp_path / "p.pdf")
    assert main(["practice", "-o", same, "--key", same]) == 2
    assert "--key" in capsys.readouterr().err


def test_command_prints_what_it_wrote(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "friday.html"
    assert main(["practice", "--level", "first-week", "--seed", "2", "-o", str(target)]) == 0
    assert capsys.readouterr().out.split() == [str(target), str(tmp_path / "friday.key.html")]
    assert "invented for practice" in target.read_text(encoding="utf-8")
