"""How much weld metal and how much filler a weld takes.

Masses are called weights here as the trade does; the numbers are kilograms.
"""

from __future__ import annotations

import math
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula

_Area = Annotated[float, Symbol("A", "m2", "cross-section area of the weld", above=0.0)]
_Density = Annotated[float, Symbol("rho", "kg/m3", "density of the weld metal", above=0.0)]
_Allowance = Annotated[float, Symbol("k", "", "factor on the drawn weight", at_least=1.0)]
_DEPOSIT = Symbol("DW", "kg", "weight of deposited metal", above=0.0)
_Deposit = Annotated[float, _DEPOSIT]
_Efficiency = Annotated[float, Symbol("DE", "", "deposit per filler used", above=0.0, at_most=1.0)]
_BOOKLET = Source("weld-econ-booklet", "Formulas", "read")
_PAYMENT = Source(
    "iowa-dot-im569",
    "weight of welds table",
    "read",
    "states 490 lb/ft3 and the factor 1.5; the algebra was found from the table",
)


@formula(
    equation="m' = k rho A",
    result=Symbol("m'", "kg/m", "weight per length"),
    sources=(_BOOKLET, _PAYMENT),
    valid="a weld of one cross-section",
    parts={"volume per length": "m2"},
)
def weld_weight_per_length(area: _Area, density: _Density, allowance: _Allowance = 1.0) -> Outcome:
    """Weight of weld metal per length of weld.

    iowa-dot-im569 (read) has steel at 490 lb/ft3 (7849 kg/m3) or 7850 kg/m3. Its table of weights
    uses an allowance of 1.5 for fillets; 1 is the weld as drawn. The volume per length is among the
    parts.

    Examples
    --------
    A 1/4 in fillet weighs 0.16 lb/ft in the Iowa table (iowa-dot-im569):

    >>> pound_per_foot = 0.45359237 / 0.3048
    >>> leg = 0.25 * 0.0254
    >>> weight = weld_weight_per_length(leg**2 / 2, density=7849.0, allowance=1.5)
    >>> round(weight.value / pound_per_foot, 2)
    0.16
    """
    return Outcome(allowance * density * area, parts={"volume per length": area})


@formula(
    equation="DW = k rho A L",
    result=_DEPOSIT,
    sources=(_BOOKLET,),
    valid="a weld of one cross-section",
    parts={"volume": "m3"},
)
def weld_weight(
    area: _Area,
    length: Annotated[float, Symbol("L", "m", "length of the weld", above=0.0)],
    density: _Density,
    allowance: _Allowance = 1.0,
) -> Outcome:
    """Weight of weld metal in a weld.

    The volume, allowance included, is among the parts.

    Examples
    --------
    >>> round(weld_weight(18e-6, length=10.0, density=7850.0).value, 3)  # 6 mm fillet, 10 m
    1.413
    """
    volume = allowance * area * length
    return Outcome(density * volume, parts={"volume": volume})


@formula(
    equation="n = A / A1, rounded up",
    result=Symbol("n", "", "number of passes"),
    sources=(Source("weld-general-memory", "area over area per pass", "memory"),),
    valid="every pass of the same area",
)
def passes(
    area: _Area,
    area_per_pass: Annotated[float, Symbol("A1", "m2", "area laid in one pass", above=0.0)],
) -> Outcome:
    """Number of passes that fill a weld.

    An estimate: root and cap passes differ from fill passes. A quotient within 1e-9 of a whole
    number counts as that number. The quotient before rounding is among the parts.

    Examples
    --------
    >>> passes(94e-6, area_per_pass=25e-6).value
    4.0
    """
    quotient = area / area_per_pass
    return Outcome(
        float(max(1, math.ceil(quotient * (1.0 - 1e-9)))), parts={"before rounding": quotient}
    )


@formula(
    equation="FM = DW / DE",
    result=Symbol("FM", "kg", "weight of filler metal"),
    sources=(_BOOKLET,),
    valid="an efficiency that counts every loss of the filler, stubs included",
)
def filler_needed(deposit: _Deposit, efficiency: _Efficiency) -> Outcome:
    """Filler metal needed for a deposit.

    Deposition efficiencies read in gmaw-ch9-textbook 9.1: solid-wire GMAW 0.92 to 0.98, FCAW 0.82
    to 0.92, SMAW 0.60 to 0.70. The loss is among the parts.

    Examples
    --------
    100 lb of flux-cored wire at 82 % leave 82 lb of deposit (gmaw-ch9-textbook 9.1):

    >>> round(filler_needed(82.0, efficiency=0.82).value, 9)
    100.0
    """
    needed = deposit / efficiency
    return Outcome(needed, parts={"loss": needed - deposit})


@formula(
    equation="W = DW / DE', DE' = DE (Le - s) / Le",
    result=Symbol("W", "kg", "weight of electrodes"),
    sources=(
        Source("weld-general-memory", "SMAW stub correction", "memory"),
        Source("general-practice", "stub-corrected efficiency; weight needed", "memory"),
    ),
    valid="an efficiency that leaves the stub out; many tables already include a 2 in stub",
    parts={"efficiency with stub loss": ""},
)
def electrode_needed(
    deposit: _Deposit,
    efficiency: Annotated[
        float,
        Symbol("DE", "", "deposit per electrode melted, stub not counted", above=0.0, at_most=1.0),
    ],
    electrode_length: Annotated[float, Symbol("Le", "m", "length of the electrode", above=0.0)],
    stub_length: Annotated[float, Symbol("s", "m", "length thrown away", at_least=0.0)],
) -> Outcome:
    """Covered electrodes needed for a deposit, with stub loss.

    With an efficiency that already includes the stub, give a stub of 0 or use `filler_needed`.
    MIL-E-22200G (read) burns electrodes to a stub of 2 in or less in a test. The efficiency with
    stub loss is among the parts.

    Examples
    --------
    75 % with a 2 in stub of a 14 in electrode is 0.642857 (general-practice, memory):

    >>> needed = electrode_needed(1.0, 0.75, electrode_length=14.0, stub_length=2.0)
    >>> round(needed.parts["efficiency with stub loss"], 6)
    0.642857
    """
    if stub_length >= electrode_length:
        raise InputError("stub_length: a stub is shorter than its electrode")
    with_stub = efficiency * (electrode_length - stub_length) / electrode_length
    return Outcome(deposit / with_stub, parts={"efficiency with stub loss": with_stub})
