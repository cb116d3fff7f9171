"""Hardness of the heat-affected zone of steel by three published models, side by side.

All three are recalled and not seen in print. A comparison on over 300 welds found none of
twelve such methods good everywhere, and 28 HV standard deviation for the best combination of
them (twi-haz-2008): never show one without the others or without that spread.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.carbon import carbon_equivalent
from weldref.formulas.composition import (
    by_letter,
    element_symbols,
    taken_by,
    weighted,
)
from weldref.formulas.formula import REGISTRY, Outcome, Result, Source, Symbol, formula, outside

SPREAD = 28.0
"""Standard deviation, HV, of the best combination of twelve methods (twi-haz-2008, read)."""

_TIME = Symbol("t8/5", "s", "cooling time from 800 to 500 degC", above=0.0)
_Time = Annotated[float, _TIME]
_HARDNESS = Symbol("HV", "HV", "Vickers hardness of the heat-affected zone")
_COMPARISON = Source("twi-haz-2008", "Synopsis", "read", "28 HV standard deviation at best")
_TRANSFORMABLE = "carbon and low-alloy steel that transforms; no range is recalled"


def _outcome(value: float, parts: Mapping[str, float], caveats: tuple[str, ...] = ()) -> Outcome:
    spread = f"show with a spread of at least {SPREAD:g} HV, and beside the other models"
    shown = {"lowest": value - SPREAD, "highest": value + SPREAD, **parts}
    return Outcome(value, (spread, *caveats), shown)


def _terms(steel: Mapping[str, float], divisors: Mapping[str, float]) -> float:
    return math.fsum(weighted(steel, divisors).values())


@formula(
    equation="HV = (HM + HB)/2 - (HM - HB)/2.2 atan(x), x = 4 ln(t/tM)/ln(tB/tM) - 2",
    contents=element_symbols("C", "Si", "Mn", "Cu", "Ni", "Cr", "Mo", "V", "Nb", "B"),
    result=_HARDNESS,
    sources=(Source("yurioka-1987", "equations", "memory"), _COMPARISON),
    valid=_TRANSFORMABLE + "; boron not included",
    parts={"martensite_time": "s", "bainite_time": "s"},
)
def haz_hardness_yurioka_1987(*, cooling_time: _Time, **contents: float) -> Outcome:
    """Hardness of the heat-affected zone, Yurioka 1987.

    An arc-tangent of log time between the hardness of martensite and that of bainite:
    ``HM = 884 C (1 - 0.3 C^2) + 294``, ``HB = 145 + 130 tanh(2.65 CE2 - 0.69)``,
    ``tM = exp(10.6 CE1 - 4.8)``, ``tB = exp(6.2 CE3 + 0.74)``;
    ``CE1 = Cp + Si/24 + Mn/6 + Cu/15 + Ni/12 + Cr (1 - 0.16 sqrt(Cr))/8 + Mo/4``,
    ``CE2 = C + Si/24 + Mn/5 + Cu/10 + Ni/18 + Cr/5 + Mo/2.5 + V/5 + Nb/3``,
    ``CE3 = Cp + Mn/3.6 + Cu/20 + Ni/9 + Cr/5 + Mo/4``; Cp is C up to 0.3 %, else C/6 + 0.25.

    The term for boron in CE1 is not recalled: with boron there is a caveat, and the steel is harder
    than computed. The value less and plus 28 HV, HM, HB, tM and tB are the parts. Refused if tB
    does not come after tM for the composition.

    Examples
    --------
    >>> found = haz_hardness_yurioka_1987(
    ...     cooling_time=6.0, carbon=0.15, silicon=0.3, manganese=1.4
    ... )
    >>> round(found.value), found.grade
    (310, 'memory')
    """
    steel = by_letter(contents)
    carbon, chromium = steel["C"], steel["Cr"]
    carbon_p = carbon if carbon <= 0.3 else carbon / 6.0 + 0.25
    ce_1 = carbon_p + _terms(steel, {"Si": 24, "Mn": 6, "Cu": 15, "Ni": 12, "Mo": 4})
    ce_1 += chromium * (1.0 - 0.16 * math.sqrt(chromium)) / 8
    divisors = {"C": 1, "Si": 24, "Mn": 5, "Cu": 10, "Ni": 18, "Cr": 5, "Mo": 2.5, "V": 5, "Nb": 3}
    ce_2 = _terms(steel, divisors)
    ce_3 = carbon_p + _terms(steel, {"Mn": 3.6, "Cu": 20, "Ni": 9, "Cr": 5, "Mo": 4})
    log_martensite, log_bainite = 10.6 * ce_1 - 4.8, 6.2 * ce_3 + 0.74
    if log_bainite <= log_martensite:
        raise InputError("the model puts bainite before martensite for this composition")
    martensite = 884.0 * carbon * (1.0 - 0.3 * carbon**2) + 294.0
    bainite = 145.0 + 130.0 * math.tanh(2.65 * ce_2 - 0.69)
    place = (math.log(cooling_time) - log_martensite) / (log_bainite - log_martensite)
    value = (martensite + bainite) / 2.0
    value -= (martensite - bainite) / 2.2 * math.atan(4.0 * place - 2.0)
    parts = {
        "martensite_hardness": martensite,
        "bainite_hardness": bainite,
        "martensite_time": math.exp(log_martensite),
        "bainite_time": math.exp(log_bainite),
    }
    without_boron = ("the boron term is not included: the steel is harder than computed",)
    return _outcome(value, parts, without_boron if steel["B"] > 0.0 else ())


@formula(
    equation="HV = 2019 [(1 - 0.5 log t) C + 0.3 (CEB - C)] + 66 (1 - 0.8 log t), "
    "within 350 CEB + 101 and 802 C + 305",
    contents=element_symbols("C", "Si", "Mn", "Cu", "Cr", "Ni", "Mo", "V"),
    result=_HARDNESS,
    sources=(Source("duren-1986", "equations, uncertain", "memory"), _COMPARISON),
    valid=_TRANSFORMABLE,
)
def haz_hardness_duren(*, cooling_time: _Time, **contents: float) -> Outcome:
    """Hardness of the heat-affected zone, Dueren.

    The hardness of a mixed structure; log is to base 10;
    ``CEB = C + Si/11 + Mn/8 + Cu/9 + Cr/5 + Ni/17 + Mo/6 + V/3``. When the mixed form applies is
    not recalled. Here it is cut at the martensite hardness ``802 C + 305`` and the bainite hardness
    ``350 CEB + 101``, with a caveat where that happens: compare the parts, which are the value less
    and plus 28 HV and the three hardnesses.

    Examples
    --------
    >>> found = haz_hardness_duren(cooling_time=6.0, carbon=0.15, silicon=0.3, manganese=1.4)
    >>> round(found.value)
    332
    """
    steel = by_letter(contents)
    carbon = steel["C"]
    alloy = _terms(steel, {"Si": 11, "Mn": 8, "Cu": 9, "Cr": 5, "Ni": 17, "Mo": 6, "V": 3})
    log_time = math.log10(cooling_time)
    martensite, bainite = 802.0 * carbon + 305.0, 350.0 * (carbon + alloy) + 101.0
    mixed = 2019.0 * ((1.0 - 0.5 * log_time) * carbon + 0.3 * alloy) + 66.0 * (1.0 - 0.8 * log_time)
    value = min(martensite, max(bainite, mixed))
    parts = {
        "martensite_hardness": martensite,
        "bainite_hardness": bainite,
        "mixed_hardness": mixed,
    }
    cut = (f"the mixed form gives {mixed:.0f} HV and was cut at the end it passed",)
    return _outcome(value, parts, cut if value != mixed else ())


@formula(
    equation="HV = Hinf + K / (1 + exp(a (log t - Y5)))",
    result=_HARDNESS,
    sources=(
        Source("bl70-suzuki", "coefficients, uncertain", "memory", "form read in the abstract"),
        _COMPARISON,
    ),
    valid="carbon 0.017 to 0.33 % (read); not low-carbon, low-manganese TMCP steel",
)
def haz_hardness_bl70s(
    *,
    cooling_time: _Time,
    carbon: Annotated[float, Symbol("C", "%", "carbon content", at_least=0.0, at_most=100.0)],
    pcm: Annotated[
        float, Symbol("Pcm", "%", "cracking parameter Pcm", at_least=0.0, at_most=100.0)
    ],
) -> Outcome:
    """Hardness of the heat-affected zone, BL70S.

    The simplified logistic curve over log time; log is to base 10; ``K = 237 + 1633 C - 1157 Pcm``,
    ``Hinf = 884 C + 287 - K``, ``a K = 566 + 5532 C - 2880 Pcm``,
    ``Y5 = -0.03 - 6.00 C + 7.77 Pcm``.

    Fitted on seventy steels (abstract, read); carbon outside their range has a caveat. Low-carbon,
    low-manganese TMCP steel needs another variant. The value less and plus 28 HV and the two ends
    are the parts. Refused if K or a is not positive for the composition.

    Examples
    --------
    >>> found = haz_hardness_bl70s(cooling_time=6.0, carbon=0.15, pcm=0.23)
    >>> round(found.value)
    326
    """
    step = 237.0 + 1633.0 * carbon - 1157.0 * pcm
    slope_times_step = 566.0 + 5532.0 * carbon - 2880.0 * pcm
    if step <= 0.0 or slope_times_step <= 0.0:
        raise InputError("pcm: too high for the carbon, the curve of the model turns over")
    soft = 884.0 * carbon + 287.0 - step
    middle = -0.03 - 6.0 * carbon + 7.77 * pcm
    from_middle = slope_times_step / step * (math.log10(cooling_time) - middle)
    # The logistic curve written with tanh, which cannot overflow.
    value = soft + step * (1.0 - math.tanh(from_middle / 2.0)) / 2.0
    parts = {"hardness_cooled_fast": soft + step, "hardness_cooled_slowly": soft}
    return _outcome(value, parts, outside("carbon", carbon, 0.017, 0.33, "%"))


def haz_hardness_models(
    cooling_time: float, composition: Mapping[str, float]
) -> dict[str, Result | str]:
    """Return the hardness by every model, side by side.

    Parameters
    ----------
    cooling_time
        t8/5, s.
    composition
        Mass percent by chemical symbol; a model ignores the elements that it does not use.

    Returns
    -------
    dict
        By the name of the formula: its `Result`, or the reason why the model has none.

    Raises
    ------
    InputError
        If the composition or the time is impossible, or has no carbon.

    Examples
    --------
    >>> models = haz_hardness_models(6.0, {"C": 0.15, "Si": 0.3, "Mn": 1.4, "P": 0.01})
    >>> [round(model.value) for model in models.values()]
    [310, 332, 326]
    """
    pcm = carbon_equivalent("carbon-equivalent-pcm", composition).value
    _TIME.check("cooling_time", cooling_time)
    known = {**composition, _TIME.letter: cooling_time, "Pcm": pcm}
    found: dict[str, Result | str] = {}
    for name in ("haz-hardness-yurioka-1987", "haz-hardness-duren", "haz-hardness-bl70s"):
        model = REGISTRY[name]
        try:
            found[name] = model.function(**taken_by(model.symbols, known))
        except InputError as refusal:
            found[name] = str(refusal)
    return found
