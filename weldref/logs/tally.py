"""Count the readings inside, low, high ... by quantity, and find those farthest outside."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from weldref.logs import engine as sql
from weldref.logs import verdicts
from weldref.logs.codes import (
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
from weldref.logs.engine import Rows
from weldref.logs.prepare import Prepared

LABELS = {"joint": "joint", "welder": "welder", "time": "seconds"}
"""Fields of a log that say which record it is, with their columns."""

BEYOND_ALL = 1e308
"""Only an infinite gap is wider."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How often each code occurs for each reading, and the records farthest outside."""

    codes: tuple[Counter[int], ...]
    farthest: tuple[int, ...]


def tally(ready: Prepared, most: int) -> Tally:
    """Count the verdicts, by how many of each condition's readings have passed each edge.

    Parameters
    ----------
    ready
        The log and what is published for it.
    most
        How many of the records farthest outside to name.
    """
    engine, measured = ready.engine, ready.measured
    engine.make("by_condition", _by_condition(ready))
    engine.make("weighed", _weighed(measured))
    engine.make("extremes", _EXTREMES)
    codes = [Counter[int]() for _ in measured]
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
        # A reading that has passed one edge but not the next is in the span between.
        spans = pairwise([*sorted(passed, reverse=True), 0])
        for place, (here, beyond) in enumerate(spans):
            if here > beyond:
                codes[reading][packed[state] // PACK**place % PACK] += here - beyond
    far = [*_farthest(ready, most)] if most else []
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
        verdicts.load_pieces(ready, [state for (state,) in states])
        judgements = f"({verdicts.judged(ready, known='unsettled')})"
        engine.make("settled", verdicts.looked_up(ready, judgements, IN_PIECES))
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


def _by_condition(ready: Prepared) -> str:
    """Write the SQL that counts each condition's readings, in a single pass over the log."""
    log, keys = ready.log, ready.keys
    cells, counts = ["w.condition"], ["condition"]
    for number, measure in enumerate(ready.measured):
        cells += [
            f"l.{measure.readings.name} AS value{number}",
            f"CASE WHEN {measure.is_plausible} THEN {measure.si} END AS si{number}",
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
    """Write the SQL that gives each condition a line for each of its readings."""
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


def _farthest(ready: Prepared, most: int) -> Rows:
    """Find the records farthest below or above all ranges, by the extremes of each condition."""
    engine, keys = ready.engine, ready.keys
    greatest = engine.fetch(f"SELECT far FROM extremes WHERE far > 0 ORDER BY 1 DESC LIMIT {most}")
    if not greatest:
        return []
    enough = greatest[-1][0] if len(greatest) == most else 0.0
    engine.make(
        "outside",
        "SELECT * FROM known WHERE condition IN (SELECT condition FROM extremes "
        f"WHERE far > 0 AND far >= {sql.number(enough)})",
    )
    few = engine.fetch("SELECT DISTINCT key FROM outside")
    only = f"WHERE {keys.key} IN ({', '.join(str(key) for (key,) in few)})"
    judgements = verdicts.judged(ready, known="outside", only=only)
    far = f"greatest({', '.join(map(_share, range(len(ready.measured))))}, 0.0)"
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


def details(ready: Prepared, records: Sequence[int]) -> list[dict[str, Any]]:
    """Judge a few records in full: every reading that is low or high, farthest first.

    Returns
    -------
    list
        record, reading, value, code, by (SI), share, windows, grade, joint, welder, seconds.
    """
    if not records:
        return []
    engine, log = ready.engine, ready.log
    only = f"WHERE l.place IN ({', '.join(str(record - 1) for record in records)})"
    engine.make("few", verdicts.judged(ready, only=only))
    listed = ", ".join(f"state{number}" for number in range(len(ready.measured)))
    rows = engine.fetch(f"SELECT {listed} FROM few")
    states = {state for row in rows for state in row if state is not None}
    verdicts.load_pieces(ready, states)
    verdicts.load_basis(ready, states)
    labels = [name for field, name in LABELS.items() if log.has(field)]
    shown = "".join(f", l.{label}" for label in labels)
    # The code of a plain reading is known; looking it up again also gives its distance.
    query = verdicts.looked_up(ready, "few", [LOW, HIGH, *IN_PIECES])
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
