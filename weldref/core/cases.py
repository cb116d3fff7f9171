"""Settle a value against rows for different conditions, and ask for what was not said.

Rows that add a condition hold for one case each: a current may be inside for one electrode size
and high for another. The rows are split on the condition that leaves fewest answers undecided,
until each case has one word. If the words agree, the answer is settled; if not, it depends, and
the first split is the question to ask.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, NamedTuple

from weldref.core.bands import SLACK, Ends, Side, Span, inside
from weldref.core.gas import gases_of, holds
from weldref.core.index import ASSUMED, NARROWER, Band, band_of, sold_as
from weldref.core.lookup import Match
from weldref.core.situation import sizes_of
from weldref.core.terms import TREE_OF, broader_of
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
"""Conditions in the order in which a person can name them: the tie-breaker between questions."""

DEEPEST = 4
"""Questions that are asked one inside the other before a case is left undecided."""

MANY = 60
"""Rows above which an answer is left undecided: so little was said that the next question is
another one anyway."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to a question: what would be said, and the word and distance that follow.

    `value` is empty for any other answer than those listed.
    """

    value: str
    verdict: Word
    by: float | None
    rows: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ask:
    """The shortest question that settles an answer: one condition and what each answer gives."""

    condition: str
    answers: tuple[Answer, ...]
    other: Answer


@dataclass(frozen=True, slots=True)
class Case:
    """One set of conditions that were not said, with the word that holds under them."""

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


def most_specific(matches: Sequence[Match]) -> list[Match]:
    """Drop a row where another of the same document states more of the situation.

    A row that adds a condition is kept beside a general one: which of them holds is a question,
    until the condition is said. A limit is dropped only for a limit: a recommendation never
    lifts it.
    """
    if len(matches) == 1:
        return list(matches)

    def outdone(one: Match, other: Match) -> bool:
        if (one.row["basis"] == "limit") != (other.row["basis"] == "limit"):
            return False
        if not (other.matched >= one.matched and other.assumed <= one.assumed):
            return False
        nearer = [other.codes[n] <= one.codes[n] for n in one.matched]
        closer = [other.codes[n] < one.codes[n] for n in one.matched]
        return all(nearer) and (other.matched > one.matched or any(closer))

    return [m for m in matches if not any(outdone(m, other) for other in matches)]


class Cases:
    """Rows that decide, with their splits and leaves kept: asked of many values.

    Parameters
    ----------
    store
        The open store.
    matches
        Rows of one quantity that apply and fit, none of which only bounds a value.
    """

    def __init__(self, store: Store, matches: Sequence[Match]) -> None:
        self.matches = tuple(matches)
        self._all = _Rows(store, self.matches)

    def settle(self, si: float) -> Settled:
        """Return the word for a value in SI."""
        return self._settle(self._all, si, 0)

    def lone_answer(self, condition: str) -> str | None:
        """Return the one value of a condition that every row adds, where nothing else is printed.

        One span of thickness counts as one value, however many bands it is printed in.
        """
        if not self.matches or not all(condition in m.assumed for m in self.matches):
            return None
        parts = _split(self._all.store, self.matches, condition).parts
        if len(parts) == 1:
            return parts[0][0]
        return _one_span(self.matches) if condition == "thickness" else None

    def _settle(self, rows: _Rows, si: float, depth: int) -> Settled:
        if not rows.matches:
            return Settled("no published range", None)
        if rows.one_word(si) is not None or not rows.splits:
            return rows.leaf(si)
        if depth >= DEEPEST or (depth and len(rows.matches) > MANY):
            return Settled("depends", None)
        best = min(rows.splits, key=lambda split: _undecided(split, si))
        found = [(value, kept, self._settle(kept, si, depth + 1)) for value, kept in best.parts]
        rest = self._settle(best.rest, si, depth + 1)
        every = [settled for _, _, settled in found] + ([rest] if best.rest.matches else [])
        words = {settled.word for settled in every}
        nearest = [s.by for s in every if s.by]
        if len(words) == 1 and words != {"depends"}:
            return Settled(words.pop(), min(nearest, default=0.0))
        ask = Ask(
            best.condition,
            tuple(Answer(v, s.word, s.by, kept.ids) for v, kept, s in found),
            Answer("", rest.word, rest.by, best.rest.ids),
        )
        cases = [_case(best.condition, value, kept, s) for value, kept, s in found]
        if best.rest.matches:
            cases.append([Case({best.condition: ""}, rest.word, rest.by, best.rest.ids)])
        return Settled("depends", None, ask, tuple(case for listed in cases for case in listed))


class _Rows:
    """Rows of one case, with what is worked out once and asked of many values."""

    def __init__(self, store: Store, matches: tuple[Match, ...]) -> None:
        self.store = store
        self.matches = matches

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """The keys of the rows."""
        return ids_of(self.matches)

    @cached_property
    def splits(self) -> list[_Split]:
        """The conditions that part the rows."""
        assumed = frozenset[str]().union(*(m.assumed for m in self.matches))
        found = [_split(self.store, self.matches, name) for name in SAID_FIRST if name in assumed]
        return [split for split in found if split.divides]

    @cached_property
    def documents(self) -> list[tuple[list[Span], list[Span]]]:
        """The limits and the windows of each document, its most specific ones alone."""
        by_source: dict[str, list[Match]] = defaultdict(list)
        for match in self.matches:
            by_source[match.row["source_id"]].append(match)
        found = []
        for one in by_source.values():
            parted: tuple[list[Span], list[Span]] = ([], [])
            for match in most_specific(one):
                windows = match.row["basis"] != "limit"
                parted[windows].append(match.span)
            found.append(parted)
        return found

    @cached_property
    def ends(self) -> Ends:
        """Where what the rows say begins and ends."""
        return Ends.of([match.span for match in self.matches])

    def one_word(self, si: float) -> Side | None:
        """Return the word that every row says; None where they differ."""
        return self.ends.one_word(si)

    def leaf(self, si: float) -> Settled:
        """Let each document speak once for one case, and compare what they say."""
        one = self.one_word(si)
        if one == "inside":
            return Settled("inside", 0.0)
        if one and len(self.documents) == len(self.matches):
            return Settled(one, self.ends.low - si if one == "low" else si - self.ends.high)
        said = [_document_says(limits, windows, si) for limits, windows in self.documents]
        words = {word for word, _ in said}
        outside = [by for word, by in said if word != "inside"]
        word: Word = words.pop() if len(words) == 1 else "sources differ"
        return Settled(word, min(outside, default=0.0))


def _undecided(split: _Split, si: float) -> tuple[int, int, int]:
    """Count the answers that a question would leave open, then all its answers."""
    parts = [kept for _, kept in split.parts] + ([split.rest] if split.rest.matches else [])
    undecided = sum(
        kept.one_word(si) is None and (len(kept.matches) > MANY or bool(kept.splits))
        for kept in parts
    )
    return undecided, len(parts), SAID_FIRST.index(split.condition)


class _Split(NamedTuple):
    """Rows split by what they state for one condition; `rest` are those silent on it."""

    condition: str
    parts: tuple[tuple[str, _Rows], ...]
    rest: _Rows

    @property
    def divides(self) -> bool:
        """Whether the answers leave different rows."""
        return len(self.parts) > 1 or bool(self.rest.matches)


def ids_of(rows: Sequence[Match]) -> tuple[str, ...]:
    """Return the keys of rows."""
    return tuple(match.row["window_id"] for match in rows)


def _case(condition: str, value: str, kept: _Rows, settled: Settled) -> list[Case]:
    if settled.cases:
        return [replace(case, when={condition: value, **case.when}) for case in settled.cases]
    return [Case({condition: value}, settled.word, settled.by, kept.ids)]


def _document_says(
    limits: Sequence[Span], windows: Sequence[Span], si: float
) -> tuple[Side, float]:
    """Judge a value by one document: a limit always holds, two windows are alternatives."""
    said = [span.compare(si) for span in limits]
    broken = [answer for answer in said if answer[0] != "inside"]
    if broken:
        return max(broken, key=_distance)
    if not windows:
        return "inside", 0.0
    return min([span.compare(si) for span in windows], key=_distance)


def _distance(answer: tuple[str, float]) -> float:
    return answer[1]


def _split(store: Store, rows: tuple[Match, ...], condition: str) -> _Split:
    """Part rows by the values that they add for one condition."""
    if condition == "thickness":
        return _split_thickness(store, rows)
    added = [m.codes.get(condition) in (ASSUMED, NARROWER) for m in rows]
    values = [str(m.row[condition]) if adds else "" for m, adds in zip(rows, added, strict=True)]
    rest = tuple(m for m, adds in zip(rows, added, strict=True) if not adds)
    goes_with = _goes_with(store, condition)
    parts = []
    seen: set[tuple[bool, ...]] = set()
    for said in dict.fromkeys(filter(None, values)):
        going = {printed: goes_with(said, printed) for printed in set(values) if printed}
        members = tuple(bool(value) and going[value] for value in values)
        if members in seen:
            continue  # one size under two names is one answer
        seen.add(members)
        kept = tuple(
            _stated(m, condition) if adds else m
            for m, adds, member in zip(rows, added, members, strict=True)
            if member or not adds
        )
        parts.append((said, _Rows(store, kept)))
    if condition == "electrode_size":
        sizes = sizes_of(store)
        parts.sort(key=lambda part: sizes[part[0]])
    return _Split(condition, tuple(parts), _Rows(store, rest))


def _stated(match: Match, condition: str) -> Match:
    """Return a row as it stands once its condition is said."""
    return replace(match, codes={**match.codes, condition: 0})


def _goes_with(store: Store, condition: str) -> Callable[[str, str], bool]:
    """Return the test whether a row that states `printed` holds for work that is `said`."""
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
    """Part rows at the edges of their bands: each answer is a span of thickness with equal rows."""
    banded = [(m, band) for m in rows if "thickness" in m.assumed and (band := band_of(m.row))]
    rest = tuple(m for m in rows if all(m is not one for one, _ in banded))
    found: list[tuple[float | None, float | None, tuple[Match, ...]]] = []
    for low, high, probe in _spans([edge for _, band in banded for edge in band[:2]]):
        holding = tuple(m for m, band in banded if _holds(band, probe))
        if found and [*map(id, found[-1][2])] == [*map(id, holding)]:
            found[-1] = (found[-1][0], high, holding)
        else:
            found.append((low, high, holding))
    parts = tuple(
        (
            _span(holding, low, high),
            _Rows(store, (*(_stated(m, "thickness") for m in holding), *rest)),
        )
        for low, high, holding in found
        if holding
    )
    return _Split("thickness", parts, _Rows(store, rest))


def _one_span(rows: Sequence[Match]) -> str | None:
    """Write the span that the bands of rows make together; None if it has gaps or no ends."""
    bands = [band for m in rows if (band := band_of(m.row))]
    spans = [
        (low, high, any(_holds(band, probe) for band in bands))
        for low, high, probe in _spans([edge for band in bands for edge in band[:2]])
    ]
    held = [number for number, (_, _, holds_any) in enumerate(spans) if holds_any]
    if held != list(range(held[0], held[-1] + 1)) or len(held) == len(spans):
        return None
    return _span(rows, spans[held[0]][0], spans[held[-1]][1])


def _spans(
    edges: Iterable[float | None],
) -> list[tuple[float | None, float | None, float]]:
    """List each edge and each span between edges, with a thickness that stands for it."""
    merged: list[float] = []
    for edge in sorted({edge for edge in edges if edge is not None}):
        if not merged or edge > merged[-1] * (1 + SLACK):
            merged.append(edge)
    spans: list[tuple[float | None, float | None, float]] = [(None, merged[0], merged[0] / 2)]
    for low, high in zip(merged, [*merged[1:], None], strict=True):
        spans += [(low, low, low), (low, high, (low + high) / 2 if high else low * 2)]
    return spans


def _holds(band: Band, probe: float) -> bool:
    if band.nominal and band.low is not None:
        return abs(band.low / probe - 1) < SLACK
    return inside(probe, *band)


def _span(rows: Sequence[Match], low: float | None, high: float | None) -> str:
    """Write a span of thickness with the edges as the rows print them."""
    first = rows[0]
    own = band_of(first.row)
    for match in rows:
        band = band_of(match.row)
        if band and band.low == low and band.high == high:
            return match.state("thickness")
    unit = first.row["thickness_unit"]
    if own is None or unit == "gauge":
        return first.state("thickness")
    factor = 0.0254 if unit == "in" else 0.001

    def shown(edge: float) -> str:
        return f"{edge / factor:.4g}"

    if low is None and high is not None:
        return f"up to {shown(high)} {unit}"
    if high is None and low is not None:
        return f"over {shown(low)} {unit}"
    if low is not None and low == high:
        return f"{shown(low)} {unit}"
    return f"{shown(low or 0)} to {shown(high or 0)} {unit}"
