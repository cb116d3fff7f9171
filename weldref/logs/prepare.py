"""Turn a log's conditions into a few numbers each, before any reading is judged."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass

from weldref.core.profile import Profiles
from weldref.core.situation import plausible_limits
from weldref.core.units import UnitSystem
from weldref.data.store import Store
from weldref.logs import conditions, verdicts
from weldref.logs.conditions import Keys
from weldref.logs.drift import Drift, drifts
from weldref.logs.engine import Engine
from weldref.logs.files import Log
from weldref.logs.thickness import load_steps
from weldref.logs.verdicts import Measure

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Prepared:
    """How a record finds its condition, what is measured, and why a condition was not read.

    `drifts` are the largest; `conditions` counts the distinct conditions of the log; `rows` the
    published rows that could speak.
    """

    keys: Keys
    measured: tuple[Measure, ...]
    profiles: Profiles
    reasons: tuple[str, ...]
    drifts: list[Drift]
    conditions: int
    rows: int


def prepare(
    engine: Engine,
    store: Store,
    log: Log,
    *,
    units: UnitSystem,
    grade: str,
    under_water: bool,
    distances: bool,
    most: int,
    aside: Executor,
    progress: Progress,
) -> Prepared:
    """Make the engine's tables of what is published for each distinct condition of a log.

    With `distances` every reading's distance will be asked for, where sources differ too. While
    Python finds what is published, the engine is free to look for the `most` largest drifts.

    Raises
    ------
    InputError
        If a column cannot be what its heading says.
    """
    measured = verdicts.measures(store, log.readings)
    asked = list(dict.fromkeys(measure.asked for measure in measured))
    profiles = Profiles(store, asked, grade, distances=distances)
    progress("distinct conditions")
    steps = None
    if log.thickness:
        plausible = plausible_limits(store, "base_metal_thickness")
        steps = load_steps(engine, profiles.bands, plausible)
    keys = conditions.distinct_conditions(engine, log, steps)
    moved = aside.submit(drifts, engine, log, measured, most)
    progress("published rows")
    said = conditions.ask(engine, store, log, steps, profiles, units=units, under_water=under_water)
    measured = verdicts.load_known(engine, keys, profiles, measured)
    progress("drift")
    return Prepared(
        keys,
        measured,
        profiles,
        tuple(said.reasons),
        moved.result(),
        said.conditions,
        said.speaking.bit_count(),
    )
