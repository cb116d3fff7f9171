"""The query box: one SELECT, without harm."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weldref
from weldref.data import query
from weldref.data.query import run_query
from weldref.errors import InputError


def test_rows_and_limit() -> None:
    answer = run_query("SELECT source_id FROM sources ORDER BY 1", 3)
    assert answer.columns == ("source_id",)
    assert len(answer.rows) == 3
    assert answer.cut


def test_dataframe() -> None:
    frame = weldref.query("SELECT quantity, dimension FROM quantities WHERE quantity = 'current'")
    assert frame.to_dict("records") == [{"quantity": "current", "dimension": "current"}]


@pytest.mark.parametrize(
    "sql",
    [
        "",
        "DROP TABLE windows",
        "SELECT 1; SELECT 2",
        "SELECT 1; DROP TABLE windows",
        "INSERT INTO sources SELECT * FROM sources",
        "CREATE TEMP TABLE x AS SELECT 1",
        "SET memory_limit = '9GB'",
        "PRAGMA database_list",
        "COPY windows TO '/tmp/weldref-query.csv'",
        "ATTACH '/tmp/x.duckdb' AS x",
        "INSTALL httpfs",
        "CHECKPOINT",
        "SELECT * FROM read_csv('/etc/passwd')",
        "SELECT * FROM read_text('/etc/passwd')",
        "SELECT * FROM glob('/*')",
        "SELECT * FROM 'https://example.com/x.csv'",
        "SELEC 1",
        "SELECT nothing FROM windows",
        "SELECT length(repeat('x', 2000000000))",
        "/* comment */ -- only",
    ],
)
def test_everything_else_is_refused_in_one_sentence(sql: str) -> None:
    with pytest.raises(InputError, match=r"^query: ") as caught:
        run_query(sql)
    assert "\n" not in str(caught.value)
    assert "Traceback" not in str(caught.value)


def test_endless_recursion_stops(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(query, "SECONDS", 1)  # the rule is the same with a shorter time
    with pytest.raises(InputError, match=r"^query: "):
        run_query(
            "WITH RECURSIVE n AS (SELECT 1 AS i UNION ALL SELECT i + 1 FROM n) "
            "SELECT count(*) FROM n"
        )


@pytest.mark.parametrize("rows", [0, -1, 1_000_000])
def test_row_limit_is_bounded(rows: int) -> None:
    with pytest.raises(InputError, match="rows"):
        run_query("SELECT 1", rows)


@settings(max_examples=8, deadline=None)
@given(st.text(max_size=60))
def test_any_text_is_answered_or_refused(text: str) -> None:
    try:
        run_query(text)
    except InputError as error:
        assert str(error).startswith("query: ")
