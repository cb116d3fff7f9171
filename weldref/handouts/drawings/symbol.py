"""Draw a welding symbol from the elements of AWS A2.4 and of ISO 2553, system A.

Both put the sign for a weld on the arrow side beside the reference line: AWS below it, ISO on the
continuous line of a pair with a dashed one. The size is left of the sign, what the groove needs
around it, and the process in the tail.
"""

from __future__ import annotations

from weldref.handouts.drawings.shape import Shape
from weldref.handouts.drawings.svg import Point, Sketch

AT = 21.0
"""Where the sign is on the reference line (mm)."""


BLANK = "____"
"""Stands for what the symbol needs: a published range is no dimension to weld to."""


def draw_symbol(shape: Shape, aws_tail: str, iso_tail: str) -> tuple[str, float]:
    """Draw the AWS symbol and below it the ISO one; return the SVG and its width (mm)."""
    sketch = Sketch()
    _lines(sketch, 0.0, "AWS", aws_tail, broken=shape == "bevel")
    _sign(sketch, shape, 0.0, 1)
    _around(sketch, shape, 0.0, 1, BLANK)
    if shape == "double-v":
        _sign(sketch, shape, 0.0, -1)
    low = 28.0
    _lines(sketch, low, "ISO", iso_tail)
    sketch.line((7, low + 2.2), (42, low + 2.2), width=0.3, dashes="2 1")
    _sign(sketch, shape, low, -1)
    _around(sketch, shape, low, -1, f"z {BLANK}")
    if shape == "double-v":
        _sign(sketch, shape, low, 1)
    return sketch.svg()


_FILLETS = ("tee", "lap", "corner")


def _lines(sketch: Sketch, y: float, called: str, tail: str, *, broken: bool = False) -> None:
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


def _sign(sketch: Sketch, shape: Shape, y: float, way: int) -> None:
    """Draw the sign below the line (`way` 1) or above it (-1)."""

    def at(x: float, down: float) -> Point:
        return AT + x, y + way * down

    if shape in _FILLETS:
        sketch.line(at(0, 0), at(0, 5.5), at(5.5, 0))
    elif shape == "square":
        sketch.line(at(1, 0), at(1, 5.5))
        sketch.line(at(3.4, 0), at(3.4, 5.5))
    elif shape == "bevel":
        sketch.line(at(0.5, 0), at(0.5, 5.5))
        sketch.line(at(0.5, 0), at(5.5, 5.5))
    else:
        sketch.line(at(-1.2, 5.5), at(2, 0), at(5.2, 5.5))


def _around(sketch: Sketch, shape: Shape, y: float, way: int, leg: str) -> None:
    """Leave room for the leg of a fillet; for the opening and the angle of a groove."""
    if shape in _FILLETS:
        sketch.text((AT - 1.5, y + way * 2.8), leg, anchor="end")
        return
    sketch.text((AT + 8, y + way * 3.4), BLANK, anchor="start")
    if shape != "square":
        sketch.text((AT + 2, y + way * 8.2), f"{BLANK}°")
