"""Give invented values, shown faintly in an empty field as a pattern to follow.

They are ours and no advice: a value of a class that builds handrails and a ramp.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

BY_NAME: Mapping[str, str] = {
    # arc and heat
    "voltage": "25 V",
    "current": "150 A",
    "travel_speed": "10 in/min",
    "energy": "17 kJ",
    "power": "3.6 kW",
    "arc_time": "60 s",
    "bead_length": "10 in",
    "heat_input": "1.2 kJ/mm",
    "net_heat_input": "1.0 kJ/mm",
    "waveform": "not-controlled",
    "rule": "asme-ix",
    "form": "volts-amperes",
    # the work
    "thickness": "1/4 in",
    "leg": "1/4 in",
    "second_leg": "5/16 in",
    "length": "10 in",
    "area": "0.05 in2",
    "area_per_pass": "0.02 in2",
    "included_angle": "60 deg",
    "bevel_angle": "45 deg",
    "root_face": "1/16 in",
    "root_opening": "1/8 in",
    "root_radius": "1/4 in",
    "reinforcement": "1/16 in",
    "backing_gap": "1/32 in",
    "cap_width": "3/8 in",
    "first_depth": "1/16 in",
    "convexity": "1/32 in",
    "concavity": "1/32 in",
    "width": "3/8 in",
    "height": "1/16 in",
    "extension": "3/8 in",
    "electrode_strength": "70 ksi",
    "angle": "30 deg",
    "longitudinal": "100 kN",
    "transverse": "60 kN",
    # composition
    "carbon": "0.15 %",
    "silicon": "0.3 %",
    "manganese": "1.2 %",
    "phosphorus": "0.02 %",
    "sulfur": "0.02 %",
    "chromium": "0.1 %",
    "nickel": "0.1 %",
    "molybdenum": "0.05 %",
    "copper": "0.2 %",
    "vanadium": "0.01 %",
    "niobium": "0.01 %",
    "nitrogen": "0.05 %",
    "boron": "0.0005 %",
    "titanium": "0.01 %",
    "aluminium": "0.02 %",
    "pcm": "0.25 %",
    "cet": "0.3 %",
    "parent_cet": "0.33 %",
    "weld_cet": "0.28 %",
    "base_1": "0.1 %",
    "base_2": "18.5 %",
    "filler": "23.5 %",
    "dilution_1": "0.15",
    "dilution_2": "0.15",
    "dilution": "30 %",
    "ratio": "1.6",
    "compliance_factor": "0.9",
    # temperatures and heat flow
    "temperature": "500 degC",
    "upper_temperature": "800 degC",
    "lower_temperature": "500 degC",
    "initial_temperature": "20 degC",
    "ambient_temperature": "20 degC",
    "melting_temperature": "1500 degC",
    "conductivity": "30 W/(m K)",
    "heat_capacity": "4.5e6 J/(m^3 K)",
    "latent_heat": "2e9 J/m^3",
    "cooling_time": "10 s",
    "cooling_rate": "20 K/s",
    "peak_radius": "1/2 in",
    "distance": "3 mm",
    "ahead": "-5 mm",
    "aside": "3 mm",
    "depth": "0 mm",
    "shape_factor_thick": "0.9",
    "shape_factor_thin": "0.9",
    "hydrogen": "8 mL/100 g",
    # wire, deposit and cost
    "wire_feed_speed": "300 in/min",
    "wire_diameter": "0.035 in",
    "density": "7850 kg/m3",
    "efficiency": "0.9",
    "weight": "15 kg",
    "deposit": "2 kg",
    "deposition_rate": "3 kg/h",
    "allowance": "1.1",
    "operating_factor": "0.3",
    "labor_rate": "40 $/h",
    "filler_price": "5 $/kg",
    "gas_price": "8 $/m3",
    "gas_flow": "35 ft3/h",
    "flow_time": "10 s",
    "electrode_length": "14 in",
    "stub_length": "2 in",
    "electrode_diameter": "1/8 in",
    "core_diameter": "1/8 in",
    "window_low": "110 A",
    "window_high": "160 A",
    "cup_number": "8",
    "time": "30 s",
    # gas
    "gas": "argon",
    "contents": "300 ft3",
    "flow": "35 ft3/h",
    "flow_read": "35 ft3/h",
    "pressure": "1 atm",
    "pressure_full": "2200 psi",
    "pressure_now": "1200 psi",
    "pressure_left": "50 psi",
    "gauge_pressure": "30 psi",
    "atmosphere": "1 atm",
    "molar_mass": "40 g/mol",
    "scale_density": "1.66 kg/m3",
    "gas_density": "0.166 kg/m3",
    "initial": "21 %",
    "wanted": "0.1 %",
    "volume": "10 L",
    "concentration_1": "3 mg/m3",
    "concentration_2": "5 mg/m3",
    "concentration_3": "1 mg/m3",
    "concentration_4": "0 mg/m3",
    "time_1": "2 h",
    "time_2": "3 h",
    "time_3": "2 h",
    "time_4": "1 h",
    # look-ups
    "plate": "1 in",
    "electrode": "1/8 in",
    "material": "A36",
    "gauge": "10",
    "system": "US standard gauge",
    "equivalent": "carbon-equivalent-iiw",
    "code": "D1.1",
    "C": "0.2 %",
    "Si": "0.3 %",
    "Mn": "1.2 %",
    "P": "0.02 %",
    "S": "0.02 %",
    "Cr": "0.1 %",
    "Ni": "0.1 %",
    "Mo": "0.05 %",
    "Cu": "0.2 %",
    "V": "0.01 %",
    "Nb": "0.01 %",
    "Ti": "0.01 %",
    "B": "0.0005 %",
}

_STAINLESS = {
    "chromium": "19.5 %",
    "nickel": "9.5 %",
    "carbon": "0.03 %",
    "nitrogen": "0.06 %",
    "manganese": "1.8 %",
    "silicon": "0.4 %",
    "molybdenum": "0.2 %",
    "niobium": "0.02 %",
}
OF_FORMULA: Mapping[str, Mapping[str, str]] = {
    "schaeffler-position": _STAINLESS,
    "delong-position": _STAINLESS,
    "wrc-1992-position": _STAINLESS,
    "hammar-svensson-ratio": _STAINLESS,
    "filter-shade": {"process": "SMAW"},
    "preheat": {"electrode": "E7018", "process": "SMAW"},
    "grade-carbon-equivalent": {"grade": "A36"},
    "gas-density": {"temperature": "20 degC"},
    "gas-volume": {"arc_time": "1 h"},
    "labor-time": {"arc_time": "1 h"},
    "end-loaded-factor": {"length": "40 in"},
    "purge-concentration": {"time": "5 min"},
    "relative-plate-thickness": {"temperature": "550 degC"},
}


def example(formula: str, parameter: str, choices: tuple[str, ...] = ()) -> str:
    """Give a pattern for one field; a word of a list when the field has one.

    >>> example("fillet-area", "leg"), example("wrc-1992-position", "nickel")
    ('1/4 in', '9.5 %')
    """
    found = OF_FORMULA.get(formula, {}).get(parameter) or BY_NAME.get(parameter, "")
    return choices[0] if choices and found not in choices else found


_ONE_WAY = {
    "heat-input-by-rule": ("voltage", "current", "travel_speed"),
    "susceptibility-index": ("hydrogen_level",),
    "filter-shade": ("current",),
    "preheat": ("electrode", "process"),
}
"""What an example needs beside the inputs without a default, where inputs stand for each other."""


def whole_example(
    explained: Mapping[str, Any], choices: Mapping[str, tuple[str, ...]]
) -> dict[str, str]:
    """Give an example of every input that the answer needs, and of every element.

    Parameters
    ----------
    explained
        What `weldref.calculate.by_name.explain` says of the formula.
    choices
        The words that a parameter takes, by parameter.
    """
    name = str(explained["name"])
    one_way = _ONE_WAY.get(name)
    return {
        key: example(name, key, choices.get(key, ()))
        for key, needed, accepted in (
            (p["name"], p["needed"], p["accepted"]) for p in explained["parameters"]
        )
        if needed or (key in one_way if one_way else "100 %" in accepted)
    }
