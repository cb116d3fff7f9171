"""Tell whether a value is in a band, and whether an edge belongs to it, in Python and in SQL.

A printed edge belongs to the band that owns it, however the value reached us: 3/32 in that went
through metres and back is still 3/32 in. An edge whose owner the source does not tell belongs to
the bands on both its sides; there the caller lets the safer side count.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

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
    """Tell whether a band holds a value.

    Parameters
    ----------
    value
        A size, a current or another number from 0 up, in the unit of the edges.
    low, high
        The edges; None where the band has no end.
    low_included, high_included
        Whether each edge belongs to the band; None, if the source does not tell, counts as yes.
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
    """Write the SQL that asks what `inside` asks.

    Parameters
    ----------
    value, low, high, low_included, high_included
        Columns, parameters or literals; NULL means what None means to `inside`. An edge of None
        is asked for nothing.
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


def compare_value(low: float | None, high: float | None, si: float) -> tuple[Side, float]:
    """Compare a value with the ends of a range, all in SI; ends belong to the range.

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
    """A range with the first values that are not low, and that are high."""

    start: float
    beyond: float
    low: float | None
    high: float | None

    @classmethod
    def of(cls, low: float | None, high: float | None) -> Span:
        """Take the ends of a range as printed, in SI."""
        return cls(start_of(low), beyond_of(high), low, high)

    def compare(self, si: float) -> tuple[Side, float]:
        """Return the word for a value in SI and how far outside it is."""
        if self.low is not None and si < self.start:
            return "low", self.low - si
        if self.high is not None and si >= self.beyond:
            return "high", si - self.high
        return "inside", 0.0


class Ends(NamedTuple):
    """Of several ranges the least and the greatest start, and the least and greatest end.

    `low` and `high` are the least and the greatest end as printed.
    """

    first_start: float
    last_start: float
    first_beyond: float
    last_beyond: float
    low: float
    high: float

    @classmethod
    def of(cls, spans: Sequence[Span]) -> Ends:
        """Gather the ends of ranges, of which there is one at least."""
        starts, beyond = [span.start for span in spans], [span.beyond for span in spans]
        low = min(-math.inf if span.low is None else span.low for span in spans)
        high = max(math.inf if span.high is None else span.high for span in spans)
        return cls(min(starts), max(starts), min(beyond), max(beyond), low, high)

    def one_word(self, si: float) -> Side | None:
        """Return the word that every range says of a value in SI; None where they differ."""
        if self.last_start <= si < self.first_beyond:
            return "inside"
        if si < self.first_start:
            return "low"
        return "high" if si >= self.last_beyond else None
