"""What must be known before a reading is judged? From a log's conditions to four numbers each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from weldref.core.lookup import GRADES
from weldref.core.situation import plausible_limits
from weldref.core.units import UnitSystem
from weldref.data.store import Store
from weldref.logs import conditions, verdicts
from weldref.logs.answers import Answers
from weldref.logs.conditions import Keys
from weldref.logs.engine import Engine
from weldref.logs.files import Log
from weldref.logs.thickness import load_steps
from weldref.logs.verdicts import Measure
from weldref.logs.windows import Question, load_windows, printed_bands, printed_terms

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Prepared:
    """How a record finds its condition, what is measured, and why a condition was not read.

    `conditions` counts the distinct conditions of the log; `rows` the published rows that could
    speak.
    """

    keys: Keys
    measured: tuple[Measure, ...]
    reasons: tuple[str, ...]
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
    progress: Progress,
) -> Prepared:
    """Make the engine's tables of what is published for each distinct condition of a log.

    Raises
    ------
    InputError
        If a column cannot be what its heading says.
    """
    quantities = tuple(dict.fromkeys(readings.quantity for readings in log.readings))
    question = Question(quantities, grade, under_water)
    bands = printed_bands(store, question)
    progress("distinct conditions")
    steps = None
    if log.thickness:
        steps = load_steps(engine, bands, plausible_limits(store, "base_metal_thickness"))
    keys = conditions.distinct_conditions(engine, log, steps)
    progress("published rows")
    words = conditions.log_words(engine, store, log, printed_terms(store, question), units)
    reasons = conditions.resolve(engine, words, steps)
    windows = load_windows(engine, store, question, words, thickness=log.thickness)
    matches = conditions.match(engine, windows, bands)
    conditions.gather(engine, matches, GRADES.index(grade))
    plausible = {quantity: plausible_limits(store, quantity) for quantity in quantities}
    known = {
        number: (win, digits, member)
        for number, win, digits, member in engine.fetch("SELECT id, win, digits, member FROM ids")
    }
    answers = Answers(store, windows, known, plausible)
    measured = verdicts.measures(store, log.readings, quantities, plausible)
    verdicts.load_answers(engine, answers, measured)
    verdicts.load_bounds(engine, keys, measured)
    ((count,),) = engine.fetch("SELECT count(*) FROM cond")
    return Prepared(keys, measured, reasons, int(count), len(windows.ids))
