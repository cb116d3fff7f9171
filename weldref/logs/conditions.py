"""Find what is published for each distinct condition of a log."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby, takewhile

from weldref.core.profile import Base, Profiles
from weldref.core.situation import Situation
from weldref.core.units import UnitSystem, Value
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.logs.columns import CONDITIONS
from weldref.logs.engine import Engine
from weldref.logs.files import Log
from weldref.logs.thickness import NOT_GIVEN, REASONS, Steps
from weldref.logs.words import Words

MOST_SPELLINGS = 10_000
"""More different words than this in one column mean that the column is not what it seems."""

AT_ONCE = 100_000
"""Conditions that are fetched together."""


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
    step = steps.step if steps else str(NOT_GIVEN)
    ordered = ", ".join([*words, "step"])
    engine.make("distinct_", f"SELECT DISTINCT {step} AS step{listed} FROM {log.source} l {join}")
    engine.make(
        "cond",
        f"SELECT row_number() OVER (ORDER BY {ordered}) AS condition, {ordered} FROM distinct_ d",
    )
    engine.drop("distinct_")
    for salt in range(100):
        key = f"hash({salt}{listed})"
        texts = f"(SELECT DISTINCT {key} AS key{listed} FROM cond l)"
        ((rows, keys),) = engine.fetch(f"SELECT count(*), count(DISTINCT key) FROM {texts}")
        if rows == keys:
            return Keys(key, step, join)
    raise AssertionError("no hash tells the conditions apart")


@dataclass(slots=True)
class Said:
    """Why conditions were not read, how many there are, and the rows that could apply, as bits."""

    reasons: list[str]
    conditions: int = 0
    speaking: int = 0


def ask(
    engine: Engine,
    store: Store,
    log: Log,
    steps: Steps | None,
    profiles: Profiles,
    *,
    units: UnitSystem,
    under_water: bool,
) -> Said:
    """Make the table `said`: for each distinct condition the numbers of its states, or a reason.

    Raises
    ------
    InputError
        If a column has so many different words that it cannot be what its heading says.
    """
    _refuse_many_words(engine, log)
    said = Said([])
    places = range(len(profiles.asked))
    kinds = {"condition": "BIGINT", "reason": "INTEGER", **{f"s{n}": "INTEGER" for n in places}}
    words = Words(store, units)
    answers = _answers(engine, log, steps, profiles, words, said, under_water=under_water)
    with _without_search_for_cycles():
        engine.load("said", kinds, answers)
    return said


@contextmanager
def _without_search_for_cycles() -> Iterator[None]:
    """Spare the collector going through very many objects, of which none refers to itself."""
    before = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if before:
            gc.enable()


def _refuse_many_words(engine: Engine, log: Log) -> None:
    for field in log.conditions:
        column = log.columns.get(field)
        heading = column.heading if column else field
        ((count, first),) = engine.fetch(
            f"SELECT count(DISTINCT c_{field}), min(c_{field}) FROM cond"
        )
        if count > MOST_SPELLINGS:
            raise InputError(
                f"{field}: column '{heading}' holds {count} different words, for example "
                f"'{first}'; map the column of the {field.replace('_', ' ')} with "
                f"--map {field}=HEADING"
            )


def _answers(
    engine: Engine,
    log: Log,
    steps: Steps | None,
    profiles: Profiles,
    words: Words,
    said: Said,
    *,
    under_water: bool,
) -> Iterator[tuple[int | None, ...]]:
    listed = ", ".join(["condition", "step", *(f"c_{field}" for field in log.conditions)])
    # The first condition that a check would refuse is the reason.
    after = [f for f in CONDITIONS if f in log.conditions or f == "thickness"].index("thickness")
    columns = [log.columns.get(field) for field in log.conditions]
    fields = [(column.field, column.unit) for column in columns if column]
    water = Situation(under_water=under_water)
    before: tuple[Sequence[str], list[Situation | str | None]] = (), []
    begin, fetched = 0, AT_ONCE
    while fetched == AT_ONCE:
        rows = engine.fetch(
            f"SELECT {listed} FROM cond WHERE condition > {begin} "
            f"AND condition <= {begin + AT_ONCE} ORDER BY condition"
        )
        begin, fetched = begin + AT_ONCE, len(rows)
        said.conditions += fetched
        for texts, alike in groupby(rows, key=lambda row: row[2:]):
            parts = _parts(words, fields, texts, before)
            before = texts, parts
            first = next((one for one in parts[:after] if isinstance(one, str)), None)
            last = next((one for one in parts[after:] if isinstance(one, str)), None)
            stated = [part for part in parts if isinstance(part, Situation)]
            bases: dict[bool, Base] = {}
            for condition, step, *_ in alike:
                reason = first or REASONS.get(step) or last
                if reason is not None:
                    if reason not in said.reasons:
                        said.reasons.append(reason)
                    yield condition, said.reasons.index(reason), *([None] * len(profiles.asked))
                    continue
                thick = steps.begins[step] if steps is not None and step != NOT_GIVEN else None
                base = bases.get(thick is not None)
                if base is None:
                    base = profiles.base(water, *stated, *_of_thickness(thick))
                    bases[thick is not None] = base
                    said.speaking |= base.applying
                yield condition, None, *profiles.of(base, thick)


def _parts(
    words: Words,
    fields: Sequence[tuple[str, str | None]],
    texts: Sequence[str],
    before: tuple[Sequence[str], list[Situation | str | None]],
) -> list[Situation | str | None]:
    """Read the words of a record; the process comes first, and others in its light.

    `before` is what was read last: records in order share most of their first words.
    """
    alike = takewhile(lambda pair: pair[0] == pair[1], zip(before[0], texts, strict=False))
    found = before[1][: sum(1 for _ in alike)]
    for (field, unit), text in [*zip(fields, texts, strict=True)][len(found) :]:
        process = found[0] if found and fields[0][0] == "process" else None
        found.append(words.read(field, text, unit, process))
    return found


@lru_cache(maxsize=10_000)
def _of_thickness(metres: float | None) -> tuple[Situation, ...]:
    """State a thickness, if one is given."""
    if metres is None:
        return ()
    return (Situation(thickness=Value(metres, "m", metres, f"{metres:.6g} m")),)
