"""Choose what practice sheets are drawn from: printed lines that were read and give a verdict."""

from __future__ import annotations

import math
import random
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from itertools import product
from pathlib import Path
from typing import Any, TypeVar

from weldref.core.situation import plate_thickness
from weldref.core.terms import Vocabulary
from weldref.core.units import Units
from weldref.data.store import Store
from weldref.files import csv_rows
from weldref.handouts.tickets import vocabulary_gases

T = TypeVar("T")

QUANTITIES = (
    "current", "voltage", "gas_flow", "plasma_gas_flow", "fuel_pressure", "oxygen_pressure",
    "electrode_extension",
)  # fmt: skip
"""What a ticket sets; preheat has tickets of its own."""

FLAME = ("OFW", "OFC")
"""Processes whose pressures hold for any metal."""

PROCESSES = ("SMAW", "GMAW", "GTAW", "FCAW-G", "FCAW-S", "PAW", "OFW", "OFC")

CLASS_THICKNESSES = (
    "1/16 in", "3/32 in", "1/8 in", "3/16 in", "1/4 in", "5/16 in", "3/8 in", "1/2 in",
    "1.5 mm", "2 mm", "3 mm", "4 mm", "5 mm", "6 mm", "8 mm", "10 mm", "12 mm",
)  # fmt: skip
"""What a class welds if nothing else is stated."""


JOBS = Path(__file__).with_name("sound_set_ups.csv")
"""Our own list of sound jobs."""


class Draw:
    """Draws at random, the same on every version of Python."""

    def __init__(self, seed: str) -> None:
        self.chance = random.Random(seed)  # noqa: S311  practice, no secret

    def one(self, choices: Sequence[T]) -> T:
        """Pick one; of none there is an IndexError."""
        return choices[int(self.chance.random() * len(choices))]

    def between(self, low: float, high: float) -> float:
        """Pick a number between two."""
        return low + (high - low) * self.chance.random()

    def mixed(self, choices: Sequence[T]) -> list[T]:
        """Return all in random order."""
        keys = [self.chance.random() for _ in choices]
        return [choices[i] for i in sorted(range(len(choices)), key=keys.__getitem__)]


@dataclass(frozen=True, slots=True)
class Range:
    """One printed range: a quantity with its ends as printed (None for an open end)."""

    quantity: str
    low: float | None
    high: float | None
    unit: str
    source_id: str
    locator: str | None


@dataclass(frozen=True, slots=True)
class Line:
    """One printed line, or one row without a line: its conditions and its ranges."""

    conditions: Mapping[str, str]
    gases: tuple[str, ...]
    thicknesses: tuple[str, ...]
    ranges: tuple[Range, ...]

    def range(self, quantity: str) -> Range | None:
        """Return the range of one quantity."""
        return next((r for r in self.ranges if r.quantity == quantity), None)


class Pool:
    """What a class welds, in any common spelling, and the printed lines for it.

    Without a process or a metal the class welds any; without a thickness, the usual ones.
    """

    def __init__(
        self,
        store: Store,
        processes: Sequence[str] = (),
        metals: Sequence[str] = (),
        thicknesses: Sequence[str] = (),
    ) -> None:
        vocabulary = Vocabulary(store)
        self.store = store
        self.processes = tuple(vocabulary.term("process", one) for one in processes)
        self.metals = tuple(vocabulary.term("material", one) for one in metals)
        self.thicknesses = tuple(plate_thickness(store, one, "us")[0].text for one in thicknesses)
        among = _lines(store, self.thicknesses or CLASS_THICKNESSES)
        self.lines = tuple(line for every in among for line in self._narrowed(every))

    @property
    def narrowed(self) -> str:
        """What was asked for, in a line."""
        terms = (term.name for term in (*self.processes, *self.metals))
        return ", ".join((*terms, *self.thicknesses))

    def has_process(self, name: str) -> bool:
        """Tell whether the class uses a process."""
        term = Vocabulary(self.store).term("process", name)
        return not self.processes or any(
            one.name in term.broader or name in one.broader for one in self.processes
        )

    def has_metal(self, name: str) -> bool:
        """Tell whether the class welds a metal, or one of its kind."""
        term = Vocabulary(self.store).term("material", name)
        return not self.metals or any(one.name in term.broader for one in self.metals)

    def among(self, thicknesses: Sequence[str]) -> tuple[str, ...]:
        """Keep the thicknesses that the class welds; all if it named none."""
        return tuple(t for t in thicknesses if not self.thicknesses or t in self.thicknesses)

    @cached_property
    def jobs(self) -> tuple[dict[str, str], ...]:
        """The sound jobs of the class."""
        return tuple(
            one
            for one in jobs()
            if self.has_process(one["process"])
            and self.has_metal(one["material"])
            and self.among((one["thickness"],))
        )

    def _narrowed(self, line: Line) -> Iterator[Line]:
        """Yield a line that the class welds; for a broader metal, once for each of its metals."""
        if not self.has_process(line.conditions["process"]):
            return
        metal = line.conditions.get("material")
        if metal is None or self.has_metal(metal):
            yield line
            return
        for one in self.metals:
            if metal in one.broader:
                yield replace(line, conditions={**line.conditions, "material": one.name})


@cache
def jobs() -> tuple[dict[str, str], ...]:
    """Read the sound jobs: the keywords of `weldref.check`, readings and numbers by name.

    A cell may hold several values; every combination is a job.
    """
    rows = [{name: cell.split("; ") for name, cell in row.items()} for row in csv_rows(JOBS)]
    combined = (
        dict(zip(row, each, strict=True)) for row in rows for each in product(*row.values())
    )
    return tuple({name: value for name, value in one.items() if value} for one in combined)


@lru_cache(maxsize=16)
def _lines(store: Store, thicknesses: tuple[str, ...]) -> tuple[Line, ...]:
    """Collect the lines that may be drawn, in the order of the tables."""
    units = Units(store)
    metres = {text: units.parse(text, "length", "in", "thickness").si for text in thicknesses}
    rows = store.rows(
        """
        SELECT * FROM windows
        WHERE how_read = 'read' AND status IS NULL
        AND basis IN ('limit', 'recommended', 'acceptable-window', 'general-practice')
        AND (min IS NOT NULL OR max IS NOT NULL)
        AND list_contains($processes, process) AND list_contains($quantities, quantity)
        AND environment IS NULL AND other_condition IS NULL AND tungsten_class IS NULL
        AND technique IS NULL AND "pass" IS NULL AND joint_detail IS NULL AND scope IS NULL
        AND (gas_role IS NULL OR gas_role IN ('shielding', 'fuel'))
        ORDER BY window_id
        """,
        {"processes": list(PROCESSES), "quantities": list(QUANTITIES)},
    )
    together: dict[Any, list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        sized = row["electrode_size"] or row["process"] != "SMAW"
        of_metal = row["material"] or row["process"] in FLAME
        if not (sized and of_metal):
            continue
        band = tuple(row[f"thickness_{end}"] for end in ("min", "max", "unit"))
        key = (row["line"] or row["window_id"], _conditions(row), band)
        together[key].append(row)
    found = []
    for (_, conditions, _), members in together.items():
        first = members[0]
        gases = tuple(vocabulary_gases(store, first["gas"])) if first["gas"] else ()
        fitting = _thicknesses(first, metres)
        if (first["gas"] and not gases) or fitting is None:
            continue
        ends = ("quantity", "min", "max", "unit", "source_id", "locator")
        ranges = tuple(Range(*(row[name] for name in ends)) for row in members)
        found.append(Line(dict(conditions), gases, fitting, ranges))
    return tuple(found)


def _conditions(row: dict[str, Any]) -> tuple[tuple[str, str], ...]:
    keywords = {"filler_class": "electrode", "electrode_size": "diameter"}
    names = ("process", "transfer_mode", "material", *keywords, "joint", "position", "polarity")
    return tuple((keywords.get(name, name), row[name]) for name in names if row[name])


def _thicknesses(row: dict[str, Any], metres: Mapping[str, float]) -> tuple[str, ...] | None:
    """List the thicknesses well inside a row's band: () without a band, None if none is."""
    low, high = row["thickness_min_si"], row["thickness_max_si"]
    if low is None and high is None:
        return ()
    room = (low or 0.0) * (1 + 1e-6), math.inf if high is None else high * (1 - 1e-6)
    inside = tuple(
        text
        for text, value in metres.items()
        if (text.endswith(row["thickness_unit"]) and room[0] < value < room[1])
        or (low == high and math.isclose(value, low))
    )
    return inside or None
