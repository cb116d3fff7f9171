"""What does "stick on mild steel" mean? From what people type to the one spelling stored."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

from weldref.core.designations import LONGEST, group_by_pattern, metal, metals, parted, words
from weldref.core.gas import Composition, Gases
from weldref.data.store import Store
from weldref.errors import InputError

# The condition of a situation -> the tree that holds its terms, and what a message calls it.
TREE_OF = {
    "process": ("processes", "process"),
    "transfer_mode": ("transfer_modes", "transfer mode"),
    "material": ("materials", "material"),
    "filler_class": ("electrode_classes", "electrode class"),
    "joint": ("joints", "joint"),
    "position": ("positions", "position"),
    "polarity": ("polarities", "polarity"),
    "tungsten_class": ("tungsten_terms", "tungsten"),
    "scope": ("specifications", "code"),
}


_SIGN = re.compile(r"^((?:dc|e[np]\b|electrode)[^()]*)\(\s*([+-])\s*\)", re.IGNORECASE)
# "ISO 14341-A - G 42 4 M21 3Si1": strength, toughness and gas of the weld metal, then the wire.
_ISO_14341 = re.compile(
    r"(?:(?:EN)?ISO14341-A[:-]?)?G-?[345]\d-?[0-9AYZ]{1,2}-?(?:M\d\d|M|C1?)-?(?:G?)(\dSI\d)"
)


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

    @cached_property
    def spellings(self) -> dict[tuple[str, str], str]:
        """Every tree and spelling with its term, for texts that take many look-ups."""
        rows = self.store.rows("SELECT tree, lower(spelling) AS spelling, term FROM spellings")
        return {(r["tree"], r["spelling"]): str(r["term"]) for r in rows}

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
        name = self._spelled(tree, text) or self._listed(tree, text)
        if name is not None:
            return self._term(tree, name)
        return self._in_parts(tree, called, text)

    def stored(self, tree: str, name: str) -> Term:
        """Return a term by its stored name."""
        return _stored(self.store, tree, name)

    def material_in(self, text: str) -> str | None:
        """Find the most specific known metal that a written designation names.

        A grade that is not known leaves its standard, if that says no more than the text; two
        metals, or a word that may be part of another grade, leave nothing.

        >>> from weldref.data.store import open_store
        >>> vocabulary = Vocabulary(open_store())
        >>> [vocabulary.material_in(text) for text in ("A572 Gr. 50 plate", "A500 Gr. C", "A106 A")]
        ['A572 50', 'A500', None]
        """
        with suppress(InputError):
            return self.term("material", text).name
        sides = {self._metal_in(side) for side in metals(text)}
        return sides.pop() if len(sides) == 1 else None

    def transfer_in(self, process_text: str) -> str | None:
        """Find the transfer mode that the letters or words of a process name.

        >>> from weldref.data.store import open_store
        >>> vocabulary = Vocabulary(open_store())
        >>> [vocabulary.transfer_in(text) for text in ("GMAW-S", "pulsed MIG", "GMAW")]
        ['short-circuiting', 'pulsed spray', None]
        """
        runs = self._runs("transfer_modes", re.sub(r"[()]", " ", process_text))
        # A lone S or P may stand for anything.
        return self._narrowest("transfer_modes", [n for run, n in runs if n and len(run) > 1])

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
        found = Gases(self.store).named(text, lambda word: self._spelled("gases", word))
        if found is None:
            raise InputError(self._unknown("gases", "gas", text))
        return found

    def _spelled(self, tree: str, text: str) -> str | None:
        # A byte that is no text can be typed at a terminal, and the database takes none.
        plain = text.encode("utf-8", "replace").decode()
        folded = re.sub(r"\s+", " ", plain.strip()).casefold()
        rows = self.store.rows(
            "SELECT term FROM spellings WHERE tree = $tree AND lower(spelling) = $folded",
            {"tree": tree, "folded": folded},
        )
        return str(rows[0]["term"]) if rows else None

    def _listed(self, tree: str, text: str) -> str | None:
        """Find a spelling, whatever blanks and brackets part its letters: "DC (+)", "A 36"."""
        forms = [text, re.sub(r"[\s()]", "", text)]
        if tree == "materials":
            forms += [metal(text), metal(text).replace("type ", "")]
        known = (self.spellings.get((tree, " ".join(form.split()).casefold())) for form in forms)
        return next(filter(None, known), None)

    def _runs(self, tree: str, text: str) -> list[tuple[str, str | None]]:
        """Part a text into the longest runs of words that name a term, and the words between."""
        left = words(text[:LONGEST])
        runs: list[tuple[str, str | None]] = []
        while left:
            for size in range(min(5, len(left)), 0, -1):
                run = " ".join(left[:size])
                name = self._listed(tree, run)
                if name is not None:
                    break
            runs.append((run, name))
            del left[:size]
        return runs

    def _narrowest(self, tree: str, names: list[str]) -> str | None:
        """Return the term that is a kind of all the others; None if there is none."""
        for name in dict.fromkeys(names):
            if self._term(tree, name).broader.keys() >= set(names):
                return name
        return None

    def _in_parts(self, tree: str, called: str, text: str) -> Term:
        """Read a text whose parts name terms: "DC straight polarity", "A36 (carbon steel)".

        What stands inside or outside a bracket may be unknown and is then left aside, aloud;
        parts that contradict each other are refused.
        """
        plain = metal(text) if tree == "materials" else text
        if tree == "polarities":  # a sign alone tells it only beside the current or the electrode
            plain = _SIGN.sub(r"\1(dc\2)", text)
        names: list[str] = []
        whole = False
        unread: list[str] = []
        for part in parted(plain):
            runs = self._runs(tree, part)
            known = [name for _, name in runs if name]
            rest = [run for run, name in runs if name is None]
            if tree == "processes":  # its transfer mode leaves it what it is: `transfer_in`
                rest = [run for run in rest if run.casefold() not in ("welding", "process")]
                modes = self._runs("transfer_modes", " ".join(rest))
                rest = [run for run, mode in modes if mode is None]
                lettered = (run.rpartition("-")[0] for run, mode in modes if mode)  # "GMAW-S"
                known += filter(None, (self._listed(tree, process) for process in lettered))
            names += known
            whole = whole or bool(known and not rest)
            unread += [part] if rest else []
        name = self._narrowest(tree, names)
        if name is None and names:
            both = " and ".join(dict.fromkeys(names))
            raise InputError(f"{called}: '{text}' names {both}; give one of them")
        if name is None or not whole:
            raise InputError(self._unknown(tree, called, text))
        note = f"{text} read as {name}; '{unread[0]}' left aside" if unread else ""
        return self._term(tree, name, note)

    def _metal_in(self, text: str) -> str | None:
        names: list[str] = []
        bare, known = False, True
        for run, name in self._runs("materials", re.sub(r"[()]", " ", text)):
            coded = bool(re.search(r"\d", run)) or len(run) == 1
            if name is None and coded and bare:
                # "A106 C": a bare A106 stands for another grade.
                return None
            # "A1008 SS 30": what follows an unknown number may be part of its grade.
            if name is not None and (known or len(run) > 4):
                names.append(name)
                bare = name.casefold().startswith(f"{run.removeprefix('sa-')} ")
            known = name is not None or not coded
        return self._narrowest("materials", names)

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
                left = "" if candidate in (shown, compact) else compact[len(plain) :]
                note = f"{shown} read as {name}; suffix {left} left aside" if left else ""
                return self._term("electrode_classes", name, note, shown if left else "")
        if match := _ISO_14341.fullmatch(compact):
            name = self._spelled("electrode_classes", match[1])
            if name is not None:
                return self._term("electrode_classes", name, f"{shown} read as its wire {name}")
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


@lru_cache(maxsize=4096)
def _stored(store: Store, tree: str, name: str) -> Term:
    return Vocabulary(store)._term(tree, name)


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
    >>> from weldref.data.store import open_store
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

    >>> from weldref.data.store import open_store
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
