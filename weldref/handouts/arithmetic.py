"""Draw the questions of a practice sheet, each answered by a formula or a printed table.

The numbers are invented for practice, unless a question uses a published range.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from weldref.advice.handbook import Statement, filter_shade, minimum_fillet, sheet_gauge
from weldref.core.units import parse_number
from weldref.data.schemas.bases import COMMON_PRACTICE
from weldref.formulas.carbon import carbon_equivalent_iiw
from weldref.formulas.everyday import starting_current_e70xx
from weldref.formulas.formula import REGISTRY, Result
from weldref.formulas.heat import heat_input
from weldref.formulas.strength import fillet_throat
from weldref.formulas.wire import wire_feed_speed_timed
from weldref.handouts.conversion import Converter
from weldref.handouts.practice_pool import Draw, Pool, Range
from weldref.handouts.texts import Place, Placed
from weldref.handouts.words import later

TOLERANCE = 2
"""How far off an answer may be, in percent: enough for rounding only."""

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
    the rule that answers it, `grade` how that was read, `sources` the places of it and its numbers.
    `formula_name` is its name in `weldref.calculate.by_name`, if it is computed.
    """

    mistake: ClassVar[str] = ""
    """Nothing is planted in a question."""

    message: str
    values: Mapping[str, str]
    exact: float
    unit: str
    basis: str
    grade: str
    sources: tuple[Placed, ...]
    formula_name: str = ""

    @property
    def answer(self) -> str:
        """The answer as a person would write it, to four figures."""
        return f"{self.exact:.4g}"


def _computed(
    pool: Pool,
    message: str,
    values: Mapping[str, object],
    result: Result,
    unit: str,
    window: Range | None = None,
) -> Question:
    """Make a question that a formula answers; `window` is where its numbers are printed."""
    exact = Converter(pool.store).number_in(result.value, result.unit, unit)
    sources: tuple[Placed, ...] = (*([window] if window else ()), *result.sources)
    texts = {key: str(value) for key, value in values.items()}
    basis = REGISTRY[result.name].equation
    return Question(message, texts, exact, unit, basis, result.grade, sources, result.name)


def _bench_process(pool: Pool, draw: Draw, *more: str) -> str | None:
    """Pick a process that the class uses."""
    processes = [process for process in (*BENCH_NUMBERS, *more) if pool.has_process(process)]
    return draw.one(processes) if processes else None


def heat_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for a heat input."""
    process = _bench_process(pool, draw)
    if process is None:
        return None
    volts, amps, travel = map(draw.one, BENCH_NUMBERS[process])
    speed = Converter(pool.store).number_in(travel, "in/min", "m/s")
    result = heat_input(voltage=volts, current=amps, travel_speed=speed, process=process)
    message = later(
        "{process}, {volts} V, {amps} A, travel speed {travel} in/min, k = {k}. "
        "Heat input in kJ/in?"
    )
    k = f"{result.parts['efficiency']:g}"
    values = {"process": process, "volts": volts, "amps": amps, "travel": travel, "k": k}
    return _computed(pool, message, values, result, "kJ/in")


def wire_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for a wire feed speed from a timed length."""
    if not any(pool.has_process(one) for one in ("GMAW", "FCAW")):
        return None
    seconds, inches = draw.one((5, 6, 10)), draw.one(range(18, 61))
    result = wire_feed_speed_timed(length=inches * 0.0254, time=float(seconds))
    message = later(
        "{inches} in of wire came out in {seconds} s, clear of the work. Wire feed speed in in/min?"
    )
    return _computed(pool, message, {"inches": inches, "seconds": seconds}, result, "in/min")


def throat_question(pool: Pool, draw: Draw, message: str) -> Question | None:
    """Ask for the throat of a fillet whose leg the message states."""
    if not _joins(pool):
        return None
    leg = draw.one(("1/8", "3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "5/8"))
    result = fillet_throat(leg=(parse_number(leg) or 0.0) * 0.0254)
    return _computed(pool, message, {"leg": leg}, result, "in")


def start_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the middle of a published range, where the handbook says to start."""
    windows = [
        (line.conditions, printed)
        for line in pool.lines
        for printed in line.ranges
        if printed.source_id == "machinerys-handbook-31"
        and line.conditions.get("electrode", "").startswith("E70")
        and printed.quantity == "current"
    ]
    if not windows:
        return None
    conditions, printed = draw.one(windows)
    low, high = printed.low or 0.0, printed.high or 0.0
    result = starting_current_e70xx(window_low=low, window_high=high)
    message = later(
        "The handbook prints {low} to {high} A for {electrode}, {diameter}, and says to start "
        "in the middle. Starting current in A?"
    )
    values = {"low": f"{low:g}", "high": f"{high:g}"}
    values |= {key: conditions[key] for key in ("electrode", "diameter")}
    return _computed(pool, message, values, result, "A", printed)


def carbon_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for a carbon equivalent."""
    if not (_joins(pool) and pool.has_metal("carbon steel")):
        return None
    ranges = {
        "carbon": range(12, 30),
        "manganese": range(60, 151, 5),
        "chromium": range(0, 41, 5),
        "nickel": range(0, 41, 5),
    }
    shares = {element: draw.one(hundredths) / 100 for element, hundredths in ranges.items()}
    result = carbon_equivalent_iiw(**shares)
    message = later(
        "A steel has {carbon} % C, {manganese} % Mn, {chromium} % Cr and {nickel} % Ni. "
        "Carbon equivalent CE(IIW) in %?"
    )
    values = {element: f"{share:.2f}" for element, share in shares.items()}
    return _computed(pool, message, values, result, "%")


CUT = ("1/8", "3/16", "1/4", "3/8", "1/2", "5/8", "3/4", "1", "1-1/4", "1-1/2", "2", "3")
"""Thicknesses that a class cuts with a flame, in inches."""


def shade_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the lightest filter shade that a rule allows for a current or a plate to cut."""
    process = _bench_process(pool, draw, "OFC")
    if process is None:
        return None
    values, said = {"process": process}, []
    if process == "OFC":
        values["plate"] = draw.one(CUT)
        said = filter_shade(process, plate=(parse_number(values["plate"]) or 0.0) * 0.0254)
        message = later(
            "{process}, plate of {plate} in: which is the lightest filter shade by {rule}?"
        )
    else:
        values["amps"] = str(draw.one(BENCH_NUMBERS[process][1]))
        said = filter_shade(process, current=float(values["amps"]))
        message = later("{process} at {amps} A: which is the lightest filter shade by {rule}?")
    rule = later("the table of minimum shades by process and current or plate")
    plain = [one for one in said if not one.note]
    return _read_off(draw, plain, "minimum shade", message, values, rule)


def _read_off(
    draw: Draw,
    said: Sequence[Statement],
    what: str,
    message: str,
    values: Mapping[str, str],
    basis: str,
) -> Question | None:
    """Make a question that is answered by one line of a printed table."""
    printed = [
        one
        for one in said
        if one.what == what and one.value and one.how_read == "read" and "uncertain" not in one.note
    ]
    if not printed:
        return None
    one = draw.one(printed)
    named = {**values, "rule": one.condition}
    return Question(message, named, one.value or 0.0, one.unit, basis, one.how_read, (one,))


def fillet_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the smallest fillet leg that a code allows at a thickness."""
    if not (_joins(pool) and pool.has_metal("A36")):
        return None
    thickness = draw.one(("3/16", "1/4", "5/16", "3/8", "1/2", "5/8", "3/4", "1"))
    said = minimum_fillet(parse_number(thickness) or 0.0)
    return _read_off(
        draw, said, "minimum fillet leg",
        later("Fillet weld on structural steel of {thickness} in. Smallest leg in in by {rule}?"),
        {"thickness": thickness},
        later("the table of minimum fillet sizes by thickness"),
    )  # fmt: skip


def gauge_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the thickness of a gauge of sheet steel."""
    if not pool.has_metal("carbon steel"):
        return None
    gauge = draw.one(("7", "10", "11", "12", "13", "14", "16", "18", "20", "22"))
    return _read_off(
        draw, sheet_gauge(gauge), "thickness",
        later("Sheet steel of {gauge} gauge: thickness in in by {rule}?"), {"gauge": gauge},
        later("the table of the US standard gauge for iron and steel"),
    )  # fmt: skip


def _joins(pool: Pool) -> bool:
    """Tell whether the class welds; a class that only cuts gets no fillets or welding symbols."""
    return any(pool.has_process(process) for process in (*BENCH_NUMBERS, "OFW", "PAW"))


def gap_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the gap between intermittent fillets, read off a welding symbol."""
    if not _joins(pool):
        return None
    leg, length = draw.one(("1/8", "3/16", "1/4", "5/16")), draw.one((1, 2, 3))
    pitch = length + draw.one((1, 2, 3, 4))
    message = later(
        "A welding symbol shows a fillet triangle with {leg} on its left and {length}-{pitch} "
        "on its right, in inches. How long is the gap between two welds in in?"
    )
    basis = later("size left of the triangle, length and pitch (centre to centre) right of it")
    values = {"leg": leg, "length": str(length), "pitch": str(pitch)}
    sources = (Place(COMMON_PRACTICE, None),)
    return Question(message, values, float(pitch - length), "in", basis, "memory", sources)


QUESTIONS: dict[str, Callable[[Pool, Draw], Question | None]] = {
    "heat": heat_question,
    "wire": wire_question,
    "throat": partial(
        throat_question,
        message=later("An equal-leg fillet has legs of {leg} in. Effective throat in in?"),
    ),
    "start": start_question,
    "carbon": carbon_question,
    "shade": shade_question,
    "gap": gap_question,
    "symbol throat": partial(
        throat_question,
        message=later(
            "A welding symbol shows a fillet triangle with {leg} on its left, in inches. Effective "
            "throat of this equal-leg fillet in in?"
        ),
    ),
    "fillet": fillet_question,
    "gauge": gauge_question,
}
