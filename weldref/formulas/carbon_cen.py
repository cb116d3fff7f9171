"""Carbon equivalents that weigh silicon little: CEN, its CSA Z662 relative, and Ceq (JIS/WES)."""
# ruff: noqa: N803  (parameters are chemical symbols, and those have a capital letter)

from __future__ import annotations

import math
from collections.abc import Mapping

from weldref.formulas.composition import check_total, element_symbols, equivalent, weighted
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside

_CEN = {"Si": 24, "Mn": 6, "Cu": 15, "Ni": 20, "Cr": 5, "Mo": 5, "Nb": 5, "V": 5, "B": 0.2}
_WES = {"C": 1, "Mn": 6, "Si": 24, "Ni": 40, "Cr": 5, "Mo": 4, "V": 14}


def _scaled(
    composition: Mapping[str, float], factor: float, name: str, caveats: tuple[str, ...] = ()
) -> Outcome:
    check_total(composition)
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
def carbon_equivalent_cen(
    *,
    C: float,
    Si: float = 0.0,
    Mn: float = 0.0,
    Cu: float = 0.0,
    Ni: float = 0.0,
    Cr: float = 0.0,
    Mo: float = 0.0,
    Nb: float = 0.0,
    V: float = 0.0,
    B: float = 0.0,
) -> Outcome:
    """Return CEN, which moves from Pcm-like to CE(IIW)-like weights as carbon rises.

    ``CEN = C + A(C) [Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+Nb+V)/5 + 5 B]`` with
    ``A(C) = 0.75 + 0.25 tanh(20 (C - 0.12))``.

    Parameters
    ----------
    C, Si, Mn, Cu, Ni, Cr, Mo, Nb, V, B
        Content of each element, mass percent; 0 when not given.

    Returns
    -------
    Result
        CEN, mass percent; its parts are the unscaled terms and A(C).

    Raises
    ------
    InputError
        If a content is negative or above 100 %, or they add up to more than 100 %.

    Notes
    -----
    No range of composition was seen, so none is checked.
    Source: yurioka-kasuya-1995, recalled; only its abstract was seen. The divisors agree with
    csa-z662-99-ce (secondary).

    Examples
    --------
    >>> found = carbon_equivalent_cen(C=0.12, Mn=1.2)
    >>> round(found.value, 3), found.parts["A(C)"], found.grade
    (0.27, 0.75, 'memory')
    """
    composition = {"C": C, "Si": Si, "Mn": Mn, "Cu": Cu, "Ni": Ni, "Cr": Cr, "Mo": Mo}
    composition |= {"Nb": Nb, "V": V, "B": B}
    return _scaled(composition, 0.75 + 0.25 * math.tanh(20.0 * (C - 0.12)), "A(C)")


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
def carbon_equivalent_csa(
    *,
    C: float,
    compliance_factor: float,
    Si: float = 0.0,
    Mn: float = 0.0,
    Cu: float = 0.0,
    Ni: float = 0.0,
    Cr: float = 0.0,
    Mo: float = 0.0,
    Nb: float = 0.0,
    V: float = 0.0,
    B: float = 0.0,
) -> Outcome:
    """Return the carbon equivalent of CSA Z662, CEN with a tabulated factor f.

    The factor comes from the standard's table by carbon content. The table was not seen, and
    f is not A(C) of CEN: at 0.25 % carbon f is 1 and A(C) is 0.997. So it must be given.

    Parameters
    ----------
    C, Si, Mn, Cu, Ni, Cr, Mo, Nb, V, B
        Content of each element, mass percent; 0 when not given.
    compliance_factor
        Factor f, a ratio.

    Returns
    -------
    Result
        CE, mass percent; its parts are the unscaled terms and f.

    Raises
    ------
    InputError
        If a content is negative or above 100 %, they add up to more than 100 %, or f is not
        above 0 and at most 1.

    Notes
    -----
    A factor outside 0.53 to 1.00 (recalled) brings a caveat.
    Source: csa-z662-99-ce, a worksheet that quotes CSA Z662:1999 (secondary).

    Examples
    --------
    The worksheet's own case:

    >>> found = carbon_equivalent_csa(
    ...     C=0.25, Mn=1.28, Si=0.29, Cu=0.109, Ni=0.06, Cr=0.05, Mo=0.034, V=0.004, B=0.0009,
    ...     compliance_factor=1.0,
    ... )
    >>> round(found.value, 10)
    0.5077833333
    """
    composition = {"C": C, "Si": Si, "Mn": Mn, "Cu": Cu, "Ni": Ni, "Cr": Cr, "Mo": Mo}
    composition |= {"Nb": Nb, "V": V, "B": B}
    caveats = outside("compliance factor", compliance_factor, 0.53, 1.0)
    return _scaled(composition, compliance_factor, "f", caveats)


@formula(
    name="carbon-equivalent-wes",
    title="Carbon equivalent Ceq of Japanese standards (JIS/WES)",
    equation="Ceq = C + Mn/6 + Si/24 + Ni/40 + Cr/5 + Mo/4 + V/14",
    symbols=element_symbols("C", "Mn", "Si", "Ni", "Cr", "Mo", "V"),
    result=Symbol("Ceq", "%", "carbon equivalent Ceq"),
    sources=(Source("general-practice", "JIS/WES equivalent", "memory", "standard not seen"),),
    valid="carbon and low-alloy structural steel; no range of composition was seen",
)
def carbon_equivalent_wes(
    *,
    C: float,
    Mn: float = 0.0,
    Si: float = 0.0,
    Ni: float = 0.0,
    Cr: float = 0.0,
    Mo: float = 0.0,
    V: float = 0.0,
) -> Outcome:
    """Return Ceq of Japanese standards, ``C + Mn/6 + Si/24 + Ni/40 + Cr/5 + Mo/4 + V/14``.

    Parameters
    ----------
    C, Mn, Si, Ni, Cr, Mo, V
        Content of each element, mass percent; 0 when not given.

    Returns
    -------
    Result
        Ceq, mass percent; its parts are the terms.

    Raises
    ------
    InputError
        If a content is negative or above 100 %, or they add up to more than 100 %.

    Notes
    -----
    No range of composition was seen, so none is checked.
    Source: recalled; no page that prints it was seen.

    Examples
    --------
    >>> round(carbon_equivalent_wes(C=0.15, Mn=1.2, Si=0.24).value, 3)
    0.36
    """
    composition = {"C": C, "Mn": Mn, "Si": Si, "Ni": Ni, "Cr": Cr, "Mo": Mo, "V": V}
    return equivalent(composition, _WES)
