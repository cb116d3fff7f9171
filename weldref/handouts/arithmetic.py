"""Draw the arithmetic questions of a practice sheet, answered by `weldref.calculate.by_name`.

Numbers are invented for practice except where a question works with a published window.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from weldref.core.units import parse_number
from weldref.data.store import Store
from weldref.formulas.formula import Result
from weldref.handouts.conversion import Converter
from weldref.handouts.mistakes import Draw
from weldref.handouts.practice_pool import lines
from weldref.handouts.words import later
from weldref.handouts.worked import formula, heat_input

TOLERANCE = 2
"""How far an answer may be off, in percent: room for rounding and no more."""


@dataclass(frozen=True, slots=True)
class Question:
    """A question of arithmetic with its answer.

    `message` has places for `values`. `exact` is the number in `unit`. `formula_name` is the
    formula's name in `weldref.calculate.by_name`, and `window` where the numbers of a published
    window stand.
    """

    formula_name: str
    message: str
    values: Mapping[str, str]
    exact: float
    unit: str
    result: Result
    window: tuple[str, str | None] | None = None

    @property
    def answer(self) -> str:
        """The answer as a person would write it, to four figures."""
        return f"{self.exact:.4g}"

    @property
    def equation(self) -> str:
        """The formula's equation."""
        return formula(self.formula_name).equation


def heat_question(store: Store, draw: Draw) -> Question:
    """Ask for a heat input."""
    process = draw.one(("SMAW", "GMAW", "GTAW", "FCAW"))
    volts, amps = draw.one(range(16, 31)), draw.one(range(90, 260, 5))
    travel = draw.one(range(6, 21))
    result = heat_input(store, volts, amps, travel, "in/min", process)
    return Question(
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
        Converter(store).number_in(result.value, "J/m", "kJ/in"),
        "kJ/in",
        result,
    )


def wire_question(store: Store, draw: Draw) -> Question:
    """Ask for a wire feed speed from a timed length."""
    seconds = draw.one((5, 6, 10))
    inches = draw.one(range(18, 61))
    result = formula("wire-feed-speed-timed").function(length=inches * 0.0254, time=float(seconds))
    return Question(
        "wire-feed-speed-timed",
        later(
            "{inches} in of wire came out in {seconds} s, clear of the work. "
            "Wire feed speed in in/min?"
        ),
        {"inches": str(inches), "seconds": str(seconds)},
        Converter(store).number_in(result.value, "m/s", "in/min"),
        "in/min",
        result,
    )


def throat_question(store: Store, draw: Draw) -> Question:
    """Ask for the throat of a fillet."""
    leg = draw.one(("1/8", "3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "5/8"))
    inches = parse_number(leg) or 0.0
    result = formula("fillet-throat").function(leg=inches * 0.0254)
    return Question(
        "fillet-throat",
        later("An equal-leg fillet has legs of {leg} in. Effective throat in in?"),
        {"leg": leg},
        Converter(store).number_in(result.value, "m", "in"),
        "in",
        result,
    )


def start_question(store: Store, draw: Draw) -> Question:
    """Ask for the middle of a published window, which the handbook names as a starting point."""
    windows = [
        (dict(line.conditions), printed)
        for line in lines(store)
        for printed in line.ranges
        if printed.source_id == "machinerys-handbook-31"
        and dict(line.conditions).get("electrode", "").startswith("E70")
        and printed.quantity == "current"
    ]
    conditions, printed = draw.one(windows)
    low, high = printed.low or 0.0, printed.high or 0.0
    result = formula("starting-current-e70xx").function(window_low=low, window_high=high)
    return Question(
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


def carbon_question(store: Store, draw: Draw) -> Question:  # noqa: ARG001
    """Ask for a carbon equivalent."""
    carbon, manganese = draw.one(range(12, 30)) / 100, draw.one(range(60, 151, 5)) / 100
    chromium, nickel = draw.one(range(0, 41, 5)) / 100, draw.one(range(0, 41, 5)) / 100
    result = formula("carbon-equivalent-iiw").function(
        carbon=carbon, manganese=manganese, chromium=chromium, nickel=nickel
    )
    return Question(
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


def labor_question(store: Store, draw: Draw) -> Question:
    """Ask for the time of a job from the time the arc burns."""
    minutes, percent = draw.one(range(12, 91, 3)), draw.one((20, 25, 30, 35, 40, 50))
    result = formula("labor-time").function(arc_time=minutes * 60.0, operating_factor=percent / 100)
    return Question(
        "labor-time",
        later(
            "The arc burns for {minutes} min in all; the operating factor is {percent} %. "
            "Time for the job in min?"
        ),
        {"minutes": str(minutes), "percent": str(percent)},
        Converter(store).number_in(result.value, "s", "min"),
        "min",
        result,
    )


QUESTIONS: dict[str, Callable[[Store, Draw], Question]] = {
    "heat": heat_question,
    "wire": wire_question,
    "throat": throat_question,
    "start": start_question,
    "carbon": carbon_question,
    "labor": labor_question,
}
