"""Which cautions belong beside an answer? By process, metal, gas and surroundings."""

from __future__ import annotations

from dataclasses import dataclass

from weldref.situation import Situation
from weldref.store import Store


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution with where it comes from."""

    caution: str
    wording: str
    source_id: str
    locator: str | None
    how_read: str


def cautions_for(store: Store, situation: Situation) -> tuple[Caution, ...]:
    """Return the cautions that a situation calls for, in the order of the table.

    A caution tied to a process or a metal shows when the situation is that process or metal
    or a kind of it; one tied to a gas also shows when no gas was given.
    """
    process = situation.terms.get("process")
    material = situation.terms.get("material")
    rows = store.rows(
        """
        SELECT caution, wording, source_id, locator, how_read FROM cautions
        WHERE (processes IS NULL OR list_has_any(string_split(processes, '; '), $processes))
        AND (materials IS NULL OR list_has_any(string_split(materials, '; '), $materials))
        AND (gases IS NULL OR len($gases) = 0 OR list_has_any(string_split(gases, '; '), $gases))
        AND (environment IS NULL OR $under_water)
        ORDER BY rowid
        """,
        {
            "processes": list(process.broader) if process else [],
            "materials": list(material.broader) if material else [],
            "gases": [situation.gas] if situation.gas else [],
            "under_water": situation.under_water,
        },
    )
    return tuple(Caution(**row) for row in rows)
