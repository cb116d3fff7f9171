"""Tables of what protects people: shades, exposure, ventilation, gas handling."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

import pandas as pd
import pandera.pandas as pa

from weldref.data.schemas.bases import SEEN_BASES, VERDICT_BASES
from weldref.data.schemas.fields import Table, choice, key, number, text, truth
from weldref.data.schemas.reference.base import Reference


class FilterShades(Reference):
    """The filter shade that one rule or guide gives for a process and a band of conditions."""

    process: str = key("AWS letters of the process; several share the row")
    condition: str = text("further condition: light, medium, heavy, base metal")
    edition: str = text("edition the row is from, where copies of several were read")
    electrode_min: float = number("electrode diameter from", unit="in/32", above=0, empty=True)
    electrode_min_inclusive: str = truth("whether that size belongs to the band")
    electrode_max: float = number("electrode diameter to", unit="in/32", above=0, empty=True)
    electrode_max_inclusive: str = truth("whether that size belongs to the band")
    current_min: float = number("arc current from", unit="A", at_least=0, empty=True)
    current_min_inclusive: str = truth("whether that current belongs to the band")
    current_max: float = number("arc current to", unit="A", above=0, empty=True)
    current_max_inclusive: str = truth("whether that current belongs to the band")
    plate_min: float = number("plate thickness from", unit="in", at_least=0, empty=True)
    plate_min_inclusive: str = truth("whether that thickness belongs to the band")
    plate_max: float = number("plate thickness to", unit="in", above=0, empty=True)
    plate_max_inclusive: str = truth("whether that thickness belongs to the band")
    shade_min: float = number("minimum shade", unit="1", at_least=2, at_most=14, empty=True)
    shade_suggested_min: float = number(
        "suggested shade, the lightest named", unit="1", at_least=2, at_most=14, empty=True
    )
    shade_suggested_max: float = number(
        "suggested shade, the darkest named", unit="1", at_least=2, at_most=14, empty=True
    )
    as_printed: str = text("suggested shade as printed where it is not one number")
    regulation: str = text("the regulation, where the table is law")
    basis: str = choice("kind of statement", VERDICT_BASES + SEEN_BASES)

    class Config(Table.Config):
        name = "filter_shades"
        unique = [
            "process",
            "condition",
            "edition",
            "electrode_min",
            "current_min",
            "plate_min",
            "source_id",
            "locator",
        ]

    @pa.dataframe_check(error="a row needs a minimum or a suggested shade")
    @classmethod
    def shade_is_stated(cls, frame: pd.DataFrame) -> pd.Series[bool]:
        """Look for a minimum or a suggested shade in every row."""
        return frame["shade_min"].notna() | frame["shade_suggested_min"].notna()


class ExposureLimits(Reference):
    """The airborne exposure limit one body sets for one agent."""

    agent: str = key("substance and its form")
    body: str = key("who sets the limit")
    limit_name: str = choice(
        "PEL (law), REL (NIOSH) or TLV (ACGIH)", ("PEL", "REL", "TLV"), empty=True
    )
    limit_type: str = choice(
        "what the value limits; empty where the source does not say",
        ("TWA", "ceiling", "STEL", "action level", "objective-data exclusion"),
        empty=True,
    )
    value: float = number("concentration that is the limit", unit_in="unit", above=0)
    unit: str = choice("unit of the limit", ("mg/m3", "ug/m3", "ppm"))
    averaging_time: str = text("time the value is averaged over")

    class Config(Table.Config):
        name = "exposure_limits"
        unique = ["agent", "body", "limit_type", "source_id", "locator"]


class LocalExhaust(Reference):
    """The airflow a local exhaust hood needs at one distance from the arc."""

    distance_min: float = number("distance from arc or torch, from", unit="in", above=0)
    distance_max: float = number("distance from arc or torch, to", unit="in", above=0)
    airflow: float = number("minimum airflow", unit="ft3/min", above=0)
    duct_diameter: float = number("duct diameter", unit="in", above=0)

    class Config(Table.Config):
        name = "local_exhaust"
        unique = ["distance_min", "source_id"]


class SafetyRules(Reference):
    """One numeric safety rule: a quantity, a relation and a value."""

    rule: str = key("what the rule is about")
    quantity: str = key("quantity that is limited")
    relation: str = choice("relation the quantity must or may have", ("<", "<=", "=", ">=", ">"))
    value: float = number("value in the printed unit", unit_in="unit", empty=True)
    unit: str = text("unit of the value")
    value_si: float = number(
        "value printed beside it in the other unit", unit_in="unit_si", empty=True
    )
    unit_si: str = text("unit of that value")
    as_printed: str = text("value as printed where it is not a decimal number")
    condition: str = text("when the rule applies")

    class Config(Table.Config):
        name = "safety_rules"
        unique = ["rule", "quantity", "value", "as_printed", "condition", "source_id", "locator"]


class Cylinders(Reference):
    """The contents or the fill pressure of a gas cylinder."""

    gas: str = key("gas in the cylinder")
    contents: float = number("gas held when full", unit="ft3", above=0, empty=True)
    pressure: float = number("fill pressure", unit="psi", above=0, empty=True)

    class Config(Table.Config):
        name = "cylinders"
        unique = ["gas", "contents", "pressure", "source_id"]


class GasProperties(Reference):
    """One physical property of one gas."""

    gas: str = key("chemical symbol")
    property: str = key("which property of the gas")
    value: float = number("value of the property", unit_in="unit")
    unit: str = text('unit of the value ("" for a ratio)')
    condition: str = text("temperature, pressure or reference")

    class Config(Table.Config):
        name = "gas_properties"
        unique = ["gas", "property", "condition", "source_id"]


class ShieldingGasCodes(Reference):
    """The composition that an ISO 14175 gas code stands for; lower edges: see the remark."""

    code: str = key("ISO 14175 main and sub group")
    statement: str = choice("limits of the code, or one gas that has it", ("bounds", "example"))
    co2_min: float = number("carbon dioxide from", unit="%", at_least=0, at_most=100, empty=True)
    co2_max: float = number("carbon dioxide to", unit="%", at_least=0, at_most=100, empty=True)
    o2_min: float = number("oxygen from", unit="%", at_least=0, at_most=100, empty=True)
    o2_max: float = number("oxygen up to", unit="%", at_least=0, at_most=100, empty=True)
    h2_min: float = number("hydrogen from", unit="%", at_least=0, at_most=100, empty=True)
    h2_max: float = number("hydrogen to", unit="%", at_least=0, at_most=100, empty=True)
    he_min: float = number("helium from", unit="%", at_least=0, at_most=100, empty=True)
    he_max: float = number("helium up to", unit="%", at_least=0, at_most=100, empty=True)
    n2_min: float = number("nitrogen from", unit="%", at_least=0, at_most=100, empty=True)
    n2_max: float = number("nitrogen to", unit="%", at_least=0, at_most=100, empty=True)
    balance: str = choice("gas that makes up the rest", ("Ar", "He", "CO2", "N2", "O2"))

    class Config(Table.Config):
        name = "shielding_gas_codes"
        unique = ["code", "statement", "source_id"]


class ShieldingGasTolerance(Reference):
    """How far a component of a mixed gas may differ from its nominal content."""

    component_min: float = number("nominal content from", unit="%", at_least=0, empty=True)
    component_max: float = number("nominal content to", unit="%", at_least=0, empty=True)
    tolerance: float = number(
        "permitted deviation, up or down", unit_in="unit", above=0, empty=True
    )
    unit: str = choice("unit of the deviation", ("% of nominal", "% absolute"), empty=True)
    as_printed: str = text("tolerance as printed")

    class Config(Table.Config):
        name = "shielding_gas_tolerance"
        unique = ["component_min", "component_max", "source_id"]


class ShieldingGasSelection(Reference):
    """A shielding gas that a source names for a metal and a transfer mode."""

    process: str = key("AWS letters of the process")
    material: str = key("metal welded")
    transfer_mode: str = text("transfer modes; empty where the source does not say")
    shielding_gas: str = key("gas as printed, percent by volume")
    thickness_min: float = number("thickness from", unit="in", above=0, empty=True)
    thickness_max: float = number("thickness to", unit="in", above=0, empty=True)
    note: str = text("further condition, as printed")
    as_printed: str = text("thickness as printed")

    class Config(Table.Config):
        name = "shielding_gas_selection"
        unique = ["process", "material", "transfer_mode", "shielding_gas", "source_id", "locator"]
