"""What does "stick on mild steel" mean? From what people type to the one spelling stored."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

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


@dataclass(frozen=True, slots=True)
class Choice:
    """A term that a form may offer.

    `title` is the term written out, or the term where its name says no more; `also` is a word
    that people use for it.
    """

    name: str
    title: str
    also: str | None = None

    def __str__(self) -> str:
        also = f" ({self.also})" if self.also else ""
        # "carbon steel: carbon steel" would say one thing twice.
        if _letters(self.name) in _letters(self.title):
            return f"{self.title}{also}"
        return f"{self.name}{also}: {self.title}"


@dataclass(frozen=True, slots=True)
class QuantityChoice:
    """A quantity that a form may ask for, with the units in which a bare number is read."""

    name: str
    title: str
    us_unit: str
    metric_unit: str


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
        words = re.sub(r"[-_\s]+", " ", text.strip())
        name = (
            self._spelled("quantities", words.replace(" ", "_"))
            or self._spelled("quantities", words)
            or self._spelled("quantities", text)
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
        # A byte that is no text can be typed at a terminal, and the database takes none.
        plain = text.encode("utf-8", "replace").decode()
        folded = re.sub(r"\s+", " ", plain.strip()).casefold()
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
        from difflib import get_close_matches

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


def choices(store: Store, condition: str, process: str | None = None) -> tuple[Choice, ...]:
    """List what a form may offer for a condition of the situation, in the order of the table.

    Parameters
    ----------
    store
        The open store.
    condition
        "gas" or one of the conditions in `TREE_OF`.
    process
        Stored name of a process: what its published rows name comes first.

    Examples
    --------
    >>> from weldref.store import open_store
    >>> str(choices(open_store(), "process")[0])
    'SMAW (stick): shielded metal arc welding'
    >>> choices(open_store(), "filler_class", "GMAW")[0].name.startswith("ER")
    True
    """
    tree = "gases" if condition == "gas" else TREE_OF[condition][0]
    rows = store.rows(
        f"""
        SELECT term, coalesce(name, term) AS title, spellings, term IN (
            SELECT "{condition}" FROM windows WHERE process IN (
                SELECT broader FROM broader_terms WHERE tree = 'processes' AND term = $process
                UNION
                SELECT term FROM broader_terms WHERE tree = 'processes' AND broader = $process
            )
        ) AS published
        FROM "{tree}" t ORDER BY published DESC, t.rowid
        """,  # noqa: S608  both names come from our own table of conditions
        {"process": process},
    )
    return tuple(Choice(r["term"], r["title"], _also(r)) for r in rows)


def quantity_choices(store: Store) -> dict[str, QuantityChoice]:
    """List the quantities by their stored names.

    >>> from weldref.store import open_store
    >>> quantity_choices(open_store())["wire_feed_speed"].us_unit
    'in/min'
    """
    rows = store.rows("SELECT quantity, name, us_unit, metric_unit FROM quantities ORDER BY rowid")
    return {
        r["quantity"]: QuantityChoice(r["quantity"], r["name"], r["us_unit"], r["metric_unit"])
        for r in rows
    }


def _letters(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", text.casefold())


def _also(row: dict[str, str | None]) -> str | None:
    """Take the first spelling where it is a word that the title does not hold already.

    >>> _also({"term": "SMAW", "title": "shielded metal arc welding", "spellings": "stick; mma"})
    'stick'
    >>> _also({"term": "OFW", "title": "oxyfuel gas welding", "spellings": "oxyfuel welding"})
    """
    first = (row["spellings"] or "").split("; ")[0]
    titled = re.findall(r"[a-z0-9]+", f"{row['term']} {row['title']}".casefold())
    new = [
        word
        for word in re.findall(r"[a-z]+", first)
        if not any(known.startswith(word) for known in titled)
    ]
    plain = re.fullmatch(r"[a-z][a-z -]{2,}", first) and _letters(first) not in "".join(titled)
    return first if new and plain else None
