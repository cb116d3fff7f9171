"""Tables and answers of SQL as typed frames."""

from __future__ import annotations

import pytest

import weldref
from weldref.data.store import open_store
from weldref.errors import InputError


@pytest.mark.parametrize("name", ["windows", "filter_shades", "sources", "quantities"])
def test_a_table_comes_whole_with_its_types(name: str) -> None:
    frame = weldref.table(name)
    (count,) = open_store().rows(f'SELECT count(*) AS n FROM "{name}"')  # noqa: S608
    assert len(frame) == count["n"]
    assert "object" not in {str(kind) for kind in frame.dtypes}
    assert frame.attrs["table"] == name
    assert frame.attrs["description"]
    assert len(frame.attrs["digest"]) == 64


def test_units_and_fixed_words_are_told() -> None:
    frame = weldref.table("windows")
    assert frame.attrs["unit_columns"]["min"] == "unit"
    assert str(frame.process.dtype) == str(frame.basis.dtype) == "category"
    assert frame.how_read.cat.categories.tolist() == ["memory", "secondary", "read"]
    assert (frame.how_read >= "secondary").sum() == (frame.how_read != "memory").sum()
    assert str(frame.thickness_min_inclusive.dtype) == "boolean"
    assert weldref.table("filter_shades").attrs["units"]["current_min"] == "A"


def test_a_name_that_is_no_table_is_refused_with_near_ones() -> None:
    with pytest.raises(InputError, match="did you mean filter_shades"):
        weldref.table("filter_shade")


@pytest.mark.parametrize("condition", ["true", "false"])
def test_a_query_has_types_without_rows_too(condition: str) -> None:
    frame = weldref.query(
        "SELECT 1 AS n, 1.5::DECIMAL(4, 1) AS d, 'a' AS t, true AS b, DATE '2026-01-31' AS day, "
        f"sum(1) AS s, NULL::DOUBLE AS x, [1] AS l GROUP BY ALL HAVING {condition}"
    )
    kinds = [str(kind) for kind in frame.dtypes]
    assert kinds == [
        *("Int64", "float64", "str", "boolean", "datetime64[us]", "Int64", "float64", "object"),
    ]
    assert len(frame) == (condition == "true")


def test_two_columns_of_one_name_and_what_is_too_large_are_kept() -> None:
    frame = weldref.query("SELECT 1 AS a, 'x' AS a, 2::HUGEINT * 10::HUGEINT ** 30 AS big")
    assert frame.columns.tolist() == ["a", "a", "big"]
    assert frame.iloc[0].tolist()[:2] == [1, "x"]
    assert float(frame.big[0]) == pytest.approx(2e30)


def test_what_was_left_out_is_told() -> None:
    assert weldref.query("SELECT * FROM range(5)", 3).attrs["cut"]
    assert not weldref.query("SELECT * FROM range(3)", 3).attrs["cut"]
