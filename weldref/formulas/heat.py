"""Arc energy and heat input: what a run puts into each length of weld.

Arc energy is the energy of the arc; heat input is the share of it that enters the work, arc energy
times a thermal efficiency. Sources call either of them "heat input": which code means which is in
`weldref.formulas.heat_rules`.
"""

from __future__ import annotations

from typing import Annotated

from weldref.formulas.formula import Outcome, Source, Symbol, formula
from weldref.formulas.thermal_efficiency import (
    EFFICIENCIES,
    PROCESSES,
    efficiency_from,
    thermal_efficiencies,
)

Voltage = Annotated[
    float, Symbol("U", "V", "arc voltage, measured as near the arc as possible", above=0.0)
]
Current = Annotated[float, Symbol("I", "A", "welding current", above=0.0)]
TravelSpeed = Annotated[
    float, Symbol("v", "m/s", "travel speed of the arc along the joint", above=0.0)
]
Energy = Annotated[
    float, Symbol("E", "J", "energy of the run, summed over instantaneous values", above=0.0)
]
Power = Annotated[float, Symbol("P", "W", "mean of the instantaneous power", above=0.0)]
ArcTime = Annotated[float, Symbol("t", "s", "arc time", above=0.0)]
BeadLength = Annotated[float, Symbol("L", "m", "length of the bead", above=0.0)]
_ARC_ENERGY = Symbol("AE", "J/m", "arc energy per length, no thermal efficiency")
_STEADY = "steady arcs; not waveform-controlled welding, where averages of U and I mislead"


@formula(
    equation="AE = U I / v",
    result=_ARC_ENERGY,
    sources=(Source("twi-faq-heat-input", "text, definition of arc energy", "read"),),
    valid=_STEADY,
)
def arc_energy(voltage: Voltage, current: Current, travel_speed: TravelSpeed) -> Outcome:
    """Arc energy from voltage, current and travel speed.

    The energy of the arc for each length of weld. It includes no thermal efficiency: ASME IX and
    NAVSEA 248 call this value heat input. With pulsed or other waveform-controlled current the
    product of average readings is not the average power (wj-2010-heat-input, read); the function
    cannot detect that, so use `arc_energy_from_energy` or `arc_energy_from_power` there.
    navsea-248-r1, 4-4.1.13.2 (a), prints the same equation.

    Examples
    --------
    20 V and 300 A at 2.5 mm/s are 2.4 kJ/mm (expertsmind-arc-heat):

    >>> arc_energy(voltage=20.0, current=300.0, travel_speed=0.0025).value
    2400000.0
    """
    return Outcome(voltage * current / travel_speed)


@formula(
    equation="AE = E / L",
    result=_ARC_ENERGY,
    sources=(Source("navsea-248-r1", "4-4.1.13.2 (b1)", "read"),),
    valid="any arc, waveform-controlled or not, when the meter sums instantaneous values",
)
def arc_energy_from_energy(energy: Energy, bead_length: BeadLength) -> Outcome:
    """Arc energy from the measured energy of a run.

    NAVSEA 248 (b) and ASME IX QW-409.1 (c) require it, or a measured power, for waveform-controlled
    welding. A value computed from average readings is not an energy reading.

    Examples
    --------
    >>> arc_energy_from_energy(energy=60_000.0, bead_length=0.05).value
    1200000.0
    """
    return Outcome(energy / bead_length)


@formula(
    equation="AE = P t / L",
    result=_ARC_ENERGY,
    sources=(Source("navsea-248-r1", "4-4.1.13.2 (b2)", "read"),),
    valid="any arc, waveform-controlled or not, when the meter averages instantaneous power",
)
def arc_energy_from_power(power: Power, arc_time: ArcTime, bead_length: BeadLength) -> Outcome:
    """Arc energy from the measured power of a run.

    Average volts times average amperes is not this power; see `arc_energy_from_energy`.

    Examples
    --------
    >>> arc_energy_from_power(power=6_000.0, arc_time=10.0, bead_length=0.05).value
    1200000.0
    """
    return Outcome(power * arc_time / bead_length)


@formula(
    equation="Q = k U I / v",
    result=Symbol("Q", "J/m", "heat input per length, with thermal efficiency"),
    sources=(Source("twi-faq-heat-input", "text, definition of heat input", "read"),),
    valid=_STEADY,
    parts={"efficiency": ""},
)
def heat_input(
    voltage: Voltage,
    current: Current,
    travel_speed: TravelSpeed,
    process: Annotated[
        str, Symbol("", "", "process, AWS letters or ISO 4063 number", choices=tuple(PROCESSES))
    ],
    efficiency_source: Annotated[
        str, Symbol("", "", "whose thermal efficiency k to use", choices=tuple(EFFICIENCIES))
    ] = "twi-faq-heat-input",
) -> Outcome:
    """Heat input with the thermal efficiency of the process.

    The heat input of European practice: arc energy times the thermal efficiency k of the process.
    It is what EN 1011-2 uses for preheat and cooling time. k of "twi-arc-energy-slides-2006" is
    that of EN 1011-1, with the same values as "twi-faq-heat-input"; k of "dupont-marder-1995" was
    measured.

    The result names the source of k too. The parts are the arc energy, k, and the heat input by
    every other source of k. Refused if the source gives no k for the process.

    Examples
    --------
    The highest corner of a flux-cored root run printed as 3.0 kJ/mm (pwps-488823046), 28 V and
    180 A at 80 mm/min:

    >>> found = heat_input(28.0, 180.0, 0.08 / 60, "136")
    >>> round(found.value / 1e6, 2), found.parts["efficiency"]
    (3.02, 0.8)
    """
    published = thermal_efficiencies(process)
    chosen = efficiency_from(efficiency_source, process)
    energy = voltage * current / travel_speed
    others = {
        f"heat_input ({source})": other.value * energy
        for source, other in published.items()
        if source != efficiency_source
    }
    return Outcome(
        chosen.value * energy,
        parts={"arc_energy": energy, "efficiency": chosen.value, **others},
        sources=(chosen.source,),
    )


@formula(
    equation="Hnet = eta U I / v",
    result=Symbol("Hnet", "J/m", "net heat input per length"),
    sources=(Source("iitkgp-heat-flow", "theory, net heat input", "read"),),
    valid=_STEADY,
)
def net_heat_input(
    voltage: Voltage,
    current: Current,
    travel_speed: TravelSpeed,
    efficiency: Annotated[float, Symbol("eta", "", "thermal efficiency", above=0.0, at_most=1.0)],
) -> Outcome:
    """Heat input with a thermal efficiency given as a number.

    For an efficiency that was measured; for the k of a process use `heat_input`.

    Examples
    --------
    20 V, 200 A, 5 mm/s and 0.9 are 720 J/mm (welding-handbook-v1, recalled):

    >>> net_heat_input(voltage=20.0, current=200.0, travel_speed=0.005, efficiency=0.9).value
    720000.0
    """
    return Outcome(efficiency * voltage * current / travel_speed)
