"""Tell whether a value is in a band or range, edges included, in Python and in SQL.

A value on a printed edge is on that edge in whatever unit it was given: 3/32 in that was
converted to metres and back is still 3/32 in. Where the source does not say which of two
neighbouring bands includes an edge, both do, and the caller takes the safer one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple

Side = Literal["inside", "low", "high"]

SLACK = 1e-9
"""Share of an edge within which a value is that edge, written in another unit."""


def inside(
    value: float,
    low: float | None,
    high: float | None,
    low_included: bool | None = True,
    high_included: bool | None = True,
    slack: float = SLACK,
) -> bool:
    """Tell whether a value lies in a band.

    Parameters
    ----------
    value
        A size, a current or another number from 0 up, in the unit of the edges.
    low, high
        The edges; None where the band is open.
    low_included, high_included
        Whether the band includes each edge; None (the source does not say) counts as yes.
    slack
        Share of an edge within which a value is that edge.

    Examples
    --------
    >>> inside(3 / 32 * 0.0254 / 0.0254 * 32, 3.0, 5.0)
    True
    >>> inside(0.375 * 0.0254 / 0.0254, None, 0.375, high_included=False)
    False
    """
    above = (
        low is None
        or value > low * (1 + slack)
        or (low_included is not False and value >= low * (1 - slack))
    )
    below = (
        high is None
        or value < high * (1 - slack)
        or (high_included is not False and value <= high * (1 + slack))
    )
    return above and below


def inside_sql(
    value: str,
    low: str | None,
    high: str | None,
    low_included: str = "true",
    high_included: str = "true",
    slack: float = SLACK,
) -> str:
    """Write the SQL of `inside`.

    Parameters
    ----------
    value, low, high, low_included, high_included
        Columns, parameters or literals; NULL means what None means to `inside`. An edge of None
        is not tested.
    slack
        As in `inside`.

    Examples
    --------
    >>> inside_sql("$inches", None, "thickness_to")
    '((thickness_to IS NULL OR $inches < thickness_to * (1 - 1e-09) \
OR (coalesce(true, true) AND $inches <= thickness_to * (1 + 1e-09))))'
    """
    asked = []
    if low is not None:
        asked.append(
            f"({low} IS NULL OR {value} > {low} * (1 + {slack}) "
            f"OR (coalesce({low_included}, true) AND {value} >= {low} * (1 - {slack})))"
        )
    if high is not None:
        asked.append(
            f"({high} IS NULL OR {value} < {high} * (1 - {slack}) "
            f"OR (coalesce({high_included}, true) AND {value} <= {high} * (1 + {slack})))"
        )
    return f"({' AND '.join(asked) or 'true'})"


class Band(NamedTuple):
    """A band of sizes or of other values; `low` or `high` is None where it is open.

    `low_included` and `high_included` say whether it includes each edge, as for `inside`.
    """

    low: float | None
    high: float | None
    low_included: bool | None
    high_included: bool | None

    @classmethod
    def of(cls, row: Mapping[str, Any], name: str) -> Band:
        """Read a band from the columns NAME_min, NAME_max, NAME_min_inclusive and so on."""
        ends = (f"{name}_min", f"{name}_max")
        return cls(*(row[end] for end in ends), *(row.get(f"{end}_inclusive") for end in ends))

    @property
    def nominal(self) -> bool:
        """Whether it is a single printed size."""
        return self.low is not None and self.low == self.high

    def holds(self, value: float, slack: float = SLACK) -> bool:
        """Tell whether a value lies in it."""
        return inside(value, *self, slack)

    @property
    def edges(self) -> set[float]:
        """The values at which `holds` may change."""
        found: set[float] = set()
        for end in (self.low, self.high):
            if end is not None:
                first, last = sorted((end * (1 - SLACK), end * (1 + SLACK)))
                found |= {first, last, math.nextafter(first, math.inf)}
                found |= {math.nextafter(last, math.inf)}
        return found

    def scaled(self, factor: float, shift: float = 0.0) -> Band:
        """Return the band in another unit."""
        low, high = (None if end is None else end * factor + shift for end in self[:2])
        return self._replace(low=low, high=high)


def compare_value(low: float | None, high: float | None, si: float) -> tuple[Side, float]:
    """Compare a value with a range that includes its ends, all in SI.

    >>> compare_value(110.0, 160.0, 250.0)
    ('high', 90.0)
    """
    return Span.of(low, high).compare(si)


def start_of(low: float | None) -> float:
    """Return the first value that is not low (see `compare_value`)."""
    return -math.inf if low is None else low - SLACK * abs(low)


def beyond_of(high: float | None) -> float:
    """Return the first value that is high (see `compare_value`)."""
    return math.inf if high is None else math.nextafter(high + SLACK * abs(high), math.inf)


class Span(NamedTuple):
    """A printed range: `start` is the first value that is not low, `beyond` the first too high."""

    start: float
    beyond: float
    low: float | None
    high: float | None

    @classmethod
    def of(cls, low: float | None, high: float | None) -> Span:
        """Make a span from the printed ends in SI."""
        return cls(start_of(low), beyond_of(high), low, high)

    def compare(self, si: float) -> tuple[Side, float]:
        """Return the word for a value in SI and how far outside it is."""
        if self.low is not None and si < self.start:
            return "low", self.low - si
        if self.high is not None and si >= self.beyond:
            return "high", si - self.high
        return "inside", 0.0


class Ends(NamedTuple):
    """The outermost and innermost ends of several ranges, to judge a value by all at once.

    `low` and `high` are the lowest and the highest printed end.
    """

    first_start: float
    last_start: float
    first_beyond: float
    last_beyond: float
    low: float
    high: float

    @classmethod
    def of(cls, spans: Sequence[Span]) -> Ends:
        """Find the ends of one or more ranges."""
        starts, beyond = [span.start for span in spans], [span.beyond for span in spans]
        low = min(-math.inf if span.low is None else span.low for span in spans)
        high = max(math.inf if span.high is None else span.high for span in spans)
        return cls(min(starts), max(starts), min(beyond), max(beyond), low, high)

    def one_word(self, si: float) -> Side | None:
        """Return the word that every range gives a value in SI; None where they differ."""
        if self.last_start <= si < self.first_beyond:
            return "inside"
        if si < self.first_start:
            return "low"
        return "high" if si >= self.last_beyond else None
