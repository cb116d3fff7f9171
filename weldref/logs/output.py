"""Write every single verdict to a Parquet file, completely or not at all."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from weldref.core.profile import Profiles
from weldref.data.own import BY_OWN
from weldref.errors import InputError
from weldref.files import check_place, unfinished
from weldref.grades import GRADES
from weldref.logs import engine as sql
from weldref.logs import verdicts
from weldref.logs.columns import COLUMN_OF
from weldref.logs.conditions import Keys
from weldref.logs.engine import DuckEngine
from weldref.logs.files import Log
from weldref.logs.verdicts import (
    DIFFER,
    FIRST_REASON,
    HIGH,
    IN_PIECES,
    INSIDE,
    LOW,
    NO_READING,
    PACK,
    WORDS,
    Measure,
    question,
)


def check_target(target: Path, log: Path) -> None:
    """Refuse a place that cannot be written, before the log is read.

    Raises
    ------
    InputError
        In one sentence that names the place.
    """
    check_place(target, inputs=[log])
    if target.is_dir() or not target.parent.is_dir():
        raise InputError(
            f"output: '{target}' cannot be written; give a file name in a folder that exists"
        )
    if not os.access(target.parent, os.W_OK):
        raise InputError(f"output: the folder of '{target}' is not writable; give another")


def write_verdicts(
    engine: DuckEngine,
    log: Log,
    keys: Keys,
    profiles: Profiles,
    measured: Sequence[Measure],
    reasons: Sequence[str],
    target: Path,
    by: str = "",
) -> None:
    """Write one line for each reading: record, quantity, value, unit, verdict and what it rests on.

    `by` names the own tables that the verdicts rest on instead of published ones; they get a
    column that says so.

    The file is written under another name in the same folder and then renamed.
    """
    import duckdb

    states = range(len(profiles.states))
    verdicts.load_pieces(engine, profiles, states)
    verdicts.load_basis(engine, profiles, states)
    _load_words(engine, reasons)
    own = f", {sql.text(f'{by}: {BY_OWN}')} AS own_tables" if by else ""
    try:
        with _stopped_by_exception(), unfinished(target) as building:
            engine.run(
                f"COPY (SELECT *{own} FROM ({_every_verdict(log, keys, measured)})) "
                f"TO {sql.text(str(building))} "
                "(FORMAT parquet, COMPRESSION zstd, USE_TMP_FILE false)"
            )
    except (OSError, duckdb.IOException) as error:
        reason = getattr(error, "strerror", None) or str(error).splitlines()[0]
        raise InputError(f"output: '{target}' cannot be written: {reason}") from None


@contextmanager
def _stopped_by_exception() -> Iterator[None]:
    """Let a request to end the process unwind it, so that what is half written is removed."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def stop(number: int, _: object) -> None:
        raise SystemExit(128 + number)

    before = signal.signal(signal.SIGTERM, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _load_words(engine: DuckEngine, reasons: Sequence[str]) -> None:
    """Make the tables of the words that are written: `outcomes` by code, `resting` by state.

    Their words are enumerations, which Parquet takes many times faster than text.
    """
    why = {**verdicts.READING_REASONS, **dict(enumerate(reasons, FIRST_REASON))}
    words = dict(enumerate(WORDS))
    rows = []
    for code in range(PACK):
        asked = question(code)
        verdict = "depends" if asked else words.get(code)
        rows.append((code, verdict, why.get(code), asked and COLUMN_OF.get(asked[0], asked[0])))
    said = dict.fromkeys(("verdict", "reason", "depends_on"), "VARCHAR")
    engine.load("outcomes", {"code": "TINYINT", **said}, rows)
    grades = ", ".join(map(sql.text, GRADES))
    engine.make(
        "resting",
        f"SELECT state, windows, ([{grades}])[grade + 1] AS grade FROM basis "
        f"UNION ALL SELECT {NO_STATE}, '', NULL",
    )
    texts = {"outcomes": said, "resting": ("windows", "grade"), "measured": ("name", "unit")}
    for table, columns in texts.items():
        for column in columns:
            kind = f"{table}_{column}"
            listed = f"SELECT DISTINCT {column} FROM {table} WHERE {column} IS NOT NULL"
            engine.run(f"CREATE OR REPLACE TYPE {kind} AS ENUM ({listed})")
            engine.run(f"ALTER TABLE {table} ALTER {column} TYPE {kind}")


NO_STATE = -1
"""The state of a reading without a verdict: it rests on nothing."""


def _every_verdict(log: Log, keys: Keys, measured: Sequence[Measure]) -> str:
    numbers = range(len(measured))
    each = verdicts.each_reading(f"({verdicts.judged(log, keys, measured, numbers)})", numbers)
    # How far outside is plain for low and high; where sources differ, the piece is looked up.
    looked_up = ", ".join(map(str, (DIFFER, *IN_PIECES)))
    return f"""
        SELECT r.record, r.name AS quantity, r.value, r.unit, o.verdict,
            CASE WHEN r.code = {INSIDE} THEN 0.0e0 WHEN r.code IN ({LOW}, {HIGH}, {DIFFER})
                THEN CAST(printf('%.6g', r.by_ / r.factor) AS DOUBLE) END AS "by",
            b.grade, b.windows, o.reason, o.depends_on
        FROM (
            SELECT e.record, e.state, e.value, e.name, e.unit, e.factor,
                coalesce(p.code, e.code) AS code,
                CASE e.code WHEN {LOW} THEN e.low_end - e.si WHEN {HIGH} THEN e.si - e.high_end
                    ELSE least(e.si - p.below, p.above - e.si) END AS by_
            FROM ({each}) e
            LEFT JOIN pieces p ON p.state = CASE WHEN e.code IN ({looked_up}) THEN e.state END
                AND e.si >= p.begin AND e.si < p.finish
            WHERE e.code <> {NO_READING}
        ) r
        JOIN outcomes o ON o.code = r.code
        JOIN resting b ON b.state = CASE WHEN o.reason IS NULL THEN r.state ELSE {NO_STATE} END
    """
