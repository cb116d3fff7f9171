"""Carbon equivalents: one number for how readily a steel hardens and cracks.

Each formula belongs to its own method and limits; never compare a value of one with a limit made
for another. Composition in mass percent, heat analysis or product analysis.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.composition import (
    ELEMENTS,
    by_letter,
    check_contents,
    check_total,
    element_symbols,
    equivalent,
    taken_by,
    weighted,
)
from weldref.formulas.formula import REGISTRY, Outcome, Result, Source, Symbol, formula, outside

_IIW = {"C": 1, "Mn": 6, "Cr": 5, "Mo": 5, "V": 5, "Ni": 15, "Cu": 15}
_AWS = {**_IIW, "Si": 6}
_CET = {"C": 1, "Mn": 10, "Mo": 10, "Cr": 20, "Cu": 20, "Ni": 40}
_PCM = {"C": 1, "Si": 30, "Mn": 20, "Cu": 20, "Cr": 20, "Ni": 60, "Mo": 15, "V": 10, "B": 0.2}
_CEN = {"Si": 24, "Mn": 6, "Cu": 15, "Ni": 20, "Cr": 5, "Mo": 5, "Nb": 5, "V": 5, "B": 0.2}
_WES = {"C": 1, "Mn": 6, "Si": 24, "Ni": 40, "Cr": 5, "Mo": 4, "V": 14}

_METHOD_A = {
    "C": (0.05, 0.25),
    "Mn": (0.0, 1.7),
    "Cr": (0.0, 0.9),
    "Cu": (0.0, 1.0),
    "Ni": (0.0, 2.5),
    "Mo": (0.0, 0.75),
    "V": (0.0, 0.2),
}
_METHOD_B = {
    "C": (0.05, 0.32),
    "Mn": (0.5, 1.9),
    "Cr": (0.0, 1.5),
    "Cu": (0.0, 0.7),
    "Mo": (0.0, 0.75),
    "Ni": (0.0, 2.5),
}
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
    equation="CE = C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15",
    contents=element_symbols(*_IIW),
    result=Symbol("CE", "%", "carbon equivalent CE(IIW)"),
    sources=(
        Source("steel-news-preheat", "text", "read", "names EN 1011-2"),
        Source("forum-faq-ce-1077", "first equation", "read"),
        Source("wiki-ce", "IIW equation", "read"),
        Source("en-1011-2", "C.2", "secondary", "its range of use is recalled"),
    ),
    valid="EN 1011-2 C.2 (recalled): CE 0.30 to 0.70; C 0.05 to 0.25, Si to 0.8, Mn to 1.7, "
    "Cr to 0.9, Cu to 1.0, Ni to 2.5, Mo to 0.75, V to 0.20 %",
)
def carbon_equivalent_iiw(**contents: float) -> Outcome:
    """Carbon equivalent CE(IIW), also CEV.

    The equivalent of EN 1011-2 method A, of EN 10025 (there CEV) and of many purchase limits. A
    value outside the recalled range has a caveat. The terms are its parts.

    Examples
    --------
    >>> round(carbon_equivalent_iiw(carbon=0.18, manganese=1.2, chromium=0.1, nickel=0.15).value, 3)
    0.41
    """
    outcome = equivalent(contents, _IIW, _METHOD_A, "EN 1011-2 C.2, recalled")
    method_a = tuple(
        f"{caveat} (EN 1011-2 C.2, recalled)" for caveat in outside("CE", outcome.value, 0.3, 0.7)
    )
    return dataclasses.replace(outcome, caveats=outcome.caveats + method_a)


@formula(
    equation="CE = C + (Mn+Si)/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15",
    contents=element_symbols("C", "Mn", "Si", "Cr", "Mo", "V", "Ni", "Cu"),
    result=Symbol("CE", "%", "carbon equivalent with silicon"),
    sources=(
        Source("twi-faq-ce", "text", "read", "the Si/6 term"),
        Source("wiki-ce", "AWS equation", "read"),
        Source("aws-d1-1-edition-not-shown", "annex on preheat", "secondary"),
    ),
    valid="carbon-manganese and low-alloy steel; no range of composition was seen",
)
def carbon_equivalent_aws(**contents: float) -> Outcome:
    """Carbon equivalent of AWS D1.1, with the silicon term.

    CE(IIW) plus Si/6. Both are called CE, and with 0.3 % silicon this one is 0.05 higher: check
    which of them a limit was made for. The terms are its parts.

    Examples
    --------
    >>> found = carbon_equivalent_aws(
    ...     carbon=0.18, manganese=1.2, silicon=0.3, chromium=0.1, nickel=0.15
    ... )
    >>> round(found.value, 3)
    0.46
    """
    return equivalent(contents, _AWS)


@formula(
    equation="Pcm = C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B",
    contents=element_symbols(*_PCM),
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
    """Cracking parameter Pcm (Ito and Bessyo).

    For low-carbon, microalloyed steel, where CE(IIW) overstates the alloying elements. Carbon above
    the 0.11 % that twi-faq-ce names (read) has a caveat, and so has an element outside the original
    data. The terms are its parts.

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


@formula(
    equation="CET = C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40",
    contents=element_symbols(*_CET),
    result=Symbol("CET", "%", "carbon equivalent CET"),
    sources=(
        Source("steel-news-preheat", "text", "read", "names EN 1011-2; the only page seen"),
        Source("en-1011-2", "C.3", "secondary", "its range of composition is recalled"),
    ),
    valid="EN 1011-2 C.3 (recalled): C 0.05 to 0.32, Si to 0.8, Mn 0.5 to 1.9, Cr to 1.5, Cu to "
    "0.7, Mo to 0.75, Nb to 0.06, Ni to 2.5, Ti to 0.12, V to 0.18, B to 0.005 %",
)
def carbon_equivalent_cet(**contents: float) -> Outcome:
    """Carbon equivalent CET, for preheat by EN 1011-2 method B.

    The equivalent that `weldref.formulas.preheat.preheat_en1011_method_b` takes. A value outside
    the recalled range has a caveat. The terms are its parts.

    Examples
    --------
    >>> round(carbon_equivalent_cet(carbon=0.18, manganese=1.2, chromium=0.1, nickel=0.2).value, 3)
    0.31
    """
    return equivalent(contents, _CET, _METHOD_B, "EN 1011-2 C.3, recalled")


def _scaled(
    contents: Mapping[str, float], factor: float, name: str, caveats: tuple[str, ...] = ()
) -> Outcome:
    composition = by_letter(contents)
    terms = weighted(composition, _CEN)
    value = composition["C"] + factor * math.fsum(terms.values())
    return Outcome(value, caveats, {"C": composition["C"], **terms, name: factor})


@formula(
    equation="CEN = C + A(C) [Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+Nb+V)/5 + 5 B], "
    "A(C) = 0.75 + 0.25 tanh(20 (C - 0.12))",
    contents=element_symbols("C", *_CEN),
    result=Symbol("CEN", "%", "carbon equivalent CEN"),
    sources=(Source("yurioka-kasuya-1995", "formula", "memory", "divisors in csa-z662-99-ce"),),
    valid="carbon and low-alloy steel; no range of composition was seen",
    parts={"A(C)": ""},
)
def carbon_equivalent_cen(**contents: float) -> Outcome:
    """Carbon equivalent CEN (Yurioka).

    It moves from Pcm-like to CE(IIW)-like weights as carbon rises. Only the abstract of the paper
    was seen. The unscaled terms and A(C) are its parts.

    Examples
    --------
    >>> found = carbon_equivalent_cen(carbon=0.12, manganese=1.2)
    >>> round(found.value, 3), found.parts["A(C)"], found.grade
    (0.27, 0.75, 'memory')
    """
    factor = 0.75 + 0.25 * math.tanh(20.0 * (contents["carbon"] - 0.12))
    return _scaled(contents, factor, "A(C)")


@formula(
    equation="CE = C + f [Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+Nb+V)/5 + 5 B]",
    contents=element_symbols("C", *_CEN),
    result=Symbol("CE", "%", "carbon equivalent"),
    sources=(Source("csa-z662-99-ce", "worksheet", "secondary", "quotes CSA Z662"),),
    valid="f from the standard's table by carbon, 0.53 to 1.00 (recalled)",
    parts={"f": ""},
)
def carbon_equivalent_csa(
    *,
    compliance_factor: Annotated[
        float, Symbol("f", "", "factor of the standard's table", above=0, at_most=1)
    ],
    **contents: float,
) -> Outcome:
    """Carbon equivalent of CSA Z662, with a compliance factor.

    CEN with a tabulated factor f. The factor comes from the standard's table by carbon content. The
    table was not seen, and f is not A(C) of CEN: at 0.25 % carbon f is 1 and A(C) is 0.997. So it
    must be given; below 0.53 (recalled) it has a caveat. The unscaled terms and f are the parts.

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
    equation="Ceq = C + Mn/6 + Si/24 + Ni/40 + Cr/5 + Mo/4 + V/14",
    contents=element_symbols(*_WES),
    result=Symbol("Ceq", "%", "carbon equivalent Ceq"),
    sources=(Source("general-practice", "JIS/WES equivalent", "memory", "standard not seen"),),
    valid="carbon and low-alloy structural steel; no range of composition was seen",
)
def carbon_equivalent_wes(**contents: float) -> Outcome:
    """Carbon equivalent Ceq of Japanese standards (JIS/WES).

    The terms are its parts.

    Examples
    --------
    >>> round(carbon_equivalent_wes(carbon=0.15, manganese=1.2, silicon=0.24).value, 3)
    0.36
    """
    return equivalent(contents, _WES)


CARBON_EQUIVALENTS: Mapping[str, Callable[..., Result]] = {
    name: made.function for name, made in REGISTRY.items() if name.startswith("carbon-equivalent-")
}
"""The carbon equivalents by the name of their formula."""


def carbon_equivalent(name: str, certificate: Mapping[str, float], **others: float) -> Result:
    """Return a carbon equivalent of the composition on a mill certificate.

    Parameters
    ----------
    name
        A key of `CARBON_EQUIVALENTS`.
    certificate
        Mass percent by chemical symbol, as many elements as the certificate lists.
    **others
        Parameters of the formula that are not elements, such as ``compliance_factor``.

    Returns
    -------
    Result
        As the formula gives it. A caveat names the elements of the formula that the
        certificate does not list, for "not reported" is not "none".

    Raises
    ------
    InputError
        If the name or a symbol is not known, the certificate has no carbon, or the
        composition is impossible.

    Examples
    --------
    >>> found = carbon_equivalent("carbon-equivalent-cet", {"C": 0.15, "Mn": 1.4, "S": 0.01})
    >>> round(found.value, 3), found.caveats
    (0.29, ('not on the certificate and taken as 0: Mo, Cr, Cu, Ni',))
    """
    check_contents(certificate)
    check_total(certificate)
    result, missing = _evaluate(name, certificate, others)
    caveats = (f"not on the certificate and taken as 0: {missing}",) if missing else ()
    return dataclasses.replace(result, caveats=result.caveats + caveats)


def carbon_equivalent_upper_bound(
    name: str, maxima: Mapping[str, float], **others: float
) -> Result:
    r"""Return the highest carbon equivalent that a grade's composition limits allow.

    Every term of every formula rises with its element, so the bound is reached where each element
    is at its maximum. Real heats are well below it: limits are not a composition.

    Parameters
    ----------
    name
        A key of `CARBON_EQUIVALENTS`.
    maxima
        Highest mass percent that the grade allows, by chemical symbol.
    **others
        Parameters of the formula that are not elements, such as ``compliance_factor``.

    Returns
    -------
    Result
        The bound. Its first caveat says that it is a bound from limits; a second names the
        elements that have no limit, which could raise a heat above it.

    Raises
    ------
    InputError
        If the name or a symbol is not known, carbon has no limit, or a limit is impossible.

    Examples
    --------
    >>> bound = carbon_equivalent_upper_bound("carbon-equivalent-iiw", {"C": 0.20, "Mn": 1.60})
    >>> round(bound.value, 3)
    0.467
    >>> print(*bound.caveats, sep="\n")
    upper bound from composition limits, not the equivalent of a heat
    no limit given for Cr, Mo, V, Ni, Cu: taken as 0, a heat that contains them can be higher
    """
    check_contents(maxima)
    result, missing = _evaluate(name, maxima, others)
    caveats = ["upper bound from composition limits, not the equivalent of a heat"]
    if missing:
        caveats.append(
            f"no limit given for {missing}: taken as 0, a heat that contains them can be higher"
        )
    return dataclasses.replace(result, caveats=(*caveats, *result.caveats))


def _evaluate(
    name: str, contents: Mapping[str, float], others: Mapping[str, float]
) -> tuple[Result, str]:
    """Return the result, and the formula's elements that `contents` lacks."""
    if name not in CARBON_EQUIVALENTS:
        raise InputError(f"{name!r} is not one of {', '.join(CARBON_EQUIVALENTS)}")
    symbols = REGISTRY[name].symbols
    letters = (symbol.letter for symbol in symbols.values())
    missing = [letter for letter in letters if letter in ELEMENTS and letter not in contents]
    result = CARBON_EQUIVALENTS[name](**taken_by(symbols, contents), **others)
    return result, ", ".join(missing)
