"""Draw a formula's result across one input while the others stay as entered.

Every point is computed as the formula's page computes it, by `weldref.calculate.by_name` from
text with units, so that the curve shows the numbers that the page prints.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import altair as alt

from weldref.calculate.by_name import compute, named, typed
from weldref.charts.ranges import DASH, FONT, INK, TEXT, Align, axis, finish, layer
from weldref.errors import InputError
from weldref.files import csv_rows

SWEPT: Mapping[str, str] = {
    row["formula"]: row["input"] for row in csv_rows(Path(__file__).with_name("swept.csv"))
}
"""Formula -> the input across its chart."""

_STEPS = range(20, 161)
_WHOLE = 80
"""The curve runs from a quarter of the input to twice the input, and through the input."""

_INCH = re.compile(
    r"(in|inch|inches|ft)[23]?\b|(ipm|cfh|cfm|lb|psi|ksi|kip|degF|°F)\b|.*/(in|ft)[23]?\b|\""
)


@dataclass(frozen=True, slots=True)
class Point:
    """A computed point with the caveats that the formula adds there."""

    x: float
    y: float
    caveats: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """A formula's result across one input, the others held as they were entered.

    `always` are caveats of every point; a point with others lies outside the range for which the
    formula is valid.
    """

    x_title: str
    x_unit: str
    y_title: str
    y_unit: str
    grade: str
    points: tuple[Point, ...]
    yours: Point
    always: tuple[str, ...]

    def outside(self) -> list[tuple[float, float, tuple[str, ...]]]:
        """Return the stretches for which the formula is not valid, each with its caveats."""
        stretches: list[tuple[float, float, tuple[str, ...]]] = []
        for before, point in zip((self.points[0], *self.points), self.points, strict=False):
            said = self._beyond(point)
            if not said:
                continue
            if stretches and self._beyond(before):
                start, _, first = stretches[-1]
                stretches[-1] = (start, point.x, first)
            else:
                stretches.append((before.x, point.x, said))
        return stretches

    def _beyond(self, point: Point) -> tuple[str, ...]:
        return tuple(caveat for caveat in point.caveats if caveat not in self.always)


def curve(name: str, inputs: Mapping[str, str]) -> Curve | None:
    """Compute a formula across the input of its chart, in the unit that was typed.

    None when the formula has no chart, or the input is not a single number above zero.
    """
    swept = SWEPT.get(name)
    found = typed(inputs.get(swept, "")) if swept else None
    if swept is None or found is None:
        return None
    joined, (number, *_), unit = found
    if joined or number <= 0:
        return None
    answer = compute(name, inputs)
    if answer.low or not answer.shown:
        return None
    shown = len(answer.shown) - 1 if is_inch(unit) else 0
    _, y_unit = _split(answer.shown[shown])
    points = []
    for step in _STEPS:
        x = number * step / _WHOLE
        text = inputs[swept] if step == _WHOLE else f"{x!r} {unit}"
        try:
            at = compute(name, {**inputs, swept: text})
        except (InputError, ArithmeticError):
            continue  # the curve ends where its values cannot exist
        y, _ = _split(at.shown[shown])
        if math.isfinite(y):
            points.append(Point(x, y, at.caveats))
    always = tuple(c for c in points[0].caveats if all(c in p.caveats for p in points))
    target = named(name)
    return Curve(
        target.symbols[swept].meaning,
        unit,
        target.result.meaning,
        y_unit,
        str(answer.grade),
        tuple(points),
        next(point for point in points if point.x == number),
        always,
    )


def ordered(shown: Sequence[str], units: str) -> list[str]:
    """Put the result in the units asked for first; the others follow."""
    return sorted(shown, key=lambda text: is_inch(_split(text)[1]) != (units == "us"))


def is_inch(unit: str) -> bool:
    """Tell whether a unit belongs to the inch system.

    >>> is_inch("kJ/in"), is_inch("degF"), is_inch("min")
    (True, True, False)
    """
    return bool(_INCH.match(unit))


def _split(text: str) -> tuple[float, str]:
    """Split a result as it is shown; what is charted is what is printed.

    >>> _split("0.8504 +/- 0.029 kJ/mm"), _split("1.5")
    ((0.8504, 'kJ/mm'), (1.5, ''))
    """
    number, _, rest = text.partition(" ")
    return float(number), re.sub(r"^\+/- \S+ ?", "", rest)


def curve_chart(made: Curve) -> alt.LayerChart:
    """Draw a curve; a recalled formula is dotted, a quoted one dashed, as everywhere."""
    x = axis(pretty(f"{made.x_title}, {made.x_unit}"))
    y = axis(pretty(f"{made.y_title}, {made.y_unit}"))
    layers = []
    if stretches := made.outside():
        shaded = [{"x": start, "to": end} for start, end, _ in stretches]
        rectangle = layer(shaded).mark_rect(color="#d9dee3", opacity=0.75, aria=False)
        layers.append(rectangle.encode(alt.X("x:Q", axis=x), alt.X2("to:Q")))
    line = layer([{"x": point.x, "y": point.y} for point in made.points])
    scale = alt.Scale(zero=min(point.y for point in made.points) >= 0, nice=True)
    across = alt.Scale(domain=[made.points[0].x, made.points[-1].x], nice=False, zero=False)
    encoded = (alt.X("x:Q", axis=x, scale=across), alt.Y("y:Q", axis=y, scale=scale))
    look: dict[str, Any] = {"color": INK, "strokeWidth": 2.5, "strokeDash": DASH[made.grade]}
    layers.append(line.mark_line(aria=False, **look).encode(*encoded))
    words = f"yours: {made.yours.y:.4g} {pretty(made.y_unit)}".strip()
    yours = {"x": made.yours.x, "y": made.yours.y, "text": words}
    rising = made.points[-1].y > made.points[0].y
    layers += marked([yours], encoded, "right" if rising else "left")
    return finish(layers, height=300)


_PRETTY = {"degC": "°C", "degF": "°F", "currency": "¤", "deg": "°"}


def pretty(text: str) -> str:
    """Write units as a person would.

    >>> pretty("100 degC"), pretty("20.2 mm2"), pretty("35 ft3/h"), pretty("4.5e6 J/(m^3 K)")
    ('100 °C', '20.2 mm²', '35 ft³/h', '4.5e6 J/(m³ K)')
    """
    text = re.sub(r"\b(degC|degF|currency|deg)\b", lambda found: _PRETTY[found[0]], text)
    return re.sub(r"(?<=[A-Za-z])\^?([23])\b", lambda found: {"2": "²", "3": "³"}[found[1]], text)


def marked(
    spots: list[dict[str, Any]],
    encoded: tuple[alt.X, alt.Y],
    align: Align = "center",
    *,
    below: bool = False,
) -> list[alt.Chart]:
    """Mark points with words above or below; `align` keeps the words off the curve."""
    dots = layer(spots).mark_point(shape="circle", size=130, filled=True, color=TEXT, opacity=1)
    look: dict[str, Any] = {"fontSize": 14, "fontWeight": "bold", "color": TEXT, "align": align}
    look |= {"dy": 20 if below else -14, "dx": {"left": 8, "center": 0, "right": -8}[align]}
    words = layer(spots).mark_text(font=FONT, aria=False, **look)
    # A white edge keeps the words readable where they cross the curve.
    halo = layer(spots).mark_text(font=FONT, aria=False, stroke="white", strokeWidth=5, **look)
    return [
        dots.encode(*encoded, alt.Description(field="text", type="nominal")),
        *(text.encode(*encoded, text="text:N") for text in (halo, words)),
    ]
