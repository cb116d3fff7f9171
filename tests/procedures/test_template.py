"""The form: every heading is understood, a filled form reads back, and nothing in it runs."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest

from tests.procedures.conftest import SAMPLES, said
from weldref.cli import main
from weldref.core.units import UnitSystem
from weldref.errors import InputError
from weldref.procedures.form import form_of, procedure_from
from weldref.procedures.keys import resolve
from weldref.procedures.model import Entry, Pass, PreheatStep, Procedure, Range, Text, values
from weldref.procedures.read import read_procedure
from weldref.procedures.template import HELP_SHEET, write_template

DEMOS = ("demo-posts", "demo-brackets", "demo-ramp")


@pytest.mark.parametrize("units", get_args(UnitSystem))
@pytest.mark.parametrize("ending", ["xlsx", "csv"])
@pytest.mark.parametrize("name", DEMOS)
def test_a_filled_form_reads_back(
    name: str, ending: str, units: UnitSystem, tmp_path: Path
) -> None:
    procedure = read_procedure(SAMPLES / f"{name}.json")
    path = write_template(tmp_path / f"form.{ending}", units=units, procedure=procedure)
    assert read_procedure(path) == procedure


@pytest.mark.parametrize("ending", ["xlsx", "csv"])
def test_a_character_that_no_form_may_hold_is_replaced(ending: str, tmp_path: Path) -> None:
    procedure = Procedure(number=Text("7\0"), passes=(Pass(label=Text("root\0")),))
    path = write_template(tmp_path / f"form.{ending}", procedure=procedure)
    assert str(read_procedure(path).number) == "7\N{REPLACEMENT CHARACTER}"


def _told(procedure: Procedure) -> Counter[str]:
    """What a procedure says, wherever on the form it is."""
    return Counter(
        value.text if isinstance(value, Entry) else str(value) for _, value in values(procedure)
    )


@pytest.mark.parametrize("ending", ["xlsx", "csv", "json", "yaml"])
@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.json")), ids=lambda path: path.stem)
def test_a_form_loses_nothing(path: Path, ending: str, tmp_path: Path) -> None:
    procedure = read_procedure(path)
    again = read_procedure(write_template(tmp_path / f"a.{ending}", procedure=procedure))
    lost = _told(procedure) - _told(again)
    besides = " | ".join(entry.text for entry in again.other)
    assert all(text in besides for text in lost), lost
    assert [one.current for one in again.passes] == [one.current for one in procedure.passes]
    twice = read_procedure(write_template(tmp_path / f"b.{ending}", procedure=again))
    assert said(replace(twice, other=())) == said(replace(again, other=()))
    assert [entry.text for entry in twice.other] == [entry.text for entry in again.other]


@pytest.mark.parametrize("ending", ["xlsx", "csv", "json", "yaml"])
def test_positions_preheat_table_and_tests_are_on_the_form(ending: str, tmp_path: Path) -> None:
    made = Procedure(
        number=Text("7"),
        kind=Text("PQR"),
        positions=(Text("1G"), Text("2G"), Text("3G")),
        preheat_by_thickness=(
            PreheatStep(thickness=Range(None, 0.75, "in"), minimum=Range(50, None, "F")),
            PreheatStep(thickness=Range(0.75, 1.5, "in"), minimum=Range(150, None, "F")),
        ),
        tests=(Entry("Bend tests / face", "no open defects: accepted"), Entry("Tension", "70 ksi")),
    )
    path = write_template(tmp_path / f"form.{ending}", procedure=made, units="metric")
    found = read_procedure(path)
    assert found.positions == made.positions
    assert [str(step.thickness) for step in found.preheat_by_thickness] == [
        "at most 0.75 in", "0.75 to 1.5 in",
    ]  # fmt: skip
    assert [str(step.minimum) for step in found.preheat_by_thickness] == [
        "at least 50 F", "at least 150 F",
    ]  # fmt: skip
    assert [(test.name, test.text) for test in found.tests] == [
        (test.name, test.text) for test in made.tests
    ]


@pytest.mark.parametrize("ending", ["json", "yaml"])
def test_an_empty_form_as_text_is_filled_in_by_hand(ending: str, tmp_path: Path) -> None:
    path = write_template(tmp_path / f"form.{ending}")
    text = path.read_text("utf-8")
    mark = '""' if ending == "json" else "''"
    for label, value in (("WPS or PQR number", "7"), ("Current (A)", "90-150")):
        quoted = f'"{label}": {mark}' if ending == "json" else f"{label}: {mark}"
        assert quoted in text
        text = text.replace(quoted, quoted.replace(mark, f'"{value}"'))
    path.write_text(text, "utf-8")
    found = read_procedure(path)
    assert (str(found.number), str(found.passes[0].current)) == ("7", "90 to 150 A")


def test_a_form_typed_in_on_a_page_is_a_procedure() -> None:
    form = form_of(units="metric")
    typed = {"WPS or PQR number": "7", "Welding process(es)": "GMAW; GTAW"}
    lines = [(line.label, typed.get(line.label, line.value)) for line in form.lines]
    row = ["1" if name == "Pass or layer" else "100-140" if name == "Current (A)" else ""
           for name in form.headings]  # fmt: skip
    made = procedure_from(lines, form.headings, [row, [""] * len(row)])
    assert [str(text) for text in made.processes] == ["GMAW", "GTAW"]
    assert [str(one.current) for one in made.passes] == ["100 to 140 A"]


@pytest.mark.parametrize("units", get_args(UnitSystem))
def test_an_empty_form_says_nothing(units: UnitSystem, tmp_path: Path) -> None:
    for ending in ("xlsx", "csv"):
        path = write_template(tmp_path / f"form.{ending}", units=units)
        with pytest.raises(InputError, match="the form is not filled in"):
            read_procedure(path)


def test_units_are_in_the_headings_and_notes_in_the_cells(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    book = load_workbook(write_template(tmp_path / "form.xlsx"))
    assert book.sheetnames == ["Procedure", "Passes", HELP_SHEET]
    headings = [cell.value for cell in book["Passes"][1]]
    assert "Current (A)" in headings
    assert "Travel speed (in/min)" in headings
    for row in book["Procedure"].iter_rows():
        assert row[0].comment is not None
        assert row[1].number_format == "@"  # 3/32 stays 3/32
        assert resolve((str(row[0].value),), "procedure") is not None
    assert book["Passes"]["B2"].number_format == "@"


DANGEROUS = ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", '=HYPERLINK("http://x","y")']


def test_nothing_in_a_written_form_runs(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    procedure = Procedure(
        number=Text(DANGEROUS[0]),
        remarks=tuple(Text(text.strip()) for text in DANGEROUS),
        passes=tuple(Pass(label=Text(text.strip())) for text in DANGEROUS),
    )
    book = load_workbook(write_template(tmp_path / "form.xlsx", procedure=procedure))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value]
    assert all(cell.data_type == "s" for cell in cells)
    assert any(cell.value == "=1+1" and cell.quotePrefix for cell in cells)
    text = write_template(tmp_path / "form.csv", procedure=procedure).read_text("utf-8-sig")
    for row in csv.reader(io.StringIO(text)):
        assert not any(cell.startswith(("=", "+", "-", "@", "\t")) for cell in row), row
    for ending in ("xlsx", "csv"):
        assert read_procedure(tmp_path / f"form.{ending}").number == Text("=1+1")


def test_the_form_from_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "form.xlsx"
    assert main(["procedure-template", "-o", str(path)]) == 0
    assert path.stat().st_size > 5000
    filled = tmp_path / "filled.csv"
    sample = str(SAMPLES / "demo-ramp.json")
    assert main(["procedure-template", "-o", str(filled), "--fill", sample]) == 0
    assert str(read_procedure(filled).number) == "DEMO-RAMP"
    assert main(["procedure-template", "-o", str(tmp_path / "form.doc")]) == 2
    assert "must end in .xlsx, .csv, .json" in capsys.readouterr().err


def test_a_form_never_replaces_what_it_is_filled_from(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "wps.csv"
    path.write_text("WPS No.,7\nProcess,SMAW\nShop rule,no field takes it\n")
    before = path.read_bytes()
    assert main(["procedure-template", "--fill", str(path), "-o", str(path)]) == 2
    said = capsys.readouterr().err
    assert said == f"weldref: template: '{path}' is the file that is read; give another name\n"
    assert path.read_bytes() == before


def test_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_template(tmp_path / "no" / "form.csv")
