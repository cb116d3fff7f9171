"""Apply readings to the project's tables: rows that agree are graded read; no others change.

A reading that was made blind and agrees with what was recalled is an independent second
statement: it raises the row from memory to read. A difference, an absence, a copy of another
edition and readers who disagree are listed for a person, and change nothing.
"""

from __future__ import annotations

import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

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
from weldref.files import csv_bytes, csv_rows, write_whole

CHANGES = "CHANGELOG.md"
UNRELEASED = "## Not released yet"


@dataclass(frozen=True, slots=True)
class Plan:
    """What the readings would change.

    `raised` rows get a better grade; those `for_a_person` stay as they are, each with the reason.
    `gone` are readings of rows that do not exist; `already` counts rows that were raised before.
    """

    raised: tuple[Outcome, ...]
    for_a_person: tuple[tuple[Outcome, str], ...]
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
    raised, for_a_person = [], []
    for outcome in outcomes(store.rows, readings):
        if why := _why_not(store, outcome, sources[outcome.cell.source_id]):
            for_a_person.append((outcome, why))
        else:
            raised.append(outcome)
    known = {row.cell.key for row in recalled(store.rows, every_grade=True)}
    waiting = {row.cell.key for row in recalled(store.rows)}
    by_cell = latest(readings)
    gone = tuple(made[0] for cell, made in by_cell.items() if cell not in known)
    already = sum(cell in known and cell not in waiting for cell in by_cell)
    changed = _changed(folder, raised) if raised else {}
    _check(folder, changed)
    return Plan(tuple(raised), tuple(for_a_person), gone, already, tuple(notes), changed)


def write(made: Plan, folder: Path) -> list[Path]:
    """Write what a plan changes, file by file; each file is complete or as before.

    Documents come first, then the log, then the rows, then the description: if it is stopped in
    between, the tables still follow their schemas, and another run finishes it.
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


def _changed(folder: Path, raised: Sequence[Outcome]) -> dict[str, bytes]:
    """Return each file that changes, in the order in which it is written."""
    by_source: dict[str, list[Outcome]] = {}
    for outcome in raised:
        by_source.setdefault(outcome.cell.source_id, []).append(outcome)
    files = {
        "sources.csv": _edited(folder / "sources.csv", lambda row: _source(row, by_source)),
        CHANGES: _log(folder / CHANGES, [_entry(*one) for one in sorted(by_source.items())]),
    }
    by_row = {outcome.cell.key: outcome for outcome in raised}
    for table in dict.fromkeys(table for table, _ in by_row):

        def edit(row: dict[str, str], table: str = table) -> None:
            _row(row, by_row.get((table, row_id(table, row))))

        for path in sorted(folder.glob(declared()[table].files)):
            files[path.relative_to(folder).as_posix()] = _edited(path, edit)
    return {
        name: content
        for name, content in files.items()
        if not (folder / name).is_file() or (folder / name).read_bytes() != content
    }


def _edited(path: Path, edit: Callable[[dict[str, str]], None]) -> bytes:
    """Return a CSV file after editing each of its rows."""
    rows = csv_rows(path)
    for row in rows:
        edit(row)
    return csv_bytes(rows[0], rows)


def _source(row: dict[str, str], by_source: dict[str, list[Outcome]]) -> None:
    """Note how a document was read, where, and in which edition."""
    made = [one for outcome in by_source.get(row["source_id"], ()) for one in outcome.readings]
    if not made:
        return
    row["how_read"] = "read"
    row["address"] = row["address"] or " ; ".join(dict.fromkeys(one.copy for one in made))
    if not _dated(row["edition"]) and _dated(made[0].edition):
        row["edition"] = made[0].edition


def _row(row: dict[str, str], outcome: Outcome | None) -> None:
    """Raise a row's grade; one in doubt stays so until two readers have found the same."""
    if outcome is None or row["how_read"] != "memory":
        return
    row["how_read"] = "read"
    row["locator"] = "; ".join(outcome.places) or row["locator"]
    if row.get("status") == "uncertain" and len(outcome.readings) > 1:
        row["status"] = ""


def _entry(source_id: str, raised: Sequence[Outcome]) -> str:
    """Write the line of the log for a document: rows, readers, copy, edition."""
    made = [reading for outcome in raised for reading in outcome.readings]
    tables = Counter(outcome.cell.table for outcome in raised)
    twice = sum(len(outcome.readings) > 1 for outcome in raised)
    rows = _list(f"{n} of {table}" for table, n in tables.items())
    return (
        f"- {source_id}: raised from memory to read, {rows}; "
        f"read blind at the reading desk by {_list({one.reader for one in made})}"
        f"{f' ({twice} by two readers)' if twice else ''}; copy: "
        f"{_list({one.copy for one in made})}; edition: {_list({one.edition for one in made})}."
    )


def _list(words: Iterable[str]) -> str:
    return ", ".join(sorted(words))


def _log(path: Path, entries: Sequence[str]) -> bytes:
    """Add the lines that are missing under the heading of what is not released."""
    text = path.read_text(encoding="utf-8") if path.is_file() else "# Change log of the dataset\n"
    new = [line for line in entries if line not in text.split("\n")]
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
