"""Find the rows nearest to a situation for which no row fits, never a value between them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any, Literal, NamedTuple

from weldref.core.index import Index, each, index_of
from weldref.core.lookup import Match, matches_of, traits_of
from weldref.core.situation import Situation, sizes_of
from weldref.data.store import Store
from weldref.grades import GRADES, accepted_grades


class Neighbour(NamedTuple):
    """A row that nearly applies: the conditions in which it differs and, for a rung, its side.

    A rung differs only in thickness or in electrode size; `away` is how far, in metres.
    """

    match: Match
    differs: tuple[str, ...]
    side: Literal["below", "above", ""] = ""
    away: float = 0.0


def neighbours(
    store: Store, situation: Situation, quantity: str, grade: str = "memory", most: int = 6
) -> list[Neighbour]:
    """Return the rows nearest to a situation for which no row fits.

    The nearest printed rungs of thickness or size on both sides come first, then rows that fit
    all but one or two conditions.
    """
    index, accepted = index_of(store, "windows", quantity), accepted_grades(grade)
    found = index.kept(
        ("near", accepted), situation, lambda: _neighbours(index, situation, quantity, accepted)
    )
    return found[:most]


def _neighbours(
    index: Index, situation: Situation, quantity: str, accepted: tuple[str, ...]
) -> list[Neighbour]:
    standings = index.standings(situation)
    numbers = each(index.nearly_applying(standings, most=2))
    by_metal = quantity in traits_of(index.store).by_metal
    near = [
        match
        for match in matches_of(index, numbers, standings, situation, accepted)
        if match.gives_verdict
        and not match.ignores
        and match.matched
        # A setting for another metal is not near.
        and not (by_metal and "material" in match.contradicted)
    ]
    rungs = _rungs(index.store, situation, near)
    near.sort(key=lambda m: (len(m.contradicted), -len(m.matched), GRADES.index(m.grade)))
    taken = {rung.match.row["window_id"] for rung in rungs}
    others = [Neighbour(m, m.contradicted) for m in near if m.row["window_id"] not in taken]
    different: dict[tuple[Any, ...], Neighbour] = {}
    for one in (*rungs, *others):
        row = one.match.row
        statement = tuple(row[name] for name in ("source_id", "min", "max", "typical", "unit"))
        different.setdefault((*statement, one.side), one)
    return list(different.values())


def _rungs(store: Store, situation: Situation, near: Sequence[Match]) -> list[Neighbour]:
    """Return the nearest printed rung on each side, where only thickness or size differs."""
    rungs: dict[tuple[str, str], list[Neighbour]] = defaultdict(list)
    for match in near:
        if match.contradicted not in (("thickness",), ("electrode_size",)):
            continue
        (condition,) = match.contradicted
        distance = _distance(store, situation, match.row, condition)
        if distance is not None:
            side: Literal["below", "above"] = "below" if distance < 0 else "above"
            rungs[condition, side].append(Neighbour(match, (condition,), side, abs(distance)))
    found = []
    for listed in rungs.values():
        nearest = min(rung.away for rung in listed)
        closest = [rung for rung in listed if rung.away <= nearest * 1.001 + 1e-6]
        found += sorted(closest, key=lambda rung: GRADES.index(rung.match.grade))[:2]
    return sorted(found, key=lambda rung: (rung.away, GRADES.index(rung.match.grade)))


def _distance(
    store: Store, situation: Situation, row: dict[str, Any], condition: str
) -> float | None:
    """Return how far a row's band or size is above what was stated; negative if below."""
    if condition == "thickness":
        low, high = row["thickness_min_si"], row["thickness_max_si"]
        thick = situation.thickness.si if situation.thickness else 0.0
        if low is not None and low >= thick:
            return float(low - thick)
        return float(high - thick) if high is not None and high <= thick else None
    sizes = sizes_of(store)
    stated, printed = sizes.get(situation.size or ""), sizes.get(row["electrode_size"])
    return None if stated is None or printed is None else printed - stated
