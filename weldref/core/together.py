"""Look for one printed line that holds several proposed values at once."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from weldref.core.bands import compare_value
from weldref.core.lookup import Match, judging
from weldref.core.units import Value
from weldref.core.verdict import Evidence, system_of
from weldref.data.store import Store


@dataclass(frozen=True, slots=True)
class Together:
    """Whether one printed line holds several of the proposed values at once.

    `quantities` are the most of the proposed ones that one line prints; `apart` are the others.
    `covered` counts the printed lines with all of `quantities`, and `lines` names those that hold
    the values. `recalled_covered` and `recalled` are the same for lines that were recalled from
    memory, wholly or in part: they pass nothing.
    """

    quantities: tuple[str, ...]
    apart: tuple[str, ...]
    covered: int
    lines: tuple[str, ...]
    recalled_covered: int = 0
    recalled: tuple[str, ...] = ()

    def __str__(self) -> str:
        return self.say({})

    def say(self, named: Mapping[str, str]) -> str:
        """Write the answer as a sentence; `named` may have longer names for the ids of lines."""
        names = " and ".join(q.replace("_", " ") for q in self.quantities or self.apart)
        held, recalled = (
            "; ".join(dict.fromkeys(named.get(line, line) for line in lines))
            for lines in (self.lines, self.recalled)
        )
        if held:
            text = f"{names} hold together on one printed line: {held}"
        elif self.covered:
            text = f"no printed line holds {names} together, of {self.covered} that print them"
        else:
            text = f"no printed line covers {names} together"
        if recalled:
            text += f"; a line recalled from memory, which passes nothing, holds them: {recalled}"
        elif self.recalled_covered and not held:
            text += "; what is recalled from memory does not hold them either"
        if self.quantities and self.apart:
            others = " and ".join(q.replace("_", " ") for q in self.apart)
            text += f"; {others} not on it" if held else f"; {others} on none of them"
        return text


def together(
    store: Store, values: Mapping[str, Value], matches: Mapping[str, list[Match]]
) -> Together:
    """Look for one printed line that holds all the values, never a mixture of lines.

    Parameters
    ----------
    store
        The open store.
    values
        The proposed values by quantity.
    matches
        The rows that apply, by quantity.
    """
    printed: _Lines = {}
    recalled: _Lines = {}
    for quantity, value in values.items():
        on_lines = [m for m in matches[quantity] if m.gives_verdict and m.row["line"]]
        system = system_of(value.unit)
        ranges = [m for kind in judging(on_lines) for m in Evidence(store, kind, system).deciding]
        # Single settings belong to a line too, though they decide nothing.
        singles = [m for m in on_lines if not m.is_range and not m.bounds]
        for match in (*ranges, *singles):
            lines = recalled if match.recalled else printed
            lines.setdefault(match.row["line"], {}).setdefault(quantity, []).append(match)
    for line in set(printed) & set(recalled):
        # A line that was recalled in part counts as recalled.
        for quantity, rows in printed.pop(line).items():
            recalled[line].setdefault(quantity, []).extend(rows)
    quantities = _side_by_side(values, printed) or _side_by_side(values, recalled)

    def with_values(lines: _Lines) -> tuple[int, tuple[str, ...]]:
        """Count the lines with all the quantities, and name those that hold the values."""
        covering = {line: rows for line, rows in lines.items() if rows.keys() >= set(quantities)}
        holding = tuple(
            line
            for line, rows in covering.items()
            if all(any(_holds(m.row, values[q]) for m in rows[q]) for q in quantities)
        )
        return (len(covering), holding) if quantities else (0, ())

    apart = tuple(q for q in values if q not in quantities)
    return Together(quantities, apart, *with_values(printed), *with_values(recalled))


_Lines = dict[str, dict[str, list[Match]]]


def _side_by_side(values: Mapping[str, Value], lines: _Lines) -> tuple[str, ...]:
    """Return the proposed quantities of the line that has the most of them, if two or more."""
    widest = max(lines.values(), key=len, default={})
    return tuple(q for q in values if q in widest) if len(widest) > 1 else ()


def _holds(row: dict[str, Any], value: Value) -> bool:
    if row["min"] is None and row["max"] is None:
        return math.isclose(row["typical_si"], value.si, rel_tol=1e-6)
    return compare_value(row["min_si"], row["max_si"], value.si)[0] == "inside"
