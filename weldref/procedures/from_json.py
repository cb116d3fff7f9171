"""Read a JSON procedure: our own layout by its schema, any other by its keys."""

from __future__ import annotations

import json

from weldref.errors import InputError
from weldref.procedures import limits
from weldref.procedures.build import procedure_of
from weldref.procedures.keys import resolve
from weldref.procedures.model import Procedure
from weldref.procedures.own_layout import is_own, read_own
from weldref.procedures.tree import Group, Items, Leaf, Node, Pairs, as_tree, parts_of


def read_json(data: bytes, name: str = "") -> tuple[Procedure, ...]:
    """Read the procedures of a JSON file.

    Raises `InputError` if it is not JSON, exceeds a limit, or breaks the schema of our own
    layout.

    >>> read_json(b'{"wps": "7", "passes": [{"amps": [90, 150]}]}')[0].passes[0].current.high
    150.0
    """
    text = limits.decode(data)
    try:
        value = json.loads(text, object_pairs_hook=Pairs)
    except RecursionError as error:
        raise InputError("procedure: the JSON is nested too deeply") from error
    except json.JSONDecodeError as error:
        raise InputError(
            f"procedure: line {error.lineno}, column {error.colno}: not JSON: {error.msg}"
        ) from error
    except ValueError as error:  # a number of more than 4,300 digits
        raise InputError(f"procedure: not JSON: {str(error)[:80]}") from error
    return procedures_of(as_tree(value), name, "json")


def procedures_of(root: Node, name: str, layout: str) -> tuple[Procedure, ...]:
    """Make the procedures of a tree: one, or a list of them."""
    return tuple(
        read_own(group, name, layout) if is_own(group) else procedure_of(group, name, layout)
        for group in _groups(root)
    )


def _groups(root: Node) -> tuple[Group, ...]:
    """Find the group of each procedure: the root, what it alone holds, or each of a list."""
    if isinstance(root, Leaf):
        raise InputError("procedure: the file holds a single value; give a procedure's fields")
    if isinstance(root, Items):
        groups = tuple(item for item in root.items if isinstance(item, Group))
        if not groups or len(groups) < len(root.items):
            raise InputError("procedure: the file holds a list of values, not of procedures")
        if all(_is_pass(group) for group in groups):
            return (Group({"passes": root}, root.place),)
        return groups
    if len(root.items) == 1 and not root.twice:
        (inner,) = root.items.values()
        parts = parts_of(inner)
        inside = [part for part in parts if isinstance(part, Group) and not _is_pass(part)]
        lone = isinstance(inner, Group) and len(inner.items) < 2
        whole = len(inside) == len(parts) > 0 and not lone
        match = resolve(tuple(root.items), "procedure")
        if whole and (match is None or match.field.name == "number"):
            return _groups(inner)
    if not root.items:
        raise InputError("procedure: the file holds no field")
    return (root,)


def _is_pass(group: Group) -> bool:
    """Whether a group is about one pass: a current or the like, and no field of a procedure."""
    kinds = [(resolve((key,), "pass"), resolve((key,), "procedure")) for key in group.items]
    electrical = sum(1 for one, _ in kinds if one is not None and one.field.dimension)
    own = sum(1 for one, whole in kinds if one is None and whole is not None)
    return electrical > 0 and own == 0
