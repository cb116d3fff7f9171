"""Write a table's Table Schema from its declaration, so that the two cannot disagree."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from weldref.data.schemas.declared import declared

_TYPES = {"key": "string", "text": "string", "truth": "boolean"}
"""The type of each kind of column; any other kind is a type of its own."""

_LIMITS = {"above": "exclusiveMinimum", "at_least": "minimum", "at_most": "maximum"}


def key_of(table: str) -> tuple[str, ...]:
    """Name the columns that identify a row of a table.

    >>> key_of("windows"), key_of("material_groups")
    (('window_id',), ('material', 'group'))
    """
    single = [line["column"] for line in declared()[table].lines if line["kind"] == "key"]
    return tuple(single[:1]) or declared()[table].key


@cache
def empty_keys(table: str) -> frozenset[str]:
    """Name the columns of a table's key that may be empty.

    >>> sorted(empty_keys("minimum_fillet") & {"loading", "unit"})
    ['loading']
    """
    may_be_empty = (line["column"] for line in declared()[table].lines if line["empty"])
    return frozenset(key_of(table)).intersection(may_be_empty)


@cache
def types() -> dict[str, dict[str, str]]:
    """Return the type of every column by table: string, number, boolean, list or object.

    >>> types()["windows"]["min"]
    'number'
    """
    return {
        name: {line["column"]: _type(line) for line in table.lines}
        for name, table in declared().items()
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
    lines = declared()[table].lines
    links = []
    for line in lines:
        if line["refers_to"] and line["kind"] != "list":
            to, column = line["refers_to"].split(".")
            reference = {"resource": to, "fields": [column]}
            links.append({"fields": [line["column"]], "reference": reference})
    key = list(key_of(table))
    return {
        "fields": [_field(line) for line in lines],
        "fieldsMatch": "exact",
        "missingValues": [""],
        **({"uniqueKeys": [key]} if empty_keys(table) else {"primaryKey": key}),
        **({"foreignKeys": links} if links else {}),
    }


def _type(line: dict[str, str]) -> str:
    return _TYPES.get(line["kind"], line["kind"])


def _field(line: dict[str, str]) -> dict[str, Any]:
    kind = _type(line)
    field: dict[str, Any] = {
        "name": line["column"],
        "title": line["column"].replace("_", " ").capitalize(),
        "description": line["meaning"],
        "type": kind,
    }
    if kind == "boolean":
        field |= {"trueValues": ["true"], "falseValues": ["false"]}
    if kind == "list":
        field |= {"delimiter": "; ", "itemType": "string"}
        if line["refers_to"]:
            field["references"] = line["refers_to"]
    if line["unit"]:
        field["unit"] = line["unit"]
    if line["unit_in"]:
        field["unitColumn"] = line["unit_in"]
    # A pattern of Table Schema covers the whole cell as it is.
    pattern = line["pattern"].removeprefix("^").removesuffix("$")
    constraints: dict[str, Any] = {
        **({} if line["empty"] else {"required": True}),
        **({"unique": True} if line["kind"] == "key" else {}),
        **{name: json.loads(line[limit]) for limit, name in _LIMITS.items() if line[limit]},
        **({"enum": line["one_of"].split(" | ")} if line["one_of"] else {}),
        **({"pattern": pattern} if pattern else {}),
    }
    return {**field, "constraints": constraints} if constraints else field
