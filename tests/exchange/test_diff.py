"""What changed: nothing where nothing did, and exactly what was planted where something was."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.conftest import read_csv, write_csv
from tests.effort import times
from weldref.cli import main
from weldref.data.folder import datasets_folder
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange.dataset import Cell, Dataset, Table, published
from weldref.exchange.diff import diff
from weldref.exchange.export import export
from weldref.exchange.table_schema import key_of, types
from weldref.exchange.versions import STEPS, step_of_change, turn

TEXTS = st.text(st.characters(codec="utf-8", exclude_characters="\0"), min_size=1, max_size=6)
CELLS = {
    "string": st.none() | TEXTS,
    "list": st.none() | TEXTS,
    "object": st.none() | TEXTS,
    "boolean": st.none() | st.booleans(),
    "number": st.none() | st.floats(allow_nan=False, allow_infinity=False),
}
NAMES = sorted(types())


@st.composite
def tables(draw: st.DrawFn, name: str) -> Table:
    """A table of the right columns with any cells and keys that differ."""
    columns = types()[name]
    count = draw(st.integers(0, 5))
    rows = []
    for number in range(count):
        row = {
            column: draw(CELLS[kind]) if draw(st.booleans()) else None
            for column, kind in columns.items()
        }
        # The number makes the key unique; a number or a truth cannot hold it in every key.
        first = key_of(name)[0]
        row[first] = float(number) if columns[first] == "number" else f"k{number}"
        rows.append(tuple(row.values()))
    return Table(tuple(columns), tuple(rows))


@st.composite
def datasets(draw: st.DrawFn) -> Dataset:
    chosen = draw(st.lists(st.sampled_from(NAMES), unique=True, max_size=3))
    return Dataset("drawn", {name: draw(tables(name)) for name in chosen})


@given(datasets())
def test_a_dataset_does_not_differ_from_itself(one: Dataset) -> None:
    assert diff(one, one).tables == ()
    assert diff(one, one).step == "none"


@given(datasets(), datasets())
def test_what_is_added_one_way_is_removed_the_other(one: Dataset, two: Dataset) -> None:
    there, back = diff(one, two), diff(two, one)
    assert [t.table for t in there.tables] == [t.table for t in back.tables]
    for out, home in zip(there.tables, back.tables, strict=True):
        assert (out.added, out.removed) == (home.removed, home.added)
        assert (out.columns_added, out.columns_removed) == (
            home.columns_removed,
            home.columns_added,
        )
        forth = {(c.key, c.column): (c.old, c.new) for c in out.changes}
        assert forth == {(c.key, c.column): (c.new, c.old) for c in home.changes}
        assert {c.key for c in out.turned("raised")} == {c.key for c in home.turned("lowered")}


SHIPPED: dict[str, Dataset] = {}


def shipped(store: Store) -> Dataset:
    return SHIPPED.setdefault("tables", published(store))


@settings(max_examples=times(6, 60))
@given(st.data())
def test_planted_changes_are_found_exactly(store: Store, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(NAMES))
    table = shipped(store).tables[name]
    before = Dataset("shipped", {name: table})
    key = key_of(name)
    places = {column: number for number, column in enumerate(table.columns)}
    picked = data.draw(
        st.lists(st.integers(0, len(table.rows) - 1), unique=True, min_size=1, max_size=4)
    )
    rows = {number: list(row) for number, row in enumerate(table.rows)}
    removed, planted = set(), {}

    def key_at(row: list[Cell]) -> tuple[Cell, ...]:
        return tuple(row[places[column]] for column in key)

    for number in picked:
        row = rows[number]
        others = [column for column in table.columns if column not in key]
        column = data.draw(st.sampled_from([*others, "remove the row"]))
        if column == "remove the row":
            removed.add(key_at(row))
            del rows[number]
            continue
        old = row[places[column]]
        kind = types()[name][column]
        new = data.draw(CELLS[kind].filter(lambda cell, old=old: cell != old))
        row[places[column]] = new
        planted[key_at(row), column] = (old, new)
    after = Table(table.columns, tuple(map(tuple, rows.values())))
    found = diff(before, Dataset("changed", {name: after}))

    [one] = found.tables
    assert one.table == name
    assert {(c.key, c.column): (c.old, c.new) for c in one.changes} == planted
    assert {tuple(row.get(column) for column in key) for row in one.removed} == removed
    assert one.added == ()
    steps = ["major"] if removed else []
    steps += [step_of_change(column, *values) for (_, column), values in planted.items()]
    assert found.step == max(steps, key=STEPS.index)
    for how in ("raised", "lowered"):
        wanted = {k for (k, column), values in planted.items() if turn(column, *values) == how}
        assert {change.key for change in one.turned(how)} == wanted


@pytest.fixture(scope="module")
def forms(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("forms")
    export(folder / "w.zip")
    export(folder / "s.zip", spreadsheet=True)
    return [datasets_folder(), folder / "w.zip", folder / "s.zip"]


def test_every_form_of_one_dataset_is_the_same(forms: list[Path]) -> None:
    for form in forms:
        found = diff(forms[0], form)
        assert found.tables == (), form
        assert found.new.version in (found.old.version, None)


def test_a_table_or_a_column_more_or_less() -> None:
    old = Dataset("old", {"units": Table(("unit", "remark"), (("A", None),))})
    new = Dataset(
        "new", {"units": Table(("unit", "colour"), (("A", "red"),)), "own": Table(("a",), ())}
    )
    found = diff(old, new)
    assert [(t.table, t.presence) for t in found.tables] == [("units", "both"), ("own", "added")]
    assert found.tables[0].columns_added == ("colour",)
    assert found.tables[0].columns_removed == ("remark",)
    assert found.step == "major"
    assert diff(new, Dataset("less", {"units": new.tables["units"]})).step == "major"
    wider = Table(("unit", "colour", "more"), (("A", "red", None),))
    assert diff(new, Dataset("more", {**new.tables, "units": wider})).step == "minor"


def test_a_table_that_no_schema_names_is_compared_by_whole_rows() -> None:
    old = Dataset("old", {"own": Table(("a", "b"), (("1", "x"), ("2", "y")))})
    new = Dataset("new", {"own": Table(("a", "b"), (("1", "x"), ("2", "z")))})
    [one] = diff(old, new).tables
    assert one.added == ({"a": "2", "b": "z"},)
    assert one.removed == ({"a": "2", "b": "y"},)


def test_a_key_twice_or_missing_is_one_sentence() -> None:
    good = Dataset("good", {"units": Table(("unit",), (("A",),))})
    twice = Dataset("twice", {"units": Table(("unit",), (("A",), ("A",)))})
    without = Dataset("without", {"units": Table(("name",), (("A",),))})
    with pytest.raises(InputError, match="'twice': the key 'A' appears twice in 'units'"):
        diff(good, twice)
    with pytest.raises(InputError, match="has no column 'unit'"):
        diff(good, without)


def changed_copy(tables_copy: Path) -> Path:
    path = tables_copy / "windows" / "smaw.csv"
    rows = read_csv(path)
    recalled = next(row for row in rows if row["how_read"] == "memory")
    recalled.update(how_read="secondary")
    read = next(row for row in rows if row["how_read"] == "read" and row["max"])
    read["max"] = "999"
    write_csv(path, rows)
    return tables_copy


def test_command_says_what_changed_and_which_step_it_is(
    tables_copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    changed = changed_copy(tables_copy)
    assert main(["diff", str(datasets_folder()), str(changed)]) == 1
    said = capsys.readouterr().out
    assert "grade raised: " in said
    assert "how_read: memory -> secondary" in said
    assert "-> 999" in said
    assert "version step: major; 2.0.0 -> 3.0.0" in said
    assert main(["diff", str(datasets_folder()), str(changed), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert found["step"] == "major"
    [windows] = found["tables"]
    assert [(c["from"], c["to"]) for c in windows["grades_raised"]] == [("memory", "secondary")]
    assert [c["to"] for c in windows["changed"]] == [999.0]
    assert main(["diff", str(datasets_folder()), str(changed), "--changelog"]) == 1
    entry = capsys.readouterr().out
    assert entry.startswith("## 3.0.0, ")
    assert "| windows |  | 1 | 1 |  |  |" in entry
    assert "memory to secondary. Read by: ?; how: ?; second reader: ?" in entry


def test_command_says_that_nothing_changed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diff", str(datasets_folder()), str(datasets_folder())]) == 0
    assert "no differences" in capsys.readouterr().out


def test_long_lists_are_cut_and_say_so(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "units.csv").write_text("unit\nA\n")
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "units.csv").write_text("unit\n" + "".join(f"u{n}\n" for n in range(9)))
    (tmp_path / "less").mkdir()
    (tmp_path / "less" / "units.csv").write_text("unit\n")
    assert main(["diff", str(tmp_path / "less"), str(tmp_path / "more"), "--rows", "2"]) == 1
    said = capsys.readouterr().out
    assert said.count("added: u") == 2
    assert "... and 7 more" in said
    assert main(["diff", str(tmp_path / "less"), str(tmp_path / "more"), "--rows", "0"]) == 2
