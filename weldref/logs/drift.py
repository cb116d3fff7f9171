"""Describe how the settings of a joint drift over time, which is not a verdict.

The first half of a joint's time is compared with the second, and a straight line is fitted by
least squares. Neither says why it drifts, nor whether that matters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from weldref.logs.codes import Measure
from weldref.logs.engine import Engine
from weldref.logs.files import Log

FEWEST = 10
"""Halves with fewer readings than this are not compared."""


@dataclass(frozen=True, slots=True)
class Drift:
    """How one quantity moved over the time of one joint.

    The means are of the first and the second half of the joint's time, in `unit`; `slope` is
    in `unit` per hour; `change` is the second mean less the first as a share of the first.
    """

    joint: str
    quantity: str
    unit: str
    readings: int
    first_readings: int
    first_mean: float
    second_readings: int
    second_mean: float
    change: float
    slope: float
    hours: float


def drifts(engine: Engine, log: Log, measured: Sequence[Measure], most: int) -> list[Drift]:
    """Describe the joints whose readings moved most.

    Parameters
    ----------
    engine, log, measured
        The log and its readings; implausible readings are left out.
    most
        How many to return.
    """
    if not (log.has("joint") and log.has("time")):
        return []
    engine.make(
        "spans",
        "SELECT l.joint, min(l.seconds) AS begin, "
        "(min(l.seconds) + max(l.seconds)) / 2 AS middle, "
        "(max(l.seconds) - min(l.seconds)) / 3600 AS hours "
        f"FROM {log.source} l WHERE l.joint <> '' AND l.seconds IS NOT NULL "
        "GROUP BY l.joint HAVING max(l.seconds) > min(l.seconds)",
    )
    cells = []
    for number, measure in enumerate(measured):
        cells.append(
            f"CASE WHEN {measure.is_plausible} THEN l.{measure.readings.name} END AS v{number}"
        )
    # The hours are counted from the middle, so that the sums of the line lose no digits.
    inner = (
        f"SELECT s.joint, s.hours, l.seconds < s.middle AS early, "
        f"(l.seconds - s.middle) / 3600 AS hour, {', '.join(cells)} "
        f"FROM {log.source} l JOIN spans s ON s.joint = l.joint WHERE l.seconds IS NOT NULL"
    )
    sums = "".join(
        f", count(v{n}) AS n{n}, sum(v{n}) AS y{n}, sum(hour * v{n}) AS xy{n}"
        f", sum(CASE WHEN v{n} IS NOT NULL THEN hour END) AS x{n}"
        f", sum(CASE WHEN v{n} IS NOT NULL THEN hour * hour END) AS xx{n}"
        for n in range(len(measured))
    )
    engine.make(
        "halves",
        f"SELECT joint, early, any_value(hours) AS hours{sums} FROM ({inner}) i GROUP BY 1, 2",
    )
    each = " UNION ALL ".join(
        f"SELECT f.joint, {n} AS reading, f.n{n} AS first_n, f.y{n} / f.n{n} AS first, "
        f"s.n{n} AS second_n, s.y{n} / s.n{n} AS second, "
        f"f.n{n} + s.n{n} AS n, f.x{n} + s.x{n} AS x, f.y{n} + s.y{n} AS y, "
        f"f.xx{n} + s.xx{n} AS xx, f.xy{n} + s.xy{n} AS xy, f.hours "
        "FROM halves f JOIN halves s ON s.joint = f.joint AND NOT s.early WHERE f.early "
        f"AND f.n{n} >= {FEWEST} AND s.n{n} >= {FEWEST}"
        for n in range(len(measured))
    )
    rows = engine.fetch(
        f"""
        SELECT joint, reading, first_n, first, second_n, second,
            (n * xy - x * y) / (n * xx - x * x) AS slope, hours,
            (second - first) / abs(first) AS change
        FROM ({each}) e WHERE first <> 0 AND second <> first
        ORDER BY abs(change) DESC, joint, reading LIMIT {most}
        """
    )
    engine.drop("spans", "halves")
    return [
        Drift(
            joint=joint,
            quantity=measured[reading].readings.quantity,
            unit=measured[reading].readings.unit,
            readings=first_n + second_n,
            first_readings=first_n,
            first_mean=first,
            second_readings=second_n,
            second_mean=second,
            change=change,
            slope=slope,
            hours=hours,
        )
        for joint, reading, first_n, first, second_n, second, slope, hours, change in rows
    ]
