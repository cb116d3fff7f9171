"""Write and read our own layout, the model's names as JSON, and make its JSON Schema."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, get_args, get_origin, get_type_hints

from weldref.errors import InputError
from weldref.procedures.build import procedure_of
from weldref.procedures.fields import GROUPS, fields_of
from weldref.procedures.model import Entry, Joint, Procedure, Range, Slip, SlipKind, Technique, Text
from weldref.procedures.tree import Group, Items, Leaf, Node, Unquoted, parts_of, pointer

FORMAT = "weldref-procedure/1"
NOT_WRITTEN = ("place", "also_at", "file", "layout", "machine_read")
"""What belongs to a file that was read, and is not written to another."""

_APART = ("format", "tests", "other", "slips")
_NAMES = {"low": "min", "high": "max"}
_DEFINED = ("text", "range", "entry", "slip", "named")
"""The types of the model that the frame of the schema defines."""


@cache
def schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a procedure in our own layout.

    >>> schema()["title"], schema()["properties"]["format"]
    ('Welding procedure', {'const': 'weldref-procedure/1'})
    """
    frame = Path(__file__).parent / "procedure.schema.json"
    made: dict[str, Any] = json.loads(frame.read_text(encoding="utf-8"))
    made["properties"] |= _properties(Procedure, "procedure")
    made["$defs"]["slip"]["properties"]["kind"] = {"enum": list(get_args(SlipKind))}
    return made


def _properties(part: type, area: str) -> dict[str, Any]:
    """List the attributes of a part of the model that are written, each with its title."""
    titles = {each.name: {"description": each.title} for each in fields_of(area) if each.title}
    return {
        name: titles.get(name, {}) | _kind(hint, GROUPS.get(name, ""))
        for name, hint in get_type_hints(part).items()
        if name not in NOT_WRITTEN
    }


def _kind(hint: Any, area: str) -> dict[str, Any]:
    if get_origin(hint) is tuple:
        inner = get_args(hint)[0]
        if inner in (Text, Range):
            return {"$ref": f"#/$defs/{inner.__name__.casefold()}s"}
        return {"type": "array", "items": _kind(inner, area)}
    hint = next(iter(get_args(hint)), hint)  # Text of "Text | None"
    name = hint.__name__.casefold()
    if name in _DEFINED:
        return {"$ref": f"#/$defs/{name}"}
    if isinstance(hint, type) and is_dataclass(hint):
        properties = _properties(hint, area)
        return {"type": "object", "properties": properties, "additionalProperties": False}
    return {"type": "string"}


def is_own(root: Group) -> bool:
    """Whether a file says that it follows our own layout."""
    said = root.items.get("format")
    return isinstance(said, Leaf) and said.text.startswith("weldref-procedure")


def read_own(root: Group, name: str, layout: str) -> Procedure:
    """Read a file of our own layout.

    Raises `InputError` if it breaks the schema; the message names the field and the place.
    """
    value = _values(root)
    check(value)
    rest = {key: _also_beside(node) for key, node in root.items.items() if key not in _APART}
    slips = [
        Slip(said["kind"], said.get("field", ""), said["value"], said["suspected"])
        for said in value.get("slips", ())
    ]
    tests, other = (
        tuple(
            Entry(said["name"], said["text"], pointer(f"{root.place}/{key}", index))
            for index, said in enumerate(value.get(key, ()))
        )
        for key in ("tests", "other")
    )
    made = procedure_of(Group(rest, root.place, root.twice), name, layout, slips, other)
    return replace(made, tests=tests)


def _also_beside(node: Node) -> Node:
    """Put "also": [{"name": ..., "value": ...}] of a pass beside its first values."""
    if isinstance(node, Items):
        return Items(tuple(_also_beside(item) for item in node.items), node.place)
    if not isinstance(node, Group) or "also" not in node.items:
        return node
    items = dict(node.items)
    also = items.pop("also")
    twice = list(node.twice)
    for item in parts_of(also):
        named = item.items if isinstance(item, Group) else {}
        label, value = named.get("name"), named.get("value")
        if isinstance(label, Leaf) and value is not None:
            twice.append((label.text, value))
    return Group(items, node.place, tuple(twice))


def _values(node: Node) -> Any:
    """Turn a tree back into plain values."""
    if isinstance(node, Leaf):
        return json.loads(node.value) if isinstance(node.value, Unquoted) else node.value
    if isinstance(node, Items):
        return [_values(item) for item in node.items]
    return {key: _values(item) for key, item in node.items.items()}


def check(value: object) -> None:
    """Check plain values against the schema.

    Raises `InputError` naming the field, its place and what is accepted.

    >>> check({"format": "weldref-procedure/1", "passes": [{"amps": 3}]})
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: procedure: /passes/0: 'amps' is not a field of the layout
    """
    from jsonschema import Draft202012Validator
    from jsonschema.exceptions import best_match

    first = next(Draft202012Validator(schema()).iter_errors(value), None)
    if first is not None and (error := best_match([first])):
        place = "".join(pointer("", step) for step in error.absolute_path)
        raise InputError(f"procedure: {place or 'the top'}: {_sentence(error)}")


def _sentence(error: Any) -> str:
    shown = json.dumps(error.instance, ensure_ascii=False, default=str)
    shown = shown if len(shown) <= 60 else shown[:57] + "..."
    said = error.validator_value
    match error.validator:
        case "additionalProperties":
            extra = next(key for key in error.instance if key not in error.schema["properties"])
            return f"'{extra[:60]}' is not a field of the layout"
        case "type":
            accepted = said if isinstance(said, str) else " or ".join(said)
            return f"{shown} is not accepted; give a value of type {accepted}"
        case "enum" | "const":
            accepted = ", ".join(map(str, said)) if isinstance(said, list) else said
            return f"{shown} is not accepted; give {accepted}"
        case "required":
            return f"'{next(key for key in said if key not in error.instance)}' is missing"
    return f"{shown} is not accepted ({error.validator})"


def as_plain(procedure: Procedure) -> dict[str, Any]:
    """Write a Procedure in our own layout, as plain values.

    >>> as_plain(Procedure(number=Text("7"), thickness=(Range(3, 6, "mm"),)))["thickness"]
    [{'min': 3, 'max': 6, 'unit': 'mm'}]
    """
    return {"format": FORMAT, **_plain(procedure)}


def to_json(procedure: Procedure) -> str:
    """Write a Procedure in our own layout, as JSON text that ends in a line feed."""
    return json.dumps(as_plain(procedure), ensure_ascii=False, indent=1) + "\n"


def _plain(part: Any) -> Any:
    if isinstance(part, Text):
        return {"text": part.text, "of": part.of} if part.of else part.text
    if isinstance(part, tuple):
        return [_plain(item) for item in part]
    if not is_dataclass(part):
        return int(part) if isinstance(part, float) and part.is_integer() else part
    made = {}
    for each in fields(part):
        value = getattr(part, each.name)
        unsaid = value in (None, (), Joint(), Technique()) or (value == "" and type(part) is Range)
        nothing = value == Range() and not value.text
        if each.name not in NOT_WRITTEN and not unsaid and not nothing:
            made[_NAMES.get(each.name, each.name)] = _plain(value)
    return made
