"""Compare two datasets row by row, by the key of each table."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from weldref.errors import InputError
from weldref.exchange.dataset import Cell, Dataset, Row, Table, shown, text
from weldref.exchange.read_dataset import read_dataset
from weldref.exchange.table_schema import empty_keys, key_of, types
from weldref.exchange.versions import STEPS, step_of_change, turn

Key = tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One changed cell of a row that is in both: the row's key, the column, both values."""

    key: Key
    column: str
    old: Cell
    new: Cell

    @property
    def turn(self) -> str:
        """For an evidence grade "raised" or "lowered", for anything else "changed"."""
        return turn(self.column, self.old, self.new)


@dataclass(frozen=True, slots=True)
class TableDifference:
    """What changed in one table; `key` names the columns that identify a row."""

    table: str
    key: tuple[str, ...]
    presence: str = "both"
    """Whether the table is in "both", or was "added" or "removed" as a whole."""
    added: tuple[dict[str, Cell], ...] = ()
    removed: tuple[dict[str, Cell], ...] = ()
    changes: tuple[Change, ...] = ()
    columns_added: tuple[str, ...] = ()
    columns_removed: tuple[str, ...] = ()

    def turned(self, how: str) -> tuple[Change, ...]:
        """Return the changes of one kind: changed, raised or lowered."""
        return tuple(change for change in self.changes if change.turn == how)

    def __bool__(self) -> bool:
        parts = (self.added, self.removed, self.changes, self.columns_added, self.columns_removed)
        return self.presence != "both" or any(parts)


@dataclass(frozen=True, slots=True)
class Differences:
    """What changed from one dataset to another, by table."""

    old: Dataset
    new: Dataset
    tables: tuple[TableDifference, ...] = ()

    @property
    def step(self) -> str:
        """The kind of version step: none, patch, minor or major."""
        return max((_step(one) for one in self.tables), key=STEPS.index, default="none")

    def as_dict(self) -> dict[str, Any]:
        """Return plain values for JSON."""
        return {
            "old": _said(self.old),
            "new": _said(self.new),
            "step": self.step,
            "tables": [_plain(one) for one in self.tables],
        }


def _step(one: TableDifference) -> str:
    if one.presence == "removed" or one.removed or one.columns_removed:
        return "major"
    found = [step_of_change(c.column, c.old, c.new) for c in one.changes]
    if one.presence == "added" or one.added or one.columns_added:
        found.append("minor")
    return max(found, key=STEPS.index, default="none")


def diff(old: str | Path | Dataset, new: str | Path | Dataset) -> Differences:
    """Compare two datasets: folders, exports or stores.

    Parameters
    ----------
    old, new
        A datasets folder, a file or folder that `weldref.export` wrote, or a store.

    Raises
    ------
    InputError
        If one of them cannot be read, has a key twice, or lacks a column of a table's key.

    Examples
    --------
    >>> from weldref.data.folder import datasets_folder
    >>> diff(datasets_folder(), datasets_folder()).step
    'none'
    """
    old = old if isinstance(old, Dataset) else read_dataset(old)
    new = new if isinstance(new, Dataset) else read_dataset(new)
    names = [*new.tables, *(name for name in old.tables if name not in new.tables)]
    order = list(types())
    names.sort(key=lambda name: (order.index(name) if name in order else len(order), name))
    found = (_compare(name, old, new) for name in names)
    return Differences(old, new, tuple(one for one in found if one))


def _compare(name: str, old: Dataset, new: Dataset) -> TableDifference:
    before, after = old.tables.get(name), new.tables.get(name)
    if before is None or after is None:
        there = old if after is None else new
        key, rows = _keyed(name, there, there.tables[name], there.tables[name].columns)
        whole = tuple(_filled(there.tables[name], row) for row in rows.values())
        if after is None:
            return TableDifference(name, key, "removed", removed=whole)
        return TableDifference(name, key, "added", added=whole)
    added = tuple(c for c in after.columns if c not in before.columns)
    gone = tuple(c for c in before.columns if c not in after.columns)
    # A column that was added to a key, or removed from it, counts as empty where it is missing.
    before, after = (_with_key(name, t, other) for t, other in ((before, after), (after, before)))
    common = tuple(column for column in after.columns if column in before.columns)
    key, one = _keyed(name, old, before, common)
    _, two = _keyed(name, new, after, common)
    others = [column for column in common if column not in key]
    places = [(c, before.columns.index(c), after.columns.index(c)) for c in others]
    changes = [
        Change(found, column, one[found][i], row[j])
        for found, row in two.items()
        if found in one
        for column, i, j in places
        if one[found][i] != row[j]
    ]
    return TableDifference(
        name,
        key,
        added=tuple(_filled(after, row) for found, row in two.items() if found not in one),
        removed=tuple(_filled(before, row) for found, row in one.items() if found not in two),
        changes=tuple(changes),
        columns_added=added,
        columns_removed=gone,
    )


def _with_key(name: str, table: Table, other: Table) -> Table:
    """Add the columns of the key that the other table has and that may be empty."""
    known = empty_keys(name) if name in types() else frozenset()
    lacking = tuple(c for c in other.columns if c in known and c not in table.columns)
    rows = tuple((*row, *(None,) * len(lacking)) for row in table.rows)
    return Table((*table.columns, *lacking), rows) if lacking else table


def _keyed(
    name: str, dataset: Dataset, table: Table, common: tuple[str, ...]
) -> tuple[tuple[str, ...], dict[Key, Row]]:
    """Sort a table's rows by key; in a table that no schema names, the whole row is the key."""
    key = key_of(name) if name in types() else common
    if missing := [column for column in key if column not in common]:
        raise InputError(
            f"'{dataset.name}': table '{shown(name)}' has no column '{missing[0]}' (or the other "
            "dataset has not); it is part of the key"
        )
    places = [table.columns.index(column) for column in key]
    rows: dict[Key, Row] = {}
    for row in table.rows:
        found = tuple(row[place] for place in places)
        if found in rows:
            shown_key = ", ".join(map(text, found))[:80]
            raise InputError(
                f"'{dataset.name}': the key '{shown_key}' appears twice in '{shown(name)}'"
            )
        rows[found] = row
    return key, dict(sorted(rows.items(), key=lambda item: [text(part) for part in item[0]]))


def _filled(table: Table, row: Row) -> dict[str, Cell]:
    return {c: v for c, v in zip(table.columns, row, strict=True) if v is not None}


def _said(dataset: Dataset) -> dict[str, Any]:
    return {"name": dataset.name, "version": dataset.version, "digest": dataset.digest}


def _plain(one: TableDifference) -> dict[str, Any]:
    def listed(how: str) -> list[dict[str, Any]]:
        return [
            {
                "key": dict(zip(one.key, change.key, strict=True)),
                "column": change.column,
                "from": change.old,
                "to": change.new,
            }
            for change in one.turned(how)
        ]

    return {
        "table": one.table,
        "presence": one.presence,
        "key": list(one.key),
        "columns_added": list(one.columns_added),
        "columns_removed": list(one.columns_removed),
        "added": list(one.added),
        "removed": list(one.removed),
        "changed": listed("changed"),
        "grades_raised": listed("raised"),
        "grades_lowered": listed("lowered"),
    }
