"""Who owns an edge: the same answer in Python and in SQL, by whatever unit the value came."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import duckdb
import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.core.bands import SLACK, Band, inside, inside_sql
from weldref.core.index import CONTRADICTS, thickness_code
from weldref.core.units import Units
from weldref.data.store import Store

# Up to 8 in, where the tables of thickness end.
EDGES = st.integers(1, 512).map(lambda k: k / 64)
OWNERS = st.none() | st.booleans()
WAYS = ("fraction", "decimal", "mm", "si")


def said(inches: float, way: str) -> str:
    """A size as somebody types it, or as a program hands it on."""
    if way == "fraction":
        whole, part = divmod(Fraction(inches), 1)
        return f"{whole} {part} in" if whole and part else f"{whole or part} in"
    if way == "decimal":
        return f"{inches} in"
    return f"{inches * 25.4!r} mm" if way == "mm" else f"{inches * 0.0254!r} m"


@pytest.fixture(scope="module")
def connection() -> Iterator[duckdb.DuckDBPyConnection]:
    with duckdb.connect() as opened:
        yield opened


Edges = tuple[float | None, float | None, bool | None, bool | None]


def in_sql(connection: duckdb.DuckDBPyConnection, value: float, band: Edges) -> bool:
    low, high, low_in, high_in = band
    sql = inside_sql("$value", "$low::DOUBLE", "$high::DOUBLE", "$low_in", "$high_in")
    named = {"value": value, "low": low, "high": high, "low_in": low_in, "high_in": high_in}
    ((answer,),) = connection.execute(f"SELECT {sql}", named).fetchall()
    assert isinstance(answer, bool)
    return answer


@given(EDGES, OWNERS, st.sampled_from(WAYS))
def test_an_edge_falls_in_the_band_that_owns_it(
    store: Store, connection: duckdb.DuckDBPyConnection, edge: float, owner: bool | None, way: str
) -> None:
    # `owner`: whether the upper band owns the edge; None where the source does not tell.
    value = Units(store).parse(said(edge, way), "length", "in", "size").si
    lower = None if owner is None else not owner
    # In the unit of the table, as reference tables are asked, and in metres, as windows are.
    for scale in (0.0254, 1.0):
        at, start, end = edge * 0.0254 / scale, edge * 0.0127 / scale, edge * 0.0508 / scale
        asked = value / scale
        for low, high, low_in, high_in, holds in (
            (start, at, True, lower, owner is not True),
            (at, end, owner, True, owner is not False),
            (None, at, None, lower, owner is not True),
            (at, None, owner, None, owner is not False),
        ):
            assert inside(asked, low, high, low_in, high_in) is holds
            assert in_sql(connection, asked, (low, high, low_in, high_in)) is holds


@given(
    st.floats(0, 1e4),
    st.tuples(st.none() | st.floats(0, 1e4), st.none() | st.floats(0, 1e4), OWNERS, OWNERS),
    st.sampled_from([1.0, 1 - SLACK, 1 + SLACK, 1 - 3 * SLACK, 1 + 3 * SLACK]),
)
def test_python_and_sql_agree(
    connection: duckdb.DuckDBPyConnection, value: float, band: Edges, near: float
) -> None:
    for asked in {value, *(edge * near for edge in band[:2] if edge is not None)}:
        assert in_sql(connection, asked, band) is inside(asked, *band)


@pytest.mark.parametrize("share", [1 - 1e-8, 1 + 1e-8])
def test_a_size_beside_the_edge_is_not_the_edge(share: float) -> None:
    assert inside(0.375 * share, None, 0.375, None, False) is (share < 1)
    assert inside(0.375 * share, 0.375, None, False, None) is (share > 1)


def test_a_band_without_edges_holds_anything() -> None:
    assert inside(7.0, None, None)
    assert duckdb.sql(f"SELECT {inside_sql('7.0', None, None)}").fetchall() == [(True,)]


@given(EDGES, st.booleans(), st.booleans(), st.sampled_from([0.5, 0.9, 1.0, 1.1, 2.0]))
def test_rows_are_found_by_the_same_rule(
    edge: float, low_in: bool, high_in: bool, share: float
) -> None:
    low, high, thick = edge * 0.0254, edge * 0.0508, edge * share * 25.4 / 1000
    code = thickness_code(Band(low, high, low_in, high_in), thick)
    assert (code != CONTRADICTS) is inside(thick, low, high, low_in, high_in)
