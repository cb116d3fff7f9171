"""Resolve the words of a log, each spelling once, exactly as `weldref.check` does.

A log may have thousands of spellings, known and unknown, so the vocabulary is kept in memory.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from typing import Any

from weldref.core.situation import Situation, describe
from weldref.core.terms import Vocabulary, folded
from weldref.core.units import UnitSystem, parse_number
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.logs.columns import CONDITIONS


class QuickVocabulary(Vocabulary):
    """The vocabulary with every spelling in memory, without the search for near ones."""

    def _spelled(self, tree: str, text: str) -> str | None:
        known = self.spellings(tree).get(folded(text))
        return known or super()._spelled(tree, text)

    def _unknown(self, tree: str, called: str, text: str) -> str:  # noqa: ARG002
        return f"unknown {called}"


class Words:
    """Reads the words of a log's columns, each once; two with the same meaning give one object.

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
    >>> mig, gmaw, alchemy, blank = (
    ...     words.read("process", text) for text in ("mig", "GMAW", "alchemy", ""))
    >>> mig is gmaw, alchemy, blank
    (True, 'unknown process', None)
    """

    def __init__(self, store: Store, units: UnitSystem) -> None:
        self.store = store
        self.vocabulary = QuickVocabulary(store)
        self.units = units
        self._read: dict[tuple[str, str, str | None], Situation | str | None] = {}
        self._same: dict[tuple[str, Hashable], Situation] = {}

    def read(
        self,
        column: str,
        text: str,
        unit: str | None = None,
        process: Situation | str | None = None,
    ) -> Situation | str | None:
        """Resolve one cell.

        Parameters
        ----------
        column, text, unit
            The field of the log, the text of the cell, and the unit of a bare size.
        process
            The record's process, on which the meaning of "308L" depends.

        Returns
        -------
        Situation, str or None
            A situation that states only this, the reason why it was not read, or None if the
            cell is empty.
        """
        context = None
        if column == "electrode" and isinstance(process, Situation):
            context = process.terms["process"].name
        key = (column, text, context)
        if key not in self._read:
            self._read[key] = self._resolved(column, text, unit, context)
        return self._read[key]

    def _resolved(
        self, column: str, text: str, unit: str | None, process: str | None
    ) -> Situation | str | None:
        if not text.strip():
            return None
        condition = CONDITIONS[column]
        typed: dict[str, Any] = {argument(column): with_unit(text, unit)}
        if process is not None:
            typed["process"] = process
        try:
            part = describe(self.store, vocabulary=self.vocabulary, units=self.units, **typed)
        except InputError as error:
            return reason(column, error)
        if process is not None:
            part = replace(part, terms={condition: part.terms[condition]})
        return self._same.setdefault((condition, part.key(condition)), part)


def argument(column: str) -> str:
    """Return the argument of `weldref.check` for a field of a log."""
    return "joint" if column == "joint_type" else column


def with_unit(text: str, unit: str | None) -> str:
    """Add the unit of its column to a bare number; a bare fraction is in inches.

    >>> with_unit("0.9", "mm"), with_unit("1/8 in", "mm"), with_unit("1/8", "mm")
    ('0.9 mm', '1/8 in', '1/8')
    """
    bare = parse_number(text) is not None and "/" not in text
    return f"{text} {unit}" if unit and bare else text


def reason(column: str, error: InputError) -> str:
    """Write in a few words why a condition was not read."""
    called = column.replace("_", " ")
    return f"implausible {called}" if "plausible" in str(error) else f"unknown {called}"
