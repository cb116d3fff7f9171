"""The tables of published windows, of their sources and of process facts."""

from __future__ import annotations

import pandas as pd
import pandera.pandas as pa

from weldref.data.schemas.bases import SEEN_BASES, VERDICT_BASES
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


class Windows(Table):
    """Published statements: under these conditions, this range of a quantity, says this source."""

    window_id: str = key(
        "key of the row: the source, a colon and a running number",
        unique=True,
        str_matches=r"^[a-z0-9][a-z0-9.-]*:[0-9]+$",
    )
    line: str = text("rows printed on one line of a table share this id")
    process: str = reference("welding or cutting process", "processes.term", empty=True)
    transfer_mode: str = reference("transfer mode", "transfer_modes.term", empty=True)
    material: str = reference("base metal", "materials.term", empty=True)
    filler_class: str = reference("filler metal class", "electrode_classes.term", empty=True)
    tungsten_class: str = reference("tungsten class", "tungsten_terms.term", empty=True)
    electrode_size: str = reference(
        "printed size of the electrode, wire or tungsten", "electrode_sizes.size", empty=True
    )
    filler_size: str = text("printed size of the filler rod beside a tungsten")
    cup: str = text("printed size of the gas cup or nozzle")
    joint: str = reference("joint or weld type", "joints.term", empty=True)
    joint_detail: str = text("the joint as printed")
    position: str = reference("welding position", "positions.term", empty=True)
    thickness_min: float = number(
        "least thickness, in thickness_unit", unit_in="thickness_unit", empty=True, at_least=0
    )
    thickness_min_inclusive: str = truth("whether the least thickness belongs to the band")
    thickness_max: float = number(
        "greatest thickness, in thickness_unit", unit_in="thickness_unit", empty=True, above=0
    )
    thickness_max_inclusive: str = truth("whether the greatest thickness belongs to the band")
    thickness_unit: str = choice("unit as printed", ("in", "mm", "gauge"), empty=True)
    polarity: str = reference("current type and polarity", "polarities.term", empty=True)
    gas: str = reference("gas, pure or mixed", "gases.term", empty=True)
    gas_role: str = choice(
        "role of the gas",
        ("shielding", "plasma", "fuel", "assist", "purge", "backing", "trailing"),
        empty=True,
    )
    technique: str = text("technique as printed: mechanised, leftward, pulsed current ...")
    pass_: str = choice(
        "which pass of the weld", ("root", "hot", "fill", "cap"), empty=True, alias="pass"
    )
    environment: str = choice(
        "surroundings of the work; in service: live equipment",
        ("under water", "in service"),
        empty=True,
    )
    scope: str = reference(
        "specification under which alone the row binds", "specifications.term", empty=True
    )
    other_condition: str = text("a further condition that no column holds")
    quantity: str = reference("what the row is about", "quantities.quantity")
    min: float = number("lower end, in unit", unit_in="unit", empty=True)
    max: float = number("upper end, in unit", unit_in="unit", empty=True)
    typical: float = number("single setting or typical value, in unit", unit_in="unit", empty=True)
    unit: str = reference("unit as printed", "units.unit")
    basis: str = choice("what kind of statement it is", VERDICT_BASES + SEEN_BASES)
    status: str = status()
    source_id: str = source_id()
    locator: str = locator()
    how_read: str = how_read()
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "windows"

    @pa.dataframe_check(error="min, typical and max must rise: min <= typical <= max")
    @classmethod
    def values_rise(cls, df: pd.DataFrame) -> pd.Series[bool]:
        """Compare the three values where they are given."""
        low, mid, high = df["min"], df["typical"], df["max"]
        wrong = (low > high) | (low > mid) | (mid > high)
        return ~wrong

    @pa.dataframe_check(error="a row needs at least one of min, max and typical")
    @classmethod
    def has_a_value(cls, df: pd.DataFrame) -> pd.Series[bool]:
        """Refuse a statement without a number."""
        return df[["min", "max", "typical"]].notna().any(axis=1)

    @pa.dataframe_check(error="thickness_min must not be above thickness_max")
    @classmethod
    def thickness_rises(cls, df: pd.DataFrame) -> pd.Series[bool]:
        """Compare the ends of the thickness band."""
        return ~(df["thickness_min"] > df["thickness_max"])

    @pa.dataframe_check(
        error="thickness_min and thickness_max need thickness_unit and an owner of the edge: "
        "thickness_min_inclusive, thickness_max_inclusive"
    )
    @classmethod
    def thickness_is_whole(cls, df: pd.DataFrame) -> pd.Series[bool]:
        """Band edges have owners."""
        low, high = df["thickness_min"].notna(), df["thickness_max"].notna()
        return (
            ((low | high) == df["thickness_unit"].notna())
            & (low == df["thickness_min_inclusive"].notna())
            & (high == df["thickness_max_inclusive"].notna())
        )

    @pa.dataframe_check(error="a row that was read or quoted needs a locator")
    @classmethod
    def read_rows_have_a_place(cls, df: pd.DataFrame) -> pd.Series[bool]:
        """Only a recalled row may lack its place."""
        return (df["how_read"] == "memory") | df["locator"].notna()


class ProcessFacts(Table):
    """Facts about a process that nobody sets on a machine: transition currents, wind limits ..."""

    fact_id: str = key("key of the row", unique=True)
    process: str = reference("welding or cutting process", "processes.term", empty=True)
    transfer_mode: str = reference("transfer mode", "transfer_modes.term", empty=True)
    material: str = reference("base metal", "materials.term", empty=True)
    filler_class: str = reference("filler metal class", "electrode_classes.term", empty=True)
    electrode_size: str = reference("printed size", "electrode_sizes.size", empty=True)
    joint: str = reference("joint or weld type", "joints.term", empty=True)
    joint_detail: str = text("the joint as printed")
    position: str = reference("welding position", "positions.term", empty=True)
    thickness_min: float = number(
        "least thickness, in thickness_unit", unit_in="thickness_unit", empty=True, at_least=0
    )
    thickness_max: float = number(
        "greatest thickness, in thickness_unit", unit_in="thickness_unit", empty=True, above=0
    )
    thickness_unit: str = choice("unit as printed", ("in", "mm", "gauge"), empty=True)
    polarity: str = reference("current type and polarity", "polarities.term", empty=True)
    gas: str = reference("gas, pure or mixed", "gases.term", empty=True)
    environment: str = choice("surroundings of the work", ("under water",), empty=True)
    other_condition: str = text("a further condition that no column holds")
    quantity: str = key("what the row is about")
    min: float = number("lower end, in unit", unit_in="unit", empty=True)
    max: float = number("upper end, in unit", unit_in="unit", empty=True)
    typical: float = number("single value, in unit", unit_in="unit", empty=True)
    unit: str = key("unit as printed")
    basis: str = choice("what kind of statement it is", VERDICT_BASES + SEEN_BASES)
    status: str = status()
    source_id: str = source_id()
    locator: str = locator()
    how_read: str = how_read()
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "process_facts"


class Sources(Table):
    """Every document that a row points to."""

    source_id: str = key("key of the document", unique=True, str_matches=r"^[a-z0-9][a-z0-9.-]*$")
    title: str = key("title; what was seen of it is in brackets")
    issuer: str = text("who issued it")
    document_number: str = text("number of the document")
    edition: str = text("edition or year: table numbers and limits move between editions")
    address: str = text("where it was read; several addresses are separated by ' ; '")
    terms: str = text("terms of use")
    how_read: str = choice("the best grade that any part of it was read with", GRADES)
    remark: str = text("what a reader should know")

    class Config(Table.Config):
        """Name of the table."""

        name = "sources"

    @pa.dataframe_check(error="a document that was read needs the address where it was read")
    @classmethod
    def read_documents_have_an_address(cls, df: pd.DataFrame) -> pd.Series[bool]:
        """Refuse a grade that nobody can check."""
        return (df["how_read"] != "read") | df["address"].notna()


class KnownGaps(Table):
    """Bands that a printed table has and that nobody has read yet: unknown, not unpublished."""

    source_id: str = source_id()
    locator: str = locator()
    quantity: str = reference("quantity of the table", "quantities.quantity")
    material: str = reference("base metal", "materials.term", empty=True)
    thickness_unit: str = choice("unit as printed", ("in", "mm"))
    band_from: float = number("where the band that is missing begins", unit_in="thickness_unit")
    band_to: float = number("where it ends", unit_in="thickness_unit", empty=True)
    reason: str = key("why the row is missing")

    class Config(Table.Config):
        """Name and key of the table."""

        name = "known_gaps"
        unique = ["source_id", "quantity", "material", "thickness_unit", "band_from"]
