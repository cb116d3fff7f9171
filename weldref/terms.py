"""What does "stick on mild steel" mean? From what people type to the one spelling stored."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from difflib import get_close_matches

from weldref.errors import InputError
from weldref.gas import Composition, Gases, parse_mixture
from weldref.store import Store

# The condition of a situation -> the tree that holds its terms, and what a message calls it.
TREE_OF = {
    "process": ("processes", "process"),
    "transfer_mode": ("transfer_modes", "transfer mode"),
    "material": ("materials", "material"),
    "filler_class": ("electrode_classes", "electrode class"),
    "joint": ("joints", "joint"),
    "position": ("positions", "position"),
    "polarity": ("polarities", "polarity"),
}


@dataclass(frozen=True, slots=True)
class Term:
    """A term with what is broader and what is narrower, each with its distance.

    `read_as` says how an unlisted spelling was understood, for example a suffix left aside.
    `membership` holds, for a broader term reached through a code's group, the grade with
    which that membership was read.
    """

    name: str
    broader: dict[str, int]
    narrower: frozenset[str]
    read_as: str = ""
    membership: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Vocabulary:
    """The terms that the store knows."""

    store: Store

    def term(self, condition: str, text: str) -> Term:
        """Resolve what was typed for a condition of the situation.

        Raises
        ------
        InputError
            If nothing is known by that spelling; the message offers near ones.
        """
        tree, called = TREE_OF[condition]
        if condition == "filler_class":
            return self._electrode(text)
        name = self._spelled(tree, text)
        if name is None:
            raise InputError(self._unknown(tree, called, text))
        return self._term(tree, name)

    def quantity(self, text: str) -> str:
        """Resolve the name of a quantity."""
        name = self._spelled("quantities", text.replace("-", "_")) or self._spelled(
            "quantities", text.replace("-", " ").replace("_", " ")
        )
        if name is None:
            raise InputError(self._unknown("quantities", "quantity", text))
        return name

    def gas(self, text: str) -> tuple[str, Composition]:
        """Resolve a gas to its name and composition.

        Raises
        ------
        InputError
            If it is no gas that is known and no mixture of known gases.
        """
        gases = Gases(self.store)
        spelled = re.sub(r"\s+", " ", text.strip().casefold()).removesuffix(" gas")
        spelled = spelled.replace("100% ", "").replace("100 % ", "")
        name = self._spelled("gases", spelled)
        if name is not None:
            return name, gases.compositions[name]
        if re.fullmatch(r"9\d/\d", spelled):
            raise InputError(
                f"gas: '{text}' may mean oxygen or carbon dioxide; name both gases, "
                f"for example '{spelled.split('/')[0]} Ar / {spelled.split('/')[1]} O2'"
            )
        composition = parse_mixture(text)
        if composition is None:
            raise InputError(self._unknown("gases", "gas", text))
        for known, printed in gases.compositions.items():
            if printed == composition:
                return known, composition
        return " / ".join(f"{s.low:g} {c}" for c, s in composition.items()), composition

    def _spelled(self, tree: str, text: str) -> str | None:
        folded = re.sub(r"\s+", " ", text.strip()).casefold()
        rows = self.store.rows(
            "SELECT term FROM spellings WHERE tree = $tree AND lower(spelling) = $folded",
            {"tree": tree, "folded": folded},
        )
        return str(rows[0]["term"]) if rows else None

    def _term(self, tree: str, name: str, read_as: str = "", given: str = "") -> Term:
        rows = self.store.rows(
            """
            SELECT broader AS other, depth, membership, true AS is_broader FROM broader_terms
            WHERE tree = $tree AND term = $name
            UNION ALL
            SELECT term, depth, NULL, false FROM broader_terms
            WHERE tree = $tree AND broader = $name AND term <> $name
            """,
            {"tree": tree, "name": name},
        )
        step = int(bool(given))  # an unlisted class stands one step below the listed one
        return Term(
            given or name,
            {r["other"]: r["depth"] + step for r in rows if r["is_broader"]},
            frozenset() if given else frozenset(r["other"] for r in rows if not r["is_broader"]),
            read_as,
            {r["other"]: r["membership"] for r in rows if r["is_broader"] and r["membership"]},
        )

    def _electrode(self, text: str) -> Term:
        """Resolve an electrode class; suffixes that the table lacks are left aside, aloud."""
        shown = re.sub(r"\s+", " ", text.strip())
        compact = shown.upper().replace(" ", "")
        plain = re.sub(r"(?<=.)[-]?(?:H(?:4|8|16)R?|R|J)$", "", compact)
        for candidate in (shown, compact, plain, plain.removeprefix("E")):
            name = self._spelled("electrode_classes", candidate)
            if name is not None:
                rest = compact if candidate in (plain, plain.removeprefix("E")) else ""
                left = (
                    compact.removeprefix("E").replace(name.removeprefix("E"), "", 1) if rest else ""
                )
                note = f"{shown} read as {name}; suffix {left} left aside" if left else ""
                return self._term("electrode_classes", name, note, shown if left else "")
        if "-" in plain.removeprefix("E"):
            base = self._spelled("electrode_classes", plain.rsplit("-", 1)[0])
            if base is not None:
                note = f"{shown} is not listed; read as a kind of {base}"
                return self._term("electrode_classes", base, note, shown)
        group = group_by_pattern(plain)
        if group is not None:
            note = f"{shown} is not listed; read as a kind of {group}"
            return self._term("electrode_classes", group, note, shown)
        raise InputError(self._unknown("electrode_classes", "electrode", text))

    def _unknown(self, tree: str, called: str, text: str) -> str:
        rows = self.store.rows(
            "SELECT spelling, term FROM spellings WHERE tree = $tree ORDER BY spelling",
            {"tree": tree},
        )
        by_spelling = {str(r["spelling"]): str(r["term"]) for r in rows}
        near = get_close_matches(text.strip().casefold(), by_spelling, n=4, cutoff=0.6)
        if near:
            offered = ", ".join(dict.fromkeys(by_spelling[n] for n in near))
            return f"{called}: '{text}' is not known; did you mean {offered}?"
        terms = list(dict.fromkeys(str(r["term"]) for r in rows))
        some = ", ".join(terms[:12]) + (" ..." if len(terms) > 12 else "")
        return f"{called}: '{text}' is not known; give one of {some}"


def group_by_pattern(compact: str) -> str | None:
    """Say what kind of consumable an unlisted class is, from the form of its designation.

    AWS A5.1 and A5.5: the last digit tells the covering; 5, 6 and 8 are low-hydrogen, as is
    the position-4 class. AWS A5.18: ER and C; AWS A5.20: T.

    >>> group_by_pattern("E9018-G"), group_by_pattern("ER80S-D2"), group_by_pattern("X1")
    ('low-hydrogen covered electrode', 'carbon steel wire or rod', None)
    """
    if match := re.fullmatch(r"E\d{2,3}[1234]([0-9])(?:[M-].*)?", compact):
        low = match[1] in "568"
        return f"{'low-hydrogen' if low else 'other than low-hydrogen'} covered electrode"
    if re.fullmatch(r"E\d{2}T\d?-.*", compact):
        return "flux cored wire"
    if re.fullmatch(r"E\d{2}C-.*", compact):
        return "metal cored wire"
    if re.fullmatch(r"ER\d{2,3}S-.*", compact):
        return "carbon steel wire or rod"
    return None
