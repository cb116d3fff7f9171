"""What is the verdict on every reading? The answers of the documents joined back to the log.

For nearly every condition and quantity the answer is plain: low below one value, high above
another, inside between two, and between those the sources differ. Such a reading is compared
with four numbers. The rest (a document with two ranges and a gap, say) is weighed group by group.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from weldref.core.units import Units
from weldref.core.verdict import system_of
from weldref.data.store import Store
from weldref.logs import engine as sql
from weldref.logs.answers import WORDS, Answer, Answers
from weldref.logs.conditions import Keys
from weldref.logs.engine import Engine
from weldref.logs.files import Log, Readings

INSIDE, LOW, HIGH, DIFFER, NOTHING = range(len(WORDS))
WEIGH, NOT_A_NUMBER, IMPLAUSIBLE = 5, 6, 7
"""Codes beside the words of a verdict: to be weighed, and why a reading has none."""
READING_REASONS = {NOT_A_NUMBER: "not a number", IMPLAUSIBLE: "implausible"}
FIRST_REASON, NO_READING, PACK = 8, 63, 64
"""Reasons of a whole record come next; several codes are packed into one number."""
TOGETHER = 10
"""How many codes go into one number of 63 bits."""


@dataclass(frozen=True, slots=True)
class Measure:
    """One column of readings with what it takes to judge it."""

    readings: Readings
    quantity: int
    factor: float
    shift: float
    plausible: tuple[float, float]

    @property
    def si(self) -> str:
        """The SQL of a reading in SI."""
        value = f"l.{self.readings.name} * {sql.number(self.factor)}"
        return f"({value} + {sql.number(self.shift)})" if self.shift else f"({value})"


def measures(
    store: Store,
    readings: Sequence[Readings],
    quantities: Sequence[str],
    plausible: Mapping[str, tuple[float, float]],
) -> tuple[Measure, ...]:
    """Look up the factors and the limits of the log's readings."""
    by_spelling = Units(store).by_spelling
    return tuple(
        Measure(
            r,
            quantities.index(r.quantity),
            by_spelling[r.unit].factor,
            by_spelling[r.unit].shift,
            plausible[r.quantity],
        )
        for r in readings
    )


def load_answers(engine: Engine, answers: Answers, measured: Sequence[Measure]) -> None:
    """Ask about every set of rows; make `groups`, `pieces`, `rests` and `measured`."""
    groups = []
    pieces = []
    rests = []
    for state, members, quantity in engine.fetch("SELECT state, members, quantity FROM states"):
        known: dict[str | None, Answer] = {}
        for number, measure in enumerate(measured):
            if measure.quantity != quantity:
                continue
            system = system_of(measure.readings.unit)
            if system not in known:
                known[system] = answers.answer(members, system)
            answer = known[system]
            rests.append((state, number, "; ".join(answer.windows), answer.grade))
            for place, group in enumerate(answer.groups):
                groups.append((state, number, place, *group.bounds(), group.plain))
                if not group.plain:
                    ends = [*(piece.begin for piece in group.pieces[1:]), float("inf")]
                    pieces += [
                        (state, number, place, piece.begin, end, piece.word, piece.end)
                        for piece, end in zip(group.pieces, ends, strict=True)
                    ]
    base = {"state": "BIGINT", "reading": "INTEGER"}
    bounds = dict.fromkeys(("low", "high", "low_end", "high_end"), "DOUBLE")
    engine.load("groups", {**base, "place": "INTEGER", **bounds, "plain": "BOOLEAN"}, groups)
    engine.load(
        "pieces",
        {**base, "place": "INTEGER", "begin": "DOUBLE", "finish": "DOUBLE", "word": "INTEGER",
         "nearest": "DOUBLE"},
        pieces,
    )  # fmt: skip
    engine.load("rests", {**base, "windows": "VARCHAR", "grade": "INTEGER"}, rests)
    engine.load(
        "measured",
        {"reading": "INTEGER", "quantity": "INTEGER", "name": "VARCHAR", "unit": "VARCHAR",
         "factor": "DOUBLE"},
        [
            (number, m.quantity, m.readings.quantity, m.readings.unit, m.factor)
            for number, m in enumerate(measured)
        ],
    )  # fmt: skip


def load_bounds(engine: Engine, keys: Keys, measured: Sequence[Measure]) -> None:
    """Make the table `known`: for each condition's key the four numbers of every reading."""
    engine.make(
        "bounds",
        """
        SELECT s.condition, g.reading, min(g.low) AS low, max(g.low) AS from_, min(g.high) AS to_,
            max(g.high) AS high, min(g.low_end) AS low_end, max(g.high_end) AS high_end,
            min(CASE WHEN g.plain THEN 1 ELSE 0 END) AS plain
        FROM spoken s JOIN groups g ON g.state = s.state
        WHERE NOT s.recalled GROUP BY s.condition, g.reading
        """,
    )
    names = ("low", "from_", "to_", "high", "low_end", "high_end", "plain")
    cells = "".join(
        f", max(CASE WHEN reading = {number} THEN {name} END) AS {name}{number}"
        for number in range(len(measured))
        for name in names
    )
    engine.make("wide", f"SELECT condition{cells} FROM bounds GROUP BY condition")
    shown = "".join(f", w.{name}{n}" for n in range(len(measured)) for name in names)
    engine.make(
        "known",
        f"SELECT {keys.key} AS key, l.step, l.condition, l.reason{shown} "
        "FROM said l LEFT JOIN wide w ON w.condition = l.condition",
    )


def judged(
    log: Log,
    keys: Keys,
    measured: Sequence[Measure],
    numbers: Sequence[int],
    *,
    known: str = "known",
    only: str = "",
) -> str:
    """Write the SQL that gives each record a code for each of some readings.

    Columns: record, condition, and for each reading its value, the same in SI, its code, and
    the ends of the ranges that it may be below or above. `known` is the table of the conditions
    whose records are wanted, and `only` a condition on the record `l`.
    """
    cells = ["l.record", "w.condition"]
    for number in numbers:
        measure = measured[number]
        cells += [
            f"l.{measure.readings.name} AS value{number}",
            f"{measure.si} AS si{number}",
            f"{_code(measure, number)} AS code{number}",
            *(f"w.{name}{number}" for name in ("low", "high", "low_end", "high_end")),
        ]
    return (
        f"SELECT {', '.join(cells)} FROM {log.source} l {keys.join} "
        f"JOIN {known} w ON w.key = {keys.key} AND w.step = {keys.step} {only}"
    )


def _code(measure: Measure, number: int) -> str:
    low, high = (sql.number(limit) for limit in measure.plausible)
    value = f"l.{measure.readings.name}"
    return f"""
        CASE WHEN {value} IS NULL THEN {NO_READING}
        WHEN w.reason IS NOT NULL THEN {FIRST_REASON} + w.reason
        WHEN {measure.si} >= {low} AND {measure.si} <= {high} THEN
            CASE WHEN w.plain{number} IS NULL THEN {NOTHING}
            WHEN w.plain{number} = 0 THEN {WEIGH}
            WHEN {measure.si} >= w.from_{number} AND {measure.si} < w.to_{number} THEN {INSIDE}
            WHEN {measure.si} < w.low{number} THEN {LOW}
            WHEN {measure.si} >= w.high{number} THEN {HIGH}
            ELSE {DIFFER} END
        WHEN {sql.unreal(value)} THEN {NOT_A_NUMBER}
        ELSE {IMPLAUSIBLE} END"""


def each_reading(judgements: str, numbers: Sequence[int]) -> str:
    """Write the SQL of a line for each reading of each record that `judged` covers.

    Columns: record, condition, reading, value, si, code, low_end, high_end; and quantity, name,
    unit and factor of the reading.
    """

    def chosen(name: str) -> str:
        listed = " ".join(f"WHEN {number} THEN j.{name}{number}" for number in numbers)
        return f"CASE m.reading {listed} END AS {name}"

    cells = ", ".join(chosen(name) for name in ("value", "si", "code", "low_end", "high_end"))
    listed = ", ".join(str(number) for number in numbers)
    return (
        f"SELECT j.record, j.condition, m.*, {cells} FROM {judgements} j "
        f"CROSS JOIN (SELECT * FROM measured WHERE reading IN ({listed})) m"
    )


def weighed(judgements: str, numbers: Sequence[int], codes: Sequence[int]) -> str:
    """Write the SQL that weighs readings group by group, as `weldref.core.verdict.weigh` does.

    Columns: record, reading, condition, value, name, unit, factor, code, by_ (in SI) and
    nearest (the end that it is measured from).

    Parameters
    ----------
    judgements
        The name of a table or query as `judged` writes it.
    numbers
        The readings to weigh.
    codes
        Those with one of these codes.
    """
    wanted = ", ".join(str(code) for code in codes)
    some = " OR ".join(f"code{number} IN ({wanted})" for number in numbers)
    asked = each_reading(f"(SELECT * FROM {judgements} f WHERE {some})", numbers)
    return f"""
        WITH asked AS (SELECT * FROM ({asked}) e WHERE code IN ({wanted})),
        answered AS (
            SELECT a.*,
                CASE WHEN a.si < g.low THEN {LOW} WHEN a.si >= g.high THEN {HIGH}
                    ELSE {INSIDE} END AS word,
                CASE WHEN a.si < g.low THEN g.low_end ELSE g.high_end END AS nearest
            FROM asked a
            JOIN spoken s ON s.condition = a.condition AND s.quantity = a.quantity
            JOIN groups g ON g.state = s.state AND g.reading = a.reading
            WHERE NOT s.recalled AND g.plain
            UNION ALL
            SELECT a.*, p.word, p.nearest
            FROM asked a
            JOIN spoken s ON s.condition = a.condition AND s.quantity = a.quantity
            JOIN pieces p ON p.state = s.state AND p.reading = a.reading
                AND a.si >= p.begin AND a.si < p.finish
            WHERE NOT s.recalled
        )
        SELECT record, reading, any_value(condition) AS condition, any_value(value) AS value,
            any_value(name) AS name, any_value(unit) AS unit, any_value(factor) AS factor,
            CASE WHEN min(word) = max(word) THEN min(word) ELSE {DIFFER} END AS code,
            coalesce(min(CASE WHEN word <> {INSIDE} THEN abs(si - nearest) END), 0) AS by_,
            min_by(nearest, CASE WHEN word <> {INSIDE} THEN abs(si - nearest) END) AS nearest
        FROM answered GROUP BY record, reading
    """


def load_basis(engine: Engine, conditions: str = "") -> None:
    """Make the table `basis`: the rows and the grade that each verdict rests on.

    Recalled rows count only where nothing printed speaks. `conditions` narrows it down, as a
    condition on `s`.
    """
    engine.make(
        "basis",
        f"""
        SELECT condition, reading, string_agg(windows, '; ' ORDER BY windows) AS windows,
            max(grade) AS grade
        FROM (
            SELECT s.condition, r.reading, r.windows, r.grade, s.recalled,
                min(CASE WHEN s.recalled THEN 1 ELSE 0 END)
                    OVER (PARTITION BY s.condition, r.reading) AS only_recalled
            FROM spoken s JOIN rests r ON r.state = s.state {conditions}
        ) b WHERE (only_recalled = 1) = recalled
        GROUP BY condition, reading
        """,
    )
