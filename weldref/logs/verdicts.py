"""Write the SQL that joins what is published to a log, to give every reading its verdict."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from weldref.grades import GRADES
from weldref.logs import engine as sql
from weldref.logs.codes import (
    FIRST_REASON,
    IMPLAUSIBLE,
    NO_READING,
    NOT_A_NUMBER,
    PACK,
    Measure,
    code_of,
)
from weldref.logs.prepare import Prepared


def load_pieces(ready: Prepared, states: Iterable[int]) -> None:
    """Make the table `pieces` of the profiles of some states."""
    rows = []
    for state in states:
        found = ready.profiles.states[state].profile.pieces
        ends = [*(piece.begin for piece in found[1:]), math.inf]
        rows += [
            (state, piece.begin, end, code_of(piece), piece.below, piece.above)
            for piece, end in zip(found, ends, strict=True)
        ]
    ends_of = dict.fromkeys(("begin", "finish"), "DOUBLE")
    edges = dict.fromkeys(("below", "above"), "DOUBLE")
    ready.engine.load("pieces", {"state": "INTEGER", **ends_of, "code": "INTEGER", **edges}, rows)


def load_basis(ready: Prepared, states: Iterable[int]) -> None:
    """Make the table `basis`: the rows and the grade on which verdicts of some states rest."""
    rows = []
    for state in states:
        windows, grade = ready.profiles.rests_on(ready.profiles.states[state])
        place = GRADES.index(grade) if grade is not None else None
        rows.append((state, "; ".join(sorted(windows)), place))
    kinds = {"state": "INTEGER", "windows": "VARCHAR", "grade": "INTEGER"}
    ready.engine.load("basis", kinds, rows)


def judged(ready: Prepared, *, known: str = "known", only: str = "") -> str:
    """Write the SQL that gives each record a code for each of its readings.

    Columns: record, condition, and for each reading its state, its value, the same in SI, its
    code, and the edges with which it is compared, which include the slack of an edge. `known` is
    the table of the conditions whose records are wanted, `only` a condition on the record `l`.
    """
    log, keys = ready.log, ready.keys
    cells = ["l.record", "w.condition"]
    for number, measure in enumerate(ready.measured):
        place = measure.place
        cells += [
            f"w.s{place} AS state{number}",
            f"l.{measure.readings.name} AS value{number}",
            f"{measure.si} AS si{number}",
            f"{_code(measure)} AS code{number}",
            *(f"w.{n}{place} AS {n}{number}" for n in (*measure.edges, "low_end", "high_end")),
        ]
    return (
        f"SELECT {', '.join(cells)} FROM {log.source} l {keys.join} "
        f"JOIN {known} w ON w.key = {keys.key} AND w.step = {keys.step} {only}"
    )


def _code(measure: Measure) -> str:
    """Write the SQL of a reading's code: that of the span in which it is."""
    value, place = f"l.{measure.readings.name}", measure.place
    passed = " + ".join(
        f"CAST({measure.si} >= w.{edge}{place} AS TINYINT)" for edge in measure.edges
    )
    return f"""
        CASE WHEN {measure.is_plausible} THEN
            CAST((w.codes{place} >> (7 * ({passed}))) & {PACK - 1} AS TINYINT)
        WHEN {value} IS NULL THEN {NO_READING}
        WHEN w.reason IS NOT NULL THEN {FIRST_REASON} + w.reason
        WHEN {sql.unreal(value)} THEN {NOT_A_NUMBER}
        ELSE {IMPLAUSIBLE} END"""


def each_reading(ready: Prepared, judgements: str) -> str:
    """Write the SQL of a line for each reading of each record, from what `judged` selects.

    Columns: record, condition, state, value, si, code, low_end, high_end; and reading, name,
    unit and factor of the reading.
    """
    numbers = range(len(ready.measured))

    def chosen(name: str) -> str:
        listed = " ".join(f"WHEN {number} THEN j.{name}{number}" for number in numbers)
        return f"CASE m.reading {listed} END AS {name}"

    cells = ", ".join(
        chosen(name) for name in ("state", "value", "si", "code", "low_end", "high_end")
    )
    return f"SELECT j.record, j.condition, m.*, {cells} FROM {judgements} j CROSS JOIN measured m"


def looked_up(ready: Prepared, judgements: str, codes: Sequence[int]) -> str:
    """Write the SQL that finds the piece of each reading (see `load_pieces`).

    Columns: record, reading, state, value, name, unit, factor, code, by_ (in SI) and nearest
    (the edge from which that is measured).

    Parameters
    ----------
    ready
        The log.
    judgements
        The name of a table, or a query, as `judged` writes it.
    codes
        The codes of the readings to look up.
    """
    wanted = ", ".join(str(code) for code in codes)
    some = " OR ".join(f"code{number} IN ({wanted})" for number in range(len(ready.measured)))
    asked = each_reading(ready, f"(SELECT * FROM {judgements} f WHERE {some})")
    return f"""
        SELECT a.record, a.reading, a.state, a.value, a.name, a.unit, a.factor, p.code,
            least(a.si - p.below, p.above - a.si) AS by_,
            CASE WHEN p.above IS NULL OR a.si - p.below < p.above - a.si THEN p.below
                ELSE p.above END AS nearest
        FROM ({asked}) a
        JOIN pieces p ON p.state = a.state AND a.si >= p.begin AND a.si < p.finish
        WHERE a.code IN ({wanted})
    """
