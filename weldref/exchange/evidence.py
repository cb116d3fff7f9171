"""List what to read next: rows that nobody has seen in print, and situations without a row."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from itertools import product
from pathlib import Path
from typing import Any

from weldref.core.lookup import find
from weldref.core.situation import describe
from weldref.data.catalogue import TableSummary, tables
from weldref.data.fetch import graded_rows
from weldref.data.store import Store, open_store
from weldref.files import csv_rows
from weldref.grades import GRADES

SITUATIONS = Path(__file__).with_name("common_situations.csv")
"""Which situations a school meets often: the choice of this project, not a count of use.

Thicknesses are in inches.
"""

NOBODY = "none"
"""The issuer of a source behind which no document stands."""


@dataclass(frozen=True, slots=True)
class ToRead:
    """A document and how many rows were recalled from it, or quoted from it by another.

    `printed` tells whether there is a document to read at all.
    """

    source_id: str
    document: str
    printed: bool
    memory: int
    secondary: int
    tables: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Unanswered:
    """A common situation and a quantity for which no printed row fits."""

    process: str
    material: str
    thickness: str
    quantity: str
    found: str
    """"nothing"; "general" (printed, but too broad or under a code or another condition);
    "memory" (recalled rows only) or "also seen" (what somebody once did only)."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """The list of work: rows by grade, documents to read, situations to fill."""

    graded: tuple[TableSummary, ...]
    to_read: tuple[ToRead, ...]
    situations: int
    unanswered: tuple[Unanswered, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return plain values for JSON."""
        return asdict(self)


def evidence() -> Evidence:
    """Collect what is to be read next.

    Returns
    -------
    Evidence
        The documents come in the order of the rows that a reading of each could lift.

    Examples
    --------
    >>> found = evidence()
    >>> found.to_read[0].memory + found.to_read[0].secondary > 10
    True
    """
    store = open_store()
    graded = tuple(table for table in tables() if table.read is not None)
    answers = [one for asked in common_situations() for one in _answers(store, *asked)]
    return Evidence(
        graded,
        to_read(store),
        len(answers),
        tuple(one for one in answers if one.found != "printed"),
    )


def common_situations() -> Iterator[tuple[str, str, str, list[str]]]:
    """Return every combination of process, material and thickness (inches), with quantities.

    >>> next(common_situations())
    ('SMAW', 'carbon steel', '1/8', ['current', 'travel_speed'])
    """
    for row in csv_rows(SITUATIONS):
        listed = [row[name].split("; ") for name in ("materials", "thicknesses")]
        for material, thickness in product(*listed):
            yield row["process"], material, thickness, row["quantities"].split("; ")


def _answers(
    store: Store, process: str, material: str, thickness: str, quantities: list[str]
) -> Iterator[Unanswered]:
    situation = describe(store, process=process, material=material, thickness=thickness)
    matches = find(store, situation)
    for quantity in quantities:
        found = [match for match in matches if match.row["quantity"] == quantity]
        speaking = [match for match in found if match.gives_verdict]
        printed = [match for match in speaking if match.grade != "memory"]
        if any(not match.ignores and not match.special for match in printed):
            answer = "printed"
        elif printed:
            answer = "general"
        elif speaking:
            answer = "memory"
        else:
            answer = "also seen" if found else "nothing"
        yield Unanswered(process, material, thickness, quantity, answer)


def to_read(store: Store) -> tuple[ToRead, ...]:
    """List the documents behind rows that nobody has read, those with most such rows first.

    >>> next(one for one in to_read(open_store()) if one.printed).source_id
    'aws-d1-1-2004'
    """
    rows = store.rows(
        f"""
        SELECT source_id, d.name AS document, s.issuer IS DISTINCT FROM $nobody AS printed,
            count(*) FILTER (r.how_read = 'memory') AS memory,
            count(*) FILTER (r.how_read = 'secondary') AS secondary,
            list_sort(list_distinct(list(r.name))) AS tables
        FROM {graded_rows(store.rows)} r JOIN documents d USING (source_id)
            JOIN sources s USING (source_id)
        WHERE list_contains($weaker, r.how_read)
        GROUP BY ALL ORDER BY count(*) DESC, source_id
        """,
        {"weaker": GRADES[1:], "nobody": NOBODY},
    )
    return tuple(ToRead(**row | {"tables": tuple(row["tables"])}) for row in rows)
