"""Arc energy and heat input: what a run puts into each length of weld.

Arc energy is what the arc gives off; heat input is the share of it that enters the work,
arc energy times a thermal efficiency. Sources use either under the name "heat input": which
code means which is in `weldref.formulas.heat_rules`.
"""

from __future__ import annotations

from weldref.formulas.formula import Outcome, Source, Symbol, formula
from weldref.formulas.thermal_efficiency import (
    EFFICIENCIES,
    PROCESSES,
    efficiency_from,
    thermal_efficiencies,
)

VOLTAGE = Symbol("U", "V", "arc voltage, measured as near the arc as possible", above=0.0)
CURRENT = Symbol("I", "A", "welding current", above=0.0)
TRAVEL_SPEED = Symbol("v", "m/s", "travel speed of the arc along the joint", above=0.0)
ENERGY = Symbol("E", "J", "energy of the run, summed over instantaneous values", above=0.0)
POWER = Symbol("P", "W", "mean of the instantaneous power", above=0.0)
ARC_TIME = Symbol("t", "s", "arc time", above=0.0)
BEAD_LENGTH = Symbol("L", "m", "length of the bead", above=0.0)


@formula(
    name="arc-energy",
    title="Arc energy from voltage, current and travel speed",
    equation="AE = U I / v",
    symbols={"voltage": VOLTAGE, "current": CURRENT, "travel_speed": TRAVEL_SPEED},
    result=Symbol("AE", "J/m", "arc energy per length, no thermal efficiency"),
    sources=(Source("twi-faq-heat-input", "text, definition of arc energy", "read"),),
    valid="steady arcs; not waveform-controlled welding, where averages of U and I mislead",
)
def arc_energy(voltage: float, current: float, travel_speed: float) -> Outcome:
    """Return the arc energy of a run.

    The energy the arc gives off along each length of weld. No thermal efficiency is in it:
    ASME IX and NAVSEA 248 call this value heat input.

    Notes
    -----
    Valid for a steady arc. With pulsed or other waveform-controlled current the product of average
    readings is not the average power (wj-2010-heat-input, read); the function cannot see that, so
    take `arc_energy_from_energy` or `arc_energy_from_power` there. Source: twi-faq-heat-input,
    read; the same equation stands in navsea-248-r1, 4-4.1.13.2 (a).

    Examples
    --------
    20 V and 300 A at 2.5 mm/s are 2.4 kJ/mm (expertsmind-arc-heat):

    >>> arc_energy(voltage=20.0, current=300.0, travel_speed=0.0025).value
    2400000.0
    """
    return Outcome(voltage * current / travel_speed)


@formula(
    name="arc-energy-from-energy",
    title="Arc energy from the measured energy of a run",
    equation="AE = E / L",
    symbols={"energy": ENERGY, "bead_length": BEAD_LENGTH},
    result=Symbol("AE", "J/m", "arc energy per length, no thermal efficiency"),
    sources=(Source("navsea-248-r1", "4-4.1.13.2 (b1)", "read"),),
    valid="any arc, waveform-controlled or not, when the meter sums instantaneous values",
)
def arc_energy_from_energy(energy: float, bead_length: float) -> Outcome:
    """Return the arc energy from a meter that sums instantaneous energy.

    Notes
    -----
    Valid for every arc; required for waveform-controlled welding by NAVSEA 248 (b) and ASME IX
    QW-409.1 (c). A value computed from average readings is not an energy reading.
    `energy`: Energy E of the run, the sum of instantaneous volts times amperes times time, J.

    Examples
    --------
    >>> arc_energy_from_energy(energy=60_000.0, bead_length=0.05).value
    1200000.0
    """
    return Outcome(energy / bead_length)


@formula(
    name="arc-energy-from-power",
    title="Arc energy from the measured power of a run",
    equation="AE = P t / L",
    symbols={"power": POWER, "arc_time": ARC_TIME, "bead_length": BEAD_LENGTH},
    result=Symbol("AE", "J/m", "arc energy per length, no thermal efficiency"),
    sources=(Source("navsea-248-r1", "4-4.1.13.2 (b2)", "read"),),
    valid="any arc, waveform-controlled or not, when the meter averages instantaneous power",
)
def arc_energy_from_power(power: float, arc_time: float, bead_length: float) -> Outcome:
    """Return the arc energy from a meter of instantaneous power.

    Notes
    -----
    Valid for every arc; see `arc_energy_from_energy`. Average volts times average amperes is not
    this power.

    Examples
    --------
    >>> arc_energy_from_power(power=6_000.0, arc_time=10.0, bead_length=0.05).value
    1200000.0
    """
    return Outcome(power * arc_time / bead_length)


@formula(
    name="heat-input",
    title="Heat input with the thermal efficiency of the process",
    equation="Q = k U I / v",
    symbols={
        "voltage": VOLTAGE,
        "current": CURRENT,
        "travel_speed": TRAVEL_SPEED,
        "process": Symbol(
            "", "", "process, AWS letters or ISO 4063 number", choices=tuple(PROCESSES)
        ),
        "efficiency_source": Symbol(
            "", "", "whose thermal efficiency k to use", choices=tuple(EFFICIENCIES)
        ),
    },
    result=Symbol("Q", "J/m", "heat input per length, with thermal efficiency"),
    sources=(Source("twi-faq-heat-input", "text, definition of heat input", "read"),),
    valid="steady arcs; not waveform-controlled welding, where averages of U and I mislead",
)
def heat_input(
    voltage: float,
    current: float,
    travel_speed: float,
    process: str,
    efficiency_source: str = "twi-faq-heat-input",
) -> Outcome:
    """Return the heat input of a run.

    The heat input of European practice: arc energy times the thermal efficiency k of the
    process. It is what EN 1011-2 puts into preheat and cooling time.

    Notes
    -----
    Valid for a steady arc; see `arc_energy`. Source: twi-faq-heat-input, read, for Q = k AE; the
    result names the source of k too. Its parts show the arc energy, k, and the heat input that
    every other source of k would give. Refused if a number is zero, negative or not finite, the
    process is not known, or the source gives no k for it.
    `efficiency_source`: The source of k, a key of `EFFICIENCIES`: "twi-faq-heat-input" (read),
    "twi-arc-energy-slides-2006" (which quotes EN 1011-1, same values) or "dupont-marder-1995"
    (measured).

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
    name="net-heat-input",
    title="Heat input with a thermal efficiency given as a number",
    equation="Hnet = eta U I / v",
    symbols={
        "voltage": VOLTAGE,
        "current": CURRENT,
        "travel_speed": TRAVEL_SPEED,
        "efficiency": Symbol("eta", "", "thermal efficiency", above=0.0, at_most=1.0),
    },
    result=Symbol("Hnet", "J/m", "net heat input per length"),
    sources=(Source("iitkgp-heat-flow", "theory, net heat input", "read"),),
    valid="steady arcs; not waveform-controlled welding, where averages of U and I mislead",
)
def net_heat_input(
    voltage: float, current: float, travel_speed: float, efficiency: float
) -> Outcome:
    """Return the net heat input, ``Hnet = eta U I / v``, for a measured efficiency.

    Notes
    -----
    Valid for a steady arc; see `arc_energy`. For the k of a process take `heat_input`.

    Examples
    --------
    20 V, 200 A, 5 mm/s and 0.9 are 720 J/mm (welding-handbook-v1, recalled):

    >>> net_heat_input(voltage=20.0, current=200.0, travel_speed=0.005, efficiency=0.9).value
    720000.0
    """
    return Outcome(efficiency * voltage * current / travel_speed)
