"""Judge a value by rows for different cases, and ask for the condition that decides.

A row that adds a condition holds for one case: a current may be inside for one electrode size and
high for another. The rows are split on the condition that leaves the fewest answers undecided,
until each case has one word. If all cases have the same word, that is the verdict; if not, the
verdict is "depends", and the first split is the question to ask.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from operator import itemgetter
from typing import Literal, NamedTuple

from weldref.core.bands import SLACK, Band, Ends, Side, Span
from weldref.core.gas import gases_of, holds
from weldref.core.index import band_of, sold_as
from weldref.core.lookup import Match, thickness_text
from weldref.core.situation import sizes_of
from weldref.core.terms import TREE_OF, broader_of
from weldref.core.units import tidy
from weldref.data.store import Store

Word = Literal["inside", "low", "high", "sources differ", "depends", "no published range"]

SAID_FIRST = (
    "thickness",
    "electrode_size",
    "filler_class",
    "material",
    "transfer_mode",
    "gas",
    "polarity",
    "position",
    "process",
    "joint",
    "tungsten_class",
    "pass",
    "technique",
    "environment",
    "other_condition",
    "scope",
)
"""Conditions, those that a person can most easily name first; they decide between questions."""

DEEPEST = 4
"""Splits within each other before a case is left undecided."""

MANY = 60
"""Rows above which an answer is left undecided: too little was said for it to matter."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to a question, with the word and the distance that follow from it.

    `value` is empty for any answer that is not listed.
    """

    value: str
    verdict: Word
    by: float | None
    rows: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ask:
    """The question that settles most: a condition, and what follows from each answer."""

    condition: str
    answers: tuple[Answer, ...]
    other: Answer


@dataclass(frozen=True, slots=True)
class Case:
    """Conditions that were not said, with the word that holds under them."""

    when: dict[str, str]
    verdict: Word
    by: float | None
    rows: tuple[str, ...]


class Settled(NamedTuple):
    """The word for a value, how far outside it is in SI, the question if it depends, the cases."""

    word: Word
    by: float | None
    ask: Ask | None = None
    cases: tuple[Case, ...] = ()


NOTHING = Settled("no published range", None)


def depends(
    condition: str,
    answers: Iterable[tuple[str, Settled, tuple[str, ...]]],
    other: Settled = NOTHING,
    other_ids: tuple[str, ...] = (),
) -> Settled:
    """Make a question of what follows from each answer, given with the keys of its rows.

    `other` is what follows from any other answer.
    """
    given, listed = [], []
    for value, settled, ids in answers:
        given.append(Answer(value, settled.word, settled.by, ids))
        cases = settled.cases or (Case({}, settled.word, settled.by, ids),)
        listed += [replace(case, when={condition: value, **case.when}) for case in cases]
    if other_ids:
        listed.append(Case({condition: ""}, other.word, other.by, other_ids))
    ask = Ask(condition, tuple(given), Answer("", other.word, other.by, other_ids))
    return Settled("depends", None, ask, tuple(listed))


def most_specific(matches: Sequence[Match]) -> list[Match]:
    """Drop a row of a document where another row of it states more of the situation.

    A row that adds a condition is kept beside a general one: which of them holds is a question
    until the condition is said. Only a limit replaces a limit; a recommendation never does.
    """
    if len(matches) == 1:
        return list(matches)

    def outdone(one: Match, other: Match) -> bool:
        if one.is_limit != other.is_limit:
            return False
        if not (other.matched >= one.matched and other.assumed <= one.assumed):
            return False
        nearer = [other.codes[n] <= one.codes[n] for n in one.matched]
        closer = [other.codes[n] < one.codes[n] for n in one.matched]
        return all(nearer) and (other.matched > one.matched or any(closer))

    return [m for m in matches if not any(outdone(m, other) for other in matches)]


class Ranges(NamedTuple):
    """The ranges of one document: every limit holds, windows are alternatives."""

    limits: tuple[Span, ...]
    windows: tuple[Span, ...]

    @classmethod
    def of(cls, matches: Sequence[Match]) -> Ranges:
        """Sort the ranges of rows."""
        return cls(
            tuple(match.span for match in matches if match.is_limit),
            tuple(match.span for match in matches if not match.is_limit),
        )

    def broken(self, si: float) -> tuple[Side, float] | None:
        """Return the word and the distance by the limit that a value breaks most."""
        said = [span.compare(si) for span in self.limits]
        outside = (answer for answer in said if answer[0] != "inside")
        return max(outside, key=itemgetter(1), default=None)

    def says(self, si: float) -> tuple[Side, float]:
        """Return the word and the distance for a value in SI: by a limit, or the nearest window."""
        nearest: tuple[Side, float] = min(
            (span.compare(si) for span in self.windows), key=itemgetter(1), default=("inside", 0.0)
        )
        return self.broken(si) or nearest


class Cases:
    """Rows that decide, asked about many values; their splits are worked out once.

    Parameters
    ----------
    store
        The open store.
    matches
        Rows of one quantity that apply and fit, none of which can only fail a value.
    """

    def __init__(self, store: Store, matches: Sequence[Match]) -> None:
        self.store = store
        self.matches = tuple(matches)

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """The keys of the rows."""
        return ids_of(self.matches)

    @cached_property
    def splits(self) -> list[_Split]:
        """The splits whose answers leave different rows."""
        assumed = frozenset[str]().union(*(m.assumed for m in self.matches))
        found = [_split(self.store, self.matches, name) for name in SAID_FIRST if name in assumed]
        return [split for split in found if len(split.parts) > 1 or split.rest.matches]

    @cached_property
    def documents(self) -> list[Ranges]:
        """The ranges of each document, by its most specific rows."""
        by_source: dict[str, list[Match]] = defaultdict(list)
        for match in self.matches:
            by_source[match.row["source_id"]].append(match)
        return [Ranges.of(most_specific(own)) for own in by_source.values()]

    @cached_property
    def ends(self) -> Ends:
        """The ends of all ranges."""
        return Ends.of([match.span for match in self.matches])

    def settle(self, si: float, depth: int = 0) -> Settled:
        """Return the word for a value in SI; `depth` counts the splits so far."""
        if not self.matches:
            return NOTHING
        if self.ends.one_word(si) is not None or not self.splits:
            return self._leaf(si)
        if depth >= DEEPEST or (depth and len(self.matches) > MANY):
            return Settled("depends", None)
        best = min(self.splits, key=lambda split: split.undecided(si))
        found = [(value, kept.settle(si, depth + 1), kept.ids) for value, kept in best.parts]
        rest = best.rest.settle(si, depth + 1)
        every = [settled for _, settled, _ in found] + ([rest] if best.rest.matches else [])
        words = {settled.word for settled in every}
        if len(words) == 1 and words != {"depends"}:
            return Settled(words.pop(), min((s.by for s in every if s.by), default=0.0))
        return depends(best.condition, found, rest, best.rest.ids)

    def lone_answer(self, condition: str) -> str | None:
        """Return the only value that is printed for a condition, if every row adds it.

        A single span of thickness counts as one value, however many bands it is printed in.
        """
        if not self.matches or not all(condition in m.assumed for m in self.matches):
            return None
        parts = _split(self.store, self.matches, condition).parts
        if len(parts) == 1:
            return parts[0][0]
        return _one_span(self.matches) if condition == "thickness" else None

    def _leaf(self, si: float) -> Settled:
        """Compare what the documents say of one case."""
        one = self.ends.one_word(si)
        if one == "inside":
            return Settled("inside", 0.0)
        if one and len(self.documents) == len(self.matches):
            return Settled(one, self.ends.low - si if one == "low" else si - self.ends.high)
        said = [document.says(si) for document in self.documents]
        words = {word for word, _ in said}
        outside = [by for word, by in said if word != "inside"]
        word: Word = words.pop() if len(words) == 1 else "sources differ"
        return Settled(word, min(outside, default=0.0))


class _Split(NamedTuple):
    """Rows split by what they state for one condition; `rest` are those that do not state it."""

    condition: str
    parts: tuple[tuple[str, Cases], ...]
    rest: Cases

    def undecided(self, si: float) -> tuple[int, int, int]:
        """Count the answers that would leave a value undecided, then all answers."""
        parts = [kept for _, kept in self.parts] + ([self.rest] if self.rest.matches else [])
        undecided = sum(
            kept.ends.one_word(si) is None and (len(kept.matches) > MANY or bool(kept.splits))
            for kept in parts
        )
        return undecided, len(parts), SAID_FIRST.index(self.condition)


def ids_of(rows: Sequence[Match]) -> tuple[str, ...]:
    """Return the keys of rows."""
    return tuple(match.row["window_id"] for match in rows)


def _split(store: Store, rows: tuple[Match, ...], condition: str) -> _Split:
    """Split rows by the values that they add for one condition."""
    if condition == "thickness":
        return _split_thickness(store, rows)
    goes_with = _goes_with(store, condition)
    values = dict.fromkeys(str(m.row[condition]) for m in rows if condition in m.assumed)
    parts = []
    seen: set[frozenset[str]] = set()
    for said in values:
        going = frozenset(printed for printed in values if goes_with(said, printed))
        if going in seen:
            continue  # one size under two names is one answer
        seen.add(going)
        kept = [
            _stated(m, condition) if condition in m.assumed else m
            for m in rows
            if condition not in m.assumed or str(m.row[condition]) in going
        ]
        parts.append((said, Cases(store, kept)))
    if condition == "electrode_size":
        sizes = sizes_of(store)
        parts.sort(key=lambda part: sizes[part[0]])
    rest = [m for m in rows if condition not in m.assumed]
    return _Split(condition, tuple(parts), Cases(store, rest))


def _stated(match: Match, condition: str) -> Match:
    """Return a row as it fits once its condition is said."""
    return replace(match, codes={**match.codes, condition: 0})


def _goes_with(store: Store, condition: str) -> Callable[[str, str], bool]:
    """Return the test whether a row for `printed` holds for work that is `said`."""
    if condition == "electrode_size":
        sizes = sold_as(store)
        return lambda said, printed: said == printed or printed in sizes.get(said, ())
    if condition == "gas":
        compositions = gases_of(store).compositions
        return lambda said, printed: (
            said == printed or holds(compositions[printed], compositions[said])
        )
    tree = broader_of(store, TREE_OF[condition][0]) if condition in TREE_OF else {}
    return lambda said, printed: said == printed or printed in tree.get(said, ())


def _split_thickness(store: Store, rows: tuple[Match, ...]) -> _Split:
    """Split rows at the edges of their bands: an answer is a span of thickness with equal rows."""
    banded = [(m, band) for m in rows if "thickness" in m.assumed and (band := band_of(m.row))]
    rest = [m for m in rows if "thickness" not in m.assumed]
    found: list[tuple[float | None, float | None, list[Match]]] = []
    for low, high, probe in _spans(band for _, band in banded):
        holding = [m for m, band in banded if _holds(band, probe)]
        if found and [*map(id, found[-1][2])] == [*map(id, holding)]:
            found[-1] = (found[-1][0], high, holding)
        else:
            found.append((low, high, holding))
    parts = tuple(
        (
            _span(holding, low, high),
            Cases(store, [*(_stated(m, "thickness") for m in holding), *rest]),
        )
        for low, high, holding in found
        if holding
    )
    return _Split("thickness", parts, Cases(store, rest))


def _one_span(rows: Sequence[Match]) -> str | None:
    """Write the span that the bands of rows make together; None if it has gaps or is open."""
    bands = [band for m in rows if (band := band_of(m.row))]
    spans = _spans(bands)
    held = [
        number
        for number, (_, _, probe) in enumerate(spans)
        if any(_holds(band, probe) for band in bands)
    ]
    if held != list(range(held[0], held[-1] + 1)) or len(held) == len(spans):
        return None
    return _span(rows, spans[held[0]][0], spans[held[-1]][1])


def _spans(bands: Iterable[Band]) -> list[tuple[float | None, float | None, float]]:
    """List each edge of bands and each span between edges, with a thickness inside it."""
    merged: list[float] = []
    for edge in sorted({edge for band in bands for edge in band[:2] if edge is not None}):
        if not merged or edge > merged[-1] * (1 + SLACK):
            merged.append(edge)
    spans: list[tuple[float | None, float | None, float]] = [(None, merged[0], merged[0] / 2)]
    for low, high in zip(merged, [*merged[1:], None], strict=True):
        spans += [(low, low, low), (low, high, (low + high) / 2 if high else low * 2)]
    return spans


def _holds(band: Band, probe: float) -> bool:
    if band.nominal and band.low is not None:
        return abs(band.low / probe - 1) < SLACK
    return band.holds(probe)


def _span(rows: Sequence[Match], low: float | None, high: float | None) -> str:
    """Write a span of thickness as printed or, where no row has it, in the unit of the rows."""
    first = rows[0]
    for match in rows:
        band = band_of(match.row)
        if band and band[:2] == (low, high):
            return match.state("thickness")
    unit = first.row["thickness_unit"]
    if band_of(first.row) is None or unit == "gauge":
        return first.state("thickness")
    factor = 0.0254 if unit == "in" else 0.001
    shown = {
        "thickness_min": None if low is None else tidy(low / factor, 4),
        "thickness_max": None if high is None else tidy(high / factor, 4),
        "thickness_min_inclusive": high is not None,
        "thickness_max_inclusive": True,
        "thickness_unit": unit,
    }
    return thickness_text(shown)
