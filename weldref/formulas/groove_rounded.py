"""How much metal fills a groove with a rounded root: U and J.

See `weldref.formulas.groove` for what an area contains.
"""

from __future__ import annotations

import math

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Symbol, formula
from weldref.formulas.groove import (
    AREA,
    BEVEL,
    CAP,
    DRAWN,
    INCLUDED,
    ROOT_FACE,
    ROOT_OPENING,
    THICKNESS,
    groove_outcome,
    prepared_depth,
    recalled,
)

RADIUS = Symbol("r", "m", "root radius", at_least=0.0)


def _rounded_side(depth: float, radius: float, bevel: float) -> tuple[float, float]:
    """Return area and top width of one side: an arc level at the root, tangent to the bevel."""
    angle = math.radians(bevel)
    arc_height = radius * (1.0 - math.sin(angle))
    if arc_height > depth:
        raise InputError("root_radius: the radius does not fit into the depth of the groove")
    above = depth - arc_height
    arc_width = radius * math.cos(angle)
    under_arc = radius**2 * (math.pi / 2.0 - angle - math.sin(angle) * math.cos(angle)) / 2.0
    slope = above * math.tan(angle)
    return under_arc + above * (arc_width + slope / 2.0), arc_width + slope


@formula(
    name="groove-area-u",
    title="Area of a single-U groove weld",
    equation=(
        "A = R t + 2 S, S = r^2 (pi/2 - phi - sin(phi) cos(phi)) / 2 + H r cos(phi)"
        " + H^2 tan(phi) / 2, H = t - f - r (1 - sin(phi)), phi = alpha / 2"
    ),
    symbols={
        "thickness": THICKNESS,
        "included_angle": INCLUDED,
        "root_radius": RADIUS,
        "root_face": ROOT_FACE,
        "root_opening": ROOT_OPENING,
        "reinforcement": CAP,
    },
    result=AREA,
    sources=recalled("single U; arc level at the root face and tangent to the side"),
    valid=DRAWN,
)
def groove_area_u(
    thickness: float,
    included_angle: float,
    root_radius: float,
    root_face: float = 0.0,
    root_opening: float = 0.0,
    reinforcement: float = 0.0,
) -> Outcome:
    """Return the area of a single-U groove weld.

    On each side an arc of radius r starts level at the edge of the root face and runs into the
    straight side without a corner; ``A = R t + 2 S + 2/3 w h`` with S as in the equation of
    this formula. With r = 0 it is the single V.

    Notes
    -----
    A drawing with a flat between the two arcs has that flat as a larger root opening from the root
    face upwards: not covered. Its parts name the shares and the width at the face. Refused if the
    radius does not fit into the depth.

    Examples
    --------
    >>> round(groove_area_u(0.025, 40, 0.006, root_face=0.003).value * 1e6, 1)  # mm2
    354.6
    """
    depth = prepared_depth(thickness, root_face)
    side, width = _rounded_side(depth, root_radius, included_angle / 2.0)
    faces = (root_opening + 2.0 * width,)
    return groove_outcome(root_opening * thickness, 2.0 * side, faces, reinforcement)


@formula(
    name="groove-area-j",
    title="Area of a single-J groove weld",
    equation="A = R t + S, S as for groove-area-u with phi = beta",
    symbols={
        "thickness": THICKNESS,
        "bevel_angle": BEVEL,
        "root_radius": RADIUS,
        "root_face": ROOT_FACE,
        "root_opening": ROOT_OPENING,
        "reinforcement": CAP,
    },
    result=AREA,
    sources=recalled("single J: one side of a U"),
    valid=DRAWN,
)
def groove_area_j(
    thickness: float,
    bevel_angle: float,
    root_radius: float,
    root_face: float = 0.0,
    root_opening: float = 0.0,
    reinforcement: float = 0.0,
) -> Outcome:
    """Return the area of a single-J groove weld: one side of a U against a square edge.

    Notes
    -----
    Its parts name the shares and the width at the face. Refused if the radius does not fit into the
    depth.

    Examples
    --------
    >>> round(groove_area_j(0.025, 20, 0.006, root_face=0.003).value * 1e6, 1)  # mm2
    177.3
    """
    depth = prepared_depth(thickness, root_face)
    side, width = _rounded_side(depth, root_radius, bevel_angle)
    return groove_outcome(root_opening * thickness, side, (root_opening + width,), reinforcement)
