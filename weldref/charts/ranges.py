"""Draw published ranges as horizontal bars, one for each printed row, on one scale.

How well a row was read shows in its outline and in a word, so that a black and white print shows it
too: solid is read, dashed is quoted, dotted and hollow is from memory. An own row of a
shop or school is striped.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any, Literal

import altair as alt

from weldref.core.units import Unit
from weldref.core.verdict import Row
from weldref.core.wording import as_said
from weldref.grades import GRADE_WORDS
from weldref.text import span
from weldref.text import unit_sign as unit_sign  # for whoever writes beside a chart

Align = Literal["left", "center", "right"]
Width = int | Literal["container"]

MOST_BARS = 12
"""More bars than this are hard to read: the reader is told how many more there are."""

INK = "#1d4f6b"
FILL = "#8fbdd6"
TEXT = "#1f2933"
FONT = "'Source Sans', 'Source Sans Pro', 'Source Sans 3', Arial, sans-serif"

# Heights in pixels; a band holds a line of text above its bar.
BAND, TEXT_AT, BAR_FROM, BAR_TO, HEAD = 44.0, 13.0, 22.0, 38.0, 26.0
MIDDLE = (BAR_FROM + BAR_TO) / 2

DASH = {"read": [1, 0], "secondary": [7, 4], "memory": [2, 3]}


def shown_span(row: Row) -> str:
    """Write a row's range as printed, with the unit as a person would.

    >>> from types import SimpleNamespace as R
    >>> shown_span(R(min=50.0, max=None, typical=None, unit="F"))
    'at least 50 °F'
    """
    sign = unit_sign(row.unit)
    return span(row).replace(row.unit, sign) if sign != row.unit else span(row)


@dataclass(frozen=True, slots=True)
class Bar:
    """One printed row on a chart's scale; an end that is not printed is None."""

    label: str
    grade: str
    low: float | None
    high: float | None
    typical: float | None
    own: bool = False

    @property
    def is_range(self) -> bool:
        """Whether an end is printed; otherwise it is a single setting."""
        return self.low is not None or self.high is not None


def bars(rows: Iterable[Row], unit: str, units: dict[str, Unit], first: int = 1) -> list[Bar]:
    """Place rows on the scale of one unit, numbered from `first`; the label stays as printed.

    `units` are those of `weldref.core.units.Units` by spelling.
    """
    target = units[unit]

    def placed(number: float | None, printed: Unit) -> float | None:
        if number is None:
            return None
        value = (number * printed.factor + printed.shift - target.shift) / target.factor
        return float(f"{value:.6g}")

    made = []
    for number, row in enumerate(rows, first):
        printed = units[row.unit]
        low, high, typical = (placed(n, printed) for n in (row.min, row.max, row.typical))
        words = f"{number}. {shown_span(row)}, {GRADE_WORDS[row.how_read]}"
        if row.own:
            words += ", own row"
        if row.ignores:
            words += ", general"
        if row.assumed:
            words += f", if {', '.join(map(as_said, row.assumed.values()))}"
        made.append(Bar(f"{words}: {row.source}", row.how_read, low, high, typical, row.own))
    return made


def scale_ends(made: Sequence[Bar], value: float | None) -> tuple[float, float]:
    """Find the ends of a scale that holds every bar and the value, with room to spare."""
    numbers = [n for bar in made for n in (bar.low, bar.high, bar.typical) if n is not None]
    numbers += [] if value is None else [value]
    low, high = min(numbers), max(numbers)
    spare = 0.1 * (high - low) or 0.25 * abs(high) or 1.0
    start = low - spare
    # A range without a minimum is drawn open to the left, but never past zero when nothing is.
    return (max(start, 0.0) if low >= 0 else start), high + spare


def range_chart(
    made: Sequence[Bar],
    title: str,
    unit: str,
    *,
    value: float | None = None,
    width: Width = "container",
) -> alt.LayerChart:
    """Draw bars, at least one, with an optional proposed value in `unit` across them.

    `width` is in pixels, or "container" for as wide as the page allows.
    """
    ends = scale_ends(made, value)
    head = HEAD if value is not None else 4.0
    sheet = _Sheet(ends, head + BAND * len(made), f"{title}, {unit_sign(unit)}")
    placed = [(bar, head + BAND * index) for index, bar in enumerate(made)]
    layers = [*_ranges(sheet, placed), *_open_ends(sheet, placed), *_points(sheet, placed)]
    if value is not None:
        layers += _value_line(sheet, value, unit, [top for _, top in placed])
    labels = [{"text": bar.label, "from": ends[0], "top": top + TEXT_AT} for bar, top in placed]
    layers.append(sheet.text(labels, limit=alt.ExprRef("width")))
    return finish(layers, width=width, height=sheet.height)


class _Sheet:
    """What the layers share: altair takes 10 ms to make a channel, and a chart has many layers."""

    def __init__(self, ends: tuple[float, float], height: float, title: str) -> None:
        self.ends, self.height = ends, height
        across = alt.Scale(domain=list(ends), nice=False, zero=False)
        down = alt.Scale(domain=[0, height], range=[0, height], nice=False, zero=False)
        self.x = alt.X(
            field="from", type="quantitative", scale=across, axis=axis(title, labelFlush=True)
        )
        self.x2 = alt.X2(field="to")
        self.y = alt.Y(field="top", type="quantitative", scale=down, axis=None)
        self.y2 = alt.Y2(field="bottom")
        self.words = alt.Text(field="text", type="nominal")
        self.told = alt.Description(field="text", type="nominal")

    def text(
        self,
        data: list[dict[str, Any]],
        *,
        align: Align = "left",
        bold: bool = False,
        limit: Any = 0,
    ) -> alt.Chart:
        """Write words; a screen reader reads those of the bar itself."""
        look: dict[str, Any] = {"align": align, "limit": limit, "color": TEXT, "font": FONT}
        look |= {"baseline": "middle", "fontSize": 14, "fontWeight": "bold" if bold else "normal"}
        marked = layer(data).mark_text(aria=False, **look)
        written: alt.Chart = marked.encode(self.x, self.y, self.words)
        return written


def axis(title: str, **more: Any) -> alt.Axis:
    """Lay out an axis with its quantity and unit."""
    look: dict[str, Any] = {"tickCount": 6, "gridColor": "#dde3e8"}
    look |= {"domainColor": "#66737f", "tickColor": "#66737f"}
    return alt.Axis(title=title.rstrip(", "), **(look | more))


def layer(data: Sequence[Mapping[str, Any]]) -> alt.Chart:
    """Start a layer on rows of its own."""
    return alt.Chart(alt.InlineData(values=[dict(row) for row in data]))


def finish(layers: list[alt.Chart], *, width: Width = "container", height: float) -> alt.LayerChart:
    """Put the layers on one sheet."""
    chart = alt.LayerChart(layer=layers, width=width, height=height, background="white")
    look: dict[str, Any] = {"labelFont": FONT, "titleFont": FONT}
    look |= {"labelFontSize": 13, "titleFontSize": 13, "titleFontWeight": "normal"}
    look |= {"labelColor": TEXT, "titleColor": TEXT}
    finished: alt.LayerChart = chart.configure_view(stroke=None).configure_axis(**look)
    return finished


# Upright stripes, since a rectangle takes no pattern: own rows differ without colour too.
_STOPS = [
    {"offset": (band + end) / 25, "color": FILL if band % 2 else "white"}
    for band in range(25)
    for end in (0, 1)
]
_STRIPES = {"gradient": "linear", "x1": 0, "x2": 1, "y1": 0, "y2": 0, "stops": _STOPS}


def look_of(grade: str) -> dict[str, Any]:
    """Choose how a bar looks by how its row was read."""
    fill = FILL if grade == "read" else "white"
    return {"fill": fill, "stroke": INK, "strokeWidth": 1.8, "strokeDash": DASH[grade]}


def _look(grade: str, *, own: bool = False) -> dict[str, Any]:
    return look_of(grade) | {"opacity": 1} | ({"fill": _STRIPES} if own else {})


_Placed = list[tuple[Bar, float]]


def _ranges(sheet: _Sheet, placed: _Placed) -> list[alt.Chart]:
    """Draw a layer of bars for each grade: a rectangle's dashes cannot follow the data."""
    layers = []
    for grade, own in product(DASH, (False, True)):
        data = [
            {
                "from": sheet.ends[0] if bar.low is None else bar.low,
                "to": sheet.ends[1] if bar.high is None else bar.high,
                "top": top + BAR_FROM,
                "bottom": top + BAR_TO,
                "text": bar.label,
            }
            for bar, top in placed
            if bar.grade == grade and bar.is_range and bar.own == own
        ]
        if data:
            rectangle = layer(data).mark_rect(clip=True, **_look(grade, own=own))
            layers.append(rectangle.encode(sheet.x, sheet.x2, sheet.y, sheet.y2, sheet.told))
    return layers


def _open_ends(sheet: _Sheet, placed: _Placed) -> list[alt.Chart]:
    """Draw an arrow where a range has no printed end."""
    layers = []
    for side, edge, shift in (("left", sheet.ends[0], 4), ("right", sheet.ends[1], -4)):
        data = [
            {"from": edge, "top": top + MIDDLE}
            for bar, top in placed
            if bar.is_range and (bar.low if side == "left" else bar.high) is None
        ]
        if data:
            # The shift puts the arrow's tip, not its middle, at the edge of the scale.
            arrow = layer(data).mark_point(
                shape=f"triangle-{side}", size=110, filled=True, color=INK, opacity=1,
                xOffset=shift, aria=False,
            )  # fmt: skip
            layers.append(arrow.encode(sheet.x, sheet.y))
    return layers


def _points(sheet: _Sheet, placed: _Placed) -> list[alt.Chart]:
    """Draw single settings, and the typical setting within a range, as diamonds."""
    layers = []
    for grade in DASH:
        for in_range, size in ((True, 70), (False, 190)):
            data = [
                {"from": bar.typical, "top": top + MIDDLE, "text": bar.label}
                for bar, top in placed
                if bar.typical is not None and bar.grade == grade and bar.is_range == in_range
            ]
            if data:
                look = _look(grade) | ({"fill": "white", "strokeDash": [1, 0]} if in_range else {})
                diamond = layer(data).mark_point(shape="diamond", size=size, **look)
                layers.append(diamond.encode(sheet.x, sheet.y, sheet.told))
    return layers


def _value_line(sheet: _Sheet, value: float, unit: str, tops: list[float]) -> list[alt.Chart]:
    """Draw the value thick across each bar and thin between them, where the words are."""
    # Each row carries the value: a page can move the line without drawing the chart again.
    own = {"from": value, "value": value}
    thin = [{**own, "top": HEAD - 8, "bottom": sheet.height}]
    thick = [{**own, "top": top + BAR_FROM - 3, "bottom": top + BAR_TO + 3} for top in tops]
    share = (value - sheet.ends[0]) / (sheet.ends[1] - sheet.ends[0])
    align: Align = "left" if share < 0.2 else "right" if share > 0.8 else "center"
    words = {**own, "text": f"yours: {value:g} {unit_sign(unit)}", "top": 9.0}
    lines = [
        layer(data)
        .mark_rule(color=colour, strokeWidth=width, aria=False)
        .encode(sheet.x, sheet.y, sheet.y2)
        for data, width, colour in ((thin, 1, "#8a95a0"), (thick, 3.5, TEXT))
    ]
    return [*lines, sheet.text([words], align=align, bold=True)]
