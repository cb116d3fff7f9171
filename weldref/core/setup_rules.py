"""Read the set-up rules and tell whether one applies to a set-up.

The rules are in ``datasets/reference/setup_rules.csv``. A rule applies only when everything that
it asks for was stated: what was left open never triggers one, and a broad word ("steel") never
meets a rule for a narrower one. A rule is silent where its exception was stated.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal, NamedTuple

from weldref.core.bands import Band, inside
from weldref.core.situation import LABELS, Situation, sizes_of
from weldref.core.terms import TREE_OF, Term
from weldref.core.units import Units, Value
from weldref.data.store import Store

Strength = Literal["cannot be", "unusual", "worth knowing"]
STRENGTHS: tuple[Strength, ...] = ("cannot be", "unusual", "worth knowing")
"""How serious a finding is, strongest first."""

METHOD = "preheat method"
"""Topic of the rules that say how to find a preheat; they are asked for separately."""

# "E71T-1C-JH8": suffixes for hydrogen, toughness and moisture do not change the class.
_SUFFIX = r"(?:-?(?:J?H(?:4|8|16)R?|J|R))?"
_CLASS = re.compile(r"E[A-Za-z0-9*.-]+")
_SITUATION = {"electrode_diameter": "electrode_size", "base_metal_thickness": "thickness"}


@dataclass(frozen=True, slots=True)
class SetupFinding:
    """What one rule says of a set-up.

    `holds_back` tells whether no value passes in such a set-up: it cannot be, or the printed
    ranges are not for it. `conditions` are the stated conditions and quantities on which it rests.
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
        """Tell whether no value of a quantity passes: the rule's own, or any if it has none."""
        own = [name for name in self.conditions if name not in LABELS]
        return self.holds_back and (not own or quantity in own)


class Names(NamedTuple):
    """Terms and forms of electrode classes, one of which has to be stated."""

    terms: frozenset[str]
    forms: tuple[str, ...]

    @classmethod
    def of(cls, cell: str) -> Names:
        """Read a cell of terms; an electrode class may be a form: x is a digit, * anything."""
        parts = _parts(cell)
        return cls(frozenset(parts), tuple(part for part in parts if _CLASS.fullmatch(part)))

    def include(self, term: Term | None) -> bool:
        """Tell whether a stated term is one of them or a kind of one."""
        return term is not None and (
            not self.terms.isdisjoint(term.broader)
            or (bool(self.forms) and _has_form(self.forms, term.name))
        )


class Rule(NamedTuple):
    """One rule: the finding, and when it applies.

    `asks` are the conditions that have to be stated. A rule about a value has its `quantity` and
    the band `value`: of the value itself, or of its ratio to the quantity `per`; or it applies
    where the value is greater than that of the quantity `exceeds`. `metres` has the diameter of
    every size label.
    """

    finding: SetupFinding
    asks: tuple[str, ...]
    needs: Mapping[str, Names]
    unless: tuple[tuple[str, Names], ...]
    labels: frozenset[str]
    size: Band | None
    thickness: Band | None
    components: tuple[str, ...]
    share: Band | None
    quantity: str | None
    value: Band | None
    per: str | None
    exceeds: str | None
    metres: Mapping[str, float]

    def applies(self, situation: Situation, values: Mapping[str, float]) -> bool:
        """Tell whether the rule applies to a set-up with proposed values in SI."""
        return (not self.quantity or self.fits_value(values)) and self.fits(situation)

    def fits(self, situation: Situation) -> bool:
        """Tell whether everything that the rule asks for, apart from values, was stated."""
        asked = all(self.meets(situation, condition) for condition in self.asks)
        return asked and not self.silenced(situation)

    def silenced(self, situation: Situation) -> bool:
        """Tell whether an exception to the rule was stated."""
        return any(names.include(situation.terms.get(name)) for name, names in self.unless)

    def meets(self, situation: Situation, condition: str) -> bool:
        """Tell whether what was stated for one condition is what the rule asks for."""
        if condition == "environment":
            return situation.under_water
        if condition == "electrode_size":
            if self.labels and self.labels.isdisjoint({situation.size, *situation.sizes}):
                return False
            return self.size is None or self._size_inside(self.size, situation)
        if condition == "thickness":
            thickness = situation.thickness
            return bool(thickness and self.thickness and self.thickness.holds(thickness.si))
        if condition == "gas":
            return self.share is not None and self._share_inside(self.share, situation)
        return self.needs[condition].include(situation.terms.get(condition))

    def fits_value(self, values: Mapping[str, float]) -> bool:
        """Tell whether the rule applies to proposed values and sizes in SI."""
        value = values.get(self.quantity or "")
        if value is None:
            return False
        if self.exceeds:
            other = values.get(self.exceeds)
            return other is not None and value > other * (1 + 1e-9)
        if self.per:
            other = values.get(self.per)
            if not other:
                return False
            value /= other
        return self.value is not None and self.value.holds(value)

    def holds_at(self, quantity: str, thickness: float | None) -> bool:
        """Tell whether the rule is about a quantity, at a thickness in metres."""
        if self.quantity not in (None, quantity):
            return False
        return self.thickness is None or (thickness is not None and self.thickness.holds(thickness))

    def _size_inside(self, band: Band, situation: Situation) -> bool:
        """Tell whether a size lies in a band under every label by which it is sold.

        4 mm is sold as 5/32 in: it is not over 5/32 in.
        """
        labels = situation.sizes or ([situation.size] if situation.size else [])
        return bool(labels) and all(band.holds(metres_of(label, self.metres)) for label in labels)

    def _share_inside(self, band: Band, situation: Situation) -> bool:
        """Tell whether the shares of the rule's components lie in a band, wherever they vary."""
        if situation.composition is None:
            return False
        shares = [situation.composition[c] for c in self.components if c in situation.composition]
        low = min(100.0, sum(share.low for share in shares))
        high = min(100.0, sum(share.high for share in shares))
        # "Argon and hydrogen, shares not stated" has some hydrogen: its lowest share is excluded.
        more = any(not share.low_inclusive for share in shares)
        above = band.low is None or (
            low > band.low or (low == band.low and (more or band.low_included is True))
        )
        return above and inside(high, None, band.high, high_included=band.high_included)


class Rules(NamedTuple):
    """The rules of a store, by the question that they answer.

    `setup` are about the set-up alone, of which `impossible` say that it cannot be; `values` are
    about proposed values, `methods` about how to find a preheat. `held_back` are those because of
    which no value passes, without those that compare a value with another or with a size.
    """

    setup: tuple[Rule, ...]
    impossible: tuple[Rule, ...]
    values: tuple[Rule, ...]
    methods: tuple[Rule, ...]
    held_back: tuple[Rule, ...]
    metres: Mapping[str, float]

    def with_sizes(self, situation: Situation, values: Mapping[str, Value]) -> dict[str, float]:
        """Return proposed values in SI with the stated electrode diameter and thickness."""
        found = {quantity: value.si for quantity, value in values.items()}
        if situation.size:
            found["electrode_diameter"] = metres_of(situation.size, self.metres)
        if situation.thickness:
            found["base_metal_thickness"] = situation.thickness.si
        return found


def metres_of(label: str, metres: Mapping[str, float]) -> float:
    """Return the size of a label in metres, in the table or not: "3/32 in", "0.07 in"."""
    if label in metres:
        return metres[label]
    number, unit = label.split()
    return float(number) * (0.0254 if unit == "in" else 0.001)


@lru_cache(maxsize=8)  # a store never changes
def rules_of(store: Store) -> Rules:
    """Read the rules of a store."""
    units, metres = Units(store), sizes_of(store)
    every = [_rule(row, units, metres) for row in store.rows("SELECT * FROM setup_rules")]
    rules = [rule for rule in every if rule.finding.topic != METHOD]
    setup = tuple(rule for rule in rules if not rule.quantity)
    return Rules(
        setup=setup,
        impossible=tuple(rule for rule in setup if rule.finding.strength == "cannot be"),
        values=tuple(rule for rule in every if rule.quantity),
        methods=tuple(rule for rule in every if rule.finding.topic == METHOD),
        held_back=tuple(
            rule for rule in rules if rule.finding.holds_back and not (rule.per or rule.exceeds)
        ),
        metres=metres,
    )


def _rule(row: Mapping[str, Any], units: Units, metres: Mapping[str, float]) -> Rule:
    needs = {name: Names.of(row[name]) for name in TREE_OF if row.get(name)}
    unless = tuple(
        (name, Names.of(row[f"unless_{name}"])) for name in TREE_OF if row.get(f"unless_{name}")
    )
    size, thickness, share, value = (
        band if (band := Band.of(row, name))[:2] != (None, None) else None
        for name in ("size", "thickness", "share", "value")
    )
    factor, shift = 1.0, 0.0
    if row["unit"]:
        unit = units.by_spelling[row["unit"]]
        factor, shift = unit.factor, unit.shift
    if row["per_unit"]:
        factor /= units.by_spelling[row["per_unit"]].factor
    stated = {
        "electrode_size": size or row["electrode_size"],
        "thickness": thickness,
        "gas": share,
        "environment": row["environment"],
    }
    asks = (*needs, *(name for name, asked in stated.items() if asked))
    quantities = [row[name] for name in ("quantity", "per", "exceeds") if row[name]]
    rests_on = [*asks, *(_SITUATION.get(name, name) for name in quantities)]
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
    return Rule(
        finding=finding,
        asks=asks,
        needs=needs,
        unless=unless,
        labels=frozenset(_parts(row["electrode_size"])),
        size=size and size.scaled(0.0254),
        thickness=thickness and thickness.scaled(0.0254),
        components=tuple(_parts(row["gas_components"])),
        share=share,
        quantity=row["quantity"],
        value=value and value.scaled(factor, shift),
        per=row["per"],
        exceeds=row["exceeds"],
        metres=metres,
    )


def _parts(cell: str | None) -> list[str]:
    return cell.split("; ") if cell else []


@lru_cache(maxsize=10_000)
def _has_form(forms: tuple[str, ...], name: str) -> bool:
    """Tell whether a class has one of some forms: E70T-4 that of E7xT-*."""
    for form in forms:
        start = re.split(r"[x*]", form)[0]  # compared first, since compiling a pattern is slow
        if name[: len(start)].casefold() == start.casefold():
            pattern = re.escape(form).replace("x", r"\d").replace(r"\*", ".*")
            if re.fullmatch(f"{pattern}{_SUFFIX}", name, re.IGNORECASE):
                return True
    return False
