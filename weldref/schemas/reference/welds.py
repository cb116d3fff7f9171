"""Tables of joints and welds: preparation, sizes, acceptance."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

from weldref.schemas.fields import Table, choice, key, number, text, truth
from weldref.schemas.reference.base import LENGTH_UNITS, Reference


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
    thickness_over: float = number("thickness over", unit_in="unit", at_least=0, empty=True)
    thickness_to: float = number("thickness to, inclusive", unit_in="unit", above=0, empty=True)
    size_min: float = number("smallest leg", unit_in="unit", above=0)
    unit: str = choice("unit of thickness and leg", LENGTH_UNITS)
    thickness_basis: str = text("which part's thickness counts")
    scope: str = text("the code under which the row binds")
    loading: str = choice(
        "loading it applies to; empty: not stated", ("static", "cyclic"), empty=True
    )

    class Config(Table.Config):
        name = "minimum_fillet"
        unique = [
            "system",
            "thickness_over",
            "thickness_basis",
            "loading",
            "source_id",
            "locator",
        ]


class MinimumPjp(Reference):
    """The smallest effective throat of a partial penetration weld for a thickness band."""

    system: str = choice("which column of the table", ("US", "SI"))
    thickness_over: float = number("thickness over", unit_in="unit", at_least=0, empty=True)
    thickness_to: float = number("thickness to, inclusive", unit_in="unit", above=0, empty=True)
    throat_min: float = number("smallest effective throat", unit_in="unit", above=0)
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
    value: float = number("the rule where it is one number", unit_in="unit", empty=True)
    unit: str = text("unit of the rule")

    class Config(Table.Config):
        name = "weld_size_rules"
        unique = ["rule", "condition", "source_id", "locator"]


class FitupTolerance(Reference):
    """How far a joint dimension may differ from the detail at fit-up."""

    process: str = key("AWS letters of the process; several share the row")
    feature: str = key("dimension of the joint")
    tolerance: float = number("permitted deviation, up or down", unit_in="unit", above=0)
    unit: str = choice("unit of the deviation", ("in", "deg", "% of thickness"))
    as_printed: str = text("tolerance as printed")

    class Config(Table.Config):
        name = "fitup_tolerance"
        unique = ["process", "feature", "source_id"]


class VisualAcceptance(Reference):
    """One visual acceptance criterion of a structural welding code."""

    standard: str = key("code that sets the criterion")
    edition: str = text("edition of the code")
    criterion: str = key("discontinuity or check")
    condition: str = text("when it applies")
    loading: str = choice("loading it applies to", ("all", "static", "cyclic"))
    limit_value: float = number("largest permitted, or shortest wait", unit_in="unit", at_least=0)
    unit: str = text("unit of the limit")

    class Config(Table.Config):
        name = "visual_acceptance"
        unique = ["standard", "edition", "criterion", "condition", "loading", "source_id"]


class Iso5817Limits(Reference):
    """The limit ISO 5817 or EN 25817 sets for one imperfection at one quality level."""

    standard: str = key("standard that sets the limit")
    edition: str = text("edition of the standard")
    imperfection: str = key("name of the imperfection")
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
    factor: float = number("part that grows with `factor_of`", unit="1", above=0, empty=True)
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
    min: float = number("shrinkage from", unit_in="unit", above=0)
    max: float = number("shrinkage to", unit_in="unit", above=0)
    unit: str = key("unit, and the length it refers to")
    condition: str = text("when it applies")

    class Config(Table.Config):
        name = "shrinkage_allowance"
        unique = ["direction", "weld", "source_id"]
