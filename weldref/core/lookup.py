"""Find the published rows that apply to a situation, and say how closely each fits.

A row applies if none of the conditions that it states contradicts the situation. A condition that
it states and the situation leaves open, or meets only in part, becomes a named assumption. Nothing
is interpolated.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any, Literal, NamedTuple

from weldref.core.bands import Span
from weldref.core.gas import gases_of
from weldref.core.index import (
    ASSUMED,
    CONTRADICTS,
    NARROWER,
    UNSTATABLE,
    Index,
    Standing,
    each,
    index_of,
    sold_as,
)
from weldref.core.setup import impossible
from weldref.core.situation import LABELS, Situation, sizes_of
from weldref.core.terms import TREE_OF, Vocabulary, broader_of
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.data.store import Store
from weldref.grades import GRADES, accepted_grades, weakest

Fit = Literal["exact", "near", "broad"]

USUAL_TECHNIQUES = ("manual", "semiautomatic")
"""How a hand welder works: a row for it asks for nothing special."""

SPECIAL = (*UNSTATABLE, "scope")
"""Conditions of which a row asks for something unusual: unmet, it only makes a question."""

APART = ("preheat", "interpass")
"""Quantities of which a metal that stands apart inherits nothing from a broader metal."""


@dataclass(frozen=True, slots=True)
class Assumption:
    """A condition under which a row holds and which the situation does not meet as stated.

    `kind` is "unsaid" (the situation is silent), "narrower" (the row holds for a kind of what was
    said), "twin" (printed for the same nominal size in the other unit system) or "member" (a
    code's group, with the grade of the membership).
    """

    condition: str
    kind: Literal["unsaid", "narrower", "twin", "member"]
    value: str
    said: str = ""
    grade: str = ""

    def __str__(self) -> str:
        label = LABELS[self.condition]
        if self.kind == "unsaid":
            return f"holds for {label} {self.value}; you did not say"
        if self.kind == "narrower":
            return f"holds for {label} {self.value}; you said {self.said}"
        if self.kind == "member":
            return f"takes {self.said} as {self.value} ({self.grade})"
        if self.condition == "thickness":
            return f"printed for {self.value} thickness; you said {self.said}"
        return f"printed for {self.value}, sold as the same size as {self.said}"


@dataclass(frozen=True)
class Match:
    """One row of the windows with how each of its conditions stands to the situation.

    `silent_on` lists the stated conditions that the row says nothing of; `ignores` those of them
    on which its quantity is known to depend, `drivers_unsaid` the conditions that matter and that
    the row adds to the situation. `grade` is the row's evidence grade, or that of the
    group membership it rests on if weaker.
    """

    row: dict[str, Any]
    codes: dict[str, int]
    assumptions: tuple[Assumption, ...]
    grade: str
    silent_on: tuple[str, ...] = ()
    ignores: tuple[str, ...] = ()
    drivers_unsaid: tuple[str, ...] = ()
    set_on_machine: bool = False

    @property
    def contradicted(self) -> tuple[str, ...]:
        """The conditions that do not fit."""
        return tuple(name for name, code in self.codes.items() if code == CONTRADICTS)

    @cached_property
    def matched(self) -> frozenset[str]:
        """The conditions that the row states and the situation meets."""
        return frozenset(name for name, code in self.codes.items() if code >= 0)

    @cached_property
    def assumed(self) -> frozenset[str]:
        """The conditions that the row adds to the situation."""
        return frozenset(n for n, code in self.codes.items() if code in (ASSUMED, NARROWER))

    @cached_property
    def span(self) -> Span:
        """The row's range, in SI."""
        return Span.of(self.row["min_si"], self.row["max_si"])

    @property
    def made_for(self) -> tuple[tuple[str, str], ...]:
        """What the row adds to the situation that may not go with it, by condition."""
        return tuple((name, self.row[name]) for name in MADE_FOR if name in self.assumed)

    @property
    def gives_verdict(self) -> bool:
        """Whether the row says what one may set, and says it without doubt."""
        return self.row["basis"] in VERDICT_BASES and self.row["status"] is None

    @property
    def fit(self) -> Fit:
        """How closely the row fits: broad where it ignores what its quantity depends on."""
        if self.ignores:
            return "broad"
        exact = not self.silent_on and not any(self.codes.values())
        return "exact" if exact else "near"

    @property
    def special(self) -> tuple[str, ...]:
        """The unmet conditions under which the row never decides alone: a technique, a code."""
        return tuple(
            name
            for name in SPECIAL
            if self.codes.get(name, 0) < 0
            and not (name == "technique" and self.row[name] in USUAL_TECHNIQUES)
        )

    @property
    def is_range(self) -> bool:
        """Whether the row is a range, open or closed, and no single setting."""
        return self.row["min"] is not None or self.row["max"] is not None

    @property
    def bounds(self) -> bool:
        """Whether the row can only fail a value: it is broad, or one side of a machine setting."""
        one_sided = (self.row["min"] is None) != (self.row["max"] is None)
        return bool(self.ignores) or (self.set_on_machine and one_sided)

    def state(self, name: str) -> str:
        """Return what the row states for a condition, as printed."""
        return thickness_text(self.row) if name == "thickness" else str(self.row[name])


def find(
    store: Store,
    situation: Situation,
    quantity: str | None = None,
    grade: str = "memory",
    *,
    own: bool = False,
) -> list[Match]:
    """Return the rows that apply, most specific first, then best grade.

    Parameters
    ----------
    store, situation
        The open store and the resolved question.
    quantity
        Stored name of a quantity; all quantities when left out.
    grade
        The lowest evidence grade to accept.
    own
        Whether to return own rows, which stand in a table apart, and not those on which
        verdicts rest.

    Raises
    ------
    InputError
        If the grade is not one of `GRADES`.
    """
    accepted = accepted_grades(grade)
    index = index_of(store, "own_windows" if own else "windows", quantity)

    def applying() -> list[Match]:
        standings = index.standings(situation)
        numbers = each(index.applying(situation, standings))
        matches = _matches(index, numbers, standings, situation, accepted)
        return [match for match in matches if not cannot_go(store, situation, match.made_for)]

    return list(index.kept(("applying", accepted), situation, applying))


MADE_FOR = ("filler_class", "gas", "transfer_mode", "polarity", "process")
"""Conditions of a row that may not go with what was stated: a wire for another metal, say."""


def cannot_go(store: Store, situation: Situation, added: tuple[tuple[str, str], ...]) -> bool:
    """Tell whether what a row adds cannot go with what was stated: CO2 for aluminium.

    `added` is what it adds of the conditions that a row is made for (`Match.made_for`).
    """
    if not added:
        return False
    stated = tuple((name, situation.key(name)) for name in situation.stated if name != "thickness")
    known = _combinations(store)
    key = (stated, added)
    if key not in known:
        if len(known) > MOST_COMBINATIONS:
            known.clear()
        base = replace(situation, thickness=None)
        together = impossible(store, with_conditions(store, base, dict(added)))
        known[key] = bool(together - impossible(store, base))
    return known[key]


MOST_COMBINATIONS = 100_000


@lru_cache(maxsize=8)
def _combinations(_store: Store) -> dict[Any, bool]:
    """Return the memory of what cannot go together, one for each store."""
    return {}


def with_conditions(store: Store, situation: Situation, added: Mapping[str, str]) -> Situation:
    """Return a situation with conditions of a row added, as if they had been said.

    Parameters
    ----------
    store, situation
        The open store and what was said.
    added
        Stored values by the names of the windows' columns; those of thickness are left aside.
    """
    vocabulary = Vocabulary(store)
    terms = situation.terms | {
        name: vocabulary.stored(TREE_OF[name][0], value)
        for name, value in added.items()
        if name in TREE_OF
    }
    changed = replace(situation, terms=terms)
    if "electrode_size" in added and situation.size is None:
        same = dict.fromkeys(sold_as(store).get(added["electrode_size"], ()), 1)
        size = added["electrode_size"]
        changed = replace(changed, size=size, sizes={size: 0, **same})
    if "gas" in added:
        compositions = gases_of(store).compositions
        changed = replace(changed, gas=added["gas"], composition=compositions[added["gas"]])
    return changed


def compare(
    store: Store, situation: Situation, quantity: str | None, grade: str, *, own: bool = False
) -> list[Match]:
    """Return every row of a quantity with how its conditions stand to the situation.

    Raises
    ------
    InputError
        If the grade is not one of `GRADES`.
    """
    accepted = accepted_grades(grade)
    index = index_of(store, "own_windows" if own else "windows", quantity)
    standings = index.standings(situation)
    return _matches(index, range(len(index.rows)), standings, situation, accepted)


def _matches(
    index: Index,
    numbers: Iterable[int],
    standings: dict[str, Standing],
    situation: Situation,
    accepted: Sequence[str],
) -> list[Match]:
    matches = (match_of(index, number, standings, situation) for number in numbers)
    return in_order(match for match in matches if match.grade in accepted)


def in_order(matches: Iterable[Match]) -> list[Match]:
    """List matches the most specific first, then the best grade."""
    return sorted(
        matches,
        key=lambda m: (
            -len(m.matched),
            len(m.assumptions),
            GRADES.index(m.grade),
            m.row["window_id"],
        ),
    )


def match_of(
    index: Index, number: int, standings: dict[str, Standing], situation: Situation
) -> Match:
    """Put one row of an index beside a situation."""
    row, codes = index.rows[number], index.codes(number, standings)
    given = situation.given()
    assumptions = []
    for name, code in codes.items():
        if code < 0 or (code == 1 and name in ("thickness", "electrode_size")):
            value = thickness_text(row) if name == "thickness" else str(row[name])
            if code == ASSUMED:
                assumptions.append(Assumption(name, "unsaid", value))
            elif code == NARROWER:
                assumptions.append(Assumption(name, "narrower", value, given[name]))
            elif code == 1:
                assumptions.append(Assumption(name, "twin", value, given[name]))
    grade = row["how_read"]
    material = situation.terms.get("material")
    if material is not None and row["material"] in material.membership:
        membership = material.membership[row["material"]]
        grade = weakest((grade, membership))
        assumptions.append(
            Assumption("material", "member", row["material"], material.name, membership)
        )
    traits = traits_of(index.store)
    ignores, unsaid = _drivers(traits, row, codes, situation)
    return Match(
        row,
        codes,
        tuple(assumptions),
        grade,
        tuple(name for name in situation.stated if name not in codes),
        ignores,
        unsaid,
        row["quantity"] in traits.set_on_machine,
    )


class Traits(NamedTuple):
    """What the vocabulary says of quantities and metals that the fit of a row rests on.

    `drivers` holds, by process and quantity, the conditions that it depends on; each is a tuple
    of which any one will do. `apart` are the metals whose preheat is their own, `by_metal` the
    quantities that depend on the metal in some process.
    """

    drivers: dict[tuple[str, str], tuple[tuple[str, ...], ...]]
    set_on_machine: frozenset[str]
    apart: frozenset[str]
    by_metal: frozenset[str]


@lru_cache(maxsize=8)
def traits_of(store: Store) -> Traits:
    """Read the drivers of each quantity, the quantities set on a machine, the metals apart."""
    drivers: dict[tuple[str, str], list[tuple[str, ...]]] = defaultdict(list)
    processes = broader_of(store, "processes").items()
    for row in store.rows("SELECT process, quantity, condition FROM drivers"):
        every = [name for name, broader in processes if row["process"] in broader]
        for process in every or [""]:
            drivers[process, row["quantity"]].append(tuple(row["condition"].split("; ")))
    machine = store.rows("SELECT quantity FROM quantities WHERE set_on_machine")
    apart = store.rows("SELECT term FROM materials WHERE stands_apart = 'true'")
    return Traits(
        {key: tuple(conditions) for key, conditions in drivers.items()},
        frozenset(row["quantity"] for row in machine),
        frozenset(row["term"] for row in apart),
        frozenset(q for (_, q), every in drivers.items() if any("material" in c for c in every)),
    )


def drivers_of(traits: Traits, process: str | None, quantity: str) -> tuple[tuple[str, ...], ...]:
    """Return the conditions that a quantity depends on in a process.

    >>> from weldref.data.store import open_store
    >>> drivers_of(traits_of(open_store()), "SMAW", "current")
    (('electrode_size',), ('filler_class',))
    """
    named = (process, "") if process else ("",)
    return tuple(one for name in named for one in traits.drivers.get((name, quantity), ()))


def _drivers(
    traits: Traits, row: dict[str, Any], codes: dict[str, int], situation: Situation
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """List the conditions that matter for the row's quantity: those it ignores, those it adds.

    It ignores the stated ones that it is silent on; all of them where it states none, for such a
    range is a union over everything.
    """
    quantity = row["quantity"]
    process = situation.terms["process"].name if "process" in situation.terms else row["process"]
    drivers = drivers_of(traits, process, quantity) or drivers_of(traits, row["process"], quantity)
    position = situation.terms.get("position")
    if position and row["position"] in position.passes_through:
        return ("position",), ()  # what holds for a part of the weld never passes the whole
    spoken = [conditions for conditions in drivers if not codes.keys().isdisjoint(conditions)]
    if drivers and not spoken:
        return tuple(conditions[0] for conditions in drivers), ()
    stated = situation.stated
    ignored = [
        conditions[0]
        for conditions in drivers
        if conditions not in spoken and any(name in stated for name in conditions)
    ]
    if quantity in APART and "material" in codes and _inherits(traits, row, codes, situation):
        ignored.append("material")
    unsaid = [
        name
        for conditions in spoken
        if all(codes.get(name, ASSUMED) < 0 for name in conditions)
        for name in conditions
        if name in codes
    ]
    return tuple(ignored), tuple(unsaid)


def _inherits(
    traits: Traits, row: dict[str, Any], codes: dict[str, int], situation: Situation
) -> bool:
    """Tell whether a row for a broader metal is asked of one that stands apart."""
    material = situation.terms.get("material")
    if material is None or codes["material"] <= 0 or row["material"] in material.membership:
        return False
    own = [term for term in material.broader if term in traits.apart]
    return bool(own) and row["material"] not in own


def neighbours(
    store: Store, situation: Situation, quantity: str, grade: str = "memory", most: int = 6
) -> list[Neighbour]:
    """Return the rows nearest to a situation for which nothing fits, never a value between them.

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
        for match in _matches(index, numbers, standings, situation, accepted)
        if match.gives_verdict
        and not match.ignores
        and match.matched
        # What is set for another metal is near to nothing.
        and not (by_metal and "material" in match.contradicted)
    ]
    found = [*_rungs(situation, near, index.store)]
    taken = {rung.match.row["window_id"] for rung in found}
    near.sort(key=lambda m: (len(m.contradicted), -len(m.matched), GRADES.index(m.grade)))
    found += [Neighbour(m, m.contradicted) for m in near if m.row["window_id"] not in taken]
    seen: set[tuple[Any, ...]] = set()
    different = []
    for neighbour in found:
        row = neighbour.match.row
        statement = (
            *(row[c] for c in ("source_id", "min", "max", "typical", "unit")),
            neighbour.side,
        )
        if statement not in seen:
            seen.add(statement)
            different.append(neighbour)
    return different


class Neighbour(NamedTuple):
    """A row that nearly applies: the conditions it differs in and, for a rung, its side.

    `away` is the distance of a rung in metres, of thickness or of electrode size.
    """

    match: Match
    differs: tuple[str, ...]
    side: Literal["below", "above", ""] = ""
    away: float = 0.0


def _rungs(situation: Situation, near: Sequence[Match], store: Store) -> list[Neighbour]:
    """Return the nearest printed rung on each side, where only thickness or size differs."""
    rungs: dict[tuple[str, str], list[Neighbour]] = {}
    for match in near:
        if match.contradicted not in (("thickness",), ("electrode_size",)):
            continue
        (condition,) = match.contradicted
        distance = _distance(situation, match.row, condition, store)
        if distance is None:
            continue
        side: Literal["below", "above"] = "below" if distance < 0 else "above"
        rungs.setdefault((condition, side), []).append(
            Neighbour(match, (condition,), side, abs(distance))
        )
    found = []
    for listed in rungs.values():
        nearest = min(rung.away for rung in listed)
        closest = [rung for rung in listed if rung.away <= nearest * 1.001 + 1e-6]
        found += sorted(closest, key=lambda rung: GRADES.index(rung.match.grade))[:2]
    found.sort(key=lambda rung: (rung.away, GRADES.index(rung.match.grade)))
    return found


def _distance(
    situation: Situation, row: dict[str, Any], condition: str, store: Store
) -> float | None:
    """Return how far a row's band or size lies above what was stated (below if negative)."""
    if condition == "thickness":
        low, high = row["thickness_min_si"], row["thickness_max_si"]
        thick = situation.thickness.si if situation.thickness else 0.0
        if low is not None and low >= thick:
            return float(low - thick)
        return float(high - thick) if high is not None and high <= thick else None
    sizes = sizes_of(store)
    stated, printed = sizes.get(situation.size or ""), sizes.get(row["electrode_size"])
    return None if stated is None or printed is None else printed - stated


def thickness_text(row: dict[str, Any]) -> str:
    """Write a row's thickness band as printed.

    >>> thickness_text({"thickness_min": 0.75, "thickness_min_inclusive": False,
    ...     "thickness_max": 1.5, "thickness_max_inclusive": True, "thickness_unit": "in"})
    'over 0.75 to 1.5 in'
    """
    low, high, unit = row["thickness_min"], row["thickness_max"], row["thickness_unit"]
    if low is None and high is None:
        return ""
    if low == 0 and high is None:
        return "any"
    if low == high:
        return f"{low:g} {unit}"
    above = "" if row["thickness_min_inclusive"] else "over "
    if high is None:
        return f"{low:g} {unit} and up" if not above else f"over {low:g} {unit}"
    below = "up to" if row["thickness_max_inclusive"] else "below"
    if low is None:
        return f"{below} {high:g} {unit}"
    return f"{above}{low:g} {'to' if below == 'up to' else 'to below'} {high:g} {unit}"
