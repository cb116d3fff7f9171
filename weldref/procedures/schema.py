"""Make the JSON Schema of our own layout: its frame, and in it the fields of the model."""

from __future__ import annotations

import json
import types
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

from weldref.procedures.fields import all_fields
from weldref.procedures.model import (
    BaseMetal,
    Entry,
    Filler,
    Gas,
    HeatTreatment,
    Joint,
    Named,
    Pass,
    PreheatStep,
    Procedure,
    Range,
    Slip,
    SlipKind,
    Technique,
    Text,
)

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
NOT_WRITTEN = ("place", "also_at", "file", "layout", "machine_read")
"""What belongs to a file that was read, and is not written to another."""

_NAMED = {Text: "text", Range: "range", Entry: "entry", Slip: "slip", Named: "named"}


@cache
def schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a procedure in our own layout.

    >>> schema()["title"], schema()["properties"]["format"]
    ('Welding procedure', {'const': 'weldref-procedure/1'})
    """
    frame = Path(__file__).parent / "procedure.schema.json"
    made: dict[str, Any] = json.loads(frame.read_text(encoding="utf-8"))
    made["properties"] |= _properties(Procedure)
    made["$defs"]["slip"]["properties"]["kind"] = {"enum": list(get_args(SlipKind))}
    return made


def _properties(part: type) -> dict[str, Any]:
    titles = {each.name: each.title for each in all_fields() if each.area == AREAS[part]}
    hints = get_type_hints(part)
    made = {each.name: _of(hints[each.name]) for each in fields(part)
            if each.name not in NOT_WRITTEN}  # fmt: skip
    return {
        name: {"description": titles[name], **kind} if titles.get(name) else kind
        for name, kind in made.items()
    }


def _of(hint: Any) -> dict[str, Any]:
    if get_origin(hint) in (types.UnionType, Union):
        (hint,) = (one for one in get_args(hint) if one is not type(None))
    if get_origin(hint) is tuple:
        inner = get_args(hint)[0]
        if inner in (Text, Range):
            return {"$ref": f"#/$defs/{_NAMED[inner]}s"}
        return {"type": "array", "items": _of(inner)}
    if hint in _NAMED:
        return {"$ref": f"#/$defs/{_NAMED[hint]}"}
    if hint in AREAS:
        properties = _properties(hint)
        return {"type": "object", "properties": properties, "additionalProperties": False}
    return {"type": "string"}
