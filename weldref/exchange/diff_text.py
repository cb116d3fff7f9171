"""Show the differences between two datasets, for a terminal and for the change log."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

from weldref.errors import InputError
from weldref.exchange.dataset import Cell, Dataset, text
from weldref.exchange.diff import Change, Differences, TableDifference
from weldref.exchange.versions import next_version
from weldref.text import WIDTH, clean, table

Item = TypeVar("Item")
SORTS = (("changed", "changed"), ("grade raised", "raised"), ("grade lowered", "lowered"))


def diff_text(found: Differences, most: int = 20) -> str:
    """Write differences for a terminal, at most so many rows of each sort and table."""
    lines = [f"old: {_dataset(found.old)}", f"new: {_dataset(found.new)}", ""]
    for one in found.tables:
        lines += [*_table(one, most), ""]
    if not found.tables:
        return "\n".join([*lines, "no differences"])
    return "\n".join([*lines, _counts(found.tables), _step(found)])


def _dataset(dataset: Dataset) -> str:
    version = f"version {clean(dataset.version[:40])}" if dataset.version else "version not stated"
    digest = f", {clean(dataset.digest[:12])}" if dataset.digest else ""
    return f"{clean(dataset.name)}, {version}{digest}"


def _step(found: Differences) -> str:
    try:
        follows = f"; {found.old.version} -> {next_version(found.old.version or '', found.step)}"
    except InputError:
        follows = ""
    return f"version step: {found.step}{follows}"


def _table(one: TableDifference, most: int) -> list[str]:
    whole = {"added": ", a new table", "removed": ", removed as a whole"}.get(one.presence, "")
    lines = [f"{clean(one.table)}{whole}"]
    lines += [f"  column {name}: added" for name in one.columns_added]
    lines += [f"  column {name}: removed" for name in one.columns_removed]
    if one.presence == "both":
        for title, rows in (("added", one.added), ("removed", one.removed)):
            lines += _listed(title, rows, lambda row: _key([row.get(c) for c in one.key]), most)
        for title, how in SORTS:
            lines += _listed(title, one.turned(how), _change, most)
    else:
        lines.append(f"  rows: {len(one.added or one.removed)}")
    return lines


def _listed(
    title: str, items: Sequence[Item], write: Callable[[Item], str], most: int
) -> list[str]:
    lines = [f"  {title}: {write(item)}" for item in items[:most]]
    left = len(items) - most
    return [*lines, f"  {title}: ... and {left:,} more (--rows, --json)"] if left > 0 else lines


def _key(parts: Iterable[Cell]) -> str:
    return ", ".join(_short(text(part)) or "-" for part in parts)


def _change(change: Change) -> str:
    before, after = (_short(text(value)) or "(empty)" for value in (change.old, change.new))
    return f"{_key(change.key)}: {change.column}: {before} -> {after}"


def _short(value: str) -> str:
    value = clean(value)
    return value if len(value) <= WIDTH else f"{value[: WIDTH - 4]} ..."


COUNTED = ("table", "added", "changed", "raised", "lowered", "removed")


def _counted(one: TableDifference) -> tuple[int, int, int, int, int]:
    """Count rows (several changed cells of one row are one row)."""
    changed, raised, lowered = (
        len({change.key for change in one.turned(how)}) for how in ("changed", "raised", "lowered")
    )
    return len(one.added), changed, raised, lowered, len(one.removed)


def _counts(tables: Iterable[TableDifference]) -> str:
    return table(COUNTED, [(one.table, *_counted(one)) for one in tables])


def changelog_entry(found: Differences, date: str) -> str:
    """Write the differences as an entry of ``datasets/CHANGELOG.md``.

    The version is that of the new dataset, or the one that the rule asks for if it has none of
    its own yet.

    >>> one, two = Dataset("one", {}, "1.0.0"), Dataset("two", {}, "1.0.1")
    >>> print(changelog_entry(Differences(one, two), "2026-12-24").splitlines()[0])
    ## 1.0.1, 2026-12-24
    """
    version = found.new.version or ""
    if found.old.version and version in ("", found.old.version):
        version = next_version(found.old.version, found.step)
    lines = [f"## {version}, {date}", "", f"Dataset `{(found.new.digest or '')[:12]}`.", ""]
    lines += [f"| {' | '.join(COUNTED)} |", "|---|--:|--:|--:|--:|--:|"]
    for one in found.tables:
        name = one.table + {"added": " (new)", "removed": " (removed)"}.get(one.presence, "")
        lines.append(f"| {name} | {' | '.join(str(n or '') for n in _counted(one))} |")
    for one in found.tables:
        lines += [f"\nNew column `{one.table}.{name}`." for name in one.columns_added]
        lines += [f"\nColumn `{one.table}.{name}` removed." for name in one.columns_removed]
    raised = [(one, change) for one in found.tables for change in one.turned("raised")]
    if raised:
        lines += ["", "Grades raised (say of each who read it, how, and the second reader):", ""]
        lines += [
            f"- {one.table}, {_key(change.key)}: {change.old} to {change.new}. "
            "Read by: ?; how: ?; second reader: ?"
            for one, change in raised
        ]
    return "\n".join(lines).rstrip() + "\n"
