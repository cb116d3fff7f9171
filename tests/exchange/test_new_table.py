"""An empty table of one of our kinds: a CSV filled from it is accepted."""

from __future__ import annotations

import csv
from pathlib import Path

import openpyxl
import pytest

from tests.own_workshop import (
    BENCH,
    ROW,
    SOURCE,
)
from weldref.cli import main
from weldref.core.check import check
from weldref.data.folder import datasets_folder
from weldref.data.own import OwnTables
from weldref.data.schemas.declared import declared
from weldref.data.validate import validate
from weldref.exchange.new_table import write_new_table


def test_a_table_filled_from_the_empty_one_is_accepted(tmp_path: Path) -> None:
    folder = tmp_path / "school"
    (folder / "windows").mkdir(parents=True)
    for table, file, row in (
        ("sources", folder / "sources.csv", SOURCE),
        ("windows", folder / "windows/all.csv", ROW | {"window_id": "school-binder:001"}),
    ):
        empty, sheet = write_new_table(table, file)
        with empty.open(newline="", encoding="utf-8") as read:
            (header,) = list(csv.reader(read))
        described = sheet.read_text(encoding="utf-8")
        assert all(f"\n{column}\n    meaning: " in described for column in header)
        with empty.open("a", newline="", encoding="utf-8") as write:
            csv.DictWriter(write, header, restval="").writerow(row)
    assert validate(datasets_folder(), OwnTables(folder)) == []
    assert check(**BENCH, current=130, own=folder).readings[0].from_own is not None


def test_a_csv_that_a_spreadsheet_saved_is_accepted(spoiled: Path) -> None:
    path = spoiled / "windows/smaw.csv"
    text = path.read_text(encoding="utf-8").replace("\n", "\r\n")
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert validate(datasets_folder(), OwnTables(spoiled)) == []


def test_the_workbook_holds_the_same(tmp_path: Path) -> None:
    (path,) = write_new_table("windows", tmp_path / "windows.xlsx")
    book = openpyxl.load_workbook(path)
    header = [cell.value for cell in book["windows"][1]]
    assert header == declared()["windows"].columns
    told = [row[0] for row in book["columns"].iter_rows(values_only=True)]
    assert [name for name in told if name in header] == header


def test_every_table_can_be_begun(tmp_path: Path) -> None:
    for table in declared():
        assert len(write_new_table(table, tmp_path / f"{table}.csv")) == 2


def test_nothing_is_overwritten(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "windows.csv"
    target.write_text("mine")
    assert main(["new-table", "windows", "-o", str(target)]) == 2
    assert "already exists" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["windows.csv"]
    assert main(["new-table", "windoss", "-o", str(tmp_path / "x.csv")]) == 2
    assert main(["new-table", "windows", "-o", str(tmp_path / "x.doc")]) == 2
    assert main(["new-table", "windows", "-o", str(target / "x.csv")]) == 2
    assert "Not a directory" in capsys.readouterr().err
    assert target.read_text() == "mine"
    assert [path.name for path in tmp_path.iterdir()] == ["windows.csv"]


def test_folders_are_made(tmp_path: Path) -> None:
    made = write_new_table("windows", tmp_path / "workshop" / "windows" / "smaw.csv")
    assert {path.parent for path in made} == {tmp_path / "workshop" / "windows"}
