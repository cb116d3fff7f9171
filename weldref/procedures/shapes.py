"""Tell the shape of a part of a file: a gas mixture, a table, a text of our own layout ..."""

from __future__ import annotations

from weldref.procedures.keys import resolve, words_of
from weldref.procedures.printed import Text
from weldref.procedures.quantity import parse_quantity
from weldref.procedures.tree import Group, Items, Leaf, Node
from weldref.procedures.units import dimension_of

GASES = frozenset("ar argon he helium co2 o2 oxygen h2 hydrogen n2 nitrogen".split())
OF_A_PASS = ("current", "voltage", "travel_speed")


def is_speed(node: Node) -> bool:
    """In formulas v is the speed and U the voltage: the unit printed with the value tells."""
    return (
        isinstance(node, Leaf) and dimension_of(parse_quantity(node.text, "speed").unit) == "speed"
    )


def is_mixture(node: Group) -> bool:
    """Tell whether a group is a gas mixture such as {"Ar": 75, "CO2": 25}."""
    shares = leaves_of(node)
    return (
        bool(shares)
        and len(shares) == len(node.items)
        and GASES.issuperset(key.casefold() for key in shares)
    )


def own_text(node: Node) -> Text | None:
    """Read {"text": "DCEN", "of": "GTAW"}, as our own layout writes it."""
    if not isinstance(node, Group):
        return None
    said, of = node.items.get("text"), node.items.get("of")
    if isinstance(said, Leaf) and not said.blank and set(node.items) <= {"text", "of"}:
        return Text(said.text, of.text if isinstance(of, Leaf) else "", said.place)
    return None


def leaves_of(node: Group) -> dict[str, Leaf]:
    """Return the single values of a group, blank ones left out."""
    found = ((key, child) for key, child in node.items.items())
    return {key: child for key, child in found if isinstance(child, Leaf) and not child.blank}


def is_preheat_table(node: Items) -> bool:
    """Tell whether a list under "preheat" has a thickness in its lines."""
    return any(
        isinstance(item, Group) and any("thickness" in words_of(key) for key in item.items)
        for item in node.items
    )


def is_pass_list(node: Node) -> bool:
    """Tell whether a list holds passes, whatever it is called.

    Its groups have a current, a voltage or a travel speed, and none has the number of a procedure.

    >>> from weldref.procedures.tree import as_tree
    >>> is_pass_list(as_tree([{"layer": 1, "amps": "90-120"}])), is_pass_list(as_tree([{"no": 1}]))
    (True, False)
    """
    keys = [
        key
        for item in (node.items if isinstance(node, Items) else ())
        if isinstance(item, Group)
        for key in item.items
    ]
    found = [(resolve((key,), "pass"), resolve((key,), "procedure")) for key in keys]
    return any(one is not None and one.field.name in OF_A_PASS for one, _ in found) and not any(
        one is None and whole is not None and whole.field.target == "procedure.number"
        for one, whole in found
    )
