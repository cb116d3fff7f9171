"""Write every single verdict to a Parquet file, completely or not at all."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from weldref.core.cases import SAID_FIRST
from weldref.core.lookup import GRADES
from weldref.core.profile import Profiles
from weldref.data.own import BY_OWN
from weldref.errors import InputError
from weldref.files import check_place, unfinished
from weldref.logs import engine as sql
from weldref.logs import verdicts
from weldref.logs.columns import COLUMN_OF
from weldref.logs.conditions import Keys
from weldref.logs.engine import DuckEngine
from weldref.logs.files import Log
from weldref.logs.verdicts import (
    DEPENDS,
    DIFFER,
    FIRST_REASON,
    HIGH,
    IN_PIECES,
    INSIDE,
    LOOK_UP,
    LOW,
    NO_READING,
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
    own = f", {sql.text(f'{by}: {BY_OWN}')} AS own_tables" if by else ""
    try:
        with _stopped_by_exception(), unfinished(target) as building:
            engine.run(
                f"COPY (SELECT *{own} FROM ({_every_verdict(log, keys, measured, reasons)})) "
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


def _every_verdict(
    log: Log, keys: Keys, measured: Sequence[Measure], reasons: Sequence[str]
) -> str:
    numbers = range(len(measured))
    judgements = f"({verdicts.judged(log, keys, measured, numbers)})"
    # How far outside is plain for low and high; where sources differ, the piece is looked up.
    outside = f"CASE code WHEN {LOW} THEN low_end - si WHEN {HIGH} THEN si - high_end END"
    columns = "record, reading, state, value, name, unit, factor, code"
    looked_up = (DIFFER, *IN_PIECES)
    plain = (
        f"SELECT {columns}, {outside} AS by_ "
        f"FROM ({verdicts.each_reading(judgements, numbers)}) e "
        f"WHERE code NOT IN ({', '.join(map(str, (*looked_up, NO_READING)))})"
    )
    found = verdicts.looked_up(judgements, numbers, looked_up)
    why = {**verdicts.READING_REASONS, **dict(enumerate(reasons, FIRST_REASON))}
    grades = dict(enumerate(GRADES))
    asks = {
        code: COLUMN_OF.get(asked[0], asked[0])
        for code in range(DEPENDS, DEPENDS + 2 * len(SAID_FIRST))
        if (asked := question(code))
    }
    words = {**dict(enumerate(WORDS)), **dict.fromkeys(asks, "depends")}
    return f"""
        SELECT v.record, v.name AS quantity, v.value, v.unit,
            {_cases("v.code", words)} AS verdict,
            CASE WHEN v.code = {INSIDE} THEN 0.0e0 WHEN v.code IN ({LOW}, {HIGH}, {DIFFER})
                THEN CAST(printf('%.6g', v.by_ / v.factor) AS DOUBLE) END AS "by",
            {_cases("b.grade", grades)} AS grade,
            coalesce(b.windows, '') AS windows,
            {_cases("v.code", why)} AS reason,
            {_cases("v.code", asks)} AS depends_on
        FROM ({plain} UNION ALL SELECT {columns}, by_ FROM ({found}) q) v
        LEFT JOIN basis b ON b.state = v.state AND (v.code < {LOOK_UP} OR v.code >= {DEPENDS})
    """


def _cases(cell: str, words: Mapping[int, str]) -> str:
    listed = " ".join(f"WHEN {code} THEN {sql.text(word)}" for code, word in words.items())
    return f"CASE {cell} {listed} END"
