"""Own tables of a shop or school: judged apart, checked as strictly, found where they are named."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import asdict, replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import read_csv, write_csv
from tests.own_workshop import (
    ASKED,
    BENCH,
    SOURCE,
    make,
    procedure,
    rows_of,
)
from weldref.audit.procedure_audit import audit_procedure
from weldref.cli import main
from weldref.core.check import check, published
from weldref.core.situation import describe
from weldref.core.terms import Vocabulary
from weldref.core.units import Units
from weldref.core.verdict import judge
from weldref.data.folder import datasets_folder, digest_of
from weldref.data.own import BY_OWN, OwnTables, chosen, plain
from weldref.data.store import Store, open_store, open_tables
from weldref.data.validate import validate
from weldref.errors import DataError, InputError
from weldref.text import check_text

# What a verdict on published rows is, with and without own rows beside them.


SITUATIONS = (
    {"process": "SMAW"},
    BENCH,
    BENCH | {"material": "A36", "thickness": "1/4"},
    {"process": "GMAW", "material": "mild steel", "thickness": "1/8"},
    {"process": "GTAW", "material": "aluminum", "thickness": "1/8"},
    {"material": "A36", "thickness": "2"},
    {},
)


@given(
    conditions=st.sampled_from(SITUATIONS),
    quantity=st.sampled_from(("current", "voltage", "preheat")),
    number=st.floats(5, 900, allow_nan=False),
    grade=st.sampled_from(("read", "secondary", "memory")),
)
def test_own_rows_beside_change_no_verdict(
    store: Store,
    beside: OwnTables,
    conditions: dict[str, str],
    quantity: str,
    number: float,
    grade: str,
) -> None:
    unit = {"current": "A", "voltage": "V", "preheat": "F"}[quantity]
    both = open_tables(beside)

    def judged(asked: Store) -> object:
        (dimension,) = asked.rows(
            "SELECT dimension FROM quantities WHERE quantity = $q", {"q": quantity}
        )
        value = Units(asked).parse(f"{number!r} {unit}", dimension["dimension"], unit, quantity)
        return judge(asked, describe(asked, **conditions), quantity, value, grade)

    alone, accompanied = judged(store), judged(both)
    assert replace(accompanied, from_own=None) == alone  # type: ignore[type-var]
    assert not any(
        row.own for name in ("rows", "general", "conditional", "single_settings", "also_seen")
        for row in getattr(accompanied, name)
    )  # fmt: skip
    assert accompanied.from_own is None or all(  # type: ignore[attr-defined]
        row.own
        for row in accompanied.from_own.rows  # type: ignore[attr-defined]
    )


def test_own_rows_are_judged_apart(beside: OwnTables) -> None:
    reading = check(**BENCH, current=130, own=beside).readings[0]
    assert (reading.verdict, reading.own) == ("inside", False)
    assert reading.from_own is not None
    assert (reading.from_own.verdict, reading.from_own.by) == ("high", 5.0)


def test_a_recalled_own_row_says_so(beside: OwnTables) -> None:
    result = check(**BENCH, voltage=22, own=beside)
    assert result.verdict == "no published range"
    said = result.readings[0].from_own
    assert said is not None
    assert {row.how_read for row in said.rows} == {"memory"}
    assert "not published, from memory: inside" in check_text(result)


def test_instead_the_verdict_is_theirs(instead: OwnTables) -> None:
    result = check(**BENCH, current=130, own=instead)
    reading = result.readings[0]
    assert (result.verdict, reading.by, reading.own) == ("high", 5.0, True)
    assert all(row.own for row in (*reading.rows, *reading.single_settings, *reading.also_seen))
    nothing = check(**BENCH, travel_speed=6, own=instead)
    assert nothing.verdict == "no published range"
    assert f"NO OWN RANGE {BY_OWN}" in check_text(nothing)
    assert "PUBLISHED RANGE" not in check_text(nothing)


# What is refused, and how.


BAD = (
    ({"unit": "furlong"}, "unit: 'furlong' is not accepted; give a value of the column unit of"),
    ({"max": "9000"}, "max: 9000 A is not accepted; plausible for current is"),
    ({"max": "lots"}, "max: 'lots' is not accepted; give a number"),
    ({"process": "alchemy"}, "process: 'alchemy' is not accepted; give a value of the column"),
    ({"how_read": "seen"}, "how_read: 'seen' is not accepted; give one of read, secondary, memory"),
    ({"source_id": "aws-d1-1-2015"}, "source_id: 'aws-d1-1-2015' is not accepted; an own row"),
    ({"source_id": "no-such"}, "source_id: 'no-such' is not accepted; give a value"),
    ({"window_id": "school-binder:001"}, "window_id: 'school-binder:001' is not accepted; this"),
    ({"window_id": "machinerys-handbook-31:026"}, "window_id: 'machinerys-handbook-31:026' is not"),
)  # fmt: skip


def test_each_bad_row_is_told_with_its_line(spoiled: Path) -> None:
    make(spoiled, rows_of({}, *(change for change, _ in BAD)))
    problems = [str(p) for p in validate(datasets_folder(), OwnTables(spoiled))]
    for line, (_, said) in enumerate(BAD, 3):
        place = f"workshop/windows/smaw.csv:{line}: {said}"
        assert any(problem.startswith(place) for problem in problems), place
    assert all(problem.startswith("workshop/") for problem in problems)


def test_a_store_with_a_bad_row_is_not_built(spoiled: Path) -> None:
    make(spoiled, rows_of({"min": "130"}, {"thickness_min": "1"}))
    with pytest.raises(DataError) as told:
        open_tables(spoiled)
    assert str(told.value).splitlines()[1:] == [
        "workshop/windows/smaw.csv:2: min '130', max '125' is not accepted; min, typical and max "
        "must rise: min <= typical <= max",
        "workshop/windows/smaw.csv:3: thickness_min '1' is not accepted; thickness_min and "
        "thickness_max need thickness_unit and an owner of the edge: thickness_min_inclusive, "
        "thickness_max_inclusive",
    ]


def test_a_document_that_is_published_already_is_refused(spoiled: Path) -> None:
    make(spoiled, rows_of({}), SOURCE | {"source_id": "machinerys-handbook-31"})
    problems = [str(p) for p in validate(datasets_folder(), OwnTables(spoiled))]
    assert any(p.startswith("workshop/sources.csv:2: source_id:") for p in problems)
    assert all(p.startswith("workshop/") for p in problems)


def test_a_document_says_whose_it_is(spoiled: Path) -> None:
    make(spoiled, rows_of({}), SOURCE | {"issuer": ""})
    (problem,) = validate(datasets_folder(), OwnTables(spoiled))
    assert str(problem).endswith("issuer: an empty cell is not accepted; name the shop or school")


def test_no_vocabulary_and_no_other_table(spoiled: Path) -> None:
    (spoiled / "cautions.csv").write_text("wording\n")
    (problem,) = validate(datasets_folder(), OwnTables(spoiled))
    assert str(problem).startswith("workshop/cautions.csv: this file is not accepted; own tables")
    (spoiled / "vocabulary").mkdir()
    with pytest.raises(InputError, match="own tables use the published one"):
        OwnTables(spoiled)


def test_the_command_line_says_it_in_a_sentence(
    spoiled: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["validate", str(spoiled)]) == 0
    assert main(["validate", "--tables", str(spoiled)]) == 0
    rows = read_csv(spoiled / "windows/smaw.csv")
    rows[0]["unit"] = "V"
    write_csv(spoiled / "windows/smaw.csv", rows)
    capsys.readouterr()
    assert main(["validate", str(spoiled)]) == 2
    told = capsys.readouterr()
    assert told.out.startswith("workshop/windows/smaw.csv:2: unit: 'V' is not accepted; give a")
    assert main(["check", *ASKED, "--current", "130", "--tables", str(spoiled)]) == 2
    assert "smaw.csv:2: unit" in capsys.readouterr().err
    (spoiled / "sources.csv").unlink()
    assert main(["check", *ASKED, "--current", "130", "--tables", str(spoiled)]) == 2
    assert capsys.readouterr().err.startswith("weldref: tables: ")


# Where they are named.


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A working folder and a user's config folder without config files."""
    work = tmp_path / "work"
    work.mkdir()
    monkeypatch.chdir(work)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.delenv("WELDREF_TABLES", raising=False)
    monkeypatch.delenv("WELDREF_TABLES_MODE", raising=False)
    return work


def test_the_first_that_names_a_folder_counts(
    elsewhere: Path, workshop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert chosen() is None
    user = elsewhere.parent / "config" / "weldref" / "weldref.toml"
    user.parent.mkdir(parents=True)
    user.write_text(f'[tables]\nfolder = "{workshop.as_posix()}"\nmode = "instead"\n')
    found = chosen()
    assert found is not None
    assert (found.folder, found.mode) == (workshop, "instead")
    near = make(elsewhere / "near", rows_of({}))
    (elsewhere / "weldref.toml").write_text('[tables]\nfolder = "near"\n')
    found = chosen()
    assert found is not None
    assert (found.folder.resolve(), found.mode) == (near, "beside")
    monkeypatch.setenv("WELDREF_TABLES", str(workshop))
    found = chosen()
    assert found is not None
    assert (found.folder, found.mode) == (workshop, "beside")
    found = chosen(near, instead=True)
    assert found is not None
    assert (found.folder, found.mode) == (near, "instead")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("[tables", "cannot be read as TOML"),
        ("tables = 3", "'tables' is not a section"),
        ("[tables]\nfolders = 'x'", "'folders' is not accepted"),
        ("[windows]\nfolder = 'x'", "'windows' is not accepted"),
        ("[tables]\nfolder = 3", "folder 3 is not a text"),
        ("[tables]\nmode = 'beside'", "names no folder"),
        ("[tables]\nfolder = 'none-here'", "is not a folder"),
        ("[tables]\nfolder = 'near'\nmode = 'both'", "mode 'both' is not accepted"),
    ],
)
def test_a_bad_config_file_is_one_sentence(
    elsewhere: Path, capsys: pytest.CaptureFixture[str], content: str, said: str
) -> None:
    make(elsewhere / "near", rows_of({}))
    (elsewhere / "weldref.toml").write_text(content)
    assert main(["check", *ASKED, "--current", "130"]) == 2
    told = capsys.readouterr().err
    assert told.startswith("weldref: weldref.toml: ")
    assert said in told
    assert told.count("\n") == 1


@pytest.mark.usefixtures("elsewhere")
def test_instead_of_nothing_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", *ASKED, "--current", "130", "--instead"]) == 2
    assert "no own tables are named" in capsys.readouterr().err


# The published store stays what it is.


def test_the_published_store_is_untouched(store: Store, beside: OwnTables) -> None:
    assert store.path is not None
    before = hashlib.sha256(store.path.read_bytes()).hexdigest()
    both = open_tables(beside)
    assert both.path != store.path
    assert both.digest == store.digest == digest_of(datasets_folder())
    assert open_store().path == store.path
    assert hashlib.sha256(store.path.read_bytes()).hexdigest() == before
    names = {row["column_name"] for row in store.rows("DESCRIBE windows")}
    assert "own" not in names


def test_a_changed_own_row_is_another_store(spoiled: Path) -> None:
    first = open_tables(spoiled)
    make(spoiled, rows_of({"max": "126"}))
    second = open_tables(spoiled)
    assert first.path != second.path
    assert second.rows("SELECT max FROM own_windows") == [{"max": 126.0}]


def test_without_own_tables_no_answer_speaks_of_them() -> None:
    result = check(**BENCH, current=130)
    text = json.dumps([result.as_dict(), published(**BENCH).as_dict(),
                       audit_procedure(procedure(130)).as_dict()])  # fmt: skip
    assert '"own' not in text
    assert "from_own" not in text
    kept = plain(asdict(result), True)
    assert kept["own_tables"] is None


def test_the_vocabulary_is_the_published_one(store: Store, beside: OwnTables) -> None:
    for table in ("processes", "materials", "units", "spellings", "broader_terms"):
        sql = f"FROM {table} ORDER BY ALL"
        assert open_tables(beside).rows(sql) == store.rows(sql)
    assert Vocabulary(open_tables(beside)).quantity("amps") == "current"
