"""Prepare rows to be shown: beside a proposed value, or as the nearest to what was asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

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
        **{name: row[name] for name in _AS_STORED},
        how_read=match.grade,
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
        verdict=word,
        by=tidy(by / units.by_spelling[row["unit"]].factor),
        own=bool(row.get("own")),
        local=bool(row.get("local")),
    )


_AS_STORED = ("window_id", "quantity", "line", "source_id", "source", "locator", "basis",
              "status", "min", "max", "typical", "unit", "remark")  # fmt: skip


def distinct_rows(rows: Iterable[Row]) -> tuple[Row, ...]:
    """Keep one row of each statement: a printed cell that names several things gives several."""
    kept: dict[tuple[object, ...], Row] = {}
    for row in rows:
        place = (row.source_id, row.locator, row.quantity, row.basis)
        shared = [one for one in row.conditions.items() if one[0] not in _SPLIT_CELLS]
        kept.setdefault((*place, row.min, row.max, row.typical, *shared), row)
    return tuple(kept.values())


_SPLIT_CELLS = ("process", "material", "filler_class", "gas", "position", "joint")
