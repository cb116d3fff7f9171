"""Draw the printed ranges by thickness: a bar where a document has one, and nothing between.

A bar is as wide as the band of thickness that it is printed for. How it was read shows in its
outline, as in `weldref.charts.ranges`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import altair as alt

from weldref.advice.ladder import Rung
from weldref.charts.ranges import DASH, TEXT, Width, axis, finish, layer, look_of, unit_sign

METRES = {"in": 0.0254, "mm": 0.001}


def ladder_chart(
    rungs: Sequence[Rung],
    title: str,
    length: Literal["in", "mm"],
    *,
    thickness: float | None = None,
    value: float | None = None,
    width: Width = "container",
) -> alt.LayerChart:
    """Draw a quantity against thickness, with the reader's thickness and value as lines.

    The rungs, at least one, are those of `weldref.advice.ladder`, in the unit of the value;
    `length` is the unit of the thickness scale, and `thickness` is in metres.
    """
    metres, unit = METRES[length], unit_sign(rungs[0].unit)
    ends = [end for r in rungs for end in (r.thickness_min, r.thickness_max) if end is not None]
    longest = max([*ends, thickness or 0.0]) / metres * 1.08
    highest = max([*(r.high for r in rungs), value or 0.0]) * 1.06
    x = alt.X(
        field="left",
        type="quantitative",
        scale=alt.Scale(domain=[0, longest], nice=False),
        axis=axis(f"thickness, {length}"),
    )
    y = alt.Y(
        field="low",
        type="quantitative",
        scale=alt.Scale(domain=[0, highest], nice=False),
        axis=axis(f"{title}, {unit}", tickCount=5),
    )
    right, high, told = alt.X2(field="right"), alt.Y2(field="high"), alt.Description(field="text")
    layers = [
        layer([_bar(rung, metres, longest, highest) for rung in some])
        .mark_rect(**look_of(grade))
        .encode(x, right, y, high, told)
        for grade in DASH
        if (some := [rung for rung in rungs if rung.grade == grade])
    ]
    if thickness is not None:
        at = {"left": thickness / metres, "low": 0, "high": highest, "text": "your thickness"}
        layers.append(_line(at).encode(x, y, high, told))
    if value is not None:
        at = {"left": 0, "right": longest, "low": value, "text": f"yours: {value:g} {unit}"}
        layers.append(_line(at).encode(x, right, y, told))
    return finish(layers, width=width, height=260)


def _bar(rung: Rung, metres: float, longest: float, highest: float) -> dict[str, Any]:
    """Place a bar; a single thickness or setting gets just enough width or height to be seen."""
    left, narrow = rung.thickness_min / metres, longest / 160
    right = longest if rung.thickness_max is None else rung.thickness_max / metres
    low, high, span = rung.low, rung.high, f"{rung.low:g} to {rung.high:g}"
    if right - left < 2 * narrow:
        left, right = (left + right) / 2 - narrow, (left + right) / 2 + narrow
    if low == high:
        span = f"{low:g}"
        low, high = low - highest / 200, high + highest / 200
    text = f"{rung.thickness}: {span} {unit_sign(rung.unit)}, {rung.grade}"
    return {"left": left, "right": right, "low": low, "high": high, "text": text}


def _line(at: dict[str, Any]) -> alt.Chart:
    line: alt.Chart = layer([at]).mark_rule(color=TEXT, strokeWidth=2.5)
    return line
