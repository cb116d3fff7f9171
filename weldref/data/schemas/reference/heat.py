"""Tables behind heat input, preheat, cooling and constitution."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

from weldref.data.schemas.fields import Table, choice, key, number, text, truth
from weldref.data.schemas.reference.base import Reference


class ThermalEfficiency(Reference):
    """The share of the arc energy that reaches the work, for one process."""

    process: str = key("AWS letters of the process; several share the row")
    iso_4063: str = text("ISO 4063 number, where printed")
    kind: str = choice(
        "agreed factor k, measured, or fitted by a simulation",
        ("conventional", "measured", "simulated"),
    )
    material: str = text("base metal")
    scope: str = text("the rules of heat input that use the factor, and those that do not")
    value: float = number("efficiency of the arc", unit_in="unit", above=0)
    unit: str = choice("unit of the efficiency", ("ratio", "%"))

    class Config(Table.Config):
        name = "thermal_efficiency"
        unique = ["process", "iso_4063", "kind", "source_id"]


class ThermalConstants(Reference):
    """A thermal constant of a metal, as used in one heat-flow calculation."""

    material: str = key("metal it holds for")
    property: str = key("which constant")
    value: float = number("value of the constant", unit_in="unit", above=0)
    unit: str = key("unit of the value")

    class Config(Table.Config):
        name = "thermal_constants"
        unique = ["material", "property", "source_id"]


class CoolingTimeFactors(Reference):
    """The joint factors F2 (thin plate) and F3 (thick plate) of the cooling time t8/5."""

    joint: str = key("type of weld and joint")
    f2_min: float = number("two-dimensional factor from", unit="1", above=0)
    f2_max: float = number("two-dimensional factor to", unit="1", above=0)
    f3: float = number("three-dimensional factor", unit="1", above=0)
    as_printed: str = text("factors as given")

    class Config(Table.Config):
        name = "cooling_time_factors"
        unique = ["joint", "source_id"]


class HydrogenLevels(Reference):
    """The diffusible hydrogen that one level of a scale stands for."""

    scheme: str = key("scale that the level belongs to")
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
    hydrogen: float = number("hydrogen that the level means", unit="mL/100 g", above=0)
    pcm_below: float = number("Pcm of the base metal below", unit="%", above=0)
    susceptibility_group: str = choice(
        "susceptibility group of AWS D1.1", ("A", "B", "C", "D", "E", "F", "G")
    )

    class Config(Table.Config):
        name = "d11_susceptibility_groups"
        unique = ["hydrogen_level", "pcm_below", "source_id"]


class D11SusceptibilityRanges(Reference):
    """The susceptibility index that one AWS D1.1 susceptibility group spans."""

    susceptibility_group: str = choice(
        "susceptibility group of AWS D1.1", ("A", "B", "C", "D", "E", "F", "G")
    )
    index_min: float = number("susceptibility index from", unit="1", above=0, empty=True)
    index_max: float = number("susceptibility index up to", unit="1", above=0)

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
    susceptibility_group: str = choice(
        "susceptibility group of AWS D1.1", ("A", "B", "C", "D", "E", "F", "G")
    )
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
    min: float = number("at least this value", unit_in="unit", empty=True)
    max: float = number("at most this value", unit_in="unit", empty=True)
    unit: str = text("unit of the values")
    as_printed: str = text("values as printed where they had to be split")

    class Config(Table.Config):
        name = "preheat_notes"
        unique = ["topic", "applies_to", "statement", "quantity", "source_id"]


class Constitution(Reference):
    """What a source says of ferrite, solidification and the constitution diagrams."""

    topic: str = key("what it is about")
    grade: str = text("grades or electrodes")
    diagram: str = text("constitution diagram")
    quantity: str = text("quantity of the values")
    min: float = number("at least this value", unit_in="unit", empty=True)
    max: float = number("at most this value", unit_in="unit", empty=True)
    typical: float = number("the one value that is stated", unit_in="unit", empty=True)
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
    min: float = number("at least this value", unit_in="unit", empty=True)
    max: float = number("at most this value", unit_in="unit", empty=True)
    typical: float = number("the one value that is stated", unit_in="unit", empty=True)
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
