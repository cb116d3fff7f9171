"""Are the tables sound? Reads every CSV, checks it against its model and the others."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from weldref.schemas.rules import cross_table_problems
from weldref.schemas.tables import Problem, check_table, read_rows, table_models


def load(folder: Path) -> tuple[dict[str, pd.DataFrame], list[Problem]]:
    """Read and check every table below a folder laid out like ``datasets/``.

    Parameters
    ----------
    folder
        The folder that holds ``windows/``, ``vocabulary/`` and the rest.

    Returns
    -------
    tuple
        The tables by name, converted to their types and with the columns ``_file`` and
        ``_line``, and every problem found. With problems the tables may be incomplete.
    """
    tables: dict[str, pd.DataFrame] = {}
    problems: list[Problem] = []
    known: set[Path] = set()
    for name, (pattern, model) in table_models().items():
        columns = list(model.to_schema().columns)
        paths = sorted(folder.glob(pattern))
        if not paths:
            problems.append(Problem(pattern, None, "", "a missing file", "the table needs it"))
        parts = []
        for path in paths:
            frame, found = read_rows(path, path.relative_to(folder).as_posix(), columns)
            problems += found
            parts.append(frame)
        known.update(paths)
        frame = (
            pd.concat(parts, ignore_index=True)
            if parts
            else pd.DataFrame(columns=[*columns, "_file", "_line"])
        )
        typed, found = check_table(frame, model)
        problems += found
        tables[name] = typed.assign(_file=frame["_file"], _line=frame["_line"])
    for path in sorted(set(folder.rglob("*.csv")) - known):
        shown = path.relative_to(folder).as_posix()
        problems.append(Problem(shown, None, "", "this file", "no table has it"))
    problems += cross_table_problems(tables)
    problems.sort(key=lambda p: (p.file, p.line or 0, p.column))
    return tables, problems


def validate(folder: Path) -> list[Problem]:
    """List every failing cell of the tables below a folder; an empty list means none.

    >>> from weldref.store import datasets_folder
    >>> validate(datasets_folder())
    []
    """
    return load(folder)[1]
