"""Define what every table has in common: the model's base class and the kinds of column.

A column is declared once, with its meaning, unit and what it refers to::

    class Densities(Table):
        material: str = key("material, as printed")
        density: float = number("density", unit="kg/m3", above=0)
        source_id: str = source_id()
        locator: str = locator()
        how_read: str = how_read()
        remark: str = text("what a reader should know")

        class Config(Table.Config):
            name = "densities"
            unique = ["material", "source_id", "locator"]
"""

from __future__ import annotations

from typing import Any

import pandera.pandas as pa
from pandera.api.pandas.model_config import BaseConfig

GRADES = ("read", "secondary", "memory")
"""Evidence grades, strongest first."""

STATUSES = ("uncertain", "misprint")
"""Marks of a row that is kept and shown but never gives a verdict."""


class Table(pa.DataFrameModel):
    """Base of every table: the columns declared, no others, converted to their types."""

    class Config(BaseConfig):
        """Settings shared by every table."""

        strict = True
        coerce = True
        ordered = True


def key(description: str, **more: Any) -> Any:
    """Declare a text column that may not be empty; `holds` names what the text stands for."""
    return _field(description, nullable=False, **more)


def text(description: str, **more: Any) -> Any:
    """Declare a text column that may be empty; with `many`, of values separated by "; "."""
    return _field(description, nullable=True, **more)


def choice(description: str, accepted: tuple[str, ...], *, empty: bool = False, **more: Any) -> Any:
    """Declare a text column that takes one of a few words."""
    return _field(description, nullable=empty, isin=list(accepted), **more)


def truth(description: str, *, empty: bool = True) -> Any:
    """Declare a column that says true or false."""
    return choice(description, ("true", "false"), empty=empty)


def reference(description: str, to: str, *, empty: bool = False, many: bool = False) -> Any:
    """Declare a text column whose value stands in another table's column, ``table.column``.

    With `many` a cell holds several values separated by "; ".
    """
    return _field(description, nullable=empty, references=to, many=many)


def number(
    description: str,
    *,
    unit: str = "",
    unit_in: str = "",
    empty: bool = False,
    above: float | None = None,
    at_least: float | None = None,
    at_most: float | None = None,
) -> Any:
    """Declare a numeric column with its `unit` or the column that holds it, `unit_in`.

    The unit "1" stands for a plain number: a ratio, an index, a shade.
    """
    return _field(
        description,
        nullable=empty,
        unit=unit,
        unit_in=unit_in,
        gt=above,
        ge=at_least,
        le=at_most,
    )


def source_id() -> Any:
    """Declare the column that names the document in ``sources.csv``."""
    return reference("the document, a key of sources.csv", "sources.source_id")


def locator() -> Any:
    """Declare the column that names the place in the document."""
    return text("the place in the document: table, page or clause")


def how_read() -> Any:
    """Declare the evidence grade."""
    return choice(
        "evidence grade: read in the source, secondary (quoted by another document) or memory",
        GRADES,
    )


def status() -> Any:
    """Declare the mark of a row that is shown but gives no verdict."""
    return choice(
        "empty, or why the row gives no verdict: uncertain (reading in doubt) or misprint",
        STATUSES,
        empty=True,
    )


def _field(
    description: str,
    *,
    nullable: bool,
    unit: str | None = None,
    unit_in: str | None = None,
    references: str | None = None,
    many: bool = False,
    holds: str | None = None,
    **checks: Any,
) -> Any:
    metadata = {
        "unit": unit,
        "unit_in": unit_in,
        "references": references,
        "many": many,
        "holds": holds,
    }
    kept = {name: value for name, value in checks.items() if value is not None}
    return pa.Field(
        description=description,
        nullable=nullable,
        metadata={name: value for name, value in metadata.items() if value},
        **kept,
    )
