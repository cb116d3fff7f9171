"""Give a reader one recalled row after another, without what was recalled.

A reader who holds the document goes through its cells and types what is printed, or that it is
not there, or that the copy is of another edition. Each answer is saved at once. What was recalled
is shown only when the reader has answered every cell of the document.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from weldref.data.catalogue import document_names
from weldref.data.judge_readings import (
    KINDS,
    Kind,
    Outcome,
    check_value,
    outcomes,
    same_edition,
    units_of,
)
from weldref.data.reading_cells import Cell, recalled
from weldref.data.readings import Reading, Said, append, latest, text_in
from weldref.data.store import Store
from weldref.errors import InputError, not_known
from weldref.exchange.evidence import to_read

NO_EDITION = "none printed"
"""What a reader types for a copy that prints no edition."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """A document whose cells can be read, and how many have been, once and twice.

    `by_eye` rows hold sentences, which nobody can type blind: their grade is raised by hand.
    """

    source_id: str
    document: str
    edition: str
    cells: int
    once: int
    twice: int
    by_eye: int


@dataclass(frozen=True, slots=True)
class Sitting:
    """Who reads which copy: initials or a role, the edition printed on it, paper or address."""

    source_id: str
    reader: str
    edition: str
    copy: str


def documents(store: Store, readings: Iterable[Reading] = ()) -> list[Waiting]:
    """List the documents that can be read, those first whose reading would raise most rows.

    Here and in the other functions the store is that of the published tables alone: in a store
    with readings, rows that were read no longer count as recalled.

    >>> from weldref.data.store import open_store
    >>> found = documents(open_store())
    >>> found[0].cells > 50, found[0].once
    (True, 0)
    """
    made = latest(readings)
    cells: dict[str, list[Cell]] = {}
    for row in recalled(store.rows):
        cells.setdefault(row.cell.source_id, []).append(row.cell)
    editions = {r["source_id"]: r["edition"] or "" for r in
                store.rows("SELECT source_id, edition FROM sources")}  # fmt: skip
    found = []
    for one in to_read(store):
        if waiting := cells.get(one.source_id):
            times = [len(made.get(cell.key, ())) for cell in waiting]
            found.append(
                Waiting(
                    one.source_id, one.document, editions[one.source_id], len(waiting),
                    sum(n > 0 for n in times), sum(n > 1 for n in times),
                    one.memory - len(waiting),
                )
            )  # fmt: skip
    return sorted(found, key=lambda one: one.once >= one.cells)


def queue(store: Store, source_id: str) -> tuple[Cell, ...]:
    """List the cells of a document, in the order of its tables; one without is an `InputError`.

    >>> from weldref.data.store import open_store
    >>> cells = queue(open_store(), "weld-general-memory")
    >>> cells[0].table, cells[0].asked[0].column
    ('electrode_sizes', 'also_sold_as')
    """
    found = tuple(row.cell for row in recalled(store.rows, source_id))
    if found:
        return found
    known = document_names(store)
    if source_id not in known:
        raise not_known("source", source_id, known, "see weldref read --list")
    unread = next((one for one in to_read(store) if one.source_id == source_id), None)
    if unread is None or not unread.printed:
        raise InputError(f"source: there is no printed document behind the recalled rows of "
                         f"'{source_id}', or it has none; see weldref read --list")  # fmt: skip
    left = unread.memory
    rest = f" ({left} rows hold sentences, which cannot be read blind)" if left else ""
    raise InputError(f"source: '{source_id}' has no cell to read{rest}; see weldref read --list")


def sit_down(store: Store, source_id: str, reader: str, edition: str, copy: str) -> Sitting:
    """Check who reads which copy of a document: one of another edition than the rows is refused.

    `reader` is initials or a role, `edition` what is printed on the copy or `NO_EDITION`, and
    `copy` "paper", "scan", or the address of a web page.

    >>> from weldref.data.store import open_store
    >>> sit_down(open_store(), "aws-d1-1-2004", "ab", "2010", "paper")
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: edition: '2010' is not the edition that is asked for here, 2004; a \
row of another edition belongs to another source
    """
    queue(store, source_id)
    edition = text_in("edition", edition, needed=True)
    copy = text_in("copy", copy, needed=True)
    (named,) = store.rows("SELECT edition FROM sources WHERE source_id = $id", {"id": source_id})
    if not same_edition(edition, named["edition"]):
        raise InputError(
            f"edition: '{edition}' is not the edition that is asked for here, "
            f"{named['edition']}; a row of another edition belongs to another source"
        )
    sitting = Sitting(source_id, text_in("reader", reader, needed=True), edition, copy)
    # A trial reading says what is wrong with the initials before anything is read.
    Reading(source_id, "sources", source_id, "trial", "not there", sitting.reader,
            date.today().isoformat(), edition, copy)  # fmt: skip
    return sitting


def record(
    store: Store,
    file: Path,
    sitting: Sitting,
    cell: Cell,
    said: Said,
    values: Mapping[str, str] | None = None,
    *,
    place: str = "",
    note: str = "",
) -> Reading:
    """Save what was found for a cell; it is in the file when this returns.

    `values` holds every value that was asked, as printed, by column: `readings.NOT_PRINTED` for
    one that is not printed. `place` is where it is in the copy, if not where the cell says. A
    value that is missing or cannot be compared is an `InputError`.
    """
    typed = {}
    if said == "values":
        units = units_of(store.rows)
        for asked in cell.asked:
            typed[asked.column] = check_value(asked, (values or {}).get(asked.column, ""), units)
    place = text_in("place", place)
    if said == "values" and not (place or cell.place):
        raise InputError("place: none is noted for this cell; say where it is in the copy")
    reading = Reading(
        cell.source_id, cell.table, cell.row, cell.words, said, sitting.reader,
        date.today().isoformat(), sitting.edition, sitting.copy, typed,
        "" if place == cell.place else place, text_in("note", note),
    )  # fmt: skip
    append(file, reading)
    return reading


def check(store: Store, cell: Cell, column: str, text: str) -> str:
    """Return one value of a cell as typed, tidied.

    Raises
    ------
    InputError
        If it cannot be compared, in one sentence that names the value.
    """
    (asked,) = (one for one in cell.asked if one.column == column)
    return text_in(asked.name, check_value(asked, text, units_of(store.rows)))


def progress(cells: Sequence[Cell], readings: Iterable[Reading]) -> list[tuple[str, int]]:
    """Count for each reader how many of some cells are left.

    >>> progress([], [])
    []
    """
    there = {cell.key for cell in cells}
    readers: dict[str, tuple[str, set[tuple[str, str]]]] = {}
    for one in readings:
        if one.cell in there:
            readers.setdefault(one.by, (one.reader, set()))[1].add(one.cell)
    return [(reader, len(there) - len(done)) for reader, done in readers.values()]


def left(cells: Sequence[Cell], readings: Iterable[Reading], reader: str) -> tuple[Cell, ...]:
    """List the cells that a reader has not answered yet.

    >>> left([], [], "ab")
    ()
    """
    done = {one.cell for one in readings if one.by == reader.casefold()}
    return tuple(cell for cell in cells if cell.key not in done)


def answered(
    store: Store, source_id: str, readings: Sequence[Reading], reader: str
) -> list[Outcome]:
    """Return what came of each cell, with what was recalled, once a reader has answered them all.

    Raises
    ------
    InputError
        While cells are left: who has seen a recalled value reads it into the print.
    """
    cells = queue(store, source_id)
    waiting = len(left(cells, readings, reader))
    if waiting:
        raise InputError(
            f"source: {waiting} of {len(cells)} cells of '{source_id}' are not answered by "
            f"'{reader}'; what was recalled is shown when all are"
        )
    return outcomes(store.rows, [one for one in readings if one.source == source_id])


def counts(found: Iterable[Outcome]) -> dict[Kind, int]:
    """Count the answered cells by what came of them.

    >>> counts([])
    {'agrees': 0, 'differs': 0, 'readers disagree': 0, 'not there': 0, 'other edition': 0}
    """
    kinds = [one.kind for one in found]
    return {kind: kinds.count(kind) for kind in KINDS}
