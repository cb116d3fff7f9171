"""A document is read blind; what agrees is lifted, here or in the tables, and nothing else."""

from __future__ import annotations

import io
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.conftest import read_csv
from tests.exchange.readers import TABLE, WINDOWS, as_printed, read_all, rows_of
from weldref.cli import main
from weldref.commands.reading_dialogue import Dialogue
from weldref.data.config import named_file
from weldref.data.reading_cells import cell_of, recalled
from weldref.data.readings import desk_file, read_file
from weldref.data.store import Store, local_readings, open_store, open_tables
from weldref.data.validate import validate
from weldref.errors import InputError
from weldref.exchange import apply_readings
from weldref.exchange.reading_desk import answered, counts, documents, left, queue, record, sit_down
from weldref.exchange.readings_text import cell_text, plan_text


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "readings.jsonl"


def talk(store: Store, file: Path, source: str, lines: list[str]) -> str:
    """Read at a terminal; return all that was shown."""
    shown = io.StringIO()
    Dialogue(store, file, io.StringIO("".join(f"{line}\n" for line in lines)), shown).run(
        source, None, None, None
    )
    return shown.getvalue()


# What a reader sees


def test_no_cell_shows_what_was_recalled(store: Store) -> None:
    """A cell is the same whatever was recalled: nobody can tell the value from it."""
    for row in recalled(store.rows):
        other = {one.column: 98765.25 if one.kind == "number" else "xyzzy"
                 for one in row.cell.asked}  # fmt: skip
        told = dict.fromkeys({"remark", "as_printed", "limits", "meaning"} & set(row.row), "xyzzy")
        cell = cell_of(row.cell.table, row.row | told | other)
        if row.cell.kept_back:
            assert cell.asked == row.cell.asked
        else:
            assert cell == row.cell


def test_a_sentence_that_names_the_answer_is_kept_back(store: Store) -> None:
    kept = [row for row in recalled(store.rows) if row.cell.kept_back]
    assert kept
    for row in kept:
        assert row.row["condition"] not in cell_text(row.cell, 1, 1)
        assert "kept back" in cell_text(row.cell, 1, 1)


@pytest.mark.parametrize(("source", "edition"), [(WINDOWS, "2000"), (TABLE, "1999")])
def test_no_recalled_number_is_said_before_all_is_read(
    store: Store, file: Path, source: str, edition: str
) -> None:
    rows = rows_of(store, source)
    numbers = {f"{value:g}" for row in rows for value in row.values.values() if value > 20}
    begun = talk(store, file, source, ["ab", edition, "paper", *["7.77"] * (len(rows) - 1), "q"])
    assert f"{len(rows) - 1} of {len(rows)} cells are answered" in begun
    assert not numbers & set(re.findall(r"\d+", begun.replace(str(file), "")))
    with pytest.raises(InputError, match=r"1 of \d+ cells"):
        answered(store, source, read_file(file).found, "ab")
    ended = talk(store, file, source, ["ab", edition, "paper", "7.77"])
    assert numbers <= set(re.findall(r"\d+", ended))
    assert f"{len(rows)} cells: {len(rows)} differ" in ended


def test_the_words_of_the_desk(store: Store, file: Path) -> None:
    lines = ["ab", "1999", "paper", "?", "s", "abc", "place Table 5", "note faint", "25", "back",
             "26", "none", "other", "12 kg", "-"]  # fmt: skip
    said = talk(store, file, TABLE, lines)
    assert "Type what is printed in the copy" in said
    assert "purge oxygen: 'abc' is not one number" in said
    assert "the unit 'kg' cannot be compared here" in said
    found = read_file(file).found
    assert [(one.said, one.values) for one in found] == [
        ("values", {"purge_oxygen": "25"}),
        ("values", {"purge_oxygen": "26"}),
        ("not there", {}),
        ("other edition", {}),
        ("not there", {}),
    ]
    assert (found[0].place, found[0].note) == ("Table 5", "faint")
    assert "4 of 10 cells are answered, 6 are left." in said


def test_a_reader_goes_on_where_the_reading_stopped(store: Store, file: Path) -> None:
    talk(store, file, TABLE, ["ab", "1999", "paper", "10", "25", "q"])
    assert "[3 of 10]" in talk(store, file, TABLE, ["AB", "1999", "paper", "q"])
    assert "[1 of 10]" in talk(store, file, TABLE, ["cd", "1999", "paper", "q"])


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("no-such", "ab", "1999", "paper"), "'no-such' is not known"),
        (("common-practice", "ab", "1999", "paper"), "there is no printed document behind"),
        ((TABLE, "ab", "2010", "paper"), "'2010' is not the edition that is asked for here, 1999"),
        ((TABLE, "ab", "none printed", "paper"), "is not the edition"),
        ((TABLE, "", "1999", "paper"), "reader: it is empty"),
        ((TABLE, "Some Body Whole", "1999", "paper"), "give initials or a role"),
        ((TABLE, "ab", "1999", "\x07"), "copy: it holds characters"),
    ],
)
def test_who_sits_down_is_asked_well(
    store: Store, given: tuple[str, str, str, str], said: str
) -> None:
    with pytest.raises(InputError, match=re.escape(said)):
        sit_down(store, *given)


# What readings are worth


def test_agreements_differences_and_absences_are_told_apart(store: Store, file: Path) -> None:
    for source, edition in ((WINDOWS, "2000"), (TABLE, "1999")):
        rows = read_all(store, file, source, differing=(1, 2), absent=(3,), edition=edition)
        found = answered(store, source, read_file(file).found, "ab")
        assert counts(found) == {
            "agrees": len(rows) - 3, "differs": 2, "readers disagree": 0, "not there": 1,
            "other edition": 0,
        }  # fmt: skip
        assert [one.kind for one in found[1:4]] == ["differs", "differs", "not there"]


def test_two_readers_agree_or_nothing_counts(store: Store, file: Path) -> None:
    rows = read_all(store, file, TABLE, differing=(1, 2), edition="1999")
    read_all(store, file, TABLE, "cd", differing=(2,), absent=(0,), edition="1999")
    found = {one.cell.row: one for one in
             answered(store, TABLE, read_file(file).found, "cd")}  # fmt: skip
    kinds = [found[row.cell.row].kind for row in rows]
    assert kinds == ["readers disagree", "readers disagree", "differs", *["agrees"] * 7]
    assert found[rows[4].cell.row].readers == ("ab", "cd")
    (one,) = (one for one in documents(store, read_file(file).found) if one.source_id == TABLE)
    assert (one.once, one.twice, one.cells) == (10, 10, 10)


def test_a_later_reading_of_one_reader_replaces_the_earlier(store: Store, file: Path) -> None:
    read_all(store, file, TABLE, differing=(0,), edition="1999")
    read_all(store, file, TABLE, "AB", edition="1999")
    assert counts(answered(store, TABLE, read_file(file).found, "ab"))["agrees"] == 10


# What counts on this machine


def test_readings_lift_rows_on_this_machine_alone(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = read_all(store, file, WINDOWS, differing=(1,), absent=(2,))
    read_all(store, file, TABLE, differing=(1,), edition="1999")
    here = open_store(readings=file)
    used = local_readings(here)
    assert used is not None
    assert (used["raised"], used["differing"]) == (len(rows) - 2 + 9, 1)
    found = {row["window_id"]: row for row in here.rows(
        "SELECT * FROM windows WHERE source_id = $id", {"id": WINDOWS})}  # fmt: skip
    agreed, differs, absent = (rows[n].cell.row for n in (0, 1, 2))
    assert (found[agreed]["how_read"], found[agreed]["local"]) == ("read", True)
    assert (found[differs]["how_read"], found[differs]["local"]) == ("memory", False)
    beside = found[f"{differs}.local"]
    assert (beside["max"], beside["how_read"], beside["local"]) == (125.0, "read", True)
    assert beside["max_si"] == pytest.approx(398.15)  # 125 C
    assert (found[absent]["how_read"], found[absent]["local"]) == ("memory", False)
    grades = here.rows("SELECT how_read, count(*) AS n FROM weld_discoloration GROUP BY ALL "
                       "ORDER BY ALL")  # fmt: skip
    assert grades == [{"how_read": "memory", "n": 1}, {"how_read": "read", "n": 9}]
    # The published store is as it was, and no other sees the readings.
    assert open_store() is store
    assert local_readings(store) is None
    monkeypatch.setenv("WELDREF_READINGS", str(file))
    assert open_tables() is here
    monkeypatch.delenv("WELDREF_READINGS")
    assert open_tables() is store


def test_the_config_file_names_the_readings(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "none"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert named_file() is None
    assert desk_file() == tmp_path / "data" / "weldref" / "readings.jsonl"
    (tmp_path / "weldref.toml").write_text('[readings]\nfile = "here.jsonl"\n')
    assert named_file() == desk_file() == Path("here.jsonl")
    read_all(store, Path("here.jsonl"), TABLE, edition="1999")
    assert local_readings(open_tables()) is not None
    (tmp_path / "weldref.toml").write_text("[readings]\nfolder = 'x'\n")
    with pytest.raises(InputError, match="'folder' is not accepted"):
        named_file()


def test_an_answer_says_which_local_readings_it_rests_on(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["check", "--material", "5083", "--interpass", "110 C"]
    (row,) = (one for one in rows_of(store, WINDOWS) if one.row["material"] == "5xxx aluminium")
    main(asked)
    assert "local readings" not in capsys.readouterr().out
    sitting = sit_down(store, WINDOWS, "ab", "2000", "paper")
    record(store, file, sitting, row.cell, "values", as_printed(row))
    monkeypatch.setenv("WELDREF_READINGS", str(file))
    assert main(asked) in (0, 1)
    said = " ".join(capsys.readouterr().out.split())
    assert "on this machine alone 1 recalled row is graded read" in said
    assert (
        f"rests on local readings, made on this machine and published nowhere: {row.cell.row}."
        in said
    )
    main([*asked, "--json"])
    assert f'"rows": [\n      "{row.cell.row}"' in capsys.readouterr().out
    assert main(["query", "SELECT outcome FROM local_readings"]) == 0
    assert "agrees" in capsys.readouterr().out


def test_what_nobody_ever_sets_is_no_row(store: Store, file: Path) -> None:
    read_all(store, file, WINDOWS, differing=(0,), more=9_000)
    used = local_readings(open_store(readings=file))
    assert used is not None
    assert used["differing"] == 0


def test_a_broken_file_is_one_sentence(
    file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file.write_text("a,b\n")
    monkeypatch.setenv("WELDREF_READINGS", str(file))
    assert main(["tables"]) == 2
    assert "readings.jsonl:1: it is not JSON" in capsys.readouterr().err


# What gets into the tables of the project


def test_only_agreements_are_applied_and_the_tables_stay_sound(
    store: Store, file: Path, tables_copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = read_all(store, file, WINDOWS, differing=(1,), absent=(2,))
    read_all(store, file, TABLE, differing=(4,), edition="1999")
    before = {path: path.read_bytes() for path in tables_copy.rglob("*") if path.is_file()}
    arguments = ["apply-readings", str(file), "--datasets", str(tables_copy)]
    assert main(arguments) == 0
    said = capsys.readouterr().out
    assert "nothing was written" in said
    assert {path: path.read_bytes() for path in before} == before
    assert main([*arguments, "--write"]) == 0
    said = capsys.readouterr().out
    assert "for a person to decide" in said
    assert validate(tables_copy) == []
    changed = {path.relative_to(tables_copy).as_posix() for path, content in before.items()
               if path.read_bytes() != content}  # fmt: skip
    assert changed == {
        "sources.csv", "CHANGELOG.md", "windows/preheat.csv", "reference/weld_discoloration.csv",
        "datapackage.json",
    }  # fmt: skip
    windows = {row["window_id"]: row for row in read_csv(tables_copy / "windows/preheat.csv")}
    grades = [windows[row.cell.row]["how_read"] for row in rows]
    assert grades == ["read", "memory", "memory", *["read"] * (len(rows) - 3)]
    assert windows[rows[0].cell.row]["locator"] == "Table 1"
    for row in rows:
        assert float(windows[row.cell.row]["max"]) == row.values["max"]
    sources = {row["source_id"]: row for row in read_csv(tables_copy / "sources.csv")}
    assert [sources[WINDOWS][c] for c in ("edition", "address", "how_read")] == [
        "2000", "paper", "read",
    ]  # fmt: skip
    log = (tables_copy / "CHANGELOG.md").read_text()
    assert log.index(apply_readings.UNRELEASED) < log.index("## 2.0.0")
    assert f"- {WINDOWS}: raised from memory to read, {len(rows) - 2} of windows; read blind" in log
    # Once more changes nothing.
    again = {path: path.read_bytes() for path in before}
    assert main([*arguments, "--write"]) == 0
    said = capsys.readouterr().out
    assert "nothing to raise" in said
    assert f"{len(rows) - 2 + 9} rows had been raised before" in said
    assert {path: path.read_bytes() for path in before} == again


def test_readers_who_disagree_are_left_to_a_person(
    store: Store, tmp_path: Path, tables_copy: Path
) -> None:
    one, two = tmp_path / "one.jsonl", tmp_path / "two.jsonl"
    read_all(store, one, TABLE, edition="1999")
    read_all(store, two, TABLE, "cd", differing=(3,), edition="1999")
    made = apply_readings.plan([one, two], tables_copy)
    assert len(made.raised) == 9
    assert [why for _, why in made.for_a_person] == ["readers disagree"]
    said = " ".join(plan_text(made, written=[]).split())
    assert "ab: purge oxygen 100 ppm; cd: purge oxygen 105 ppm;" in said


def test_an_edition_is_not_put_on_rows_that_others_read(store: Store, tables_copy: Path,
                                                        file: Path) -> None:  # fmt: skip
    source = "aws-d1-1-edition-not-shown"
    sitting = sit_down(store, source, "ab", "2015", "paper")
    row = rows_of(store, source)[0]
    record(store, file, sitting, row.cell, "values", as_printed(row), place="p. 1")
    made = apply_readings.plan([file], tables_copy)
    assert not made.raised
    assert "are they of '2015' too?" in made.for_a_person[0][1]
    assert made.files == {}


def test_a_row_that_is_gone_is_told(store: Store, file: Path, tables_copy: Path) -> None:
    read_all(store, file, TABLE, edition="1999")
    text = file.read_text().replace("weld_discoloration:", "weld_discoloration:0")
    file.write_text(text)
    made = apply_readings.plan([file], tables_copy)
    assert (len(made.gone), made.raised, made.files) == (10, (), {})


@pytest.mark.parametrize("missing", ["readings", "datasets"])
def test_what_is_not_there_is_said(
    missing: str, tmp_path: Path, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if missing == "datasets":
        file.write_text('{"weldref readings": 1}\n')
    assert main(["apply-readings", str(file), "--datasets", str(tmp_path)]) == 2
    assert capsys.readouterr().err.startswith(f"weldref: {missing}: '")


# Killed in the middle


def test_nothing_typed_is_lost_when_it_is_killed(store: Store, file: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "weldref", "read", TABLE, "--file", str(file), "--reader", "ab",
         "--edition", "1999", "--copy", "paper"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=dict(os.environ),
    ) as started:  # fmt: skip
        assert started.stdin is not None
        started.stdin.write("10\n25\n50\n")
        started.stdin.flush()
        waited = time.monotonic() + 60
        while time.monotonic() < waited:
            if file.exists() and file.read_bytes().count(b"\n") == 4:
                break
            time.sleep(0.05)
        started.send_signal(signal.SIGKILL)
    found = read_file(file)
    assert [one.values["purge_oxygen"] for one in found.found] == ["10", "25", "50"]
    assert len(left(queue(store, TABLE), found.found, "ab")) == 7


def test_the_list_and_the_status(
    store: Store, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    read_all(store, file, TABLE, edition="1999")
    assert main(["read", "--list", "--file", str(file)]) == 0
    said = capsys.readouterr().out
    assert re.search(rf"10 +10 +0 +{TABLE}", said)
    assert main(["read", TABLE, "--status", "--file", str(file)]) == 0
    said = capsys.readouterr().out
    assert "ab: 10 of 10 cells answered" in said
    assert "10 cells: 10 agree" in said
    assert main(["read", WINDOWS, "--status", "--file", str(file)]) == 0
    assert "nobody has read any of the 12 cells" in capsys.readouterr().out
    assert main(["read"]) == 2
    assert capsys.readouterr().err.startswith("weldref: read: no document is named")
