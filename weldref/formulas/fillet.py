"""How much metal a fillet weld takes: its cross-section area.

The legs are those of the finished weld, from the root to each toe, with no root opening.
"""

from __future__ import annotations

import math
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula
from weldref.formulas.groove import AREA, cap_caveats, recalled, segment_area

_Leg = Annotated[float, Symbol("a", "m", "leg of the fillet", above=0.0)]
_TRIANGLE = Source("weld-econ-booklet", "Formulas: fillet A = a b / 2", "read")


@formula(
    equation="A = a b / 2, b = a for equal legs",
    result=AREA,
    sources=(_TRIANGLE,),
    valid="flat face, plates at a right angle, no root opening",
)
def fillet_area(
    leg: _Leg,
    second_leg: Annotated[float, Symbol("b", "m", "the other leg", above=0.0)] | None = None,
) -> Outcome:
    """Area of a flat fillet weld.

    A real bead is mostly convex and larger: see `fillet_area_convex`.

    Examples
    --------
    >>> round(fillet_area(0.006).value * 1e6, 6)  # mm2
    18.0
    >>> round(fillet_area(0.006, second_leg=0.010).value * 1e6, 6)
    30.0
    """
    return Outcome(leg * (leg if second_leg is None else second_leg) / 2.0)


@formula(
    equation="A = a^2 / 2 + 2/3 sqrt(2) a c",
    result=AREA,
    sources=(_TRIANGLE, *recalled("reinforcement cap, on the face of the fillet")),
    valid="equal legs; convexity up to 1/4 of the width of the face",
)
def fillet_area_convex(
    leg: _Leg,
    convexity: Annotated[
        float, Symbol("c", "m", "height of the face above a flat one", at_least=0.0)
    ],
) -> Outcome:
    """Area of a convex fillet weld with equal legs.

    The flat fillet and a parabolic cap on its face, which is ``w = sqrt(2) a`` wide. A convexity
    above w / 4 has a caveat: a circular face then holds over 4.8 % of the cap more. The flat fillet
    and the cap are the parts.

    Examples
    --------
    >>> round(fillet_area_convex(0.006, 0.001).value * 1e6, 2)  # mm2
    23.66
    """
    face = math.sqrt(2.0) * leg
    flat = leg**2 / 2.0
    cap = segment_area(face, convexity)
    return Outcome(
        flat + cap, cap_caveats(face, convexity), parts={"flat fillet": flat, "convexity": cap}
    )


@formula(
    equation="A = a^2 / 2 - 2/3 sqrt(2) a c",
    result=AREA,
    sources=(_TRIANGLE, *recalled("reinforcement cap, taken from the face of the fillet")),
    valid="equal legs; concavity up to half of the theoretical throat",
    parts={"throat": "m"},
)
def fillet_area_concave(
    leg: _Leg,
    concavity: Annotated[
        float, Symbol("c", "m", "depth of the face below a flat one", at_least=0.0)
    ],
) -> Outcome:
    """Area of a concave fillet weld with equal legs.

    The flat fillet less a parabolic segment on its face. It has less metal and a smaller throat
    than its legs suggest: judge the size by the throat. The parts are the flat fillet, the
    concavity and the throat that is left. Refused if the concavity is more than half of the
    theoretical throat: the face would run into the plates.

    Examples
    --------
    >>> round(fillet_area_concave(0.006, 0.001).value * 1e6, 2)  # mm2
    12.34
    """
    throat = leg / math.sqrt(2.0)
    if concavity > throat / 2.0:
        raise InputError("concavity: above half of the throat the face runs into the plates")
    flat = leg**2 / 2.0
    hollow = segment_area(math.sqrt(2.0) * leg, concavity)
    return Outcome(
        flat - hollow,
        parts={"flat fillet": flat, "concavity": hollow, "throat": throat - concavity},
    )
