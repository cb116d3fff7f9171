"""Open the data: one read-only duckdb file, built from the CSVs and cached by their digest.

The file is built once for each content of the tables, under a temporary name that is then
renamed, so that two processes may build at the same time and no half-built file is ever read.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
import tempfile
import threading
from collections.abc import Callable, Iterable
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from weldref.data.config import named_file
from weldref.data.fetch import fetch
from weldref.data.folder import HARDENED, datasets_folder, digest_of
from weldref.data.own import Given, OwnTables, chosen
from weldref.files import sweep, unfinished

if TYPE_CHECKING:
    import duckdb


@dataclass(frozen=True, slots=True)
class Store:
    """An open store.

    `connection` is read-only and may be used from one thread at a time; ask `cursor()` for
    another. `path` is None when no folder could be written and the store lives in memory.
    `digest` is that of the published tables; `own` are the own tables that were added, and
    `readings` is the file of readings that counts on this machine.
    """

    connection: duckdb.DuckDBPyConnection
    digest: str
    path: Path | None
    own: OwnTables | None = None
    readings: Path | None = None

    @property
    def beside(self) -> bool:
        """Whether own rows are beside the published ones, in the table `own_windows`."""
        return self.own is not None and self.own.mode == "beside"

    @property
    def instead(self) -> bool:
        """Whether the table `windows` holds own rows instead of the published ones."""
        return self.own is not None and self.own.mode == "instead"

    def rows(self, sql: str, parameters: dict[str, Any] | None = None) -> list[dict[str, Any]]:
        """Run a query of our own and return its rows as dictionaries."""
        return fetch(self.connection, sql, parameters)


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


CACHE_DAYS = 90
"""Days after which a built file is removed when another one is built."""

_opened: dict[str, Store] = {}
_read: dict[str, str] = {}
"""By the store without readings: the store with readings that was opened last."""
_lock = threading.Lock()


def open_store(
    folder: Path | None = None, own: OwnTables | None = None, readings: Path | None = None
) -> Store:
    """Open the store of a folder of tables, building it when its content is new.

    With own tables it is another store, built for the content of both and for the mode; the
    store of the published tables alone stays as it is. The same holds for readings.

    Raises
    ------
    DataError
        If a table does not follow its schema.
    InputError
        If the file of readings is not accepted; a file that does not exist holds none.
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
        alone = _opened[content]
        if readings is None or not readings.exists():
            return alone
        return _with_readings(alone, content, folder, readings)


def _open(folder: Path, digest: str, own: OwnTables | None, content: str) -> Store:
    # What is built depends on these modules too: another version of them builds another file.
    # folder.py holds the version that every answer prints.
    names = (
        "build.py",
        "folder.py",
        "schemas/rules.py",
        "../grades.py",
        *(("own.py",) if own else ()),
    )
    modules = [Path(__file__).parent / name for name in names]
    name = f"{'own-' if own else ''}{content[:24]}-{_digest_of(modules)[:8]}.duckdb"

    def write(place: str) -> duckdb.DuckDBPyConnection:
        from weldref.data.build import build

        return build(folder, digest, place, own)

    connection, path = _cached(name, write)
    return Store(connection, digest, path, own)


def _with_readings(alone: Store, content: str, folder: Path, readings: Path) -> Store:
    """Open the store with what was read on this machine, and remove the one before it."""
    from weldref.data import local_readings
    from weldref.data.readings import content_of

    given = content_of(readings)
    said = f"{content} {hashlib.sha256(given).hexdigest()} {readings.name}"
    read = hashlib.sha256(said.encode()).hexdigest()
    if read not in _opened:
        here = Path(__file__).parent
        modules = [here / "folder.py", *sorted(here.glob("*reading*"))]
        name = f"own-{read[:24]}-{_digest_of(modules)[:8]}.duckdb"

        def write(place: str) -> duckdb.DuckDBPyConnection:
            import duckdb

            from weldref.data.build import build

            if alone.path is None or place == ":memory:":
                connection = build(folder, alone.digest, place, alone.own)
            else:
                shutil.copyfile(alone.path, place)
                connection = duckdb.connect(place, config=dict(HARDENED))
            local_readings.add(connection, given, readings.name)
            return connection

        connection, path = _cached(name, write)
        _opened[read] = Store(connection, alone.digest, path, alone.own, readings)
    before = _read.get(content)
    _read[content] = read
    if before not in (None, read):  # at the desk each reading makes another one
        old = _opened.pop(str(before), None)
        with suppress(OSError):
            if old and old.path:
                old.path.unlink(missing_ok=True)
    return _opened[read]


def _digest_of(modules: list[Path]) -> str:
    return hashlib.sha256(b"".join(path.read_bytes() for path in modules)).hexdigest()


def _cached(
    name: str, write: Callable[[str], duckdb.DuckDBPyConnection]
) -> tuple[duckdb.DuckDBPyConnection, Path | None]:
    """Open a built file or build it, in memory if no folder can be written."""
    import duckdb

    for cache_folder in cache_folders():
        if _trusted(cache_folder / name):
            with suppress(duckdb.Error):  # a damaged file is built again
                return connect(cache_folder / name), cache_folder / name
    for cache_folder in cache_folders():
        try:
            cache_folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            sweep(cache_folder, "*.duckdb", days=CACHE_DAYS)
            with (
                unfinished(cache_folder / name) as building,
                closing(write(str(building))) as connection,
            ):
                connection.execute("CHECKPOINT")
        except (OSError, duckdb.Error):  # a full disk, say: another folder or memory may do
            continue
        return connect(cache_folder / name), cache_folder / name
    connection = write(":memory:")
    connection.execute("SET enable_external_access = false")
    return connection, None


def _trusted(path: Path) -> bool:
    """Tell whether a built file exists and is not another user's (the temp folder is shared)."""
    try:
        owner = path.stat().st_uid
    except OSError:
        return False
    return not hasattr(os, "getuid") or owner in (os.getuid(), 0)


def connect(path: Path) -> duckdb.DuckDBPyConnection:
    """Open a built store read-only, cut off from files and network."""
    import duckdb

    return duckdb.connect(str(path), read_only=True, config=dict(HARDENED))


def open_tables(given: Given = None) -> Store:
    """Open the store, with own tables and readings if some are chosen.

    >>> open_tables().own is None
    True
    """
    return open_store(own=chosen(given), readings=named_file())


def described(store: Store) -> dict[str, str] | None:
    """Return name, digest and mode of a store's own tables; None where it has none."""
    return store.rows("SELECT * FROM own_tables")[0] if store.own else None


def local_readings(store: Store) -> dict[str, Any] | None:
    """Return name and digest of the readings that count on this machine, and what they changed.

    `raised` rows were recalled and are now graded read; `differing` ones are beside the recalled
    ones. None where no readings count.

    >>> local_readings(open_store()) is None
    True
    """
    return store.rows("SELECT * FROM readings_file")[0] if store.readings else None


def read_here(store: Store, shown: Iterable[str]) -> list[str]:
    """Return which of the rows of an answer were read on this machine alone, by their keys.

    >>> read_here(open_store(), ["no-such:001"])
    []
    """
    if store.readings is None:
        return []
    local = {row["window_id"] for row in store.rows("SELECT window_id FROM windows WHERE local")}
    return [key for key in dict.fromkeys(shown) if key in local]
