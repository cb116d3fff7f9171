"""Draw the printed ranges by thickness: a bar where a document has one, and nothing between.

A bar is as wide as the band of thickness that it is printed for. How it was read shows in its
outline, as in `weldref.charts.ranges`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import altair as alt

from weldref.advice.ladder import Rung
from weldref.charts.ranges import DASH, FILL, FONT, INK, TEXT, unit_sign

METRES = {"in": 0.0254, "mm": 0.001}


def ladder_chart(
    rungs: Sequence[Rung],
    title: str,
    length: Literal["in", "mm"],
    *,
    thickness: float | None = None,
    value: float | None = None,
    width: int | Literal["container"] = "container",
) -> alt.LayerChart:
    """Draw a quantity against thickness, with the reader's thickness and value as lines.

    Parameters
    ----------
    rungs
        At least one bar, as `weldref.advice.card.ladder` gives them.
    title
        The quantity.
    length
        The unit of the thickness scale.
    thickness
        The reader's, in metres.
    value
        The reader's, in the unit of the rungs.
    width
        In pixels, or "container" for as wide as the page allows.

    Examples
    --------
    >>> rung = Rung(0.003, 0.003, "3 mm", 90.0, 130.0, "A", "memory", "common-practice", False)
    >>> chart = ladder_chart([rung], "current", "mm", thickness=0.004)
    >>> [layer.mark.type for layer in chart.layer]
    ['rect', 'rule']
    """
    metres = METRES[length]
    ends = [end for r in rungs for end in (r.thickness_min, r.thickness_max) if end is not None]
    longest = max([*ends, thickness or 0.0]) / metres * 1.08
    narrow = longest / 160
    highest = max([*(r.high for r in rungs), value or 0.0]) * 1.06
    unit = unit_sign(rungs[0].unit)
    x_scale = alt.Scale(domain=[0, longest], nice=False)
    y_scale = alt.Scale(domain=[0, highest], nice=False)
    axis: dict[str, Any] = {
        "gridColor": "#dde3e8",
        "domainColor": "#66737f",
        "tickColor": "#66737f",
    }
    x = alt.X(
        field="left",
        type="quantitative",
        scale=x_scale,
        axis=alt.Axis(title=f"thickness, {length}", tickCount=6, **axis),
    )
    y = alt.Y(
        field="low",
        type="quantitative",
        scale=y_scale,
        axis=alt.Axis(title=f"{title}, {unit}", tickCount=5, **axis),
    )
    layers = [
        _layer(_bars(some, metres, longest, narrow, highest))
        .mark_rect(
            fill=FILL if grade == "read" else "white",
            stroke=INK,
            strokeWidth=1.8,
            strokeDash=DASH[grade],
        )
        .encode(x, alt.X2(field="right"), y, alt.Y2(field="high"), alt.Description(field="text"))
        for grade in DASH
        if (some := [r for r in rungs if r.grade == grade])
    ]
    if thickness is not None:
        at = [{"left": thickness / metres, "low": 0, "high": highest, "text": "your thickness"}]
        layers.append(_line(at).encode(x, y, alt.Y2(field="high"), alt.Description(field="text")))
    if value is not None:
        at = [{"left": 0, "right": longest, "low": value, "text": f"yours: {value:g} {unit}"}]
        layers.append(_line(at).encode(x, alt.X2(field="right"), y, alt.Description(field="text")))
    chart: alt.LayerChart = (
        alt.LayerChart(layer=layers, width=width, height=260, background="white")
        .configure_view(stroke=None)
        .configure_axis(
            labelFont=FONT,
            titleFont=FONT,
            labelFontSize=13,
            titleFontSize=13,
            labelColor=TEXT,
            titleColor=TEXT,
            titleFontWeight="normal",
        )
    )
    return chart


def _bars(
    rungs: Sequence[Rung], metres: float, longest: float, narrow: float, highest: float
) -> list[dict[str, Any]]:
    """Place the bars; a single thickness or setting gets just enough width or height to be seen."""
    made = []
    for rung in rungs:
        left = rung.thickness_min / metres
        right = longest if rung.thickness_max is None else rung.thickness_max / metres
        low, high = rung.low, rung.high
        if right - left < 2 * narrow:
            left, right = (left + right) / 2 - narrow, (left + right) / 2 + narrow
        if low == high:
            low, high = low - highest / 200, high + highest / 200
        span = f"{rung.low:g}" if rung.low == rung.high else f"{rung.low:g} to {rung.high:g}"
        text = f"{rung.thickness}: {span} {unit_sign(rung.unit)}, {rung.grade}"
        made.append({"left": left, "right": right, "low": low, "high": high, "text": text})
    return made


def _layer(data: list[dict[str, Any]]) -> alt.Chart:
    return alt.Chart(alt.InlineData(values=data))


def _line(data: list[dict[str, Any]]) -> alt.Chart:
    line: alt.Chart = _layer(data).mark_rule(color=TEXT, strokeWidth=2.5)
    return line
