"""Join what is published back to the log, to give every reading its verdict.

Nearly every profile is plain: low below one value, high above another, and few words between.
How many edges a reading has passed then tells its word. The rest (a document with two ranges and a
gap, say) is looked up among the pieces of its profile.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import NamedTuple

from weldref.core.cases import SAID_FIRST
from weldref.core.profile import Piece, Profile, Profiles
from weldref.core.situation import plausible_limits
from weldref.core.units import Units, UnitSystem
from weldref.core.verdict import system_of
from weldref.data.store import Store
from weldref.grades import GRADES
from weldref.logs import engine as sql
from weldref.logs.conditions import Keys
from weldref.logs.engine import Engine
from weldref.logs.files import Log, Readings

WORDS = ("inside", "low", "high", "sources differ", "no published range")
"""The words of a verdict by their code; "depends" has a code for each question."""
INSIDE, LOW, HIGH, DIFFER, NOTHING = range(len(WORDS))
LOOK_UP, NOT_A_NUMBER, IMPLAUSIBLE = 5, 6, 7
"""Codes beside the words of a verdict: to be looked up, and why a reading has none."""
READING_REASONS = {NOT_A_NUMBER: "not a number", IMPLAUSIBLE: "implausible"}
FIRST_REASON, DEPENDS = 8, 64
"""Reasons of a whole record come next. From `DEPENDS` on there are two codes for each condition
to ask for: whether every answer then has a word, or not."""
LOW_BETWEEN, HIGH_BETWEEN = 125, 126
"""Codes of what is low or high between two ranges."""
IN_PIECES = (LOOK_UP, LOW_BETWEEN, HIGH_BETWEEN)
"""Codes of readings whose distance is looked up among the pieces of their profile."""
NO_READING, PACK = 127, 128
"""Several codes are packed into one number."""
SPANS = 9
"""How many codes go into one number of 63 bits."""


@dataclass(frozen=True, slots=True)
class Measure:
    """One column of readings with what it takes to judge it.

    `place` is that of its profiles, `between` the most edges that one has between low and high.
    """

    readings: Readings
    system: UnitSystem | None
    place: int
    factor: float
    shift: float
    plausible: tuple[float, float]
    between: int = 0

    @property
    def asked(self) -> tuple[str, UnitSystem | None]:
        """The quantity and the unit system of its values."""
        return self.readings.quantity, self.system

    @property
    def edges(self) -> tuple[str, ...]:
        """The names of the edges that it is compared with."""
        return ("low", "high", *(f"middle{number}_" for number in range(self.between)))

    @property
    def si(self) -> str:
        """The SQL of a reading in SI."""
        value = f"l.{self.readings.name} * {sql.number(self.factor)}"
        return f"({value} + {sql.number(self.shift)})" if self.shift else f"({value})"


def measures(store: Store, readings: Sequence[Readings]) -> tuple[Measure, ...]:
    """Look up the factors and the limits of the log's readings."""
    by_spelling = Units(store).by_spelling
    asked = list(dict.fromkeys((r.quantity, system_of(r.unit)) for r in readings))
    return tuple(
        Measure(
            r,
            system_of(r.unit),
            asked.index((r.quantity, system_of(r.unit))),
            by_spelling[r.unit].factor,
            by_spelling[r.unit].shift,
            plausible_limits(store, r.quantity),
        )
        for r in readings
    )


def code_of(piece: Piece) -> int:
    """Write the word of a piece as a code.

    >>> code_of(Piece(0.0, "high")), code_of(Piece(0.0, "depends", ask="thickness", settles=True))
    (2, 65)
    """
    if piece.word != "depends":
        return WORDS.index(piece.word)
    return DEPENDS + 2 * SAID_FIRST.index(piece.ask or SAID_FIRST[-1]) + piece.settles


def question(code: int) -> tuple[str, bool] | None:
    """Read back what a code asks for first, and whether that settles it; None if it is a word.

    >>> question(65), question(2)
    (('thickness', True), None)
    """
    place, settles = divmod(code - DEPENDS, 2)
    return (SAID_FIRST[place], bool(settles)) if 0 <= place < len(SAID_FIRST) else None


class Plain(NamedTuple):
    """A profile that a reading is compared with at once: low below `low`, high from `high`.

    `codes` holds a code for each span between the edges `low`, `middle` and `high`; an edge that
    is not needed is infinite. `low_end` and `high_end` are the edges that distances are measured
    from. `between` counts the edges of `middle` that are needed; `gap` is how far outside a reading
    between two ranges may be, as a share of the nearest edge, infinite where some are looked up.
    """

    low: float
    high: float
    low_end: float
    high_end: float
    codes: int
    middle: tuple[float, ...]
    between: int
    gap: float


MOST_BETWEEN = SPANS - 3
"""The most edges between low and high."""
LOOKED_UP = LOW + LOOK_UP * PACK + HIGH * PACK**2
"""The codes of a profile with more edges."""


def plain(profile: Profile) -> Plain:
    """Write a profile with few edges as plain; with more, each reading is looked up.

    >>> from weldref.core.profile import Profile
    >>> one = Profile((Piece(-math.inf, "low", above=2.0), Piece(2.0, "inside")))
    >>> found = plain(one)
    >>> found.low, found.high, [found.codes // PACK**n % PACK for n in range(2)]
    (2.0, inf, [1, 0])
    """
    runs = [
        (code, end, next(pieces).begin) for (code, end), pieces in groupby(profile.pieces, _coded)
    ]
    low, high, low_end, high_end = -math.inf, math.inf, 0.0, 0.0
    if runs[0][0] == LOW and len(runs) > 1:
        low_end, low = runs.pop(0)[1] or 0.0, runs[0][2]
    if runs[-1][0] == HIGH and len(runs) > 1:
        _, end, high = runs.pop()
        high_end = end or 0.0
    middle = [begin for _, _, begin in runs[1:]]
    between = {LOW: LOW_BETWEEN, HIGH: HIGH_BETWEEN}
    codes = [between.get(code, code) for code, _, _ in runs]
    if len(middle) > MOST_BETWEEN:
        low, high, middle, codes = -math.inf, math.inf, [], [LOOK_UP]
    packed = sum(code * PACK**place for place, code in enumerate([LOW, *codes, HIGH]))
    widths = [
        max(abs(end - begin), abs(end - beyond)) / abs(end) if end else math.inf
        for (code, end, begin), beyond in zip(runs, [*middle, high], strict=False)
        if code in between
    ]
    gap = math.inf if LOOK_UP in codes else max(widths, default=0.0)
    needed = len(middle)
    middle += [math.inf] * (MOST_BETWEEN - needed)
    return Plain(low, high, low_end, high_end, packed, tuple(middle), needed, gap)


def _coded(piece: Piece) -> tuple[int, float | None]:
    """The code of a piece, with the edge where it decides the distance of low and high."""
    code = code_of(piece)
    return code, {LOW: piece.above, HIGH: piece.below}.get(code)


def load_known(
    engine: Engine, keys: Keys, profiles: Profiles, measured: Sequence[Measure]
) -> tuple[Measure, ...]:
    """Make the table `known`: for each condition's key the numbers of every reading.

    Returns the measures, each with how many edges between low and high it takes.
    """
    found = [plain(state.profile) for state in profiles.states]
    between = dict.fromkeys(profiles.asked, 0)
    for state, one in zip(profiles.states, found, strict=True):
        between[state.asked] = max(between[state.asked], one.between)
    kinds = {
        **dict.fromkeys(("low", "high", "low_end", "high_end"), "DOUBLE"),
        "codes": "BIGINT",
        "gap": "DOUBLE",
        **dict.fromkeys((f"middle{n}_" for n in range(MOST_BETWEEN)), "DOUBLE"),
    }
    rows = [(number, *one[:5], one.gap, *one.middle) for number, one in enumerate(found)]
    engine.load("states", {"state": "INTEGER", **kinds}, rows)
    engine.load(
        "measured",
        {"reading": "INTEGER", "name": "VARCHAR", "unit": "VARCHAR", "factor": "DOUBLE"},
        [(n, m.readings.quantity, m.readings.unit, m.factor) for n, m in enumerate(measured)],
    )
    places = sorted({measure.place for measure in measured})
    # A record that was not read has the reason for a code, whatever the value.
    every = sum(PACK**place for place in range(SPANS))
    cells = {name: f"coalesce(t{{0}}.{name}, 0.0)" for name in kinds}
    cells["codes"] = f"coalesce(t{{0}}.codes, ({FIRST_REASON} + s.reason) * {every})"
    shown = ", s.reason" + "".join(f", s.s{place}" for place in places)
    shown += "".join(
        f", {cell.format(place)} AS {name}{place}"
        for place in places
        for name, cell in cells.items()
    )
    joins = " ".join(f"LEFT JOIN states t{p} ON t{p}.state = s.s{p}" for p in places)
    engine.make(
        "known",
        f"SELECT {keys.key} AS key, l.step, l.condition{shown} "
        f"FROM cond l JOIN said s ON s.condition = l.condition {joins}",
    )
    return tuple(replace(measure, between=between[measure.asked]) for measure in measured)


def load_pieces(engine: Engine, profiles: Profiles, states: Iterable[int]) -> None:
    """Make the table `pieces` of the profiles of some states."""
    rows = []
    for state in states:
        found = profiles.states[state].profile.pieces
        ends = [*(piece.begin for piece in found[1:]), math.inf]
        rows += [
            (state, piece.begin, end, code_of(piece), piece.below, piece.above)
            for piece, end in zip(found, ends, strict=True)
        ]
    ends_of = dict.fromkeys(("begin", "finish"), "DOUBLE")
    edges = dict.fromkeys(("below", "above"), "DOUBLE")
    engine.load("pieces", {"state": "INTEGER", **ends_of, "code": "INTEGER", **edges}, rows)


def load_basis(engine: Engine, profiles: Profiles, states: Iterable[int]) -> None:
    """Make the table `basis`: the rows and the grade that verdicts of some states rest on."""
    rows = []
    for state in states:
        windows, grade = profiles.rests_on(profiles.states[state])
        place = GRADES.index(grade) if grade is not None else None
        rows.append((state, "; ".join(sorted(windows)), place))
    engine.load("basis", {"state": "INTEGER", "windows": "VARCHAR", "grade": "INTEGER"}, rows)


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

    Columns: record, condition, and for each reading its state, its value, the same in SI, its
    code, and the edges that it is compared with, which have the slack of an edge. `known` is the
    table of the conditions whose records are wanted, and `only` a condition on the record `l`.
    """
    cells = ["l.record", "w.condition"]
    for number in numbers:
        measure = measured[number]
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
    """Write the SQL of a reading's code: that of the span in which it lies."""
    low, high = (sql.number(limit) for limit in measure.plausible)
    value, place = f"l.{measure.readings.name}", measure.place
    passed = " + ".join(
        f"CAST({measure.si} >= w.{edge}{place} AS TINYINT)" for edge in measure.edges
    )
    return f"""
        CASE WHEN {measure.si} >= {low} AND {measure.si} <= {high} THEN
            CAST((w.codes{place} >> (7 * ({passed}))) & {PACK - 1} AS TINYINT)
        WHEN {value} IS NULL THEN {NO_READING}
        WHEN w.reason IS NOT NULL THEN {FIRST_REASON} + w.reason
        WHEN {sql.unreal(value)} THEN {NOT_A_NUMBER}
        ELSE {IMPLAUSIBLE} END"""


def each_reading(judgements: str, numbers: Sequence[int]) -> str:
    """Write the SQL of a line for each reading of each record that `judged` covers.

    Columns: record, condition, state, value, si, code, low_end, high_end; and reading, name,
    unit and factor of the reading.
    """

    def chosen(name: str) -> str:
        listed = " ".join(f"WHEN {number} THEN j.{name}{number}" for number in numbers)
        return f"CASE m.reading {listed} END AS {name}"

    cells = ", ".join(
        chosen(name) for name in ("state", "value", "si", "code", "low_end", "high_end")
    )
    listed = ", ".join(str(number) for number in numbers)
    return (
        f"SELECT j.record, j.condition, m.*, {cells} FROM {judgements} j "
        f"CROSS JOIN (SELECT * FROM measured WHERE reading IN ({listed})) m"
    )


def looked_up(judgements: str, numbers: Sequence[int], codes: Sequence[int]) -> str:
    """Write the SQL that finds the piece of each reading (see `load_pieces`).

    Columns: record, reading, state, value, name, unit, factor, code, by_ (in SI) and nearest
    (the edge that it is measured from).

    Parameters
    ----------
    judgements
        The name of a table or query as `judged` writes it.
    numbers
        The readings to look up.
    codes
        Those with one of these codes.
    """
    wanted = ", ".join(str(code) for code in codes)
    some = " OR ".join(f"code{number} IN ({wanted})" for number in numbers)
    asked = each_reading(f"(SELECT * FROM {judgements} f WHERE {some})", numbers)
    return f"""
        SELECT a.record, a.reading, a.state, a.value, a.name, a.unit, a.factor, p.code,
            least(a.si - p.below, p.above - a.si) AS by_,
            CASE WHEN p.above IS NULL OR a.si - p.below < p.above - a.si THEN p.below
                ELSE p.above END AS nearest
        FROM ({asked}) a
        JOIN pieces p ON p.state = a.state AND a.si >= p.begin AND a.si < p.finish
        WHERE a.code IN ({wanted})
    """
