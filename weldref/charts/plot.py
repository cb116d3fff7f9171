"""Draw what is published for a situation, for a notebook: its ranges, or all thicknesses."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from weldref.advice.ladder import ladder
from weldref.advice.situation import Situation
from weldref.core.check import read_value
from weldref.core.lookup import find
from weldref.core.situation import quantity_row
from weldref.core.terms import Vocabulary
from weldref.core.units import Units
from weldref.core.verdict import show_rows
from weldref.errors import InputError

if TYPE_CHECKING:
    import altair as alt


def plot(
    bench: Situation,
    quantity: str,
    value: str | float | None = None,
    *,
    by: Literal["row", "thickness"] = "row",
    width: int = 640,
) -> alt.LayerChart:
    """Draw the published ranges of a quantity, with your value across them.

    How a row was read shows in its outline: solid is read, dashed quoted, dotted recalled.

    Parameters
    ----------
    bench
        What is on the bench.
    quantity
        For example "current".
    value
        A value to draw across, as `weldref.check` takes it.
    by
        "row" for a bar for each row that fits, the closest first; "thickness" for what is printed
        or recalled at every thickness, whatever is on the bench, and nothing between.
    width
        In pixels.

    Raises
    ------
    InputError
        If the quantity or the value is not accepted, nothing is published, or altair is not
        installed.

    Examples
    --------
    >>> bench = Situation(process="SMAW", electrode="E7018", diameter="1/8", grade="read")
    >>> chart = plot(bench, "current", 130)
    >>> chart.to_dict()["layer"][0]["mark"]["type"]
    'rect'
    """
    if by not in ("row", "thickness"):
        raise InputError(f"by: '{by}' is not accepted; give row or thickness")
    try:
        from weldref.charts.ladder import ladder_chart
        from weldref.charts.ranges import MOST_BARS, bars, range_chart
    except ImportError:
        raise InputError("plot: altair is not installed; pip install 'weldref[app]'") from None
    store, situation = bench.store, bench.resolved
    name = Vocabulary(store).quantity(quantity)
    unit = quantity_row(store, name)[f"{situation.units}_unit"]
    units = Units(store)
    yours = None
    if value is not None:
        _, read = read_value(store, name, value, situation.units)
        yours = float(f"{units.convert(read.si, unit):.6g}")
    title = name.replace("_", " ")
    if by == "thickness":
        rungs = ladder(store, situation, name, unit, bench.grade)
        if rungs:
            thickness = situation.thickness.si if situation.thickness else None
            length: Literal["in", "mm"] = "in" if situation.units == "us" else "mm"
            return ladder_chart(rungs, title, length, thickness=thickness, value=yours, width=width)
    else:
        matches = [m for m in find(store, situation, name, bench.grade) if m.gives_verdict]
        matches.sort(key=lambda match: (match.bounds, match.grade == "memory"))
        if rows := show_rows(store, matches)[:MOST_BARS]:
            made = bars(rows, unit, units.by_spelling)
            return range_chart(made, title, unit, value=yours, width=width)
    raise InputError(f"plot: nothing is published of {title} for {situation}; say less")
