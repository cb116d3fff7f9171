"""Turn any file into a tree of values, each with its place."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from weldref.errors import InputError

DEEPEST = 50
MOST_VALUES = 4_000
LONGEST_TEXT = 10_000

_SPACES = re.compile(r"\s+")

Scalar = str | int | float | bool | None


def _one_space(run: re.Match[str]) -> str:
    return "\n" if "\n" in run[0] else " "


@dataclass(frozen=True, slots=True)
class Leaf:
    """One value of a file; `date` is set when a spreadsheet held it as a date."""

    value: Scalar
    place: str
    date: bool = False

    @property
    def text(self) -> str:
        """The value as text, numbers as short as they can be."""
        if self.value is None:
            return ""
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        if isinstance(self.value, float):
            return repr(self.value).removesuffix(".0")
        # Runs of spaces mean nothing, and would make every pattern slow.
        return _SPACES.sub(_one_space, str(self.value)).strip()

    @property
    def blank(self) -> bool:
        """Whether nothing is written there."""
        return self.value is None or self.text == ""


@dataclass(frozen=True, slots=True)
class Group:
    """Values under keys; `twice` holds the further values of a repeated key."""

    items: dict[str, Node]
    place: str
    twice: tuple[tuple[str, Node], ...] = field(default=())

    @property
    def pairs(self) -> tuple[tuple[str, Node], ...]:
        """Every key with its value, repeated keys last."""
        return (*self.items.items(), *self.twice)


@dataclass(frozen=True, slots=True)
class Items:
    """Values in a row."""

    items: tuple[Node, ...]
    place: str


Node = Leaf | Group | Items


def pointer(place: str, key: str | int) -> str:
    """Go one step down in a JSON pointer (RFC 6901).

    >>> pointer("/passes/0", "a/b")
    '/passes/0/a~1b'
    """
    return f"{place}/{str(key).replace('~', '~0').replace('/', '~1')}"


def check_text(text: str, place: str) -> None:
    """Raise `InputError` if a text is too long for any procedure."""
    if len(text) > LONGEST_TEXT:
        at = place or "the top"
        raise InputError(f"procedure: the text at {at} is longer than {LONGEST_TEXT:,} characters")


def parts_of(node: Node) -> tuple[Node, ...]:
    """Return the values of a list; any other node by itself."""
    return node.items if isinstance(node, Items) else (node,)


def walk(node: Node, name: str = "", key: str = "") -> Iterator[tuple[str, str, Node]]:
    """Yield every value, list and group with its name, the keys above it, and the last key."""
    yield name, key, node
    if isinstance(node, Group):
        for inner, child in node.pairs:
            # A lone text of a form has no name of its own.
            yield from walk(child, " / ".join(filter(None, (name, inner))), inner)
    elif isinstance(node, Items):
        for item in node.items:
            yield from walk(item, name, key)


def leaves(node: Node) -> Iterator[Leaf]:
    """Walk every value below a node."""
    return (each for _, _, each in walk(node) if isinstance(each, Leaf))


class Unquoted(str):
    """A number as YAML prints it: a number for our own layout, a print for any other."""


class Pairs(list[tuple[str, object]]):
    """The pairs of an object as a parser met them, so that no repeated key is lost."""


def as_tree(value: object, place: str = "") -> Node:
    """Give every value of parsed JSON or YAML its place, within the limits.

    Raises `InputError` if it is nested too deeply or holds too many or too long values.

    >>> [leaf.place for leaf in leaves(as_tree({"passes": [{"current_A": [90, 150]}]}))]
    ['/passes/0/current_A/0', '/passes/0/current_A/1']
    """
    left = [MOST_VALUES]

    def grow(value: object, place: str, depth: int) -> Node:
        left[0] -= 1
        if left[0] < 0:
            raise InputError(f"procedure: the file holds more than {MOST_VALUES:,} values")
        if depth > DEEPEST:
            raise InputError(f"procedure: the file is nested more than {DEEPEST} levels deep")
        if isinstance(value, dict):
            value = Pairs(value.items())
        if isinstance(value, Pairs):
            items: dict[str, Node] = {}
            twice = []
            for key, item in value:
                name = " ".join(str(key).split())
                at = pointer(place, str(key))
                if name in items:
                    twice.append((name, grow(item, f"{at} (again)", depth + 1)))
                else:
                    items[name] = grow(item, at, depth + 1)
            return Group(items, place, tuple(twice))
        if isinstance(value, list):
            return Items(
                tuple(grow(item, pointer(place, i), depth + 1) for i, item in enumerate(value)),
                place,
            )
        if isinstance(value, str):
            check_text(value, place)
        if value is None or isinstance(value, (str, int, float, bool)):
            return Leaf(value, place)
        raise InputError(f"procedure: {place}: a {type(value).__name__} is not expected here")

    return grow(value, place, 0)
