"""Open the folder of a shop's or school's own tables, marked as such in every answer.

The folder is laid out like ``datasets/`` and holds ``sources.csv``, ``windows/*.csv`` and, if a
table of limits has a gap, ``reference/known_gaps.csv``. Its rows are shown beside the published
ones (and then change no verdict), or are judged instead of them.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from weldref.data.config import config_files, section
from weldref.errors import InputError

if TYPE_CHECKING:
    import duckdb

Mode = Literal["beside", "instead"]
MODES: tuple[Mode, ...] = get_args(Mode)

TABLES = ("windows", "sources", "known_gaps")
"""Tables that may have own rows; terms, sizes and units come from the published vocabulary."""

BY_OWN = "by own tables, not published"
"""Shown beside a verdict that rests on own rows alone."""

OWN_DOCUMENT = "own, not published"
"""Shown beside a document of the shop or school."""

_KEYS = ("own", "from_own", "own_rows", "own_tables")


@dataclass(frozen=True, slots=True)
class OwnTables:
    """A folder of own tables, and whether its rows are beside the published ones or instead.

    Raises
    ------
    InputError
        If the folder is not one of own tables, or the mode is not accepted.

    Examples
    --------
    >>> OwnTables(Path("no-such-folder"))
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: tables: 'no-such-folder' is not a folder; give one with sources.csv \
and windows/*.csv
    """

    folder: Path
    mode: Mode = "beside"
    called: str = "tables"
    """Where the folder was named, for messages."""

    def __post_init__(self) -> None:
        if self.mode not in MODES:
            raise InputError(
                f"{self.called}: mode '{self.mode}' is not accepted; give {' or '.join(MODES)}"
            )
        wanted = "give one with sources.csv and windows/*.csv"
        if not self.folder.is_dir():
            raise InputError(f"{self.called}: '{self.folder}' is not a folder; {wanted}")
        if not (self.folder / "sources.csv").is_file():
            raise InputError(f"{self.called}: '{self.folder}' has no sources.csv; {wanted}")
        if (self.folder / "vocabulary").exists():
            raise InputError(
                f"{self.called}: '{self.folder}' has a vocabulary; own tables use the published "
                "one: give a folder without it"
            )

    @property
    def name(self) -> str:
        """What the folder is called in answers."""
        return self.folder.resolve().name or "own"


Given = OwnTables | Path | str | None
"""How own tables are passed to a function; None asks the environment and the config file."""


def chosen(given: Given = None, *, instead: bool = False) -> OwnTables | None:
    """Find the own tables to use; None if there are none.

    What is given counts first, then the environment variables WELDREF_TABLES and
    WELDREF_TABLES_MODE, then the section ``[tables]`` with ``folder`` and ``mode`` of
    ``weldref.toml`` in the working folder, then of the one in the user's config folder.

    Parameters
    ----------
    given
        A folder, whose rows are then beside the published ones, or own tables as they are.
    instead
        Whether the rows are judged instead of the published ones, wherever the folder is named.

    Raises
    ------
    InputError
        If a folder, a key or a mode is not accepted, or `instead` has no own tables.

    Examples
    --------
    >>> chosen("no-such-folder")
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: tables: 'no-such-folder' is not a folder; give one with sources.csv \
and windows/*.csv
    """
    if given is not None:
        found = given if isinstance(given, OwnTables) else OwnTables(Path(given))
    else:
        named = _from_environment() or _from_config()
        if named is None:
            if instead:
                raise InputError("instead: no own tables are named; give them with --tables DIR")
            return None
        found = named
    return OwnTables(found.folder, "instead", found.called) if instead else found


def own_in(folder: Path | None, *, named: bool) -> OwnTables | None:
    """Tell a folder of own tables from a whole set of tables, by its vocabulary.

    >>> own_in(None, named=False) is None
    True
    """
    if folder is None:
        return None
    own = (folder / "sources.csv").is_file() and not (folder / "vocabulary").exists()
    return OwnTables(folder) if named or own else None


def _from_environment() -> OwnTables | None:
    folder = os.environ.get("WELDREF_TABLES")
    if not folder:
        return None
    mode: Any = os.environ.get("WELDREF_TABLES_MODE") or "beside"
    return OwnTables(Path(folder), mode, "WELDREF_TABLES")


def _from_config() -> OwnTables | None:
    named = section("tables")
    if named is None:
        return None
    path, given = named
    # The folder is relative to the file that names it.
    folder = path.parent / Path(given["folder"]).expanduser()
    mode: Any = given.get("mode", "beside")
    return OwnTables(folder, mode, str(path))


def name_in_config(folder: str) -> Path:
    """Name a folder of own tables in the user's config file; return that file.

    Parameters
    ----------
    folder
        The folder as seen from the config file, or as a whole path.

    Raises
    ------
    InputError
        If a config file already exists, or it cannot be written.
    """
    from weldref.files import write_whole

    path = config_files()[1]
    if path.exists():
        raise InputError(f"{path}: it already exists; name the folder in its section [tables]")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"{path.parent}: it cannot be made: {error.strerror}") from error
    # What JSON writes of a text, TOML reads as the same text.
    import json

    write_whole(path, f"[tables]\nfolder = {json.dumps(folder)}\n".encode(), "config")
    return path


def part_rows(
    connection: duckdb.DuckDBPyConnection, own: OwnTables, digest: str, windows_digest: str
) -> None:
    """Put own rows into a table of their own, and mark the names of own documents.

    `windows` holds what verdicts rest on, so that a reader never mixes the two.
    """
    instead = own.mode == "instead"
    about = "Own rows of a shop or school, not published, with the columns of windows."
    steps: tuple[tuple[str, list[Any]], ...] = (
        ("CREATE TABLE own_windows AS SELECT * FROM windows WHERE own ORDER BY window_id", []),
        (
            "CREATE OR REPLACE TABLE windows AS SELECT * FROM windows WHERE own = $1 "
            "ORDER BY window_id",
            [instead],
        ),
        (
            "CREATE OR REPLACE TABLE documents AS SELECT source_id, "
            "CASE WHEN own THEN format('{} ({})', name, $1::VARCHAR) ELSE name END AS name, own "
            "FROM documents JOIN sources USING (source_id) ORDER BY sources.rowid",
            [OWN_DOCUMENT],
        ),
        (
            "INSERT INTO table_list VALUES ('own_windows', 'windows/*.csv', $1, $2)",
            [about, windows_digest],
        ),
        (
            "UPDATE table_list SET description = concat('Instead of the published ones: ', $1) "
            "WHERE name = 'windows' AND $2",
            [about, instead],
        ),
        ("CREATE TABLE own_tables(name VARCHAR, digest VARCHAR, mode VARCHAR)", []),
        ("INSERT INTO own_tables VALUES ($1, $2, $3)", [own.name, digest, own.mode]),
    )
    for sql, values in steps:
        connection.execute(sql, values)


def line(own: dict[str, str] | None) -> str:
    """Say which own tables an answer used; an empty text if it used none.

    >>> line({"name": "workshop", "digest": "0123456789abcdef", "mode": "beside"})
    'own tables: workshop, 0123456789ab (beside published rows)'
    """
    if own is None:
        return ""
    return f"own tables: {own['name']}, {own['digest'][:12]} ({own['mode']} {_OTHERS[own['mode']]})"


_OTHERS = {"beside": "published rows", "instead": "of published rows"}


def heading(name: str) -> str:
    """Write the heading above own rows.

    >>> heading("workshop")
    'own rows of workshop, not published'
    """
    return f"own rows of {name}, not published"


def plain(answer: Any, used: object) -> Any:
    """Remove from an answer what is about own tables, if there are none.

    >>> plain({"rows": [{"min": 1, "own": False}], "own_tables": None}, None)
    {'rows': [{'min': 1}]}
    """
    if used is not None:
        return answer
    if isinstance(answer, dict):
        return {key: plain(value, used) for key, value in answer.items() if key not in _KEYS}
    if isinstance(answer, (list, tuple)):
        return type(answer)(plain(value, used) for value in answer)
    return answer
