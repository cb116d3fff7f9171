"""Tables of electrodes, wires and rods, and of their sizes."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

from weldref.data.schemas.fields import Table, choice, key, number, text, truth
from weldref.data.schemas.reference.base import Reference


class SheetGauges(Reference):
    """The thickness and weight of one sheet gauge number in one gauge system."""

    gauge_system: str = key("the gauge system the number belongs to")
    gauge: str = key("gauge number")
    fraction: str = text("thickness in inches as the printed fraction")
    thickness_in: float = number("thickness of the sheet", unit="in", above=0)
    thickness_mm: float = number("thickness of the sheet", unit="mm", above=0)
    weight_oz_per_ft2: float = number("weight of the sheet", unit="oz/ft2", above=0)
    weight_lb_per_ft2: float = number("weight of the sheet", unit="lb/ft2", above=0)

    class Config(Table.Config):
        name = "sheet_gauges"
        unique = ["gauge_system", "gauge", "source_id"]


class WireSizes(Reference):
    """The inch size of a wire or rod and the metric size it is sold as."""

    fraction: str = text("size in inches as a fraction, where one is used")
    decimal_in: float = number("size of the wire or rod", unit="in", above=0)
    mm_exact: float = number("the inch size converted", unit="mm", above=0)
    metric_nominal: float = number("metric size it is sold as", unit="mm", above=0)
    metric_also: float = number("other metric size in use", unit="mm", above=0, empty=True)
    as_printed: str = text("metric sizes as given")

    class Config(Table.Config):
        name = "wire_sizes"
        unique = ["decimal_in", "source_id"]


class SmawClasses(Reference):
    """What the classification of a covered electrode means: covering, current, strength."""

    classification: str = key("AWS classification")
    position_digit: str = text("digit for the position")
    positions: str = text("positions it is classified or described for")
    progression: str = text("direction of vertical welding that the class is meant for")
    out_of_position_max: float = number(
        "largest electrode in vertical and overhead positions", unit="in", above=0, empty=True
    )
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
    value: float = number("number the meaning refers to", unit_in="unit", empty=True)
    min: float = number("number from, where a range is meant", unit_in="unit", empty=True)
    max: float = number("number to, where a range is meant", unit_in="unit", empty=True)
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
    min: float = number("at least this value", unit_in="unit", empty=True)
    max: float = number("at most this value", unit_in="unit", empty=True)
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


class FcawClasses(Reference):
    """Positions, gas, polarity and passes of one AWS A5.20 flux cored wire classification."""

    classification: str = key("AWS classification; the suffix M means mixed gas")
    positions: str = key("H horizontal, F flat, VU vertical up, VD vertical down, OH overhead")
    external_gas: str = key("shielding gas, or none")
    polarity: str = key("polarity, as printed")
    passes: str = key("single pass or multiple pass")

    class Config(Table.Config):
        name = "fcaw_classes"
        unique = ["classification", "source_id"]


class FillerStrength(Reference):
    """One mechanical requirement on the weld metal of a filler classification."""

    specification: str = key("specification of the classification")
    classification: str = key("classification or strength symbol")
    property: str = choice(
        "which mechanical property",
        ("tensile strength", "yield strength", "elongation", "impact energy"),
    )
    min: float = number("minimum of the property", unit_in="unit", empty=True)
    max: float = number("maximum of the property", unit_in="unit", empty=True)
    unit: str = choice("unit of the values", ("ksi", "MPa", "%", "ft*lbf"))
    test_temperature: float = number("temperature of the test", unit="degF", empty=True)
    condition: str = text("condition of the weld metal or of the test")

    class Config(Table.Config):
        name = "filler_strength"
        unique = ["specification", "classification", "property", "source_id", "locator"]


class FillerComposition(Reference):
    """The content of one element in a filler metal classification, mass percent."""

    specification: str = text("specification of the classification")
    classification: str = key("classification of the filler metal")
    uns: str = text("UNS number")
    analysed: str = choice(
        "what the analysis is of; empty where the source does not say",
        ("wire", "weld metal"),
        empty=True,
    )
    element: str = key("chemical symbol")
    min: float = number("minimum content", unit="%", at_least=0, at_most=100, empty=True)
    max: float = number("maximum content", unit="%", at_least=0, at_most=100, empty=True)
    typical: float = number("typical content", unit="%", at_least=0, at_most=100, empty=True)
    as_printed: str = text("content as printed where it had to be split")

    class Config(Table.Config):
        name = "filler_composition"
        unique = ["specification", "classification", "element", "source_id"]


class MatchingFillers(Reference):
    """The filler classifications that match a base metal group or yield strength."""

    base_group: str = text("AWS D1.1 base metal group")
    base_yield: str = text("yield strength of the base metal, as printed")
    process: str = text("AWS letters of the process")
    classifications: str = key("classifications; X means any designator")
    excluded: str = text("usability designators that are left out")
    condition: str = text("when it applies")
    as_printed: str = text("the list as given")

    class Config(Table.Config):
        name = "matching_fillers"
        unique = ["base_group", "base_yield", "process", "source_id"]


class TungstenClasses(Reference):
    """Oxide and tip colour of one tungsten electrode class in one edition of a standard."""

    standard: str = text("standard of the class")
    edition: str = text("edition the colour belongs to")
    class_code: str = key("class of the tungsten electrode")
    oxide: str = key("oxide added, or none")
    oxide_min: float = number("oxide from", unit="%", at_least=0, empty=True)
    oxide_max: float = number("oxide up to", unit="%", at_least=0, empty=True)
    oxide_nominal: float = number("nominal oxide", unit="%", at_least=0, empty=True)
    tip_colour: str = text("colour of the tip")
    current: str = text("kind of current that the class is meant for")

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
    condition: str = text("gas and technique that the statement supposes")
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
    share: float = number(
        "share of the cost of the weld", unit="%", at_least=0, at_most=100, empty=True
    )
    share_below: float = number("share is below", unit="%", above=0, at_most=100, empty=True)
    as_printed: str = text("share as printed where it is not one plain number")

    class Config(Table.Config):
        name = "weld_cost_shares"
        unique = ["item", "source_id"]


class DepositionEfficiency(Reference):
    """Weld metal deposited per weight of filler metal used."""

    process: str = key("AWS letters of the process")
    consumable: str = text("form of the filler metal")
    min: float = number("efficiency from", unit="%", above=0, at_most=100)
    max: float = number("efficiency up to", unit="%", above=0, at_most=100)

    class Config(Table.Config):
        name = "deposition_efficiency"
        unique = ["process", "consumable", "source_id"]
