"""Every file for a spreadsheet: no cell of it is run as a formula, and numbers stay numbers."""

from __future__ import annotations

import csv
import io
import json
import tempfile
import zipfile
from collections.abc import Iterable
from pathlib import Path

import openpyxl
from hypothesis import given, settings
from hypothesis import strategies as st

from weldref.data import browse
from weldref.data.query import run_query
from weldref.errors import InputError
from weldref.exchange.dataset import Dataset, Table
from weldref.exchange.export import export
from weldref.exchange.writers import write_spreadsheet
from weldref.handouts import make_handout, make_practice
from weldref.procedures.read import read_bytes, read_procedure
from weldref.procedures.template import write_template

STARTS = ("=", "+", "-", "@", "\t", "\r", "|", "%", "＝", "＋", "－", "＠", " =", "\n=", "\u00a0=")
FORMULAS = [f"{start}cmd|' /C calc'!A0" for start in STARTS]
starts = st.sampled_from(STARTS)
cells = st.builds("{}{}".format, starts, st.text(max_size=8)) | st.text(max_size=12) | st.floats()


def dangerous(cell: str) -> bool:
    """Whether a spreadsheet may compute a cell: it begins as a formula and is no plain number."""
    try:
        float(cell)
    except ValueError:
        return cell.lstrip().startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠")) or (
            cell.startswith(("\t", "\r", "\n", "|", "%"))
        )
    return False


def assert_harmless(rows: Iterable[Iterable[str]]) -> int:
    count = 0
    for row in rows:
        for cell in row:
            assert not dangerous(cell), repr(cell)
            count += cell != ""
    return count


def rows_of(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def procedure() -> bytes:
    spoilt = {
        "wps": FORMULAS[0],
        "revision": FORMULAS[1],
        "base metal": FORMULAS[3],
        "process": ["SMAW", *FORMULAS],
        "passes": [
            {"pass": formula, "filler class": formula, "amps": "90-150", "technique": formula}
            for formula in FORMULAS
        ],
    }
    return json.dumps(spoilt).encode()


def test_a_filled_form_as_csv(tmp_path: Path) -> None:
    (found,) = read_bytes(procedure(), "x.json")
    path = write_template(tmp_path / "form.csv", procedure=found)
    assert assert_harmless(rows_of(path.read_bytes())) > 30
    assert str(read_procedure(path).number) == FORMULAS[0]


def test_a_filled_form_as_xlsx(tmp_path: Path) -> None:
    (found,) = read_bytes(procedure(), "x.json")
    path = write_template(tmp_path / "form.xlsx", procedure=found)
    book = openpyxl.load_workbook(path)
    filled = [cell for sheet in book for row in sheet for cell in row if cell.value is not None]
    assert {cell.data_type for cell in filled} == {"s"}
    risky = [cell for cell in filled if dangerous(str(cell.value))]
    assert len(risky) > 5
    for cell in risky:
        assert cell.quotePrefix, cell.value
    with zipfile.ZipFile(path) as packed:
        for name in packed.namelist():
            assert b"<f>" not in packed.read(name)


def test_handout_and_practice_sheets(tmp_path: Path) -> None:
    title = FORMULAS[0]
    made = make_handout(
        tmp_path / "card.csv", process="SMAW", electrode="E7018", quantity="current", title=title
    )
    made += make_practice(tmp_path / "friday.csv", title=title, sheets=2)
    for path in made:
        rows = rows_of(path.read_bytes())
        assert assert_harmless(rows) > 10
        assert any(float_or_none(cell) is not None for row in rows for cell in row)


def float_or_none(cell: str) -> float | None:
    try:
        return float(cell)
    except ValueError:
        return None


def test_an_export_for_a_spreadsheet(tmp_path: Path) -> None:
    (file,) = export(tmp_path / "all.zip", spreadsheet=True)
    count = 0
    with zipfile.ZipFile(file.path) as packed:
        for name in packed.namelist():
            if name.endswith(".csv"):
                count += assert_harmless(rows_of(packed.read(name)))
    assert count > 10_000


def test_an_export_of_formulas(tmp_path: Path) -> None:
    rows = tuple((formula, -20.0) for formula in FORMULAS)
    path = tmp_path / "x.zip"
    write_spreadsheet(Dataset("x", {"units": Table(("unit", "number"), rows)}, "1", "0"), path)
    with zipfile.ZipFile(path) as packed:
        found = rows_of(packed.read("units.csv"))
    assert assert_harmless(found) == 2 + 2 * len(FORMULAS)
    assert {row[1] for row in found[1:]} == {"-20"}


def test_the_answer_to_a_query() -> None:
    answer = run_query("SELECT '=1+1' AS \"=cmd\", -20 AS n, -0.5 AS m, '@x' AS x, NULL, [1], '-1'")
    rows = rows_of(browse.csv_bytes(answer.columns, answer.rows))
    assert assert_harmless(rows) >= 12
    assert rows[0][0] == "'=cmd"
    assert rows[1][:4] == ["'=1+1", "-20", "-0.5", "'@x"]


@settings(max_examples=60)
@given(st.lists(st.lists(cells, min_size=2, max_size=2), max_size=5), cells.map(str))
def test_any_cells_of_a_download(rows: list[list[object]], heading: str) -> None:
    names = [heading, "n"]
    found = rows_of(browse.csv_bytes(names, rows).replace(b"\x00", b" "))
    assert_harmless(found)


@settings(max_examples=40)
@given(st.lists(st.builds("{}{}".format, starts, st.text(max_size=8)), min_size=1, max_size=4))
def test_any_words_in_a_filled_form(words: list[str]) -> None:
    value = {"wps": words[0], "process": words, "passes": [{"amps": "90-150", "pass": words[-1]}]}
    try:
        (found,) = read_bytes(json.dumps(value).encode(), "x.json")
    except InputError:
        return
    with tempfile.TemporaryDirectory() as folder:
        path = write_template(Path(folder, "form.csv"), procedure=found)
        assert_harmless(rows_of(path.read_bytes().replace(b"\x00", b" ")))
