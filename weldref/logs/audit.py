"""Audit a log of welds, from the file to the summary."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from weldref.core.check import NOT_APPROVAL
from weldref.core.units import UnitSystem
from weldref.core.verdict import Word
from weldref.data.own import Given, plain
from weldref.data.store import Store, described, open_tables
from weldref.errors import InputError
from weldref.grades import GRADES, accepted_grades
from weldref.logs.columns import COLUMN_OF, Columns
from weldref.logs.drift import Drift
from weldref.logs.engine import DuckEngine
from weldref.logs.files import open_log, sentences
from weldref.logs.output import check_target, write_verdicts
from weldref.logs.prepare import Prepared, Progress, prepare
from weldref.logs.spark import check_engine, run_by
from weldref.logs.tally import Tally, details, tally
from weldref.logs.verdicts import (
    DIFFER,
    FIRST_REASON,
    HIGH,
    INSIDE,
    LOW,
    NOTHING,
    READING_REASONS,
    WORDS,
    question,
)

STAGES = ("reading the log", "distinct conditions", "published rows", "drift", "verdicts",
          "writing verdicts")  # fmt: skip
"""What an audit does, in order; the last only when every verdict is written to a file."""


@dataclass(frozen=True, slots=True)
class Question:
    """What a log does not say and a verdict turns on.

    `column` is the column that could say it, None where no column of a log does; `readings`
    are those that ask for it first, `settled` those of them that any answer gives a word.
    """

    condition: str
    column: str | None
    readings: int
    settled: int


@dataclass(frozen=True, slots=True)
class Counts:
    """Verdicts on the readings of one quantity; `reasons` counts readings without one.

    `asks` says what would settle those that depend, most of them first.
    """

    quantity: str
    readings: int
    inside: int
    low: int
    high: int
    sources_differ: int
    depends: int
    no_published_range: int
    reasons: dict[str, int]
    asks: tuple[Question, ...] = ()


@dataclass(frozen=True, slots=True)
class Offender:
    """A reading far outside: `share` is its distance over the end of the range it is beyond.

    `by` is the distance in `unit`; `share` is taken in SI, temperatures in kelvin, and is None
    beyond an end of 0.
    """

    record: int
    quantity: str
    value: float
    unit: str
    verdict: str
    by: float
    share: float | None
    grade: str
    windows: tuple[str, ...]
    joint: str | None
    welder: str | None


@dataclass(frozen=True, slots=True)
class LogAudit:
    """The answer to an audit of a log.

    `verdict` is the worst of all readings, as in a check: "inside" only if every reading is.
    `conditions` counts the distinct conditions of the log, `rows` the published rows that could
    speak.
    """

    verdict: Word
    log: str
    records: int
    columns: Columns
    units: UnitSystem
    grade: str
    counts: tuple[Counts, ...]
    worst: tuple[Offender, ...]
    drifts: tuple[Drift, ...]
    conditions: int
    rows: int
    output: str | None
    dataset: dict[str, str]
    reminder: str = NOT_APPROVAL
    own_tables: dict[str, str] | None = None

    def as_dict(self) -> dict[str, Any]:
        """The answer as plain dictionaries and lists, as ``--json`` prints it."""
        answer: dict[str, Any] = plain(asdict(self), self.own_tables)
        return answer


def audit_log(
    path: str | Path,
    *,
    columns: Mapping[str, str] | None = None,
    unit_of: Mapping[str, str] | None = None,
    units: UnitSystem = "us",
    grade: str = "memory",
    under_water: bool = False,
    output: str | Path | None = None,
    most: int = 10,
    engine: str = "duckdb",
    store: Store | None = None,
    own: Given = None,
    progress: Progress | None = None,
) -> LogAudit:
    r"""Compare every reading of a weld log with the published ranges that apply.

    The verdict on a reading is the one that `weldref.check` gives for its record. Where it
    depends on something that the record does not say, the answer counts what would settle it.

    Parameters
    ----------
    path
        A CSV or Parquet file with a record of a weld in each row: process, electrode, diameter,
        thickness, position, gas and so on, and readings such as current or travel speed.
    columns
        Field to heading, for headings that are not understood: ``{"current": "ch1"}``.
    unit_of
        Field to unit, for columns whose heading names none: ``{"travel_speed": "mm/s"}``.
    units
        "us" or "metric": how the numbers of columns without a unit are read.
    grade
        The lowest evidence grade to accept: "read", "secondary" or "memory".
    under_water
        Whether the work is under water; such rows hold for nothing else.
    output
        A Parquet file to write every verdict to.
    engine
        "duckdb", or "spark" for the same SQL on Spark (no file of every verdict).
    most
        How many of the worst readings and of the largest drifts to list.
    store
        The open store; the tables of the package when left out.
    own
        Own tables, as `weldref.check` takes them. Beside the published ones their rows are left
        aside; instead of them every verdict is theirs.
    progress
        Called with the name of each stage as it begins.

    Returns
    -------
    LogAudit
        Counts by quantity and verdict, the readings farthest outside, and the drifts.

    Raises
    ------
    InputError
        If the file, a column, a unit or an option is not accepted.

    Examples
    --------
    An invented log of a class that builds handrails:

    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     log = Path(folder, "posts.csv")
    ...     _ = log.write_text("process,electrode,diameter,amps\n"
    ...         "SMAW,E7018,1/8,130\nSMAW,E7018,1/8,250\n")
    ...     found = audit_log(log)
    >>> found.verdict, found.counts[0].inside, found.counts[0].high, found.worst[0].by
    ('high', 1, 1, 90.0)
    """
    if units not in ("us", "metric"):
        raise InputError(f"units: '{units}' is not a unit system; give us or metric")
    accepted_grades(grade)
    if most < 0:
        raise InputError(f"most: {most} is not accepted; give 0 or more")
    check_engine(engine)
    if engine == "spark" and output is not None:
        raise InputError("output: spark writes no file of verdicts; leave out --engine spark")
    source = Path(path)
    target = Path(output) if output is not None else None
    if target is not None:
        check_target(target, source)
    tell = progress or _say_nothing
    opened = store or open_tables(own)
    used = described(opened)
    with sentences(source), ExitStack() as stack:
        duck = stack.enter_context(closing(DuckEngine()))
        aside = stack.enter_context(ThreadPoolExecutor(max_workers=1))
        stack.callback(duck.stop)
        tell("reading the log")
        log = open_log(duck, opened, source, columns or {}, unit_of or {}, units)
        runner, log = stack.enter_context(run_by(engine, duck, log))
        ready = prepare(
            runner,
            opened,
            log,
            units=units,
            grade=grade,
            under_water=under_water,
            distances=target is not None,
            most=most,
            aside=aside,
            progress=tell,
        )
        tell("verdicts")
        counted = tally(runner, log, ready.keys, ready.profiles, ready.measured, most)
        found = counted.farthest
        far = details(runner, log, ready.keys, ready.profiles, ready.measured, found)
        if target is not None:
            tell("writing verdicts")
            by = used["name"] if used and opened.instead else ""
            write_verdicts(
                duck, log, ready.keys, ready.profiles, ready.measured, ready.reasons, target, by
            )
    counts = _counts(ready, counted)
    return LogAudit(
        verdict=_worst(counts),
        log=str(path),
        records=log.records,
        columns=log.columns,
        units=units,
        grade=grade,
        counts=counts,
        worst=tuple(_offender(ready, found) for found in far[:most]),
        drifts=tuple(ready.drifts),
        conditions=ready.conditions,
        rows=ready.rows,
        output=str(target) if target is not None else None,
        dataset=opened.rows("SELECT version, digest FROM dataset")[0],
        own_tables=used,
    )


def _say_nothing(stage: str) -> None:
    """Report no progress."""


def _counts(ready: Prepared, counted: Tally) -> tuple[Counts, ...]:
    """Add up the columns of each quantity."""
    codes: dict[str, Counter[int]] = {}
    for measure, found in zip(ready.measured, counted.codes, strict=True):
        codes.setdefault(measure.readings.quantity, Counter()).update(found)
    why = {**READING_REASONS, **dict(enumerate(ready.reasons, FIRST_REASON))}
    return tuple(
        Counts(
            quantity=quantity,
            readings=found.total(),
            inside=found[INSIDE],
            low=found[LOW],
            high=found[HIGH],
            sources_differ=found[DIFFER],
            depends=sum(count for code, count in found.items() if question(code)),
            no_published_range=found[NOTHING],
            reasons={text: found[code] for code, text in why.items() if found[code]},
            asks=_asks(found),
        )
        for quantity, found in codes.items()
    )


def _asks(found: Mapping[int, int]) -> tuple[Question, ...]:
    """Gather the codes of readings that depend by what they ask for."""
    readings: Counter[str] = Counter()
    settled: Counter[str] = Counter()
    for code, count in found.items():
        if asked := question(code):
            readings[asked[0]] += count
            settled[asked[0]] += count * asked[1]
    listed = sorted(readings, key=lambda name: (-settled[name], -readings[name], name))
    return tuple(Question(n, COLUMN_OF.get(n), readings[n], settled[n]) for n in listed)


def _worst(counts: Sequence[Counts]) -> Word:
    """The word of the whole log, by the order of `weldref.check`.

    A reading without a verdict is not inside.
    """
    if any(count.low for count in counts):
        return "low"
    if any(count.high for count in counts):
        return "high"
    if any(count.sources_differ for count in counts):
        return "sources differ"
    if any(count.depends for count in counts):
        return "depends"
    inside = all(count.inside == count.readings for count in counts)
    return "inside" if inside and any(c.readings for c in counts) else "no published range"


def _offender(ready: Prepared, found: Mapping[str, Any]) -> Offender:
    measure = ready.measured[found["reading"]]
    return Offender(
        record=found["record"],
        quantity=measure.readings.quantity,
        value=found["value"],
        unit=measure.readings.unit,
        verdict=WORDS[found["code"]],
        by=float(f"{found['by'] / measure.factor:.6g}"),
        share=found["share"],
        grade=GRADES[found["grade"]],
        windows=tuple(found["windows"].split("; ")),
        joint=found.get("joint"),
        welder=found.get("welder"),
    )
