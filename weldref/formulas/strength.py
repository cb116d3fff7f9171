"""How much a fillet weld carries: throat, strength, weld groups, long welds, largest leg.

Static loads on fillets with equal legs, a flat face and no root opening. The base metal may govern
instead and is not checked here.
"""

from __future__ import annotations

import math
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula

PHI = 0.75
"""Resistance factor of fillet welds."""

_Leg = Annotated[float, Symbol("w", "m", "leg of the fillet", above=0.0)]
_Length = Annotated[float, Symbol("L", "m", "length of the weld", above=0.0)]
_Strength = Annotated[
    float, Symbol("FEXX", "Pa", "classification strength of the filler", above=0.0)
]
_NOTES = "univ-weld-notes-lrfd"
_AISC_2005 = Source("aisc-360-05-j2", "J2.2b, Eq. J2-1", "read")
_HANDBOOK = Source("steel-handbook-ch5", "p. 5.42", "read")


@formula(
    equation="a = 0.707 w",
    result=Symbol("a", "m", "effective throat"),
    sources=(Source(_NOTES, "p. 1", "read"),),
    valid="equal legs, flat or convex face, no root opening",
)
def fillet_throat(leg: _Leg) -> Outcome:
    """Effective throat of an equal-leg fillet.

    0.707, the cosine of 45 degrees, is used as printed; the cosine is 0.015 % more. Convexity adds
    nothing; a concave face has a smaller throat (`fillet_area_concave`).

    Examples
    --------
    >>> round(fillet_throat(0.006).value * 1000, 2)  # mm
    4.24
    """
    return Outcome(0.707 * leg)


@formula(
    equation="f = 0.30 FEXX 0.707 w",
    result=Symbol("f", "N/m", "allowable load per length"),
    sources=(Source("weld-general-memory", "ASD fillet, common textbook form", "memory"),),
    valid="static load, shear on the throat, no credit for its direction",
    parts={"throat": "m"},
)
def fillet_load_asd(leg: _Leg, electrode_strength: _Strength) -> Outcome:
    """Allowable load per length of a fillet (ASD).

    Do not mix it with factored loads. The throat is among the parts.

    Examples
    --------
    1/4 in leg, 70 ksi filler, in kip/in:

    >>> load = fillet_load_asd(0.25 * 0.0254, 70 * 6.894757e6)
    >>> round(load.value * 0.0254 / 4448.222, 2)
    3.71
    """
    throat = fillet_throat(leg).value
    return Outcome(0.30 * electrode_strength * throat, parts={"throat": throat})


@formula(
    equation="phi Rn = 0.75 0.60 FEXX (1 + 0.5 sin(theta)^1.5) 0.707 w L",
    result=Symbol("phi Rn", "N", "design strength"),
    sources=(Source(_NOTES, "Example 1, AISC J2", "read"),),
    valid="static load; length from 4 to 100 legs",
    parts={"direction factor": ""},
)
def fillet_strength_lrfd(
    leg: _Leg,
    length: _Length,
    electrode_strength: _Strength,
    angle: Annotated[
        float,
        Symbol(
            "theta", "deg", "angle from the weld's axis to the load", at_least=0.0, at_most=90.0
        ),
    ] = 0.0,
) -> Outcome:
    """Design strength of a fillet weld (LRFD).

    The angle is 0 for a longitudinal, 90 for a transverse weld. A weld shorter than 4 legs has a
    caveat (size to be taken as at most L/4, steel-handbook-ch5 p. 5.42, read), and so has one
    longer than 100 legs, since an end-loaded weld then carries less (`end_loaded_factor`). The
    nominal strength Rn and the direction factor are the parts.

    Examples
    --------
    univ-weld-notes-lrfd, Example 1: 3/4 in leg, 8 in, 70 ksi: 133.62 kip along, 200.4 across:

    >>> inch, ksi, kip = 0.0254, 6.894757e6, 4448.222
    >>> round(fillet_strength_lrfd(0.75 * inch, 8 * inch, 70 * ksi).value / kip, 1)
    133.6
    >>> round(fillet_strength_lrfd(0.75 * inch, 8 * inch, 70 * ksi, angle=90).value / kip, 1)
    200.4
    """
    # An uncertain angle is also tried a step below 0 degrees, where no power 1.5 exists.
    direction = 1.0 + 0.5 * max(math.sin(math.radians(angle)), 0.0) ** 1.5
    nominal = 0.60 * electrode_strength * direction * fillet_throat(leg).value * length
    caveats: tuple[str, ...] = ()
    used: tuple[Source, ...] = ()
    if length < 4.0 * leg:
        caveats, used = ("shorter than 4 legs: take the leg as at most L/4",), (_HANDBOOK,)
    elif length > 100.0 * leg:
        caveats = ("longer than 100 legs: reduce an end-loaded weld by end-loaded-factor",)
        used = (_AISC_2005,)
    return Outcome(
        PHI * nominal,
        caveats,
        parts={"nominal strength": nominal, "direction factor": direction},
        sources=used,
    )


@formula(
    equation="Rn = max(RwL + RwT, 0.85 RwL + 1.5 RwT)",
    result=Symbol("Rn", "N", "nominal strength of the group"),
    sources=(
        Source(_NOTES, "Example 2, Eq. J2-10a", "read"),
        Source("aisc-360-22", "J2.4(b): the directed sum, and the larger of the two", "read"),
    ),
    valid="concentric load; both strengths without the direction factor; one leg size",
)
def weld_group_strength(
    longitudinal: Annotated[
        float, Symbol("RwL", "N", "strength of the longitudinal welds", at_least=0.0)
    ],
    transverse: Annotated[
        float, Symbol("RwT", "N", "strength of the transverse welds", at_least=0.0)
    ],
) -> Outcome:
    """Nominal strength of longitudinal and transverse fillets together.

    Give the strengths without an angle: the "nominal strength" part of `fillet_strength_lrfd`. The
    parts are both equations by the numbers of older editions, J2-10a (the sum) and J2-10b; the
    edition of 2022 prints the second as J2.4(b) and lets the larger of the two be used.

    Examples
    --------
    Example 2 of univ-weld-notes-lrfd: 111.35 and 44.54 kip:

    >>> group = weld_group_strength(111.35e3, 44.54e3)
    >>> round(group.parts["J2-10a"]), round(group.value)
    (155890, 161458)
    """
    if longitudinal == transverse == 0.0:
        raise InputError("a weld group needs a strength in at least one direction")
    added = longitudinal + transverse
    directed = 0.85 * longitudinal + 1.5 * transverse
    return Outcome(max(added, directed), parts={"J2-10a": added, "J2-10b": directed})


@formula(
    equation=(
        "beta = 1 to L/w = 100; 1.2 - 0.002 L/w to 300; above 300 the smaller of 180 w/L"
        " (AISC 2005) and 0.60 (handbook)"
    ),
    result=Symbol("beta", "", "effective length over length"),
    sources=(_AISC_2005,),
    valid="fillets loaded at their ends along their axis",
    parts={"effective length": "m"},
)
def end_loaded_factor(length: _Length, leg: _Leg) -> Outcome:
    """Length factor of an end-loaded fillet.

    Above L/w = 300 two sources differ: the AISC 2005 text counts a length of 180 w, a handbook
    keeps beta = 0.60. The value is the smaller one, with a caveat. The effective length and, above
    300, both sources' beta are among the parts.

    Examples
    --------
    beta is 1.0 at L/w = 100 (aisc-360-05-j2) and 0.60 at 300 (steel-handbook-ch5):

    >>> round(end_loaded_factor(0.6, 0.006).value, 6), round(end_loaded_factor(1.8, 0.006).value, 6)
    (1.0, 0.6)
    >>> end_loaded_factor(2.4, 0.006).parts["beta, handbook"]
    0.6
    """
    slenderness = length / leg
    if slenderness <= 300.0:
        beta = min(1.0, 1.2 - 0.002 * slenderness)
        return Outcome(beta, parts={"effective length": beta * length})
    beta = 180.0 / slenderness
    return Outcome(
        beta,
        ("sources differ above L/w = 300: a length of 180 w counts, or beta stays 0.60",),
        parts={"effective length": beta * length, "beta, AISC 2005": beta, "beta, handbook": 0.60},
        sources=(_HANDBOOK,),
    )


@formula(
    equation="inch: t below 1/4 in, else t - 1/16 in; metric: t below 6 mm, else t - 2 mm",
    result=Symbol("w", "m", "largest leg"),
    sources=(
        Source("engtips-461924", "AWS rule as quoted", "secondary", "also AISC J2.2b, by memory"),
    ),
    valid="welds along an edge, unless the drawing calls for build-out to the full throat",
)
def max_fillet_at_edge(
    thickness: Annotated[float, Symbol("t", "m", "thickness at the edge", above=0.0)],
    edition: Annotated[
        str, Symbol("edition", "", "which printing of the rule", choices=("inch", "metric"))
    ],
) -> Outcome:
    """Largest fillet leg along the edge of a lapped part.

    The inch and the metric rule are two printings with separate limits. At exactly 1/4 in (6 mm)
    the quotation says "more than", the code by memory "or more"; the smaller leg is given, with a
    caveat.

    Examples
    --------
    >>> round(max_fillet_at_edge(0.375 * 0.0254, "inch").value / 0.0254, 4)
    0.3125
    """
    limit, less = (0.00635, 0.0015875) if edition == "inch" else (0.006, 0.002)
    at_limit = math.isclose(thickness, limit, rel_tol=1e-9)
    if thickness < limit and not at_limit:
        return Outcome(thickness)
    caveat = "at the limit the quotation and the code differ: the smaller leg is given"
    return Outcome(thickness - less, (caveat,) if at_limit else ())
