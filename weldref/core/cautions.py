"""Choose the cautions that belong to an answer, by process, metal, gas and surroundings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from weldref.core.index import cutting
from weldref.core.situation import Situation
from weldref.core.terms import Term, Vocabulary, broader_of
from weldref.data.store import Store

METAL_OF_FILLER: Mapping[str, str] = {
    "carbon steel wire or rod": "ferritic steel",
    "low-alloy steel wire or rod": "ferritic steel",
    "low-hydrogen covered electrode": "ferritic steel",
    "other than low-hydrogen covered electrode": "ferritic steel",
    "gas-shielded flux cored wire": "ferritic steel",
    "self-shielded flux cored wire": "ferritic steel",
    "metal cored wire": "ferritic steel",
    "stainless wire or rod": "stainless steel",
    "stainless covered electrode": "stainless steel",
    "stainless flux cored wire": "stainless steel",
    "aluminium wire or rod": "aluminium",
    "aluminium covered electrode": "aluminium",
    "nickel wire or rod": "nickel alloy",
    "nickel covered electrode": "nickel alloy",
    "copper wire or rod": "copper",
    "copper covered electrode": "copper",
    "titanium wire or rod": "titanium",
    "magnesium wire or rod": "magnesium",
    "cast iron covered electrode": "cast iron",
    "RCI": "cast iron",
    "hard-facing electrode": "cobalt alloy",
    "RCoCr-A": "cobalt alloy",
}
"""Kinds of filler metal, with the family of metals that they are for."""

WITHOUT_AN_ARC = ("OFW", "OFC", "LBC")
WITH_AN_ARC = (
    "covered electrode",
    "flux cored wire",
    "metal cored wire",
    "carbon electrode",
    "steel-tubular electrode",
)
"""Kinds of electrode from which an arc burns; a bare rod may also be melted in a flame."""

TO_CUT = ("carbon electrode", "steel-tubular electrode", "exothermic cutting electrode")
"""Kinds of electrode that metal is cut with; the others are for welding."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution with its source."""

    caution: str
    wording: str
    source_id: str
    locator: str | None
    how_read: str


def cautions_for(store: Store, situation: Situation) -> tuple[Caution, ...]:
    """Return the cautions for a situation in the order of the table, what kills first.

    A caution is left out only if another process, metal, gas or filler metal was stated. What was
    not stated excludes only the cautions for special work (`only_if_said`, surroundings); a broad
    term excludes none of its kinds. Without a metal, the filler class gives the family of metals;
    beside a metal it adds the cautions of its own. If nothing at all was stated, only the cautions
    for all work are returned.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> found = cautions_for(store, describe(store, process="SMAW", electrode="E308L-16"))
    >>> [one.caution for one in found if one.caution in ("zinc", "hexavalent-chromium")]
    ['hexavalent-chromium']
    """
    filler = situation.terms.get("filler_class")
    meant = {
        "processes": _processes(store, situation),
        "materials": _metals(store, situation),
        "gases": frozenset({situation.gas}) if situation.gas else None,
        "filler_classes": _related(filler) if filler else None,
        "environment": frozenset({situation.environment} if situation.environment else ()),
    }
    if not situation.given():
        meant = dict.fromkeys(meant, frozenset())
    return tuple(
        caution
        for caution, calling, only_if_said in _cautions(store)
        if all(
            names & calls if names is not None else not only_if_said or column == "processes"
            for column, calls in calling.items()
            for names in [meant[column]]
        )
    )


@lru_cache(maxsize=8)
def _cautions(store: Store) -> list[tuple[Caution, dict[str, frozenset[str]], bool]]:
    """Return each caution, the terms that call for it by column, and `only_if_said`."""

    def read(row: dict[str, Any]) -> tuple[Caution, dict[str, frozenset[str]], bool]:
        columns = ("processes", "materials", "gases", "filler_classes", "environment")
        return (
            Caution(*(row[n] for n in ("caution", "wording", "source_id", "locator", "how_read"))),
            {name: frozenset(row[name].split("; ")) for name in columns if row[name]},
            row["only_if_said"] == "true",
        )

    return [read(row) for row in store.rows("SELECT * FROM cautions")]


def _processes(store: Store, situation: Situation) -> frozenset[str] | None:
    """Return the processes that may be meant; None for any."""
    process = situation.terms.get("process")
    if process:
        return _related(process)
    filler = situation.terms.get("filler_class")
    kinds = filler.broader.keys() if filler else frozenset[str]()
    excluded: set[str] = set()
    if {"polarity", "transfer_mode"} & set(situation.terms) or not kinds.isdisjoint(WITH_AN_ARC):
        excluded.update(WITHOUT_AN_ARC)
    if filler and kinds.isdisjoint(TO_CUT):
        excluded.update(cutting(store))
    return frozenset(broader_of(store, "processes")) - excluded if excluded else None


def _metals(store: Store, situation: Situation) -> frozenset[str] | None:
    """Return the metals that may be meant, with those of the filler metal; None for any."""
    material = situation.terms.get("material")
    filler = situation.terms.get("filler_class")
    vocabulary = Vocabulary(store)
    families = [
        vocabulary.stored("materials", METAL_OF_FILLER[kind])
        for kind in (filler.broader if filler else ())
        if kind in METAL_OF_FILLER
    ]
    if material:
        return _related(material).union(*(family.broader for family in families))
    return frozenset[str]().union(*map(_related, families)) if families else None


def _related(term: Term) -> frozenset[str]:
    return term.narrower.union(term.broader)
