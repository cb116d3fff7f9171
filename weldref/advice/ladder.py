"""List what is printed and recalled of a quantity at every thickness: the bars of a ladder."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from weldref.advice.lines import starting_rows
from weldref.core.lookup import thickness_text
from weldref.core.situation import Situation
from weldref.core.units import Units, tidy
from weldref.data.store import Store


@dataclass(frozen=True, slots=True)
class Rung:
    """A printed or recalled range or setting at one thickness: one bar of the ladder.

    `low` and `high` are in `unit`; they are equal for a single setting. The thickness is in metres;
    `thickness_max` is None if the band has no upper end.
    """

    thickness_min: float
    thickness_max: float | None
    thickness: str
    low: float
    high: float
    unit: str
    grade: str
    source_id: str
    own: bool


def ladder(
    store: Store, situation: Situation, quantity: str, unit: str, grade: str = "memory"
) -> tuple[Rung, ...]:
    """Return what is printed and recalled of a quantity at every thickness, nothing between.

    Parameters
    ----------
    store, situation, grade
        As in `card`; a stated thickness is ignored.
    quantity, unit
        Stored name of the quantity, and the unit of the rungs.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> bench = describe(store, process="GTAW", material="aluminium", polarity="AC")
    >>> rungs = ladder(store, bench, "current", "A")
    >>> all(rung.low <= rung.high for rung in rungs) and len(rungs) > 3
    True
    """
    units = Units(store)
    anywhere = replace(situation, thickness=None)
    rungs = []
    for match in starting_rows(store, anywhere, quantity, grade):
        row = match.row
        low, high = row["min_si"], row["max_si"]
        if low is None or high is None:
            low = high = row["typical_si"]
        if low is None or (row["thickness_min_si"] is None and row["thickness_max_si"] is None):
            continue
        rungs.append(
            Rung(
                row["thickness_min_si"] or 0.0,
                row["thickness_max_si"],
                thickness_text(row),
                tidy(units.convert(low, unit), 4),
                tidy(units.convert(high, unit), 4),
                unit,
                match.grade,
                row["source_id"],
                bool(row.get("own")),
            )
        )
    rungs.sort(key=lambda rung: (rung.thickness_min, rung.thickness_max or math.inf, rung.low))
    return tuple(dict.fromkeys(rungs))
