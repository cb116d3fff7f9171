"""How much metal fills a groove: square, V, bevel, U, J, double V and double bevel.

Every area is that of the drawn groove, flush with the plate, plus what the keywords add: a
cap on each welded face (`reinforcement`) and, for welds on a backing, the gap between plate
and backing below the root opening (`backing_gap`). Penetration into the base metal adds no
filler and is not counted. For two sides with different angles add two single grooves.

All but the rectangle are recalled and not seen in print (`weld-general-memory`), so their
grade is memory; the tests compare each of them with the area of a drawn polygon.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside

STEEPEST_CAP = 0.25
"""Height to width up to which a cap is near a parabola (a circular arc holds 4.8 % more there)."""

AREA = Symbol("A", "m2", "cross-section area of the weld")
_Thickness = Annotated[float, Symbol("t", "m", "plate thickness", above=0.0)]
_Included = Annotated[
    float, Symbol("alpha", "deg", "included groove angle", at_least=0.0, below=180.0)
]
_Bevel = Annotated[
    float, Symbol("beta", "deg", "bevel angle of the one prepared edge", at_least=0.0, below=90.0)
]
_RootFace = Annotated[float, Symbol("f", "m", "root face", at_least=0.0)]
_RootOpening = Annotated[float, Symbol("R", "m", "root opening", at_least=0.0)]
_FirstDepth = Annotated[float, Symbol("d1", "m", "depth of the first side", at_least=0.0)]
_Cap = Annotated[float, Symbol("h", "m", "height of the cap on each welded face", at_least=0.0)]
_CapWidth = Annotated[float, Symbol("w", "m", "width of the cap", at_least=0.0)]
_BackingGap = Annotated[float, Symbol("g", "m", "gap between plate and backing", at_least=0.0)]
_RootRadius = Annotated[float, Symbol("r", "m", "root radius", at_least=0.0)]
_DRAWN = "the drawn groove; the cap is taken as a parabola, for heights up to 1/4 of its width"

_Side = tuple[float, float]
"""One prepared side of a groove: its area, and its width at the face of the weld."""


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


def _depth(thickness: float, root_face: float) -> float:
    """Return the depth of the prepared part: the plate less its root face."""
    if root_face > thickness:
        raise InputError("root_face: a root face above the plate thickness is not possible")
    return thickness - root_face


def _depths(thickness: float, root_face: float, first_depth: float | None) -> tuple[float, float]:
    """Return the depths of the prepared parts of both sides of a plate."""
    depth = _depth(thickness, root_face)
    first = depth / 2.0 if first_depth is None else first_depth
    if first > depth:
        raise InputError("first_depth: deeper than the plate less its root face")
    return first, depth - first


def _side(depth: float, bevel: float, radius: float = 0.0) -> _Side:
    """Return one prepared side: an arc level at the root, tangent to the bevel above it."""
    angle = math.radians(bevel)
    arc_height = radius * (1.0 - math.sin(angle))
    if arc_height > depth:
        raise InputError("root_radius: the radius does not fit into the depth of the groove")
    above = depth - arc_height
    arc_width = radius * math.cos(angle)
    under_arc = radius**2 * (math.pi / 2.0 - angle - math.sin(angle) * math.cos(angle)) / 2.0
    slope = above * math.tan(angle)
    return under_arc + above * (arc_width + slope / 2.0), arc_width + slope


def _filled(
    thickness: float,
    opening: float,
    faces: Sequence[Sequence[_Side]],
    cap: float,
    backing_gap: float = 0.0,
) -> Outcome:
    """Add the shares of a groove's area: `faces` has the prepared sides of each welded face."""
    widths = [opening + sum(width for _, width in sides) for sides in faces]
    shares = {
        "root opening": opening * thickness,
        "prepared sides": sum(area for sides in faces for area, _ in sides),
        "backing gap": opening * backing_gap,
        "reinforcement": sum(segment_area(width, cap) for width in widths),
    }
    caveats = [caveat for width in widths for caveat in cap_caveats(width, cap)]
    return Outcome(
        sum(shares.values()), tuple(dict.fromkeys(caveats)), shares | {"face width": widths[0]}
    )


@formula(
    equation="A = 2/3 w h",
    result=AREA,
    sources=recalled("reinforcement cap, parabolic approximation"),
    valid="heights up to 1/4 of the width",
)
def reinforcement_area(width: _CapWidth, height: _Cap) -> Outcome:
    """Area of the cap above a flush weld.

    The cap is taken as a segment of a parabola. A circular arc holds more by the factor 1 + 0.75
    (h/w)^2, nearly: 0.8 % at h/w = 0.1 and 4.8 % at h/w = 0.25. A steeper cap has a caveat.

    Examples
    --------
    >>> round(reinforcement_area(0.012, 0.002).value * 1e6, 6)  # mm2
    16.0
    """
    return Outcome(segment_area(width, height), cap_caveats(width, height))


@formula(
    equation="A = R (t + g) + 2/3 w h",
    result=AREA,
    sources=(Source("weld-econ-booklet", "Formulas: rectangle A = T W", "read"),),
    valid=_DRAWN,
    parts={"face width": "m"},
)
def groove_area_square(
    thickness: _Thickness,
    root_opening: _RootOpening,
    reinforcement: _Cap = 0.0,
    cap_width: _CapWidth | None = None,
    backing_gap: _BackingGap = 0.0,
) -> Outcome:
    """Area of a square groove weld.

    The drawing of a square groove does not say how wide its cap is: give the width of the bead, or
    it is taken as wide as the root opening; it cannot be narrower. A cap is recalled
    (weld-general-memory) and lowers the grade. The shares of the area are the parts.

    Examples
    --------
    >>> round(groove_area_square(0.003, 0.0015).value * 1e6, 6)  # mm2
    4.5
    """
    width = root_opening if cap_width is None else cap_width
    if width < root_opening:
        raise InputError("cap_width: a cap is at least as wide as the root opening")
    wider = (0.0, width - root_opening)
    outcome = _filled(thickness, root_opening, [[wider]], reinforcement, backing_gap)
    return replace(outcome, sources=recalled("reinforcement cap") if reinforcement else ())


@formula(
    equation="A = R (t + g) + (t - f)^2 tan(alpha / 2) + 2/3 w h, w the width at the face",
    result=AREA,
    sources=recalled("single V; reinforcement cap"),
    valid=_DRAWN,
    parts={"face width": "m"},
)
def groove_area_v(
    thickness: _Thickness,
    included_angle: _Included,
    root_face: _RootFace = 0.0,
    root_opening: _RootOpening = 0.0,
    reinforcement: _Cap = 0.0,
    backing_gap: _BackingGap = 0.0,
) -> Outcome:
    """Area of a single-V groove weld.

    ``w = R + 2 (t - f) tan(alpha / 2)``. The shares of the area and the width at the face are the
    parts. Refused if the root face is larger than the plate.

    Examples
    --------
    >>> round(groove_area_v(0.012, 60, root_face=0.002, root_opening=0.003).value * 1e6, 2)  # mm2
    93.74
    """
    side = _side(_depth(thickness, root_face), included_angle / 2.0)
    return _filled(thickness, root_opening, [[side, side]], reinforcement, backing_gap)


@formula(
    equation="A = R (t + g) + (t - f)^2 tan(beta) / 2 + 2/3 w h, w the width at the face",
    result=AREA,
    sources=recalled("single bevel; reinforcement cap"),
    valid=_DRAWN,
    parts={"face width": "m"},
)
def groove_area_bevel(
    thickness: _Thickness,
    bevel_angle: _Bevel,
    root_face: _RootFace = 0.0,
    root_opening: _RootOpening = 0.0,
    reinforcement: _Cap = 0.0,
    backing_gap: _BackingGap = 0.0,
) -> Outcome:
    """Area of a single-bevel groove weld.

    One edge is prepared. ``w = R + (t - f) tan(beta)``. The shares of the area and the width at the
    face are the parts. Refused if the root face is larger than the plate.

    Examples
    --------
    >>> round(groove_area_bevel(0.010, 45, root_opening=0.003).value * 1e6, 6)  # mm2
    80.0
    """
    side = _side(_depth(thickness, root_face), bevel_angle)
    return _filled(thickness, root_opening, [[side]], reinforcement, backing_gap)


@formula(
    equation=(
        "A = R t + 2 S, S = r^2 (pi/2 - phi - sin(phi) cos(phi)) / 2 + H r cos(phi)"
        " + H^2 tan(phi) / 2, H = t - f - r (1 - sin(phi)), phi = alpha / 2"
    ),
    result=AREA,
    sources=recalled("single U; arc level at the root face and tangent to the side"),
    valid=_DRAWN,
    parts={"face width": "m"},
)
def groove_area_u(
    thickness: _Thickness,
    included_angle: _Included,
    root_radius: _RootRadius,
    root_face: _RootFace = 0.0,
    root_opening: _RootOpening = 0.0,
    reinforcement: _Cap = 0.0,
) -> Outcome:
    """Area of a single-U groove weld.

    On each side an arc of radius r starts level at the edge of the root face and runs into the
    straight side without a corner; a cap adds 2/3 w h. With r = 0 it is the single V. A drawing
    with a flat between the two arcs has that flat as a larger root opening from the root face
    upwards: not covered. The shares of the area and the width at the face are the parts. Refused if
    the radius does not fit into the depth.

    Examples
    --------
    >>> round(groove_area_u(0.025, 40, 0.006, root_face=0.003).value * 1e6, 1)  # mm2
    354.6
    """
    side = _side(_depth(thickness, root_face), included_angle / 2.0, root_radius)
    return _filled(thickness, root_opening, [[side, side]], reinforcement)


@formula(
    equation="A = R t + S, S as for groove-area-u with phi = beta",
    result=AREA,
    sources=recalled("single J: one side of a U"),
    valid=_DRAWN,
    parts={"face width": "m"},
)
def groove_area_j(
    thickness: _Thickness,
    bevel_angle: _Bevel,
    root_radius: _RootRadius,
    root_face: _RootFace = 0.0,
    root_opening: _RootOpening = 0.0,
    reinforcement: _Cap = 0.0,
) -> Outcome:
    """Area of a single-J groove weld.

    One side of a U against a square edge. The shares of the area and the width at the face are the
    parts. Refused if the radius does not fit into the depth.

    Examples
    --------
    >>> round(groove_area_j(0.025, 20, 0.006, root_face=0.003).value * 1e6, 1)  # mm2
    177.3
    """
    side = _side(_depth(thickness, root_face), bevel_angle, root_radius)
    return _filled(thickness, root_opening, [[side]], reinforcement)


@formula(
    equation="A = R t + (d1^2 + d2^2) tan(alpha / 2) + 2/3 (w1 + w2) h, d1 + d2 = t - f",
    result=AREA,
    sources=recalled("double V, symmetric; the same with two given depths"),
    valid=_DRAWN,
    parts={"face width": "m"},
)
def groove_area_double_v(
    thickness: _Thickness,
    included_angle: _Included,
    root_face: _RootFace = 0.0,
    root_opening: _RootOpening = 0.0,
    first_depth: _FirstDepth | None = None,
    reinforcement: _Cap = 0.0,
) -> Outcome:
    """Area of a double-V groove weld.

    Both sides have the same angle. `first_depth` is the depth d1 of the first V; both sides have
    the same depth if it is left out. The part "face width" is that of the first side. Refused if d1
    is more than t - f.

    Examples
    --------
    >>> round(groove_area_double_v(0.020, 90, root_opening=0.002).value * 1e6, 6)  # mm2
    240.0
    """
    depths = _depths(thickness, root_face, first_depth)
    faces = [2 * [_side(depth, included_angle / 2.0)] for depth in depths]
    return _filled(thickness, root_opening, faces, reinforcement)


@formula(
    equation="A = R t + (d1^2 + d2^2) tan(beta) / 2 + 2/3 (w1 + w2) h, d1 + d2 = t - f",
    result=AREA,
    sources=recalled("two single bevels"),
    valid=_DRAWN,
    parts={"face width": "m"},
)
def groove_area_double_bevel(
    thickness: _Thickness,
    bevel_angle: _Bevel,
    root_face: _RootFace = 0.0,
    root_opening: _RootOpening = 0.0,
    first_depth: _FirstDepth | None = None,
    reinforcement: _Cap = 0.0,
) -> Outcome:
    """Area of a double-bevel groove weld.

    Both sides have the same angle. `first_depth` is the depth d1 of the first bevel; both sides
    have the same depth if it is left out. The part "face width" is that of the first side. Refused
    if d1 is more than t - f.

    Examples
    --------
    >>> round(groove_area_double_bevel(0.020, 45, first_depth=0.012).value * 1e6, 6)  # mm2
    104.0
    """
    depths = _depths(thickness, root_face, first_depth)
    faces = [[_side(depth, bevel_angle)] for depth in depths]
    return _filled(thickness, root_opening, faces, reinforcement)
