"""The reference tables: what standards, codes and handbooks print beside the windows.

One class is one file of ``datasets/reference``; its docstring says what a row states. A
column that holds several values parts them by "; ". A column called ``as_printed`` keeps the
source's own text wherever it had to be taken apart. In a column pair ``..._over`` and
``..._to`` the lower edge is outside the band and the upper edge inside; where the edges of a
band differ from row to row, ``..._inclusive`` says which belong to it (empty: not stated).
"""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

import json

import pandas as pd
import pandera.pandas as pa
from pandera.api.pandas.container import DataFrameSchema

from weldref.schemas.bases import SEEN_BASES, VERDICT_BASES
from weldref.schemas.fields import (
    Table,
    choice,
    how_read,
    key,
    locator,
    number,
    source_id,
    status,
    text,
    truth,
)

SHARED = ("source_id", "locator", "how_read", "status", "remark")
"""The columns that end every reference table."""


LENGTH_UNITS = ("in", "mm")

BAND_PAIRS = (("min", "max"), ("over", "to"))
"""Endings of the column names that hold the lower and the upper edge of one band."""


class Reference(Table):
    """Base of the reference tables: where each statement stands and how it was read."""

    source_id: str = source_id()
    locator: str = locator()
    how_read: str = how_read()
    status: str = status()
    remark: str = text("what a reader should know: printed pairs, conditions, doubts")

    @classmethod
    def to_schema(cls) -> DataFrameSchema:
        """Build the schema with the shared columns last."""
        schema = super().to_schema()
        for name in SHARED:
            schema.columns[name] = schema.columns.pop(name)
        return schema

    @pa.dataframe_check(error="the upper edge of a band may not lie below its lower edge")
    @classmethod
    def band_is_not_upside_down(cls, frame: pd.DataFrame) -> pd.Series[bool]:
        """Compare every lower edge with the upper edge that belongs to it."""
        good = pd.Series(True, index=frame.index)
        for low in map(str, frame.select_dtypes("number").columns):
            for low_end, high_end in BAND_PAIRS:
                high = low.removesuffix(low_end) + high_end
                if low != high and low.endswith(low_end) and high in frame:
                    good &= ~(frame[low] > frame[high])
        return good


# Sizes


class SheetGauges(Reference):
    """The thickness and weight of one sheet gauge number in one gauge system."""

    gauge_system: str = key("the gauge system the number belongs to")
    gauge: str = key("gauge number")
    fraction: str = text("thickness in inches as the printed fraction")
    thickness_in: float = number("thickness", unit="in", above=0)
    thickness_mm: float = number("thickness", unit="mm", above=0)
    weight_oz_per_ft2: float = number("weight of the sheet", unit="oz/ft2", above=0)
    weight_lb_per_ft2: float = number("weight of the sheet", unit="lb/ft2", above=0)

    class Config(Table.Config):
        name = "sheet_gauges"
        unique = ["gauge_system", "gauge", "source_id"]


class WireSizes(Reference):
    """The inch size of a wire or rod and the metric size it is sold as."""

    fraction: str = text("size in inches as a fraction, where one is used")
    decimal_in: float = number("size", unit="in", above=0)
    mm_exact: float = number("the inch size converted", unit="mm", above=0)
    metric_nominal: float = number("metric size it is sold as", unit="mm", above=0)
    metric_also: float = number("other metric size in use", unit="mm", above=0, empty=True)
    as_printed: str = text("metric sizes as given")

    class Config(Table.Config):
        name = "wire_sizes"
        unique = ["decimal_in", "source_id"]


# Safety


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
    shade_min: float = number("minimum shade", at_least=2, at_most=14, empty=True)
    shade_suggested_min: float = number(
        "suggested shade, the lightest named", at_least=2, at_most=14, empty=True
    )
    shade_suggested_max: float = number(
        "suggested shade, the darkest named", at_least=2, at_most=14, empty=True
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
    value: float = number("limit", above=0)
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
    value: float = number("value in the printed unit", empty=True)
    unit: str = text("unit of the value")
    value_si: float = number("value printed beside it in the other unit", empty=True)
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
    property: str = key("property")
    value: float = number("value")
    unit: str = text('unit of the value ("" for a ratio)')
    condition: str = text("temperature, pressure or reference")

    class Config(Table.Config):
        name = "gas_properties"
        unique = ["gas", "property", "condition", "source_id"]


# Shielding gases


class ShieldingGasCodes(Reference):
    """The composition that an ISO 14175 gas code stands for; lower edges: see the remark."""

    code: str = key("ISO 14175 main and sub group")
    statement: str = choice("limits of the code, or one gas that has it", ("bounds", "example"))
    co2_min: float = number("carbon dioxide from", unit="%", at_least=0, at_most=100, empty=True)
    co2_max: float = number("carbon dioxide to", unit="%", at_least=0, at_most=100, empty=True)
    o2_min: float = number("oxygen from", unit="%", at_least=0, at_most=100, empty=True)
    o2_max: float = number("oxygen to", unit="%", at_least=0, at_most=100, empty=True)
    h2_min: float = number("hydrogen from", unit="%", at_least=0, at_most=100, empty=True)
    h2_max: float = number("hydrogen to", unit="%", at_least=0, at_most=100, empty=True)
    he_min: float = number("helium from", unit="%", at_least=0, at_most=100, empty=True)
    he_max: float = number("helium to", unit="%", at_least=0, at_most=100, empty=True)
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
    tolerance: float = number("permitted deviation, up or down", above=0, empty=True)
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


# Electrodes and filler metals


class SmawClasses(Reference):
    """What the classification of a covered electrode means: covering, current, strength."""

    classification: str = key("AWS classification")
    position_digit: str = text("digit for the position")
    positions: str = text("positions it is classified or described for")
    covering: str = text("type of covering")
    current: str = text("type of current, as printed")
    tensile_min: float = number("minimum tensile strength", unit="ksi", above=0, empty=True)
    yield_min: float = number("minimum yield strength", unit="ksi", above=0, empty=True)
    yield_max: float = number("maximum yield strength", unit="ksi", above=0, empty=True)
    elongation_min: float = number("minimum elongation", unit="%", above=0, empty=True)
    impact_energy_min: float = number("minimum impact energy", unit="ft*lbf", above=0, empty=True)
    impact_temperature: float = number("temperature of the impact test", unit="degF", empty=True)
    as_printed: str = text("yield strength as printed where it is a range")

    class Config(Table.Config):
        name = "smaw_classes"
        unique = ["classification", "source_id"]


class Designators(Reference):
    """What one digit, letter or suffix of an electrode designation means."""

    scheme: str = key("standard and part of the designation")
    symbol: str = key("digit, letter or suffix")
    meaning: str = key("what it means")
    value: float = number("number the meaning refers to", empty=True)
    min: float = number("number from, where a range is meant", empty=True)
    max: float = number("number to, where a range is meant", empty=True)
    unit: str = text("unit of the number")
    as_printed: str = text("number as printed where it is not one plain number")

    class Config(Table.Config):
        name = "designators"
        unique = ["scheme", "symbol", "meaning", "source_id", "locator"]


class ElectrodeEquivalents(Reference):
    """Codes of other nations' standards set beside one AWS covered electrode class."""

    aws: str = key("AWS classification")
    csa: str = text("Canadian code")
    bs: str = text("British code")
    din: str = text("German code")
    jis: str = text("Japanese code")
    iso_2560_a: str = text("nearest ISO 2560-A classes")
    iso_2560_b: str = text("nearest ISO 2560-B class")

    class Config(Table.Config):
        name = "electrode_equivalents"
        unique = ["aws", "source_id"]


class ElectrodeStorage(Reference):
    """One rule on holding, baking, exposure or moisture of covered electrodes."""

    topic: str = key("what the rule is about")
    filler: str = key("electrodes it applies to")
    min: float = number("at least", empty=True)
    max: float = number("at most", empty=True)
    unit: str = text("unit of the values")
    condition: str = text("when or how")

    class Config(Table.Config):
        name = "electrode_storage"
        unique = ["topic", "filler", "condition", "min", "source_id", "locator"]


class FcawUsability(Reference):
    """Gas, polarity and passes of one AWS A5.20 usability designator."""

    usability: str = key("usability designator")
    external_gas: str = key("shielding gas, or none")
    polarity: str = key("polarity, as printed")
    passes: str = key("single pass, multiple pass or both")
    characteristics: str = text("behaviour of the arc and the bead")

    class Config(Table.Config):
        name = "fcaw_usability"
        unique = ["usability", "source_id"]


class FillerStrength(Reference):
    """One mechanical requirement on the weld metal of a filler classification."""

    specification: str = key("specification of the classification")
    classification: str = key("classification or strength symbol")
    property: str = choice(
        "property", ("tensile strength", "yield strength", "elongation", "impact energy")
    )
    min: float = number("minimum", empty=True)
    max: float = number("maximum", empty=True)
    unit: str = choice("unit of the values", ("ksi", "MPa", "%", "ft*lbf"))
    test_temperature: float = number("temperature of the test", unit="degF", empty=True)
    condition: str = text("condition of the weld metal or of the test")

    class Config(Table.Config):
        name = "filler_strength"
        unique = ["specification", "classification", "property", "source_id", "locator"]


class FillerComposition(Reference):
    """The content of one element in a filler metal classification, mass percent."""

    specification: str = text("specification of the classification")
    classification: str = key("classification")
    uns: str = text("UNS number")
    analysed: str = choice(
        "what the analysis is of; empty where the source does not say",
        ("wire", "weld metal"),
        empty=True,
    )
    element: str = key("chemical symbol")
    min: float = number("minimum", unit="%", at_least=0, at_most=100, empty=True)
    max: float = number("maximum", unit="%", at_least=0, at_most=100, empty=True)
    typical: float = number("typical", unit="%", at_least=0, at_most=100, empty=True)
    as_printed: str = text("content as printed where it had to be split")

    class Config(Table.Config):
        name = "filler_composition"
        unique = ["specification", "classification", "element", "source_id"]


class MatchingFillers(Reference):
    """The filler classifications that match a base metal group or yield strength."""

    base_group: str = text("AWS D1.1 base metal group")
    base_yield: str = text("yield strength of the base metal, as printed")
    process: str = text("AWS letters of the process")
    classifications: str = key("classifications; X stands for any designator")
    excluded: str = text("usability designators that are left out")
    as_printed: str = text("the list as given")

    class Config(Table.Config):
        name = "matching_fillers"
        unique = ["base_group", "base_yield", "process", "source_id"]


class TungstenClasses(Reference):
    """Oxide and tip colour of one tungsten electrode class in one edition of a standard."""

    standard: str = text("standard of the class")
    edition: str = text("edition the colour belongs to")
    class_code: str = key("class")
    oxide: str = key("oxide added, or none")
    oxide_min: float = number("oxide from", unit="%", at_least=0, empty=True)
    oxide_max: float = number("oxide to", unit="%", at_least=0, empty=True)
    oxide_nominal: float = number("nominal oxide", unit="%", at_least=0, empty=True)
    tip_colour: str = text("colour of the tip")

    class Config(Table.Config):
        name = "tungsten_classes"
        unique = ["class_code", "tip_colour", "source_id"]


class Polarity(Reference):
    """Whether a source recommends a type of current for a metal and thickness."""

    process: str = key("AWS letters of the process")
    material: str = key("metal welded")
    thickness_min: float = number("thickness from", unit="in", above=0, empty=True)
    thickness_min_inclusive: str = truth("whether that thickness belongs to the band")
    thickness_max: float = number("thickness to", unit="in", above=0, empty=True)
    thickness_max_inclusive: str = truth("whether that thickness belongs to the band")
    current_type: str = key("type of current and polarity")
    advice: str = choice(
        "what the source says of it; empty where the entry was not legible",
        ("recommended", "not recommended", "generally used", "not suitable"),
        empty=True,
    )
    as_printed: str = text("thickness as printed")

    class Config(Table.Config):
        name = "polarity"
        unique = ["process", "material", "as_printed", "current_type", "source_id", "locator"]


class WeldDiscoloration(Reference):
    """The oxygen in the purge gas that made one sample of a weld discoloration chart."""

    sample_number: str = key("sample in the chart")
    purge_oxygen: float = number("oxygen in the purge gas", unit="ppm", above=0)

    class Config(Table.Config):
        name = "weld_discoloration"
        unique = ["sample_number", "source_id"]


class WeldCostShares(Reference):
    """The share of one item in the cost of a weld."""

    item: str = key("item of cost")
    share: float = number("share", unit="%", at_least=0, at_most=100, empty=True)
    share_below: float = number("share is below", unit="%", above=0, at_most=100, empty=True)
    as_printed: str = text("share as printed where it is not one plain number")

    class Config(Table.Config):
        name = "weld_cost_shares"
        unique = ["item", "source_id"]


class DepositionEfficiency(Reference):
    """Weld metal deposited per weight of filler metal used."""

    process: str = key("AWS letters of the process")
    consumable: str = text("form of the filler metal")
    min: float = number("from", unit="%", above=0, at_most=100)
    max: float = number("to", unit="%", above=0, at_most=100)

    class Config(Table.Config):
        name = "deposition_efficiency"
        unique = ["process", "consumable", "source_id"]


# Base metals


class BaseMetals(Reference):
    """Group and strength of one base metal in a list of AWS D1.1."""

    specification: str = key("ASTM, API or ABS specification")
    grade: str = text("grades")
    thickness_over: float = number("thickness over", unit="in", at_least=0, empty=True)
    thickness_to: float = number("thickness to, inclusive", unit="in", above=0, empty=True)
    d11_group: str = choice("AWS D1.1 group", ("I", "II", "III", "IV"))
    yield_min_ksi: float = number("minimum yield strength", unit="ksi", above=0)
    yield_min_mpa: float = number("minimum yield strength", unit="MPa", above=0)
    tensile_min_ksi: float = number("minimum tensile strength", unit="ksi", above=0)
    tensile_max_ksi: float = number("maximum tensile strength", unit="ksi", above=0, empty=True)
    tensile_min_mpa: float = number("minimum tensile strength", unit="MPa", above=0)
    tensile_max_mpa: float = number("maximum tensile strength", unit="MPa", above=0, empty=True)
    as_printed: str = text("grade as given where it had to be split")

    class Config(Table.Config):
        name = "base_metals"
        unique = ["specification", "grade", "thickness_over", "d11_group", "source_id"]


class BaseMetalComposition(Reference):
    """The content of one element in a grade of base metal, mass percent."""

    standard: str = key("standard of the grade")
    grade: str = text("grade or type")
    uns: str = text("UNS number")
    product: str = text("form of the product")
    thickness_over: float = number("thickness over", at_least=0, empty=True)
    thickness_to: float = number("thickness to, inclusive", above=0, empty=True)
    thickness_unit: str = choice("unit of the thickness", LENGTH_UNITS, empty=True)
    element: str = key("chemical symbol")
    min: float = number("minimum", unit="%", at_least=0, at_most=100, empty=True)
    max: float = number("maximum", unit="%", at_least=0, at_most=100, empty=True)

    class Config(Table.Config):
        name = "base_metal_composition"
        unique = ["standard", "grade", "uns", "product", "thickness_over", "element", "source_id"]


class CarbonEquivalentLimits(Reference):
    """The largest carbon equivalent a standard permits, or an allowance on it."""

    formula: str = key("which carbon equivalent: CEV, Ceq, CE(IIW), CEPcm or Pcm")
    standard: str = key("standard of the grade")
    grade: str = text("grades")
    thickness_over: float = number("thickness over", unit="mm", at_least=0, empty=True)
    thickness_to: float = number("thickness to, inclusive", unit="mm", above=0, empty=True)
    statement: str = choice("a maximum, or an addition to it", ("maximum", "allowance"))
    value: float = number("value", unit="%", above=0)
    condition: str = text("when it applies")

    class Config(Table.Config):
        name = "carbon_equivalent_limits"
        unique = ["formula", "standard", "grade", "thickness_over", "condition", "source_id"]


class PNumbers(Reference):
    """P-Number, Group Number and ISO 15608 group of one ASME base metal."""

    specification: str = key("ASME or ASTM specification")
    grade: str = text("types and grades")
    uns: str = text("UNS number")
    tensile_min_ksi: float = number("minimum tensile strength", unit="ksi", above=0, empty=True)
    tensile_min_mpa: float = number("minimum tensile strength", unit="MPa", above=0, empty=True)
    p_number: str = key("P-Number")
    group_number: str = key("Group Number")
    iso_15608_group: str = text("ISO/TR 15608 group")
    nominal_composition: str = text("nominal composition")
    product: str = text("form of the product")

    class Config(Table.Config):
        name = "p_numbers"
        unique = ["specification", "grade", "source_id"]


class PNumberRanges(Reference):
    """The kind of metal that a P-Number or a run of P-Numbers stands for."""

    alloy: str = text("kind of metal")
    p_number_from: str = text("first P-Number")
    p_number_to: str = text("last P-Number")
    sub_group: str = text("sub-group of the P-Number")
    note: str = text("rule on the numbers")
    as_printed: str = text("numbers as printed where they had to be split")

    class Config(Table.Config):
        name = "p_number_ranges"
        unique = ["alloy", "p_number_from", "note", "source_id"]


class Iso15608Groups(Reference):
    """The steels in one ISO/TR 15608 material group."""

    material_group: str = key("group or sub-group")
    meaning: str = text("kind of steel")
    yield_over: float = number("specified yield strength over", unit="MPa", empty=True)
    yield_to: float = number("specified yield strength to, inclusive", unit="MPa", empty=True)
    limits: str = text("limits as given")

    class Config(Table.Config):
        name = "iso15608_groups"
        unique = ["material_group", "source_id"]


class Densities(Reference):
    """The density of a base metal or a wire."""

    material: str = key("material, as printed")
    density: float = number("density", above=0)
    unit: str = choice("unit of the density", ("lb/in3", "lb/ft3", "g/cm3", "kg/m3"))

    class Config(Table.Config):
        name = "densities"
        unique = ["material", "unit", "source_id"]


# Joints and welds


class PositionDesignations(Reference):
    """An ISO 6947 welding position with the AWS positions beside it."""

    iso_6947: str = text("ISO 6947 positions")
    aws_groove: str = text("AWS groove positions")
    aws_fillet: str = text("AWS fillet positions")
    meaning: str = key("what the position is, or a rule on positions")

    class Config(Table.Config):
        name = "position_designations"
        unique = ["iso_6947", "meaning", "source_id"]


class PrequalifiedJoints(Reference):
    """One line of an AWS D1.1 prequalified joint: opening, face, angle, positions."""

    designation: str = key("joint designation")
    process: str = key("AWS letters of the process; several share the row")
    joint: str = key("type of joint")
    thickness: str = key("base metal thickness as printed (U: unlimited)")
    thickness_max: float = number("largest thickness", unit="in", above=0, empty=True)
    root_opening_min: float = number("root opening from", unit="in", at_least=0, empty=True)
    root_opening_max: float = number("root opening to", unit="in", at_least=0, empty=True)
    root_opening_rule: str = text("root opening where it follows the thickness")
    root_face_min: float = number("root face from", unit="in", at_least=0, empty=True)
    root_face_max: float = number("root face to", unit="in", at_least=0, empty=True)
    groove_angle: float = number("groove angle", unit="deg", above=0, empty=True)
    positions: str = key("welding positions")
    gas_shielding: str = choice("shielding gas for FCAW", ("required", "not required"), empty=True)
    as_detailed_tolerance: str = text("tolerances as detailed, as printed")
    as_fitup_tolerance: str = text("tolerances as fit up, as printed")

    class Config(Table.Config):
        name = "prequalified_joints"
        unique = ["designation", "root_opening_min", "groove_angle", "source_id", "locator"]


class PrequalifiedNotes(Reference):
    """A rule or a legend entry on AWS D1.1 prequalified joints."""

    topic: str = key("what it is about")
    statement: str = key("what the code says, in short")

    class Config(Table.Config):
        name = "prequalified_notes"
        unique = ["topic", "statement", "source_id"]


class MinimumFillet(Reference):
    """The smallest fillet weld leg for a band of base metal thickness."""

    system: str = choice("which column of the table", ("US", "SI"))
    thickness_over: float = number("thickness over", at_least=0, empty=True)
    thickness_to: float = number("thickness to, inclusive", above=0, empty=True)
    size_min: float = number("smallest leg", above=0)
    unit: str = choice("unit of thickness and leg", LENGTH_UNITS)
    thickness_basis: str = text("which part's thickness counts")

    class Config(Table.Config):
        name = "minimum_fillet"
        unique = ["system", "thickness_over", "source_id", "locator"]


class MinimumPjp(Reference):
    """The smallest effective throat of a partial penetration weld for a thickness band."""

    system: str = choice("which column of the table", ("US", "SI"))
    thickness_over: float = number("thickness over", at_least=0, empty=True)
    thickness_to: float = number("thickness to, inclusive", above=0, empty=True)
    throat_min: float = number("smallest effective throat", above=0)
    unit: str = choice("unit of thickness and throat", LENGTH_UNITS)
    thickness_basis: str = text("which part's thickness counts")

    class Config(Table.Config):
        name = "minimum_pjp"
        unique = ["system", "thickness_over", "source_id", "locator"]


class WeldSizeRules(Reference):
    """A rule on the size or the length of a weld."""

    rule: str = key("what the rule is about")
    condition: str = text("when it applies; L length, w leg, t thickness")
    expression: str = key("the rule, as printed")
    value: float = number("the rule where it is one number", empty=True)
    unit: str = text("unit of the rule")

    class Config(Table.Config):
        name = "weld_size_rules"
        unique = ["rule", "condition", "source_id", "locator"]


class FitupTolerance(Reference):
    """How far a joint dimension may differ from the detail at fit-up."""

    process: str = key("AWS letters of the process; several share the row")
    feature: str = key("dimension")
    tolerance: float = number("permitted deviation, up or down", above=0)
    unit: str = choice("unit of the deviation", ("in", "deg", "% of thickness"))
    as_printed: str = text("tolerance as printed")

    class Config(Table.Config):
        name = "fitup_tolerance"
        unique = ["process", "feature", "source_id"]


class VisualAcceptance(Reference):
    """One visual acceptance criterion of a structural welding code."""

    standard: str = key("code")
    edition: str = text("edition")
    criterion: str = key("discontinuity or check")
    condition: str = text("when it applies")
    loading: str = choice("loading it applies to", ("all", "static", "cyclic"))
    limit_value: float = number("largest permitted, or shortest wait", at_least=0)
    unit: str = text("unit of the limit")

    class Config(Table.Config):
        name = "visual_acceptance"
        unique = ["standard", "edition", "criterion", "condition", "loading", "source_id"]


class Iso5817Limits(Reference):
    """The limit ISO 5817 or EN 25817 sets for one imperfection at one quality level."""

    standard: str = key("standard")
    edition: str = text("edition")
    imperfection: str = key("imperfection")
    iso_6520: str = key("ISO 6520-1 number")
    thickness_min: float = number("thickness from", unit="mm", at_least=0, empty=True)
    thickness_min_inclusive: str = truth("whether that thickness belongs to the band")
    thickness_max: float = number("thickness to", unit="mm", above=0, empty=True)
    thickness_max_inclusive: str = truth("whether that thickness belongs to the band")
    weld: str = text("kind of weld")
    level: str = choice("quality level", ("D", "C", "B"))
    permitted: str = truth("whether any is permitted", empty=False)
    measure: str = choice("what is measured: height h or diameter d", ("h", "d"), empty=True)
    constant: float = number("constant part of the limit", unit="mm", at_least=0, empty=True)
    factor: float = number("part that grows with `factor_of`", above=0, empty=True)
    factor_of: str = choice(
        "nominal thickness s, plate t, throat a or bead width b", ("s", "t", "a", "b"), empty=True
    )
    cap: float = number("never more than", unit="mm", above=0, empty=True)
    as_printed: str = key("limit as printed")

    class Config(Table.Config):
        name = "iso5817_limits"
        unique = ["standard", "edition", "iso_6520", "thickness_min", "weld", "level", "source_id"]


class ShrinkageAllowance(Reference):
    """A rule of thumb for the shrinkage of a weld."""

    direction: str = choice("direction of the shrinkage", ("transverse", "longitudinal"))
    weld: str = choice("kind of weld", ("fillet", "butt"))
    min: float = number("shrinkage from", above=0)
    max: float = number("shrinkage to", above=0)
    unit: str = key("unit, and the length it refers to")
    condition: str = text("when it applies")

    class Config(Table.Config):
        name = "shrinkage_allowance"
        unique = ["direction", "weld", "source_id"]


# Heat


class ThermalEfficiency(Reference):
    """The share of the arc energy that reaches the work, for one process."""

    process: str = key("AWS letters of the process; several share the row")
    iso_4063: str = text("ISO 4063 number, where printed")
    kind: str = choice(
        "agreed factor k, measured, or fitted by a simulation",
        ("conventional", "measured", "simulated"),
    )
    material: str = text("base metal")
    value: float = number("efficiency", above=0)
    unit: str = choice("unit of the efficiency", ("ratio", "%"))

    class Config(Table.Config):
        name = "thermal_efficiency"
        unique = ["process", "iso_4063", "kind", "source_id"]


class ThermalConstants(Reference):
    """A thermal constant of a metal, as used in one heat-flow calculation."""

    material: str = key("metal")
    property: str = key("property")
    value: float = number("value", above=0)
    unit: str = key("unit of the value")

    class Config(Table.Config):
        name = "thermal_constants"
        unique = ["material", "property", "source_id"]


class CoolingTimeFactors(Reference):
    """The joint factors F2 (thin plate) and F3 (thick plate) of the cooling time t8/5."""

    joint: str = key("type of weld and joint")
    f2_min: float = number("two-dimensional factor from", above=0)
    f2_max: float = number("two-dimensional factor to", above=0)
    f3: float = number("three-dimensional factor", above=0)
    as_printed: str = text("factors as given")

    class Config(Table.Config):
        name = "cooling_time_factors"
        unique = ["joint", "source_id"]


class HydrogenLevels(Reference):
    """The diffusible hydrogen that one level of a scale stands for."""

    scheme: str = key("scale")
    level: str = text("letter or mark of the level")
    meaning: str = text("name of the level")
    hydrogen_over: float = number("hydrogen over", unit="mL/100 g", at_least=0, empty=True)
    hydrogen_to: float = number("hydrogen to", unit="mL/100 g", above=0, empty=True)
    hydrogen_to_inclusive: str = truth("whether that value belongs to the level")
    as_printed: str = text("level as given")

    class Config(Table.Config):
        name = "hydrogen_levels"
        unique = ["scheme", "level", "hydrogen_to", "source_id"]


class D11SusceptibilityGroups(Reference):
    """The cracking susceptibility group of AWS D1.1 for a hydrogen level and a Pcm."""

    hydrogen_level: str = choice("hydrogen level", ("H1", "H2", "H3"))
    hydrogen: float = number("hydrogen it stands for", unit="mL/100 g", above=0)
    pcm_below: float = number("Pcm below", unit="%", above=0)
    susceptibility_group: str = choice("group", ("A", "B", "C", "D", "E", "F", "G"))

    class Config(Table.Config):
        name = "d11_susceptibility_groups"
        unique = ["hydrogen_level", "pcm_below", "source_id"]


class D11SusceptibilityRanges(Reference):
    """The susceptibility index that one AWS D1.1 susceptibility group spans."""

    susceptibility_group: str = choice("group", ("A", "B", "C", "D", "E", "F", "G"))
    index_min: float = number("index from", above=0, empty=True)
    index_max: float = number("index to", above=0)

    class Config(Table.Config):
        name = "d11_susceptibility_ranges"
        unique = ["susceptibility_group", "source_id"]


class D11AnnexPreheat(Reference):
    """The minimum preheat of the AWS D1.1 hydrogen control annex."""

    restraint: str = choice("restraint of the joint", ("low", "medium", "high"))
    thickness_min: float = number("thickness from", unit="in", above=0, empty=True)
    thickness_min_inclusive: str = truth("whether that thickness belongs to the band")
    thickness_max: float = number("thickness to", unit="in", above=0, empty=True)
    thickness_max_inclusive: str = truth("whether that thickness belongs to the band")
    susceptibility_group: str = choice("group", ("A", "B", "C", "D", "E", "F", "G"))
    preheat_min: float = number("minimum preheat and interpass", unit="degF", empty=True)
    as_printed: str = text("thickness band and preheat as given")

    class Config(Table.Config):
        name = "d11_annex_preheat"
        unique = ["restraint", "thickness_min", "susceptibility_group", "source_id"]


class PreheatNotes(Reference):
    """A rule, an exemption or a note on documents that bears on preheat."""

    topic: str = key("what it is about")
    applies_to: str = text("what it applies to")
    statement: str = text("what the source says, in short")
    quantity: str = text("quantity of the values")
    min: float = number("at least", empty=True)
    max: float = number("at most", empty=True)
    unit: str = text("unit of the values")
    as_printed: str = text("values as printed where they had to be split")

    class Config(Table.Config):
        name = "preheat_notes"
        unique = ["topic", "applies_to", "statement", "quantity", "source_id"]


# Metallurgy


class Constitution(Reference):
    """What a source says of ferrite, solidification and the constitution diagrams."""

    topic: str = key("what it is about")
    grade: str = text("grades or electrodes")
    diagram: str = text("constitution diagram")
    quantity: str = text("quantity of the values")
    min: float = number("at least", empty=True)
    max: float = number("at most", empty=True)
    typical: float = number("one value", empty=True)
    unit: str = text('unit of the values ("" for a ratio)')
    meaning: str = text("what the values mean")
    as_printed: str = text("values as printed where they had to be split")

    class Config(Table.Config):
        name = "constitution"
        unique = ["topic", "grade", "diagram", "quantity", "source_id", "locator"]


class FormulaLimits(Reference):
    """A threshold, a range of validity or an accuracy of one formula."""

    formula: str = key("formula or method")
    applies_to: str = text("weld, joint or data it applies to")
    quantity: str = key("quantity of the values")
    min: float = number("at least", empty=True)
    max: float = number("at most", empty=True)
    typical: float = number("one value", empty=True)
    unit: str = text('unit of the values ("" for a ratio or arbitrary units)')
    meaning: str = text("what the values mean")
    as_printed: str = text("values as printed where they had to be split")

    class Config(Table.Config):
        name = "formula_limits"
        unique = ["formula", "applies_to", "quantity", "meaning", "source_id"]


class OxygenCuttingElements(Reference):
    """How an alloying element of steel bears on oxygen cutting."""

    element: str = key("chemical symbol")
    content: float = number("content the statement is about", unit="%", above=0)
    meaning: str = key("what the source says")

    class Config(Table.Config):
        name = "oxygen_cutting_elements"
        unique = ["element", "content", "source_id"]


# Practice


class OxyfuelRods(Reference):
    """The filler rod for oxyfuel gas welding of a thickness."""

    material: str = key("metal welded")
    thickness_min: float = number("thickness from", unit="in", above=0, empty=True)
    thickness_max: float = number("thickness to", unit="in", above=0, empty=True)
    rod_min: float = number("rod diameter from", unit="in", above=0)
    rod_max: float = number("rod diameter to", unit="in", above=0)
    as_printed: str = key("thickness band and rod as printed")

    class Config(Table.Config):
        name = "oxyfuel_rods"
        unique = ["material", "thickness_min", "source_id"]


class ProcessNotes(Reference):
    """A single fact about a welding process that fits no other table."""

    process: str = text("AWS letters of the process; empty where it is not about one")
    topic: str = key("what it is about")
    subject: str = key("the fact, or the quantity of the values")
    min: float = number("at least", empty=True)
    max: float = number("at most", empty=True)
    typical: float = number("one value", empty=True)
    unit: str = text("unit of the values")
    statement: str = text("the fact in words where it is not a number")
    as_printed: str = text("values as printed where they had to be split")

    class Config(Table.Config):
        name = "process_notes"
        unique = ["process", "topic", "subject", "source_id", "locator"]


class RulesOfThumb(Reference):
    """A rule of thumb of the trade; a starting point, never a limit."""

    rule: str = key("the rule")
    process: str = text("AWS letters of the process")
    applies_to: str = text("material or situation")
    value: float = number("value", empty=True)
    unit: str = text("unit of the value")
    as_printed: str = text("values as given where they are not one number")

    class Config(Table.Config):
        name = "rules_of_thumb"
        unique = ["rule", "process", "applies_to", "source_id"]


# Procedures


class QualificationRules(Reference):
    """What one clause lets a procedure or a welder test qualify, or change without a new one."""

    standard: str = key("code or specification")
    edition: str = text("edition, where the standard is named with one")
    clause: str = text("clause, table or paragraph")
    variable: str = key("welding variable")
    process: str = text("AWS letters of the process, or all; empty where it is not about one")
    iso_4063: str = text("ISO 4063 numbers, where printed")
    application: str = text("kind of work or equipment, where the rule is limited to one")
    rule_kind: str = choice(
        "how the limits work: a fixed value, a table of bands, a factor on the tested value, or "
        "a change from it",
        ("set", "table", "range_factor", "range_percent", "max_increase", "max_decrease"),
    )
    tested_symbol: str = text("symbol of the tested size that picks the band")
    tested_min: float = number("tested size from", at_least=0, empty=True)
    tested_min_inclusive: str = truth("whether that size belongs to the band")
    tested_max: float = number("tested size to", above=0, empty=True)
    tested_max_inclusive: str = truth("whether that size belongs to the band")
    tested_unit: str = choice("unit of the tested size", LENGTH_UNITS, empty=True)
    lower: float = number("lower limit where it is a number", empty=True)
    upper: float = number("upper limit where it is a number", empty=True)
    lower_rule: str = text("lower limit where it is an expression or a word")
    upper_rule: str = text("upper limit where it is an expression or a word")
    unit: str = text("unit of the limits")
    condition: str = text("when it applies, in short")

    class Config(Table.Config):
        name = "qualification_rules"
        unique = [
            "standard",
            "edition",
            "clause",
            "variable",
            "process",
            "application",
            "condition",
            "source_id",
            "locator",
        ]

    @pa.dataframe_check(error="give a limit as a number or as a rule, not as both")
    @classmethod
    def limit_is_number_or_rule(cls, frame: pd.DataFrame) -> pd.Series[bool]:
        """Refuse a limit that is given both as a number and as a rule."""
        both_lower = frame["lower"].notna() & frame["lower_rule"].notna()
        both_upper = frame["upper"].notna() & frame["upper_rule"].notna()
        return ~(both_lower | both_upper)


class ProcedureFields(Reference):
    """A field of a welding procedure or test record and the form that asks for it."""

    field: str = key("short name of the field")
    meaning: str = key("what goes into it")
    unit: str = text("units the form uses")
    required_by: str = key("form or code that asks for it")

    class Config(Table.Config):
        name = "procedure_fields"
        unique = ["field", "source_id"]


class AuditFindings(Reference):
    """A finding that somebody published on a welding procedure, record or shop."""

    finding: str = key("the finding in short")
    field: str = key("fields of the procedure it is about")
    what_happened: str = key("what was found")
    what_to_check: str = key("how to look for it")
    evidence: str = choice(
        "what kind of document tells of it",
        (
            "regulator notice",
            "published guidance or review",
            "published checklist",
            "observed in a transcribed sample",
        ),
    )

    class Config(Table.Config):
        name = "audit_findings"
        unique = ["finding", "source_id"]


class SourceNotes(Reference):
    """What a reader should know of a source as a whole."""

    note: str = key("how it was read, or what state it is in")

    class Config(Table.Config):
        name = "source_notes"
        unique = ["source_id", "note"]


# Examples


def _opens_as_object(cell: str) -> bool:
    try:
        return isinstance(json.loads(cell), dict)
    except ValueError:
        return False


EXAMPLE_TOPICS = (
    "arc_energy",
    "burn_off",
    "carbon_equivalent",
    "consistency",
    "constitution",
    "cooling",
    "cracking",
    "cutting",
    "deposition",
    "designation",
    "filler_requirement",
    "filter_shade",
    "heat_input",
    "load_voltage",
    "local_exhaust",
    "minimum_fillet",
    "minimum_pjp",
    "peak_temperature",
    "polarity",
    "preheat",
    "qualification",
    "sheet_gauge",
    "shielding_gas_code",
    "starting_current",
    "storage",
    "torch_cooling",
    "tungsten_class",
    "unit_conversion",
    "weld_size",
    "weld_strength",
    "weld_weight",
    "window_check",
)
"""What a worked example is about."""


class WorkedExamples(Reference):
    """A case with a known answer, for tests: published, or computed from a published rule."""

    example_id: str = key("name of the example")
    kind: str = choice(
        "published: the answer stands in the source; computed: it is our own arithmetic",
        ("published", "computed"),
    )
    topic: str = choice("what it is about", EXAMPLE_TOPICS)
    inputs: str = key("what is given, a JSON object")
    expected: str = key("the answer, a JSON object")
    tolerance: float = number(
        "permitted deviation in the unit of the answer (0 exact, empty: stated as about)",
        at_least=0,
        empty=True,
    )

    class Config(Table.Config):
        name = "worked_examples"
        unique = ["example_id"]

    @pa.check("inputs", "expected", error="give a JSON object")
    @classmethod
    def is_json_object(cls, values: pd.Series[str]) -> pd.Series[bool]:
        """Parse every cell."""
        return values.map(_opens_as_object)


REFERENCE_TABLES: dict[str, type[Table]] = {
    table.Config.name: table
    for table in (
        AuditFindings,
        BaseMetalComposition,
        BaseMetals,
        CarbonEquivalentLimits,
        Constitution,
        CoolingTimeFactors,
        Cylinders,
        D11AnnexPreheat,
        D11SusceptibilityGroups,
        D11SusceptibilityRanges,
        Densities,
        DepositionEfficiency,
        Designators,
        ElectrodeEquivalents,
        ElectrodeStorage,
        ExposureLimits,
        FcawUsability,
        FillerComposition,
        FillerStrength,
        FilterShades,
        FitupTolerance,
        FormulaLimits,
        GasProperties,
        HydrogenLevels,
        Iso15608Groups,
        Iso5817Limits,
        LocalExhaust,
        MatchingFillers,
        MinimumFillet,
        MinimumPjp,
        OxyfuelRods,
        OxygenCuttingElements,
        PNumberRanges,
        PNumbers,
        Polarity,
        PositionDesignations,
        PreheatNotes,
        PrequalifiedJoints,
        PrequalifiedNotes,
        ProcedureFields,
        ProcessNotes,
        QualificationRules,
        RulesOfThumb,
        SafetyRules,
        SheetGauges,
        ShieldingGasCodes,
        ShieldingGasSelection,
        ShieldingGasTolerance,
        ShrinkageAllowance,
        SmawClasses,
        SourceNotes,
        ThermalConstants,
        ThermalEfficiency,
        TungstenClasses,
        VisualAcceptance,
        WeldCostShares,
        WeldDiscoloration,
        WeldSizeRules,
        WireSizes,
    )
}
"""Every table of ``datasets/reference`` by the stem of its file."""
