"""Write the JSON Schema of our own layout from the model and its fields.

`scripts/update_docs.py` need not know of it: a test fails when `procedure.schema.json` is not
what `make_schema` gives.
"""

from __future__ import annotations

import types
from dataclasses import fields
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from weldref.procedures.fields import all_fields
from weldref.procedures.model import (
    BaseMetal,
    Filler,
    Gas,
    HeatTreatment,
    Joint,
    Pass,
    PreheatStep,
    Procedure,
    Technique,
)
from weldref.procedures.own_layout import FORMAT
from weldref.procedures.printed import Entry, Named, Range, Slip, Text

AREAS: dict[type, str] = {
    Procedure: "procedure",
    Pass: "pass",
    BaseMetal: "metal",
    Filler: "filler",
    Joint: "joint",
    Technique: "technique",
    Gas: "gas",
    HeatTreatment: "heat",
    PreheatStep: "step",
}
_NOT_WRITTEN = ("place", "also_at", "blank", "file", "layout", "machine_read")


def make_schema() -> dict[str, Any]:
    """Make the JSON Schema (draft 2020-12) of a procedure in our own layout.

    >>> made = make_schema()
    >>> made["properties"]["format"]
    {'const': 'weldref-procedure/1'}
    """
    whole = _object(Procedure)
    whole["properties"] = {"format": {"const": FORMAT}, **whole["properties"]}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Welding procedure",
        "description": "A WPS, pWPS or PQR as weldref writes and reads it. Values stay as printed: "
        "nothing is converted.",
        **whole,
        "required": ["format"],
        "$defs": {
            "text": {
                "description": "Words as printed; 'of' says which process or code they are about.",
                "anyOf": [
                    {"type": ["string", "number", "boolean", "null"]},
                    {
                        "type": "object",
                        "properties": {"text": {"type": "string"}, "of": {"type": "string"}},
                        "required": ["text"],
                        "additionalProperties": False,
                    },
                ],
            },
            "texts": {
                "anyOf": [
                    {"$ref": "#/$defs/text"},
                    {"type": "array", "items": {"$ref": "#/$defs/text"}},
                ]
            },
            "range": {
                "description": "One value, '90-150 A', [90, 150], or limits with their unit.",
                "anyOf": [
                    {"type": ["string", "number", "null"]},
                    {
                        "type": "array",
                        "items": {"type": ["string", "number", "null"]},
                        "maxItems": 3,
                    },
                    {"$ref": "#/$defs/limits"},
                ],
            },
            "limits": {
                "type": "object",
                "properties": {
                    "min": {"type": ["number", "null"]},
                    "max": {"type": ["number", "null"]},
                    "typical": {"type": ["number", "null"]},
                    "unit": {"type": "string"},
                    "words": {"type": "string"},
                    "of": {"type": "string"},
                    "text": {"type": "string"},
                },
                "additionalProperties": False,
            },
            "ranges": {
                "description": "One range, or several: for each process or code one.",
                "anyOf": [
                    {"$ref": "#/$defs/range"},
                    {"type": "array", "items": {"$ref": "#/$defs/limits"}},
                ],
            },
            "entry": _strings(Entry, ("name", "text")),
            "slip": _strings(Slip, ("kind", "value", "suspected")),
            "named": {
                "type": "object",
                "properties": {"name": {"type": "string"}, "value": {"$ref": "#/$defs/limits"}},
                "required": ["name", "value"],
                "additionalProperties": False,
            },
        },
    }


def _object(part: type) -> dict[str, Any]:
    titles = {each.name: each.title for each in all_fields() if each.area == AREAS[part]}
    hints = get_type_hints(part)
    properties = {}
    for each in fields(part):
        if each.name in _NOT_WRITTEN:
            continue
        made = _of(hints[each.name])
        if titles.get(each.name):
            made = {"description": titles[each.name], **made}
        properties[each.name] = made
    return {"type": "object", "properties": properties, "additionalProperties": False}


def _of(hint: Any) -> dict[str, Any]:
    if get_origin(hint) in (types.UnionType, Union):
        (hint,) = (one for one in get_args(hint) if one is not type(None))
    if get_origin(hint) is tuple:
        inner = get_args(hint)[0]
        if inner in (Text, Range):
            return {"$ref": "#/$defs/texts" if inner is Text else "#/$defs/ranges"}
        return {"type": "array", "items": _of(inner)}
    named = {Text: "text", Range: "range", Entry: "entry", Slip: "slip", Named: "named"}
    if hint in named:
        return {"$ref": f"#/$defs/{named[hint]}"}
    return _object(hint) if hint in AREAS else {"type": "string"}


def _strings(part: type, required: tuple[str, ...]) -> dict[str, Any]:
    hints = get_type_hints(part)
    properties = {}
    for each in fields(part):
        if each.name not in _NOT_WRITTEN:
            kinds = get_args(hints[each.name]) if get_origin(hints[each.name]) is Literal else ()
            properties[each.name] = {"enum": list(kinds)} if kinds else {"type": "string"}
    return {
        "type": "object",
        "properties": properties,
        "required": list(required),
        "additionalProperties": False,
    }
