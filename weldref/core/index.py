"""Index the rows of a table by each condition, to find those that apply to a situation fast.

A set of rows is one integer: bit *n* is row *n*. How the rows compare with a stated condition is
worked out once for each value and kept; finding the rows that apply to a situation then takes a
few operations on integers.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator
from functools import cached_property, lru_cache, reduce
from operator import itemgetter, or_
from typing import Any, NamedTuple, TypeVar

from weldref.core.bands import SLACK, Band
from weldref.core.gas import Gases, gases_of
from weldref.core.situation import Situation
from weldref.core.terms import TREE_OF
from weldref.data.store import Store

_T = TypeVar("_T")

# How a row's condition compares with the situation; 0 and above: it matches, so many steps away.
ASSUMED, NARROWER, CONTRADICTS = -1, -2, -3

NOMINAL = 0.02
"""A row for one nominal thickness also serves its twin in the other unit system (3.2 mm and
1/8 in): the greatest difference between the two, as a share."""

UNSTATABLE = ("technique", "pass", "other_condition")
"""Conditions that a situation cannot state: a row that has one always assumes it."""

CONDITIONS = (*TREE_OF, "electrode_size", "gas", "environment", "thickness", *UNSTATABLE)
"""The conditions of a row that are compared with a situation."""


class Standing(NamedTuple):
    """How each value that rows have for a condition compares with the stated one.

    `contradicting` are the rows that contradict it, `differing` those that match it, though not
    word for word.
    """

    codes: dict[Any, int]
    contradicting: int
    differing: int


def band_of(row: dict[str, Any]) -> Band | None:
    """Return the thickness band of a row; None if it states none."""
    low, high = row["thickness_min_si"], row["thickness_max_si"]
    if low is None and high is None:
        return None
    return Band(low, high, row["thickness_min_inclusive"], row["thickness_max_inclusive"])


def thickness_code(band: Band, thickness: float) -> int:
    """Compare a row's thickness band with a stated thickness, both in metres.

    >>> thickness_code(Band(0.0032, 0.0032, True, True), 0.125 * 0.0254)
    1
    """
    if band.nominal and band.low is not None:
        apart = abs(band.low / thickness - 1)
        if apart <= NOMINAL:
            return int(apart >= SLACK)
    return 0 if band.holds(thickness) else CONTRADICTS


class Index:
    """The rows of a table of windows for one quantity, or for all.

    Parameters
    ----------
    store
        The open store.
    table
        "windows" or "own_windows".
    quantity
        Stored name; all quantities when None.
    """

    def __init__(self, store: Store, table: str, quantity: str | None) -> None:
        self.store = store
        of = "" if quantity is None else "WHERE quantity = $quantity"
        rows = store.rows(
            f'SELECT * FROM "{table}" {of}',  # noqa: S608  the table is one of two of ours
            {} if quantity is None else {"quantity": quantity},
        )
        self.rows = sorted(rows, key=itemgetter("window_id"))
        documents = store.rows("SELECT source_id, name FROM documents")
        names = {row["source_id"]: row["name"] for row in documents}
        for row in self.rows:
            row["source"] = names[row["source_id"]]
        self.all = (1 << len(self.rows)) - 1
        self.values: dict[str, dict[Any, int]] = {name: defaultdict(int) for name in CONDITIONS}
        self.states: list[dict[str, Any]] = []
        for number, row in enumerate(self.rows):
            stated: dict[str, Any] = {
                name: row[name] for name in CONDITIONS if name != "thickness" and row[name]
            }
            band = band_of(row)
            if band is not None:
                stated["thickness"] = band
            self.states.append(stated)
            for name, value in stated.items():
                self.values[name][value] |= 1 << number
        self._standings: dict[tuple[str, Any], Standing] = {}
        self._kept: dict[Hashable, Any] = {}

    def standings(self, situation: Situation) -> dict[str, Standing]:
        """Compare the rows with each condition that the situation states."""
        return {name: self._standing(name, situation) for name in situation.stated}

    def applying(self, situation: Situation, standings: dict[str, Standing]) -> int:
        """Return the rows that nothing stated contradicts."""
        bits = self.all & ~self.contradicted(situation, standings)
        return bits if "environment" in standings else bits & ~self.unusual

    def contradicted(self, situation: Situation, standings: dict[str, Standing]) -> int:
        """Return the rows that contradict something stated.

        A situation may be passed in parts, one condition at a time.
        """
        bits = reduce(or_, (standing.contradicting for standing in standings.values()), 0)
        # A row that names no process is about welding, not cutting.
        if "process" in standings and situation.terms["process"].name in cutting(self.store):
            bits |= self.all & ~self.stating("process")
        return bits

    @cached_property
    def unusual(self) -> int:
        """The rows for work under water or in service: they apply only where that is stated."""
        return self.stating("environment")

    def stating(self, condition: str) -> int:
        """Return the rows that state a condition."""
        return reduce(or_, self.values[condition].values(), 0)

    def kept(self, what: Hashable, situation: Situation, make: Callable[[], _T]) -> _T:
        """Return the kept answer for a situation, or make and keep it."""
        said = tuple((name, situation.key(name)) for name in situation.stated)
        key = (what, tuple(situation.given().items()), said)
        if key not in self._kept:
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
            self._kept[key] = make()
        found: _T = self._kept[key]
        return found

    def nearly_applying(self, standings: dict[str, Standing], most: int) -> int:
        """Return the rows that contradict one to `most` stated conditions.

        A row that contradicts the process or the surroundings is never near.
        """
        by_number = [self.all] + [0] * most  # the rows that exactly so many contradict
        for name, standing in standings.items():
            for number in range(most, 0, -1):
                by_number[number] &= ~standing.contradicting
                if name not in ("process", "environment"):
                    by_number[number] |= by_number[number - 1] & standing.contradicting
            by_number[0] &= ~standing.contradicting
        found = reduce(or_, by_number[1:])
        return found if "environment" in standings else found & ~self.unusual

    def codes(self, number: int, standings: dict[str, Standing]) -> dict[str, int]:
        """Compare one row with the situation, for each condition that the row states."""
        found = {}
        for name, value in self.states[number].items():
            standing = standings.get(name)
            if standing is not None:
                found[name] = standing.codes[value]
            else:
                found[name] = CONTRADICTS if name == "environment" else ASSUMED
        return found

    def _standing(self, name: str, situation: Situation) -> Standing:
        key = (name, situation.key(name))
        found = self._standings.get(key)
        if found is None:
            if len(self._standings) > MOST_STANDINGS:
                self._standings.clear()
            codes = self._compare(name, situation)
            contradicting = differing = 0
            for value, rows in self.values[name].items():
                if codes[value] == CONTRADICTS:
                    contradicting |= rows
                elif codes[value]:
                    differing |= rows
            found = self._standings[key] = Standing(codes, contradicting, differing)
        return found

    def _compare(self, name: str, situation: Situation) -> dict[Any, int]:
        values = self.values[name]
        if name == "thickness" and situation.thickness is not None:
            thick = situation.thickness.si
            return {band: thickness_code(band, thick) for band in values}
        if name == "electrode_size":
            same = situation.sizes or {situation.size or "": 0}
            return {value: same.get(value, CONTRADICTS) for value in values}
        if name == "gas" and situation.composition is not None:
            return _gas_codes(gases_of(self.store), situation, values)
        if name == "environment":
            return {v: 0 if v == situation.environment else CONTRADICTS for v in values}
        term = situation.terms[name]
        partly = term.narrower | term.passes_through
        return {
            value: term.broader.get(value, NARROWER if value in partly else CONTRADICTS)
            for value in values
        }


@lru_cache(maxsize=8)
def cutting(store: Store) -> frozenset[str]:
    """Return the processes that cut."""
    rows = store.rows("SELECT term FROM processes WHERE work = 'cutting'")
    return frozenset(row["term"] for row in rows)


MOST_KEPT = 64
"""Answers kept before the memory is cleared: people ask again about the same situation."""

MOST_STANDINGS = 50_000
"""Standings kept before the memory is cleared; a log has many thicknesses."""


@lru_cache(maxsize=8)
def sold_as(store: Store) -> dict[str, frozenset[str]]:
    """Return the other labels under which each electrode size is sold.

    >>> from weldref.data.store import open_store
    >>> sorted(sold_as(open_store())["3/32 in"])
    ['2.4 mm', '2.5 mm']
    """
    found: dict[str, set[str]] = defaultdict(set)
    for row in store.rows("SELECT size, also_sold_as FROM electrode_sizes"):
        for other in filter(None, (row["also_sold_as"] or "").split("; ")):
            found[row["size"]].add(other)
            found[other].add(row["size"])
    return {size: frozenset(others) for size, others in found.items()}


def _gas_codes(gases: Gases, situation: Situation, values: dict[Any, int]) -> dict[Any, int]:
    composition = situation.composition or {}
    codes = dict.fromkeys(values, CONTRADICTS)
    for gas in gases.narrower(composition):
        codes[gas] = NARROWER
    for gas in gases.wider(composition):
        codes[gas] = int(gases.compositions[gas] != composition)
    return codes


@lru_cache(maxsize=256)
def index_of(store: Store, table: str, quantity: str | None) -> Index:
    """Return the index of a table for one quantity, or for all, built once."""
    return Index(store, table, quantity)


WIDE = 10_000
_NOT_ZERO = re.compile(rb"[^\0]", re.DOTALL)
_BITS = [tuple(n for n in range(8) if byte >> n & 1) for byte in range(256)]


def each(bits: int) -> Iterator[int]:
    """List the rows of a set.

    >>> list(each(0b1101))
    [0, 2, 3]
    >>> list(each(1 << 20_000 | 1 << 300 | 1))
    [0, 300, 20000]
    """
    if bits.bit_length() > WIDE:  # a few rows among very many: find their bytes first
        data = bits.to_bytes((bits.bit_length() + 7) // 8, "little")
        for found in _NOT_ZERO.finditer(data):
            place = found.start()
            for number in _BITS[data[place]]:
                yield 8 * place + number
        return
    while bits:
        lowest = bits & -bits
        yield lowest.bit_length() - 1
        bits ^= lowest
