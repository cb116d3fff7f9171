"""Find the least tensile strength of a metal or a filler, in the units as printed."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable
from typing import Any

from weldref.audit.case import rows_of
from weldref.data.store import Store
from weldref.grades import GRADES

Row = dict[str, Any]

UNITS = {"ksi": "ksi", "mpa": "MPa", "n/mm2": "MPa", "n/mm²": "MPa", "psi": "ksi"}
"""The unit of the tables in which a strength is compared; the two are never converted."""


def of_metal(
    store: Store, metal: str, thickness: float | None = None, written: Container[str] = ()
) -> list[Row]:
    """Return the rows of a base metal's least tensile strength, for a thickness in metres if known.

    A row has `ksi` and `mpa`, as printed, and its source. `written` are the words of the document,
    which may name the quality that the term leaves out: of S235 the grade S235JR.

    >>> from weldref.data.store import open_store
    >>> [(row["ksi"], row["mpa"], row["how_read"]) for row in of_metal(open_store(), "A106 B")]
    [(60.0, 415.0, 'read')]
    >>> {row["mpa"] for row in of_metal(open_store(), "S355J2", 0.01)}
    {470.0}
    """
    spec, _, grade = metal.partition(" ")
    rows = rows_of(
        store,
        """
        SELECT tensile_min_ksi AS ksi, tensile_min_mpa AS mpa, grade, source_id, locator, how_read,
            thickness_over * 0.0254 AS over, thickness_to * 0.0254 AS top, true AS takes_top,
            false AS takes_over
        FROM base_metals
        WHERE specification = $spec AND status IS NULL
            AND ($grade = '' OR list_contains(string_split(grade, '; '), $grade))
        ORDER BY rowid
        """,
        spec=spec,
        grade=grade.replace(" ", ""),
    )
    steels = rows_of(
        store,
        """
        SELECT NULL AS ksi, min AS mpa, grade, source_id, locator, how_read,
            thickness_over / 1000 AS over, thickness_to / 1000 AS top,
            thickness_to_inclusive AS takes_top, thickness_over_inclusive AS takes_over
        FROM en_steel_strength
        WHERE property = 'tensile strength Rm' AND status IS NULL ORDER BY rowid
        """,
    )
    named = [(n, row) for row in steels for n in row["grade"].split("; ") if _is_grade(n, metal)]
    exact = [(name, row) for name, row in named if name in written]
    every = (*rows, *{id(row): row for _, row in exact or named}.values())
    return [row for row in every if of_thickness(row, thickness)]


def of_filler(store: Store, kinds: Iterable[str]) -> list[Row]:
    """Return the rows of a filler's least tensile strength, by its term and those above it.

    >>> from weldref.data.store import open_store
    >>> [(row["ksi"], row["mpa"]) for row in of_filler(open_store(), ["E7018-1", "E7018"])]
    [(70.0, None)]
    """
    rows = rows_of(
        store,
        """
        SELECT CASE unit WHEN 'ksi' THEN min END AS ksi, CASE unit WHEN 'MPa' THEN min END AS mpa,
            classification AS name, source_id, locator, how_read
        FROM filler_strength
        WHERE property = 'tensile strength' AND min IS NOT NULL AND status IS NULL ORDER BY rowid
        """,
    )
    # A general term ("covered electrode") has no strength, so only one class remains.
    return [row for row in rows if row["name"] in set(kinds)]


def ends(rows: list[Row], unit: str) -> tuple[Row, Row] | None:
    """Return the lowest and the highest row in a unit; None where no row prints it."""
    printed = [row for row in rows if row[unit.casefold()] is not None]
    if not printed:
        return None
    printed.sort(key=lambda row: (row[unit.casefold()], GRADES.index(row["how_read"])))
    return printed[0], printed[-1]


def _is_grade(name: str, metal: str) -> bool:
    """Whether a grade of a table is the metal, or one of its qualities: S355J2 is one of S355."""
    return name == metal or (
        metal[:1] == "S" and metal[1:].isdigit() and name[: len(metal)] == metal
    )


def of_thickness(row: Row, thickness: float | None) -> bool:
    """Whether a row is for a thickness in metres; any row is, where the thickness is not known."""
    if thickness is None:
        return True
    over = -math.inf if row["over"] is None else row["over"]
    top = math.inf if row["top"] is None else row["top"]
    above = thickness > over + 1e-9 or (_true(row["takes_over"]) and thickness > over - 1e-9)
    below = thickness < top - 1e-9 or (_true(row["takes_top"]) and thickness < top + 1e-9)
    return above and below


def _true(value: object) -> bool:
    return value in (True, "true")
