"""Put what no field took into `other`, and give every slip the name of its field."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from weldref.procedures.build import build
from weldref.procedures.declared import is_unit_key
from weldref.procedures.mapping import collect
from weldref.procedures.model import Entry, Procedure, Range, Slip, values
from weldref.procedures.slips import find_slips
from weldref.procedures.tree import Group, Leaf, Node


def procedure_of(
    root: Group,
    file: str = "",
    layout: str = "",
    slips: Iterable[Slip] = (),
    other: Iterable[Entry] = (),
    covered: Iterable[str] = (),
) -> Procedure:
    """Make a Procedure from a file's tree; no value of the file is lost.

    `file` and `layout` are where it comes from, `slips` and `other` what a reader noticed or could
    not place, `covered` the places that say nothing or only repeat another.

    >>> from weldref.procedures.tree import as_tree
    >>> made = procedure_of(as_tree({"WPS": "7", "shoe size": 12, "amps": "150-90"}))
    >>> made.number.text, [(entry.name, entry.text) for entry in made.other]
    ('7', [('shoe size', '12')])
    >>> [(slip.kind, slip.field) for slip in made.slips]
    [('swapped limits', 'passes[0].current'), ('unknown field', '')]
    """
    found = collect(root)
    made = build(found)
    names = _fields_by_place(made)
    keys = {node.place: key for _, key, node in _nodes(root)}
    noticed = []
    for slip in (*found.slips, *find_slips(made)):
        at = slip.field or names.get(slip.place, "")
        if at == "" or ".also[" in at:
            # What no field of the model holds by itself is called as in the file.
            at = keys.get(slip.place) or at
        noticed.append(replace(slip, field=at))
    reported = {slip.place for slip in noticed}
    taken = {*names, *found.covered, *covered}
    left: list[Entry] = []
    unknown: dict[str, Slip] = {}
    for name, key, leaf in _nodes(root):
        if not isinstance(leaf, Leaf) or leaf.blank or leaf.place in taken:
            continue
        left.append(Entry(name, leaf.text, leaf.place))
        said = found.aside.get(leaf.place, "no field takes it; kept under other")
        if name and said and not is_unit_key(key, leaf) and leaf.place not in reported:
            shown = f"{name}: {leaf.text[:80]}"
            unknown.setdefault(name, Slip("unknown field", "", shown, said, leaf.place))
    # A file of our own layout has its slips already: nothing is reported twice.
    fields = {(slip.kind, slip.field) for slip in slips if slip.field}
    prints = {(slip.kind, slip.value) for slip in slips}
    new = (
        slip
        for slip in (*noticed, *unknown.values())
        if (slip.kind, slip.field) not in fields and (slip.kind, slip.value) not in prints
    )
    return replace(
        made, other=(*other, *left), slips=_once((*slips, *new)), file=file, layout=layout
    )


def _once(slips: Iterable[Slip]) -> tuple[Slip, ...]:
    """Keep each slip once, in an order that does not depend on where it was noticed."""
    kept = {(s.kind, s.field, s.value, s.suspected): s for s in reversed(tuple(slips))}
    return tuple(kept[key] for key in sorted(kept))


def _fields_by_place(made: Procedure) -> dict[str, str]:
    """Name the field at each place; a place that several share has the name of its own value."""
    found = [(name, value) for name, value in values(made) if value.place]
    # Where a key names a process, the process has the place of its range.
    ranges = [(name, value) for name, value in found if isinstance(value, Range)]
    names: dict[str, str] = {}
    for name, value in (*ranges, *found):
        names.setdefault(value.place, name)
    for name, value in ranges:
        for place in value.also_at:
            names.setdefault(place, name)
    return names


def _nodes(node: Node, name: str = "", key: str = "") -> Iterator[tuple[str, str, Node]]:
    """Yield every value, list and group with its name, the keys above it, and the last key."""
    yield name, key, node
    if isinstance(node, Group):
        for inner, child in node.pairs:
            # A lone text of a form has no name of its own.
            yield from _nodes(child, " / ".join(filter(None, (name, inner))), inner)
    elif not isinstance(node, Leaf):
        for item in node.items:
            yield from _nodes(item, name, key)
