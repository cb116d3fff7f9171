"""Apply readings to the project's tables: rows that agree are graded read; no others change.

A reading that was made blind and agrees with what was recalled is the second of two that do not
know of each other: it lifts the row from memory to read. A difference, an absence, a copy of
another edition and readers who disagree are listed for a person, and change nothing.
"""

from __future__ import annotations

import csv
import io
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from weldref.data.fetch import Row, graded_rows
from weldref.data.judge_readings import Outcome, outcomes
from weldref.data.reading_cells import recalled, row_id
from weldref.data.readings import Reading, latest, read_file
from weldref.data.schemas.declared import declared
from weldref.data.store import Store, open_store
from weldref.data.validate import validate
from weldref.errors import InputError
from weldref.exchange.datapackage import FILE as DESCRIPTOR
from weldref.exchange.datapackage import folder_descriptor, text_of
from weldref.files import csv_rows, write_whole

CHANGES = "CHANGELOG.md"
UNRELEASED = "## Not released yet"


@dataclass(frozen=True, slots=True)
class ForAPerson:
    """A row that the readings do not lift, and why."""

    source_id: str
    table: str
    row: str
    why: str
    recalled: str
    read: str
    asked: str


@dataclass(frozen=True, slots=True)
class Plan:
    """What the readings would change: rows to lift, rows for a person, the new files."""

    lifted: tuple[Outcome, ...]
    for_a_person: tuple[ForAPerson, ...]
    gone: tuple[Reading, ...]
    already: int
    notes: tuple[str, ...]
    files: dict[str, bytes] = field(default_factory=dict)


def plan(files: Sequence[Path], folder: Path) -> Plan:
    """Work out what files of readings change in a folder of tables; nothing is written.

    The readings of all files are judged together. `folder` is laid out like ``datasets/``. An
    `InputError` says that a file is not accepted, or that the changed tables would not follow their
    schemas.
    """
    readings: list[Reading] = []
    notes = []
    for file in files:
        if not file.is_file():
            raise InputError(f"readings: '{file}' is not a file; give one that weldref read wrote")
        found = read_file(file)
        readings += found.found
        notes += [found.note] if found.note else []
    if not (folder / "sources.csv").is_file():
        raise InputError(f"datasets: '{folder}' has no sources.csv; give a datasets folder")
    store = open_store(folder)
    sources = {row["source_id"]: row for row in store.rows("SELECT * FROM sources")}
    lifted, for_a_person = [], []
    for outcome in outcomes(store.rows, readings):
        cell = outcome.recalled.cell
        why = _why_not(store, outcome, sources[cell.source_id])
        if why:
            for_a_person.append(
                ForAPerson(cell.source_id, cell.table, cell.row, why,
                           _shown(outcome.recalled.values), _read(outcome), cell.words)
            )  # fmt: skip
        else:
            lifted.append(outcome)
    known = {(row.cell.table, row.cell.row) for row in recalled(store.rows, every_grade=True)}
    waiting = {(row.cell.table, row.cell.row) for row in recalled(store.rows)}
    by_cell = latest(readings)
    gone = tuple(made[0] for cell, made in by_cell.items() if cell not in known)
    already = sum(cell in known and cell not in waiting for cell in by_cell)
    changed = _changed(folder, lifted) if lifted else {}
    _check(folder, changed)
    return Plan(tuple(lifted), tuple(for_a_person), gone, already, tuple(notes), changed)


def write(made: Plan, folder: Path) -> list[Path]:
    """Write what a plan changes, file by file; each is there whole or as before.

    Documents come first, then the log, then the rows, then the description: whatever stops it
    in between, the tables follow their schemas, and doing it again finishes it.
    """
    for name, content in made.files.items():
        write_whole(folder / name, content, "datasets")
    return [folder / name for name in made.files]


def _why_not(store: Store, outcome: Outcome, source: Row) -> str:
    if outcome.kind != "agrees":
        return outcome.kind
    editions = {one.edition.casefold() for one in outcome.readings}
    if not _dated(source["edition"]):
        if len(editions) > 1:
            return "the readers name different editions"
        if any(map(_dated, editions)) and _read_elsewhere(store, source["source_id"]):
            return (
                f"sources.csv names no edition, and other rows were read in it: are they of "
                f"'{outcome.readings[0].edition}' too?"
            )
    return ""


def _dated(edition: str | None) -> bool:
    return any(c.isdecimal() for c in edition or "")


def _read_elsewhere(store: Store, source_id: str) -> bool:
    found = store.rows(
        f"SELECT 1 FROM {graded_rows(store.rows)} "
        "WHERE source_id = $id AND how_read <> 'memory' LIMIT 1",
        {"id": source_id},
    )
    return bool(found)


def _changed(folder: Path, lifted: Sequence[Outcome]) -> dict[str, bytes]:
    """Return each file that changes, in the order in which it is written."""
    by_source: dict[str, list[Reading]] = {}
    for outcome in lifted:
        by_source.setdefault(outcome.recalled.cell.source_id, []).extend(outcome.readings)
    files = {
        "sources.csv": _edited(folder / "sources.csv", lambda row: _source(row, by_source)),
        CHANGES: _log(folder / CHANGES, _entry(lifted)),
    }
    by_row = {(one.recalled.cell.table, one.recalled.cell.row): one for one in lifted}
    for table in dict.fromkeys(table for table, _ in by_row):

        def lift(row: dict[str, str], table: str = table) -> None:
            _row(row, by_row.get((table, row_id(table, row))))

        for path in sorted(folder.glob(declared()[table].files)):
            files[path.relative_to(folder).as_posix()] = _edited(path, lift)
    return {
        name: content
        for name, content in files.items()
        if not (folder / name).is_file() or (folder / name).read_bytes() != content
    }


def _edited(path: Path, edit: Callable[[dict[str, str]], None]) -> bytes:
    """Return a CSV file with some of its rows edited and the others as they stand."""
    rows = csv_rows(path)
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    for row in rows:
        edit(row)
        writer.writerow(row)
    return out.getvalue().encode()


def _source(row: dict[str, str], by_source: dict[str, list[Reading]]) -> None:
    """Say of a document how it was read, where, and in which edition."""
    made = by_source.get(row["source_id"])
    if not made:
        return
    row["how_read"] = "read"
    row["address"] = row["address"] or " ; ".join(dict.fromkeys(one.copy for one in made))
    if not _dated(row["edition"]) and _dated(made[0].edition):
        row["edition"] = made[0].edition


def _row(row: dict[str, str], outcome: Outcome | None) -> None:
    """Lift a row; what was in doubt stays so until two readers have seen the same."""
    if outcome is None or row["how_read"] != "memory":
        return
    row["how_read"] = "read"
    row["locator"] = "; ".join(outcome.places) or row["locator"]
    if row.get("status") == "uncertain" and len(outcome.readings) > 1:
        row["status"] = ""


def _entry(lifted: Sequence[Outcome]) -> str:
    """Write a line for each document: rows, readers, copy, edition."""
    by_source: dict[str, list[Outcome]] = {}
    for outcome in lifted:
        by_source.setdefault(outcome.recalled.cell.source_id, []).append(outcome)
    lines = []
    for source_id, found in sorted(by_source.items()):
        made = [reading for outcome in found for reading in outcome.readings]
        tables = Counter(outcome.recalled.cell.table for outcome in found)
        twice = sum(len(outcome.readings) > 1 for outcome in found)
        rows = _list(f"{n} of {table}" for table, n in tables.items())
        lines.append(
            f"- {source_id}: raised from memory to read, {rows}; "
            f"read blind at the reading desk by {_list({one.reader for one in made})}"
            f"{f' ({twice} by two readers)' if twice else ''}; copy: "
            f"{_list({one.copy for one in made})}; edition: {_list({one.edition for one in made})}."
        )
    return "\n".join(lines)


def _list(words: Iterable[str]) -> str:
    return ", ".join(sorted(words))


def _log(path: Path, entry: str) -> bytes:
    """Put lines under the heading of what is not released, once."""
    text = path.read_text(encoding="utf-8") if path.is_file() else "# Change log of the dataset\n"
    new = [line for line in entry.split("\n") if line not in text.split("\n")]
    if not new:
        return text.encode()
    if UNRELEASED not in text:
        before, mark, after = text.partition("\n## ")
        text = f"{before}\n{UNRELEASED}\n{mark}{after}"
    before, mark, after = text.partition(f"{UNRELEASED}\n")
    kept = after.lstrip("\n")
    gap = "" if kept.startswith("- ") else "\n"
    return f"{before}{mark}\n{chr(10).join(new)}\n{gap}{kept}".encode()


def _check(folder: Path, changed: dict[str, bytes]) -> None:
    """Make the change in a copy, check that, and describe it."""
    if not changed:
        return
    with tempfile.TemporaryDirectory() as temporary:
        copy = Path(temporary) / "datasets"
        shutil.copytree(folder, copy)
        for name, content in changed.items():
            (copy / name).write_bytes(content)
        problems = validate(copy)
        if problems:
            raise InputError(
                f"datasets: {len(problems)} cells would not be accepted, the first: {problems[0]}"
            )
        if (folder / DESCRIPTOR).is_file():
            changed[DESCRIPTOR] = text_of(folder_descriptor(copy)).encode()


def _shown(values: dict[str, Any]) -> str:
    return ", ".join(
        f"{name} {value:g}" if isinstance(value, float) else f"{name} {value}"
        for name, value in values.items()
    )


def _read(outcome: Outcome) -> str:
    said: Iterable[str] = (
        f"{one.reader}: {_shown(one.values) if one.said == 'values' else one.said}"
        + (f", edition {one.edition}" if outcome.kind == "other edition" else "")
        + (f" ({one.note})" if one.note else "")
        for one in outcome.readings
    )
    return "; ".join(said)
