"""Find values that look like slips of writing; they are named and left as they are.

Only the print is tested: reversed limits, a unit that cannot be right, a conversion that does not
agree. Whether a value is inside a published range is for the audit.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import combinations

from weldref.procedures.model import Pass, Procedure, Range, Slip, SlipKind, Text, values
from weldref.procedures.units import dimension_of, si

TEMPERATURES = ("preheat_min", "interpass_min", "interpass_max", "minimum", "temperature")

SIZES, FLOWS = ("in", "mm"), ("ft3/h", "L/min")
POSSIBLE: dict[str, tuple[float, float, tuple[str, ...]]] = {
    "current": (0.1, 3000.0, ()),
    "voltage": (1.0, 250.0, ()),
    "travel_speed": (2e-4, 0.1, ("mm/min", "in/min", "cm/min", "m/min", "mm/s")),
    "wire_feed_speed": (1e-3, 0.9, ("m/min", "in/min", "mm/s")),
    "heat_input": (1e4, 2e7, ("kJ/mm", "kJ/in", "kJ/cm", "J/mm", "J/in")),
    "gas_flow": (5e-6, 3.5e-3, FLOWS),
    "flow": (5e-6, 3.5e-3, FLOWS),
    "sizes": (1.5e-4, 0.012, SIZES),
    "tungsten_size": (1e-4, 0.012, SIZES),
}
"""Limits in SI beyond which no arc welding is done (common practice, wide on purpose), and the
units that may have been meant where a value is outside."""
FASTEST = {"SMAW": 0.015, "GTAW": 0.03, "FCAW": 0.03, "111": 0.015, "141": 0.03, "136": 0.03}
"""Travel speed in m/s that a process does not exceed, where it is well below the general one."""

AGREE = {"length": 0.07, "temperature": 3.0}
"""How far two prints of one value may differ: codes round 1/4 in to 6 mm; otherwise 3 %."""

FACTOR = (0.4, 1.4)
"""Printed heat input over voltage times current by speed: with GTAW's efficiency (0.6) or none,
and with room for limits that are narrower than their corners."""

_SHARE = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*%?\s*(?:argon|helium|carbon dioxide|oxygen|hydrogen|nitrogen"
    r"|ar|he|co2|o2|h2|n2)\b|\b(?:argon|ar|helium|he|co2|o2|n2|h2)\b\s*(\d+(?:[.,]\d+)?)\s*%",
    re.IGNORECASE,
)
_HOT = re.compile(r"\b(?P<number>[1-9]\d{2,3}0)\s?°?\s?(?P<unit>[CF])\b")


def find_slips(procedure: Procedure) -> list[Slip]:
    """List what looks like a slip in a built procedure.

    >>> from weldref.procedures.model import Procedure
    >>> hot = Procedure(preheat_min=(Range(low=1500, unit="C", text="1500C"),))
    >>> [(slip.kind, slip.suspected) for slip in find_slips(hot)]
    [('degree sign', '150 C with the degree sign read as a zero')]
    """
    found: list[Slip] = []
    for name, value in values(procedure):
        last = re.sub(r"\[\d+\]", "", name).rpartition(".")[2]
        if isinstance(value, Range):
            found += _limits(name, value)
            if last in POSSIBLE and name.startswith(("fillers", "gases")):
                found += _unit(name, last, value, [])
            if last in TEMPERATURES:
                found += _degree(name, value, hottest=1300 if last == "temperature" else 600)
            if last == "efficiency" and any(1.5 < n <= 100 for n in (value.low, value.high) if n):
                found.append(
                    _slip("percent", name, value, "a percentage where a factor is expected")
                )
        elif isinstance(value, Text):
            found += _degree_in_text(name, value)
            if last in ("composition", "gas"):
                found += _mixture(name, value)
    processes = [text.text.upper() for text in procedure.processes]
    for index, one in enumerate(procedure.passes):
        found += _pass(f"passes[{index}]", one, processes)
    for name in ("thickness", "preheat_min", "interpass_max", "heat_input", "pipe_diameter"):
        # A form says one thing a few times, a hostile file thousands of times.
        told: tuple[Range, ...] = getattr(procedure, name)[:20]
        for (_, a), (turn, b) in combinations(enumerate(told), 2):
            if a.of == b.of:
                beside = f" at {a.place}" if a.place != b.place else " beside it"
                found += _agreement(f"{name}[{turn}]", b, a, beside)
    return found


def _limits(name: str, value: Range) -> Iterator[Slip]:
    # Gauge numbers fall as sheets grow thicker.
    low, high = value.low, value.high
    if low is not None and high is not None and low > high and value.unit != "ga":
        yield _slip("swapped limits", name, value, "the limits are reversed")


def _degree(name: str, value: Range, hottest: float) -> Iterator[Slip]:
    """Notice 1500 C, too hot for any preheat: 150 C with its degree sign read as a zero."""
    bound = hottest if value.unit in ("C", "K") else hottest * 1.8
    hot = {number for number in value.numbers if number > bound}
    tens = sorted(number for number in hot if number % 10 == 0)
    for number in tens:
        meant = f"{number / 10:g} {value.unit}".strip()
        yield _slip("degree sign", name, value, f"{meant} with the degree sign read as a zero")
    if hot and not tens:
        yield _slip("implausible", name, value, "hotter than any such temperature")


def _degree_in_text(name: str, value: Text) -> Iterator[Slip]:
    for match in _HOT.finditer(value.text):
        number = int(match["number"])
        if number > (1300 if match["unit"] == "C" else 2400):
            meant = f"{number // 10} {match['unit']} with the degree sign read as a zero"
            yield Slip("degree sign", name, match[0], meant, value.place)


def _mixture(name: str, value: Text) -> Iterator[Slip]:
    """Add the shares of a gas; those of several gases in one text cannot be separated."""
    if ";" in value.text or len(value.text) > 120 or "-" in value.text:
        return
    shares = [
        float((match[1] or match[2]).replace(",", ".")) for match in _SHARE.finditer(value.text)
    ]
    total = sum(shares)
    if len(shares) > 1 and math.isclose(total, 1, abs_tol=0.005):
        yield Slip("percent", name, value.text, "shares of 1 instead of percent", value.place)
    elif len(shares) > 1 and not math.isclose(total, 100, abs_tol=0.5):
        yield Slip("percent", name, value.text, f"shares add up to {total:g} %", value.place)


def _pass(at: str, one: Pass, processes: list[str]) -> Iterator[Slip]:
    mine = [one.process.text.upper()] if one.process else processes
    suspects = list(_by_heat_input(at, one))
    yield from suspects
    doubted = {slip.field for slip in suspects}
    for name in POSSIBLE:
        for place, value in values(getattr(one, name, None), f"{at}.{name}"):
            if isinstance(value, Range) and place not in doubted:
                yield from _unit(place, name, value, mine)
    for index, named in enumerate(one.also):
        first = getattr(one, named.name)
        beside = f" at {first.place}" if first is not None and first.place else ""
        yield from _agreement(f"{at}.also[{index}].value", named.value, first, beside)


def _by_heat_input(at: str, one: Pass) -> Iterator[Slip]:
    """Test the unit of the travel speed with the printed heat input, where there is one."""
    speed, heat = one.travel_speed, one.heat_input
    if speed is None or heat is None:
        return
    stated = _ratio(one, speed.unit, heat.unit)
    if stated is None or _fits(stated):
        return
    speeds = [
        unit
        for unit in POSSIBLE["travel_speed"][2]
        if _fits(_ratio(one, unit, heat.unit)) and _possible("travel_speed", speed, unit, [])
    ]
    heats = [unit for unit in POSSIBLE["heat_input"][2] if _fits(_ratio(one, speed.unit, unit))]
    if speeds:
        meant = " or ".join(speeds) + (f", or the heat input {' or '.join(heats)}" if heats else "")
        meant += ": only so does it give the printed heat input"
        yield _slip("unit heading", f"{at}.travel_speed", speed, meant)
    elif heats:
        meant = f"{' or '.join(heats)}: only so do current, voltage and speed give it"
        yield _slip("unit heading", f"{at}.heat_input", heat, meant)


def _fits(ratio: float | None) -> bool:
    return ratio is not None and FACTOR[0] <= ratio <= FACTOR[1]


def _ratio(one: Pass, speed_unit: str, heat_unit: str) -> float | None:
    """Printed heat input over voltage times current by speed, with the speed in some unit.

    Both ends count alike (geometric mean), because printed limits may lie inside the corners.
    """
    parts = (one.current, one.voltage, one.travel_speed, one.heat_input)
    current, voltage, speed, heat = (_ends(part) for part in parts)
    if current is None or voltage is None or speed is None or heat is None:
        return None
    speeds, heats = [si(n, speed_unit) for n in speed], [si(n, heat_unit) for n in heat]
    product = 1.0
    for end in (0, 1):
        # The least heat input is at the greatest speed.
        slow, said = speeds[1 - end], heats[end]
        if slow is None or said is None:
            return None
        corner = voltage[end] * current[end] / (slow or math.inf)
        product *= said / corner if corner > 0 else 0.0
    return math.sqrt(product) if 0 < product < math.inf else None


def _ends(value: Range | None) -> tuple[float, float] | None:
    """Return both limits, one for both where the other is not stated."""
    if value is None:
        return None
    numbers = [number for number in value.numbers if number > 0]
    return (numbers[0], numbers[min(1, len(numbers) - 1)]) if numbers else None


def _unit(at: str, name: str, value: Range, processes: list[str]) -> Iterator[Slip]:
    """Notice a value that its unit makes impossible, and name the units that would do."""
    if not value.unit or not value.stated:
        return
    if _possible(name, value, value.unit, processes) is not False:
        return
    units = POSSIBLE[name][2]  # without the unit itself, which is impossible
    if told := [unit for unit in units if _possible(name, value, unit, processes)]:
        yield _slip("unit heading", at, value, " or ".join(told))
    else:
        yield _slip("implausible", at, value, "far from anything in arc welding")


def _possible(name: str, value: Range, unit: str, processes: list[str]) -> bool | None:
    """Whether a value is possible in some unit; None where nothing is known about the unit."""
    low, high, _ = POSSIBLE[name]
    if name == "travel_speed":
        fastest = [FASTEST[key] for p in processes for key in FASTEST if p.startswith(key)]
        if fastest and len(fastest) == len(processes):
            high = max(fastest)
    converted = [si(number, unit) for number in value.numbers]
    if None in converted:
        return None
    return all(low <= (number or 0.0) <= high for number in converted)


def _agreement(at: str, value: Range, first: Range | None, beside: str) -> Iterator[Slip]:
    """Compare two prints of one value in two units."""
    if first is None or value.unit == first.unit:
        return
    dimension = dimension_of(value.unit)
    if dimension != dimension_of(first.unit):
        return
    for ours, theirs in ((value.low, first.low), (value.high, first.high)):
        if ours is None or theirs is None:
            continue
        a, b = si(ours, value.unit), si(theirs, first.unit)
        if a is None or b is None:
            continue
        room = AGREE.get(dimension, 0.03)
        if abs(a - b) > (room if dimension == "temperature" else room * max(abs(a), abs(b))):
            said = f"does not agree with {theirs:g} {first.unit}{beside}"
            yield Slip("conversion", at, f"{ours:g} {value.unit}", said, value.place)


def _slip(kind: SlipKind, field: str, value: Range, suspected: str) -> Slip:
    """Show the print, with the unit of its heading where it has none itself."""
    shown = value.text or str(value)
    if value.text and not re.search(r"[a-z\"°]", value.text.casefold().replace(" to ", "")):
        shown = f"{value.text} {value.unit}".strip()
    return Slip(kind, field, shown, suspected, value.place)
