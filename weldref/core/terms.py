"""Resolve what people type, such as "stick" or "mild steel", to the terms that are stored."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Collection, Mapping
from contextlib import suppress
from functools import lru_cache
from itertools import chain
from typing import NamedTuple

from weldref.core.designations import (
    LONGEST,
    group_by_iso,
    group_by_pattern,
    metal,
    metals,
    plain,
    without_brackets,
    words,
)
from weldref.core.gas import Composition, gases_of
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


_SIGN = r"(?i)^((?:dc|e[np]\b|electrode)[^()]*)\(\s*([+-])\s*\)"
# "ISO 14341-A - G 42 4 M21 3Si1": strength, toughness and gas of the weld metal, then the wire.
_ISO_14341 = (
    r"(?:(?:EN)?ISO14341-A[:-]?)?G-?[345]\d-?[0-9AYZ]{1,2}-?(?:M\d\d|M|C1?)-?(?:G?)(\dSI\d)"
)


class Term(NamedTuple):
    """A term with its broader terms, each with its distance, and its narrower terms.

    `read_as` says how an unlisted spelling was understood, for example that a suffix was ignored.
    `membership` has, for broader terms that are groups of a code, the grade with which the
    membership was read. `passes_through` are the positions through which a weld in this position
    passes on its way round a pipe: a row for these can fail a value, but not pass it.
    """

    name: str
    broader: dict[str, int]
    narrower: frozenset[str]
    read_as: str = ""
    membership: Mapping[str, str] = {}
    passes_through: frozenset[str] = frozenset()


class Choice(NamedTuple):
    """A term that a form may offer.

    `title` is the term written out, or the term itself; `also` is a word that people use for it.
    """

    name: str
    title: str
    also: str | None = None

    def __str__(self) -> str:
        also = f" ({self.also})" if self.also else ""
        # Not "carbon steel: carbon steel".
        if _letters(self.name) in _letters(self.title):
            return f"{self.title}{also}"
        return f"{self.name}{also}: {self.title}"


class QuantityChoice(NamedTuple):
    """A quantity that a form may ask for, with the units of a bare number."""

    name: str
    title: str
    us_unit: str
    metric_unit: str


class Vocabulary:
    """The terms that the store knows."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def spellings(self, tree: str) -> dict[str, str]:
        """Return every spelling of a tree that means one term, with the term."""
        return _spellings_of(self.store, tree)

    def term(self, condition: str, text: str, kinds: Collection[str] = ()) -> Term:
        """Resolve what was typed for a condition.

        Parameters
        ----------
        condition, text
            A key of `TREE_OF`, and any common spelling.
        kinds
            The kinds of filler metal that the process takes, to tell which "308L" is meant.

        Raises
        ------
        InputError
            If the spelling is not known, or may mean two terms; the message offers near ones.

        Examples
        --------
        >>> from weldref.data.store import open_store
        >>> vocabulary = Vocabulary(open_store())
        >>> vocabulary.term("filler_class", "4043", ["covered electrode"]).name
        'E4043'
        """
        tree, called = TREE_OF[condition]
        if condition == "filler_class":
            return self._electrode(text, kinds)
        name = self._spelled(tree, text) or self._listed(tree, text)
        if name is not None:
            return self._term(tree, name)
        return self._in_parts(tree, called, text)

    def stored(self, tree: str, name: str) -> Term:
        """Return a term by its stored name."""
        return _named(self.store, tree, name)

    def material_in(self, text: str) -> str | None:
        """Return the most specific known metal that a written designation names.

        An unknown grade gives the metal of its standard, if that is not more specific; two metals,
        or a word that may be part of another grade, give None.

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
        """Return the transfer mode that is part of the name of a process.

        >>> from weldref.data.store import open_store
        >>> vocabulary = Vocabulary(open_store())
        >>> [vocabulary.transfer_in(text) for text in ("GMAW-S", "pulsed MIG", "GMAW")]
        ['short-circuiting', 'pulsed spray', None]
        """
        runs = self._runs("transfer_modes", re.sub(r"[()]", " ", process_text))
        # S or P alone may mean anything.
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
            If it is neither a known gas nor a mixture of known gases.
        """
        found = gases_of(self.store).named(text, lambda word: self._spelled("gases", word))
        if found is None:
            raise InputError(self._unknown("gases", "gas", text))
        return found

    def _spelled(self, tree: str, text: str) -> str | None:
        found = _spelled_so(self.store, tree, folded(text))
        if len(found) > 1:
            both = " or ".join(self._titled(tree, name) for name in found)
            called = next((called for name, called in TREE_OF.values() if name == tree), tree)
            raise InputError(f"{called}: '{text.strip()}' may mean {both}; give one of them")
        return found[0] if found else None

    def _titled(self, tree: str, name: str) -> str:
        (row,) = self.store.rows(
            f'SELECT name FROM "{tree}" WHERE term = $name',  # noqa: S608  a table of ours
            {"name": name},
        )
        return name if _letters(name) in _letters(row["name"]) else f"{name} ({row['name']})"

    def _listed(self, tree: str, text: str) -> str | None:
        """Return the term of a spelling, whatever its blanks, brackets and hyphens.

        "DC (+)", "A 36", "plasma-cutting".
        """
        forms = [
            text,
            re.sub(r"[\s()]", "", text),
            re.sub(r"(?<=[^\W\d])[-_](?=[^\W\d])", " ", text),
        ]
        if tree == "materials":
            name = metal(text)
            forms += [name, name.replace("type ", ""), re.sub(r"\bgr\.\s*", "gr ", folded(text))]
            forms += [f"{name} steel"] if re.search(r"\dcr\b", name) else []
        if tree == "specifications":  # the edition is not part of the name: D1.1:2020
            forms += [re.sub(r"[:-]\s*(?:19|20)\d\d$", "", text.strip())]
        spellings = self.spellings(tree)
        known = (spellings.get(folded(form)) for form in forms)
        return next(filter(None, known), None)

    def _runs(self, tree: str, text: str) -> list[tuple[str, str | None]]:
        """Divide a text into the longest runs of words that name a term, and the words between."""
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

        The part inside or outside the brackets may be unknown and is then ignored, with a note;
        parts that contradict each other are refused.
        """
        typed = metal(text) if tree == "materials" else plain(text)
        if tree == "polarities":  # a sign means a polarity only after a current or an electrode
            typed = re.sub(_SIGN, r"\1(dc\2)", typed)
        names: list[str] = []
        whole = False
        unread: list[str] = []
        for part in without_brackets(typed):
            runs = self._runs(tree, part)
            known = [name for _, name in runs if name]
            rest = [run for run, name in runs if name is None]
            if tree == "processes":  # the transfer mode does not change it (see `transfer_in`)
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
        if name and tree == "processes" and "welding" in words(folded(text)):
            # "laser welding" does not mean laser cutting
            (row,) = self.store.rows(
                "SELECT work FROM processes WHERE term = $name", {"name": name}
            )
            name = name if row["work"] == "welding" else None
        if name is None or not whole:
            raise InputError(self._unknown(tree, called, text))
        note = f"{text} read as {name}; '{unread[0]}' ignored" if unread else ""
        return self._term(tree, name, note)

    def _metal_in(self, text: str) -> str | None:
        names: list[str] = []
        bare, known = False, True
        for run, name in self._runs("materials", re.sub(r"[()]", " ", text)):
            coded = bool(re.search(r"\d", run)) or len(run) == 1
            if name is None and coded and bare:
                # "A106 C": a bare A106 means another grade.
                return None
            # "A1008 SS 30": what follows an unknown number may be part of its grade.
            if name is not None and (known or len(run) > 4):
                names.append(name)
                bare = name.casefold().startswith(f"{run.removeprefix('sa-')} ")
            known = name is not None or not coded
        return self._narrowest("materials", names)

    def _term(self, tree: str, name: str, read_as: str = "", given: str = "") -> Term:
        term = _named(self.store, tree, name)
        if given:  # an unlisted class is one step below the listed one
            broader = {other: depth + 1 for other, depth in term.broader.items()}
            term = term._replace(name=given, broader=broader, narrower=frozenset())
        return term._replace(read_as=read_as)

    def _electrode(self, text: str, kinds: Collection[str]) -> Term:
        """Resolve an electrode class; suffixes that the table lacks are ignored, with a note.

        Of classes with the same digits, one of the `kinds` that the process takes is preferred.
        """
        shown = re.sub(r"\s+", " ", plain(text).strip())
        compact = shown.upper().replace(" ", "")
        base = re.sub(r"(?<=.)[-]?(?:H(?:4|8|16)R?|R|J)$", "", compact)
        if kinds or compact.startswith("E"):
            by_digits = self._by_digits(shown, compact, kinds)
            if by_digits is not None:
                return by_digits
        for candidate in (shown, compact, base, base.removeprefix("E")):
            name = self._spelled("electrode_classes", candidate)
            if name is not None:
                left = "" if candidate in (shown, compact) else compact[len(base) :]
                note = f"{shown} read as {name}; suffix {left} ignored" if left else ""
                return self._term("electrode_classes", name, note, shown if left else "")
        if match := re.fullmatch(_ISO_14341, compact):
            name = self._spelled("electrode_classes", match[1])
            if name is not None:
                return self._term("electrode_classes", name, f"{shown} read as its wire {name}")
        by_digits = self._by_digits(shown, compact, ())
        if by_digits is not None:
            return by_digits
        if "-" in base.removeprefix("E"):
            name = self._spelled("electrode_classes", base.rsplit("-", 1)[0])
            if name is not None and base.startswith(name.upper()):
                note = f"{shown} is not listed; read as a kind of {name}"
                return self._term("electrode_classes", name, note, shown)
        group = group_by_pattern(base) or group_by_iso(shown)
        if group is not None:
            note = f"{shown} is not listed; read as a kind of {group}"
            return self._term("electrode_classes", group, note, shown)
        raise InputError(self._unknown("electrode_classes", "electrode", text))

    def _by_digits(self, shown: str, compact: str, kinds: Collection[str]) -> Term | None:
        """Find the class that is meant by its digits: "308L", "E308L".

        It is of one of the kinds that the process takes, or of any kind if none is given.
        """
        match = re.fullmatch(r"(ER?|)(\d{2,4}[A-Z]*)", compact)
        if match is None:
            return None
        tree = "electrode_classes"
        listed = broader_of(self.store, tree)
        wanted = re.compile(rf"{match[1] or 'ER?'}{match[2]}(?:T?-?\d.*|-[A-Z]+)?", re.IGNORECASE)
        every = sorted(name for name in listed if wanted.fullmatch(name))
        fitting = [name for name in every if not kinds or not listed[name].isdisjoint(kinds)]
        # What is meant is the class itself, or the covering that the table names for it.
        usual = self._spelled(tree, f"E{match[2]}")
        alone = {f"E{match[2]}".casefold(), f"ER{match[2]}".casefold()}
        meant = [n for n in fitting if n == usual or n.casefold() in alone] or fitting
        if not meant:
            return None
        others = [name for name in every if not name.startswith(tuple(meant))]
        note = f"{shown} read as {_either(meant)}" if others or len(meant) > 1 else ""
        if others:
            note += f", not as {_either(others)}"
        return _one_of(shown, [self._term(tree, name) for name in meant], note)

    def _unknown(self, tree: str, called: str, text: str) -> str:
        near = near_terms(self.store, tree, text)
        if near:
            return f"{called}: '{text}' is not known; did you mean {', '.join(near)}?"
        listed = _offered(self.store, tree)
        some = ", ".join(listed[:12]) + (" ..." if len(listed) > 12 else "")
        return f"{called}: '{text}' is not known; give one of {some}"


def choices(store: Store, condition: str, process: str | None = None) -> tuple[Choice, ...]:
    """List what a form may offer for a condition of the situation, in the order of the table.

    Parameters
    ----------
    store
        The open store.
    condition
        "gas" or one of the conditions in `TREE_OF`.
    process
        Stored name of a process: terms that its published rows name come first.

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


def folded(text: str) -> str:
    r"""Write a text in the form in which spellings are stored: lower case, plain signs.

    >>> folded("  Mild\u00a0Steel "), folded("CO\u2082"), folded("3\u201316 L")
    ('mild steel', 'co2', '3-16 l')
    """
    # Bytes that are not text can be typed at a terminal, but the database refuses them.
    known = plain(text.encode("utf-8", "replace").decode())
    return " ".join(unicodedata.normalize("NFKC", known).split()).casefold()


# A store never changes, so what is kept by store cannot go stale.
# A short program spends most of its time in duckdb; without joins and sorting it is a third.
@lru_cache(maxsize=8192)
def _spelled_so(store: Store, tree: str, spelling: str) -> tuple[str, ...]:
    """Return the terms of a tree with a folded spelling: two if it may mean both."""
    rows = store.rows(
        "SELECT term FROM spellings WHERE tree = $tree AND spelling = $spelling",
        {"tree": tree, "spelling": spelling},
    )
    return tuple(sorted(row["term"] for row in rows))


@lru_cache(maxsize=8192)
def _named(store: Store, tree: str, name: str) -> Term:
    """Return a term by its stored name, its nearest broader terms first."""
    rows = store.rows(
        """
        SELECT term, broader, depth, membership FROM broader_terms
        WHERE tree = $tree AND (term = $name OR broader = $name)
        """,
        {"tree": tree, "name": name},
    )
    mine = sorted(
        (row["depth"], row["broader"], row["membership"]) for row in rows if row["term"] == name
    )
    passes = _passes_through(store) if tree == "positions" else {}
    return Term(
        name,
        {broader: depth for depth, broader, _ in mine},
        frozenset(row["term"] for row in rows if row["term"] != name),
        membership={broader: grade for _, broader, grade in mine if grade},
        passes_through=passes.get(name, frozenset()),
    )


@lru_cache(maxsize=64)
def _spellings_of(store: Store, tree: str) -> dict[str, str]:
    """Return every spelling of a tree with its term, without those that may mean two terms."""
    rows = store.rows("SELECT term, spelling FROM spellings WHERE tree = $tree", {"tree": tree})
    several = {word for word, count in Counter(r["spelling"] for r in rows).items() if count > 1}
    found = sorted((row["term"], row["spelling"]) for row in rows)
    return {spelling: term for term, spelling in found if spelling not in several}


@lru_cache(maxsize=8)
def _passes_through(store: Store) -> dict[str, frozenset[str]]:
    rows = store.rows("SELECT term, passes_through FROM positions WHERE passes_through IS NOT NULL")
    return {row["term"]: frozenset(row["passes_through"].split("; ")) for row in rows}


def _one_of(shown: str, terms: list[Term], read_as: str) -> Term:
    """Return a term for one of several: what is broader than all applies, the rest may."""
    if len(terms) == 1:
        return terms[0]._replace(read_as=read_as)
    shared = set.intersection(*(set(term.broader) for term in terms))
    either = frozenset[str]().union(*(term.narrower.union(term.broader) for term in terms))
    broader = {name: max(term.broader[name] for term in terms) for name in sorted(shared)}
    return Term(shown, {shown: 0} | broader, either - shared, read_as)


def _either(names: list[str]) -> str:
    """List a few names: "E308L-15, E308L-17 or ER308L"."""
    if len(names) > 4:
        return ", ".join([*names[:3], "..."])
    return " or ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def near_terms(store: Store, tree: str, text: str) -> list[str]:
    """List the terms with a spelling near a text, of one family.

    >>> from weldref.data.store import open_store
    >>> near_terms(open_store(), "materials", "1046"), near_terms(open_store(), "joints", "A36")
    (['AISI 1045', 'AISI 1040', 'AISI 1026', 'AISI 1006'], [])
    """
    from difflib import get_close_matches

    if tree == "specifications":  # another number is another code
        return []
    typed, work = _apart(folded(text[:LONGEST]))
    known = {
        name: term
        for spelling, term in _spellings_of(store, tree).items()
        if _alike(typed, spelling)
        for name, of in [_apart(spelling)]
        if work in ("", of)
    }
    cutoff = 0.6 if re.search(r"\d", typed) else 0.72
    close = [known[one] for one in get_close_matches(typed, known, n=12, cutoff=cutoff)]
    if close and tree in ("materials", "electrode_classes"):
        # Only the most frequent family: a steel is never offered beside aluminium.
        families = broader_of(store, tree)
        roots = [[term for term in families[n] if len(families[term]) == 1] for n in close]
        family = Counter(chain.from_iterable(roots)).most_common(1)[0][0]
        close = [name for name in close if family in families[name]]
    return list(dict.fromkeys(close))[:4]


def _apart(text: str) -> tuple[str, str]:
    """Divide "laser welding" into "laser" and the work, so that it is not near "laser cutting"."""
    name, _, work = text.rpartition(" ")
    return (name, work) if name and work in ("welding", "cutting") else (text, "")


def _alike(one: str, other: str) -> bool:
    """Tell whether two texts may differ by one slip: the letters and first digits are alike."""
    first, second = (re.fullmatch(r"(?s)(\D*)(\d+).*", text) for text in (one, other))
    if first is None or second is None:
        return first is second
    if first[1] != second[1]:
        return False
    alike = 2 if len(first[2]) > 3 else 1
    longer = abs(len(first[2]) - len(second[2]))
    return first[2][:alike] == second[2][:alike] and longer < (2 if len(first[2]) > 2 else 1)


@lru_cache(maxsize=64)
def broader_of(store: Store, tree: str) -> dict[str, frozenset[str]]:
    """Return every term of a tree with itself and all broader terms, in the order of the table.

    >>> from weldref.data.store import open_store
    >>> sorted(broader_of(open_store(), "positions")["1G"])
    ['1G', 'all positions', 'flat', 'flat and horizontal']
    """
    key = "quantity" if tree == "quantities" else "term"
    listed = store.rows(f'SELECT "{key}" AS term FROM "{tree}"')  # noqa: S608  names of ours
    broader: dict[str, list[str]] = {row["term"]: [] for row in listed}
    for row in store.rows(
        "SELECT term, broader FROM broader_terms WHERE tree = $tree", {"tree": tree}
    ):
        broader[row["term"]].append(row["broader"])
    return {term: frozenset(names) for term, names in broader.items()}


def _offered(store: Store, tree: str) -> list[str]:
    """List what a message offers if nothing is near; of a large tree, the broadest terms."""
    families = broader_of(store, tree)
    broadest = [name for name, broader in families.items() if len(broader) == 1]
    return broadest if len(families) > 30 else list(families)


def _letters(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", text.casefold())


def _also(row: dict[str, str | None]) -> str | None:
    """Return the first spelling if it is a word that the title does not have.

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
