"""Draw a ticket, clean or with one mistake planted; only tickets that can be judged are used.

Each family draws a situation from printed lines and invents a setting for it. A ticket is only
kept when the engine says what it should: a clean one passes on every line, a planted one fails.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from weldref.errors import InputError
from weldref.handouts.practice_pool import Draw, Line, Pool, Range
from weldref.handouts.set_ups import set_up, written
from weldref.handouts.tickets import (
    HEAT_SLACK,
    Finding,
    Ticket,
    gas_finding,
    heat_of,
    judge_ticket,
    passes,
    polarity_finding,
    resolve,
    speaks_against,
)  # fmt: skip
from weldref.handouts.words import later
from weldref.handouts.worked import efficient_process

TRIES = 200

SLIPS = {
    "ft3/h": "L/min", "L/min": "ft3/h", "psi": "bar", "C": "F", "F": "C", "in": "mm",
}  # fmt: skip
"""Units that are taken for each other."""

POLARITIES = ("DCEP", "DCEN", "AC")
HOT_STEELS = {
    "AWS D1.1": ("A36", "A572 50", "A709 36", "A588", "A106 B"),
    "ASME B31.3": ("P-No.1", "P-No.3", "P-No.4", "P-No.5A"),
}
"""Steels for which a code prints a preheat above room temperature in some thickness."""

WAYS = (("SMAW", "E7018"), ("SMAW", "E6010"), ("FCAW", ""), ("GMAW", ""), ("SMAW", ""))
THICK = ("7/8 in", "1 in", "1-1/4 in", "1-5/8 in", "2 in", "2-1/4 in")
"""Thicknesses at which a code prints a preheat for plain steel."""

SHOP = ("40 F", "45 F", "50 F", "55 F", "60 F")
"""How cold a shop may be: the temperature of base metal that nobody preheated."""


def one_line(among: Sequence[Line], draw: Draw) -> Line:
    """Pick a line: first the process, so that the one with most rows does not fill the sheet.

    Raises
    ------
    LookupError
        If there is none.
    """
    processes = sorted({dict(line.conditions)["process"] for line in among})
    if not processes:
        raise LookupError("nothing published to draw it from")
    process = draw.one(processes)
    return draw.one([line for line in among if dict(line.conditions)["process"] == process])


def setting(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:
    """Set one or more values of a printed line; planted: a current above every source."""
    line = one_line(pool.lines, draw)
    conditions = situation_of(line, draw)
    readings = {r.quantity: inside(r, draw) for r in line.ranges}
    if planted:
        highs = [r for r in line.ranges if r.high is not None]
        if not highs:
            return None
        spoiled = draw.one(highs)
        readings[spoiled.quantity] = above(spoiled, draw)
    mistake = later("a value above every source") if planted else ""
    return Ticket("setting", conditions, readings, mistake=mistake)


def unit(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:
    """Set a value whose unit is easily mistaken; planted: the other unit written beside it."""
    usable = [line for line in pool.lines if any(r.unit in SLIPS for r in line.ranges)]
    line = one_line(usable, draw)
    printed = draw.one([r for r in line.ranges if r.unit in SLIPS])
    meant = inside(printed, draw)
    number, _ = meant.split(" ", 1)
    conditions = situation_of(line, draw)
    if not planted:
        return Ticket("unit", conditions, {printed.quantity: meant})
    written = f"{number} {SLIPS[printed.unit]}"
    mistake = later("a slip of unit")
    return Ticket("unit", conditions, {printed.quantity: written}, mistake=mistake, meant=meant)


def polarity(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:
    """Set a polarity; planted: one that the tables do not name or advise against."""
    known = [line for line in pool.lines if dict(line.conditions)["process"] in ("SMAW", "GTAW")]
    line = one_line(known, draw)
    conditions = situation_of(line, draw)
    conditions.pop("polarity", None)
    wanted = "fails" if planted else "passes"
    for given in draw.mixed(POLARITIES):
        tried = {**conditions, "polarity": given}
        if polarity_finding(pool.store, tried).outcome == wanted:
            readings = {r.quantity: inside(r, draw) for r in line.ranges}
            mistake = later("a wrong polarity") if planted else ""
            ticket = Ticket("polarity", tried, readings, mistake=mistake)
            if any(f.outcome == "open" for f in judge_ticket(pool.store, ticket)):
                # The rows of the line hold for another polarity: the ticket is about that alone.
                return Ticket("polarity", tried, mistake=mistake)
            return ticket
    return None


SPRAYING = ("98 Ar / 2 O2", "90 Ar / 10 CO2", "argon", "95 Ar / 5 O2", "99 Ar / 1 O2")
NOT_SPRAYING = ("CO2", "CO2", "75 Ar / 25 CO2")
"""With so much carbon dioxide the arc does not spray."""


def gas(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:
    """Set a gas for spray transfer; planted: one that the tables name for other modes at most."""
    mistake = later("a gas not published for spray transfer on this metal") if planted else ""
    metals = [m for m in ("carbon steel", "A36", "304", "316", "aluminium") if pool.has_metal(m)]
    thicknesses = pool.among(("1/8 in", "3/16 in", "1/4 in", "3/8 in"))
    if not (metals and thicknesses and pool.has_process("GMAW")):
        raise LookupError("no spray transfer in this class")
    conditions = {
        "process": "GMAW",
        "transfer_mode": "spray",
        "material": draw.one(metals),
        "thickness": draw.one(thicknesses),
        "position": "flat",
    }
    wanted = "fails" if planted else "passes"
    for given in draw.mixed(NOT_SPRAYING if planted else SPRAYING):
        tried = {**conditions, "gas": given}
        if gas_finding(pool.store, resolve(pool.store, tried)).outcome == wanted:
            return Ticket("gas", tried, mistake=mistake)
    return None


def preheat(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:
    """Weld thick steel under a code; planted: the base metal is as cold as the shop."""
    steels = [
        (code, steel)
        for code, named in HOT_STEELS.items()
        for steel in named
        if pool.has_metal(steel)
    ]
    ways = [way for way in WAYS if pool.has_process(way[0])]
    thicknesses = pool.among(THICK)
    if not (steels and ways and thicknesses):
        raise LookupError("no steel of this class is preheated")
    code, steel = draw.one(steels)
    process, electrode = draw.one(ways)
    conditions = {
        "process": process,
        "material": steel,
        "thickness": draw.one(thicknesses),
        "code": code,
    }
    if electrode:
        conditions["electrode"] = electrode
    if planted:
        cold = draw.one(SHOP)
        return Ticket("preheat", conditions, {"preheat": cold}, mistake=later("preheat forgotten"))
    warm = f"{draw.one((200, 225, 250, 275, 300, 350, 375, 400))} F"
    return Ticket("preheat", conditions, {"preheat": warm})


def depends(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:  # noqa: ARG001
    """Preheat to a value that one code accepts and another does not, and name no code."""
    warm = preheat(pool, draw, planted=False)
    if warm is None:
        return None
    conditions = {name: value for name, value in warm.conditions.items() if name != "code"}
    value = f"{draw.one((75, 80, 90, 100, 110, 125, 140, 150, 160))} F"
    return Ticket("depends", conditions, {"preheat": value}, mistake=later("no code named"))


def heat(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:
    """Record a heat input; planted: one that does not follow from the other numbers."""
    usable = [line for line in pool.lines if line.range("current") and line.range("voltage")]
    line = one_line(usable, draw)
    conditions = situation_of(line, draw)
    process = efficient_process(resolve(pool.store, conditions))
    if process is None:
        return None
    readings = {r.quantity: inside(r, draw) for r in line.ranges}
    shown = {"travel_speed": f"{draw.one((8, 9, 10, 11, 12, 14, 15, 16, 18, 20))} in/min"}
    computed, efficiency = heat_of(pool.store, {**readings, **shown}, process)
    recorded = computed
    if planted:
        # What goes wrong in practice: k left out, k taken twice, minutes and seconds, a decimal.
        recorded *= draw.one((1 / efficiency, efficiency, 60.0, 10.0, 0.1, 1.25))
        if abs(recorded - computed) <= 2 * HEAT_SLACK * computed:
            return None
    mistake = later("a heat input that does not follow") if planted else ""
    return Ticket("heat", conditions, readings, shown, float(f"{recorded:.3g}"), mistake)


def procedure(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:
    """Set values to an invented procedure that is narrower than print; planted: one leaves it."""
    line = one_line([line for line in pool.lines if any(_both(r) for r in line.ranges)], draw)
    ranges = [r for r in line.ranges if _both(r)]
    readings, spans = {}, {}
    for printed in ranges:
        low, high = printed.low or 0.0, printed.high or 0.0
        step = _step(low, high)
        first, last = math.ceil(low / step - 1e-9) + 1, math.floor(high / step + 1e-9) - 1
        if last - first < 2:
            continue
        span = (f"{first * step:.6g}", f"{last * step:.6g}", printed.unit)
        spans[printed.quantity] = span
        at = first + int(draw.between(0, last - first + 1))
        readings[printed.quantity] = f"{at * step:.6g} {printed.unit}"
        if planted and len(spans) == 1:
            # Inside what is published, and yet not what the procedure allows.
            outside = draw.one((first - 1, last + 1))
            readings[printed.quantity] = f"{outside * step:.6g} {printed.unit}"
    if not spans:
        return None
    mistake = later("a value outside the written procedure") if planted else ""
    return Ticket("procedure", situation_of(line, draw), readings, mistake=mistake, procedure=spans)


def _both(printed: Range) -> bool:
    return bool(printed.low and printed.high)


FAMILIES: dict[str, Callable[..., Ticket | None]] = {
    "setting": setting, "unit": unit, "polarity": polarity, "gas": gas, "preheat": preheat,
    "depends": depends, "heat": heat, "procedure": procedure, "set-up": set_up, "written": written,
}  # fmt: skip


def ticket(
    pool: Pool, draw: Draw, family: str, *, planted: bool, tries: int = TRIES
) -> tuple[Ticket, tuple[Finding, ...]] | None:
    """Draw a ticket that the engine judges as it should, with what the engine says of it.

    None if none is found, which means that the tables hold nothing to draw it from.
    """
    for _ in range(tries):
        try:
            drawn = FAMILIES[family](pool, draw, planted=planted)
            findings = judge_ticket(pool.store, drawn) if drawn else ()
        except LookupError:
            return None
        except InputError:
            # A slip of unit may give a value that no machine has: the engine refuses it.
            continue
        if drawn is None or speaks_against(pool.store, drawn):
            continue
        if family == "depends":
            if _asks_for_the_code(findings[0]):
                return drawn, findings
        elif _one_fails(drawn, findings) if planted else passes(findings):
            return drawn, findings
    return None


def _asks_for_the_code(found: Finding) -> bool:
    """Keep a ticket without a code only if one code passes its value and another fails it."""
    ask = found.reading.ask if found.reading else None
    if found.word != "depends" or ask is None or ask.condition != "scope":
        return False
    return {"inside", "low"} <= {answer.verdict for answer in ask.answers}


def _one_fails(drawn: Ticket, findings: Sequence[Finding]) -> bool:
    """Keep a planted ticket only if what was planted is what the engine finds, and that alone."""
    failing = [finding for finding in findings if finding.outcome == "fails"]
    if len(failing) != 1 or any(finding.outcome == "open" for finding in findings):
        return False
    (found,) = failing
    if drawn.family == "setting":
        recalled = found.reading.from_memory if found.reading else None
        return found.word == "high" and (recalled is None or recalled.verdict == "high")
    if drawn.family == "unit":
        return found.word in ("low", "high")
    if drawn.family == "procedure":
        return found.limits is not None
    return drawn.family != "preheat" or found.word == "low"


def situation_of(line: Line, draw: Draw) -> dict[str, str]:
    """Write a line's conditions as a person would type them, with a gas and a thickness."""
    conditions = dict(line.conditions)
    if line.gases:
        conditions["gas"] = draw.one(line.gases)
    if line.thicknesses:
        conditions["thickness"] = draw.one(line.thicknesses)
    return conditions


def inside(printed: Range, draw: Draw) -> str:
    """Invent a value inside a printed range, rounded as a dial or a gauge is read."""
    low, high = printed.low, printed.high
    if low is None:
        low = 0.4 * (high or 0.0)
    if high is None:
        high = 1.3 * low
    step = _step(low, high)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    if last < first:
        return f"{(low + high) / 2:.3g} {printed.unit}"
    number = min(max(round(draw.between(low, high) / step), first), last) * step
    return f"{number:.6g} {printed.unit}"


def above(printed: Range, draw: Draw) -> str:
    """Invent a value well above a printed range."""
    high = printed.high or 0.0
    step = _step(printed.low or 0.0, high)
    number = math.ceil(high * draw.between(1.2, 1.6) / step) * step
    return f"{number:.6g} {printed.unit}"


def _step(low: float, high: float) -> float:
    """Choose a round step that gives several values inside a range."""
    width = abs(high - low)
    for step in (25.0, 10.0, 5.0, 1.0, 0.5, 0.1, 0.05):
        if width / step >= 4:
            return step
    return 0.01
