"""Group thicknesses that no published row tells apart, so that a continuous column has few steps.

Between two edges of the rows' thickness bands every thickness meets the same rows in the same
way, so a log's thicknesses collapse to the steps between edges, however finely they were
measured. A step is found by an equi-join on a bucket of equal widths, with the edges compared
inside the bucket only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from weldref.core.bands import SLACK
from weldref.core.index import NOMINAL, Band, thickness_code
from weldref.logs import engine as sql
from weldref.logs.engine import Engine

NOT_GIVEN, NOT_A_NUMBER, IMPLAUSIBLE = -1, -2, -3
"""Steps that are no thickness."""

REASONS = {NOT_A_NUMBER: "unreadable thickness", IMPLAUSIBLE: "implausible thickness"}

BUCKETS = 4096


def edges(band: Band) -> list[float]:
    """List the thicknesses from which on `thickness_code` may say something else of a band.

    >>> edges(Band(0.0, 0.5, True, True))[-1] > 0.5
    True
    """
    found = []
    for end in (band.low, band.high):
        if end is not None:
            found += [end * (1 - SLACK), after(end * (1 + SLACK))]
    if band.nominal and band.low:
        size, far = band.low, 1 + 2 * NOMINAL
        for code in (0, 1):  # the size itself, and its twin in the other unit system

            def near(thick: float, code: int = code) -> bool:
                return 0 <= thickness_code(band, thick) <= code

            found += [switch(near, size / far, size), switch(near, size, size * far)]
    return found


def after(number: float) -> float:
    """The next float above a number."""
    return math.nextafter(number, math.inf)


def switch(holds: Callable[[float], bool], low: float, high: float) -> float:
    """Find the first float from which on a condition has changed, between two that differ.

    >>> switch(lambda x: x >= 2, 1.0, 3.0)
    2.0
    """
    before = holds(low)
    while after(low) < high:
        middle = low + (high - low) / 2
        if holds(middle) == before:
            low = middle
        else:
            high = middle
    return high


@dataclass(frozen=True, slots=True)
class Steps:
    """The steps of a log's thickness; `plausible` holds the limits in metres.

    `begins` holds the least thickness of each step; in the engine the table `buckets` holds the
    step or steps of each bucket with their ends.
    """

    plausible: tuple[float, float]
    scale: float
    begins: tuple[float, ...]

    @property
    def bucket(self) -> str:
        """The SQL of the bucket of a record's thickness."""
        low, high = (sql.number(limit) for limit in self.plausible)
        return (
            f"CASE WHEN l.thickness IS NULL THEN {NOT_GIVEN} "
            f"WHEN l.thickness >= {low} AND l.thickness <= {high} THEN "
            f"CAST(floor(least(greatest(l.thickness * {sql.number(self.scale)}, 0), {BUCKETS})) "
            "AS INTEGER) "  # kept in bounds: the cast may be worked out for any record
            f"WHEN {sql.unreal('l.thickness')} THEN {NOT_A_NUMBER} "
            f"ELSE {IMPLAUSIBLE} END"
        )

    @property
    def join(self) -> str:
        """The SQL that joins a log `l` to its steps `k`."""
        return (
            f"JOIN buckets k ON k.bucket = {self.bucket} AND "
            "(k.bucket < 0 OR (l.thickness >= k.low AND l.thickness < k.high))"
        )


def load_steps(engine: Engine, bands: Iterable[Band], plausible: tuple[float, float]) -> Steps:
    """Make the table of the steps between the edges of the rows' bands."""
    low, high = plausible
    cuts = sorted({edge for band in bands for edge in edges(band) if low < edge <= high} | {low})
    ends = [*cuts[1:], after(high)]
    scale = BUCKETS / cuts[-1]
    rows: list[tuple[int, int, float, float]] = []
    for step, (begin, end) in enumerate(zip(cuts, ends, strict=True)):
        first, last = (math.floor(min(cut * scale, BUCKETS)) for cut in (begin, end))
        rows += [(number, step, begin, end) for number in range(first, last + 1)]
    rows += [(step, step, 0.0, 0.0) for step in (NOT_GIVEN, *REASONS)]
    engine.load(
        "buckets",
        {"bucket": "INTEGER", "step": "INTEGER", "low": "DOUBLE", "high": "DOUBLE"},
        rows,
    )
    return Steps(plausible, scale, tuple(cuts))
