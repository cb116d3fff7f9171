"""The file of readings loses nothing, and what is none of ours is refused in one sentence."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.data.judge_readings import printed, same_edition, same_value, units_of
from weldref.data.reading_cells import Asked, asked_tables, recalled
from weldref.data.readings import LARGEST, Reading, append, latest, parse, read_file
from weldref.data.store import Store
from weldref.errors import InputError

HEADER = b'{"weldref readings": 1}\n'
ONE = Reading(
    "a", "windows", "a:001", "Table 2; current", "values", "ab", "2026-01-31", "2012", "paper",
    {"min": "90", "max": "150 A"}, note="ß, 漢",
)  # fmt: skip
LINE = json.dumps(asdict(ONE)).encode() + b"\n"


def changed(**values: object) -> bytes:
    return HEADER + json.dumps(asdict(ONE) | values).encode() + b"\n"


def test_what_is_appended_is_read_again(tmp_path: Path) -> None:
    file = tmp_path / "new" / "readings.jsonl"
    for _ in range(3):
        append(file, ONE)
    assert read_file(file).found == (ONE, ONE, ONE)
    assert latest(read_file(file).found) == {("windows", "a:001"): [ONE]}


@given(st.integers(min_value=0, max_value=len(HEADER + LINE + LINE)))
def test_cut_off_anywhere_only_the_last_line_is_lost(
    tmp_path_factory: pytest.TempPathFactory, at: int
) -> None:
    whole = HEADER + LINE + LINE
    content = whole[:at]
    found = parse(content, "r.jsonl")
    lines = content.count(b"\n")
    whole_lines = {len(HEADER) - 1, len(HEADER + LINE) - 1, len(HEADER + LINE + LINE) - 1}
    finished = content.endswith(b"\n") or not content or at in whole_lines
    assert len(found.found) == max(lines - 1 + (at in whole_lines and at > len(HEADER)), 0)
    assert bool(found.note) == (not finished)
    file = tmp_path_factory.mktemp("cut") / "r.jsonl"
    file.write_bytes(content)
    append(file, ONE)
    after = read_file(file)
    assert len(after.found) == len(found.found) + 1
    assert after.note == ""


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\x00" * 50 + b"\n", "r.jsonl:1: it is not JSON"),
        (b"source_id,title\n", "r.jsonl:1: it is not JSON"),
        (b"[" * 100_000 + b"\n", "r.jsonl:1: it is not JSON"),
        (b"[1]\n", "not a file of readings"),
        (b'{"weldref readings": 2}\n', "version 2 of the format is not known"),
        (b'{"weldref readings": true}\n', "version True of the format is not known"),
        (HEADER + b"7\n" + LINE, "r.jsonl:2: a reading is an object"),
        (HEADER + b'{"source": "a"}\n', "is missing"),
        (HEADER + b"\xff\xfe\n", "r.jsonl:2: it is not JSON"),
        (changed(source=3), "r.jsonl:2: source: 3 is not a text"),
        (changed(values={"min": 90}), "values: min: 90 is not a text"),
        (changed(values=[1]), "values: give at most 12"),
        (changed(values={f"c{n}": "1" for n in range(13)}), "values: give at most 12"),
        (changed(values={"min; DROP": "1"}), "is not a column of a table"),
        (changed(values={}), "values: with 'values' 0 are not accepted"),
        (changed(said="agrees"), "said: 'agrees' is not accepted"),
        (changed(copy="a\x1b[2J"), "copy: it holds characters that cannot be printed"),
        (changed(note="x" * 501), "note: it is longer than 500 characters"),
        (changed(reader="A. Person of a Place"), "reader: 'A. Person of a Place' is not accepted"),
        (changed(date="yesterday"), "date: 'yesterday' is not accepted"),
        (changed(run="rm"), "'run' is not accepted"),
    ],
)
def test_a_hostile_file_is_refused_in_one_sentence(content: bytes, said: str) -> None:
    with pytest.raises(InputError) as caught:
        parse(content, "r.jsonl")
    assert said in str(caught.value)
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) <= 1100


def test_a_file_too_large_and_a_folder_are_refused(tmp_path: Path) -> None:
    file = tmp_path / "large.jsonl"
    with file.open("wb") as opened:
        opened.truncate(LARGEST + 1)
    with pytest.raises(InputError, match="larger than 5 MB"):
        read_file(file)
    with pytest.raises(InputError, match="is full"):
        append(file, ONE)
    with pytest.raises(InputError, match="is not a file"):
        read_file(tmp_path)


@given(st.binary(max_size=300))
def test_any_bytes_are_readings_or_one_sentence(content: bytes) -> None:
    for tried in (content, HEADER + content, HEADER + LINE + content):
        try:
            found = parse(tried, "r.jsonl")
        except InputError as error:
            assert str(error).startswith("r.jsonl:")
        else:
            assert all(isinstance(one, Reading) for one in found.found)


@given(st.text(max_size=60))
def test_any_text_is_a_number_or_one_sentence(text: str) -> None:
    try:
        found = printed(text, "minimum")
    except InputError as error:
        assert str(error).startswith("minimum: ")
    else:
        assert found.half >= 0


@given(st.integers(0, 9_999), st.integers(0, 3))
def test_a_number_in_its_own_unit_agrees_with_itself_alone(digits: int, places: int) -> None:
    value = digits / 10**places
    asked = Asked("min", "minimum", "A", "number")
    assert same_value(asked, f"{value:.{places}f}", value, {})
    assert same_value(asked, f"{value:.{places}f} A", value, {})
    assert not same_value(asked, f"{value:.{places}f}", value + 10**-places, {})


@pytest.mark.parametrize(
    ("unit", "text", "value", "same"),
    [
        ("F", "79 C", 175.0, True),  # 175 F is 79.4 C
        ("F", "80 C", 175.0, False),
        ("in", "1/8", 0.125, True),
        ("in", "3.2 mm", 0.125, True),  # 3.175 mm
        ("in", "3 mm", 0.125, False),
        ("in", "4 mm", 0.15, False),  # rounded too coarsely to prove anything
        ("in/min", "10 m/min", 394.0, False),
        ("in/min", "10.0 m/min", 394.0, True),
        ("A", "-", 90.0, False),
    ],
)
def test_another_unit_agrees_within_the_rounding_of_the_print(
    store: Store, unit: str, text: str, value: float, same: bool
) -> None:
    asked = Asked("min", "minimum", unit, "number")
    assert same_value(asked, text, value, units_of(store.rows)) is same


def test_an_edition_has_to_be_named() -> None:
    assert same_edition("31st", "31st edition (2020)")
    assert not same_edition("none printed", "2004")
    assert same_edition("none printed", None)


def test_every_recalled_row_has_a_key_of_its_own(store: Store) -> None:
    rows = recalled(store.rows)
    assert len({(row.cell.table, row.cell.row) for row in rows}) == len(rows) > 800


def test_no_table_of_cells_names_a_column_that_is_not_there(store: Store) -> None:
    for table, columns in asked_tables().items():
        there = {row["column_name"] for row in store.rows(f'DESCRIBE "{table}"')}
        assert set(columns.shown + columns.numbers + columns.words) <= there, table
        assert set(columns.sentences) <= set(columns.shown), table
        assert not set(columns.shown) & set(columns.numbers + columns.words), table
