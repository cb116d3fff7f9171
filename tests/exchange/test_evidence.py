"""The list of work, and the way on which a row's grade is raised."""

from __future__ import annotations

import csv
import json
from collections import Counter
from pathlib import Path

import pytest

from tests.conftest import read_csv, write_csv
from weldref.cli import main
from weldref.data.folder import datasets_folder
from weldref.data.store import Store
from weldref.data.validate import validate
from weldref.exchange.diff import diff
from weldref.exchange.evidence import SITUATIONS, Evidence, common_situations, evidence
from weldref.exchange.evidence_text import evidence_text


@pytest.fixture(scope="module")
def found() -> Evidence:
    return evidence()


def weak_rows() -> Counter[str]:
    """Count, from the files alone, the rows of each source that were not read."""
    found: Counter[str] = Counter()
    for path in datasets_folder().rglob("*.csv"):
        for row in read_csv(path):
            if path.name != "sources.csv" and row.get("how_read") in ("memory", "secondary"):
                found[row["source_id"]] += 1
    return found


def test_documents_come_in_the_order_of_the_rows_they_would_lift(found: Evidence) -> None:
    counted = {one.source_id: one.memory + one.secondary for one in found.to_read}
    # A gas or a size may carry a grade without a document.
    assert counted == {source: n for source, n in weak_rows().items() if source}
    assert list(counted.values()) == sorted(counted.values(), reverse=True)
    assert {one.source_id for one in found.to_read if not one.printed} == {
        row["source_id"]
        for row in read_csv(datasets_folder() / "sources.csv")
        if row["issuer"] == "none" and row["source_id"] in counted
    }


def test_every_common_situation_is_asked_and_marked_as_our_choice(found: Evidence) -> None:
    with SITUATIONS.open(newline="", encoding="utf-8") as file:
        asked = list(csv.DictReader(file))
    assert found.situations == sum(len(one[3]) for one in common_situations())
    assert {one["process"] for one in asked} >= {"SMAW", "GMAW", "FCAW", "GTAW", "OFC", "PAC"}
    assert "our choice and not a count of use" in evidence_text(found)


def test_situations_agree_with_a_window(store: Store, found: Evidence) -> None:
    quantities = {row["quantity"] for row in store.rows("SELECT quantity FROM quantities")}
    missing = {
        (one.process, one.material, one.thickness, one.quantity): one.found
        for one in found.unanswered
    }
    for process, material, thickness, asked in common_situations():
        assert set(asked) <= quantities
        for quantity in asked:
            if quantity not in ("current", "gas_flow"):
                continue
            options = ["--process", process, "--material", material, "--thickness", thickness]
            code = main(["window", *options, "--quantity", quantity])
            nothing = missing.get((process, material, thickness, quantity)) == "nothing"
            assert (code == 3) == nothing, (process, material, thickness, quantity)


def test_command_prints_text_and_json(
    found: Evidence, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("weldref.exchange.evidence.evidence", lambda: found)
    assert main(["evidence", "--rows", "2"]) == 0
    said = capsys.readouterr().out
    assert "documents to read" in said
    assert "more (--rows, --json)" in said
    assert main(["evidence", "--json"]) == 0
    said_as_json = json.loads(capsys.readouterr().out)
    assert said_as_json == json.loads(json.dumps(found.as_dict()))
    assert set(said_as_json) == {"graded", "to_read", "situations", "unanswered"}


# The way to raise a grade, as datasets/README.md describes it.


def recalled(tables_copy: Path) -> tuple[Path, list[dict[str, str]], dict[str, str]]:
    path = tables_copy / "reference" / "tungsten_classes.csv"
    rows = read_csv(path)
    return path, rows, next(row for row in rows if row["how_read"] == "memory")


def give_address(tables_copy: Path, source_id: str) -> None:
    path = tables_copy / "sources.csv"
    rows = read_csv(path)
    next(row for row in rows if row["source_id"] == source_id).update(
        address="https://example.org/invented", how_read="read"
    )
    write_csv(path, rows)


def test_a_grade_is_raised_with_an_address_and_a_locator(tables_copy: Path) -> None:
    path, rows, row = recalled(tables_copy)
    row.update(how_read="read", locator="Table 1, invented")
    give_address(tables_copy, row["source_id"])
    write_csv(path, rows)
    assert validate(tables_copy) == []
    found = diff(datasets_folder(), tables_copy)
    table = next(one for one in found.tables if one.table == "tungsten_classes")
    assert [(change.old, change.new) for change in table.turned("raised")] == [("memory", "read")]
    assert found.step == "minor"


def test_a_grade_is_not_raised_without_a_locator(tables_copy: Path) -> None:
    path, rows, row = recalled(tables_copy)
    row.update(how_read="read", locator="")
    give_address(tables_copy, row["source_id"])
    write_csv(path, rows)
    [problem] = validate(tables_copy)
    assert (problem.column, problem.accepted) == ("locator", "a row that was read needs a locator")


def test_a_grade_is_not_raised_without_an_address(tables_copy: Path) -> None:
    path, rows, row = recalled(tables_copy)
    row.update(how_read="read", locator="Table 1, invented")
    write_csv(path, rows)
    [problem] = validate(tables_copy)
    assert problem.column == "how_read"
    assert f"no address where {row['source_id']} was read" in problem.accepted
