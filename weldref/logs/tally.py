"""Count the readings inside, low, high ... by quantity, and find those farthest outside."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from weldref.core.profile import Profiles
from weldref.logs import engine as sql
from weldref.logs import verdicts
from weldref.logs.conditions import Keys
from weldref.logs.engine import Engine, Rows
from weldref.logs.files import Log
from weldref.logs.verdicts import (
    FIRST_REASON,
    HIGH,
    HIGH_BETWEEN,
    IMPLAUSIBLE,
    IN_PIECES,
    LOOK_UP,
    LOOKED_UP,
    LOW,
    LOW_BETWEEN,
    NOT_A_NUMBER,
    PACK,
    Measure,
)

BEYOND_ALL = 1e308
"""Only an infinite gap is wider."""


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
    """Count the verdicts: of each condition's readings, how many have passed each edge.

    Parameters
    ----------
    engine, log, keys, profiles, measured
        The tables made so far, the log, how its records find their condition, what is published.
    most
        How many of the records farthest outside to name.
    """
    engine.make("by_condition", _by_condition(log, keys, measured))
    engine.make("weighed", _weighed(measured))
    engine.make("extremes", _EXTREMES)
    codes = [Counter[int]() for _ in measured]
    numbers = range(len(measured))
    counted = ("said", "unreal", *_passed(measured))
    sums = ", ".join(f"coalesce(sum({name}), 0)" for name in counted)
    packed = [codes for (codes,) in engine.fetch("SELECT codes FROM states ORDER BY state")]
    for reading, reason, state, said, unreal, *passed in engine.fetch(
        f"SELECT reading, reason, state, {sums} FROM weighed GROUP BY 1, 2, 3"
    ):
        if reason is not None:
            codes[reading][FIRST_REASON + reason] += said
            continue
        codes[reading][NOT_A_NUMBER] += unreal
        codes[reading][IMPLAUSIBLE] += said - unreal - passed[0]
        # What has passed the edge before and not the next one is in the span between.
        spans = pairwise([*sorted(passed, reverse=True), 0])
        for place, (here, beyond) in enumerate(spans):
            if here > beyond:
                codes[reading][packed[state] // PACK**place % PACK] += here - beyond
    far = [*_farthest(engine, log, keys, measured, most)] if most else []
    looked_up = [number for number, found in enumerate(codes) if found[LOOK_UP]]
    enough = far[-1][0] if far and len(far) == most else 0.0
    wider = f"gap > {sql.number(enough if most else BEYOND_ALL)}"
    ((apart,),) = engine.fetch(f"SELECT count(*) FROM extremes WHERE {wider}")
    if apart:
        engine.make(
            "unsettled",
            "SELECT * FROM known WHERE condition IN "
            f"(SELECT condition FROM extremes WHERE {wider})",
        )
        states = engine.fetch("SELECT state FROM states WHERE gap > 0")
        verdicts.load_pieces(engine, profiles, [state for (state,) in states])
        judgements = f"({verdicts.judged(log, keys, measured, numbers, known='unsettled')})"
        engine.make("settled", verdicts.looked_up(judgements, numbers, IN_PIECES))
        for number in looked_up:
            del codes[number][LOOK_UP]
        for reading, code, count in engine.fetch(
            "SELECT q.reading, q.code, count(*) FROM settled q JOIN states s ON s.state = q.state "
            f"WHERE s.codes = {LOOKED_UP} GROUP BY 1, 2"
        ):
            codes[reading][code] += count
        far += engine.fetch(
            "SELECT by_ / nullif(abs(nearest), 0) AS far, record FROM settled "
            f"WHERE code IN ({LOW}, {HIGH}) ORDER BY far DESC NULLS LAST, record LIMIT {most}"
        )
    for found in codes:
        found[LOW] += found.pop(LOW_BETWEEN, 0)
        found[HIGH] += found.pop(HIGH_BETWEEN, 0)
    records = dict.fromkeys(
        record for _, record in sorted((-share, r) for share, r in far if share)
    )
    return Tally(tuple(codes), tuple(records)[:most])


def _passed(measured: Sequence[Measure]) -> tuple[str, ...]:
    """Name the columns that count plausible readings, and those that have passed an edge."""
    return ("plausible", *max((measure.edges for measure in measured), key=len))


def _by_condition(log: Log, keys: Keys, measured: Sequence[Measure]) -> str:
    """Write the SQL that counts each condition's readings, in the one pass over the log."""
    cells, counts = ["w.condition"], ["condition"]
    for number, measure in enumerate(measured):
        low, high = (sql.number(limit) for limit in measure.plausible)
        value = f"l.{measure.readings.name}"
        cells += [
            f"{value} AS value{number}",
            f"CASE WHEN {measure.si} >= {low} AND {measure.si} <= {high} THEN {measure.si} END "
            f"AS si{number}",
            *(f"w.{edge}{measure.place} AS {edge}{number}" for edge in measure.edges),
        ]
        counts += [
            f"count(value{number}) AS said{number}",
            f"count_if({sql.unreal(f'value{number}')}) AS unreal{number}",
            f"count(si{number}) AS plausible{number}",
            f"min(si{number}) AS least{number}",
            f"max(si{number}) AS most{number}",
            *(f"count_if(si{number} >= {e}{number}) AS passed_{e}{number}" for e in measure.edges),
        ]
    return (
        f"SELECT {', '.join(counts)} FROM (SELECT {', '.join(cells)} FROM {log.source} l "
        f"{keys.join} JOIN known w ON w.key = {keys.key} AND w.step = {keys.step}) j GROUP BY 1"
    )


def _weighed(measured: Sequence[Measure]) -> str:
    """Write the SQL that puts the readings of each condition on a line for each quantity."""
    lines = []
    for number, measure in enumerate(measured):
        counted = [
            f"b.passed_{edge}{number}" if edge in measure.edges else "0"
            for edge in _passed(measured)[1:]
        ]
        named = zip(counted, _passed(measured)[1:], strict=True)
        lines.append(
            f"SELECT {number} AS reading, b.condition, s.reason, s.s{measure.place} AS state, "
            + ", ".join(f"b.{name}{number} AS {name}" for name in ("said", "unreal", "plausible"))
            + f", b.least{number} AS least, b.most{number} AS most, "
            + ", ".join(f"{cell} AS {name}" for cell, name in named)
            + " FROM by_condition b JOIN said s ON s.condition = b.condition"
        )
    return " UNION ALL ".join(lines)


_EXTREMES = """
    SELECT w.condition, t.gap, greatest(
        CASE WHEN w.least < t.low THEN (t.low - w.least) / nullif(abs(t.low), 0) END,
        CASE WHEN w.most >= t.high THEN (w.most - t.high) / nullif(abs(t.high), 0) END, 0.0
    ) AS far FROM weighed w JOIN states t ON t.state = w.state
"""
"""How far below or above all ranges the least and the greatest reading of each condition are."""


def _farthest(engine: Engine, log: Log, keys: Keys, measured: Sequence[Measure], most: int) -> Rows:
    """Find the records farthest below or above all ranges, by the extremes of each condition."""
    greatest = engine.fetch(f"SELECT far FROM extremes WHERE far > 0 ORDER BY 1 DESC LIMIT {most}")
    if not greatest:
        return []
    enough = greatest[-1][0] if len(greatest) == most else 0.0
    engine.make(
        "outside",
        "SELECT * FROM known WHERE condition IN (SELECT condition FROM extremes "
        f"WHERE far > 0 AND far >= {sql.number(enough)})",
    )
    numbers = range(len(measured))
    few = engine.fetch("SELECT DISTINCT key FROM outside")
    only = f"WHERE {keys.key} IN ({', '.join(str(key) for (key,) in few)})"
    judgements = verdicts.judged(log, keys, measured, numbers, known="outside", only=only)
    far = f"greatest({', '.join(map(_share, numbers))}, 0.0)"
    return engine.fetch(
        f"SELECT {far} AS far, record FROM ({judgements}) j ORDER BY far DESC, record LIMIT {most}"
    )


def _share(number: int) -> str:
    """Write how far a reading is below or above all ranges, as a share of the nearest edge."""
    si, low, high = f"si{number}", f"low{number}", f"high{number}"
    return (
        f"CASE code{number} WHEN {LOW} THEN ({low} - {si}) / nullif(abs({low}), 0) "
        f"WHEN {HIGH} THEN ({si} - {high}) / nullif(abs({high}), 0) END"
    )


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
    only = f"WHERE l.place IN ({', '.join(str(record - 1) for record in records)})"
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
