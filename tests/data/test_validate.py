"""Each rule of the tables is proved by a planted mistake that it catches."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import read_csv, write_csv
from weldref.data.folder import datasets_folder
from weldref.data.schemas.tables import checked
from weldref.data.validate import validate

Rows = list[dict[str, str]]


def test_shipped_tables_are_sound() -> None:
    assert validate(datasets_folder()) == []


def _set(column: str, value: str, where: Callable[[dict[str, str]], bool] = lambda _: True):
    def change(rows: Rows) -> None:
        row = next(row for row in rows if where(row))
        row[column] = value

    return change


def _ranged(row: dict[str, str]) -> bool:
    return bool(row["min"] and row["max"] and row["quantity"] == "current")


def _duplicate(rows: Rows) -> None:
    rows.append(dict(rows[0]))


def _own_parent(rows: Rows) -> None:
    row = next(row for row in rows if row["term"] == "steel")
    row["parents"] = "carbon steel"


def _moved(by: float) -> Callable[[Rows], None]:
    """Move the lower edge of a band of a code's limits."""

    def change(rows: Rows) -> None:
        row = next(
            r
            for r in rows
            if r["source_id"] == "aws-d1-1-2015"
            and r["thickness_unit"] == "in"
            and float(r["thickness_min"] or 0) > 0.5
            and r["basis"] == "limit"
        )
        row["thickness_min"] = str(float(row["thickness_min"]) + by)

    return change


def _edge_without_owner(rows: Rows) -> None:
    row = next(r for r in rows if r["thickness_max"])
    row["thickness_max_inclusive"] = ""


def _bare(rows: Rows) -> None:
    row = next(r for r in rows if r["topic"] == "preheat method")
    row["material"] = ""


SETUP = "reference/setup_rules.csv"

MISTAKES = {
    "letters for a number": ("windows/smaw.csv", _set("min", "abc", _ranged), "min", "number"),
    "infinity": ("windows/smaw.csv", _set("max", "inf", _ranged), "max", "number"),
    "min above max": ("windows/smaw.csv", _set("min", "900", _ranged), "", "min <= typical <= max"),
    "no value": (
        "windows/smaw.csv",
        lambda rows: [rows[0].update(min="", max="", typical="")],
        "min, max, typical",
        "at least one of",
    ),
    "unit of another dimension": (
        "windows/smaw.csv",
        _set("unit", "V", _ranged),
        "unit",
        "unit of current",
    ),
    "implausible value": ("windows/smaw.csv", _set("max", "90000", _ranged), "max", "plausible"),
    "unknown process": ("windows/smaw.csv", _set("process", "XYZ"), "process", "column term"),
    "unknown material": ("windows/smaw.csv", _set("material", "cheese"), "material", "materials"),
    "unknown quantity": ("windows/smaw.csv", _set("quantity", "x"), "quantity", "quantities"),
    "unknown unit": ("windows/smaw.csv", _set("unit", "amp"), "unit", "column unit"),
    "unknown basis": ("windows/smaw.csv", _set("basis", "hunch"), "basis", "one of limit"),
    "unknown grade": ("windows/smaw.csv", _set("how_read", "seen"), "how_read", "one of read"),
    "missing source": ("windows/smaw.csv", _set("source_id", "x"), "source_id", "sources"),
    "read without a place": (
        "windows/smaw.csv",
        _set("locator", "", lambda row: row["how_read"] == "read"),
        "locator",
        "needs a locator",
    ),
    "empty key": ("windows/smaw.csv", _set("window_id", ""), "window_id", "not be empty"),
    "key twice": ("windows/smaw.csv", _duplicate, "window_id", "already"),
    "edge without an owner": ("windows/preheat.csv", _edge_without_owner, "", "owner"),
    "bands overlap": ("windows/preheat.csv", _moved(-0.05), "thickness_min", "overlaps"),
    "gap between bands": ("windows/preheat.csv", _moved(0.01), "thickness_min", "no band"),
    "source without address": (
        "sources.csv",
        _set("address", "", lambda row: row["how_read"] == "read"),
        "address",
        "needs the address",
    ),
    "terms in a circle": ("vocabulary/materials.csv", _own_parent, "parents", "circle"),
    "unknown broader term": (
        "vocabulary/materials.csv",
        _set("parents", "cheese", lambda row: row["term"] == "304"),
        "parents",
        "term of materials",
    ),
    "one spelling for two terms": (
        "vocabulary/processes.csv",
        _set("spellings", "stick", lambda row: row["term"] == "GMAW"),
        "spellings",
        "means",
    ),
    "gas shares upside down": (
        "vocabulary/gas_components.csv",
        lambda rows: [rows[0].update(min="99", max="1")],
        "",
        "min must not be above max",
    ),
    "share above 100 %": (
        "vocabulary/gas_components.csv",
        _set("max", "120"),
        "max",
        "at most 100",
    ),
    "size in two units": (
        "vocabulary/electrode_sizes.csv",
        _set("mm", "3.2", lambda row: row["size"] == "1/8 in"),
        "",
        "either in inches",
    ),
    "caution for an unknown metal": (
        "cautions.csv",
        _set("materials", "x"),
        "materials",
        "materials",
    ),
    "grade of a membership": (
        "reference/material_groups.csv",
        _set("how_read", "sure"),
        "how_read",
        "one of read",
    ),
    "rule for a class that is none": (
        SETUP,
        _set("filler_class", "low hydrogen stick"),
        "filler_class",
        "give a term of electrode_classes",
    ),
    "rule in volts for a current": (
        SETUP,
        _set("unit", "V", lambda row: row["unit"] == "A"),
        "unit",
        "unit of current",
    ),
    "rule for an unknown gas": (SETUP, _set("gas_components", "xenon"), "gas_components", "column"),
    "rule that compares unlike things": (
        SETUP,
        _set("exceeds", "current", lambda row: row["exceeds"] == "interpass"),
        "exceeds",
        "quantity of temperature",
    ),
    "rule whose edge has no owner": (
        SETUP,
        _set("value_max_inclusive", "", lambda row: bool(row["value_max"])),
        "",
        "an edge needs what it bounds",
    ),
    "rule without a condition": (SETUP, _bare, "", "give a condition"),
    "quantity twice": ("vocabulary/quantities.csv", _duplicate, "quantity", "already"),
    "unit that pint does not know": (
        "vocabulary/units.csv",
        _set("pint_expression", "furlongs per"),
        "pint_expression",
        "that pint reads",
    ),
}
ALONE = ("gap between bands", "quantity twice", "unit that pint does not know")
"""Mistakes that would hide others, or that the rules after them cannot work with."""


APART = 8
"""Each mistake is looked a place for so many rows below the one before in the same file."""


@pytest.mark.parametrize(
    "planted",
    [MISTAKES.keys() - ALONE, *({name} for name in ALONE)],
    ids=["the others", *ALONE],
)
def test_planted_mistakes_are_caught(planted: set[str], tables_copy: Path) -> None:
    """A check of all tables takes seconds, so those that do not meet are planted together."""
    files: dict[str, Rows] = {}
    count: Counter[str] = Counter()
    for name in (name for name in MISTAKES if name in planted):
        file, change, *_ = MISTAKES[name]
        rows = files.setdefault(file, read_csv(tables_copy / file))
        below = rows[APART * count[file] :]
        change(below)
        rows[APART * count[file] :] = below
        count[file] += 1
    for file, rows in files.items():
        write_csv(tables_copy / file, rows)
    problems = validate(tables_copy)
    for name in planted:
        file, _, column, words = MISTAKES[name]
        assert any(
            problem.file == file and column == problem.column and words in problem.accepted
            for problem in problems
        ), (name, [str(problem) for problem in problems])


SAW = "windows/saw.csv"


def told(name: str, file: str, content: bytes) -> list[str]:
    return [str(problem) for problem in checked(name, ((file, content),))[1]]


def test_problem_names_file_line_column_value_and_what_is_accepted(tmp_path: Path) -> None:
    rows = read_csv(datasets_folder() / SAW)
    rows[3]["how_read"] = "seen"
    write_csv(tmp_path / "saw.csv", rows)
    assert told("windows", SAW, (tmp_path / "saw.csv").read_bytes()) == [
        "windows/saw.csv:5: how_read: 'seen' is not accepted; give one of read, secondary, memory"
    ]


def test_reordered_columns_are_refused() -> None:
    content = (datasets_folder() / "sources.csv").read_bytes()
    content = content.replace(b"source_id,title", b"title,source_id", 1)
    (one,) = told("sources", "sources.csv", content)
    assert "in this order" in one


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"\xff\xfe\x00", "cannot be read"),
        (b"a,b\n1,2\n", "give these columns"),
        (b"", "give these columns"),
    ],
)
def test_spoilt_file_gives_a_sentence(content: bytes, words: str) -> None:
    (one,) = told("windows", SAW, content)
    assert words in one


def test_short_row_missing_file_and_stray_file(tables_copy: Path) -> None:
    with (tables_copy / "windows/saw.csv").open("a") as file:
        file.write("only,three,cells\n")
    (tables_copy / "cautions.csv").unlink()
    (tables_copy / "notes.csv").write_text("x\n")
    accepted = {problem.file: problem.accepted for problem in validate(tables_copy)}
    assert "cells, one for each column" in accepted["windows/saw.csv"]
    assert accepted["cautions.csv"] == "the table needs it"
    assert accepted["notes.csv"] == "no table has it"
