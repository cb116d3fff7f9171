"""Apply the set-up rules: what cannot go together, what is unusual, what is worth knowing.

The rules are in ``datasets/reference/setup_rules.csv``. A rule applies only when everything
that it asks was stated: what was left open never sets one off, and a broad word ("steel") none
that is written for a narrower one. A rule is silent where its exception was stated.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal, NamedTuple

from weldref.core.bands import SLACK, inside
from weldref.core.situation import LABELS, Situation, sizes_of
from weldref.core.terms import TREE_OF, Term
from weldref.core.units import Units, Value
from weldref.data.store import Store

Strength = Literal["cannot be", "unusual", "worth knowing"]
STRENGTHS: tuple[Strength, ...] = ("cannot be", "unusual", "worth knowing")
"""How much a finding says, strongest first."""

METHOD = "preheat method"
"""Topic of the rules that say how a preheat is found; they are asked for by themselves."""

# "E71T-1C-JH8": hydrogen, toughness and moisture letters leave the class what it is.
_SUFFIX = r"(?:-?(?:J?H(?:4|8|16)R?|J|R))?"
_CLASS = re.compile(r"E[A-Za-z0-9*.-]+")
_SITUATION = {"electrode_diameter": "electrode_size", "base_metal_thickness": "thickness"}


@dataclass(frozen=True, slots=True)
class SetupFinding:
    """What one rule says of a set-up.

    `holds_back` tells whether no value passes in such a set-up: it cannot be, or the printed
    ranges are not for it. `conditions` are the conditions and quantities that were stated and on
    which it rests.
    """

    strength: Strength
    holds_back: bool
    rule: str
    topic: str
    what: str
    why: str
    exception: str
    source_id: str
    locator: str
    how_read: str
    conditions: tuple[str, ...]

    def holds(self, quantity: str) -> bool:
        """Tell whether it lets no value of a quantity pass: its own, or any if it has none."""
        own = [name for name in self.conditions if name not in LABELS]
        return self.holds_back and (not own or quantity in own)


class _Names(NamedTuple):
    """Terms and forms of classes of which one has to be stated."""

    terms: frozenset[str]
    forms: tuple[str, ...]

    def take(self, term: Term | None) -> bool:
        return term is not None and (
            not self.terms.isdisjoint(term.broader)
            or (bool(self.forms) and _has_form(self.forms, term.name))
        )


class Band(NamedTuple):
    """A band of sizes or of values in SI; None where it has no end."""

    low: float | None
    high: float | None
    low_included: bool | None
    high_included: bool | None

    def holds(self, value: float) -> bool:
        """Tell whether a value lies in it."""
        return inside(value, self.low, self.high, self.low_included, self.high_included)

    @property
    def edges(self) -> set[float]:
        """The values from which on `holds` may change."""
        found: set[float] = set()
        for end in (self.low, self.high):
            if end is not None:
                first, last = sorted((end * (1 - SLACK), end * (1 + SLACK)))
                found |= {first, last, math.nextafter(first, math.inf)}
                found |= {math.nextafter(last, math.inf)}
        return found

    def times(self, size: float) -> Band:
        """Return the band of values whose share of a size lies in this one."""
        low, high = (None if end is None else end * size for end in (self.low, self.high))
        return self._replace(low=low, high=high)


class _Rule(NamedTuple):
    finding: SetupFinding
    asks: tuple[str, ...]
    needs: Mapping[str, _Names]
    unless: tuple[tuple[str, _Names], ...]
    labels: frozenset[str]
    size: Band | None
    thickness: Band | None
    components: tuple[str, ...]
    share: Band | None
    quantity: str | None
    value: Band | None
    per: str | None
    exceeds: str | None


class _Rules(NamedTuple):
    """The rules of a store by what they are asked for, and its labels of sizes in metres."""

    setup: tuple[_Rule, ...]
    impossible: tuple[_Rule, ...]
    values: tuple[_Rule, ...]
    methods: tuple[_Rule, ...]
    held_back: tuple[tuple[HeldBack, _Rule], ...]
    metres: Mapping[str, float]


def findings(
    store: Store, situation: Situation, values: Mapping[str, Value] | None = None
) -> tuple[SetupFinding, ...]:
    """Say what cannot go together in a set-up, what is unusual and what is worth knowing.

    Parameters
    ----------
    store
        The open store.
    situation
        What was stated of the work.
    values
        Proposed values by the stored names of their quantities. They are held against the
        set-up and against each other: wire feed against current by what the current melts,
        current against electrode and thickness, preheat against interpass.

    Returns
    -------
    tuple
        The strongest finding first; none where nothing speaks against the set-up.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> work = describe(store, process="TIG", material="mild steel", gas="CO2")
    >>> [(found.strength, found.what) for found in findings(store, work)]
    [('cannot be', 'No active gas on tungsten')]
    """
    rules = _rules(store)
    proposed = _with_sizes(rules, situation, values or {})
    found = _speaking(rules.setup, rules, situation, proposed)
    return _sorted(found + _speaking(rules.values, rules, situation, proposed))


def impossible(store: Store, situation: Situation) -> frozenset[str]:
    """Return the rules that say of what was stated alone that it cannot be, whatever is set.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> len(impossible(store, describe(store, process="TIG", gas="CO2")))
    1
    >>> impossible(store, describe(store, process="TIG", gas="argon"))
    frozenset()
    """
    rules = _rules(store)
    return frozenset(
        rule.finding.rule for rule in rules.impossible if _speaks(rule, rules, situation, {})
    )


class HeldBack(NamedTuple):
    """Values that nothing passes in a set-up: they cannot be, or no printed range is for it.

    They are those of `quantity` (of each, if it is empty) in a band (all, if there is none), at
    the thicknesses of another band.
    """

    rule: str
    quantity: str
    value: Band | None
    thickness: Band | None

    def holds(self, quantity: str, thickness: float | None) -> bool:
        """Tell whether it is about a quantity at a thickness in metres."""
        if self.quantity not in ("", quantity):
            return False
        stated = thickness is not None and self.thickness is not None
        return self.thickness is None or (stated and self.thickness.holds(thickness or 0.0))


def held_back(store: Store, situation: Situation) -> tuple[HeldBack, ...]:
    """Say which values nothing passes in a set-up, whatever its thickness.

    Rules that hold one proposed value against another, or against the thickness, are left out.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> work = describe(store, process="TIG", gas="CO2")
    >>> "" in [found.quantity for found in held_back(store, work)]
    True
    >>> {found.quantity for found in held_back(store, describe(store, process="SMAW"))}
    {'current'}
    """
    silent = ruled_out(store, situation) | asking_more(store, situation.stated)
    return among(store, silent)


def ruled_out(store: Store, situation: Situation) -> int:
    """Return the rules of `held_back` that something stated rules out, as bits.

    A situation may be asked in parts, each condition by itself.
    """
    rules, stated = _rules(store), situation.stated
    found = 0
    for number, (_, rule) in enumerate(rules.held_back):
        asked = (name for name in rule.asks if name in stated)
        if not all(_meets(rule, rules, situation, name) for name in asked) or _silenced(
            rule, situation
        ):
            found |= 1 << number
    return found


def asking_more(store: Store, stated: Iterable[str]) -> int:
    """Return the rules of `held_back` that ask for a condition that was not stated, as bits."""
    rules, known = _rules(store), {*stated}
    return sum(
        1 << number for number, (_, rule) in enumerate(rules.held_back) if not known >= {*rule.asks}
    )


def not_at(store: Store, thickness: float | None) -> int:
    """Return the rules of `held_back` that are for another thickness in metres, as bits."""
    return sum(
        1 << number
        for number, (held, _) in enumerate(_rules(store).held_back)
        if not held.holds(held.quantity, thickness)
    )


def among(store: Store, silent: int) -> tuple[HeldBack, ...]:
    """Return what is held back by all rules but those that are silent, given as bits."""
    every = enumerate(_rules(store).held_back)
    return tuple(held for number, (held, _) in every if not silent >> number & 1)


def impossible_together(
    store: Store, situation: Situation, quantities: Iterable[str]
) -> Callable[[Mapping[str, float]], set[str]] | None:
    """Return what tells which of several values in SI nothing passes; None if no rule does.

    It asks the rules that `held_back` leaves out.

    Parameters
    ----------
    store, situation
        The open store and what was stated of the work.
    quantities
        Stored names of the quantities of which values will be proposed.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> cannot_be = impossible_together(store, describe(store), ["preheat", "interpass"])
    >>> sorted(cannot_be({"preheat": 400.0, "interpass": 350.0})), cannot_be({"preheat": 400.0})
    (['interpass', 'preheat'], set())
    >>> impossible_together(store, describe(store), ["travel_speed"]) is None
    True
    """
    rules = _rules(store)
    sizes = _with_sizes(rules, situation, {})
    known = {*quantities, *sizes}
    among = [
        rule
        for rule in rules.values
        if rule.finding.holds_back
        and (rule.per or rule.exceeds)
        and {name for name in (rule.quantity, rule.per, rule.exceeds) if name} <= known
        and _fits(rule, rules, situation)
    ]
    if not among:
        return None

    def together(values: Mapping[str, float]) -> set[str]:
        speaking = [rule.finding for rule in among if _value_speaks(rule, {**sizes, **values})]
        return {name for name in values for found in speaking if found.holds(name)}

    return together


def of_value(
    store: Store, situation: Situation, quantity: str
) -> tuple[tuple[SetupFinding, Band], ...]:
    """Say what the rules tell of one value alone, each finding with the band of such values.

    Rules that hold one proposed value against another are left out; the electrode's diameter and
    the thickness are not proposed but stated.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> [(found.strength, band.holds(320.0)) for found, band in
    ...  of_value(store, describe(store, process="TIG"), "current")]
    [('worth knowing', True)]
    """
    rules = _rules(store)
    sizes = _with_sizes(rules, situation, {})
    found = []
    for rule in rules.values:
        if rule.quantity != quantity or not _fits(rule, rules, situation):
            continue
        other = sizes.get(rule.exceeds or rule.per or "")
        if rule.exceeds:
            band = Band(other, None, low_included=False, high_included=None) if other else None
        elif rule.per:
            band = rule.value.times(other) if rule.value and other else None
        else:
            band = rule.value
        if band is not None:
            found.append((rule.finding, band))
    return tuple(found)


def bands_of_thickness(store: Store) -> set[Band]:
    """Return the bands of thickness, in metres, that `held_back` tells apart."""
    rules = _rules(store)
    return {rule.thickness for rule in (*rules.impossible, *rules.values) if rule.thickness}


def preheat_method(store: Store, situation: Situation) -> tuple[SetupFinding, ...]:
    """Say by which way the preheat of a steel that hardens is found; nothing for other metals.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> [found.rule for found in preheat_method(store, describe(store, material="4140"))]
    ['way-03']
    >>> preheat_method(store, describe(store, material="steel"))
    ()
    """
    rules = _rules(store)
    return _sorted(_speaking(rules.methods, rules, situation, {}))


def _sorted(found: Iterable[SetupFinding]) -> tuple[SetupFinding, ...]:
    return tuple(sorted(found, key=lambda finding: STRENGTHS.index(finding.strength)))


def _with_sizes(
    rules: _Rules, situation: Situation, values: Mapping[str, Value]
) -> dict[str, float]:
    """Collect the proposed values in SI, with the electrode's diameter and the thickness."""
    proposed = {quantity: value.si for quantity, value in values.items()}
    if situation.size:
        proposed["electrode_diameter"] = _metres(rules, situation.size)
    if situation.thickness:
        proposed["base_metal_thickness"] = situation.thickness.si
    return proposed


def _metres(rules: _Rules, label: str) -> float:
    """Read a label of a size, listed or not: "3/32 in", "0.07 in", "2.4 mm"."""
    if label in rules.metres:
        return rules.metres[label]
    number, unit = label.split()
    return float(number) * (0.0254 if unit == "in" else 0.001)


def _speaking(
    among: Iterable[_Rule], rules: _Rules, situation: Situation, proposed: Mapping[str, float]
) -> list[SetupFinding]:
    return [rule.finding for rule in among if _speaks(rule, rules, situation, proposed)]


def _speaks(
    rule: _Rule, rules: _Rules, situation: Situation, proposed: Mapping[str, float]
) -> bool:
    if rule.quantity and not _value_speaks(rule, proposed):
        return False
    return _fits(rule, rules, situation)


def _fits(rule: _Rule, rules: _Rules, situation: Situation) -> bool:
    """Tell whether everything was stated that a rule asks for beside values."""
    asked = all(_meets(rule, rules, situation, condition) for condition in rule.asks)
    return asked and not _silenced(rule, situation)


def _meets(rule: _Rule, rules: _Rules, situation: Situation, condition: str) -> bool:
    """Tell whether what was stated for one condition is what a rule asks for."""
    if condition == "environment":
        return situation.under_water
    if condition == "electrode_size":
        if rule.labels and rule.labels.isdisjoint({situation.size, *situation.sizes}):
            return False
        return rule.size is None or _size_inside(rule.size, rules, situation)
    if condition == "thickness":
        thickness = situation.thickness
        return bool(thickness and rule.thickness and rule.thickness.holds(thickness.si))
    if condition == "gas":
        return rule.share is not None and _share_inside(rule.share, rule.components, situation)
    return rule.needs[condition].take(situation.terms.get(condition))


def _silenced(rule: _Rule, situation: Situation) -> bool:
    return any(names.take(situation.terms.get(condition)) for condition, names in rule.unless)


def _size_inside(band: Band, rules: _Rules, situation: Situation) -> bool:
    """Tell whether a size lies in a band under every label by which it is sold.

    4 mm is sold as 5/32 in: it is not over 5/32 in.
    """
    labels = situation.sizes or ([situation.size] if situation.size else [])
    return bool(labels) and all(band.holds(_metres(rules, label)) for label in labels)


def _share_inside(band: Band, components: tuple[str, ...], situation: Situation) -> bool:
    """Tell whether the shares of components lie in a band, whatever a stated range leaves open."""
    if situation.composition is None:
        return False
    shares = [situation.composition[c] for c in components if c in situation.composition]
    low = min(100.0, sum(share.low for share in shares))
    high = min(100.0, sum(share.high for share in shares))
    # "Argon and hydrogen, shares not stated" holds some hydrogen: its lowest share is left out.
    more = any(not share.low_inclusive for share in shares)
    above = band.low is None or (
        low > band.low or (low == band.low and (more or band.low_included is True))
    )
    return above and inside(high, None, band.high, high_included=band.high_included)


def _value_speaks(rule: _Rule, proposed: Mapping[str, float]) -> bool:
    value = proposed.get(rule.quantity or "")
    if value is None:
        return False
    if rule.exceeds:
        other = proposed.get(rule.exceeds)
        return other is not None and value > other * (1 + 1e-9)
    if rule.per:
        other = proposed.get(rule.per)
        if not other:
            return False
        value /= other
    return rule.value is not None and rule.value.holds(value)


@lru_cache(maxsize=8)  # a store holds one content of the tables for good
def _rules(store: Store) -> _Rules:
    units = Units(store)
    read = [(row, _rule(row, units)) for row in store.rows("SELECT * FROM setup_rules")]
    setup = tuple(rule for row, rule in read if not rule.quantity and row["topic"] != METHOD)
    held = (
        (
            HeldBack(rule.finding.rule, rule.quantity or "", rule.value, rule.thickness),
            rule._replace(quantity=None, asks=tuple(a for a in rule.asks if a != "thickness")),
        )
        for row, rule in read
        if rule.finding.holds_back and row["topic"] != METHOD and not (rule.per or rule.exceeds)
    )
    return _Rules(
        setup=setup,
        impossible=tuple(rule for rule in setup if rule.finding.strength == "cannot be"),
        values=tuple(rule for _, rule in read if rule.quantity),
        methods=tuple(rule for row, rule in read if row["topic"] == METHOD),
        held_back=tuple(held),
        metres=sizes_of(store),
    )


def _rule(row: Mapping[str, Any], units: Units) -> _Rule:
    needs = {name: _names(row[name]) for name in TREE_OF if row.get(name)}
    unless = tuple(
        (name, _names(row[f"unless_{name}"])) for name in TREE_OF if row.get(f"unless_{name}")
    )
    quantities = [row[name] for name in ("quantity", "per", "exceeds") if row[name]]
    size, thickness = _band(row, "size", 0.0254), _band(row, "thickness", 0.0254)
    share = _band(row, "share")
    asks = [*needs]
    asks += ["electrode_size"] if size or row["electrode_size"] else []
    asks += ["thickness"] if thickness else []
    asks += ["gas"] if share else []
    asks += ["environment"] if row["environment"] else []
    rests_on = asks + [_SITUATION.get(name, name) for name in quantities]
    factor, shift = 1.0, 0.0
    if row["unit"]:
        unit = units.by_spelling[row["unit"]]
        factor, shift = unit.factor, unit.shift
    if row["per_unit"]:
        factor /= units.by_spelling[row["per_unit"]].factor
    finding = SetupFinding(
        row["strength"],
        row["holds_back"],
        row["rule_id"],
        row["topic"],
        row["what"],
        row["why"],
        row["exception"] or "",
        row["source_id"],
        row["locator"] or "",
        row["how_read"],
        tuple(dict.fromkeys(rests_on)),
    )
    return _Rule(
        finding=finding,
        asks=tuple(asks),
        needs=needs,
        unless=unless,
        labels=frozenset(_parts(row["electrode_size"])),
        size=size,
        thickness=thickness,
        components=tuple(_parts(row["gas_components"])),
        share=share,
        quantity=row["quantity"],
        value=_band(row, "value", factor, shift),
        per=row["per"],
        exceeds=row["exceeds"],
    )


def _band(
    row: Mapping[str, Any], name: str, factor: float = 1.0, shift: float = 0.0
) -> Band | None:
    low, high = row[f"{name}_min"], row[f"{name}_max"]
    if low is None and high is None:
        return None
    return Band(
        None if low is None else low * factor + shift,
        None if high is None else high * factor + shift,
        row[f"{name}_min_inclusive"],
        row[f"{name}_max_inclusive"],
    )


def _parts(cell: str | None) -> list[str]:
    return cell.split("; ") if cell else []


def _names(cell: str) -> _Names:
    """Read a cell of terms; a class of filler metal is also a form: x a digit, * anything."""
    parts = _parts(cell)
    return _Names(frozenset(parts), tuple(part for part in parts if _CLASS.fullmatch(part)))


@lru_cache(maxsize=10_000)
def _has_form(forms: tuple[str, ...], name: str) -> bool:
    """Tell whether a class has one of some forms: E70T-4 that of E7xT-*."""
    for form in forms:
        start = re.split(r"[x*]", form)[0]  # compare it first: to compile a pattern takes long
        if name[: len(start)].casefold() == start.casefold():
            pattern = re.escape(form).replace("x", r"\d").replace(r"\*", ".*")
            if re.fullmatch(f"{pattern}{_SUFFIX}", name, re.IGNORECASE):
                return True
    return False
