"""Tables of practice and of procedures: rules of thumb, qualification, findings."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

import pandas as pd
import pandera.pandas as pa

from weldref.data.schemas.fields import Table, choice, key, number, reference, text, truth
from weldref.data.schemas.reference.base import LENGTH_UNITS, Reference


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
    min: float = number("at least this value", unit_in="unit", empty=True)
    max: float = number("at most this value", unit_in="unit", empty=True)
    typical: float = number("the one value that is stated", unit_in="unit", empty=True)
    unit: str = text("unit of the values")
    statement: str = text("the fact in words where it is not a number")
    as_printed: str = text("values as printed where they had to be split")

    class Config(Table.Config):
        name = "process_notes"
        unique = ["process", "topic", "subject", "source_id", "locator"]


class RulesOfThumb(Reference):
    """A rule of thumb of the trade; a starting point, never a limit."""

    rule: str = key("what the rule is about")
    process: str = text("AWS letters of the process")
    applies_to: str = text("material or situation")
    value: float = number("value of the rule", unit_in="unit", empty=True)
    unit: str = text("unit of the value")
    as_printed: str = text("values as given where they are not one number")

    class Config(Table.Config):
        name = "rules_of_thumb"
        unique = ["rule", "process", "applies_to", "source_id"]


class QualificationRules(Reference):
    """What one clause lets a procedure or a welder test qualify, or change without a new one."""

    standard: str = key("code or specification")
    edition: str = text("edition, where the standard is named with one")
    clause: str = text("clause, table or paragraph")
    variable: str = key("welding variable")
    process: str = text("AWS letters of the process, or all; empty where it is not about one")
    iso_4063: str = text("ISO 4063 numbers, where printed")
    application: str = text("kind of work or equipment, where the rule is limited to one")
    level: str = choice(
        "level of ISO 15614-1, where the rule holds for one", ("1", "2"), empty=True
    )
    runs: str = choice("runs of the test weld, where it matters", ("single", "multi"), empty=True)
    transfer_mode: str = reference(
        "transfer mode, where the rule is limited to one", "transfer_modes.term", empty=True
    )
    rule_kind: str = choice(
        "how the limits work: a fixed value, a table of bands, a factor on the tested value, or "
        "a change from it",
        ("set", "table", "range_factor", "range_percent", "max_increase", "max_decrease"),
    )
    tested_symbol: str = text("symbol of the tested size that picks the band")
    tested_min: float = number("tested size from", unit_in="tested_unit", at_least=0, empty=True)
    tested_min_inclusive: str = truth("whether that size belongs to the band")
    tested_max: float = number("tested size to", unit_in="tested_unit", above=0, empty=True)
    tested_max_inclusive: str = truth("whether that size belongs to the band")
    tested_unit: str = choice("unit of the tested size", LENGTH_UNITS, empty=True)
    lower: float = number("lower limit where it is a number", unit_in="unit", empty=True)
    upper: float = number("upper limit where it is a number", unit_in="unit", empty=True)
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
            "level",
            "runs",
            "transfer_mode",
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


class MetricColumns(Reference):
    """A size of a code's inch tables and what its metric tables print for it."""

    standard: str = key("code, as in qualification_rules")
    inch: float = number("size in the inch tables", unit="in", above=0)
    mm: float = number("size in the metric tables", unit="mm", above=0)

    class Config(Table.Config):
        name = "metric_columns"
        unique = ["standard", "inch"]


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
        "what kind of document reports it",
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
