"""Tables of base metals: grades, compositions, groups."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

from weldref.data.schemas.fields import Table, choice, key, number, text
from weldref.data.schemas.reference.base import LENGTH_UNITS, Reference


class BaseMetals(Reference):
    """Group and strength of one base metal in a list of AWS D1.1."""

    specification: str = key("ASTM, API or ABS specification")
    grade: str = text("grades of the specification")
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
    thickness_over: float = number(
        "thickness over", unit_in="thickness_unit", at_least=0, empty=True
    )
    thickness_to: float = number(
        "thickness to, inclusive", unit_in="thickness_unit", above=0, empty=True
    )
    thickness_unit: str = choice("unit of the thickness", LENGTH_UNITS, empty=True)
    element: str = key("chemical symbol")
    min: float = number("minimum content", unit="%", at_least=0, at_most=100, empty=True)
    max: float = number("maximum content", unit="%", at_least=0, at_most=100, empty=True)

    class Config(Table.Config):
        name = "base_metal_composition"
        unique = ["standard", "grade", "uns", "product", "thickness_over", "element", "source_id"]


class CarbonEquivalentLimits(Reference):
    """The largest carbon equivalent of a delivery by one standard; no judgement of weldability."""

    formula: str = key("which carbon equivalent: CEV, Ceq, CE(IIW), CEPcm or Pcm")
    standard: str = key("standard of the grade")
    grade: str = text("grades of the standard")
    thickness_over: float = number("thickness over", unit="mm", at_least=0, empty=True)
    thickness_to: float = number("thickness to, inclusive", unit="mm", above=0, empty=True)
    statement: str = choice("a maximum, or an addition to it", ("maximum", "allowance"))
    value: float = number("largest carbon equivalent, or the allowance", unit="%", above=0)
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
    p_number: str = key("P-Number of the base metal")
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
    density: float = number("density of the material", unit_in="unit", above=0)
    unit: str = choice("unit of the density", ("lb/in3", "lb/ft3", "g/cm3", "kg/m3"))

    class Config(Table.Config):
        name = "densities"
        unique = ["material", "unit", "source_id"]
