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
from pathlib import Path
from typing import TYPE_CHECKING, Any

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

    from weldref.data import build

    # What is built depends on these modules too: another version of them builds another file.
    modules = [Path(build.__file__), *([Path(__file__).with_name("own.py")] if own else [])]
    built_by = hashlib.sha256(b"".join(path.read_bytes() for path in modules)).hexdigest()
    name = f"{'own-' if own else ''}{content[:24]}-{built_by[:8]}.duckdb"
    for cache_folder in cache_folders():
        if _trusted(cache_folder / name):
            with suppress(duckdb.Error):  # one that a disk has damaged is built anew
                return Store(connect(cache_folder / name), digest, cache_folder / name, own)
    for cache_folder in cache_folders():
        try:
            cache_folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            sweep(cache_folder, "*.duckdb", days=CACHE_DAYS)
            with unfinished(cache_folder / name) as building:
                build.build(folder, digest, str(building), own)
        except (OSError, duckdb.IOException, duckdb.FatalException):  # a full disk, say
            continue
        return Store(connect(cache_folder / name), digest, cache_folder / name, own)
    connection = build.build(folder, digest, ":memory:", own)
    connection.execute("SET enable_external_access = false")
    return Store(connection, digest, None, own)


def _trusted(path: Path) -> bool:
    """Tell whether a built file is there and not somebody else's (the temp folder is shared)."""
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
    """Open the store: with own tables where some are chosen, else of the published ones alone.

    >>> open_tables().own is None
    True
    """
    return open_store(own=chosen(given))


def described(store: Store) -> dict[str, str] | None:
    """Return name, digest and mode of a store's own tables; None where it has none."""
    return store.rows("SELECT * FROM own_tables")[0] if store.own else None
