"""Find the units that a file declares in fields of their own.

"travel_speed_unit": "in/min" holds for that field, "temperature_unit": "F" for every
temperature, a group "units" for the fields that it names; an inner group may declare others.
"""

from __future__ import annotations

from collections.abc import Iterable

from weldref.procedures.fields import Field
from weldref.procedures.keys import resolve, words_of
from weldref.procedures.tree import Group, Leaf, Node
from weldref.procedures.units import unit_of

WORDS = {
    "temperature": "temperature", "length": "length", "dimension": "length", "linear": "length",
    "speed": "speed", "flow": "flow", "heat": "heat input", "energy": "heat input",
    "time": "time", "angle": "angle",
}  # fmt: skip
"""Words before "unit" that mean a whole dimension."""

FAMILY = {"thickness": "thickness", "deposit": "thickness", "size": "size", "sizes": "size"}
_DECLARING = {
    "procedure.thickness": "thickness",
    "filler.sizes": "size",
    "pass.sizes": "size",
    "gases.shielding.flow": "gas flow",
    "pass.gas_flow": "gas flow",
}


Units = dict[str, tuple[str, str]]
"""Units that a group declares, by what they are for: each with the place of the declaration."""


def declared_in(node: Group, area: str) -> Units:
    """Read the units that a group declares.

    >>> from weldref.procedures.tree import as_tree
    >>> declared_in(as_tree({"temperature_unit": "F"}), "procedure")
    {'temperature': ('F', '/temperature_unit')}
    """
    here: Units = {}
    for key, child in node.items.items():
        subject = _subject(key)
        if subject is None:
            continue
        told = child.items if isinstance(child, Group) else {subject: child}
        for name, leaf in told.items():
            if isinstance(leaf, Leaf) and not leaf.blank:
                _declare(here, name, leaf, area)
    return here


def unit_for(to: Field, levels: Iterable[Units]) -> tuple[str, str]:
    """Return the unit declared for a field and the place of the declaration, or nothing.

    `levels` are the units of the group and of the groups around it, innermost first.

    >>> from weldref.procedures.fields import field
    >>> unit_for(field("procedure.preheat_min"), [{}, {"temperature": ("F", "/unit")}])
    ('F', '/unit')
    """
    families = [FAMILY[part] for part in to.name.split("_") if part in FAMILY]
    if to.dimension == "flow":
        families.append("gas flow")
    for level in levels:
        for name in (to.target, to.name, *families, to.dimension):
            if name and name in level:
                label, place = level[name]
                return unit_of(label, to.dimension) or label, place
    return "", ""


def _declare(here: Units, subject: str, leaf: Leaf, area: str) -> None:
    said = (leaf.text, leaf.place)
    if not subject.strip():
        # A bare "unit": it holds for what it can measure.
        dimension = next((d for d in set(WORDS.values()) if unit_of(leaf.text, d)), "")
        if dimension:
            here.setdefault(dimension, said)
        return
    words = words_of(subject)
    if len(words) == 1 and words[0] in WORDS:
        here.setdefault(WORDS[words[0]], said)
    for each in {area, "pass"}:
        match = resolve((subject,), each)
        if match is None or not match.field.numeric:
            continue
        here[match.field.target] = said
        here.setdefault(match.field.name, said)
        if family := _DECLARING.get(match.field.target):
            here.setdefault(family, said)


def _subject(key: str) -> str | None:
    """Return what a key declares a unit of: "travel speed" of "travel_speed_unit"."""
    words = words_of(key)
    if "unit" not in words or words == ("unit", "system"):
        return None
    return " ".join(word for word in words if word not in ("unit", "of"))


def is_unit_key(key: str, node: Node) -> bool:
    """Whether a value declares units and is not itself a field.

    >>> is_unit_key("thickness_unit", Leaf("in", "")), is_unit_key("units", Leaf("metric", ""))
    (True, False)
    """
    subject = _subject(key)
    if subject == "":
        bare = isinstance(node, Leaf) and unit_of(node.text) is not None
        return bare or isinstance(node, Group)
    return subject is not None
