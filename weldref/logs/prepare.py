"""Prepare a log for judging: find what is published for each of its conditions, as numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

from weldref.core.profiles import Profiles
from weldref.core.situation import plausible_limits
from weldref.core.units import UnitSystem
from weldref.data.store import Store
from weldref.logs import conditions
from weldref.logs.codes import FIRST_REASON, MOST_BETWEEN, PACK, SPANS, Measure, measures, plain
from weldref.logs.conditions import Keys
from weldref.logs.drift import Drift, drifts
from weldref.logs.engine import Engine
from weldref.logs.files import Log
from weldref.logs.thickness import load_steps

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Prepared:
    """A log with all that is needed to judge its readings.

    `keys` is how a record finds its condition; `reasons` are why conditions were not read.
    `conditions` is the number of distinct conditions, `rows` that of the published rows that could
    apply; `drifts` are the largest.
    """

    engine: Engine
    log: Log
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

    With `distances`, the distance of every reading can be asked for, also where sources differ.
    While Python finds what is published, the thread `aside` has the engine look for the `most`
    largest drifts.

    Raises
    ------
    InputError
        If a column cannot be what its heading says.
    """
    measured = measures(store, log.readings)
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
    measured = _load_known(engine, keys, profiles, measured)
    progress("drift")
    return Prepared(
        engine,
        log,
        keys,
        measured,
        profiles,
        tuple(said.reasons),
        moved.result(),
        said.conditions,
        said.applying.bit_count(),
    )


def _load_known(
    engine: Engine, keys: Keys, profiles: Profiles, measured: Sequence[Measure]
) -> tuple[Measure, ...]:
    """Make the table `known`: the numbers by which to judge each condition's readings.

    Return the measures with the number of their edges between low and high.
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
