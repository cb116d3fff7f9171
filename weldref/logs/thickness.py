"""Group the thicknesses of a log into steps within which the same rows apply.

Between two edges of the rows' thickness bands the same rows apply to every thickness, so a
continuous column has only as many steps as there are spans between edges. The step of a thickness
is found by an equi-join on buckets of equal width, and by counting the edges inside the bucket
that the thickness has passed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from weldref.core.bands import SLACK, Band
from weldref.core.index import NOMINAL, thickness_code
from weldref.logs import engine as sql
from weldref.logs.engine import Engine

NOT_GIVEN, NOT_A_NUMBER, IMPLAUSIBLE = -1, -2, -3
"""Steps of records without a plausible thickness."""

REASONS = {NOT_A_NUMBER: "unreadable thickness", IMPLAUSIBLE: "implausible thickness"}

BUCKETS = 4096


def edges(band: Band) -> list[float]:
    """List the thicknesses at which `thickness_code` may change for a band.

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
    """Return the next float above a number."""
    return math.nextafter(number, math.inf)


def switch(holds: Callable[[float], bool], low: float, high: float) -> float:
    """Find the first float at which a test has changed, between two where it differs.

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
    """The steps of a log's thickness; `plausible` has the limits in metres.

    `begins` has the least thickness of each step. The engine's table `buckets` has for each bucket
    the step before its edges, and the edges, at most `most` of them.
    """

    plausible: tuple[float, float]
    scale: float
    begins: tuple[float, ...]
    most: int

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
        """The SQL that joins a log `l` to its buckets `k`."""
        return f"JOIN buckets k ON k.bucket = {self.bucket}"

    @property
    def step(self) -> str:
        """The SQL of the step of a record's thickness, after the join."""
        passed = "".join(
            f" + CAST(l.thickness >= k.edge{number} AS INTEGER)" for number in range(self.most)
        )
        return f"coalesce(k.step{passed}, k.step)"


def load_steps(engine: Engine, bands: Iterable[Band], plausible: tuple[float, float]) -> Steps:
    """Make the table of the steps between the edges of the rows' bands."""
    low, high = plausible
    cuts = sorted({edge for band in bands for edge in edges(band) if low < edge <= high} | {low})
    scale = BUCKETS / cuts[-1]
    inside: list[list[float]] = [[] for _ in range(BUCKETS + 1)]
    for cut in cuts:
        inside[math.floor(min(cut * scale, BUCKETS))].append(cut)
    most = max(map(len, inside))
    rows: list[tuple[float | None, ...]] = []
    step = -1
    for bucket, found in enumerate(inside):
        rows.append((bucket, step, *found, *[math.inf] * (most - len(found))))
        step += len(found)
    rows += [(none, none, *[None] * most) for none in (NOT_GIVEN, *REASONS)]
    kinds = dict.fromkeys((f"edge{number}" for number in range(most)), "DOUBLE")
    engine.load("buckets", {"bucket": "INTEGER", "step": "INTEGER", **kinds}, rows)
    return Steps(plausible, scale, tuple(cuts), most)
