"""Count the readings inside, low, high ... by quantity, and find those farthest outside."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from weldref.core.profile import Profiles
from weldref.logs import verdicts
from weldref.logs.conditions import Keys
from weldref.logs.engine import Engine
from weldref.logs.files import Log
from weldref.logs.verdicts import (
    HIGH,
    HIGH_BETWEEN,
    IN_PIECES,
    LOOK_UP,
    LOW,
    LOW_BETWEEN,
    NO_READING,
    PACK,
    SPANS,
    Measure,
)


@dataclass(frozen=True, slots=True)
class Tally:
    """How often each code occurs for each reading, and the records farthest outside."""

    codes: tuple[Counter[int], ...]
    farthest: tuple[int, ...]


def tally(
    engine: Engine,
    log: Log,
    keys: Keys,
    profiles: Profiles,
    measured: Sequence[Measure],
    most: int,
) -> Tally:
    """Count the verdicts in one pass over the log.

    Parameters
    ----------
    engine, log, keys, profiles, measured
        The tables made so far, the log, how its records find their condition, what is published.
    most
        How many of the records farthest outside to name.
    """
    codes = [Counter[int]() for _ in measured]
    far: list[tuple[float, int]] = []
    for start in range(0, len(measured), SPANS):
        numbers = range(start, min(start + SPANS, len(measured)))
        packed = " + ".join(
            f"CAST(code{number} AS BIGINT) * {PACK**place}" for place, number in enumerate(numbers)
        )
        shares = ", ".join(_share(measured[number], number) for number in numbers)
        far_out = f"greatest({shares})"
        judgements = verdicts.judged(log, keys, measured, numbers)
        for pack, count, *named in engine.fetch(
            f"SELECT {packed} AS pack, count(*){engine.farthest('record', far_out, most)} "
            f"FROM ({judgements}) j GROUP BY 1"
        ):
            for place, number in enumerate(numbers):
                codes[number][pack // PACK**place % PACK] += count
            far += _named(named)
    unsettled = [number for number, found in enumerate(codes) if found[LOOK_UP]]
    if unsettled:
        some = " OR ".join(f"look_up{measured[number].place}" for number in unsettled)
        engine.make("unsettled", f"SELECT * FROM known WHERE {some}")
        states = engine.fetch("SELECT state FROM states WHERE look_up")
        verdicts.load_pieces(engine, profiles, [state for (state,) in states])
        judgements = verdicts.judged(log, keys, measured, unsettled, known="unsettled")
        query = verdicts.looked_up(f"({judgements})", unsettled, [LOOK_UP])
        outside = f"code IN ({LOW}, {HIGH})"
        share = f"CASE WHEN {outside} THEN by_ / nullif(abs(nearest), 0) END"
        for number in unsettled:
            del codes[number][LOOK_UP]
        for reading, code, count, *named in engine.fetch(
            f"SELECT reading, code, count(*){engine.farthest('record', share, most)} "
            f"FROM ({query}) q GROUP BY 1, 2"
        ):
            codes[reading][code] += count
            far += _named(named)
    for found in codes:
        found[LOW] += found.pop(LOW_BETWEEN, 0)
        found[HIGH] += found.pop(HIGH_BETWEEN, 0)
        del found[NO_READING]
    best = sorted({record: share for share, record in sorted(far)}.items(), key=lambda f: -f[1])
    return Tally(tuple(codes), tuple(record for record, _ in best[:most]))


def _share(measure: Measure, number: int) -> str:
    """Write how far outside a plain reading is, as a share of the edge that it is beyond."""
    si, low, high = f"si{number}", f"low{number}", f"high{number}"
    ends = {LOW: low, HIGH: high}
    if measure.between:
        edges = [f"{edge}{number}" for edge in measure.edges]
        above = ", ".join(f"CASE WHEN {edge} > {si} THEN {edge} END" for edge in edges)
        below = ", ".join(f"CASE WHEN {edge} <= {si} THEN {edge} END" for edge in edges)
        ends |= {LOW_BETWEEN: f"least({above})", HIGH_BETWEEN: f"greatest({below})"}
    cases = (f"WHEN {n} THEN abs({end} - {si}) / nullif(abs({end}), 0)" for n, end in ends.items())
    return f"CASE code{number} {' '.join(cases)} END"


def _named(named: Sequence[Any]) -> list[tuple[float, int]]:
    """Pair the greatest shares with their records (see `Engine.farthest`)."""
    return list(zip(*(column or () for column in named), strict=True)) if named else []


def details(
    engine: Engine,
    log: Log,
    keys: Keys,
    profiles: Profiles,
    measured: Sequence[Measure],
    records: Sequence[int],
) -> list[dict[str, Any]]:
    """Judge a few records in full: every reading that is low or high, farthest first.

    Returns
    -------
    list
        record, reading, value, code, by (SI), share, windows, grade, joint, welder, seconds.
    """
    if not records:
        return []
    numbers = range(len(measured))
    only = f"WHERE l.record IN ({', '.join(str(record) for record in records)})"
    engine.make("few", verdicts.judged(log, keys, measured, numbers, only=only))
    listed = ", ".join(f"state{number}" for number in numbers)
    rows = engine.fetch(f"SELECT {listed} FROM few")
    states = {state for row in rows for state in row if state is not None}
    verdicts.load_pieces(engine, profiles, states)
    verdicts.load_basis(engine, profiles, states)
    labels = [label for label in ("joint", "welder", "seconds") if _has(log, label)]
    shown = "".join(f", l.{label}" for label in labels)
    # The code of a plain reading is known; looking it up again gives its distance as well.
    query = verdicts.looked_up("few", numbers, [LOW, HIGH, *IN_PIECES])
    rows = engine.fetch(
        f"""
        SELECT q.record, q.reading, q.value, q.code, q.by_,
            q.by_ / nullif(abs(q.nearest), 0) AS share, b.windows, b.grade{shown}
        FROM ({query}) q
        JOIN basis b ON b.state = q.state
        JOIN {log.source} l ON l.record = q.record
        WHERE q.code IN ({LOW}, {HIGH})
        ORDER BY share DESC NULLS LAST, q.record, q.reading
        """
    )
    names = ("record", "reading", "value", "code", "by", "share", "windows", "grade", *labels)
    return [dict(zip(names, row, strict=True)) for row in rows]


def _has(log: Log, label: str) -> bool:
    return log.has("time" if label == "seconds" else label)
