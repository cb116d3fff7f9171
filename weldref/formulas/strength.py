"""How much a fillet weld carries: throat, strength, weld groups, long welds, largest leg.

Static loads on fillets with equal legs, a flat face and no root opening. The base metal may
govern instead and is not looked at here.
"""

from __future__ import annotations

import math

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula

PHI = 0.75
"""Resistance factor of fillet welds."""

_LEG = Symbol("w", "m", "leg of the fillet", above=0.0)
_LENGTH = Symbol("L", "m", "length of the weld", above=0.0)
_STRENGTH = Symbol("FEXX", "Pa", "classification strength of the filler", above=0.0)
_NOTES = "univ-weld-notes-lrfd"
_AISC_2005 = Source("aisc-360-05-j2", "J2.2b, Eq. J2-1", "read")
_HANDBOOK = Source("steel-handbook-ch5", "p. 5.42", "read")


@formula(
    name="fillet-throat",
    title="Effective throat of an equal-leg fillet",
    equation="a = 0.707 w",
    symbols={"leg": _LEG},
    result=Symbol("a", "m", "effective throat"),
    sources=(Source(_NOTES, "p. 1", "read"),),
    valid="equal legs, flat or convex face, no root opening",
)
def fillet_throat(leg: float) -> Outcome:
    """Return the effective throat of an equal-leg fillet: ``a = 0.707 w`` (w cos 45).

    Notes
    -----
    0.707 is used as printed; the cosine is 0.015 % more. Convexity adds nothing; a concave face has
    a smaller throat (`fillet_area_concave`).

    Examples
    --------
    >>> round(fillet_throat(0.006).value * 1000, 2)  # mm
    4.24
    """
    return Outcome(0.707 * leg)


@formula(
    name="fillet-load-asd",
    title="Allowable load per length of a fillet (ASD)",
    equation="f = 0.30 FEXX 0.707 w",
    symbols={"leg": _LEG, "electrode_strength": _STRENGTH},
    result=Symbol("f", "N/m", "allowable load per length"),
    sources=(Source("weld-general-memory", "ASD fillet, common textbook form", "memory"),),
    valid="static load, shear on the throat, no credit for its direction",
)
def fillet_load_asd(leg: float, electrode_strength: float) -> Outcome:
    """Return the allowable load per length.

    Notes
    -----
    Not to be mixed with factored loads. The throat is among its parts.

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
    name="fillet-strength-lrfd",
    title="Design strength of a fillet weld (LRFD)",
    equation="phi Rn = 0.75 0.60 FEXX (1 + 0.5 sin(theta)^1.5) 0.707 w L",
    symbols={
        "leg": _LEG,
        "length": _LENGTH,
        "electrode_strength": _STRENGTH,
        "angle": Symbol(
            "theta", "deg", "angle from the weld's axis to the load", at_least=0.0, at_most=90.0
        ),
    },
    result=Symbol("phi Rn", "N", "design strength"),
    sources=(Source(_NOTES, "Example 1, AISC J2", "read"),),
    valid="static load; length from 4 to 100 legs",
)
def fillet_strength_lrfd(
    leg: float, length: float, electrode_strength: float, angle: float = 0.0
) -> Outcome:
    """Return the design strength of a straight fillet weld.

    ``phi Rn = phi Fw 0.707 w L``, ``Fw = 0.60 FEXX (1 + 0.5 sin(theta)^1.5)``, ``phi = 0.75``.

    Notes
    -----
    Shorter than 4 legs: the value stands with a caveat (size to be taken as at most L/4,
    steel-handbook-ch5 p. 5.42, read). Longer than 100 legs: a caveat, since an end-loaded weld then
    carries less (`end_loaded_factor`). Its parts are the nominal strength Rn and the direction
    factor.
    `angle`: Angle between the load and the weld's axis theta, degrees: 0 longitudinal, 90
    transverse.

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
    name="weld-group-strength",
    title="Nominal strength of longitudinal and transverse fillets together",
    equation="Rn = max(RwL + RwT, 0.85 RwL + 1.5 RwT)",
    symbols={
        "longitudinal": Symbol("RwL", "N", "strength of the longitudinal welds", at_least=0.0),
        "transverse": Symbol("RwT", "N", "strength of the transverse welds", at_least=0.0),
    },
    result=Symbol("Rn", "N", "nominal strength of the group"),
    sources=(
        Source(_NOTES, "Example 2, Eq. J2-10a", "read"),
        Source("aisc-360-22", "J2.4(b): the directed sum, and the larger of the two", "read"),
    ),
    valid="concentric load; both strengths without the direction factor; one leg size",
)
def weld_group_strength(longitudinal: float, transverse: float) -> Outcome:
    """Return the nominal strength of a concentric group: the larger of two equations.

    J2-10a ``Rn = RwL + RwT``; J2-10b ``Rn = 0.85 RwL + 1.5 RwT``.

    Notes
    -----
    The edition of 2022 prints the directed sum as J2.4(b) and lets the larger of the two be used;
    J2-10a and J2-10b are the numbers of older editions. Source: univ-weld-notes-lrfd, Example 2
    (read); aisc-360-22, J2.4(b) (read). Both equations are among its parts.
    `longitudinal`, `transverse`: Nominal strengths RwL and RwT, N, each with theta = 0 (the
    "nominal strength" part of `fillet_strength_lrfd` without an angle).

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
    name="end-loaded-factor",
    title="Length factor of an end-loaded fillet",
    equation=(
        "beta = 1 to L/w = 100; 1.2 - 0.002 L/w to 300; above 300 the smaller of 180 w/L"
        " (AISC 2005) and 0.60 (handbook)"
    ),
    symbols={"length": _LENGTH, "leg": _LEG},
    result=Symbol("beta", "", "effective length over length"),
    sources=(_AISC_2005,),
    valid="fillets loaded at their ends along their axis",
)
def end_loaded_factor(length: float, leg: float) -> Outcome:
    """Return the share of an end-loaded fillet's length that counts.

    ``beta = 1`` for L/w up to 100, ``1.2 - 0.002 L/w`` up to 300. Above 300 two sources differ:
    the AISC 2005 text counts a length of 180 w (beta = 180 w/L), a handbook keeps beta = 0.60.

    Notes
    -----
    Above 300 the value is the smaller beta (180 w/L), with both shown and a caveat. The
    effective length and, above 300, both sources' beta are among its parts.

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
    name="max-fillet-at-edge",
    title="Largest fillet leg along the edge of a lapped part",
    equation="inch: t below 1/4 in, else t - 1/16 in; metric: t below 6 mm, else t - 2 mm",
    symbols={
        "thickness": Symbol("t", "m", "thickness at the edge", above=0.0),
        "edition": Symbol("edition", "", "which printing of the rule", choices=("inch", "metric")),
    },
    result=Symbol("w", "m", "largest leg"),
    sources=(
        Source("engtips-461924", "AWS rule as quoted", "secondary", "also AISC J2.2b, by memory"),
    ),
    valid="welds along an edge, unless the drawing calls for build-out to the full throat",
)
def max_fillet_at_edge(thickness: float, edition: str) -> Outcome:
    """Return the largest leg of a fillet along the edge of a part.

    Below 1/4 in (6 mm): the thickness. From there on: the thickness less 1/16 in (2 mm).

    Notes
    -----
    At exactly 1/4 in (6 mm) the quotation says "more than", the code by memory "or more"; the
    smaller leg is given, with a caveat.
    `edition`: "inch" (1/4 in, 1/16 in) or "metric" (6 mm, 2 mm): two printings with separate
    limits.

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
