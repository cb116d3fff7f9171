"""Which gas is "C25"? Gases as compositions, so that one mixture has many names.

A printed gas is a range for each component: "argon with 1 to 5 % oxygen" is Ar 95 to 99 and
O2 1 to 5. A proposed gas fits a printed one when its whole range lies inside.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property

from weldref.errors import InputError
from weldref.store import Store

LONGEST_MIXTURE = 200
"""Characters of a typed gas; patterns would take long over more."""

NAMES = {
    "ar": "Ar", "argon": "Ar", "he": "He", "helium": "He", "co2": "CO2", "o2": "O2",
    "oxygen": "O2", "h2": "H2", "hydrogen": "H2", "n2": "N2", "nitrogen": "N2",
}  # fmt: skip
# AWS A5.32 writes SG-, a letter for each component with the base gas first, then the
# percentages of the others.
A532_LETTERS = {"A": "Ar", "C": "CO2", "O": "O2", "He": "He", "H": "H2", "N": "N2"}

_BEFORE = r"(?:(?P<share>\d+(?:\.\d+)?)\s*%?\s*)?"
_GAS = r"(?P<name>argon|helium|carbon dioxide|oxygen|hydrogen|nitrogen|ar|he|co2|o2|h2|n2)"
_AFTER = r"(?:\s*(?P<after>\d+(?:\.\d+)?)\s*%?)?"
# Shares stand before their gases, or after, or both in one text; in that order of trust, so
# that "90 He 7.5 Ar" does not give helium the share of argon.
_ORDERS = tuple(
    re.compile(order) for order in (_BEFORE + _GAS, _GAS + _AFTER, _BEFORE + _GAS + _AFTER)
)
_BETWEEN = re.compile(r"[\s/+,&%;-]|balance|and|with|mix(?:ture)?|gas")


@dataclass(frozen=True, slots=True)
class Share:
    """Range of one component in percent by volume."""

    low: float
    high: float
    low_inclusive: bool = True
    high_inclusive: bool = True

    def holds(self, other: Share) -> bool:
        """Tell whether another range lies wholly inside this one."""
        above = other.low > self.low or (
            other.low == self.low and (self.low_inclusive or not other.low_inclusive)
        )
        below = other.high < self.high or (
            other.high == self.high and (self.high_inclusive or not other.high_inclusive)
        )
        return above and below


NOTHING = Share(0.0, 0.0)
Composition = dict[str, Share]


def holds(wide: Composition, narrow: Composition) -> bool:
    """Tell whether every mixture of `narrow` is also one of `wide`.

    >>> argon_oxygen = {"Ar": Share(95, 99), "O2": Share(1, 5)}
    >>> holds(argon_oxygen, {"Ar": Share(98, 98), "O2": Share(2, 2)})
    True
    >>> holds(argon_oxygen, {"Ar": Share(75, 75), "CO2": Share(25, 25)})
    False
    """
    return all(
        wide.get(component, NOTHING).holds(narrow.get(component, NOTHING))
        for component in wide.keys() | narrow.keys()
    )


def parse_mixture(text: str) -> Composition | None:
    """Read "75 Ar / 25 CO2", "argon + 2 % O2", "75 argon 25 CO2" or "SG-AC-25".

    Returns None when the text is not a mixture of known gases with shares. One component may
    leave its share out: it is the balance.

    Raises
    ------
    InputError
        If the shares do not add up to 100 %.

    >>> parse_mixture("75 argon 25 CO2")
    {'Ar': Share(low=75.0, high=75.0, low_inclusive=True, high_inclusive=True), \
'CO2': Share(low=25.0, high=25.0, low_inclusive=True, high_inclusive=True)}
    """
    if len(text) > LONGEST_MIXTURE:
        return None
    if match := re.fullmatch(r"SG-((?:He|[ACOHN])+)((?:-\d+(?:\.\d+)?)*)", text.strip()):
        letters = re.findall(r"He|[ACOHN]", match[1])
        minor = [float(part) for part in match[2].split("-") if part]
        if len(minor) == len(letters) - 1:
            shares = dict(zip((A532_LETTERS[x] for x in letters[1:]), minor, strict=True))
            return _exact({A532_LETTERS[letters[0]]: 100 - sum(minor), **shares}, text)
        return None
    words = text.lower().replace("carbon dioxide", "co2")
    for order in _ORDERS:
        parts = [part.groupdict() for part in order.finditer(words)]
        without = [part["name"] for part in parts if not _share(part)]
        if parts and len(without) < 2 and not _BETWEEN.sub("", order.sub("", words)):
            break
    else:
        return None
    shares = {NAMES[part["name"]]: float(_share(part)) for part in parts if _share(part)}
    if without:
        shares = {NAMES[without[0]]: 100 - sum(shares.values()), **shares}
    return _exact(shares, text)


def _share(part: dict[str, str | None]) -> str:
    return part.get("share") or part.get("after") or ""


def _exact(shares: dict[str, float], text: str) -> Composition:
    total = sum(shares.values())
    if abs(total - 100) > 1e-6 or min(shares.values()) < 0:
        raise InputError(f"gas: '{text}' has shares that add up to {total:g} %; give 100 %")
    return {name: Share(share, share) for name, share in shares.items() if share}


@dataclass(frozen=True)
class Gases:
    """The gases that the store knows, by composition."""

    store: Store

    @cached_property
    def compositions(self) -> dict[str, Composition]:
        """Every printed gas with its composition."""
        found: dict[str, Composition] = {}
        for row in self.store.rows("SELECT * FROM gas_components ORDER BY gas"):
            found.setdefault(row["gas"], {})[row["component"]] = Share(
                row["min"], row["max"], row["min_inclusive"], row["max_inclusive"]
            )
        return found

    def wider(self, composition: Composition) -> list[str]:
        """Printed gases that take in every mixture of a composition."""
        return [gas for gas, printed in self.compositions.items() if holds(printed, composition)]

    def narrower(self, composition: Composition) -> list[str]:
        """Printed gases that are only part of a composition given as a range."""
        return [
            gas
            for gas, printed in self.compositions.items()
            if holds(composition, printed) and not holds(printed, composition)
        ]
