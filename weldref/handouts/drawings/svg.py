"""Write the few shapes of a technical sketch as SVG; lengths in millimetres on paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape

Point = tuple[float, float]

INK = "#262626"
METAL = "#d9d9d9"
WELD = "#8c8c8c"
THICK, THIN = 0.45, 0.22


@dataclass
class Sketch:
    """A sketch that grows shape by shape; y points down."""

    shapes: list[str] = field(default_factory=list)
    points: list[Point] = field(default_factory=list)

    def line(self, *points: Point, width: float = THICK, dashes: str = "") -> None:
        """Draw a line through points."""
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        self._add(
            f'<polyline points="{_at(points)}" fill="none" stroke="{INK}" '
            f'stroke-width="{width}" stroke-linejoin="round"{dashed}/>',
            points,
        )

    def area(self, *points: Point, fill: str = METAL, width: float = THICK) -> None:
        """Draw a filled polygon."""
        self._add(
            f'<polygon points="{_at(points)}" fill="{fill}" stroke="{INK}" '
            f'stroke-width="{width}" stroke-linejoin="round"/>',
            points,
        )

    def circle(self, centre: Point, radius: float, fill: str = "none") -> None:
        """Draw a circle."""
        x, y = centre
        self._add(
            f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:.2f}" fill="{fill}" '
            f'stroke="{INK}" stroke-width="{THICK}"/>',
            ((x - radius, y - radius), (x + radius, y + radius)),
        )

    def arrow(self, start: Point, end: Point, width: float = THIN) -> None:
        """Draw a line with a filled head at its end."""
        self.line(start, end, width=width)
        angle = math.atan2(end[1] - start[1], end[0] - start[0])
        sides = [
            (end[0] - 2 * math.cos(angle + turn), end[1] - 2 * math.sin(angle + turn))
            for turn in (-0.26, 0.26)
        ]
        self.area(end, *sides, fill=INK, width=0.1)

    def text(self, at: Point, words: str, size: float = 3.1, anchor: str = "middle") -> None:
        """Write a text with its middle at a height."""
        x, y = at
        self.shapes.append(
            f'<text x="{x:.2f}" y="{y + size * 0.33:.2f}" font-size="{size}" '
            f'font-family="Libertinus Serif, serif" text-anchor="{anchor}" '
            f'fill="{INK}">{escape(words)}</text>'
        )
        wide = size * sum(0.75 if c.isupper() else 0.52 for c in words)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        self.points += [(left, y - size * 0.6), (left + wide, y + size * 0.6)]

    def measure(self, start: Point, end: Point, words: str, side: Point = (0, 0)) -> None:
        """Draw a dimension between two points with its text beside the middle."""
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        self.arrow(middle, start)
        self.arrow(middle, end)
        anchor = "end" if side[0] < 0 else "start" if side[0] > 0 else "middle"
        self.text((middle[0] + side[0], middle[1] + side[1]), words, anchor=anchor)

    def _add(self, shape: str, points: Sequence[Point]) -> None:
        self.shapes.append(shape)
        self.points += points

    def svg(self) -> tuple[str, float]:
        """Return the SVG and its width in millimetres on paper."""
        left, right = min(x for x, _ in self.points) - 1, max(x for x, _ in self.points) + 1
        top, bottom = min(y for _, y in self.points) - 1, max(y for _, y in self.points) + 1
        wide, high = right - left, bottom - top
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}mm" height="{high:.2f}mm" '
            f'viewBox="{left:.2f} {top:.2f} {wide:.2f} {high:.2f}">{"".join(self.shapes)}</svg>',
            round(wide, 2),
        )


def _at(points: Sequence[Point]) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in points)


def turned(points: Sequence[Point], degrees: float, about: Point = (0, 0)) -> list[Point]:
    """Turn points clockwise about one of them."""
    angle = math.radians(degrees)
    sine, cosine = math.sin(angle), math.cos(angle)
    return [
        (
            about[0] + (x - about[0]) * cosine - (y - about[1]) * sine,
            about[1] + (x - about[0]) * sine + (y - about[1]) * cosine,
        )
        for x, y in points
    ]
