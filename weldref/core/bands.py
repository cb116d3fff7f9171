"""Tell whether a value is in a band, and whether an edge belongs to it, in Python and in SQL.

A printed edge belongs to the band that owns it, however the value reached us: 3/32 in that went
through metres and back is still 3/32 in. An edge whose owner the source does not tell belongs to
the bands on both its sides; there the caller lets the safer side count.
"""

from __future__ import annotations

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
