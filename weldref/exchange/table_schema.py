"""Write a table's Table Schema from its declaration, so that the two cannot disagree."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from weldref.data.schemas.declared import declared
from weldref.data.schemas.schema import TRUTHS, schema_of

_CONSTRAINTS = {
    "greater_than": ("exclusiveMinimum", "min_value"),
    "greater_than_or_equal_to": ("minimum", "min_value"),
    "less_than": ("exclusiveMaximum", "max_value"),
    "less_than_or_equal_to": ("maximum", "max_value"),
}


def key_of(table: str) -> tuple[str, ...]:
    """Name the columns that identify a row of a table.

    >>> key_of("windows"), key_of("material_groups")
    (('window_id',), ('material', 'group'))
    """
    schema = schema_of(table)
    single = [str(name) for name, column in schema.columns.items() if column.unique]
    return tuple(single[:1] or map(str, schema.unique or ()))


@cache
def empty_keys(table: str) -> frozenset[str]:
    """Name the columns of a table's key that may be empty.

    >>> sorted(empty_keys("minimum_fillet") & {"loading", "unit"})
    ['loading']
    """
    schema = schema_of(table)
    return frozenset(name for name in key_of(table) if schema.columns[name].nullable)


@cache
def types() -> dict[str, dict[str, str]]:
    """Return the type of every column by table: string, number, boolean, list or object.

    >>> types()["windows"]["min"]
    'number'
    """
    return {
        table: {str(name): _type(column) for name, column in schema_of(table).columns.items()}
        for table in declared()
    }


def table_schema(table: str) -> dict[str, Any]:
    """Write the Table Schema (Data Package v2) of a table.

    A number has the property `unit` ("1" for a plain number) or `unitColumn`, the column that
    holds its unit. A column that refers to several rows of another table at once has the
    property `references`, since a foreign key cannot say that.

    Returns
    -------
    dict
        With ``fields``, the key, foreign keys and the text of an empty cell. A key of which a
        part may be empty is a unique key: a primary key may not have empty cells.

    Examples
    --------
    >>> table_schema("known_gaps")["fields"][5]["unitColumn"]
    'thickness_unit'
    """
    schema = schema_of(table)
    fields, links = [], []
    for name, column in schema.columns.items():
        metadata = column.metadata or {}
        fields.append(_field(str(name), column, metadata))
        if "references" in metadata and not metadata.get("many"):
            to, _, wanted = str(metadata["references"]).partition(".")
            reference = {"resource": to, "fields": [wanted]}
            links.append({"fields": [str(name)], "reference": reference})
    key = list(key_of(table))
    may_be_empty = any(schema.columns[name].nullable for name in key)
    return {
        "fields": fields,
        "fieldsMatch": "exact",
        "missingValues": [""],
        **({"uniqueKeys": [key]} if may_be_empty else {"primaryKey": key}),
        **({"foreignKeys": links} if links else {}),
    }


def _type(column: Any) -> str:
    metadata = column.metadata or {}
    if str(column.dtype) == "float64":
        return "number"
    if any(check.statistics.get("allowed_values") == TRUTHS for check in column.checks):
        return "boolean"
    return "list" if metadata.get("many") else str(metadata.get("holds", "string"))


def _field(name: str, column: Any, metadata: dict[str, Any]) -> dict[str, Any]:
    kind = _type(column)
    field: dict[str, Any] = {
        "name": name,
        "title": name.replace("_", " ").capitalize(),
        "description": str(column.description),
        "type": kind,
    }
    if kind == "boolean":
        field |= {"trueValues": ["true"], "falseValues": ["false"]}
    if kind == "list":
        field |= {"delimiter": "; ", "itemType": "string"}
        if "references" in metadata:
            field["references"] = metadata["references"]
    if "unit" in metadata:
        field["unit"] = metadata["unit"]
    if "unit_in" in metadata:
        field["unitColumn"] = metadata["unit_in"]
    constraints = _constraints(column, kind)
    return {**field, "constraints": constraints} if constraints else field


def _constraints(column: Any, kind: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    if not column.nullable:
        found["required"] = True
    if column.unique:
        found["unique"] = True
    for check in column.checks:
        if check.name in _CONSTRAINTS:
            name, statistic = _CONSTRAINTS[check.name]
            found[name] = check.statistics[statistic]
        elif check.name == "isin" and kind != "boolean":
            found["enum"] = list(check.statistics["allowed_values"])
        elif check.name == "str_matches":
            # A pattern of Table Schema covers the whole cell as it is.
            found["pattern"] = re.sub(r"^\^|\$$", "", _pattern(check.statistics["pattern"]))
    return found


def _pattern(pattern: str | re.Pattern[str]) -> str:
    return pattern if isinstance(pattern, str) else pattern.pattern
