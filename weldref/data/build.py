"""Build the duckdb file of the tables: load, validate, convert to SI, write trees and names."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from weldref.data.folder import DATASET_VERSION, HARDENED, digest_of
from weldref.data.own import TABLES as OWN_TABLES
from weldref.data.own import OwnTables, part_rows
from weldref.errors import DataError
from weldref.grades import GRADES, accepted_grades

TRUTHS = ("_inclusive", "_machine", "leads", "holds_back")

if TYPE_CHECKING:
    import duckdb
    import pandas as pd


def build(
    folder: Path, digest: str, path: str, own: OwnTables | None, *, leave_open: bool = False
) -> duckdb.DuckDBPyConnection:
    """Write the store of a folder of tables, and of own tables, to a path or to memory.

    What is written to a path is closed, unless more is to be written.

    Raises
    ------
    DataError
        If a table does not follow its schema, or the tables change meanwhile.
    """
    import duckdb

    from weldref.data.validate import load

    own_digest = digest_of(own.folder) if own else ""
    tables, problems = load(folder, own)
    if problems:
        shown = "\n".join(str(problem) for problem in problems[:20])
        more = f"\n... and {len(problems) - 20} more" if len(problems) > 20 else ""
        below = own.folder if own else folder
        raise DataError(f"the tables below {below} do not follow their schemas:\n{shown}{more}")
    connection = duckdb.connect(path, config={**HARDENED, "enable_external_access": "true"})
    for name, frame in tables.items():
        marks = ["_file", "_line", "_own"]
        marked = frame.assign(own=frame["_own"]) if own and name in OWN_TABLES else frame
        connection.register("frame", marked.drop(columns=marks))
        truths = [c for c in frame.columns if c.endswith(TRUTHS)]
        cast = ", ".join(f'"{c}"::BOOLEAN AS "{c}"' for c in truths)
        replaced = f" REPLACE ({cast})" if truths else ""
        connection.execute(f'CREATE TABLE "{name}" AS SELECT *{replaced} FROM frame')  # noqa: S608
        connection.unregister("frame")
    _add_table_list(connection, folder)
    _add_conversions(connection, tables["units"])
    _add_si_columns(connection)
    _add_document_names(connection)
    _add_trees(connection, tables)
    if own:
        part_rows(connection, own, own_digest, digest_of(own.folder, "windows/*.csv"))
    if digest_of(folder) != digest:
        raise DataError(f"the tables below {folder} changed while they were read; try again")
    if own and digest_of(own.folder) != own_digest:
        raise DataError(f"the tables below {own.folder} changed while they were read; try again")
    connection.execute("CREATE TABLE dataset(version VARCHAR, digest VARCHAR)")
    connection.execute("INSERT INTO dataset VALUES ($1, $2)", [DATASET_VERSION, digest])
    if path == ":memory:" or leave_open:
        return connection
    connection.execute("CHECKPOINT")
    connection.close()
    return connection


def _add_document_names(connection: duckdb.DuckDBPyConnection) -> None:
    """Name each document in one line: title, number, edition."""
    connection.execute(
        """
        CREATE TABLE documents AS SELECT source_id, concat_ws(', ', title,
            CASE WHEN contains(title, document_number) THEN NULL ELSE document_number END,
            CASE WHEN contains(title, edition) THEN NULL
                WHEN contains(edition, 'edition') OR regexp_matches(edition, '[0-9]{4}')
                    THEN edition
                ELSE 'edition ' || edition END) AS name
        FROM sources
        """
    )


def _add_table_list(connection: duckdb.DuckDBPyConnection, folder: Path) -> None:
    from weldref.data.schemas.declared import declared

    connection.execute(
        "CREATE TABLE table_list(name VARCHAR, path VARCHAR, description VARCHAR, digest VARCHAR)"
    )
    connection.executemany(
        "INSERT INTO table_list VALUES ($1, $2, $3, $4)",
        [
            [name, table.files, table.about, digest_of(folder, table.files)]
            for name, table in declared().items()
        ],
    )


def _add_conversions(connection: duckdb.DuckDBPyConnection, units: pd.DataFrame) -> None:
    """Ask pint what each unit is in SI: value_si = value * factor + shift."""
    import pandas as pd
    import pint

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)

    def si(value: float, expression: str) -> float:
        return float(registry.Quantity(value, expression).to_base_units().magnitude)

    frame = pd.DataFrame(
        [
            (unit, si(1.0, expression) - si(0.0, expression), si(0.0, expression))
            for unit, expression in zip(units["unit"], units["pint_expression"], strict=True)
        ],
        columns=["unit", "factor", "shift"],
    )
    connection.register("frame", frame)
    connection.execute("CREATE TABLE conversions AS SELECT * FROM frame")
    connection.unregister("frame")


def _add_si_columns(connection: duckdb.DuckDBPyConnection) -> None:
    """Compute the SI columns of the windows; a gauge number means US standard gauge."""
    connection.execute(
        """
        CREATE OR REPLACE TABLE windows AS
        WITH gauges AS (
            SELECT TRY_CAST(gauge AS DOUBLE) AS gauge, any_value(thickness_in) * 0.0254 AS metres
            FROM sheet_gauges
            WHERE gauge_system = 'US standard gauge' AND regexp_matches(gauge, '^[1-9][0-9]?$')
            GROUP BY 1
        )
        SELECT
            w.*,
            w.min * c.factor + c.shift AS min_si,
            w.max * c.factor + c.shift AS max_si,
            w.typical * c.factor + c.shift AS typical_si,
            CASE w.thickness_unit WHEN 'gauge' THEN low.metres
                ELSE w.thickness_min * t.factor END AS thickness_min_si,
            CASE w.thickness_unit WHEN 'gauge' THEN high.metres
                ELSE w.thickness_max * t.factor END AS thickness_max_si
        FROM windows w
        JOIN conversions c ON c.unit = w.unit
        LEFT JOIN conversions t ON t.unit = w.thickness_unit
        LEFT JOIN gauges low ON w.thickness_unit = 'gauge' AND low.gauge = w.thickness_min
        LEFT JOIN gauges high ON w.thickness_unit = 'gauge' AND high.gauge = w.thickness_max
        ORDER BY w.window_id
        """
    )


@cache
def tree_names() -> tuple[str, ...]:
    """Return the vocabulary tables whose terms form trees."""
    from weldref.data.schemas.rules import TREES

    return TREES


def _add_trees(connection: duckdb.DuckDBPyConnection, tables: dict[str, pd.DataFrame]) -> None:
    """Write each term with itself and all its broader terms, and each spelling with its term.

    Where the way to a broader term leads through a code's group, `membership` holds the grade
    with which the membership was read.
    """
    import pandas as pd

    from weldref.data.schemas.rules import cells

    broader: list[tuple[str, str, str, int, str | None]] = []
    spellings: list[tuple[str, str, str]] = []
    keys = {"units": "unit", "quantities": "quantity", "electrode_sizes": "size", "gases": "term"}
    groups: dict[str, list[str]] = {}
    membership: dict[tuple[str, str], str] = {}
    columns = ["material", "group", "how_read"]
    for material, group, grade in tables["material_groups"][columns].itertuples(index=False):
        groups.setdefault(material, []).append(group)
        membership[material, group] = grade
    for tree in (*tree_names(), *keys):
        frame = tables[tree]
        key = keys.get(tree, "term")
        parents = (
            {
                term: cells(above)
                for term, above in zip(frame["term"], frame["parents"], strict=True)
            }
            if "parents" in frame
            else {}
        )
        if tree == "materials":
            parents = {term: wider + groups.get(term, []) for term, wider in parents.items()}
        for term, words in zip(frame[key], frame["spellings"], strict=True):
            folded = (str.casefold, str)[tree == "units"]
            every = dict.fromkeys([term, *(word.removesuffix("?") for word in cells(words))])
            spellings += [(tree, folded(word), term) for word in every]
            reached = _reached(term, parents, membership)
            broader += [(tree, term, above, *found) for above, found in reached.items()]
    for name, columns, rows in (
        ("broader_terms", ["tree", "term", "broader", "depth", "membership"], broader),
        ("spellings", ["tree", "spelling", "term"], spellings),
    ):
        connection.register("frame", pd.DataFrame(rows, columns=columns))
        connection.execute(f"CREATE TABLE {name} AS SELECT DISTINCT * FROM frame")  # noqa: S608
        connection.unregister("frame")


def _reached(
    term: str, parents: dict[str, list[str]], membership: dict[tuple[str, str], str]
) -> dict[str, tuple[int, str | None]]:
    """Return all that is broader than a term, with its distance and the grade of the way to it.

    The best-read way counts: first the tree alone, then memberships of each grade in turn.
    """
    reached: dict[str, tuple[int, str | None]] = {}
    for grade in (None, *GRADES):
        allowed = accepted_grades(grade) if grade else ()
        depths = {term: 0}
        waiting = [term]
        while waiting:
            current = waiting.pop(0)
            for parent in parents.get(current, []):
                known = membership.get((current, parent))
                if parent not in depths and (known is None or known in allowed):
                    depths[parent] = depths[current] + 1
                    waiting.append(parent)
        for above, depth in depths.items():
            reached.setdefault(above, (depth, grade))
    return reached
