"""Tables of ISO and EN standards: qualification of procedures and welders, steels, numbers."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

from weldref.data.schemas.fields import Table, choice, key, number, text, truth
from weldref.data.schemas.reference.base import Reference


class Iso4063Numbers(Reference):
    """The name of a process by its reference number in ISO 4063."""

    edition: str = key("edition of the standard")
    iso_4063: str = key("reference number")
    name: str = key("name of the process")
    main_group: str = text("group that the process belongs to")
    aws_letters: str = text("AWS letters, where the standard prints them")

    class Config(Table.Config):
        name = "iso4063_numbers"
        unique = ["edition", "iso_4063", "source_id"]


class Iso156141Groups(Reference):
    """The material groups that one procedure test of ISO 15614-1 covers."""

    edition: str = key("edition of the standard")
    table: str = key("table of the standard, and the metals it is about")
    test_group_a: str = key("ISO/TR 15608 group of one part of the test piece")
    test_group_b: str = key("ISO/TR 15608 group of the other part")
    covers: str = key("pairs of groups that are covered, separated by '; '")
    condition: str = text("what holds within each pair")

    class Config(Table.Config):
        name = "iso15614_1_groups"
        unique = ["edition", "table", "test_group_a", "test_group_b", "source_id"]


class Iso156141Hardness(Reference):
    """The largest hardness that ISO 15614-1 permits for a material group."""

    edition: str = key("edition of the standard")
    material_group: str = key("ISO/TR 15608 group")
    heat_treated: str = choice("whether the joint was heat treated", ("yes", "no"))
    hardness_max: float = number("largest hardness", unit_in="unit", above=0)
    unit: str = key("hardness scale")
    condition: str = text("when it applies")

    class Config(Table.Config):
        name = "iso15614_1_hardness"
        unique = ["edition", "material_group", "heat_treated", "source_id"]


class Iso156141Tests(Reference):
    """A test that ISO 15614-1 asks of a test piece at one level."""

    edition: str = key("edition of the standard")
    level: str = choice("level of the standard", ("1", "2", "1; 2"))
    test_piece: str = text("kind of test piece")
    test: str = key("the test, or what is asked of it")
    extent: str = text("how much of it")
    allowed: float = number(
        "largest imperfection, or lowest single value as a share of the average that is wanted",
        unit_in="allowed_unit",
        empty=True,
        above=0,
    )
    allowed_unit: str = choice("unit of it", ("mm", "%"), empty=True)
    condition: str = text("when it applies")

    class Config(Table.Config):
        name = "iso15614_1_tests"
        unique = ["edition", "level", "test_piece", "test", "source_id"]


class Iso156142Groups(Reference):
    """The material groups that one procedure test of ISO 15614-2 covers."""

    edition: str = key("edition of the standard")
    test_group: str = key("ISO/TR 15608 groups of the two parts of the test piece")
    similar: str = key("groups that are covered when joined to themselves, separated by '; '")
    dissimilar: str = key("joints between groups that are covered, separated by '; '")
    condition: str = text("when it applies")

    class Config(Table.Config):
        name = "iso15614_2_groups"
        unique = ["edition", "test_group", "source_id"]


class Iso156142Joints(Reference):
    """Whether the test of one joint covers another by ISO 15614-2."""

    edition: str = key("edition of the standard")
    test_joint: str = key("joint of the test piece")
    joint: str = key("joint that is to be covered")
    covered: str = key("yes, no, or yes with the pipes it holds for")

    class Config(Table.Config):
        name = "iso15614_2_joints"
        unique = ["edition", "test_joint", "joint", "source_id"]


class AFNumbers(Reference):
    """What an A-number (weld metal) or an F-number (filler metal) of ISO 15614-1 stands for."""

    edition: str = key("edition of the standard")
    kind: str = choice("which of the two numbers", ("A-number", "F-number"))
    group_number: str = key("the number")
    of: str = key("kind of weld metal, or standard of the filler metals")
    element: str = text("chemical symbol, for an A-number")
    min: float = number("minimum content", unit="%", at_least=0, at_most=100, empty=True)
    max: float = number("maximum content", unit="%", at_least=0, at_most=100, empty=True)
    members_a: str = text("filler classes of the system by yield strength, separated by '; '")
    members_b: str = text("filler classes of the system by tensile strength, separated by '; '")

    class Config(Table.Config):
        name = "a_f_numbers"
        unique = ["edition", "kind", "group_number", "of", "element", "members_a", "members_b"]


class WelderQualification(Reference):
    """What the test of a welder or an operator covers by ISO 9606 or ISO 14732."""

    standard: str = key("standard of the test")
    edition: str = key("edition of the standard")
    variable: str = key("welding variable")
    test_value: str = text("what was tested")
    qualified: str = text("what the test covers, separated by '; '")
    not_qualified: str = text("what it does not cover, separated by '; '")
    condition: str = text("when it applies")

    class Config(Table.Config):
        name = "welder_qualification"
        unique = ["standard", "edition", "variable", "test_value", "qualified", "source_id"]


class EnSteelStrength(Reference):
    """The strength of a structural steel of an EN standard in one band of thickness."""

    standard: str = key("standard and edition")
    grade: str = key("grades, separated by '; '")
    thickness_over: float = number("thickness from", unit="mm", at_least=0, empty=True)
    thickness_over_inclusive: str = truth("whether that thickness belongs to the band")
    thickness_to: float = number("thickness to", unit="mm", above=0, empty=True)
    thickness_to_inclusive: str = truth("whether that thickness belongs to the band")
    property: str = choice("which strength", ("yield strength ReH", "tensile strength Rm"))
    min: float = number("minimum strength", unit="MPa", above=0)
    max: float = number("maximum strength", unit="MPa", above=0, empty=True)
    condition: str = text("direction of the test")

    class Config(Table.Config):
        name = "en_steel_strength"
        unique = ["standard", "grade", "property", "thickness_over", "thickness_to", "source_id"]


class EnSteelImpact(Reference):
    """The impact energy of a structural steel of an EN standard."""

    standard: str = key("standard and edition")
    grade: str = key("grades, separated by '; '")
    thickness_over: float = number("thickness over", unit="mm", at_least=0, empty=True)
    thickness_to: float = number("thickness to, inclusive", unit="mm", above=0, empty=True)
    energy_min: float = number("minimum energy", unit="J", above=0)
    temperature: float = number("temperature of the test", unit="degC")
    condition: str = text("direction of the test, and when it is verified")

    class Config(Table.Config):
        name = "en_steel_impact"
        unique = ["standard", "grade", "thickness_over", "source_id"]
