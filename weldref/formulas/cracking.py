"""Cracking of submerged-arc weld metal as it solidifies: two fits that never mix.

For the hardness of the heat-affected zone see `weldref.formulas.haz_hardness`.
"""

from __future__ import annotations

from weldref.formulas.composition import by_letter, element_symbols, outside_ranges, weighted_sum
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside

_THRESHOLDS = {
    "high_resistance_below": 10.0,
    "low_resistance_above": 30.0,
    "risk_from_in_fillet": 20.0,
    "risk_from_in_butt": 25.0,
}
"""Of UCS, as twi-jk-44 prints them."""

_UCS = {"C": 230, "S": 190, "P": 75, "Nb": 45, "Si": -12.3, "Mn": -5.4}
_FIT_1976 = {"C": 223, "S": 197, "P": 100, "Nb": 48, "Si": -14.3, "Mn": -6, "Al": -16}
_UCS_RANGE = {
    "C": (0.03, 0.23),
    "S": (0.010, 0.050),
    "P": (0.010, 0.045),
    "Si": (0.15, 0.65),
    "Mn": (0.45, 1.6),
    "Nb": (0.0, 0.07),
}
_PLATES_1976 = {
    "C": (0.11, 0.27),
    "S": (0.007, 0.05),
    "P": (0.003, 0.046),
    "Si": (0.05, 0.64),
    "Mn": (0.5, 1.5),
    "Al": (0.01, 0.04),
    "Nb": (0.0, 0.09),
}


@formula(
    equation="UCS = 230 C* + 190 S + 75 P + 45 Nb - 12.3 Si - 5.4 Mn - 1, C* = max(C, 0.08)",
    contents=element_symbols(*_UCS),
    result=Symbol("UCS", "", "units of crack susceptibility"),
    sources=(
        Source("twi-jk-44", "Causes", "read", "names EN 1011-2:2001 Annex E"),
        Source("en-1011-2", "Annex E", "secondary", "its range of composition is recalled"),
    ),
    valid="submerged-arc weld metal (recalled): C 0.03 to 0.23, S 0.010 to 0.050, P 0.010 to "
    "0.045, Si 0.15 to 0.65, Mn 0.45 to 1.6, Nb to 0.07 %",
    parts={"carbon_used": "%"},
)
def unit_of_crack_susceptibility(**contents: float) -> Outcome:
    """Units of crack susceptibility UCS of submerged-arc weld metal.

    C* is carbon, or 0.08 where carbon is lower. Below 10 the page calls the resistance to cracking
    high, above 30 low; between them a high depth to width ratio, high speed or poor fit-up makes
    cracking worse. Fillets (depth to width about 1) are at risk from 20, butts from about 25.

    A composition outside the range has caveats, and so has S + P above 0.06 % (read). The carbon
    used and the thresholds of the page are the parts.

    Examples
    --------
    >>> found = unit_of_crack_susceptibility(
    ...     carbon=0.05, sulfur=0.015, phosphorus=0.02, silicon=0.3, manganese=1.2
    ... )
    >>> round(found.value, 2), found.parts["carbon_used"]
    (11.58, 0.08)
    """
    composition = by_letter(contents)
    used = max(composition["C"], 0.08)
    value = weighted_sum(composition | {"C": used}, _UCS) - 1
    caveats = outside_ranges(composition, _UCS_RANGE, "recalled")
    for caveat in outside("S + P", composition["S"] + composition["P"], 0.0, 0.06, "%"):
        caveats += (f"{caveat} (a general limit of twi-jk-44)",)
    return Outcome(value, caveats, {"carbon_used": used, **_THRESHOLDS})


@formula(
    equation="223 C + 197 S + 100 P + 48 Nb - 14.3 Si - 6 Mn - 16 Al + 0.5",
    contents=element_symbols(*_FIT_1976),
    result=Symbol("", "", "crack susceptibility of the 1976 fit"),
    sources=(Source("twi-28-1976", "summary", "read", "the 100 shows as 10O in the copy"),),
    valid="plates of the test set: C 0.11 to 0.27, S 0.007 to 0.05, P 0.003 to 0.046, Si 0.05 to "
    "0.64, Mn 0.5 to 1.5, Al 0.01 to 0.04, Nb to 0.09 %",
)
def solidification_cracking_1976(**contents: float) -> Outcome:
    """Solidification cracking regression of 1976 for submerged-arc weld metal.

    An earlier fit than UCS, with aluminium and without a minimum for carbon. The thresholds of UCS
    do not apply to it. The ranges printed are those of the plates (70 % dilution, 1 % Mn wire), not
    of the weld metal; outside them there are caveats.

    Examples
    --------
    >>> found = solidification_cracking_1976(
    ...     carbon=0.12, sulfur=0.015, phosphorus=0.02, silicon=0.3, manganese=1.2, aluminium=0.02
    ... )
    >>> round(found.value, 1)
    20.4
    """
    composition = by_letter(contents)
    value = weighted_sum(composition, _FIT_1976) + 0.5
    return Outcome(value, outside_ranges(composition, _PLATES_1976, "plates of the test set"))
