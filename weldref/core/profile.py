"""Work out once what rows say of every value, so that many values are only looked up.

Between two neighbouring edges of rows only the distance of a verdict changes. So a profile divides
the value axis into pieces at the edges, and `Evidence.settle` is asked once for each piece.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from weldref.core.bands import Band, beyond_of, start_of
from weldref.core.cases import Settled, Word
from weldref.core.lookup import Match, in_order
from weldref.core.units import UnitSystem
from weldref.core.verdict import Evidence
from weldref.data.store import Store


class Piece(NamedTuple):
    """The values from `begin` (SI) up to the next piece, with their word.

    The distance is measured from the edge `below` or the edge `above` the values; of two, from the
    nearer. Where the word is "depends", `ask` is the condition to ask for first, and `settles`
    tells whether every answer to it has a word.
    """

    begin: float
    word: Word
    below: float | None = None
    above: float | None = None
    ask: str = ""
    settles: bool = False

    def by(self, si: float) -> float | None:
        """Return how far outside a value is, as `Evidence.settle` does."""
        if self.below is not None:
            low = math.inf if self.above is None else self.above - si
            return min(si - self.below, low)
        if self.above is not None:
            return self.above - si
        return 0.0 if self.word == "inside" else None


@dataclass(frozen=True, slots=True)
class Profile:
    """The verdict on every value: pieces from minus to plus infinity, in order."""

    pieces: tuple[Piece, ...]

    def at(self, si: float) -> Piece:
        """Return the piece that holds a value in SI."""
        return self.pieces[bisect_right(self.pieces, si, key=_begin) - 1]

    def settle(self, si: float) -> tuple[Word, float | None]:
        """Return the word for a value in SI and how far outside it is."""
        piece = self.at(si)
        return piece.word, piece.by(si)

    def held_back(self, bands: Iterable[Band | None]) -> Profile:
        """Return the profile without passing words in bands where nothing may pass.

        Parameters
        ----------
        bands
            The bands of such values, in SI; None means every value. A failing word stays.
        """
        if all(piece.word not in ("inside", "depends") for piece in self.pieces):
            return self
        cuts = {piece.begin for piece in self.pieces}
        for band in bands:
            cuts |= band.edges if band else set()
        found: list[Piece] = []
        for begin in sorted(cuts):
            piece = self.at(begin)._replace(begin=begin)
            held = any(band is None or band.holds(begin) for band in bands)
            if held and piece.word in ("inside", "depends"):
                piece = Piece(begin, "no published range")
            _append(found, piece)
        return Profile(tuple(found))


def _append(pieces: list[Piece], piece: Piece) -> None:
    """Add a piece unless it only continues the last one."""
    if not pieces or pieces[-1][1:] != piece[1:]:
        pieces.append(piece)


def _begin(piece: Piece) -> float:
    return piece.begin


def profile(store: Store, matches: Sequence[Match], system: UnitSystem | None) -> Profile:
    """Work out what rows say of every value.

    Parameters
    ----------
    store, matches, system
        As `weldref.core.verdict.Evidence` takes them: ranges of one quantity and one kind.

    Examples
    --------
    >>> from weldref.core.lookup import find
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> situation = describe(store, process="SMAW", electrode="E7018", diameter="1/8")
    >>> rows = [m for m in find(store, situation, "current", "read") if m.gives_verdict]
    >>> profile(store, [m for m in rows if m.is_range], "us").settle(250.0)
    ('high', 90.0)
    """
    return profile_of(store, [Known(match) for match in matches], system, {})


@dataclass(slots=True)
class Known:
    """A match with what a profile needs of it, worked out once.

    `kind` is how the row counts: "special", "bounding limit" or "bounding" (it can only fail a
    value), "assuming" (it adds a condition) or "plain".
    """

    match: Match
    kind: str = field(init=False)
    source: str = field(init=False)
    recalled: bool = field(init=False)
    made_for: tuple[tuple[str, str], ...] = field(init=False)

    def __post_init__(self) -> None:
        match = self.match
        self.made_for = match.made_for
        if match.special:
            self.kind = "special"
        elif match.bounds:
            self.kind = "bounding limit" if match.is_limit else "bounding"
        else:
            self.kind = "assuming" if match.assumed else "plain"
        self.source = match.row["source_id"]
        self.recalled = match.recalled


Documents = dict[tuple[UnitSystem | None, tuple[int, ...]], Profile | None]


def profile_of(
    store: Store,
    known: Sequence[Known],
    system: UnitSystem | None,
    documents: Documents,
    *,
    distances: bool = True,
) -> Profile:
    """Work out a profile, where possible from the profiles of the single documents.

    That is possible where no row adds a condition. `documents` keeps the profile of each document,
    to be used again beside other rows; without `distances` the distance is left out where sources
    differ, which is faster.
    """
    kinds = {one.kind for one in known}
    said: list[Profile] = []
    if "plain" in kinds <= {"plain", "bounding"}:
        said = _each_document(store, known, system, documents)
    if not said:
        evidence = Evidence(store, in_order(one.match for one in known), system)
        return _asked(evidence, distances=distances)
    return said[0] if len(said) == 1 else _merged(said, distances=distances)


def _each_document(
    store: Store, known: Sequence[Known], system: UnitSystem | None, documents: Documents
) -> list[Profile]:
    """Work out the profile of each document that decides."""
    by_source: dict[str, list[Known]] = defaultdict(list)
    for one in known:
        by_source[one.source].append(one)
    said = []
    for own in by_source.values():
        if len(own) == 1:
            span = own[0].match.span
            told = _range(span.low, span.high) if own[0].kind == "plain" else None
        else:
            key = (system, tuple(map(id, own)))
            if key not in documents:
                documents[key] = _document(store, [one.match for one in own], system)
            told = documents[key]
        if told is not None:
            said.append(told)
    return said


def _document(store: Store, matches: Sequence[Match], system: UnitSystem | None) -> Profile | None:
    """Work out the profile of one document; None if its rows can only fail a value."""
    deciding = Evidence(store, in_order(matches), system).deciding
    return _asked(Evidence(store, deciding, system)) if deciding else None


@lru_cache(maxsize=100_000)
def _range(low: float | None, high: float | None) -> Profile:
    """Work out the profile of one range (see `weldref.core.bands.compare_value`).

    >>> [(piece.word, piece.above) for piece in _range(110.0, None).pieces]
    [('low', 110.0), ('inside', None)]
    """
    pieces = [Piece(-math.inf, "inside")]
    if low is not None:
        pieces = [Piece(-math.inf, "low", above=low), Piece(start_of(low), "inside")]
    if high is not None:
        pieces.append(Piece(beyond_of(high), "high", below=high))
    return Profile(tuple(pieces))


def _merged(documents: Sequence[Profile], *, distances: bool) -> Profile:
    """Put the profiles of documents together: where their words differ, sources differ."""
    events = [
        (piece.begin, number, piece) for number, one in enumerate(documents) for piece in one.pieces
    ]
    events.sort()
    words: list[Word] = ["inside"] * len(documents)
    belows, aboves = [-math.inf] * len(documents), [math.inf] * len(documents)
    found: list[Piece] = []
    for (begin, number, piece), following in zip(events, [*events[1:], None], strict=True):
        words[number] = piece.word
        belows[number] = -math.inf if piece.below is None else piece.below
        aboves[number] = math.inf if piece.above is None else piece.above
        if following is None or following[0] > begin:
            word = words[0] if words.count(words[0]) == len(words) else "sources differ"
            below, above = max(belows), min(aboves)
            if word == "sources differ" and not distances:
                below, above = -math.inf, math.inf
            piece = Piece(
                begin,
                word,
                None if below == -math.inf else below,
                None if above == math.inf else above,
            )
            _append(found, piece)
    return Profile(tuple(found))


def _asked(evidence: Evidence, *, distances: bool = True) -> Profile:
    """Ask at every edge and between neighbouring edges; join pieces that are equal."""
    lows, highs = _ends(evidence)
    ties = _ties(evidence)
    behind = {math.nextafter(tie, math.inf) for tie in ties}
    begins = sorted({*edges(evidence), *ties, *behind})
    found: list[Piece] = []
    for begin, end in zip([-math.inf, *begins], [*begins, math.inf], strict=True):
        # Directly behind a tie the two distances may be the same float.
        probe = _between(begin, end) if begin in behind or math.isinf(begin) else begin
        piece = _piece(begin, evidence.settle(probe), probe, lows, highs)
        if piece.word == "sources differ" and not distances:
            piece = Piece(begin, piece.word)
        elif piece.word == "sources differ" and begin not in ties and end < math.inf:
            # The nearest edge below is known from the begin, that above from the end of the piece.
            last = math.nextafter(end, -math.inf)
            told = _piece(begin, evidence.settle(last), last, lows, highs)
            below = piece.below if told.below is None else told.below
            above = piece.above if told.above is None else told.above
            piece = piece._replace(below=below, above=above)
        _append(found, piece)
    return Profile(tuple(found))


def edges(evidence: Evidence) -> set[float]:
    """Return the values in SI at which more than the distance may change."""
    lows, highs = _ends(evidence)
    return {*map(start_of, lows), *map(beyond_of, highs)}


def _ends(evidence: Evidence) -> tuple[set[float], set[float]]:
    rows = [m.row for m in (*evidence.deciding, *evidence.general, *evidence.conditional)]
    return {row["min_si"] for row in rows} - {None}, {row["max_si"] for row in rows} - {None}


def _ties(evidence: Evidence) -> set[float]:
    """List the values half-way between two ranges, where another range becomes the nearer one."""
    groups: dict[tuple[str, bool], list[Match]] = defaultdict(list)
    for match in (*evidence.deciding, *evidence.conditional):
        groups[match.row["source_id"], match.is_limit].append(match)
    groups["", True] = [m for m in evidence.general if m.is_limit]
    return {
        (one.row["min_si"] + other.row["max_si"]) / 2
        for group in groups.values()
        for one in group
        for other in group
        if one.row["min_si"] is not None
        and other.row["max_si"] is not None
        and other.row["max_si"] < one.row["min_si"]
    }


def _between(begin: float, end: float) -> float:
    if math.isinf(begin):
        return 0.0 if math.isinf(end) else end - 1 - abs(end)
    return begin + 1 + abs(begin) if math.isinf(end) else begin + (end - begin) / 2


def _piece(
    begin: float, settled: Settled, si: float, lows: Iterable[float], highs: Iterable[float]
) -> Piece:
    ask = settled.ask
    if ask is not None:
        words = {answer.verdict for answer in (*ask.answers, ask.other)}
        return Piece(begin, settled.word, ask=ask.condition, settles="depends" not in words)
    if not settled.by:
        return Piece(begin, settled.word)
    below = next((high for high in highs if si - high == settled.by), None)
    above = next((low for low in lows if low - si == settled.by), None)
    return Piece(begin, settled.word, below, above)
