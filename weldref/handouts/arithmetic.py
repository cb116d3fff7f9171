"""Draw the questions of a practice sheet, answered by a formula or by a printed table.

Numbers are invented for practice except where a question works with a published window.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from weldref.advice.handbook import Statement, filter_shade, minimum_fillet, sheet_gauge
from weldref.core.units import parse_number
from weldref.data.schemas.bases import COMMON_PRACTICE
from weldref.formulas.formula import Result
from weldref.handouts.conversion import Converter
from weldref.handouts.practice_pool import Draw, Pool
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
    if not any(pool.has_process(one) for one in ("GMAW", "FCAW")):
        return None
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


def throat_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the throat of a fillet."""
    if not _joins(pool):
        return None
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


def carbon_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for a carbon equivalent."""
    if not (_joins(pool) and pool.has_metal("carbon steel")):
        return None
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


CUT = ("1/8", "3/16", "1/4", "3/8", "1/2", "5/8", "3/4", "1", "1-1/4", "1-1/2", "2", "3")
"""Thicknesses that a class cuts with a flame, in inches."""


def shade_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the lightest filter shade that a rule allows at a current, or to cut a plate."""
    processes = [process for process in (*BENCH_NUMBERS, "OFC") if pool.has_process(process)]
    if not processes:
        return None
    process = draw.one(processes)
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
    return _read_off(draw, said, "minimum shade", message, values, rule)


def _read_off(
    draw: Draw,
    said: Sequence[Statement],
    what: str,
    message: str,
    values: Mapping[str, str],
    basis: str,
) -> Question | None:
    """Make a question that one line of a printed table answers."""
    printed = [
        one
        for one in said
        if one.what == what and one.value and one.how_read == "read" and "uncertain" not in one.note
    ]
    if what == "minimum shade":
        printed = [one for one in printed if not one.note]
    if not printed:
        return None
    one = draw.one(printed)
    return Question(
        message, {**values, "rule": one.condition}, one.value or 0.0, one.unit, basis,
        one.how_read, ((one.source_id, one.locator),),
    )  # fmt: skip


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
    """Tell whether the class welds: cutting has no fillets and no welding symbols."""
    return any(pool.has_process(process) for process in (*BENCH_NUMBERS, "OFW", "PAW"))


SYMBOL = later("size left of the triangle, length and pitch (centre to centre) right of it")


def gap_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the gap between intermittent fillets, read off a welding symbol."""
    if not _joins(pool):
        return None
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


def symbol_throat_question(pool: Pool, draw: Draw) -> Question | None:
    """Ask for the throat of a fillet whose size is read off a welding symbol."""
    asked = throat_question(pool, draw)
    if asked is None:
        return None
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
    "fillet": fillet_question,
    "gauge": gauge_question,
}
