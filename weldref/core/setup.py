"""Apply the set-up rules: what cannot go together, what is unusual, what is worth knowing.

Some rules hold back every value of a quantity, or a band of values: nothing passes there. A log is
judged by these alone, at any thickness; a check also applies those that compare two values.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from weldref.core.bands import Band
from weldref.core.setup_rules import STRENGTHS, Rule, SetupFinding, Strength, rules_of
from weldref.core.situation import Situation
from weldref.core.units import Value
from weldref.data.store import Store

__all__ = ["STRENGTHS", "SetupFinding", "Strength", "findings", "impossible", "preheat_method"]


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
        Proposed values by the stored names of their quantities. They are compared with the
        set-up and with each other: wire feed with the current that melts it, current with
        electrode and thickness, preheat with interpass.

    Returns
    -------
    tuple
        The strongest finding first; empty where no rule applies.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> work = describe(store, process="TIG", material="mild steel", gas="CO2")
    >>> [(found.strength, found.what) for found in findings(store, work)]
    [('cannot be', 'No active gas on tungsten')]
    """
    rules = rules_of(store)
    return _found(
        (*rules.setup, *rules.values), situation, rules.with_sizes(situation, values or {})
    )


def impossible(store: Store, situation: Situation) -> frozenset[str]:
    """Return the rules by which a set-up cannot be, whatever values are set.

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
    return frozenset(
        rule.finding.rule for rule in rules_of(store).impossible if rule.fits(situation)
    )


def preheat_method(store: Store, situation: Situation) -> tuple[SetupFinding, ...]:
    """Say how to find the preheat of a steel that hardens; empty for other metals.

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
    return _found(rules_of(store).methods, situation, {})


def _found(
    rules: Iterable[Rule], situation: Situation, values: Mapping[str, float]
) -> tuple[SetupFinding, ...]:
    """List the findings of the rules that apply, strongest first."""
    found = [rule.finding for rule in rules if rule.applies(situation, values)]
    return tuple(sorted(found, key=lambda finding: STRENGTHS.index(finding.strength)))


def held_back(store: Store, situation: Situation) -> tuple[Rule, ...]:
    """Return the rules because of which values do not pass in a set-up, whatever its thickness.

    Rules that compare a proposed value with another, or with the thickness, are left out.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> work = describe(store, process="TIG", gas="CO2")
    >>> None in [rule.quantity for rule in held_back(store, work)]
    True
    >>> {rule.quantity for rule in held_back(store, describe(store, process="SMAW"))}
    {'current'}
    """
    silent = ruled_out(store, situation) | asking_more(store, situation.stated)
    return among(store, silent)


def ruled_out(store: Store, situation: Situation) -> int:
    """Return as bits the rules of `held_back` that something stated rules out.

    A situation may be passed in parts, one condition at a time.
    """
    found = 0
    for number, rule in enumerate(rules_of(store).held_back):
        asked = (name for name in _without_thickness(rule) if name in situation.stated)
        if rule.silenced(situation) or not all(rule.meets(situation, name) for name in asked):
            found |= 1 << number
    return found


def asking_more(store: Store, stated: Iterable[str]) -> int:
    """Return as bits the rules of `held_back` that ask for a condition that was not stated."""
    known = {*stated}
    return sum(
        1 << number
        for number, rule in enumerate(rules_of(store).held_back)
        if not known >= _without_thickness(rule)
    )


def not_at(store: Store, thickness: float | None) -> int:
    """Return as bits the rules of `held_back` that are for another thickness, in metres."""
    return sum(
        1 << number
        for number, rule in enumerate(rules_of(store).held_back)
        if not rule.holds_at(rule.quantity or "", thickness)
    )


def among(store: Store, silent: int) -> tuple[Rule, ...]:
    """Return the rules of `held_back` without the silent ones, given as bits."""
    every = enumerate(rules_of(store).held_back)
    return tuple(rule for number, rule in every if not silent >> number & 1)


def _without_thickness(rule: Rule) -> set[str]:
    return {*rule.asks} - {"thickness"}


def impossible_together(
    store: Store, situation: Situation, quantities: Iterable[str]
) -> Callable[[Mapping[str, float]], set[str]] | None:
    """Return a test of which of several values in SI cannot pass together; None if no rule applies.

    It applies the rules that `held_back` leaves out.

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
    rules = rules_of(store)
    sizes = rules.with_sizes(situation, {})
    known = {*quantities, *sizes}
    comparing = [
        rule
        for rule in rules.values
        if rule.finding.holds_back
        and (rule.per or rule.exceeds)
        and {name for name in (rule.quantity, rule.per, rule.exceeds) if name} <= known
        and rule.fits(situation)
    ]
    if not comparing:
        return None

    def together(values: Mapping[str, float]) -> set[str]:
        found = [rule.finding for rule in comparing if rule.fits_value({**sizes, **values})]
        return {name for name in values for finding in found if finding.holds(name)}

    return together


def of_value(
    store: Store, situation: Situation, quantity: str
) -> tuple[tuple[SetupFinding, Band], ...]:
    """Return the findings about single values of a quantity, each with the band of such values.

    Rules that compare one proposed value with another are left out. The electrode's diameter and
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
    rules = rules_of(store)
    sizes = rules.with_sizes(situation, {})
    found = []
    for rule in rules.values:
        if rule.quantity != quantity or not rule.fits(situation):
            continue
        other = sizes.get(rule.exceeds or rule.per or "")
        if rule.exceeds:
            band = Band(other, None, low_included=False, high_included=None) if other else None
        elif rule.per:
            band = rule.value.scaled(other) if rule.value and other else None
        else:
            band = rule.value
        if band is not None:
            found.append((rule.finding, band))
    return tuple(found)


def bands_of_thickness(store: Store) -> set[Band]:
    """Return the bands of thickness, in metres, that `held_back` tells apart."""
    rules = rules_of(store)
    return {rule.thickness for rule in (*rules.impossible, *rules.values) if rule.thickness}
