"""The controlled vocabulary: terms as small trees, gases, sizes, quantities and units."""

from __future__ import annotations

import pandas as pd
import pandera.pandas as pa

from weldref.data.schemas.fields import (
    GRADES,
    Table,
    choice,
    how_read,
    key,
    locator,
    number,
    reference,
    source_id,
    status,
    text,
    truth,
)

SPELLINGS = (
    "what people type for it, separated by '; '; a word that may mean another term too is "
    "listed at both with a ? behind it and is asked about"
)


class Term(Table):
    """Base of the trees: a term, its broader terms, its name and common spellings."""

    term: str = key("the one spelling that tables store", unique=True)
    parents: str = text("broader terms, separated by '; '", many=True)
    name: str = key("plain name")


class TransferModes(Term):
    """Modes of metal transfer in GMAW."""

    spellings: str = text(SPELLINGS, many=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "transfer_modes"


class Materials(Term):
    """Base metals from families to grades, with the groups of the codes."""

    stands_apart: str = choice(
        "true: preheat, interpass and filler rows of a broader metal that has no such mark do not "
        "apply to this one (hardenable steel, duplex, cast iron ...), unless a code's list names "
        "it; settings do",
        ("true",),
        empty=True,
    )
    spellings: str = text(SPELLINGS, many=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "materials"


class Joints(Term):
    """Joints and weld types."""

    spellings: str = text(SPELLINGS, many=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "joints"


class Specifications(Term):
    """Codes, specifications and manuals under which alone a row binds."""

    spellings: str = text(SPELLINGS, many=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "specifications"


class Polarities(Term):
    """Current types and polarities."""

    spellings: str = text(SPELLINGS, many=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "polarities"


class TungstenClasses(Term):
    """Tungsten electrode classes as conditions of a row; their make-up is in tungsten_classes."""

    spellings: str = text(SPELLINGS, many=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "tungsten_terms"


class Processes(Term):
    """Welding and cutting processes: AWS letters with ISO 4063 numbers."""

    work: str = choice("what the process does", ("welding", "cutting"))
    iso_4063: str = text("reference number of ISO 4063")
    spellings: str = text(SPELLINGS, many=True)
    source_id: str = source_id()
    locator: str = locator()
    how_read: str = how_read()
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "processes"


class Positions(Term):
    """Welding positions of AWS with those of ISO 6947."""

    iso_6947: str = text("designation of ISO 6947")
    passes_through: str = reference(
        "positions that the weld passes through on its way round a pipe, but those that limit "
        "nothing further: rows for them may fail a value and never pass one",
        "positions.term",
        empty=True,
        many=True,
    )
    spellings: str = text(SPELLINGS, many=True)
    source_id: str = source_id()
    locator: str = locator()
    how_read: str = how_read()
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "positions"


class ElectrodeClasses(Term):
    """Classes of covered electrodes, wires and rods."""

    standard: str = text("the standard that defines the class")
    spellings: str = text(SPELLINGS, many=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "electrode_classes"


class MaterialGroups(Table):
    """Which grade belongs to which group of a code: preheat categories, P-Numbers."""

    material: str = reference("the grade that belongs to the group", "materials.term")
    group: str = reference("the group it belongs to, a term too", "materials.term")
    source_id: str = source_id()
    locator: str = locator()
    how_read: str = how_read()
    status: str = status()
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name and key of the table."""

        name = "material_groups"
        unique = ["material", "group"]


class Gases(Table):
    """Gases and mixtures; what is in them stands in gas_components."""

    term: str = key("the one spelling that tables store", unique=True)
    name: str = key("plain name")
    spellings: str = text(SPELLINGS, many=True)
    source_id: str = reference("the document", "sources.source_id", empty=True)
    locator: str = locator()
    how_read: str = choice("evidence grade of the composition", GRADES, empty=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "gases"


class GasComponents(Table):
    """What a gas is made of: the least and greatest share of each component."""

    gas: str = reference("the gas whose component it is", "gases.term")
    component: str = choice(
        "chemical symbol of the component",
        (
            "Ar",
            "He",
            "CO2",
            "O2",
            "H2",
            "N2",
            "air",
            "C2H2",
            "C2H4",
            "C3H4",
            "C3H6",
            "C3H8",
            "C4H10",
            "CH4",
        ),
    )
    min: float = number("least share", unit="%", at_least=0, at_most=100)
    max: float = number("greatest share", unit="%", at_least=0, at_most=100)
    min_inclusive: str = truth("whether the least share belongs to the range", empty=False)
    max_inclusive: str = truth("whether the greatest share belongs to the range", empty=False)

    class Config(Table.Config):
        """Name and key of the table."""

        name = "gas_components"
        unique = ["gas", "component"]

    @pa.dataframe_check(error="min must not be above max")
    @classmethod
    def shares_rise(cls, df: pd.DataFrame) -> pd.Series[bool]:
        """Compare the ends of the range."""
        return df["min"] <= df["max"]


class ElectrodeSizes(Table):
    """Sizes of electrodes and wires as labels: a size is matched by label, never by conversion."""

    size: str = key("the printed label with its unit", unique=True)
    inch: float = number("nominal size", unit="in", empty=True, above=0)
    mm: float = number("nominal size", unit="mm", empty=True, above=0)
    also_sold_as: str = reference(
        "labels under which the trade sells the same size",
        "electrode_sizes.size",
        empty=True,
        many=True,
    )
    spellings: str = text(SPELLINGS, many=True)
    source_id: str = reference("the document", "sources.source_id", empty=True)
    locator: str = locator()
    how_read: str = choice("evidence grade of the equivalence", GRADES, empty=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "electrode_sizes"

    @pa.dataframe_check(error="a size is either in inches or in millimetres")
    @classmethod
    def one_unit(cls, df: pd.DataFrame) -> pd.Series[bool]:
        """Leave the other unit to also_sold_as."""
        return df["inch"].notna() != df["mm"].notna()


class Units(Table):
    """Units as printed, with what pint calls them."""

    unit: str = key("the one spelling that tables store", unique=True)
    dimension: str = key("kind of quantity")
    pint_expression: str = key("the unit for pint")
    spellings: str = text(SPELLINGS, many=True)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "units"


class Quantities(Table):
    """Quantities that a window can be about."""

    quantity: str = key("the one spelling that tables store", unique=True)
    name: str = key("plain name")
    dimension: str = reference("kind of quantity", "units.dimension")
    si_unit: str = reference("unit of the computed columns", "units.unit")
    us_unit: str = reference("unit of a bare number with US units", "units.unit")
    metric_unit: str = reference("unit of a bare number with metric units", "units.unit")
    plausible_min: float = number(
        "below this a value is a slip, in plausible_unit", unit_in="plausible_unit"
    )
    plausible_max: float = number(
        "above this a value is a slip, in plausible_unit", unit_in="plausible_unit"
    )
    plausible_unit: str = reference("unit of the plausible limits", "units.unit")
    set_on_machine: str = truth(
        "whether it is set on the machine: one side of such a setting is a bound, not a window",
        empty=False,
    )
    spellings: str = text(SPELLINGS, many=True)
    remark: str = text("what a reader should know; the limits catch slips and are not published")

    class Config(Table.Config):
        """Name of the table."""

        name = "quantities"


class Drivers(Table):
    """Conditions that a quantity is known to depend on: a row silent on one passes no value."""

    process: str = reference("process, with its kinds; empty for any", "processes.term", empty=True)
    quantity: str = reference("quantity that depends on it", "quantities.quantity")
    condition: str = text(
        "condition of the windows; of several separated by '; ' any one will do", many=True
    )
    reason: str = key("why the quantity depends on it")

    class Config(Table.Config):
        """Name and key of the table."""

        name = "drivers"
        unique = ["process", "quantity", "condition"]


class CardQuantities(Table):
    """What a bench card shows for a process, in the order in which it is set."""

    process: str = reference("process, with its kinds", "processes.term")
    quantity: str = reference("quantity on the card", "quantities.quantity")
    leads: str = truth("whether a printed line has to hold it to lead the card", empty=False)

    class Config(Table.Config):
        """Name and key of the table."""

        name = "card_quantities"
        unique = ["process", "quantity"]


class Cautions(Table):
    """The usual cautions, what kills first, and what calls for them."""

    caution: str = key("key of the caution", unique=True)
    processes: str = reference(
        "processes that call for it; empty: all", "processes.term", empty=True, many=True
    )
    materials: str = reference(
        "base metals that call for it; empty: all", "materials.term", empty=True, many=True
    )
    gases: str = reference(
        "gases that call for it; empty: not tied to a gas", "gases.term", empty=True, many=True
    )
    filler_classes: str = reference(
        "filler metals that call for it; empty: all",
        "electrode_classes.term",
        empty=True,
        many=True,
    )
    environment: str = choice(
        "surroundings that call for it", ("under water", "in service"), empty=True
    )
    only_if_said: str = choice(
        "true: shown only where the metal or filler that it names was said; otherwise what was "
        "left open calls for it",
        ("true",),
        empty=True,
    )
    wording: str = key("the caution in one or two sentences")
    source_id: str = source_id()
    locator: str = locator()
    how_read: str = how_read()
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "cautions"
