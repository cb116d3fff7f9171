"""Ranges in, ranges out: a formula evaluated at every corner of its input windows."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import NamedTuple

from weldref.errors import InputError
from weldref.formulas.formula import Result


class Span(NamedTuple):
    """The lowest and the highest result over the corners of the input windows."""

    lowest: Result
    highest: Result


def corners(function: Callable[..., Result], /, **ranges: object) -> Span:
    """Evaluate a formula at every combination of window ends and keep the extremes.

    Parameters
    ----------
    function
        Any formula of this package, or another function that returns a `Result`.
    **ranges
        Each parameter of the function: one value (a number or a word), or a window
        ``(low, high)``.

    Returns
    -------
    Span
        ``lowest`` and ``highest``, each a whole `Result` with the caveats of its corner.

    Raises
    ------
    InputError
        If a window is not two values in rising order, or the function refuses a corner.

    Notes
    -----
    Exact only for a formula that rises or falls steadily with each windowed parameter, as
    heat input does. Where a formula has a peak inside a window the true extreme lies between
    the corners and is not found.

    Examples
    --------
    >>> from weldref.formulas.heat import arc_energy
    >>> span = corners(arc_energy, voltage=(20.0, 25.0), current=100.0, travel_speed=(0.004, 0.005))
    >>> span.lowest.value, span.highest.value
    (400000.0, 625000.0)
    """
    ends = {name: _ends(name, value) for name, value in ranges.items()}
    results = [
        function(**dict(zip(ends, corner, strict=True)))
        for corner in itertools.product(*ends.values())
    ]
    return Span(
        min(results, key=lambda result: result.value), max(results, key=lambda result: result.value)
    )


def _ends(name: str, value: object) -> tuple[object, ...]:
    if not isinstance(value, (tuple, list)):
        return (value,)
    if len(value) != 2 or value[0] > value[1]:
        raise InputError(f"{name}: {value!r} is not a window; give (low, high)")
    return tuple(value)
