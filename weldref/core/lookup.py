"""Find the published rows that apply to a situation, and how closely each fits.

A row applies if the situation contradicts none of its conditions. A condition that the situation
leaves open, or meets only in part, becomes a named assumption. Nothing is interpolated.
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
from weldref.core.situation import LABELS, Situation
from weldref.core.terms import TREE_OF, Vocabulary, broader_of
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.data.store import Store
from weldref.grades import GRADES, accepted_grades, weakest

Fit = Literal["exact", "near", "broad"]
FITS: tuple[Fit, ...] = ("broad", "near", "exact")
"""How closely a row fits, the weakest first."""

USUAL_TECHNIQUES = ("manual", "semiautomatic")
"""How a hand welder works: a row for these has no special condition."""

SPECIAL = (*UNSTATABLE, "scope")
"""Special conditions: a row with one that was not stated can only raise a question."""

APART = ("preheat", "interpass")
"""Quantities for which some metals (see `Traits.apart`) take nothing from a broader metal."""

MADE_FOR = ("filler_class", "gas", "transfer_mode", "polarity", "process")
"""Conditions of a row that may not go with what was stated: a wire for another metal, say."""


Kind = Literal["unsaid", "narrower", "twin", "member"]
_KINDS: dict[int, Kind] = {ASSUMED: "unsaid", NARROWER: "narrower", 1: "twin"}


@dataclass(frozen=True, slots=True)
class Assumption:
    """A condition of a row that the situation does not meet exactly as stated.

    `kind` is "unsaid" (the situation does not state it), "narrower" (the row is for a kind of what
    was said), "twin" (printed for the same nominal size in the other unit system) or "member" (the
    row is for a group of a code, with the grade of the membership).
    """

    condition: str
    kind: Kind
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
    """One row with how each of its conditions compares with the situation.

    `silent_on` are the stated conditions that the row does not mention, `ignores` those of them
    on which its quantity is known to depend, `drivers_unsaid` the conditions that matter and that
    the row adds to the situation. `grade` is the row's evidence grade, or that of the group
    membership on which it rests if that is weaker.
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
        """The conditions of the row that the situation meets."""
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
        """Whether the row says what one may set, and is not in doubt."""
        return self.row["basis"] in VERDICT_BASES and self.row["status"] is None

    @property
    def fit(self) -> Fit:
        """How closely the row fits; broad if it ignores what its quantity depends on."""
        if self.ignores:
            return "broad"
        exact = not self.silent_on and not any(self.codes.values())
        return "exact" if exact else "near"

    @property
    def special(self) -> tuple[str, ...]:
        """The unmet special conditions because of which the row never decides alone."""
        return tuple(
            name
            for name in SPECIAL
            if self.codes.get(name, 0) < 0
            and not (name == "technique" and self.row[name] in USUAL_TECHNIQUES)
        )

    @property
    def is_range(self) -> bool:
        """Whether the row is a range, open or closed, and not a single setting."""
        return self.row["min"] is not None or self.row["max"] is not None

    @property
    def is_limit(self) -> bool:
        """Whether the row is a limit, which always holds."""
        return bool(self.row["basis"] == "limit")

    @property
    def recalled(self) -> bool:
        """Whether the row, or what it rests on, was recalled from memory."""
        return self.grade == "memory"

    @property
    def bounds(self) -> bool:
        """Whether the row can only fail a value: it is broad, or one end of a machine setting."""
        one_sided = (self.row["min"] is None) != (self.row["max"] is None)
        return bool(self.ignores) or (self.set_on_machine and one_sided)

    def state(self, name: str) -> str:
        """Return the row's value for a condition, as printed."""
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
        Whether to return own rows, which are in a table of their own, instead of published ones.

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
        matches = matches_of(index, numbers, standings, situation, accepted)
        return [match for match in matches if not cannot_go(store, situation, match.made_for)]

    return list(index.kept(("applying", accepted), situation, applying))


def find_with_own(
    store: Store, situation: Situation, quantity: str | None = None, grade: str = "memory"
) -> list[Match]:
    """Return the rows that apply as `find` does, then own rows that are used beside them."""
    found = find(store, situation, quantity, grade)
    return found + find(store, situation, quantity, grade, own=True) if store.beside else found


def cannot_go(store: Store, situation: Situation, added: tuple[tuple[str, str], ...]) -> bool:
    """Tell whether what a row adds (`Match.made_for`) cannot go with what was stated.

    A row for CO2 does not apply to aluminium.
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
    """Return the kept answers of `cannot_go` for a store."""
    return {}


def with_conditions(store: Store, situation: Situation, added: Mapping[str, str]) -> Situation:
    """Return a situation with conditions of a row added, as if they had been said.

    Parameters
    ----------
    store, situation
        The open store and what was said.
    added
        Stored values by the names of the windows' columns; thickness is ignored.
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


def compare(store: Store, situation: Situation, quantity: str | None, grade: str) -> list[Match]:
    """Return every row of a quantity, applying or not, compared with the situation.

    Raises
    ------
    InputError
        If the grade is not one of `GRADES`.
    """
    accepted, index = accepted_grades(grade), index_of(store, "windows", quantity)
    standings = index.standings(situation)
    return matches_of(index, range(len(index.rows)), standings, situation, accepted)


def judging(matches: Iterable[Match]) -> tuple[list[Match], list[Match]]:
    """Return the ranges that give verdicts: the printed ones, and the recalled ones."""
    ranges = [m for m in matches if m.gives_verdict and m.is_range]
    return [m for m in ranges if not m.recalled], [m for m in ranges if m.recalled]


def matches_of(
    index: Index,
    numbers: Iterable[int],
    standings: dict[str, Standing],
    situation: Situation,
    accepted: Sequence[str],
) -> list[Match]:
    """Compare some rows of an index with a situation, those of accepted grades, in order."""
    matches = (match_of(index, number, standings, situation) for number in numbers)
    return in_order(match for match in matches if match.grade in accepted)


def in_order(matches: Iterable[Match]) -> list[Match]:
    """Sort matches: the most specific first, then the best grade."""
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
    """Compare one row of an index with a situation."""
    row, codes = index.rows[number], index.codes(number, standings)
    given = situation.given()
    assumptions = []
    for name, code in codes.items():
        twin = code == 1 and name in ("thickness", "electrode_size")
        if twin or code in (ASSUMED, NARROWER):
            value = thickness_text(row) if name == "thickness" else str(row[name])
            said = "" if code == ASSUMED else given[name]
            assumptions.append(Assumption(name, _KINDS[code], value, said))
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
    """The traits of quantities and metals on which the fit of a row rests.

    `drivers` has, by process and quantity, the conditions on which it depends, each as a tuple of
    which any one will do. `apart` are the metals with a preheat of their own, `by_metal` the
    quantities that depend on the metal in some process.
    """

    drivers: dict[tuple[str, str], tuple[tuple[str, ...], ...]]
    set_on_machine: frozenset[str]
    apart: frozenset[str]
    by_metal: frozenset[str]


@lru_cache(maxsize=8)
def traits_of(store: Store) -> Traits:
    """Read the traits of quantities and metals from the tables."""
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
    """Return the conditions on which a quantity depends in a process.

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

    A row ignores what was stated and it does not mention. One that mentions none of them ignores
    all, for its range covers every case.
    """
    quantity = row["quantity"]
    process = situation.terms["process"].name if "process" in situation.terms else row["process"]
    drivers = drivers_of(traits, process, quantity) or drivers_of(traits, row["process"], quantity)
    position = situation.terms.get("position")
    if position and row["position"] in position.passes_through:
        return ("position",), ()  # a row for a part of the weld never passes the whole
    mentioned = [conditions for conditions in drivers if not codes.keys().isdisjoint(conditions)]
    if drivers and not mentioned:
        return tuple(conditions[0] for conditions in drivers), ()
    stated = situation.stated
    ignored = [
        conditions[0]
        for conditions in drivers
        if conditions not in mentioned and any(name in stated for name in conditions)
    ]
    if quantity in APART and "material" in codes and _inherits(traits, row, codes, situation):
        ignored.append("material")
    unsaid = [
        name
        for conditions in mentioned
        if all(codes.get(name, ASSUMED) < 0 for name in conditions)
        for name in conditions
        if name in codes
    ]
    return tuple(ignored), tuple(unsaid)


def _inherits(
    traits: Traits, row: dict[str, Any], codes: dict[str, int], situation: Situation
) -> bool:
    """Tell whether a row for a broader metal is used for one with a preheat of its own."""
    material = situation.terms.get("material")
    if material is None or codes["material"] <= 0 or row["material"] in material.membership:
        return False
    own = material.broader.keys() & traits.apart
    return bool(own) and row["material"] not in own


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
