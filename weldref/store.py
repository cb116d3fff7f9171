"""Where is the data? One read-only duckdb file, built from the CSVs and cached by their digest.

The file is built once for each content of the tables, under a temporary name that is then
renamed, so that two processes may build at the same time and no half-built file is ever read.
"""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
import threading
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from weldref.errors import DataError
from weldref.whole import sweep, unfinished

if TYPE_CHECKING:
    import duckdb
    import pandas as pd

    from weldref.own_tables import OwnTables

DATASET_VERSION = "1.0.0"
"""Version of the tables that ship with the package; datasets/README.md has the rule."""

DATASET_RELEASED = "2026-11-25"
"""The day on which that version was finished."""


@dataclass(frozen=True, slots=True)
class Store:
    """An open store.

    `connection` is read-only and may be used from one thread at a time; ask `cursor()` for
    another. `path` is None when no folder could be written and the store lives in memory.
    `digest` is that of the published tables; `own` are the own tables that were added.
    """

    connection: duckdb.DuckDBPyConnection
    digest: str
    path: Path | None
    own: OwnTables | None = None

    @property
    def beside(self) -> bool:
        """Whether own rows stand beside the published ones, in the table `own_windows`."""
        return self.own is not None and self.own.mode == "beside"

    @property
    def instead(self) -> bool:
        """Whether the table `windows` holds own rows instead of the published ones."""
        return self.own is not None and self.own.mode == "instead"

    def rows(self, sql: str, parameters: dict[str, Any] | None = None) -> list[dict[str, Any]]:
        """Run a query of our own and return its rows as dictionaries."""
        cursor = self.connection.cursor().execute(sql, parameters or {})
        names = [column[0] for column in cursor.description or ()]
        return [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]


def datasets_folder() -> Path:
    """Return the folder of the tables: beside the package's code, or in the source tree."""
    package = Path(__file__).parent
    inside = package / "datasets"
    return inside if inside.is_dir() else package.parent / "datasets"


def digest_of(folder: Path, pattern: str = "**/*.csv") -> str:
    """Return the SHA-256 of every table below a folder, names included, or of one table's files.

    >>> len(digest_of(datasets_folder()))
    64
    >>> digest_of(datasets_folder(), "windows/*.csv") == digest_of(datasets_folder())
    False
    """
    total = hashlib.sha256()
    for path in sorted(folder.glob(pattern)):
        total.update(path.relative_to(folder).as_posix().encode() + b"\0")
        total.update(hashlib.sha256(path.read_bytes()).digest())
    return total.hexdigest()


def cache_folders() -> list[Path]:
    """Return where a built store may lie, best first.

    The environment variable WELDREF_CACHE overrides the user's cache folder; the system's
    temporary folder serves where neither can be written.
    """
    temporary = Path(tempfile.gettempdir())
    user = os.getuid() if hasattr(os, "getuid") else os.environ.get("USERNAME", "user")
    if named := os.environ.get("WELDREF_CACHE"):
        best = Path(named)
    elif os.name == "nt":
        best = Path(os.environ.get("LOCALAPPDATA", temporary)) / "weldref"
    else:
        default = "~/Library/Caches" if sys.platform == "darwin" else "~/.cache"
        best = Path(os.environ.get("XDG_CACHE_HOME") or default).expanduser() / "weldref"
    return [best, temporary / f"weldref-{user}"]


KEPT = 90
"""Days after which a built file is removed when another one is built."""

_opened: dict[str, Store] = {}
_lock = threading.Lock()


def open_store(folder: Path | None = None, own: OwnTables | None = None) -> Store:
    """Open the store of a folder of tables, building it when its content is new.

    With own tables it is a store apart, built for the content of both and for the mode; the
    store of the published tables alone stays as it is.

    Raises
    ------
    DataError
        If a table does not follow its schema.
    """
    folder = folder or datasets_folder()
    digest = digest_of(folder)
    content = digest
    if own is not None:
        said = f"{digest} {digest_of(own.folder)} {own.mode} {own.name}"
        content = hashlib.sha256(said.encode()).hexdigest()
    with _lock:
        if content not in _opened:
            _opened[content] = _open(folder, digest, own, content)
        return _opened[content]


def _open(folder: Path, digest: str, own: OwnTables | None, content: str) -> Store:
    import duckdb

    # What is built depends on this module too: another version of it builds another file.
    modules = [Path(__file__), *([Path(__file__).with_name("own_tables.py")] if own else [])]
    built_by = hashlib.sha256(b"".join(path.read_bytes() for path in modules)).hexdigest()
    name = f"{'own-' if own else ''}{content[:24]}-{built_by[:8]}.duckdb"
    for cache_folder in cache_folders():
        if _trusted(cache_folder / name):
            with suppress(duckdb.Error):  # one that a disk has damaged is built anew
                return Store(connect(cache_folder / name), digest, cache_folder / name, own)
    for cache_folder in cache_folders():
        try:
            cache_folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            sweep(cache_folder, "*.duckdb", days=KEPT)
            with unfinished(cache_folder / name) as building:
                _build(folder, digest, str(building), own)
        except (OSError, duckdb.IOException, duckdb.FatalException):  # a full disk, say
            continue
        return Store(connect(cache_folder / name), digest, cache_folder / name, own)
    connection = _build(folder, digest, ":memory:", own)
    connection.execute("SET enable_external_access = false")
    return Store(connection, digest, None, own)


def _trusted(path: Path) -> bool:
    """Tell whether a built file is there and not somebody else's (the temp folder is shared)."""
    try:
        owner = path.stat().st_uid
    except OSError:
        return False
    return not hasattr(os, "getuid") or owner in (os.getuid(), 0)


HARDENED = {
    "enable_external_access": "false",
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    "threads": "2",
}
"""Nothing outside the file is ever read, and no extension is fetched."""


def connect(path: Path) -> duckdb.DuckDBPyConnection:
    """Open a built store read-only, cut off from files and network."""
    import duckdb

    return duckdb.connect(str(path), read_only=True, config=dict(HARDENED))


def _build(
    folder: Path, digest: str, path: str, own: OwnTables | None
) -> duckdb.DuckDBPyConnection:
    import duckdb

    from weldref.own_tables import TABLES as OWN_TABLES
    from weldref.own_tables import part_rows
    from weldref.validate import load

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
        truths = [c for c in frame.columns if c.endswith("_inclusive")]
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
    if path == ":memory:":
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
    from weldref.schemas.tables import table_models

    connection.execute(
        "CREATE TABLE table_list(name VARCHAR, path VARCHAR, description VARCHAR, digest VARCHAR)"
    )
    connection.executemany(
        "INSERT INTO table_list VALUES ($1, $2, $3, $4)",
        [
            [name, path, (model.__doc__ or "").strip().splitlines()[0], digest_of(folder, path)]
            for name, (path, model) in table_models().items()
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
    from weldref.schemas.rules import TREES

    return TREES


def _add_trees(connection: duckdb.DuckDBPyConnection, tables: dict[str, pd.DataFrame]) -> None:
    """Write each term with itself and all its broader terms, and each spelling with its term.

    Where the way to a broader term leads through a code's group, `membership` holds the grade
    with which the membership was read.
    """
    import pandas as pd

    from weldref.schemas.rules import cells

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
            spellings += [(tree, folded(w), term) for w in dict.fromkeys([term, *cells(words)])]
            reached: dict[str, tuple[int, str | None]] = {term: (0, None)}
            waiting = [term]
            while waiting:
                current = waiting.pop(0)
                depth, grade = reached[current]
                for parent in parents.get(current, []):
                    if parent not in reached:
                        reached[parent] = (depth + 1, membership.get((current, parent), grade))
                        waiting.append(parent)
            broader += [(tree, term, above, *found) for above, found in reached.items()]
    for name, columns, rows in (
        ("broader_terms", ["tree", "term", "broader", "depth", "membership"], broader),
        ("spellings", ["tree", "spelling", "term"], spellings),
    ):
        connection.register("frame", pd.DataFrame(rows, columns=columns))
        connection.execute(f"CREATE TABLE {name} AS SELECT DISTINCT * FROM frame")  # noqa: S608
        connection.unregister("frame")
