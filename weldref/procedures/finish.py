"""Put what no field took into `other`, and give every slip the name of its field."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from weldref.procedures.build import build
from weldref.procedures.declared import is_unit_key
from weldref.procedures.mapping import collect
from weldref.procedures.model import Procedure, values
from weldref.procedures.printed import Entry, Range, Slip
from weldref.procedures.slips import find_slips
from weldref.procedures.tree import Group, Items, Leaf, Node


def procedure_of(
    root: Group,
    file: str = "",
    layout: str = "",
    slips: Iterable[Slip] = (),
    other: Iterable[Entry] = (),
    blank: Iterable[str] = (),
) -> Procedure:
    """Make a Procedure of a file's tree; no value of the file is lost.

    Parameters
    ----------
    root
        The tree of the file.
    file, layout
        What the Procedure says of where it came from.
    slips, other
        What a reader noticed or could not place.
    blank
        Places that a reader found empty, or that only repeat another.

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
    noticed = [replace(slip, field=names.get(slip.place, "")) for slip in found.slips]
    keys = dict(_keys_by_place(root, ""))
    # What no field of the model holds by itself has the name that the file gives it.
    noticed = [
        replace(slip, field=keys.get(slip.place) or slip.field)
        if slip.field == "" or ".also[" in slip.field
        else slip
        for slip in (*noticed, *find_slips(made))
    ]
    empty = tuple(dict.fromkeys((*found.blank, *blank)))
    left, unknown = _left_over(root, {*names, *found.covered, *empty}, noticed, found.aside)
    # A file of our own layout brings its slips along: what is known of a field is not said twice.
    fields = {(slip.kind, slip.field) for slip in slips if slip.field}
    prints = {(slip.kind, slip.value) for slip in slips}
    new = (
        slip
        for slip in (*noticed, *unknown)
        if (slip.kind, slip.field) not in fields and (slip.kind, slip.value) not in prints
    )
    return replace(
        made,
        other=(*other, *left),
        slips=_once((*slips, *new)),
        blank=empty,
        file=file,
        layout=layout,
    )


def _once(slips: Iterable[Slip]) -> tuple[Slip, ...]:
    """Keep each slip once, in an order that does not depend on who noticed it."""
    kept = {(s.kind, s.field, s.value, s.suspected): s for s in reversed(tuple(slips))}
    return tuple(kept[key] for key in sorted(kept))


def _fields_by_place(made: Procedure) -> dict[str, str]:
    """Name the field that stands at each place; a shared unit comes last."""
    found = [(name, value) for name, value in values(made) if value.place]
    # Where a key names a process, the process stands at the place of its range.
    found.sort(key=lambda pair: not isinstance(pair[1], Range))
    names: dict[str, str] = {}
    for name, value in found:
        names.setdefault(value.place, name)
    for name, value in found:
        if isinstance(value, Range):
            for place in value.also_at:
                names.setdefault(place, name)
    return names


def _keys_by_place(node: Node, key: str) -> Iterator[tuple[str, str]]:
    """Say under which key of the file each value, list or group stands."""
    yield node.place, key
    if isinstance(node, Items):
        for item in node.items:
            yield from _keys_by_place(item, key)
    elif isinstance(node, Group):
        for inner, child in (*node.items.items(), *node.twice):
            yield from _keys_by_place(child, inner)


def _left_over(
    root: Group, taken: set[str], noticed: Iterable[Slip], aside: dict[str, str]
) -> tuple[list[Entry], list[Slip]]:
    """List every value that is nowhere in the model, and report each field once.

    `aside` says why a value that was read is left, or nothing where that needs no word.
    """
    reported = {slip.place for slip in noticed}
    entries: list[Entry] = []
    slips: dict[str, Slip] = {}
    for name, key, leaf in _named_leaves(root, "", ""):
        if leaf.blank or leaf.place in taken:
            continue
        entries.append(Entry(name, leaf.text, leaf.place))
        said = aside.get(leaf.place, "no field takes it; kept under other")
        if name and said and not is_unit_key(key, leaf) and leaf.place not in reported:
            shown = f"{name}: {leaf.text[:80]}"
            slips.setdefault(name, Slip("unknown field", "", shown, said, leaf.place))
    return entries, list(slips.values())


def _named_leaves(node: Node, name: str, key: str) -> Iterator[tuple[str, str, Leaf]]:
    """Walk every value with the keys above it as its name."""
    if isinstance(node, Leaf):
        yield name, key, node
    elif isinstance(node, Items):
        for item in node.items:
            yield from _named_leaves(item, name, key)
    else:
        for inner, child in (*node.items.items(), *node.twice):
            # A lone text of a form has no name of its own.
            yield from _named_leaves(child, " / ".join(filter(None, (name, inner))), inner)
