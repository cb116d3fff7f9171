"""Prepare rows to be shown: beside a proposed value, or as the nearest to what was asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from weldref.core.bands import compare_value
from weldref.core.lookup import Assumption, Fit, Match
from weldref.core.nearest import Neighbour
from weldref.core.situation import LABELS, Situation
from weldref.core.units import Units, Value, tidy
from weldref.data.store import Store


@dataclass(frozen=True, slots=True)
class Row:
    """A published row beside a proposed value.

    `source` names the document in full. `assumed` has the conditions that the row adds to the
    situation, `assumptions` those and the names under which it meets others. `fit` is how closely
    it fits; `silent_on` are the stated conditions that it does not mention, `ignores` those of
    them on which the quantity depends, `special` its conditions that no situation can state.
    `verdict` is empty for a single setting, which is shown but passes or fails nothing; `by` is
    how far outside the value is, in the row's unit. `own` marks a row of a shop's or school's own
    tables, `local` one that was read on this machine and is not published.
    """

    window_id: str
    quantity: str
    line: str | None
    source_id: str
    source: str
    locator: str | None
    how_read: str
    basis: str
    status: str | None
    min: float | None
    max: float | None
    typical: float | None
    unit: str
    conditions: dict[str, str]
    assumed: dict[str, str]
    assumptions: tuple[Assumption, ...]
    fit: Fit
    silent_on: tuple[str, ...]
    ignores: tuple[str, ...]
    special: tuple[str, ...]
    remark: str | None
    verdict: str
    by: float
    own: bool = False
    local: bool = False


@dataclass(frozen=True, slots=True)
class Near:
    """A row that nearly applies: the conditions in which it differs, on which side, how far away.

    `side`, `away` and `away_unit` are given only for the nearest printed thickness or size.
    """

    row: Row
    differs: dict[str, str]
    side: str = ""
    away: float = 0.0
    away_unit: str = ""


def show_rows(store: Store, matches: Iterable[Match]) -> tuple[Row, ...]:
    """Prepare rows to be shown without a proposed value."""
    units = Units(store)
    return distinct_rows(as_row(units, match, None) for match in matches)


def near_rows(store: Store, found: Iterable[Neighbour], situation: Situation) -> tuple[Near, ...]:
    """Prepare the nearest rows to be shown, with distances in the reader's unit."""
    units = Units(store)
    shown = []
    for one in found:
        match = one.match
        unit = "in" if situation.units == "us" else "mm"
        away = tidy(one.away / units.by_spelling[unit].factor) if one.side else 0.0
        differs = {name: match.state(name) for name in one.differs}
        row = replace(as_row(units, match, None), assumptions=())
        shown.append(Near(row, differs, one.side, away, unit if one.side else ""))
    return tuple(shown)


def as_row(units: Units, match: Match, value: Value | None) -> Row:
    """Put a row beside a value, with what it assumes."""
    row = match.row
    word, by = "", 0.0
    if value is not None and match.is_range and match.gives_verdict:
        word, by = compare_value(row["min_si"], row["max_si"], value.si)
    return Row(
        window_id=row["window_id"],
        quantity=row["quantity"],
        line=row["line"],
        source_id=row["source_id"],
        source=row["source"],
        locator=row["locator"],
        how_read=match.grade,
        basis=row["basis"],
        status=row["status"],
        min=row["min"],
        max=row["max"],
        typical=row["typical"],
        unit=row["unit"],
        conditions={
            name: stated
            for name in LABELS
            if row.get(name) or name == "thickness"
            if (stated := match.state(name))
        },
        assumed={name: match.state(name) for name in LABELS if name in match.assumed},
        assumptions=match.assumptions,
        fit=match.fit,
        silent_on=match.silent_on,
        ignores=match.ignores,
        special=match.special,
        remark=row["remark"],
        verdict=word,
        by=tidy(by / units.by_spelling[row["unit"]].factor),
        own=bool(row.get("own")),
        local=bool(row.get("local")),
    )


def distinct_rows(rows: Iterable[Row]) -> tuple[Row, ...]:
    """Keep one row of each statement: a printed cell that names several things gives several."""
    seen: set[tuple[Any, ...]] = set()
    kept = []
    for row in rows:
        shared = {n: v for n, v in row.conditions.items() if n not in _SPLIT_CELLS}
        key = (
            row.source_id,
            row.locator,
            row.quantity,
            row.min,
            row.max,
            row.typical,
            str(shared),
            row.basis,
        )
        if key not in seen:
            seen.add(key)
            kept.append(row)
    return tuple(kept)


_SPLIT_CELLS = ("process", "material", "filler_class", "gas", "position", "joint")
