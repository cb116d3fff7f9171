"""Draw the questions of a practice sheet, answered by a formula or by a printed table.

Numbers are invented for practice except where a question works with a published window.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from weldref.advice.handbook import filter_shade
from weldref.core.units import parse_number
from weldref.data.schemas.bases import COMMON_PRACTICE
from weldref.formulas.formula import Result
from weldref.handouts.conversion import Converter
from weldref.handouts.mistakes import Draw
from weldref.handouts.practice_pool import Pool
from weldref.handouts.words import later
from weldref.handouts.worked import formula, heat_input

TOLERANCE = 2
"""How far an answer may be off, in percent: room for rounding and no more."""

BENCH_NUMBERS = {
    "SMAW": (range(20, 29), range(70, 185, 5), range(5, 13)),
    "GMAW": (range(17, 27), range(90, 225, 5), range(8, 21)),
    "FCAW": (range(22, 29), range(140, 265, 5), range(8, 19)),
    "GTAW": (range(10, 17), range(60, 165, 5), range(3, 9)),
}
"""Volts, amperes and in/min that a class may read off its machines; invented for practice."""


@dataclass(frozen=True, slots=True)
class Question:
    """A question of arithmetic or of reading a table, with its answer.

    `message` has places for `values`. `exact` is the number in `unit`. `basis` is the equation or
    the rule that answers it, `grade` how that was read, `sources` where it and its numbers are.
    `formula_name` is its name in `weldref.calculate.by_name`, if it is computed.
    """

    message: str
    values: Mapping[str, str]
    exact: float
    unit: str
    basis: str
    grade: str
    sources: tuple[tuple[str, str | None], ...]
    formula_name: str = ""

    @property
    def answer(self) -> str:
        """The answer as a person would write it, to four figures."""
        return f"{self.exact:.4g}"


def _computed(
    name: str,
    message: str,
    values: Mapping[str, str],
    exact: float,
    unit: str,
    result: Result,
    window: tuple[str, str | None] | None = None,
) -> Question:
    """Make a question that a formula answers; `window` is where its numbers are printed."""
    places = ((source.source_id, source.locator) for source in result.sources)
    sources = (*([window] if window else []), *places)
    basis = formula(name).equation
    return Question(message, values, exact, unit, basis, result.grade, sources, name)


def heat_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for a heat input."""
    processes = [process for process in BENCH_NUMBERS if pool.has_process(process)]
    if not processes:
        return None
    process = draw.one(processes)
    volts, amps, travel = map(draw.one, BENCH_NUMBERS[process])
    result = heat_input(pool.store, volts, amps, travel, "in/min", process)
    return _computed(
        "heat-input",
        later(
            "{process}, {volts} V, {amps} A, travel speed {travel} in/min, k = {k}. "
            "Heat input in kJ/in?"
        ),
        {
            "process": process,
            "volts": str(volts),
            "amps": str(amps),
            "travel": str(travel),
            "k": f"{result.parts['efficiency']:g}",
        },
        Converter(pool.store).number_in(result.value, "J/m", "kJ/in"),
        "kJ/in",
        result,
    )


def wire_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for a wire feed speed from a timed length."""
    seconds = draw.one((5, 6, 10))
    inches = draw.one(range(18, 61))
    result = formula("wire-feed-speed-timed").function(length=inches * 0.0254, time=float(seconds))
    return _computed(
        "wire-feed-speed-timed",
        later(
            "{inches} in of wire came out in {seconds} s, clear of the work. "
            "Wire feed speed in in/min?"
        ),
        {"inches": str(inches), "seconds": str(seconds)},
        Converter(pool.store).number_in(result.value, "m/s", "in/min"),
        "in/min",
        result,
    )


def throat_question(pool: Pool, draw: Draw) -> Question:
    """Ask for the throat of a fillet."""
    leg = draw.one(("1/8", "3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "5/8"))
    inches = parse_number(leg) or 0.0
    result = formula("fillet-throat").function(leg=inches * 0.0254)
    return _computed(
        "fillet-throat",
        later("An equal-leg fillet has legs of {leg} in. Effective throat in in?"),
        {"leg": leg},
        Converter(pool.store).number_in(result.value, "m", "in"),
        "in",
        result,
    )


def start_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the middle of a published window, which the handbook names as a starting point."""
    windows = [
        (dict(line.conditions), printed)
        for line in pool.lines
        for printed in line.ranges
        if printed.source_id == "machinerys-handbook-31"
        and dict(line.conditions).get("electrode", "").startswith("E70")
        and printed.quantity == "current"
    ]
    if not windows:
        return None
    conditions, printed = draw.one(windows)
    low, high = printed.low or 0.0, printed.high or 0.0
    result = formula("starting-current-e70xx").function(window_low=low, window_high=high)
    return _computed(
        "starting-current-e70xx",
        later(
            "The handbook prints {low} to {high} A for {electrode}, {diameter}, and says to start "
            "in the middle. Starting current in A?"
        ),
        {
            "low": f"{low:g}",
            "high": f"{high:g}",
            "electrode": conditions["electrode"],
            "diameter": conditions["diameter"],
        },
        result.value,
        "A",
        result,
        (printed.source_id, printed.locator),
    )


def carbon_question(pool: Pool, draw: Draw) -> Question | None:  # noqa: ARG001
    """Ask for a carbon equivalent."""
    carbon, manganese = draw.one(range(12, 30)) / 100, draw.one(range(60, 151, 5)) / 100
    chromium, nickel = draw.one(range(0, 41, 5)) / 100, draw.one(range(0, 41, 5)) / 100
    result = formula("carbon-equivalent-iiw").function(
        carbon=carbon, manganese=manganese, chromium=chromium, nickel=nickel
    )
    return _computed(
        "carbon-equivalent-iiw",
        later(
            "A steel has {carbon} % C, {manganese} % Mn, {chromium} % Cr and {nickel} % Ni. "
            "Carbon equivalent CE(IIW) in %?"
        ),
        {
            "carbon": f"{carbon:.2f}",
            "manganese": f"{manganese:.2f}",
            "chromium": f"{chromium:.2f}",
            "nickel": f"{nickel:.2f}",
        },
        result.value,
        "%",
        result,
    )


def shade_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the lightest filter shade that a rule allows at a current."""
    processes = [process for process in BENCH_NUMBERS if pool.has_process(process)]
    if not processes:
        return None
    process = draw.one(processes)
    amps = draw.one(BENCH_NUMBERS[process][1])
    said = [
        one
        for one in filter_shade(process, current=float(amps))
        if one.what == "minimum shade" and one.value and one.how_read == "read" and not one.note
    ]
    if not said:
        return None
    shade = draw.one(said)
    return Question(
        later("{process} at {amps} A: which is the lightest filter shade by {rule}?"),
        {"process": process, "amps": str(amps), "rule": shade.condition},
        shade.value or 0.0,
        "",
        later("the table of minimum shades by process and current"),
        shade.how_read,
        ((shade.source_id, shade.locator),),
    )


SYMBOL = later("size left of the triangle, length and pitch (centre to centre) right of it")


def gap_question(pool: Pool, draw: Draw) -> Question:  # noqa: ARG001
    """Ask for the gap between intermittent fillets, read off a welding symbol."""
    leg, length = draw.one(("1/8", "3/16", "1/4", "5/16")), draw.one((1, 2, 3))
    pitch = length + draw.one((1, 2, 3, 4))
    return Question(
        later(
            "A welding symbol shows a fillet triangle with {leg} on its left and {length}-{pitch} "
            "on its right, in inches. How long is the gap between two welds in in?"
        ),
        {"leg": leg, "length": str(length), "pitch": str(pitch)},
        float(pitch - length),
        "in",
        SYMBOL,
        "memory",
        ((COMMON_PRACTICE, None),),
    )


def symbol_throat_question(pool: Pool, draw: Draw) -> Question:
    """Ask for the throat of a fillet whose size is read off a welding symbol."""
    asked = throat_question(pool, draw)
    message = later(
        "A welding symbol shows a fillet triangle with {leg} on its left, in inches. Effective "
        "throat of this equal-leg fillet in in?"
    )
    return replace(asked, message=message)


QUESTIONS: dict[str, Callable[[Pool, Draw], Question | None]] = {
    "heat": heat_question,
    "wire": wire_question,
    "throat": throat_question,
    "start": start_question,
    "carbon": carbon_question,
    "shade": shade_question,
    "gap": gap_question,
    "symbol throat": symbol_throat_question,
}
