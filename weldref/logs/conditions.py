"""Find what is published for each distinct condition of a log."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import groupby

from weldref.core.profiles import Base, Part, Profiles
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
"""More different words than this in one column mean that its heading was misread."""

AT_ONCE = 100_000
"""How many conditions are fetched at once."""


@dataclass(frozen=True, slots=True)
class Keys:
    """The SQL by which a record finds its condition: its key, its step of thickness, the join."""

    key: str
    step: str
    join: str


def distinct_conditions(engine: Engine, log: Log, steps: Steps | None) -> Keys:
    """Make the table `cond` of the log's distinct conditions; return how to find them again.

    The key is a hash of the words; another hash is tried in the unlikely case that two conditions
    of the log have the same key.
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
    """Why conditions were not read, how many there are, and which rows could apply, as bits."""

    reasons: list[str]
    conditions: int = 0
    applying: int = 0


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
        If a column has too many different words to be what its heading says.
    """
    _refuse_many_words(engine, log)
    said = Said([])
    places = range(len(profiles.asked))
    kinds = {"condition": "BIGINT", "reason": "INTEGER", **{f"s{n}": "INTEGER" for n in places}}
    words = Words(store, units)
    answers = _answers(engine, log, steps, profiles, words, said, under_water=under_water)
    with _without_collector():
        engine.load("said", kinds, answers)
    return said


@contextmanager
def _without_collector() -> Iterator[None]:
    """Turn off the garbage collector while very many objects without cycles are made."""
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
    # The reason is the first condition that a check would refuse.
    after = [f for f in CONDITIONS if f in log.conditions or f == "thickness"].index("thickness")
    columns = [log.columns.get(field) for field in log.conditions]
    fields = [(column.field, column.unit) for column in columns if column]
    read = _Parts(words, profiles, fields)
    water = profiles.part(Situation(under_water=under_water))
    thickness = profiles.part(Situation(thickness=Value(1e-3, "m", 1e-3, "1 mm")))
    begin, fetched = 0, AT_ONCE
    while fetched == AT_ONCE:
        rows = engine.fetch(
            f"SELECT {listed} FROM cond WHERE condition > {begin} "
            f"AND condition <= {begin + AT_ONCE} ORDER BY condition"
        )
        begin, fetched = begin + AT_ONCE, len(rows)
        said.conditions += fetched
        for texts, alike in groupby(rows, key=lambda row: row[2:]):
            parts = read(texts)
            first = next((one for one in parts[:after] if isinstance(one, str)), None)
            last = next((one for one in parts[after:] if isinstance(one, str)), None)
            stated = [part for part in parts if isinstance(part, Part)]
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
                    given = stated if thick is None else [*stated, thickness]
                    base = bases[thick is not None] = profiles.base(water, *given)
                    said.applying |= base.applying
                yield condition, None, *profiles.of(base, thick)


class _Parts:
    """Reads the words of records, each word once for each process.

    The process comes first, if it is given: the meaning of other words depends on it.
    """

    def __init__(
        self, words: Words, profiles: Profiles, fields: Sequence[tuple[str, str | None]]
    ) -> None:
        self._words, self._profiles, self._fields = words, profiles, fields
        self._by_process = bool(fields) and fields[0][0] == "process"
        self._process: Situation | str | None = None
        self._known: list[dict[str, Part | str | None]] = [{} for _ in fields]
        self._same: dict[int, Part] = {}

    def __call__(self, texts: Sequence[str]) -> list[Part | str | None]:
        """Return for each word what it states, the reason why it was not read, or None."""
        if self._by_process:
            process = self._words.read("process", texts[0])
            if process is not self._process:
                self._process = process
                self._known = [{} for _ in self._fields]
        found = []
        for (field, unit), text, known in zip(self._fields, texts, self._known, strict=True):
            if text not in known:
                known[text] = self._part(self._words.read(field, text, unit, self._process))
            found.append(known[text])
        return found

    def _part(self, said: Situation | str | None) -> Part | str | None:
        if not isinstance(said, Situation):
            return said
        if id(said) not in self._same:  # `Words` keeps what it has read
            self._same[id(said)] = self._profiles.part(said)
        return self._same[id(said)]
