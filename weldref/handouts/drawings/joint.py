"""Draw the section through a joint to scale, with the dimensions that are published."""

from __future__ import annotations

import math
from dataclasses import dataclass

from weldref.handouts.drawings.shape import Shape
from weldref.handouts.drawings.svg import METAL, WELD, Point, Sketch

SCALES = (5.0, 4.0, 3.0, 2.0, 1.5, 1.0, 0.5, 0.25)
THICKEST = 13.0
"""How thick (mm) a plate may be on paper."""

REACH = 19.0
"""How much (mm) of each plate is drawn on paper."""


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
    leg: float = 0.0
    leg_said: str = ""


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
        leg = (sizes.leg or sizes.thickness) * scale
        corner = {"tee": _tee, "lap": _lap, "corner": _corner}[shape](sketch, thick, leg)
        label = sizes.leg_said or "____"
        face = min(leg, thick) if shape != "tee" else leg
        tip = (corner[0] + face * 0.45, corner[1] - face * 0.45)
        sketch.arrow((corner[0] + 11, corner[1] - 8), tip)
        sketch.text((corner[0] + 11.6, corner[1] - 8.6), label, anchor="start")
        sketch.measure((-REACH - 2.5, 0), (-REACH - 2.5, thick), sizes.thickness_said, (-1.5, 0))
    return sketch.svg()


def _butt(sketch: Sketch, shape: Shape, sizes: Sizes, thick: float, scale: float) -> None:
    gap = sizes.opening * scale
    face = min(sizes.face * scale, thick)
    half = math.tan(math.radians(sizes.angle / 2))
    flare = {"square": 0.0, "v": (thick - face) * half, "double-v": thick / 2 * half}
    top = flare.get(shape, 0.0)
    if shape == "double-v":
        edge = [(top, 0.0), (0.0, thick / 2), (top, thick)]
    elif shape == "bevel":
        edge = [(0.0, 0.0), (0.0, thick)]
    else:
        edge = [(top, 0.0), (0.0, thick - face), (0.0, thick)]
    right = [(gap / 2 + x, y) for x, y in edge]
    sketch.area(*right, (REACH, thick), (REACH, 0.0))
    left = [(-x, y) for x, y in right]
    if shape == "bevel":
        slope = thick * math.tan(math.radians(sizes.angle))
        left = [(-gap / 2 - slope, 0.0), (-gap / 2, thick)]
    reach = REACH - min(left[0][0], 0.0) if shape == "bevel" else REACH
    sketch.area(*left, (-reach, thick), (-reach, 0.0))
    _cap(sketch, left[0], right[0], up=True)
    if shape == "double-v":
        _cap(sketch, left[-1], right[-1], up=False)
    sketch.measure((-reach - 2.5, 0), (-reach - 2.5, thick), sizes.thickness_said, (-1.5, 0))
    below = thick + 4.2
    for x in (-gap / 2, gap / 2):
        sketch.line((x, thick + 0.8), (x, below + 1), width=0.15)
    sketch.arrow((-gap / 2 - 6, below), (-gap / 2, below))
    sketch.arrow((gap / 2 + 6, below), (gap / 2, below))
    sketch.text((gap / 2 + 7, below), sizes.opening_said or "____", anchor="start")
    if shape != "square":
        away = 5.5
        slant = math.tan(math.radians(sizes.angle)) if shape == "bevel" else half
        sketch.line(left[0], (left[0][0] - away * slant, -away), width=0.15)
        lean = away * half if shape != "bevel" else 0.0
        sketch.line(right[0], (right[0][0] + lean, -away), width=0.15)
        between = (left[0][0] + right[0][0]) / 2 - (away * slant - lean) / 2
        sketch.text((between, -away - 1.6), sizes.angle_said or "____")


def _cap(sketch: Sketch, left: Point, right: Point, *, up: bool) -> None:
    """Mark the face of the weld by an arc from edge to edge."""
    wide = max(right[0] - left[0], 1.6)
    middle, rise = (left[0] + right[0]) / 2, (-1 if up else 1) * (0.9 + wide * 0.06)
    steps = [i / 10 * 2 - 1 for i in range(11)]
    arc = [(middle + s * (wide / 2 + 0.5), left[1] + rise * (1 - s * s)) for s in steps]
    sketch.line(*arc, width=0.22, dashes="0.7 0.5")


def _fillet(sketch: Sketch, corner: Point, leg: float) -> None:
    x, y = corner
    sketch.area((x, y), (x + leg, y), (x, y - leg), fill=WELD)


def _tee(sketch: Sketch, thick: float, leg: float) -> Point:
    sketch.area((-REACH, 0), (REACH, 0), (REACH, thick), (-REACH, thick))
    sketch.area((-thick, -REACH * 0.85), (0, -REACH * 0.85), (0, 0), (-thick, 0))
    _fillet(sketch, (0, 0), leg)
    return 0, 0


def _lap(sketch: Sketch, thick: float, leg: float) -> Point:
    sketch.area((-REACH, 0), (REACH, 0), (REACH, thick), (-REACH, thick))
    sketch.area((-REACH * 1.1, -thick), (0, -thick), (0, 0), (-REACH * 1.1, 0), fill=METAL)
    _fillet(sketch, (0, 0), min(leg, thick))
    return 0, 0


def _corner(sketch: Sketch, thick: float, leg: float) -> Point:
    """Draw an outside corner, edge to edge."""
    sketch.area((-REACH, 0), (0, 0), (0, thick), (-REACH, thick))
    low = thick + REACH * 0.8
    sketch.area((0, thick), (thick, thick), (thick, low), (0, low))
    _fillet(sketch, (0, thick), min(leg, thick))
    return 0, thick
