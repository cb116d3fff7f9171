"""Draw how the work lies to the ground and where the electrode points."""

from __future__ import annotations

from weldref.handouts.drawings.shape import Weld
from weldref.handouts.drawings.svg import WELD, Point, Sketch, turned

LONG, THICK = 15.0, 3.4


def draw_position(
    weld: Weld, number: str, way: str, *, square: bool = False
) -> tuple[str, float] | None:
    """Draw a position; return the SVG and its width (mm), None where it has no picture.

    Parameters
    ----------
    weld
        A fillet or a groove weld.
    number
        "1" flat, "2" horizontal, "3" vertical, "4" overhead, "5" and "6" pipe.
    way
        "up", "down" or nothing.
    square
        Whether the edges of a groove are square.
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


def _electrode(sketch: Sketch, tip: Point, degrees: float) -> None:
    """Draw the electrode or torch, its tip at a point and its length towards an angle."""
    x, y = tip
    rod = turned([(x - 0.7, y - 1.6), (x + 0.7, y - 1.6), (x + 0.7, y - 11), (x - 0.7, y - 11)],
                 degrees, tip)  # fmt: skip
    sketch.area(*rod, fill="#ffffff", width=0.35)
    sketch.line(*turned([(x, y - 1.6), (x, y - 0.2)], degrees, tip), width=0.3)


def _plates(sketch: Sketch, degrees: float, open_by: float) -> None:
    root = 0.0 if open_by > 1 else open_by
    left = [(-LONG, 0.0), (-open_by, 0.0), (-root, THICK), (-LONG, THICK)]
    right = [(-x, y) for x, y in left]
    for plate in (left, right):
        sketch.area(*turned(plate, degrees))
    groove = [(-open_by, 0.0), (open_by, 0.0), (root, THICK), (-root, THICK)]
    sketch.area(*turned(groove, degrees), fill=WELD)
    (tip,) = turned([(0.0, -0.6)], degrees)
    _electrode(sketch, tip, degrees)


def _tee(sketch: Sketch, degrees: float) -> None:
    base = [(-LONG, 0.0), (LONG, 0.0), (LONG, THICK), (-LONG, THICK)]
    stem = [(-THICK, -LONG), (0.0, -LONG), (0.0, 0.0), (-THICK, 0.0)]
    for plate in (base, stem):
        sketch.area(*turned(plate, degrees))
    sketch.area(*turned([(0.0, 0.0), (4.2, 0.0), (0.0, -4.2)], degrees), fill=WELD)
    (tip,) = turned([(2.4, -2.4)], degrees)
    _electrode(sketch, tip, degrees + 45)


def _upright(sketch: Sketch, weld: Weld, way: str) -> None:
    """Draw the work from the front: the weld runs up or down."""
    high = 2 * LONG
    if weld == "groove":
        for plate in ((-12.0, -1.8), (1.8, 12.0)):
            sketch.area((plate[0], 0), (plate[1], 0), (plate[1], high), (plate[0], high))
    else:
        sketch.area((-12, 0), (12, 0), (12, high), (-12, high))
        sketch.area((-1.8 - THICK, 0), (-1.8, 0), (-1.8, high), (-1.8 - THICK, high))
    done = (high * 0.55, high) if way != "down" else (0.0, high * 0.45)
    sketch.area((-1.8, done[0]), (1.8, done[0]), (1.8, done[1]), (-1.8, done[1]), fill=WELD)
    if way:
        start, end = (high * 0.75, high * 0.25) if way == "up" else (high * 0.25, high * 0.75)
        sketch.arrow((16, start), (16, end), width=0.5)


def _pipe(sketch: Sketch, degrees: float, way: str) -> None:
    for ends in ((-17.0, -0.9), (0.9, 17.0)):
        corners = [(ends[0], -6.5), (ends[1], -6.5), (ends[1], 6.5), (ends[0], 6.5)]
        sketch.area(*turned(corners, degrees))
    seam = [(-0.9, -6.5), (0.9, -6.5), (0.9, 6.5), (-0.9, 6.5)]
    sketch.area(*turned(seam, degrees), fill=WELD)
    if way:
        start, end = (6.0, -6.0) if way == "up" else (-6.0, 6.0)
        sketch.arrow((21.0, start), (21.0, end), width=0.5)
