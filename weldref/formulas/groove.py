"""How much metal fills a groove with straight sides: square, V, bevel, double V and bevel.

Every area is that of the drawn groove, flush with the plate, plus what the keywords add: a
cap on each welded face (`reinforcement`) and, for welds on a backing, the gap between plate
and backing below the root opening (`backing_gap`). Penetration into the base metal adds no
filler and is not counted. For two sides with different angles add two single grooves.

All but the rectangle are recalled and not seen in print (`weld-general-memory`), so their
grade is memory; the tests compare each of them with the area of a drawn polygon.
"""

from __future__ import annotations

import math
from dataclasses import replace

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside

STEEPEST_CAP = 0.25
"""Height to width up to which a cap is near a parabola (a circular arc holds 4.8 % more there)."""

AREA = Symbol("A", "m2", "cross-section area of the weld")
THICKNESS = Symbol("t", "m", "plate thickness", above=0.0)
INCLUDED = Symbol("alpha", "deg", "included groove angle", at_least=0.0, below=180.0)
BEVEL = Symbol("beta", "deg", "bevel angle of the one prepared edge", at_least=0.0, below=90.0)
ROOT_FACE = Symbol("f", "m", "root face", at_least=0.0)
ROOT_OPENING = Symbol("R", "m", "root opening", at_least=0.0)
FIRST_DEPTH = Symbol("d1", "m", "depth of the first side", at_least=0.0)
CAP = Symbol("h", "m", "height of the cap on each welded face", at_least=0.0)
CAP_WIDTH = Symbol("w", "m", "width of the cap", at_least=0.0)
BACKING_GAP = Symbol("g", "m", "gap between plate and backing", at_least=0.0)
SINGLE = {
    "root_face": ROOT_FACE,
    "root_opening": ROOT_OPENING,
    "reinforcement": CAP,
    "backing_gap": BACKING_GAP,
}
DOUBLE = {
    "root_face": ROOT_FACE,
    "root_opening": ROOT_OPENING,
    "first_depth": FIRST_DEPTH,
    "reinforcement": CAP,
}
DRAWN = "the drawn groove; the cap is taken as a parabola, for heights up to 1/4 of its width"


def recalled(locator: str) -> tuple[Source, ...]:
    """Return the source of a geometric relation that was recalled."""
    return (Source("weld-general-memory", locator, "memory", "plane geometry"),)


def segment_area(width: float, height: float) -> float:
    """Return the area under a parabola: two thirds of width times height."""
    return 2.0 / 3.0 * width * height


def cap_caveats(width: float, height: float) -> tuple[str, ...]:
    """Return a caveat when a cap or a curved face is too steep for the parabola."""
    if height <= STEEPEST_CAP * width:
        return ()
    if width == 0.0:
        return ("the groove has no width at the face: its cap is not counted",)
    return outside("cap height / width", height / width, 0.0, STEEPEST_CAP)


def prepared_depth(thickness: float, root_face: float) -> float:
    """Return the depth of the prepared part: the plate less its root face."""
    if root_face > thickness:
        raise InputError("root_face: a root face above the plate thickness is not possible")
    return thickness - root_face


def _first_and_second(depth: float, first_depth: float | None) -> tuple[float, float]:
    first = depth / 2.0 if first_depth is None else first_depth
    if first > depth:
        raise InputError("first_depth: deeper than the plate less its root face")
    return first, depth - first


def groove_outcome(
    root: float, sides: float, faces: tuple[float, ...], cap: float, backing: float = 0.0
) -> Outcome:
    """Add the shares of a groove's area, with a cap of one height on every face width."""
    caps = sum(segment_area(width, cap) for width in faces)
    caveats = [caveat for width in faces for caveat in cap_caveats(width, cap)]
    return Outcome(
        root + sides + backing + caps,
        tuple(dict.fromkeys(caveats)),
        parts={
            "root opening": root,
            "prepared sides": sides,
            "backing gap": backing,
            "reinforcement": caps,
            "face width": faces[0],
        },
    )


@formula(
    name="reinforcement-area",
    title="Area of the cap above a flush weld",
    equation="A = 2/3 w h",
    symbols={"width": CAP_WIDTH, "height": CAP},
    result=AREA,
    sources=recalled("reinforcement cap, parabolic approximation"),
    valid="heights up to 1/4 of the width",
)
def reinforcement_area(width: float, height: float) -> Outcome:
    """Return the cross-section area of a weld's reinforcement.

    The cap is taken as the segment of a parabola: ``A = 2/3 w h``.

    Notes
    -----
    A circular arc holds more by the factor 1 + 0.75 (h/w)^2, nearly: 0.8 % at h/w = 0.1 and 4.8 %
    at h/w = 0.25. A steeper cap gets a caveat.

    Examples
    --------
    >>> round(reinforcement_area(0.012, 0.002).value * 1e6, 6)  # mm2
    16.0
    """
    return Outcome(segment_area(width, height), cap_caveats(width, height))


@formula(
    name="groove-area-square",
    title="Area of a square groove weld",
    equation="A = R (t + g) + 2/3 w h",
    symbols={
        "thickness": THICKNESS,
        "root_opening": ROOT_OPENING,
        "reinforcement": CAP,
        "cap_width": CAP_WIDTH,
        "backing_gap": BACKING_GAP,
    },
    result=AREA,
    sources=(Source("weld-econ-booklet", "Formulas: rectangle A = T W", "read"),),
    valid=DRAWN,
)
def groove_area_square(
    thickness: float,
    root_opening: float,
    reinforcement: float = 0.0,
    cap_width: float | None = None,
    backing_gap: float = 0.0,
) -> Outcome:
    """Return the area of a square groove weld.

    Notes
    -----
    Source: rectangle A = T W in weld-econ-booklet, Formulas (read); a cap rests on
    weld-general-memory (memory) and lowers the grade. Its parts name the shares. Refused if a cap
    is narrower than the root opening.
    `reinforcement`, `cap_width`: Height h and width w of one cap, m. The drawing of a square groove
    does not say how wide its cap is: give the width of the bead, or it is taken as wide as the root
    opening.

    Examples
    --------
    >>> round(groove_area_square(0.003, 0.0015).value * 1e6, 6)  # mm2
    4.5
    """
    width = root_opening if cap_width is None else cap_width
    if width < root_opening:
        raise InputError("cap_width: a cap is at least as wide as the root opening")
    backing = root_opening * backing_gap
    outcome = groove_outcome(root_opening * thickness, 0.0, (width,), reinforcement, backing)
    return replace(outcome, sources=recalled("reinforcement cap") if reinforcement else ())


@formula(
    name="groove-area-v",
    title="Area of a single-V groove weld",
    equation="A = R (t + g) + (t - f)^2 tan(alpha / 2) + 2/3 w h, w the width at the face",
    symbols={"thickness": THICKNESS, "included_angle": INCLUDED, **SINGLE},
    result=AREA,
    sources=recalled("single V; reinforcement cap"),
    valid=DRAWN,
)
def groove_area_v(
    thickness: float,
    included_angle: float,
    root_face: float = 0.0,
    root_opening: float = 0.0,
    reinforcement: float = 0.0,
    backing_gap: float = 0.0,
) -> Outcome:
    """Return the area of a single-V groove weld.

    ``A = R (t + g) + (t - f)^2 tan(alpha / 2) + 2/3 w h``, ``w = R + 2 (t - f) tan(alpha / 2)``.

    Notes
    -----
    Its parts name the shares and the width at the face. Refused if the root face is larger than the
    plate.

    Examples
    --------
    >>> round(groove_area_v(0.012, 60, root_face=0.002, root_opening=0.003).value * 1e6, 2)  # mm2
    93.74
    """
    depth = prepared_depth(thickness, root_face)
    slope = depth * math.tan(math.radians(included_angle) / 2.0)
    faces = (root_opening + 2.0 * slope,)
    root = root_opening * thickness
    backing = root_opening * backing_gap
    return groove_outcome(root, depth * slope, faces, reinforcement, backing)


@formula(
    name="groove-area-bevel",
    title="Area of a single-bevel groove weld",
    equation="A = R (t + g) + (t - f)^2 tan(beta) / 2 + 2/3 w h, w the width at the face",
    symbols={"thickness": THICKNESS, "bevel_angle": BEVEL, **SINGLE},
    result=AREA,
    sources=recalled("single bevel; reinforcement cap"),
    valid=DRAWN,
)
def groove_area_bevel(
    thickness: float,
    bevel_angle: float,
    root_face: float = 0.0,
    root_opening: float = 0.0,
    reinforcement: float = 0.0,
    backing_gap: float = 0.0,
) -> Outcome:
    """Return the area of a single-bevel groove weld (one edge prepared).

    ``A = R (t + g) + (t - f)^2 tan(beta) / 2 + 2/3 w h``, ``w = R + (t - f) tan(beta)``.

    Notes
    -----
    Its parts name the shares and the width at the face. Refused if the root face is larger than the
    plate.

    Examples
    --------
    >>> round(groove_area_bevel(0.010, 45, root_opening=0.003).value * 1e6, 6)  # mm2
    80.0
    """
    depth = prepared_depth(thickness, root_face)
    slope = depth * math.tan(math.radians(bevel_angle))
    faces = (root_opening + slope,)
    root = root_opening * thickness
    backing = root_opening * backing_gap
    return groove_outcome(root, depth * slope / 2.0, faces, reinforcement, backing)


@formula(
    name="groove-area-double-v",
    title="Area of a double-V groove weld",
    equation="A = R t + (d1^2 + d2^2) tan(alpha / 2) + 2/3 (w1 + w2) h, d1 + d2 = t - f",
    symbols={"thickness": THICKNESS, "included_angle": INCLUDED, **DOUBLE},
    result=AREA,
    sources=recalled("double V, symmetric; the same with two given depths"),
    valid=DRAWN,
)
def groove_area_double_v(
    thickness: float,
    included_angle: float,
    root_face: float = 0.0,
    root_opening: float = 0.0,
    first_depth: float | None = None,
    reinforcement: float = 0.0,
) -> Outcome:
    """Return the area of a double-V groove weld with one angle on both sides.

    Notes
    -----
    Source: weld-general-memory (memory), symmetric: A = R t + 2 ((t - f)/2)^2 tan(alpha/2). Refused
    if the first depth is more than t - f.
    `first_depth`: Depth d1 of the first V, m; the second is t - f - d1. Both are equal if left out.
    "face width" is that of the first side.

    Examples
    --------
    >>> round(groove_area_double_v(0.020, 90, root_opening=0.002).value * 1e6, 6)  # mm2
    240.0
    """
    depths = _first_and_second(prepared_depth(thickness, root_face), first_depth)
    tangent = math.tan(math.radians(included_angle) / 2.0)
    sides = sum(depth**2 for depth in depths) * tangent
    faces = tuple(root_opening + 2.0 * depth * tangent for depth in depths)
    return groove_outcome(root_opening * thickness, sides, faces, reinforcement)


@formula(
    name="groove-area-double-bevel",
    title="Area of a double-bevel groove weld",
    equation="A = R t + (d1^2 + d2^2) tan(beta) / 2 + 2/3 (w1 + w2) h, d1 + d2 = t - f",
    symbols={"thickness": THICKNESS, "bevel_angle": BEVEL, **DOUBLE},
    result=AREA,
    sources=recalled("two single bevels"),
    valid=DRAWN,
)
def groove_area_double_bevel(
    thickness: float,
    bevel_angle: float,
    root_face: float = 0.0,
    root_opening: float = 0.0,
    first_depth: float | None = None,
    reinforcement: float = 0.0,
) -> Outcome:
    """Return the area of a double-bevel groove weld with one angle on both sides.

    Notes
    -----
    Source: the single bevel of weld-general-memory (memory), twice. Refused if the first depth is
    more than t - f.
    `first_depth`: Depth d1 of the first bevel, m; the second is t - f - d1. Both are equal if left
    out. "face width" is that of the first side.

    Examples
    --------
    >>> round(groove_area_double_bevel(0.020, 45, first_depth=0.012).value * 1e6, 6)  # mm2
    104.0
    """
    depths = _first_and_second(prepared_depth(thickness, root_face), first_depth)
    tangent = math.tan(math.radians(bevel_angle))
    sides = sum(depth**2 for depth in depths) * tangent / 2.0
    faces = tuple(root_opening + depth * tangent for depth in depths)
    return groove_outcome(root_opening * thickness, sides, faces, reinforcement)
