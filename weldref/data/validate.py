"""Check that the tables are sound: each CSV against its model, then against the others."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pandas as pd

from weldref.data.own import TABLES, OwnTables
from weldref.data.schemas.declared import declared
from weldref.data.schemas.rules import cross_table_problems
from weldref.data.schemas.tables import Problem, checked, read_files


def load(
    folder: Path, own: OwnTables | None = None
) -> tuple[dict[str, pd.DataFrame], list[Problem]]:
    """Read and check every table below a folder laid out like ``datasets/``.

    Own tables are checked together with the published ones: they refer to each other.

    Parameters
    ----------
    folder
        The folder that holds ``windows/``, ``vocabulary/`` and the rest.
    own
        Own tables to add.

    Returns
    -------
    tuple
        The tables by name, converted to their types and with the columns ``_file``, ``_line``
        and ``_own``, and every problem found. With problems the tables may be incomplete.
    """
    tables: dict[str, pd.DataFrame] = {}
    problems: list[Problem] = []
    known: set[Path] = set()
    own_files: set[str] = set()
    for name, table in declared().items():
        pattern = table.files
        paths = {path: path.relative_to(folder).as_posix() for path in sorted(folder.glob(pattern))}
        if not paths:
            problems.append(Problem(pattern, None, "", "a missing file", "the table needs it"))
        if own and name in TABLES:
            added = {path: _shown(own, path) for path in sorted(own.folder.glob(pattern))}
            if name == "windows" and not added:
                file = f"{own.name}/{pattern}"
                problems.append(Problem(file, None, "", "a missing file", "the table needs it"))
            own_files.update(added.values())
            paths |= added
        known.update(paths)
        typed, found = checked(name, read_files(paths))
        problems += found
        tables[name] = typed.assign(_own=typed["_file"].isin(own_files))
    for path in sorted(set(folder.rglob("*.csv")) - known):
        shown = path.relative_to(folder).as_posix()
        problems.append(Problem(shown, None, "", "this file", "no table has it"))
    problems += cross_table_problems(tables, sound=not problems)
    if own:
        for path in sorted(set(own.folder.rglob("*.csv")) - known):
            problems.append(Problem(_shown(own, path), None, "", "this file", _ACCEPTED))
        problems += _own_problems(tables)
        # A key that is in both is reported where it can be corrected.
        problems = [p for p in problems if p.file.startswith(f"{own.name}/")] or problems
    problems.sort(key=lambda p: (p.file, p.line or 0, p.column))
    return tables, problems


_ACCEPTED = (
    "own tables hold windows/*.csv, sources.csv and reference/known_gaps.csv; terms, sizes and "
    "units come from the published vocabulary"
)


def _shown(own: OwnTables, path: Path) -> str:
    return f"{own.name}/{path.relative_to(own.folder).as_posix()}"


def _own_problems(tables: dict[str, pd.DataFrame]) -> Iterator[Problem]:
    """Own rows cite own documents, and an own document names its shop or school."""
    sources = tables["sources"]
    published = set(sources.loc[~sources["_own"], "source_id"])
    for name in ("windows", "known_gaps"):
        frame = tables[name]
        for _, row in frame[frame["_own"] & frame["source_id"].isin(published)].iterrows():
            accepted = "an own row cites a document of the sources.csv beside it"
            value = f"'{row['source_id']}'"
            yield Problem(str(row["_file"]), int(row["_line"]), "source_id", value, accepted)
    for _, row in sources[sources["_own"] & sources["issuer"].isna()].iterrows():
        accepted = "name the shop or school"
        yield Problem(str(row["_file"]), int(row["_line"]), "issuer", "an empty cell", accepted)


def validate(folder: Path, own: OwnTables | None = None) -> list[Problem]:
    """List every failing cell of the tables below a folder; an empty list means none.

    With own tables, those of theirs.

    >>> from weldref.data.folder import datasets_folder
    >>> validate(datasets_folder())
    []
    """
    return load(folder, own)[1]
