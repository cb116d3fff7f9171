"""What do the words of a log mean? Each spelling once, beside the terms that rows print.

A word is resolved exactly as `weldref.check` resolves it, from a copy of the vocabulary in
memory: a log may hold thousands of spellings, known and unknown.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from weldref.core.gas import Gases
from weldref.core.lookup import ASSUMED, GRADES, NARROWER
from weldref.core.situation import electrode_size
from weldref.core.terms import TREE_OF, Vocabulary
from weldref.core.units import UnitSystem, parse_number
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.logs.columns import CONDITIONS


def digit(code: int) -> int:
    """Write how a row's condition stands to the situation as a digit above 0.

    >>> digit(NARROWER), digit(ASSUMED), digit(0), digit(2)
    (1, 2, 3, 5)
    """
    return code + 3


def code(digit: int) -> int | None:
    """Read a digit back; None where the row states nothing."""
    return digit - 3 if digit else None


@dataclass(frozen=True, slots=True)
class Remembering(Store):
    """A store that answers the same question from memory the second time."""

    answers: dict[str, list[dict[str, Any]]] = field(
        default_factory=dict, repr=False, compare=False
    )

    def rows(self, sql: str, parameters: dict[str, Any] | None = None) -> list[dict[str, Any]]:
        """Run a query of our own and return its rows as dictionaries."""
        question = f"{sql}{parameters}"
        if question not in self.answers:
            self.answers[question] = Store.rows(self, sql, parameters)
        # Callers change the rows that they get.
        return [dict(row) for row in self.answers[question]]


def remembering(store: Store) -> Store:
    """Return the same store with a memory."""
    return Remembering(store.connection, store.digest, store.path)


@dataclass(frozen=True)
class QuickVocabulary(Vocabulary):
    """The vocabulary with every spelling in memory, and no search for near ones."""

    def _spelled(self, tree: str, text: str) -> str | None:
        return self.spellings.get((tree, " ".join(text.split()).casefold()))

    def _unknown(self, tree: str, called: str, text: str) -> str:  # noqa: ARG002
        return f"unknown {called}"


@dataclass(frozen=True, slots=True)
class Standing:
    """How a word stands to the terms that rows print.

    `codes` holds a digit for each term that does not contradict it; `membership` holds, for a
    term reached through a code's group, 1 + the place in GRADES of how that group was read.
    """

    codes: Mapping[str, int]
    membership: Mapping[str, int]


def standing(
    vocabulary: QuickVocabulary,
    column: str,
    text: str,
    unit: str | None,
    units: UnitSystem,
    printed: Iterable[str],
) -> Standing:
    """Compare one word of a log with the terms that rows print.

    Parameters
    ----------
    vocabulary
        The words that are known.
    column, text, unit
        The field of the log, what stands there, and the unit of a bare size.
    units
        The unit system of bare sizes where `unit` is None.
    printed
        The terms that rows state for this condition.

    Raises
    ------
    InputError
        If the word is not known.
    """
    store = vocabulary.store
    condition = CONDITIONS[column]
    narrower: Iterable[str] = ()
    membership: Mapping[str, str] = {}
    if condition in TREE_OF:
        term = vocabulary.term(condition, text)
        same, narrower, membership = term.broader, term.narrower, term.membership
    elif condition == "gas":
        gases = Gases(store)
        _, composition = vocabulary.gas(text)
        same = {
            gas: int(gases.compositions[gas] != composition) for gas in gases.wider(composition)
        }
        narrower = gases.narrower(composition)
    else:
        label, sizes = electrode_size(store, with_unit(text, unit), units)
        same = sizes or {label: 0}
    codes = {term: digit(NARROWER) for term in narrower} | {
        term: digit(depth) for term, depth in same.items()
    }
    terms = set(printed)
    return Standing(
        {term: found for term, found in codes.items() if term in terms},
        {
            term: 1 + GRADES.index(grade)
            for term, grade in membership.items()
            if term in terms and term in codes
        },
    )


def with_unit(text: str, unit: str | None) -> str:
    """Write a bare number with the unit of its column; a bare fraction is one of an inch.

    >>> with_unit("0.9", "mm"), with_unit("1/8 in", "mm"), with_unit("1/8", "mm")
    ('0.9 mm', '1/8 in', '1/8')
    """
    bare = parse_number(text) is not None and "/" not in text
    return f"{text} {unit}" if unit and bare else text


@dataclass(frozen=True, slots=True)
class Words:
    """Every spelling of one column, resolved.

    `term_of` maps a spelling to the number of its standing, or to a reason why it has none;
    `standings` holds each standing once, by number; 0 is a condition that was not given.
    """

    column: str
    term_of: Mapping[str, int | str]
    standings: tuple[Standing, ...]


def read_words(
    store: Store,
    column: str,
    texts: Iterable[str],
    unit: str | None,
    units: UnitSystem,
    printed: Iterable[str],
) -> Words:
    """Resolve every spelling of a column; two words that stand alike to every row are one.

    Examples
    --------
    >>> from weldref.data.store import open_store
    >>> words = read_words(open_store(), "process", ["mig", "GMAW", "alchemy", ""], None, "us",
    ...     ["GMAW", "SMAW"])
    >>> dict(words.term_of)
    {'mig': 1, 'GMAW': 1, 'alchemy': 'unknown process', '': 0}
    """
    vocabulary = QuickVocabulary(store)
    terms = sorted(printed)
    not_given = Standing(dict.fromkeys(terms, digit(ASSUMED)), {})
    numbers: dict[tuple[Any, ...], int] = {}
    standings = [not_given]
    term_of: dict[str, int | str] = {}
    for text in texts:
        if not text.strip():
            term_of[text] = 0
            continue
        try:
            found = standing(vocabulary, column, text, unit, units, terms)
        except InputError as error:
            term_of[text] = reason(column, error)
            continue
        key = (*sorted(found.codes.items()), *sorted(found.membership.items()))
        if key not in numbers:
            numbers[key] = len(standings)
            standings.append(found)
        term_of[text] = numbers[key]
    return Words(column, term_of, tuple(standings))


def reason(column: str, error: InputError) -> str:
    """Say in two or three words why a condition was not read."""
    called = column.replace("_", " ")
    return f"implausible {called}" if "plausible" in str(error) else f"unknown {called}"
