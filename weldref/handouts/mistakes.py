"""Draw a ticket, clean or with one mistake planted; only tickets that can be judged are used.

Each family draws a situation from printed lines, or from our own list of sound jobs
(`sound_set_ups.csv`), and invents a setting for it. A ticket is kept only if the engine agrees: a
clean one passes on every line, a planted one fails.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from weldref.errors import InputError
from weldref.handouts.practice_pool import CLASS_THICKNESSES, Draw, Line, Pool, Range, jobs
from weldref.handouts.tickets import (
    HEAT_SLACK,
    Finding,
    Ticket,
    breaks_a_rule,
    cannot_be,
    gas_finding,
    heat_of,
    judge_ticket,
    p_number,
    passes,
    polarity_finding,
    resolve,
)
from weldref.handouts.words import later
from weldref.handouts.worked import efficient_process

TRIES = 200

SLIPS = {
    "ft3/h": "L/min", "L/min": "ft3/h", "psi": "bar", "C": "F", "F": "C", "in": "mm",
}  # fmt: skip
"""Units that are mistaken for each other."""

POLARITIES = ("DCEP", "DCEN", "AC")
HOT_STEELS = (
    *(("AWS D1.1", steel) for steel in ("A36", "A572 50", "A709 36", "A588", "A106 B")),
    *(("ASME B31.3", steel) for steel in ("P-No.1", "P-No.3", "P-No.4", "P-No.5A")),
)
"""Steels for which a code prints a preheat above room temperature in some thickness."""

WAYS = (("SMAW", "E7018"), ("SMAW", "E6010"), ("FCAW", ""), ("GMAW", ""), ("SMAW", ""))
THICK = ("7/8 in", "1 in", "1-1/4 in", "1-5/8 in", "2 in", "2-1/4 in")
"""Thicknesses at which a code prints a preheat for plain steel."""

SHOP = ("40 F", "45 F", "50 F", "55 F", "60 F")
"""Temperatures of a cold shop, and so of base metal that nobody preheated."""

SPRAYING = ("98 Ar / 2 O2", "90 Ar / 10 CO2", "argon", "95 Ar / 5 O2", "99 Ar / 1 O2")
NOT_SPRAYING = ("CO2", "CO2", "75 Ar / 25 CO2")
"""With so much carbon dioxide the arc does not spray."""

READINGS = ("fuel_pressure",)
NUMBERS = ("p_number", "f_number")

INSTEAD = {
    "polarity": POLARITIES,
    "gas": ("argon", "CO2", "75 Ar / 25 CO2", "98 Ar / 2 O2", "acetylene"),
    "position": ("vertical up", "overhead"),
    "transfer_mode": ("globular", "short-circuiting", "spray"),
    "fuel_pressure": ("16 psi", "18 psi", "20 psi", "22 psi", "25 psi"),
    "p_number": ("1", "8", "22", "43"),
    "f_number": ("1", "2", "3", "4", "5", "6"),
}
"""What replaces a sound value; the rules tell whether it cannot be."""

OF_A_PROCEDURE = ("polarity", "position", *NUMBERS)
"""What is changed on a written procedure."""


def ticket(
    pool: Pool, draw: Draw, family: str, *, planted: bool, tries: int = TRIES
) -> tuple[Ticket, tuple[Finding, ...]] | None:
    """Draw a ticket that the engine judges as intended, with its findings.

    None if none is found: a family that raises LookupError has nothing to draw from.
    """
    mistake, draw_one = FAMILIES[family]
    for _ in range(tries):
        try:
            drawn = draw_one(pool, draw, planted)
            if drawn is None:
                continue
            if planted or family == "depends":
                drawn = replace(drawn, mistake=mistake)
            findings = judge_ticket(pool.store, drawn)
        except LookupError:
            return None
        except InputError:
            # A slip of unit may give a value that no machine has: the engine refuses it.
            continue
        if not breaks_a_rule(pool.store, drawn) and _as_meant(drawn, findings):
            return drawn, findings
    return None


def _as_meant(drawn: Ticket, findings: Sequence[Finding]) -> bool:
    """Tell whether the engine finds what was planted, and nothing else."""
    if drawn.family == "depends":
        return _asks_for_the_code(findings[0])
    if not drawn.mistake:
        return passes(findings)
    wrong = [finding for finding in findings if finding.outcome != "passes"]
    if [finding.outcome for finding in wrong] != ["fails"]:
        return False
    (found,) = wrong
    recalled = found.reading.from_memory if found.reading else None
    as_planted = {
        "setting": found.word == "high" and (recalled is None or recalled.verdict == "high"),
        "unit": found.word in ("low", "high"),
        "procedure": found.limits is not None,
        "preheat": found.word == "low",
    }
    return as_planted.get(drawn.family, True)


def _asks_for_the_code(found: Finding) -> bool:
    """Tell whether the verdict depends on the code: one passes the value and another fails it."""
    ask = found.reading.ask if found.reading else None
    if found.word != "depends" or ask is None or ask.condition != "scope":
        return False
    return {"inside", "low"} <= {answer.verdict for answer in ask.answers}


# Families drawn from printed lines -------------------------------------------------------------


def _one_line(among: Iterable[Line], draw: Draw) -> Line:
    """Pick a line, its process first: else the process with most rows would fill the sheet."""
    by_process: dict[str, list[Line]] = {}
    for line in among:
        by_process.setdefault(line.conditions["process"], []).append(line)
    return draw.one(by_process[draw.one(sorted(by_process))])


def _conditions(line: Line, draw: Draw) -> dict[str, str]:
    """Return the conditions of a line, with a gas and a thickness picked for it."""
    conditions = dict(line.conditions)
    for name, values in (("gas", line.gases), ("thickness", line.thicknesses)):
        if values:
            conditions[name] = draw.one(values)
    return conditions


def _setting(pool: Pool, draw: Draw, planted: bool) -> Ticket | None:
    """Set one or more values of a printed line; planted: a current above every source."""
    line = _one_line(pool.lines, draw)
    conditions, readings = _conditions(line, draw), _values(line, draw)
    if planted:
        highs = [r for r in line.ranges if r.high is not None]
        if not highs:
            return None
        spoiled = draw.one(highs)
        readings[spoiled.quantity] = _above(spoiled, draw)
    return Ticket("setting", conditions, readings)


def _unit(pool: Pool, draw: Draw, planted: bool) -> Ticket:
    """Set a value whose unit is easily mistaken; planted: the other unit."""
    usable = (line for line in pool.lines if any(r.unit in SLIPS for r in line.ranges))
    line = _one_line(usable, draw)
    printed = draw.one([r for r in line.ranges if r.unit in SLIPS])
    meant = _inside(printed, draw)
    conditions = _conditions(line, draw)
    if not planted:
        return Ticket("unit", conditions, {printed.quantity: meant})
    slip = f"{meant.split(' ', 1)[0]} {SLIPS[printed.unit]}"
    return Ticket("unit", conditions, {printed.quantity: slip}, meant=meant)


def _polarity(pool: Pool, draw: Draw, planted: bool) -> Ticket | None:
    """Set a polarity; planted: one that the tables do not name or advise against."""
    line = _one_line(
        (line for line in pool.lines if line.conditions["process"] in ("SMAW", "GTAW")), draw
    )
    conditions = _conditions(line, draw)
    wanted = "fails" if planted else "passes"
    for given in draw.mixed(POLARITIES):
        tried = {**conditions, "polarity": given}
        if polarity_finding(pool.store, tried).outcome == wanted:
            drawn = Ticket("polarity", tried, _values(line, draw))
            if any(f.outcome == "open" for f in judge_ticket(pool.store, drawn)):
                # The rows of the line hold for another polarity: the ticket is about that alone.
                return Ticket("polarity", tried)
            return drawn
    return None


def _heat(pool: Pool, draw: Draw, planted: bool) -> Ticket | None:
    """Record a heat input; planted: one that does not follow from the other numbers."""
    usable = (line for line in pool.lines if line.range("current") and line.range("voltage"))
    line = _one_line(usable, draw)
    conditions = _conditions(line, draw)
    process = efficient_process(resolve(pool.store, conditions))
    if process is None:
        return None
    readings = _values(line, draw)
    shown = {"travel_speed": f"{draw.one((8, 9, 10, 11, 12, 14, 15, 16, 18, 20))} in/min"}
    computed, efficiency = heat_of(pool.store, {**readings, **shown}, process)
    recorded = computed
    if planted:
        # What goes wrong in practice: k left out, k taken twice, minutes and seconds, a decimal.
        recorded *= draw.one((1 / efficiency, efficiency, 60.0, 10.0, 0.1, 1.25))
        if abs(recorded - computed) <= 2 * HEAT_SLACK * computed:
            return None
    return Ticket("heat", conditions, readings, shown, float(f"{recorded:.3g}"))


def _procedure(pool: Pool, draw: Draw, planted: bool) -> Ticket | None:
    """Set values by an invented procedure, narrower than print; planted: one is outside it."""
    usable = (line for line in pool.lines if any(r.low and r.high for r in line.ranges))
    line, readings, spans = _one_line(usable, draw), {}, {}
    for printed in line.ranges:
        low, high = printed.low or 0.0, printed.high or 0.0
        if not (low and high):
            continue
        step = _step(low, high)
        first, last = math.ceil(low / step - 1e-9) + 1, math.floor(high / step + 1e-9) - 1
        if last - first < 2:
            continue
        spans[printed.quantity] = (f"{first * step:.6g}", f"{last * step:.6g}", printed.unit)
        at = first + int(draw.between(0, last - first + 1))
        if planted and len(spans) == 1:
            # Inside the published range but outside the procedure.
            at = draw.one((first - 1, last + 1))
        readings[printed.quantity] = f"{at * step:.6g} {printed.unit}"
    if not spans:
        return None
    return Ticket("procedure", _conditions(line, draw), readings, procedure=spans)


# Families with conditions of their own -----------------------------------------------------------


def _gas(pool: Pool, draw: Draw, planted: bool) -> Ticket | None:
    """Set a gas for spray transfer; planted: one that the tables name only for other modes."""
    metals = [m for m in ("carbon steel", "A36", "304", "316", "aluminium") if pool.has_metal(m)]
    thicknesses = pool.among(("1/8 in", "3/16 in", "1/4 in", "3/8 in"))
    if not pool.has_process("GMAW"):
        raise LookupError("no spray transfer in this class")
    conditions = {"process": "GMAW", "transfer_mode": "spray", "material": draw.one(metals)}
    conditions |= {"thickness": draw.one(thicknesses), "position": "flat"}
    wanted = "fails" if planted else "passes"
    for given in draw.mixed(NOT_SPRAYING if planted else SPRAYING):
        tried = {**conditions, "gas": given}
        if gas_finding(pool.store, resolve(pool.store, tried)).outcome == wanted:
            return Ticket("gas", tried)
    return None


def _preheat(pool: Pool, draw: Draw, planted: bool) -> Ticket:
    """Weld thick steel to a code; planted: the base metal is as cold as the shop."""
    code, steel = draw.one([hot for hot in HOT_STEELS if pool.has_metal(hot[1])])
    process, electrode = draw.one([way for way in WAYS if pool.has_process(way[0])])
    thickness = draw.one(pool.among(THICK))
    conditions = {"process": process, "material": steel, "thickness": thickness, "code": code}
    conditions |= {"electrode": electrode} if electrode else {}
    warm = (200, 225, 250, 275, 300, 350, 375, 400)
    preheat = draw.one(SHOP) if planted else f"{draw.one(warm)} F"
    return Ticket("preheat", conditions, {"preheat": preheat})


def _depends(pool: Pool, draw: Draw, planted: bool) -> Ticket:  # noqa: ARG001
    """Preheat to a value that one code accepts and another does not, and name no code."""
    warm = _preheat(pool, draw, planted=False)
    conditions = {name: value for name, value in warm.conditions.items() if name != "code"}
    value = f"{draw.one((75, 80, 90, 100, 110, 125, 140, 150, 160))} F"
    return Ticket("depends", conditions, {"preheat": value})


def _set_up(pool: Pool, draw: Draw, planted: bool) -> Ticket:
    """Set a job up; planted: with one thing that cannot be."""
    if planted and not pool.jobs:
        # The class asked for a process and a metal that do not go together.
        process, metal = draw.one(pool.processes).name, draw.one(pool.metals).name
        thickness = draw.one(pool.thicknesses or CLASS_THICKNESSES)
        return Ticket("set-up", {"process": process, "material": metal, "thickness": thickness})
    job = draw.one(pool.jobs)
    if planted:
        alike = (one for one in jobs() if one["process"] == job["process"])
        electrodes = sorted({one["electrode"] for one in alike if "electrode" in one})
        fields = INSTEAD | {"electrode": (*electrodes, "E7018", "ER70S-6")}
        job = _changed(job, draw, {k: v for k, v in fields.items() if k not in NUMBERS})
    return _of_job("set-up", job)


def _written(pool: Pool, draw: Draw, planted: bool) -> Ticket | None:
    """Write a job down as a procedure; planted: with one line that cannot be."""
    job = draw.one(pool.jobs)
    if "position" not in job:
        raise LookupError("no job to write down")
    if group := p_number(pool.store, job["material"]):
        job = {**job, "p_number": group.value.rpartition(".")[2]}
    if planted:
        changed = _changed(job, draw, {name: INSTEAD[name] for name in OF_A_PROCEDURE})
        same = all(changed.get(name) == job.get(name) for name in NUMBERS)
        if same and not cannot_be(pool.store, _of_job("set-up", changed)):
            return None  # the rules are asked before the audit, which takes longer
        job = changed
    return _of_job("written", job)


def _changed(job: dict[str, str], draw: Draw, fields: dict[str, tuple[str, ...]]) -> dict[str, str]:
    """Change one thing on a job."""
    name = draw.one(sorted(job.keys() & fields.keys()))
    return {**job, name: draw.one([one for one in fields[name] if one != job[name]])}


def _of_job(family: str, job: dict[str, str]) -> Ticket:
    numbers = NUMBERS if family == "written" else ()
    return Ticket(
        family,
        {name: value for name, value in job.items() if name not in (*READINGS, *NUMBERS)},
        {name: job[name] for name in READINGS if name in job},
        numbers={name: job[name] for name in numbers if name in job},
    )


FAMILIES: dict[str, tuple[str, Callable[[Pool, Draw, bool], Ticket | None]]] = {
    "setting": (later("a value above every source"), _setting),
    "unit": (later("a slip of unit"), _unit),
    "polarity": (later("a wrong polarity"), _polarity),
    "gas": (later("a gas not published for spray transfer on this metal"), _gas),
    "preheat": (later("preheat forgotten"), _preheat),
    "depends": (later("no code named"), _depends),
    "heat": (later("a heat input that does not follow"), _heat),
    "procedure": (later("a value outside the written procedure"), _procedure),
    "set-up": (later("a set-up that cannot be"), _set_up),
    "written": (later("a line that cannot be"), _written),
}
"""What is planted in a ticket of each family, and what draws one."""

# Values ------------------------------------------------------------------------------------------


def _values(line: Line, draw: Draw) -> dict[str, str]:
    """Invent a value inside each range of a line."""
    return {printed.quantity: _inside(printed, draw) for printed in line.ranges}


def _inside(printed: Range, draw: Draw) -> str:
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


def _above(printed: Range, draw: Draw) -> str:
    """Invent a value well above a printed range."""
    high = printed.high or 0.0
    step = _step(printed.low or 0.0, high)
    number = math.ceil(high * draw.between(1.2, 1.6) / step) * step
    return f"{number:.6g} {printed.unit}"


def _step(low: float, high: float) -> float:
    """Choose a round step that gives several values inside a range."""
    steps = (25.0, 10.0, 5.0, 1.0, 0.5, 0.1, 0.05)
    return next((step for step in steps if abs(high - low) / step >= 4), 0.01)
