"""How much weld metal and how much filler a weld takes.

Masses are called weights here as the trade does; the numbers are kilograms.
"""

from __future__ import annotations

import math

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula

_AREA = Symbol("A", "m2", "cross-section area of the weld", above=0.0)
_DENSITY = Symbol("rho", "kg/m3", "density of the weld metal", above=0.0)
_ALLOWANCE = Symbol("k", "", "factor on the drawn weight", at_least=1.0)
_DEPOSIT = Symbol("DW", "kg", "weight of deposited metal", above=0.0)
_EFFICIENCY = Symbol("DE", "", "deposit per filler used", above=0.0, at_most=1.0)
_BOOKLET = Source("weld-econ-booklet", "Formulas", "read")
_PAYMENT = Source(
    "iowa-dot-im569",
    "weight of welds table",
    "read",
    "states 490 lb/ft3 and the factor 1.5; the algebra was found from the table",
)


@formula(
    name="weld-weight-per-length",
    title="Weight of weld metal per length of weld",
    equation="m' = k rho A",
    symbols={"area": _AREA, "density": _DENSITY, "allowance": _ALLOWANCE},
    result=Symbol("m'", "kg/m", "weight per length"),
    sources=(_BOOKLET, _PAYMENT),
    valid="a weld of one cross-section",
)
def weld_weight_per_length(area: float, density: float, allowance: float = 1.0) -> Outcome:
    """Return the weight of weld metal per length.

    Notes
    -----
    The volume per length is among its parts.
    `density`: Density rho, kg/m3. Read in iowa-dot-im569: steel 490 lb/ft3 (7849 kg/m3) or 7850
    kg/m3.
    `allowance`: Factor k on the drawn weight: 1 for the drawn weld; the Iowa table of weights uses
    1.5 for fillets.

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
    name="weld-weight",
    title="Weight of weld metal in a weld",
    equation="DW = k rho A L",
    symbols={
        "area": _AREA,
        "length": Symbol("L", "m", "length of the weld", above=0.0),
        "density": _DENSITY,
        "allowance": _ALLOWANCE,
    },
    result=_DEPOSIT,
    sources=(_BOOKLET,),
    valid="a weld of one cross-section",
)
def weld_weight(area: float, length: float, density: float, allowance: float = 1.0) -> Outcome:
    """Return the weight of weld metal in a weld: ``DW = k rho V``, ``V = A L``.

    Notes
    -----
    The volume is among its parts.

    Examples
    --------
    >>> round(weld_weight(18e-6, length=10.0, density=7850.0).value, 3)  # 6 mm fillet, 10 m
    1.413
    """
    volume = allowance * area * length
    return Outcome(density * volume, parts={"volume": volume})


@formula(
    name="passes",
    title="Number of passes that fill a weld",
    equation="n = A / A1, rounded up",
    symbols={
        "area": _AREA,
        "area_per_pass": Symbol("A1", "m2", "area laid in one pass", above=0.0),
    },
    result=Symbol("n", "", "number of passes"),
    sources=(Source("weld-general-memory", "area over area per pass", "memory"),),
    valid="every pass of the same area",
)
def passes(area: float, area_per_pass: float) -> Outcome:
    """Return how many equal passes fill a cross-section: ``n = A / A1``, rounded up.

    Notes
    -----
    An estimate: root and cap passes differ from fill passes. A quotient within 1e-9 of a whole
    number counts as that number. The quotient before rounding is among its parts.

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
    name="filler-needed",
    title="Filler metal needed for a deposit",
    equation="FM = DW / DE",
    symbols={"deposit": _DEPOSIT, "efficiency": _EFFICIENCY},
    result=Symbol("FM", "kg", "weight of filler metal"),
    sources=(_BOOKLET,),
    valid="an efficiency that counts every loss of the filler, stubs included",
)
def filler_needed(deposit: float, efficiency: float) -> Outcome:
    """Return the filler metal to buy for a deposit.

    Notes
    -----
    The loss is among its parts.
    `efficiency`: Deposition efficiency DE as a fraction. Read in gmaw-ch9-textbook 9.1: solid-wire
    GMAW 0.92 to 0.98, FCAW 0.82 to 0.92, SMAW 0.60 to 0.70.

    Examples
    --------
    100 lb of flux-cored wire at 82 % leave 82 lb of deposit (gmaw-ch9-textbook 9.1):

    >>> round(filler_needed(82.0, efficiency=0.82).value, 9)
    100.0
    """
    needed = deposit / efficiency
    return Outcome(needed, parts={"loss": needed - deposit})


@formula(
    name="electrode-needed",
    title="Covered electrodes needed for a deposit, with stub loss",
    equation="W = DW / DE', DE' = DE (Le - s) / Le",
    symbols={
        "deposit": _DEPOSIT,
        "efficiency": Symbol(
            "DE", "", "deposit per electrode melted, stub not counted", above=0.0, at_most=1.0
        ),
        "electrode_length": Symbol("Le", "m", "length of the electrode", above=0.0),
        "stub_length": Symbol("s", "m", "length thrown away", at_least=0.0),
    },
    result=Symbol("W", "kg", "weight of electrodes"),
    sources=(
        Source("weld-general-memory", "SMAW stub correction", "memory"),
        Source("general-practice", "stub-corrected efficiency; weight needed", "memory"),
    ),
    valid="an efficiency that leaves the stub out; many tables already include a 2 in stub",
)
def electrode_needed(
    deposit: float, efficiency: float, electrode_length: float, stub_length: float
) -> Outcome:
    """Return the weight of covered electrodes to buy for a deposit.

    Notes
    -----
    With an efficiency that already includes the stub, give a stub of 0 or use `filler_needed`. The
    efficiency with stub loss is among its parts.
    `electrode_length`, `stub_length`: Length of an electrode Le and of the stub s, m. MIL-E-22200G
    (read) burns electrodes to a stub of 2 in or less in a test.

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
