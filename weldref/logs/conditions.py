"""Which rows apply to each distinct condition of a log? One equi-join for each condition.

Distinct conditions share beginnings: every material is compared with the rows of its process
once, every position with what is left, and so on. What is left in the end is, for each distinct
condition and each document, a set of rows with how they match; most such sets occur many times,
and the rules are asked about each set once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from weldref.core.lookup import ASSUMED, GRADES, thickness_code
from weldref.core.units import UnitSystem
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.logs.columns import CONDITIONS
from weldref.logs.engine import Engine
from weldref.logs.files import Log
from weldref.logs.terms import Words, digit, read_words
from weldref.logs.thickness import NOT_GIVEN, REASONS, Band, Steps
from weldref.logs.windows import BASE, Windows

MOST_SPELLINGS = 10_000
"""More different words than this in one column mean that the column is not what it seems."""

TOGETHER = (
    ("process",),
    ("filler_class",),
    ("material",),
    ("electrode_size",),
    ("gas", "transfer_mode", "joint", "position", "polarity"),
    ("thickness",),
)
"""Conditions in the order in which rows are matched: what tells rows apart best comes first, and
what hardly makes more beginnings goes together."""

MATCH_ORDER = [condition for level in TOGETHER for condition in level]


@dataclass(frozen=True, slots=True)
class Keys:
    """How a record finds its condition: the SQL of its key, and of its step of thickness."""

    key: str
    step: str
    join: str


def distinct_conditions(engine: Engine, log: Log, steps: Steps | None) -> Keys:
    """Make the table `cond` of the log's distinct conditions, and the way to find them again.

    The key is a hash of the words; another is tried in the unlikely case that two conditions of
    the log share one.
    """
    words = [f"c_{field}" for field in log.conditions]
    listed = "".join(f", l.{word}" for word in words)
    join = steps.join if steps else ""
    step = "k.step" if steps else str(NOT_GIVEN)
    engine.make("cond", f"SELECT DISTINCT {step} AS step{listed} FROM {log.source} l {join}")
    for salt in range(100):
        key = f"hash({salt}{listed})"
        texts = f"(SELECT DISTINCT {key} AS key{listed} FROM cond l)"
        ((rows, keys),) = engine.fetch(f"SELECT count(*), count(DISTINCT key) FROM {texts}")
        if rows == keys:
            return Keys(key, step, join)
    raise AssertionError("no hash tells the conditions apart")


def log_words(
    engine: Engine,
    store: Store,
    log: Log,
    printed: Mapping[str, Sequence[str]],
    units: UnitSystem,
) -> dict[str, Words]:
    """Resolve the spellings of every column of words.

    Raises
    ------
    InputError
        If a column has so many different words that it cannot be what its heading says.
    """
    found = {}
    for field in sorted(log.conditions, key=lambda f: MATCH_ORDER.index(CONDITIONS[f])):
        column = log.columns.get(field)
        heading = column.heading if column else field
        texts = [str(row[0]) for row in engine.fetch(f"SELECT DISTINCT c_{field} FROM cond")]
        if len(texts) > MOST_SPELLINGS:
            raise InputError(
                f"{field}: column '{heading}' holds {len(texts)} different words, for example "
                f"'{min(texts)}'; map the column of the {field.replace('_', ' ')} with "
                f"--map {field}=HEADING"
            )
        condition = CONDITIONS[field]
        unit = column.unit if column else None
        found[condition] = read_words(store, field, texts, unit, units, printed[condition])
    return found


def resolve(engine: Engine, words: Mapping[str, Words], steps: Steps | None) -> tuple[str, ...]:
    """Make the tables `said` (a distinct condition's number or reason) and `resolved`.

    Returns
    -------
    tuple
        The reasons why a condition could not be read, by number.
    """
    # The first condition that a check would refuse is the reason.
    ordered = [words[c] for c in CONDITIONS.values() if c in words]
    refused = (said for w in ordered for said in w.term_of.values() if isinstance(said, str))
    reasons = list(dict.fromkeys(refused))
    if steps is not None:
        reasons += REASONS.values()
    joins = []
    for word in ordered:
        engine.load(
            f"spelled_{word.column}",
            {"text": "VARCHAR", "term": "INTEGER", "reason": "INTEGER"},
            [
                (text, None, reasons.index(said)) if isinstance(said, str) else (text, said, None)
                for text, said in word.term_of.items()
            ],
        )
        joins.append(
            f"JOIN spelled_{word.column} ON spelled_{word.column}.text = cond.c_{word.column}"
        )
    terms = "".join(f", spelled_{w.column}.term AS t_{CONDITIONS[w.column]}" for w in ordered)
    first = {word.column: f"spelled_{word.column}.reason" for word in ordered}
    if steps is not None:
        cases = " ".join(f"WHEN {s} THEN {reasons.index(said)}" for s, said in REASONS.items())
        first["thickness"] = f"CASE cond.step {cases} END"
    said_first = ", ".join(first[field] for field in CONDITIONS if field in first)
    reason = f"coalesce({said_first or 'NULL'}, CAST(NULL AS INTEGER))"
    engine.make("spelt", f"SELECT cond.*{terms}, {reason} AS reason FROM cond {' '.join(joins)}")
    columns = [*(f"t_{CONDITIONS[w.column]}" for w in ordered), "step"]
    listed = ", ".join(columns)
    engine.make(
        "resolved",
        f"SELECT row_number() OVER (ORDER BY {listed}) AS condition, {listed} "
        f"FROM (SELECT DISTINCT {listed} FROM spelt WHERE reason IS NULL) d",
    )
    same = " AND ".join(f"s.{c} = r.{c}" for c in columns)
    engine.make(
        "said",
        f"SELECT s.*, r.condition FROM spelt s LEFT JOIN resolved r ON {same}",
    )
    return tuple(reasons)


def match(engine: Engine, windows: Windows, bands: Sequence[Band]) -> str:
    """Compare every condition with the rows, one condition of a row after the other.

    Returns
    -------
    str
        The SQL of a table of condition, win, digits and member: the rows that apply.
    """
    if "thickness" in windows.levels:
        _thickness_digits(engine, bands)
    order = [
        together for level in TOGETHER if (together := [c for c in level if c in windows.levels])
    ]
    left = [_term(condition) for condition in MATCH_ORDER if condition in windows.levels]
    listed = "".join(f", {term}" for term in left)
    engine.make("begun_0", f"SELECT condition, CAST(0 AS BIGINT) AS prefix{listed} FROM resolved")
    engine.make(
        "matches_0",
        "SELECT CAST(0 AS BIGINT) AS prefix, win, digits, CAST(0 AS BIGINT) AS member FROM wins",
    )
    for before, level in enumerate(order):
        now = before + 1
        terms = [_term(condition) for condition in level]
        listed = "".join(f", {term}" for term in terms)
        engine.make(
            f"level_{now}",
            f"SELECT row_number() OVER (ORDER BY prefix{listed}) AS following, prefix{listed} "
            f"FROM (SELECT DISTINCT prefix{listed} FROM begun_{before}) d",
        )
        same = "".join(f" AND v.{term} = b.{term}" for term in terms)
        left = left[len(terms) :]
        further = "".join(f", b.{term}" for term in left)
        engine.make(
            f"begun_{now}",
            f"SELECT b.condition, v.following AS prefix{further} FROM begun_{before} b "
            f"JOIN level_{now} v ON v.prefix = b.prefix{same}",
        )
        digits = "m.digits"
        for condition in level:
            digits = f"({digits} * {BASE} + s_{condition}.digit)"
        member = "greatest(m.member, s_material.member)" if "material" in level else "m.member"
        stands = " ".join(
            f"JOIN stands_{c} s_{c} ON s_{c}.term = v.{_term(c)} AND s_{c}.value = w.v_{c}"
            for c in level
        )
        engine.make(
            f"matches_{now}",
            f"""
            SELECT v.following AS prefix, m.win, {digits} AS digits, {member} AS member
            FROM level_{now} v JOIN matches_{before} m ON m.prefix = v.prefix
            JOIN wins w ON w.win = m.win {stands}
            """,
        )
        engine.drop(f"begun_{before}", f"matches_{before}", f"level_{now}")
    last = len(order)
    return (
        f"(SELECT b.condition, m.win, m.digits, m.member FROM matches_{last} m "
        f"JOIN begun_{last} b ON b.prefix = m.prefix)"
    )


def _term(condition: str) -> str:
    return "step" if condition == "thickness" else f"t_{condition}"


def gather(engine: Engine, matches: str, lowest: int) -> None:
    """Make the tables `spoken`, `states` and `ids`: each document's set of rows, numbered.

    `spoken` holds for each condition and quantity the sets that speak, `states` the matches of
    each set, `ids` each match's row and digits. `lowest` is the place in GRADES of the weakest
    grade to accept.
    """
    engine.make(
        "ids",
        "SELECT row_number() OVER (ORDER BY win, digits, member) AS id, win, digits, member "
        f"FROM (SELECT DISTINCT win, digits, member FROM {matches} m) d",
    )
    grade = "greatest(w.grade, m.member - 1)"
    engine.make(
        "sets",
        f"""
        SELECT m.condition, w.quantity, w.source, {grade} = {GRADES.index("memory")} AS recalled,
            list_sort(list(i.id)) AS members
        FROM {matches} m
        JOIN ids i ON i.win = m.win AND i.digits = m.digits AND i.member = m.member
        JOIN wins w ON w.win = m.win
        WHERE {grade} <= {lowest}
        GROUP BY m.condition, w.quantity, w.source, recalled
        """,
    )
    engine.make(
        "states",
        "SELECT row_number() OVER (ORDER BY members) AS state, members, quantity "
        "FROM (SELECT DISTINCT members, quantity FROM sets) d",
    )
    engine.make(
        "spoken",
        "SELECT s.condition, s.quantity, s.recalled, t.state FROM sets s "
        "JOIN states t ON t.members = s.members",
    )
    engine.drop("sets")


def _thickness_digits(engine: Engine, bands: Sequence[Band]) -> None:
    """Compare each step that occurs with each band, by the rule of a look-up."""
    engine.load(
        "bands",
        {
            "value": "INTEGER",
            "thickness_min_si": "DOUBLE",
            "thickness_max_si": "DOUBLE",
            "thickness_min_inclusive": "BOOLEAN",
            "thickness_max_inclusive": "BOOLEAN",
        },
        [
            (number, band.low, band.high, band.low_inclusive, band.high_inclusive)
            for number, band in enumerate(bands, 1)
        ],
    )
    used = "SELECT DISTINCT step FROM resolved"
    engine.make(
        "stands_thickness",
        f"""
        SELECT step AS term, value, CAST({digit(0)} + code AS BIGINT) AS digit FROM (
            SELECT u.step, value, {thickness_code("s.thick")} AS code
            FROM ({used}) u JOIN steps s ON s.step = u.step CROSS JOIN bands
        ) c WHERE code >= 0
        UNION ALL SELECT step, 0, 0 FROM ({used}) u
        UNION ALL SELECT {NOT_GIVEN}, value, {digit(ASSUMED)} FROM bands
        """,
    )
