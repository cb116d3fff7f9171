"""A connection reads the tables, reaches nothing else, and checks settings in SQL."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import duckdb
import pandas as pd
import pytest

import weldref
from weldref.data.store import open_store
from weldref.errors import InputError


@pytest.fixture(scope="module")
def tables() -> Iterator[duckdb.DuckDBPyConnection]:
    with weldref.connect() as opened:
        yield opened


def test_the_tables_are_there(tables: duckdb.DuckDBPyConnection) -> None:
    for row in open_store().rows("SELECT name FROM table_list"):
        assert tables.execute(f'SELECT count(*) FROM "{row["name"]}"').fetchall()  # noqa: S608


@pytest.mark.parametrize(
    "sql",
    [
        "DELETE FROM windows",
        "DROP TABLE windows",
        "CREATE TABLE mine AS SELECT 1",
        "SELECT * FROM read_text('/etc/hostname')",
        "SELECT * FROM glob('/*')",
        "COPY (SELECT 1) TO 'out.csv'",
        "ATTACH 'other.duckdb'",
        "INSTALL httpfs",
        "LOAD httpfs",
        "SET enable_external_access = true",
        "SET threads = 64",
        "DETACH weldref",
    ],
)
def test_nothing_else_is_reached(
    tables: duckdb.DuckDBPyConnection, sql: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(duckdb.Error):
        tables.execute(sql)
    assert [*tmp_path.iterdir()] == []
    assert tables.execute("SELECT count(*) > 1000 FROM windows").fetchall() == [(True,)]


def test_settings_are_checked_as_check_does(tables: duckdb.DuckDBPyConnection) -> None:
    settings = pd.DataFrame(
        {
            "diameter": ["1/8", "1/8", None, "x", "1/8", "1/8"],
            "amps": [130.0, 250.0, 130.0, 130.0, None, -5.0],
        }
    )
    tables.register("settings", settings)
    found = tables.execute(
        "SELECT check_setting('current', amps, process := 'SMAW', electrode := 'E7018', "
        "diameter := diameter) FROM settings"
    ).fetchall()
    said = [one for (one,) in found]
    assert said[4] is None
    for row, answer in zip(settings.to_dict("records"), said, strict=True):
        if answer is None:
            continue
        given = {} if pd.isna(row["diameter"]) else {"diameter": row["diameter"]}
        try:
            (reading,) = weldref.check(
                process="SMAW", electrode="E7018", current=row["amps"], **given
            ).readings
        except InputError as error:
            assert answer == {**dict.fromkeys(("verdict", "by", "fit", "ask")),
                              "problem": str(error)}  # fmt: skip
            continue
        assert answer == {
            "verdict": reading.verdict,
            "by": reading.by,
            "fit": reading.fit,
            "ask": reading.ask.condition if reading.ask else None,
            "problem": None,
        }


def test_units_grade_and_flags_are_heeded() -> None:
    sql = "SELECT check_setting('preheat', 100, material := 'A36', under_water := true)"
    with weldref.connect(units="metric", grade="read") as opened:
        ((answer,),) = opened.execute(sql).fetchall()
    (reading,) = weldref.check(
        material="A36", preheat=100, under_water=True, units="metric", grade="read"
    ).readings
    assert answer["verdict"] == reading.verdict


@pytest.mark.parametrize("option", [{"units": "cgs"}, {"grade": "hearsay"}])
def test_bad_options_are_refused(option: dict[str, str]) -> None:
    with pytest.raises(InputError):
        weldref.connect(**option)  # type: ignore[arg-type]


def test_it_works_where_no_folder_can_be_written(monkeypatch: pytest.MonkeyPatch) -> None:
    from dataclasses import replace

    from weldref.exchange import connect as module

    store = replace(open_store(), path=None)
    monkeypatch.setattr(module, "open_tables", lambda _: store)
    opened = weldref.connect()
    ((answer,),) = opened.execute("SELECT check_setting('current', 'x')").fetchall()
    assert "is not a number" in answer["problem"]
