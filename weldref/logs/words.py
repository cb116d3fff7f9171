"""Resolve the words of a log, each spelling once, exactly as `weldref.check` does.

A log may hold thousands of spellings, known and unknown, so the vocabulary is kept in memory.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, field
from typing import Any

from weldref.core.situation import Situation, describe
from weldref.core.terms import Vocabulary
from weldref.core.units import UnitSystem, parse_number
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.logs.columns import CONDITIONS


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


@dataclass(frozen=True)
class QuickVocabulary(Vocabulary):
    """The vocabulary with every spelling in memory, and no search for near ones."""

    def _spelled(self, tree: str, text: str) -> str | None:
        return self.spellings.get((tree, " ".join(text.split()).casefold()))

    def _unknown(self, tree: str, called: str, text: str) -> str:  # noqa: ARG002
        return f"unknown {called}"


class Words:
    """Reads the words of a log's columns.

    Parameters
    ----------
    store
        The open store.
    units
        The unit system of bare sizes where their column names none.

    Examples
    --------
    >>> from weldref.data.store import open_store
    >>> words = Words(open_store(), "us")
    >>> found = words.read("process", ["mig", "GMAW", "alchemy", ""], None)
    >>> found["mig"] is found["GMAW"], found["alchemy"], found[""]
    (True, 'unknown process', None)
    """

    def __init__(self, store: Store, units: UnitSystem) -> None:
        self.store = Remembering(store.connection, store.digest, store.path, store.own)
        self.vocabulary = QuickVocabulary(self.store)
        self.units = units

    def read(
        self, column: str, texts: Iterable[str], unit: str | None
    ) -> dict[str, Situation | str | None]:
        """Resolve every spelling of a column; two that mean the same are one object.

        Parameters
        ----------
        column, texts, unit
            The field of the log, what stands there, and the unit of a bare size.

        Returns
        -------
        dict
            For each text a situation that states it alone, the reason why it was not read, or
            None where nothing is stated.
        """
        same: dict[Hashable, Situation] = {}
        found: dict[str, Situation | str | None] = {}
        for text in texts:
            if not text.strip():
                found[text] = None
                continue
            typed: dict[str, Any] = {argument(column): with_unit(text, unit)}
            try:
                part = describe(self.store, vocabulary=self.vocabulary, units=self.units, **typed)
            except InputError as error:
                found[text] = reason(column, error)
            else:
                found[text] = same.setdefault(part.key(CONDITIONS[column]), part)
        return found


def argument(column: str) -> str:
    """Name the argument of `weldref.check` that takes a column."""
    return "joint" if column == "joint_type" else column


def with_unit(text: str, unit: str | None) -> str:
    """Write a bare number with the unit of its column; a bare fraction is one of an inch.

    >>> with_unit("0.9", "mm"), with_unit("1/8 in", "mm"), with_unit("1/8", "mm")
    ('0.9 mm', '1/8 in', '1/8')
    """
    bare = parse_number(text) is not None and "/" not in text
    return f"{text} {unit}" if unit and bare else text


def reason(column: str, error: InputError) -> str:
    """Say in two or three words why a condition was not read."""
    called = column.replace("_", " ")
    return f"implausible {called}" if "plausible" in str(error) else f"unknown {called}"
