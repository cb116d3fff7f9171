"""Read gases as compositions, so that "C25" and "75 Ar / 25 CO2" are one mixture.

A printed gas is a range for each component: "argon with 1 to 5 % oxygen" is Ar 95 to 99 and
O2 1 to 5. A stated gas fits a printed one if all its ranges lie inside.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cached_property, lru_cache
from typing import NamedTuple
from unicodedata import normalize

from weldref.core.designations import without_brackets, without_flow
from weldref.data.store import Store
from weldref.errors import InputError

LONGEST_MIXTURE = 200
"""Characters of the longest typed gas that is read; patterns are slow on longer texts."""

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
# Shares come before their gases, or after, or both in one text, tried in this order, so that
# "90 He 7.5 Ar" does not give helium the share of argon.
_ORDERS = (_BEFORE + _GAS, _GAS + _AFTER, _BEFORE + _GAS + _AFTER)
# "Ar/CO2 82/18" or "82/18 Ar/CO2": the gases, an inert one first, then their shares.
_PAIRS = (
    r"(?P<names>(?:ar(?:gon)?|he(?:lium)?)(?:[\s/+-]*(?:argon|helium|ar|he|co2|o2|h2|n2))+)[\s:-]+"
    r"(?P<shares>\d+(?:\.\d+)?(?:\s*/\s*\d+(?:\.\d+)?)+)"
)
_TURNED = r"(?P<shares>\d[\d./ ]*/[\d. ]*\d)\s+(?P<names>(?:ar|he)\S*(?:\s*/\s*\S+)+)"
_BETWEEN = r"[\s/+,&%;-]|balance|and|with|mix(?:ture)?|gas"
# "Argon 99.99 %" and "Argon 4.6" (four nines and a six) say how pure one gas is.
_NOISE = r"(?:[\s,:;≥>=-]|min(?:imum)?\b\.?|pur(?:ity|e)|grade|gas)*"
_PURITY = (
    rf"{_GAS}{_NOISE}(?:99[.,]\d+\s*%?|[3-7][.,]\d){_NOISE}"
    rf"|{_NOISE}99[.,]\d+\s*%?{_NOISE}{_GAS.replace('name', 'named')}{_NOISE}"
)
# ISO 14175 writes the group, a symbol for each component with the base gas first, then the
# nominal percentages of the others.
_ISO = (
    r"(?is)(?P<standard>(?:(?:DIN|BS)\s+)?(?:EN\s+)?ISO\s*14175(?::\d{4})?(?!\d))?[\s:-]*"
    r"(?P<group>(?:I[1-3]|M[123]\d|C[12]|R[12]|N[1-5]|O1)\b)?[\s:,-]*(?P<rest>.*)"
)
_SYMBOLS = {"ar": "Ar", "he": "He", "c": "CO2", "o": "O2", "h": "H2", "n": "N2"}
# "ArC18" is read; "ArO2" may mean the gas O2 without a share and has to be "ArO - 2".
_NOMINAL = (
    r"(?i)(?P<symbols>(?:Ar|He|[COHN])+)"
    r"(?:(?:[\s/-]+|(?<=[ce]))(?P<shares>\d+(?:\.\d+)?(?:\s*[/-]\s*\d+(?:\.\d+)?)*)\s*%?)?"
)


class Share(NamedTuple):
    """The range of one component in percent by volume."""

    low: float
    high: float
    low_inclusive: bool = True
    high_inclusive: bool = True

    def holds(self, other: Share) -> bool:
        """Tell whether another range lies wholly inside this one."""
        # At an equal end, an open one lies inside a closed one, but not the other way round.
        above = (self.low, not self.low_inclusive) <= (other.low, not other.low_inclusive)
        below = (other.high, other.high_inclusive) <= (self.high, self.high_inclusive)
        return above and below


NOTHING = Share(0.0, 0.0)
NOT_STATED = Share(0.0, 100.0, low_inclusive=False, high_inclusive=False)
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
    """Read "75 Ar / 25 CO2", "argon + 2 % O2", "75 argon 25 CO2", "SG-AC-25" or "Argon 4.6".

    Return None if the text is not a mixture of known gases with shares. One component may have no
    share: it is the balance. One gas with its purity is that gas.

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
    words = text.lower().replace("carbon dioxide", "co2").strip()
    words = re.sub(r"(?<=\d),(?=\d)", ".", words)
    turned = re.fullmatch(_TURNED, words)
    if match := re.fullmatch(_PAIRS, f"{turned['names']} {turned['shares']}" if turned else words):
        names = [NAMES[name] for name in re.findall(_GAS, match["names"])]
        percents = [float(part) for part in match["shares"].split("/")]
        if len(set(names)) == len(percents) == len(names):
            return _exact(dict(zip(names, percents, strict=True)), text)
    if match := re.fullmatch(_PURITY, words):
        return {NAMES[match["name"] or match["named"]]: Share(100.0, 100.0)}
    for order in _ORDERS:
        parts = [part.groupdict() for part in re.finditer(order, words)]
        without = [part["name"] for part in parts if not _share(part)]
        if parts and len(without) < 2 and not re.sub(_BETWEEN, "", re.sub(order, "", words)):
            break
    else:
        return None
    shares = {NAMES[part["name"]]: float(_share(part)) for part in parts if _share(part)}
    if without:
        shares = {NAMES[without[0]]: 100 - sum(shares.values()), **shares}
    return _exact(shares, text)


def parse_designation(text: str) -> tuple[str | None, Composition | None]:
    """Read a designation of ISO 14175: the group that it names, and the composition.

    Symbols without percentages give shares that are not stated. Both are None if the text is not
    such a designation.

    Raises
    ------
    InputError
        If the shares are more than 100 %.

    >>> parse_designation("EN ISO 14175 - M21 - ArC - 18")[1]["CO2"].low
    18.0
    >>> parse_designation("ISO 14175 - M21"), parse_designation("xenon")
    (('ISO 14175 M21', None), (None, None))
    """
    match = re.fullmatch(_ISO, text.strip().replace("\N{EN DASH}", "-"))
    if len(text) > LONGEST_MIXTURE or match is None:
        return None, None
    group = f"ISO 14175 {match['group'].upper()}" if match["group"] else None
    if not match["rest"]:
        return group, None
    nominal = re.fullmatch(_NOMINAL, match["rest"])
    # Bare letters such as "CO 2" name a gas; only symbols in the standard's spelling are read.
    bare = not group and not match["standard"]
    if nominal is None or (bare and not re.match("(?:Ar|He)(?:Ar|He|[COHN])", match["rest"])):
        mixture = parse_mixture(match["rest"]) if group else None
        return (group, mixture) if mixture and len(mixture) > 1 else (None, None)
    base, *others = (_SYMBOLS[s.lower()] for s in re.findall("(?i)ar|he|.", nominal["symbols"]))
    shares = [float(part) for part in re.findall(r"[\d.]+", nominal["shares"] or "")]
    if len({base, *others}) <= len(others) or len(shares) not in (0, len(others)):
        return None, None
    if others and not shares:
        return group, dict.fromkeys([base, *others], NOT_STATED)
    return group, _exact({base: 100 - sum(shares), **dict(zip(others, shares, strict=True))}, text)


def gases_in(text: str) -> list[str]:
    """List the gases that a text names, in order.

    >>> gases_in("Ar/CO2"), gases_in("see note 2")
    (['Ar', 'CO2'], [])
    """
    words = text.lower().replace("carbon dioxide", "co2")
    return [NAMES[name] for name in re.findall(rf"(?<![a-z]){_GAS}(?![a-z0-9])", words)]


def one_gas(
    known: list[tuple[str, Composition]], remark: str = ""
) -> tuple[str, Composition] | None:
    """Choose the gas that is meant if a text and its bracket name one or two.

    Of a gas with shares and a group of ISO 14175 it is the gas with shares, of two others the
    narrower one. A remark must not name other gases. None if they contradict each other.
    """
    if len(known) == 2:
        stated = [gas for gas in known if not gas[0].startswith("ISO 14175 ")]
        if len(stated) == 1:
            return stated[0]
        return next((gas for gas in known if all(holds(g[1], gas[1]) for g in known)), None)
    ((name, shares),) = known
    by_share = sorted(shares, key=lambda gas: -shares[gas].low)
    said = gases_in(remark)
    plain = said == by_share and not re.search(r"\d", re.sub(_GAS, "", remark.lower()))
    return (name, shares) if plain or not said else None


def _share(part: dict[str, str | None]) -> str:
    return part.get("share") or part.get("after") or ""


def _exact(shares: dict[str, float], text: str) -> Composition:
    total = sum(shares.values())
    if abs(total - 100) > 1e-6 or min(shares.values()) < 0:
        raise InputError(f"gas: '{text}' has shares that add up to {total:g} %; give 100 %")
    return {name: Share(share, share) for name, share in shares.items() if share}


class Gases:
    """The gases that the store knows, by composition."""

    def __init__(self, store: Store) -> None:
        self.store = store

    @cached_property
    def compositions(self) -> dict[str, Composition]:
        """Every printed gas with its composition."""
        found: dict[str, Composition] = {}
        for row in self.store.rows("SELECT * FROM gas_components ORDER BY gas"):
            found.setdefault(row["gas"], {})[row["component"]] = Share(
                row["min"], row["max"], row["min_inclusive"], row["max_inclusive"]
            )
        return found

    @cached_property
    def flow_units(self) -> frozenset[str]:
        """Every spelling of a unit of flow."""
        rows = self.store.rows(
            """
            SELECT lower(spelling) AS spelling FROM units
            JOIN spellings ON tree = 'units' AND term = unit WHERE dimension = 'flow'
            """
        )
        return frozenset(str(row["spelling"]) for row in rows)

    def named(
        self, text: str, spelled: Callable[[str], str | None]
    ) -> tuple[str, Composition] | None:
        """Find the gas that a text names, with its composition; None if there is none.

        Parameters
        ----------
        text
            A name, a mixture or a designation, maybe with a flow after it or a remark in brackets.
        spelled
            Looks a spelling up in the table of gases.

        Raises
        ------
        InputError
            If the shares are not 100 %, or the text and its bracket contradict each other.
        """
        text = normalize("NFKC", text)  # "CO\u2082"
        outside, inside = without_brackets(text)
        # First as if there were no brackets: "Ar (75 %) / CO2 (25 %)", "Argon (99.99 %)".
        wrong = None
        try:
            whole = self._read(re.sub(r"[()]", " ", text), text, spelled)
        except InputError as error:
            if not inside:
                raise
            whole, wrong = None, error
        if whole or not inside:
            return whole
        known, remark = [], ""
        for part in (outside, inside):
            try:
                found = self._read(part, text, spelled)
            except InputError as error:
                found, wrong = None, error
            if found:
                known.append(found)
            else:
                remark = part
        meant = one_gas(known, remark) if known else None
        if known and not meant:
            raise wrong or InputError(f"gas: '{text}' says two things; give one of them")
        return meant

    def _read(
        self, text: str, typed: str, spelled: Callable[[str], str | None]
    ) -> tuple[str, Composition] | None:
        text = without_flow(text, lambda unit: unit.casefold() in self.flow_units)
        whole = re.sub(r"\s+", " ", text.strip().casefold())
        plain = re.sub(r"100 ?% | (?:gas|mix|mixture)$", "", whole)
        plain = re.sub(r"^c-(?=\d+$)", "c", plain)
        name = spelled(whole) or spelled(plain)
        if name is not None:
            return name, self.compositions[name]
        if match := re.fullmatch(r"(9\d)/(\d)", plain):
            raise InputError(
                f"gas: '{typed}' may mean oxygen or carbon dioxide; name both gases, "
                f"for example '{match[1]} Ar / {match[2]} O2'"
            )
        if match := re.fullmatch(r"(\d+)/(\d+)", plain):
            raise InputError(
                f"gas: '{typed}' names no gases; name both, for example "
                f"'{match[1]} Ar / {match[2]} CO2'"
            )
        if match := re.fullmatch(r"c(\d\d)", plain):  # C25: argon with 25 % CO2
            text = f"{100 - int(match[1])} Ar / {match[1]} CO2"
        group, composition = None, parse_mixture(text)
        if composition is None:
            group, composition = parse_designation(text)
        known = spelled(group) if group else None
        not_stated = composition is None or NOT_STATED in composition.values()
        if (
            known
            and not_stated
            and (not composition or holds(composition, self.compositions[known]))
        ):
            return known, self.compositions[known]
        if composition is None:
            return None
        for printed, shares in self.compositions.items():
            if shares == composition:
                return printed, shares
        shown = " / ".join(f"{s.low:g} {c}" for c, s in composition.items())
        return None if not_stated else (shown, composition)

    def wider(self, composition: Composition) -> list[str]:
        """Return the printed gases that include every mixture of a composition."""
        return [gas for gas, printed in self.compositions.items() if holds(printed, composition)]

    def narrower(self, composition: Composition) -> list[str]:
        """Return the printed gases that are only part of a composition given as ranges."""
        return [
            gas
            for gas, printed in self.compositions.items()
            if holds(composition, printed) and not holds(printed, composition)
        ]


@lru_cache(maxsize=8)
def gases_of(store: Store) -> Gases:
    """Return the gases of a store, read once."""
    return Gases(store)
