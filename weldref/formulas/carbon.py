"""Carbon equivalents: one number for how readily a steel hardens and cracks.

Each formula belongs to its own method and limits; a value of one must never be held against
a limit made for another. Composition in mass percent, heat analysis or product analysis.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping

from weldref.errors import InputError
from weldref.formulas.carbon_pcm_cen import (
    carbon_equivalent_cen,
    carbon_equivalent_csa,
    carbon_equivalent_pcm,
    carbon_equivalent_wes,
)
from weldref.formulas.composition import (
    ELEMENTS,
    check_contents,
    check_total,
    element_symbols,
    equivalent,
)
from weldref.formulas.formula import REGISTRY, Outcome, Result, Source, Symbol, formula, outside

_IIW = {"C": 1, "Mn": 6, "Cr": 5, "Mo": 5, "V": 5, "Ni": 15, "Cu": 15}
_AWS = {**_IIW, "Si": 6}
_CET = {"C": 1, "Mn": 10, "Mo": 10, "Cr": 20, "Cu": 20, "Ni": 40}

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


@formula(
    name="carbon-equivalent-iiw",
    title="Carbon equivalent CE(IIW), also CEV",
    equation="CE = C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15",
    symbols=element_symbols("C", "Mn", "Cr", "Mo", "V", "Ni", "Cu"),
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
    """Return the carbon equivalent CE(IIW).

    The equivalent of EN 1011-2 method A, of EN 10025 (there CEV) and of many purchase limits,
    for carbon-manganese and low-alloy steel.

    Notes
    -----
    Outside the range of EN 1011-2 C.2 (2001, recalled) the value comes with caveats. Its parts are
    the terms.

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
    name="carbon-equivalent-aws",
    title="Carbon equivalent of AWS D1.1, with the silicon term",
    equation="CE = C + (Mn+Si)/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15",
    symbols=element_symbols("C", "Mn", "Si", "Cr", "Mo", "V", "Ni", "Cu"),
    result=Symbol("CE", "%", "carbon equivalent with silicon"),
    sources=(
        Source("twi-faq-ce", "text", "read", "the Si/6 term"),
        Source("wiki-ce", "AWS equation", "read"),
        Source("aws-d1-1-edition-not-shown", "annex on preheat", "secondary"),
    ),
    valid="carbon-manganese and low-alloy steel; no range of composition was seen",
)
def carbon_equivalent_aws(**contents: float) -> Outcome:
    """Return the carbon equivalent of AWS D1.1, CE(IIW) plus Si/6.

    Both bear the name CE, and with 0.3 % silicon this one is 0.05 higher: look which of them a
    limit was made for.

    Notes
    -----
    No range of composition was seen, so none is checked. Its parts are the terms.

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
    name="carbon-equivalent-cet",
    title="Carbon equivalent CET, for preheat by EN 1011-2 method B",
    equation="CET = C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40",
    symbols=element_symbols("C", "Mn", "Mo", "Cr", "Cu", "Ni"),
    result=Symbol("CET", "%", "carbon equivalent CET"),
    sources=(
        Source("steel-news-preheat", "text", "read", "names EN 1011-2; the only page seen"),
        Source("en-1011-2", "C.3", "secondary", "its range of composition is recalled"),
    ),
    valid="EN 1011-2 C.3 (recalled): C 0.05 to 0.32, Si to 0.8, Mn 0.5 to 1.9, Cr to 1.5, Cu to "
    "0.7, Mo to 0.75, Nb to 0.06, Ni to 2.5, Ti to 0.12, V to 0.18, B to 0.005 %",
)
def carbon_equivalent_cet(**contents: float) -> Outcome:
    """Return the carbon equivalent CET.

    The equivalent that `weldref.formulas.preheat.preheat_en1011_method_b` takes.

    Notes
    -----
    Outside the range of EN 1011-2 C.3 (2001, recalled) the value comes with caveats. Source:
    steel-news-preheat, read, on whose authority alone it rests; it names EN 1011-2. Its parts are
    the terms.

    Examples
    --------
    >>> round(carbon_equivalent_cet(carbon=0.18, manganese=1.2, chromium=0.1, nickel=0.2).value, 3)
    0.31
    """
    return equivalent(contents, _CET, _METHOD_B, "EN 1011-2 C.3, recalled")


CARBON_EQUIVALENTS: Mapping[str, Callable[..., Result]] = {
    "carbon-equivalent-iiw": carbon_equivalent_iiw,
    "carbon-equivalent-aws": carbon_equivalent_aws,
    "carbon-equivalent-pcm": carbon_equivalent_pcm,
    "carbon-equivalent-cet": carbon_equivalent_cet,
    "carbon-equivalent-cen": carbon_equivalent_cen,
    "carbon-equivalent-csa": carbon_equivalent_csa,
    "carbon-equivalent-wes": carbon_equivalent_wes,
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

    Every term of every formula rises with its element, so the bound stands where each element
    is at its maximum. Real heats lie well below it: limits are not a composition.

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
        elements that have no limit, which could take a heat above it.

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
    letters = [symbol.letter for symbol in REGISTRY[name].symbols.values()]
    used = [letter for letter in letters if letter in ELEMENTS]
    known = {ELEMENTS[element]: contents[element] for element in used if element in contents}
    missing = ", ".join(element for element in used if element not in contents)
    return CARBON_EQUIVALENTS[name](**known, **others), missing
