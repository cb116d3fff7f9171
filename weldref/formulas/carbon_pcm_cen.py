"""Carbon equivalents of Japanese origin: Pcm, CEN with its CSA Z662 relative, and Ceq."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping

from weldref.formulas.composition import by_letter, element_symbols, equivalent, weighted
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside

_PCM = {"C": 1, "Si": 30, "Mn": 20, "Cu": 20, "Cr": 20, "Ni": 60, "Mo": 15, "V": 10, "B": 0.2}
_CEN = {"Si": 24, "Mn": 6, "Cu": 15, "Ni": 20, "Cr": 5, "Mo": 5, "Nb": 5, "V": 5, "B": 0.2}
_WES = {"C": 1, "Mn": 6, "Si": 24, "Ni": 40, "Cr": 5, "Mo": 4, "V": 14}

_PCM_DATA = {
    "C": (0.07, 0.22),
    "Si": (0.0, 0.6),
    "Mn": (0.4, 1.4),
    "Cu": (0.0, 0.5),
    "Ni": (0.0, 1.2),
    "Cr": (0.0, 1.2),
    "Mo": (0.0, 0.7),
    "V": (0.0, 0.12),
    "B": (0.0, 0.005),
}


@formula(
    name="carbon-equivalent-pcm",
    title="Cracking parameter Pcm (Ito and Bessyo)",
    equation="Pcm = C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B",
    symbols=element_symbols("C", "Si", "Mn", "Cu", "Cr", "Ni", "Mo", "V", "B"),
    result=Symbol("Pcm", "%", "cracking parameter Pcm"),
    sources=(
        Source(
            "forum-faq-ce-1077",
            "third equation",
            "secondary",
            "quotes the Welding Journal; attribution and data range are recalled",
        ),
    ),
    valid="C up to about 0.11 % (twi-faq-ce); data (recalled, uncertain): C 0.07 to 0.22, Si to "
    "0.60, Mn 0.40 to 1.40, Cu to 0.50, Ni to 1.20, Cr to 1.20, Mo to 0.70, V to 0.12, B to "
    "0.005 %",
)
def carbon_equivalent_pcm(**contents: float) -> Outcome:
    """Return the cracking parameter Pcm.

    For low-carbon, microalloyed steel, where CE(IIW) overstates the alloying elements.

    Notes
    -----
    Caveats tell when carbon is above the 0.11 % that twi-faq-ce names (read) and when an element is
    outside the original data (recalled, uncertain). Its parts are the terms.

    Examples
    --------
    >>> found = carbon_equivalent_pcm(
    ...     carbon=0.10, silicon=0.3, manganese=1.5, copper=0.2, chromium=0.1, nickel=0.3,
    ...     molybdenum=0.1, vanadium=0.05, boron=0.0005,
    ... )
    >>> round(found.value, 5), found.caveats
    (0.21917, ('Mn 1.5 % is outside 0.4 to 1.4 %, the range of the formula (data, recalled)',))
    """
    outcome = equivalent(contents, _PCM, _PCM_DATA, "data, recalled")
    carbon = contents["carbon"]
    if carbon <= 0.11:
        return outcome
    low_carbon = (
        f"C {carbon:g} % is above about 0.11 %, the limit twi-faq-ce gives for the use of Pcm"
    )
    return dataclasses.replace(outcome, caveats=(low_carbon, *outcome.caveats))


def _scaled(
    contents: Mapping[str, float], factor: float, name: str, caveats: tuple[str, ...] = ()
) -> Outcome:
    composition = by_letter(contents)
    terms = weighted(composition, _CEN)
    value = composition["C"] + factor * math.fsum(terms.values())
    return Outcome(value, caveats, {"C": composition["C"], **terms, name: factor})


@formula(
    name="carbon-equivalent-cen",
    title="Carbon equivalent CEN (Yurioka)",
    equation="CEN = C + A(C) [Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+Nb+V)/5 + 5 B], "
    "A(C) = 0.75 + 0.25 tanh(20 (C - 0.12))",
    symbols=element_symbols("C", "Si", "Mn", "Cu", "Ni", "Cr", "Mo", "Nb", "V", "B"),
    result=Symbol("CEN", "%", "carbon equivalent CEN"),
    sources=(Source("yurioka-kasuya-1995", "formula", "memory", "divisors in csa-z662-99-ce"),),
    valid="carbon and low-alloy steel; no range of composition was seen",
)
def carbon_equivalent_cen(**contents: float) -> Outcome:
    """Return CEN, which moves from Pcm-like to CE(IIW)-like weights as carbon rises.

    Notes
    -----
    No range of composition was seen, so none is checked. Source: yurioka-kasuya-1995, recalled;
    only its abstract was seen. The divisors agree with csa-z662-99-ce (secondary). Its parts are
    the unscaled terms and A(C).

    Examples
    --------
    >>> found = carbon_equivalent_cen(carbon=0.12, manganese=1.2)
    >>> round(found.value, 3), found.parts["A(C)"], found.grade
    (0.27, 0.75, 'memory')
    """
    factor = 0.75 + 0.25 * math.tanh(20.0 * (contents["carbon"] - 0.12))
    return _scaled(contents, factor, "A(C)")


@formula(
    name="carbon-equivalent-csa",
    title="Carbon equivalent of CSA Z662, with a compliance factor",
    equation="CE = C + f [Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+Nb+V)/5 + 5 B]",
    symbols={
        **element_symbols("C", "Si", "Mn", "Cu", "Ni", "Cr", "Mo", "Nb", "V", "B"),
        "compliance_factor": Symbol("f", "", "factor of the standard's table", above=0, at_most=1),
    },
    result=Symbol("CE", "%", "carbon equivalent"),
    sources=(Source("csa-z662-99-ce", "worksheet", "secondary", "quotes CSA Z662"),),
    valid="f from the standard's table by carbon, 0.53 to 1.00 (recalled)",
)
def carbon_equivalent_csa(*, compliance_factor: float, **contents: float) -> Outcome:
    """Return the carbon equivalent of CSA Z662, CEN with a tabulated factor f.

    The factor comes from the standard's table by carbon content. The table was not seen, and
    f is not A(C) of CEN: at 0.25 % carbon f is 1 and A(C) is 0.997. So it must be given.

    Notes
    -----
    A factor outside 0.53 to 1.00 (recalled) brings a caveat. Source: csa-z662-99-ce, a worksheet
    that quotes CSA Z662:1999 (secondary). Its parts are the unscaled terms and f.

    Examples
    --------
    The worksheet's own case:

    >>> found = carbon_equivalent_csa(
    ...     carbon=0.25, manganese=1.28, silicon=0.29, copper=0.109, nickel=0.06, chromium=0.05,
    ...     molybdenum=0.034, vanadium=0.004, boron=0.0009,
    ...     compliance_factor=1.0,
    ... )
    >>> round(found.value, 10)
    0.5077833333
    """
    caveats = outside("compliance factor", compliance_factor, 0.53, 1.0)
    return _scaled(contents, compliance_factor, "f", caveats)


@formula(
    name="carbon-equivalent-wes",
    title="Carbon equivalent Ceq of Japanese standards (JIS/WES)",
    equation="Ceq = C + Mn/6 + Si/24 + Ni/40 + Cr/5 + Mo/4 + V/14",
    symbols=element_symbols("C", "Mn", "Si", "Ni", "Cr", "Mo", "V"),
    result=Symbol("Ceq", "%", "carbon equivalent Ceq"),
    sources=(Source("general-practice", "JIS/WES equivalent", "memory", "standard not seen"),),
    valid="carbon and low-alloy structural steel; no range of composition was seen",
)
def carbon_equivalent_wes(**contents: float) -> Outcome:
    """Return the carbon equivalent Ceq of Japanese standards.

    Notes
    -----
    No range of composition was seen, so none is checked. Source: recalled; no page that prints it
    was seen. Its parts are the terms.

    Examples
    --------
    >>> round(carbon_equivalent_wes(carbon=0.15, manganese=1.2, silicon=0.24).value, 3)
    0.36
    """
    return equivalent(contents, _WES)
