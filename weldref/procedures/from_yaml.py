"""Read a YAML procedure as plain texts: no tag is obeyed and no date or number guessed.

Scalars keep their print ("010" stays "010", "no" stays "no"); the quantities are read from it
as from any other text. Tags, too many aliases and deep nesting are refused from the stream of
events, before anything is built.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from weldref.errors import InputError
from weldref.procedures import limits
from weldref.procedures.from_json import procedures_of
from weldref.procedures.model import Procedure
from weldref.procedures.tree import DEEPEST, MOST_VALUES, Pairs, Unquoted, as_tree

if TYPE_CHECKING:
    import yaml

_NUMBER = re.compile(r"-?(?:0|[1-9]\d{0,30})(?:\.\d{1,30})?(?:[eE][+-]?\d{1,3})?")
"""A number as JSON writes it."""

MOST_ALIASES = 50
MOST_EVENTS = 3 * MOST_VALUES
PLAIN_TAGS = frozenset(
    f"tag:yaml.org,2002:{name}"
    for name in ("str", "int", "float", "bool", "null", "seq", "map", "timestamp")
) | {"!"}


def read_yaml(data: bytes, name: str = "") -> tuple[Procedure, ...]:
    r"""Read the procedure of a YAML file.

    Raises `InputError` if it is not YAML, holds several documents, or exceeds a limit.

    >>> read_yaml(b"wps: 7\npasses:\n  - {amps: 90-150}\n")[0].passes[0].current.low
    90.0
    """
    import yaml

    text = limits.decode(data)
    loader: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    try:
        _check_events(yaml.parse(text, Loader=loader))
        node = yaml.compose(text, Loader=loader)
        if node is None:
            raise InputError("procedure: the file holds no field")
        value = _plain(node, 0, [MOST_VALUES])
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = f"line {mark.line + 1}: " if mark else ""
        what = error.problem or error.context or "cannot be read"
        raise InputError(f"procedure: {line}not YAML: {what}") from error
    except (yaml.YAMLError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        said = " ".join(str(error).split())[:100]
        raise InputError(f"procedure: not YAML: {said}") from error
    return procedures_of(as_tree(value), name, "yaml")


def _check_events(events: Any) -> None:
    import yaml

    depth = aliases = documents = 0
    for count, event in enumerate(events):
        if count > MOST_EVENTS:
            raise InputError(f"procedure: the file holds more than {MOST_VALUES:,} values")
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            if depth > DEEPEST:
                raise InputError(f"procedure: the file is nested more than {DEEPEST} levels deep")
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        elif isinstance(event, yaml.AliasEvent):
            aliases += 1
            if aliases > MOST_ALIASES:
                raise InputError(f"procedure: the file has more than {MOST_ALIASES} YAML aliases")
        elif isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents > 1:
                raise InputError("procedure: the file holds several YAML documents; give one")
        tag = getattr(event, "tag", None)
        if tag is not None and tag not in PLAIN_TAGS:
            line = event.start_mark.line + 1
            raise InputError(f"procedure: line {line}: the YAML tag '{tag[:60]}' is not accepted")


def _plain(node: yaml.Node, depth: int, left: list[int]) -> object:
    """Turn a node into texts, lists and pairs; an alias counts each time it is used."""
    import yaml

    left[0] -= 1
    if left[0] < 0:
        raise InputError(f"procedure: the file holds more than {MOST_VALUES:,} values")
    if depth > DEEPEST:
        raise InputError(f"procedure: the file is nested more than {DEEPEST} levels deep")
    if isinstance(node, yaml.ScalarNode):
        # The reader in C calls an unquoted scalar's style "", the one in Python None.
        empty = not node.style and node.value.casefold() in ("", "~", "null")
        if empty:
            return None
        number = not node.style and _NUMBER.fullmatch(node.value)
        return Unquoted(node.value) if number else node.value
    if isinstance(node, yaml.SequenceNode):
        return [_plain(item, depth + 1, left) for item in node.value]
    pairs = Pairs()
    merged = Pairs()
    for key, item in node.value:
        if not isinstance(key, yaml.ScalarNode):
            line = key.start_mark.line + 1
            raise InputError(f"procedure: line {line}: a YAML key must be a word")
        value = _plain(item, depth + 1, left)
        if key.value == "<<" and not key.style:
            several = value if type(value) is list else [value]
            for each in several:
                merged.extend(each if isinstance(each, Pairs) else [])
        else:
            pairs.append((key.value, value))
    stated = {key for key, _ in pairs}
    return Pairs([*pairs, *((key, value) for key, value in merged if key not in stated)])
