"""Turn rows into a pandas frame with the types of their columns, whatever the rows are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from weldref.data.own import Given
from weldref.data.store import Store, open_tables
from weldref.errors import InputError
from weldref.grades import GRADES

if TYPE_CHECKING:
    import pandas as pd

GRADE_ORDER = GRADES[::-1]
"""Weakest first, so that ``frame[frame.how_read >= "secondary"]`` says what it seems to say."""

_DTYPES = {
    "VARCHAR": "str",
    "BOOLEAN": "boolean",
    **dict.fromkeys(("DOUBLE", "FLOAT", "DECIMAL"), "float64"),
    **dict.fromkeys(("HUGEINT", "BIGINT", "INTEGER", "SMALLINT", "TINYINT"), "Int64"),
    **dict.fromkeys(("UHUGEINT", "UBIGINT", "UINTEGER", "USMALLINT", "UTINYINT"), "UInt64"),
    **dict.fromkeys(("DATE", "TIMESTAMP"), "datetime64[us]"),
}
"""The pandas type of each type of the database; any other is left as it comes."""


def typed(rows: Iterable[Sequence[Any]], types: Sequence[tuple[str, str]]) -> pd.DataFrame:
    """Make a frame of rows, each column of the type that the database gives it.

    Parameters
    ----------
    rows
        Values in the order of the columns.
    types
        The name of every column and the database's type of it; names may stand twice.

    Examples
    --------
    >>> [str(kind) for kind in typed([], [("quantity", "VARCHAR"), ("min", "DOUBLE")]).dtypes]
    ['str', 'float64']
    """
    import pandas as pd

    values = list(rows)
    made = {
        place: _column(pd.Series([row[place] for row in values], dtype=object), kind)
        for place, (_, kind) in enumerate(types)
    }
    frame = pd.DataFrame(made)
    frame.columns = pd.Index([name for name, _ in types], dtype="str")
    return frame


def _column(values: pd.Series[Any], kind: str) -> pd.Series[Any]:
    wanted = _DTYPES.get(kind.partition("(")[0].partition(" ")[0])
    # A value too large for the type (a sum, a date of the year 300000) is kept as it comes.
    with suppress(ValueError, OverflowError, TypeError):
        return values.astype(wanted) if wanted else values  # type: ignore[call-overload]
    return values


def column_types(store: Store, table: str) -> list[tuple[str, str]]:
    """Return the name of every column of a table and the database's type of it.

    >>> column_types(open_tables(), "windows")[0]
    ('window_id', 'VARCHAR')
    """
    rows = store.rows(
        "SELECT column_name AS name, data_type AS type FROM duckdb_columns() "
        "WHERE table_name = $table ORDER BY column_index",
        {"table": table},
    )
    return [(row["name"], row["type"]) for row in rows]


def one_of(values: pd.Series[Any], words: Sequence[str], *, ordered: bool = False) -> Any:
    """Make a column one of a fixed list of words, the weakest first where they are ordered."""
    import pandas as pd

    return values.astype(pd.CategoricalDtype([*words], ordered=ordered))


def table(name: str, own: Given = None) -> pd.DataFrame:
    """Return a whole table of the dataset as a pandas frame.

    Parameters
    ----------
    name
        The table's name, as `weldref.tables` lists it.
    own
        Own tables, as in `weldref.check`.

    Returns
    -------
    pandas.DataFrame
        Words of a fixed list and keys of other tables are categories; the grades in ``how_read``
        are ordered. ``attrs`` holds the table's name and description, the version and digest
        of the dataset, ``units`` (column to unit, "1" for a plain number) and ``unit_columns``
        (column to the column that holds its unit).

    Raises
    ------
    InputError
        If there is no such table.

    Examples
    --------
    >>> shades = table("filter_shades")
    >>> shades.attrs["units"]["current_min"], str(shades.current_min.dtype)
    ('A', 'float64')
    """
    from weldref.data.schemas.schema import schema_of

    store = open_tables(own)
    listed = {row["name"]: row for row in store.rows("SELECT name, description FROM table_list")}
    if name not in listed:
        near = get_close_matches(name, listed, n=3, cutoff=0.4)
        hint = f"did you mean {', '.join(near)}?" if near else "see weldref.tables()"
        raise InputError(f"table: '{name}' is not known; {hint}")
    rows = store.rows(f'SELECT * FROM "{name}" ORDER BY rowid')  # noqa: S608  it is listed
    frame = typed(([*row.values()] for row in rows), column_types(store, name))
    columns = schema_of("windows" if name == "own_windows" else name).columns
    units, unit_columns = {}, {}
    for column, told in columns.items():
        metadata = told.metadata or {}
        if metadata.get("unit"):
            units[str(column)] = metadata["unit"]
        if metadata.get("unit_in"):
            unit_columns[str(column)] = metadata["unit_in"]
        words = any(check.name == "isin" for check in told.checks)
        if column == "how_read":
            frame[column] = one_of(frame[column], GRADE_ORDER, ordered=True)
        elif str(frame[column].dtype) == "str" and (
            words or ("references" in metadata and not metadata.get("many"))
        ):
            frame[column] = frame[column].astype("category")
    (dataset,) = store.rows("SELECT version, digest FROM dataset")
    frame.attrs |= {
        "table": name,
        "description": listed[name]["description"],
        **dataset,
        "units": units,
        "unit_columns": unit_columns,
    }
    return frame


def query(sql: str, most_rows: int = 1000) -> pd.DataFrame:
    """Run one read-only SELECT against the tables, in a process with limits of its own.

    Parameters
    ----------
    sql
        One statement in the dialect of duckdb.
    most_rows
        More rows than this are left out; ``attrs["cut"]`` then says so.

    Returns
    -------
    pandas.DataFrame
        With the types that the database gives the columns, without rows too.

    Raises
    ------
    InputError
        If it is no SELECT, fails, or asks for more time or memory than it may have.

    Examples
    --------
    >>> query("SELECT count(*) AS n FROM sources WHERE source_id = 'usc-15-206'").n.tolist()
    [1]
    """
    from weldref.data.query import run_query

    answer = run_query(sql, most_rows)
    frame = typed(answer.rows, list(zip(answer.columns, answer.types, strict=True)))
    frame.attrs["cut"] = answer.cut
    return frame
