"""Carbon equivalents: one number for how readily a steel hardens and cracks.

Each formula belongs to its own method and limits; a value of one must never be held against
a limit made for another. Composition in mass percent, heat analysis or product analysis.
"""
# ruff: noqa: N803  (parameters are chemical symbols, and those have a capital letter)

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

from weldref.errors import InputError
from weldref.formulas.carbon_cen import (
    carbon_equivalent_cen as carbon_equivalent_cen,
)
from weldref.formulas.carbon_cen import (
    carbon_equivalent_csa as carbon_equivalent_csa,
)
from weldref.formulas.carbon_cen import (
    carbon_equivalent_wes as carbon_equivalent_wes,
)
from weldref.formulas.composition import (
    ELEMENTS,
    check_content,
    check_total,
    element_symbols,
    equivalent,
)
from weldref.formulas.formula import REGISTRY, Outcome, Result, Source, Symbol, formula, outside

_IIW = {"C": 1, "Mn": 6, "Cr": 5, "Mo": 5, "V": 5, "Ni": 15, "Cu": 15}
_AWS = {**_IIW, "Si": 6}
_PCM = {"C": 1, "Si": 30, "Mn": 20, "Cu": 20, "Cr": 20, "Ni": 60, "Mo": 15, "V": 10, "B": 0.2}
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
def carbon_equivalent_iiw(
    *,
    C: float,
    Mn: float = 0.0,
    Cr: float = 0.0,
    Mo: float = 0.0,
    V: float = 0.0,
    Ni: float = 0.0,
    Cu: float = 0.0,
) -> Outcome:
    """Return CE(IIW), ``C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15``.

    The equivalent of EN 1011-2 method A, of EN 10025 (there CEV) and of many purchase limits,
    for carbon-manganese and low-alloy steel.

    Parameters
    ----------
    C, Mn, Cr, Mo, V, Ni, Cu
        Content of each element, mass percent; 0 when not given.

    Returns
    -------
    Result
        CE, mass percent; its parts are the terms.

    Raises
    ------
    InputError
        If a content is negative or above 100 %, or they add up to more than 100 %.

    Notes
    -----
    Outside the range of EN 1011-2 C.2 (2001, recalled) the value comes with caveats.
    Sources: steel-news-preheat, forum-faq-ce-1077 and wiki-ce, read; they quote the standard.

    Examples
    --------
    >>> round(carbon_equivalent_iiw(C=0.18, Mn=1.2, Cr=0.1, Ni=0.15).value, 3)
    0.41
    """
    composition = {"C": C, "Mn": Mn, "Cr": Cr, "Mo": Mo, "V": V, "Ni": Ni, "Cu": Cu}
    outcome = equivalent(composition, _IIW, _METHOD_A, "EN 1011-2 C.2, recalled")
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
def carbon_equivalent_aws(
    *,
    C: float,
    Mn: float = 0.0,
    Si: float = 0.0,
    Cr: float = 0.0,
    Mo: float = 0.0,
    V: float = 0.0,
    Ni: float = 0.0,
    Cu: float = 0.0,
) -> Outcome:
    """Return the carbon equivalent of AWS D1.1, CE(IIW) plus Si/6.

    Both bear the name CE. With 0.3 % silicon this one is 0.05 higher, which is a preheat
    category: look which one a limit was made for.

    Parameters
    ----------
    C, Mn, Si, Cr, Mo, V, Ni, Cu
        Content of each element, mass percent; 0 when not given.

    Returns
    -------
    Result
        CE, mass percent; its parts are the terms.

    Raises
    ------
    InputError
        If a content is negative or above 100 %, or they add up to more than 100 %.

    Notes
    -----
    No range of composition was seen, so none is checked.
    Sources: twi-faq-ce and wiki-ce, read; they quote AWS D1.1, edition not shown.

    Examples
    --------
    >>> round(carbon_equivalent_aws(C=0.18, Mn=1.2, Si=0.3, Cr=0.1, Ni=0.15).value, 3)
    0.46
    """
    composition = {"C": C, "Mn": Mn, "Si": Si, "Cr": Cr, "Mo": Mo, "V": V, "Ni": Ni, "Cu": Cu}
    return equivalent(composition, _AWS)


@formula(
    name="carbon-equivalent-pcm",
    title="Cracking parameter Pcm (Ito and Bessyo)",
    equation="Pcm = C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B",
    symbols=element_symbols("C", "Si", "Mn", "Cu", "Cr", "Ni", "Mo", "V", "B"),
    result=Symbol("Pcm", "%", "cracking parameter Pcm"),
    sources=(
        Source("forum-faq-ce-1077", "third equation", "read", "quotes the Welding Journal"),
        Source("ito-bessyo-1969", "formula", "secondary", "the range of its data is recalled"),
    ),
    valid="C up to about 0.11 % (twi-faq-ce); data (recalled, uncertain): C 0.07 to 0.22, Si to "
    "0.60, Mn 0.40 to 1.40, Cu to 0.50, Ni to 1.20, Cr to 1.20, Mo to 0.70, V to 0.12, B to 0.005 %",
)
def carbon_equivalent_pcm(
    *,
    C: float,
    Si: float = 0.0,
    Mn: float = 0.0,
    Cu: float = 0.0,
    Cr: float = 0.0,
    Ni: float = 0.0,
    Mo: float = 0.0,
    V: float = 0.0,
    B: float = 0.0,
) -> Outcome:
    """Return Pcm, ``C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B``.

    For low-carbon, microalloyed steel, where CE(IIW) overstates the alloying elements.

    Parameters
    ----------
    C, Si, Mn, Cu, Cr, Ni, Mo, V, B
        Content of each element, mass percent; 0 when not given.

    Returns
    -------
    Result
        Pcm, mass percent; its parts are the terms.

    Raises
    ------
    InputError
        If a content is negative or above 100 %, or they add up to more than 100 %.

    Notes
    -----
    Caveats tell when carbon is above the 0.11 % that twi-faq-ce names (read) and when an
    element is outside the original data (recalled, uncertain).
    Source: forum-faq-ce-1077, third equation, read; it quotes the Welding Journal.

    Examples
    --------
    >>> found = carbon_equivalent_pcm(
    ...     C=0.10, Si=0.3, Mn=1.5, Cu=0.2, Cr=0.1, Ni=0.3, Mo=0.1, V=0.05, B=0.0005
    ... )
    >>> round(found.value, 5), found.caveats
    (0.21917, ('Mn 1.5 % is outside 0.4 to 1.4 %, the range of the formula (data, recalled)',))
    """
    composition = {
        "C": C,
        "Si": Si,
        "Mn": Mn,
        "Cu": Cu,
        "Cr": Cr,
        "Ni": Ni,
        "Mo": Mo,
        "V": V,
        "B": B,
    }
    outcome = equivalent(composition, _PCM, _PCM_DATA, "data, recalled")
    if C <= 0.11:
        return outcome
    low_carbon = f"C {C:g} % is above about 0.11 %, the limit twi-faq-ce gives for the use of Pcm"
    return dataclasses.replace(outcome, caveats=(low_carbon, *outcome.caveats))


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
def carbon_equivalent_cet(
    *,
    C: float,
    Mn: float = 0.0,
    Mo: float = 0.0,
    Cr: float = 0.0,
    Cu: float = 0.0,
    Ni: float = 0.0,
) -> Outcome:
    """Return CET, ``C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40``.

    The equivalent that `weldref.formulas.preheat.preheat_en1011_method_b` takes.

    Parameters
    ----------
    C, Mn, Mo, Cr, Cu, Ni
        Content of each element, mass percent; 0 when not given.

    Returns
    -------
    Result
        CET, mass percent; its parts are the terms.

    Raises
    ------
    InputError
        If a content is negative or above 100 %, or they add up to more than 100 %.

    Notes
    -----
    Outside the range of EN 1011-2 C.3 (2001, recalled) the value comes with caveats.
    Source: steel-news-preheat, read, on whose authority alone it rests; it names EN 1011-2.

    Examples
    --------
    >>> round(carbon_equivalent_cet(C=0.18, Mn=1.2, Cr=0.1, Ni=0.2).value, 3)
    0.31
    """
    composition = {"C": C, "Mn": Mn, "Mo": Mo, "Cr": Cr, "Cu": Cu, "Ni": Ni}
    return equivalent(composition, _CET, _METHOD_B, "EN 1011-2 C.3, recalled")


CARBON_EQUIVALENTS: tuple[str, ...] = tuple(
    name for name in REGISTRY if name.startswith("carbon-equivalent-")
)
"""The names of the carbon equivalents."""


def carbon_equivalent(name: str, certificate: Mapping[str, float], **others: float) -> Result:
    """Return a carbon equivalent of the composition on a mill certificate.

    Parameters
    ----------
    name
        One of `CARBON_EQUIVALENTS`.
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
    check_total(certificate)
    result, missing = _evaluate(name, certificate, others, "the certificate")
    caveats = (f"not on the certificate and taken as 0: {missing}",) if missing else ()
    return dataclasses.replace(result, caveats=result.caveats + caveats)


def carbon_equivalent_upper_bound(
    name: str, maxima: Mapping[str, float], **others: float
) -> Result:
    """Return the highest carbon equivalent that a grade's composition limits allow.

    Every term of every formula rises with its element, so the bound stands where each element
    is at its maximum. Real heats lie well below it: limits are not a composition.

    Parameters
    ----------
    name
        One of `CARBON_EQUIVALENTS`.
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
    result, missing = _evaluate(name, maxima, others, "the limits")
    caveats = ["upper bound from composition limits, not the equivalent of a heat"]
    if missing:
        caveats.append(
            f"no limit given for {missing}: taken as 0, a heat that contains them can be higher"
        )
    return dataclasses.replace(result, caveats=(*caveats, *result.caveats))


def _evaluate(
    name: str, contents: Mapping[str, float], others: Mapping[str, float], where: str
) -> tuple[Result, str]:
    """Return the result, and the formula's elements that `contents` lacks."""
    if name not in CARBON_EQUIVALENTS:
        raise InputError(f"{name!r} is not one of {', '.join(CARBON_EQUIVALENTS)}")
    for element, content in contents.items():
        check_content(element, content)
    if "C" not in contents:
        raise InputError(f"C: {where} must give carbon")
    used = [symbol for symbol in REGISTRY[name].symbols if symbol in ELEMENTS]
    known = {element: contents[element] for element in used if element in contents}
    missing = ", ".join(element for element in used if element not in contents)
    return REGISTRY[name].function(**known, **others), missing
