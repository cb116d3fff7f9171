"""Choose the printed lines for practice sheets: those that were read and give a verdict."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from weldref.core.units import parse_number
from weldref.data.store import Store
from weldref.handouts.tickets import vocabulary_gases

QUANTITIES = (
    "current", "voltage", "gas_flow", "plasma_gas_flow", "fuel_pressure", "oxygen_pressure",
    "electrode_extension",
)  # fmt: skip
"""What a ticket sets; preheat has tickets of its own."""

FLAME = ("OFW", "OFC")
"""Processes whose pressures hold for any metal."""

PROCESSES = ("SMAW", "GMAW", "GTAW", "FCAW-G", "FCAW-S", "PAW", "OFW", "OFC")

# Thicknesses of the trade, in the unit that a row prints.
NOMINAL = {
    "in": ("1/16", "3/32", "1/8", "3/16", "1/4", "5/16", "3/8", "1/2", "5/8", "3/4", "1"),
    "mm": ("1", "1.5", "2", "3", "4", "5", "6", "8", "10", "12", "16", "20", "25"),
}


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

    conditions: tuple[tuple[str, str], ...]
    gases: tuple[str, ...]
    thicknesses: tuple[str, ...]
    ranges: tuple[Range, ...]

    def range(self, quantity: str) -> Range | None:
        """Return the range of one quantity."""
        return next((r for r in self.ranges if r.quantity == quantity), None)


@lru_cache(maxsize=4)
def lines(store: Store) -> tuple[Line, ...]:
    """Collect the lines that may be drawn, in the order of the tables.

    >>> from weldref.data.store import open_store
    >>> any(dict(line.conditions).get("electrode") == "E7018" for line in lines(open_store()))
    True
    """
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
        if row["electrode_size"] is None and row["process"] == "SMAW":
            continue
        if row["material"] is None and row["process"] not in FLAME:
            continue
        key = (row["line"] or row["window_id"], _conditions(row), _band(row))
        together[key].append(row)
    found = []
    for (_, conditions, _), members in together.items():
        first = members[0]
        gases = tuple(vocabulary_gases(store, first["gas"])) if first["gas"] else ()
        thicknesses = _thicknesses(first)
        if (first["gas"] and not gases) or thicknesses is None:
            continue
        found.append(Line(conditions, gases, thicknesses, tuple(_range(row) for row in members)))
    return tuple(found)


def _conditions(row: dict[str, Any]) -> tuple[tuple[str, str], ...]:
    names = {
        "process": "process", "transfer_mode": "transfer_mode", "material": "material",
        "filler_class": "electrode", "electrode_size": "diameter", "joint": "joint",
        "position": "position", "polarity": "polarity",
    }  # fmt: skip
    return tuple((keyword, row[name]) for name, keyword in names.items() if row[name])


def _band(row: dict[str, Any]) -> tuple[Any, ...]:
    return tuple(row[f"thickness_{end}"] for end in ("min", "max", "unit"))


def _thicknesses(row: dict[str, Any]) -> tuple[str, ...] | None:
    """List thicknesses of the trade inside a row's band; none needed for a row without one."""
    low, high, unit = _band(row)
    if low is None and high is None:
        return ()
    if unit not in NOMINAL:
        return None
    if low == high:
        return (f"{low:g} {unit}",)
    inside = [
        f"{text} {unit}"
        for text in NOMINAL[unit]
        if (low is None or (parse_number(text) or 0.0) > low + 1e-9)
        and (high is None or (parse_number(text) or 0.0) < high - 1e-9)
    ]
    return tuple(inside) or None


def _range(row: dict[str, Any]) -> Range:
    return Range(
        row["quantity"], row["min"], row["max"], row["unit"], row["source_id"], row["locator"]
    )
