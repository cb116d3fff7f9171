"""Draw the joint, the welding symbol and the position of a situation, black on white, as SVG.

A joint is drawn to scale with the dimensions that are published. A symbol is made of the elements
of AWS A2.4 and of ISO 2553, system A: both put the sign for a weld on the arrow side beside the
reference line, AWS below it, ISO on the continuous line of a pair with a dashed one. Lengths are
in millimetres on paper, and y points down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Literal

from weldref.core.situation import Situation

Point = tuple[float, float]
Shape = Literal["square", "v", "double-v", "bevel", "tee", "lap", "corner"]
Weld = Literal["fillet", "groove"]

INK = "#262626"
METAL = "#d9d9d9"
WELD = "#8c8c8c"
THICK, THIN = 0.45, 0.22

SHAPES: dict[str, Shape] = {
    "lap fillet": "lap",
    "corner fillet": "corner",
    "corner groove": "bevel",
    "T-joint groove": "bevel",
    "fillet": "tee",
    "corner joint": "corner",
    "square groove": "square",
    "single-V groove": "v",
    "double-V groove": "double-v",
    "single-bevel groove": "bevel",
}
"""The picture of each joint term, narrower terms before broader ones."""

NUMBERS = {
    "flat": "1", "horizontal": "2", "vertical": "3", "overhead": "4", "5G": "5", "6G": "6",
    "5F": "5",
}  # fmt: skip
"""The number of the test position that a position term is, or is a kind of."""

BLANK = "____"
"""Printed in place of a size that is not published, or that a symbol needs: to fill in by hand."""

# Which picture -----------------------------------------------------------------------------------


def shape_of(situation: Situation) -> Shape | None:
    """Return the picture of a joint; None if the joint or its kind of groove is not stated."""
    joint = situation.terms.get("joint")
    broader = joint.broader if joint else ()
    return next((shape for term, shape in SHAPES.items() if term in broader), None)


def weld_of(situation: Situation) -> Weld | None:
    """Tell a fillet weld from a groove weld, by the joint or by the position."""
    joint, position = situation.terms.get("joint"), situation.terms.get("position")
    if joint is not None and {"fillet", "corner joint"} & set(joint.broader):
        return "fillet"
    if joint is not None and "groove" in joint.broader:
        return "groove"
    if position is not None and position.name[:1].isdigit():
        return "fillet" if "F" in position.name else "groove"
    return None


def position_of(situation: Situation) -> tuple[str, str]:
    """Return the number of the position (1 to 6 or empty), and "up" or "down" if stated."""
    position = situation.terms.get("position")
    if position is None:
        return "", ""
    number = next((NUMBERS[term] for term in position.broader if term in NUMBERS), "")
    way = next((way for way in ("up", "down") if position.name.endswith(way)), "")
    return number, way


# The sketch --------------------------------------------------------------------------------------


@dataclass
class Sketch:
    """A sketch that grows shape by shape."""

    shapes: list[str] = field(default_factory=list)
    points: list[Point] = field(default_factory=list)

    def _drawn(
        self, tag: str, points: Sequence[Point], fill: str, width: float, more: str = ""
    ) -> None:
        at = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
        self.shapes.append(
            f'<{tag} points="{at}" fill="{fill}" stroke="{INK}" '
            f'stroke-width="{width}" stroke-linejoin="round"{more}/>'
        )
        self.points += points

    def line(self, *points: Point, width: float = THICK, dashes: str = "") -> None:
        """Draw a line through points."""
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        self._drawn("polyline", points, "none", width, dashed)

    def area(self, *points: Point, fill: str = METAL, width: float = THICK) -> None:
        """Draw a filled polygon."""
        self._drawn("polygon", points, fill, width)

    def box(self, left: float, top: float, right: float, bottom: float, fill: str = METAL) -> None:
        """Draw a filled rectangle."""
        self.area((left, top), (right, top), (right, bottom), (left, bottom), fill=fill)

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
        """Write a text, centred in height."""
        x, y = at
        self.shapes.append(
            f'<text x="{x:.2f}" y="{y + size * 0.33:.2f}" font-size="{size}" '
            f'font-family="Libertinus Serif, serif" text-anchor="{anchor}" '
            f'fill="{INK}">{escape(words)}</text>'
        )
        wide = size * sum(0.75 if c.isupper() else 0.52 for c in words)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        self.points += [(left, y - size * 0.6), (left + wide, y + size * 0.6)]

    def measure_thickness(self, x: float, thick: float, words: str) -> None:
        """Draw the dimension of a plate from its top at zero down, left of it."""
        self.arrow((x, thick / 2), (x, 0))
        self.arrow((x, thick / 2), (x, thick))
        self.text((x - 1.5, thick / 2), words, anchor="end")

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


# The joint ---------------------------------------------------------------------------------------

SCALES = (5.0, 4.0, 3.0, 2.0, 1.5, 1.0, 0.5, 0.25)
THICKEST = 13.0
"""The greatest thickness (mm) of a plate on paper."""

REACH = 19.0
"""The length (mm) of each plate on paper."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes to draw, in mm and degrees, and how each is labelled; 0 and "" where not known."""

    thickness: float
    thickness_said: str
    opening: float = 0.0
    opening_said: str = ""
    angle: float = 60.0
    angle_said: str = ""
    face: float = 0.0


def scale_of(thickness: float) -> float:
    """Choose the scale at which a plate of a thickness (mm) fits.

    >>> scale_of(3.175), scale_of(12.7), scale_of(25.4)
    (4.0, 1.0, 0.5)
    """
    return next((scale for scale in SCALES if thickness * scale <= THICKEST), SCALES[-1])


def draw_joint(shape: Shape, sizes: Sizes) -> tuple[str, float]:
    """Draw a joint; return the SVG and its width (mm)."""
    sketch, scale = Sketch(), scale_of(sizes.thickness)
    thick = sizes.thickness * scale
    if shape in ("square", "v", "double-v", "bevel"):
        _butt(sketch, shape, sizes, thick, scale)
    else:
        y = thick if shape == "corner" else 0.0
        sketch.box(-REACH, 0, 0 if shape == "corner" else REACH, thick)
        if shape == "tee":
            sketch.box(-thick, -REACH * 0.85, 0, 0)
        elif shape == "lap":
            sketch.box(-REACH * 1.1, -thick, 0, 0)
        else:  # an outside corner, edge to edge
            sketch.box(0, thick, thick, thick + REACH * 0.8)
        sketch.area((0, y), (thick, y), (0, y - thick), fill=WELD)
        sketch.arrow((11, y - 8), (thick * 0.45, y - thick * 0.45))
        sketch.text((11.6, y - 8.6), BLANK, anchor="start")
        sketch.measure_thickness(-REACH - 2.5, thick, sizes.thickness_said)
    return sketch.svg()


def _butt(sketch: Sketch, shape: Shape, sizes: Sizes, thick: float, scale: float) -> None:
    """Draw two plates edge to edge."""
    gap = sizes.opening * scale / 2
    face = min(sizes.face * scale, thick)
    # How deep the edges are cut, and how far each leans back for each millimetre of depth.
    depth = {"double-v": thick / 2, "bevel": thick}.get(shape, thick - face)
    lean_left = math.tan(math.radians(sizes.angle if shape == "bevel" else sizes.angle / 2))
    lean_right = 0.0 if shape == "bevel" else lean_left
    if shape == "square":
        lean_left = lean_right = 0.0

    def edge(lean: float) -> list[Point]:
        bottom = depth * lean if shape == "double-v" else 0.0
        return [(gap + depth * lean, 0.0), (gap, depth), (gap + bottom, thick)]

    left, right = [(-x, y) for x, y in edge(lean_left)], edge(lean_right)
    reach = REACH - (left[0][0] if shape == "bevel" else 0.0)
    sketch.area(*right, (REACH, thick), (REACH, 0.0))
    sketch.area(*left, (-reach, thick), (-reach, 0.0))
    _cap(sketch, left[0], right[0], up=True)
    if shape == "double-v":
        _cap(sketch, left[-1], right[-1], up=False)
    sketch.measure_thickness(-reach - 2.5, thick, sizes.thickness_said)
    below = thick + 4.2
    for x in (-gap, gap):
        sketch.line((x, thick + 0.8), (x, below + 1), width=0.15)
    for side in (-1, 1):
        sketch.arrow((side * (gap + 6), below), (side * gap, below))
    sketch.text((gap + 7, below), sizes.opening_said or BLANK, anchor="start")
    if shape != "square":
        away = 5.5
        ends = (left[0][0] - away * lean_left, right[0][0] + away * lean_right)
        for (x, _), end in zip((left[0], right[0]), ends, strict=True):
            sketch.line((x, 0.0), (end, -away), width=0.15)
        sketch.text((sum(ends) / 2, -away - 1.6), sizes.angle_said or BLANK)


def _cap(sketch: Sketch, left: Point, right: Point, *, up: bool) -> None:
    """Mark the face of the weld by an arc from edge to edge."""
    wide = max(right[0] - left[0], 1.6)
    middle, rise = (left[0] + right[0]) / 2, (-1 if up else 1) * (0.9 + wide * 0.06)
    steps = [i / 10 * 2 - 1 for i in range(11)]
    arc = [(middle + s * (wide / 2 + 0.5), left[1] + rise * (1 - s * s)) for s in steps]
    sketch.line(*arc, width=0.22, dashes="0.7 0.5")


# The symbol --------------------------------------------------------------------------------------

AT = 21.0
"""Where the sign is on the reference line (mm)."""

_FILLETS = ("tee", "lap", "corner")


def draw_symbol(shape: Shape, aws_tail: str, iso_tail: str) -> tuple[str, float]:
    """Draw the AWS symbol and below it the ISO one; return the SVG and its width (mm)."""
    sketch, low = Sketch(), 28.0
    _reference(sketch, 0.0, "AWS", aws_tail, broken=shape == "bevel")
    _sign(sketch, shape, 0.0, 1, BLANK)
    _reference(sketch, low, "ISO", iso_tail)
    sketch.line((7, low + 2.2), (42, low + 2.2), width=0.3, dashes="2 1")
    _sign(sketch, shape, low, -1, f"z {BLANK}")
    return sketch.svg()


def _reference(sketch: Sketch, y: float, called: str, tail: str, *, broken: bool = False) -> None:
    """Draw reference line, arrow and tail; a broken arrow points to the part to bevel."""
    sketch.line((7, y), (42, y))
    if broken:
        sketch.line((7, y), (0.5, y + 3.5), width=0.4)
        sketch.arrow((0.5, y + 3.5), (4, y + 9), width=0.4)
    else:
        sketch.arrow((7, y), (0, y + 9), width=0.4)
    sketch.line((45, y - 3.2), (42, y), (45, y + 3.2))
    sketch.text((46, y), tail, anchor="start")
    sketch.text((-9, y), called, 3.4, anchor="start")


def _sign(sketch: Sketch, shape: Shape, y: float, way: int, leg: str) -> None:
    """Draw the sign below the line (`way` 1) or above it (-1), with room for what it needs.

    That is the leg of a fillet, or the opening and the angle of a groove.
    """

    def lines(way: int, *each: Sequence[Point]) -> None:
        for points in each:
            sketch.line(*((AT + x, y + way * down) for x, down in points))

    if shape in _FILLETS:
        lines(way, [(0, 0), (0, 5.5), (5.5, 0)])
        sketch.text((AT - 1.5, y + way * 2.8), leg, anchor="end")
        return
    vee = [(-1.2, 5.5), (2, 0), (5.2, 5.5)]
    if shape == "square":
        lines(way, [(1, 0), (1, 5.5)], [(3.4, 0), (3.4, 5.5)])
    elif shape == "bevel":
        lines(way, [(0.5, 0), (0.5, 5.5)], [(0.5, 0), (5.5, 5.5)])
    else:
        lines(way, vee)
    sketch.text((AT + 8, y + way * 3.4), BLANK, anchor="start")
    if shape != "square":
        sketch.text((AT + 2, y + way * 8.2), f"{BLANK}°")
    if shape == "double-v":
        lines(-way, vee)


# The position ------------------------------------------------------------------------------------

LONG, PLATE = 15.0, 3.4


def draw_position(
    weld: Weld, number: str, way: str, *, square: bool = False
) -> tuple[str, float] | None:
    """Draw the work above the ground, and where the electrode points.

    `number` is "1" flat, "2" horizontal, "3" vertical, "4" overhead, "5" or "6" pipe; `way` "up",
    "down" or empty; `square` a groove with square edges. None if there is no picture.
    """
    sketch = Sketch()
    if number in ("5", "6"):
        _pipe(sketch, 0 if number == "5" else -45, way)
    elif number == "3":
        _upright(sketch, weld, way)
    elif number in ("1", "2", "4"):
        if weld == "groove":
            _plates(sketch, {"1": 0, "2": 90, "4": 180}[number], 0.6 if square else 2.4)
        else:
            _tee(sketch, {"1": -45, "2": 0, "4": 180}[number])
    else:
        return None
    _ground(sketch)
    return sketch.svg()


def _ground(sketch: Sketch) -> None:
    """Draw the ground below the work, so that up and down are seen."""
    low = max(y for _, y in sketch.points) + 3
    left, right = min(x for x, _ in sketch.points) - 3, max(x for x, _ in sketch.points) + 3
    sketch.line((left, low), (right, low))
    for step in range(int((right - left) / 2.5)):
        x = left + 1.5 + step * 2.5
        sketch.line((x, low), (x - 1.5, low + 1.5), width=0.15)


def _electrode(sketch: Sketch, at: Point, turn: float, degrees: float) -> None:
    """Draw the electrode or torch with its tip at a turned point, at an angle."""
    ((x, y),) = turned([at], turn)
    rod = [(x - 0.7, y - 1.6), (x + 0.7, y - 1.6), (x + 0.7, y - 11), (x - 0.7, y - 11)]
    sketch.area(*turned(rod, degrees, (x, y)), fill="#ffffff", width=0.35)
    sketch.line(*turned([(x, y - 1.6), (x, y - 0.2)], degrees, (x, y)), width=0.3)


def _plates(sketch: Sketch, degrees: float, open_by: float) -> None:
    root = 0.0 if open_by > 1 else open_by
    left = [(-LONG, 0.0), (-open_by, 0.0), (-root, PLATE), (-LONG, PLATE)]
    for plate in (left, [(-x, y) for x, y in left]):
        sketch.area(*turned(plate, degrees))
    groove = [(-open_by, 0.0), (open_by, 0.0), (root, PLATE), (-root, PLATE)]
    sketch.area(*turned(groove, degrees), fill=WELD)
    _electrode(sketch, (0.0, -0.6), degrees, degrees)


def _tee(sketch: Sketch, degrees: float) -> None:
    base = [(-LONG, 0.0), (LONG, 0.0), (LONG, PLATE), (-LONG, PLATE)]
    stem = [(-PLATE, -LONG), (0.0, -LONG), (0.0, 0.0), (-PLATE, 0.0)]
    for plate in (base, stem):
        sketch.area(*turned(plate, degrees))
    sketch.area(*turned([(0.0, 0.0), (4.2, 0.0), (0.0, -4.2)], degrees), fill=WELD)
    _electrode(sketch, (2.4, -2.4), degrees, degrees + 45)


def _upright(sketch: Sketch, weld: Weld, way: str) -> None:
    """Draw the work from the front: the weld runs up or down."""
    high = 2 * LONG
    if weld == "groove":
        sketch.box(-12.0, 0, -1.8, high)
        sketch.box(1.8, 0, 12.0, high)
    else:
        sketch.box(-12, 0, 12, high)
        sketch.box(-1.8 - PLATE, 0, -1.8, high)
    done = (high * 0.55, high) if way != "down" else (0.0, high * 0.45)
    sketch.box(-1.8, done[0], 1.8, done[1], WELD)
    if way:
        start, end = (high * 0.75, high * 0.25) if way == "up" else (high * 0.25, high * 0.75)
        sketch.arrow((16, start), (16, end), width=0.5)


def _pipe(sketch: Sketch, degrees: float, way: str) -> None:
    for left, right, fill in ((-17.0, -0.9, METAL), (0.9, 17.0, METAL), (-0.9, 0.9, WELD)):
        corners = [(left, -6.5), (right, -6.5), (right, 6.5), (left, 6.5)]
        sketch.area(*turned(corners, degrees), fill=fill)
    if way:
        start, end = (6.0, -6.0) if way == "up" else (-6.0, 6.0)
        sketch.arrow((21.0, start), (21.0, end), width=0.5)
