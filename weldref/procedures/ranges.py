"""Turn a part of a file into ranges, from numbers, texts, lists and groups.

A range may come as a number, as "90-150 A", as [90, 150], as {"min": 90, "max": 150}, as
{"GTAW": ..., "GMAW": ...}, or in two fields, one for each limit: `merge` joins those at the end.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from weldref.procedures.describe import by_process
from weldref.procedures.fields import Field
from weldref.procedures.keys import Match, side_of
from weldref.procedures.model import Text
from weldref.procedures.quantity import Doubt, Quantity, parse_quantity
from weldref.procedures.tree import Group, Items, Leaf, Node
from weldref.procedures.units import unit_of

ONE_UNIT = {"current": "A", "voltage": "V"}
"""Quantities with one unit only, which need not be printed."""

MOST_SIZES = 8
"""No text lists more sizes."""

FRACTION = re.compile(r"\d/(?:2|4|8|16|32|64)\b")
"""A size written so is in inches, whether it says so or not."""


def quantities(node: Node, ask: Match) -> list[Quantity]:
    """Read every range of a part of a file; whatever is not a range is skipped.

    >>> from weldref.procedures.fields import field
    >>> from weldref.procedures.tree import as_tree
    >>> current = Match(field("pass.current"))
    >>> for given in ([90, 150], "90-150 A", {"min": 90, "max": 150, "unit": "A"}):
    ...     print(quantities(as_tree(given), current)[0])
    90 to 150 A
    90 to 150 A
    90 to 150 A
    """
    if isinstance(node, Leaf):
        return _leaf(node, ask)
    if isinstance(node, Items):
        return _items(node, ask)
    return _group(node, ask)


def _leaf(leaf: Leaf, ask: Match) -> list[Quantity]:
    if leaf.blank:
        return []
    if isinstance(leaf.value, str) and ask.field.kind == "ranges" and not ask.of:
        parts = by_process(Text(leaf.text))
        if all(part.of[:1].isalpha() for part in parts):  # "111 mm" is not a process
            return [
                each
                for part in parts
                for each in _leaf(replace(leaf, value=part.text), replace(ask, of=part.of))
            ]
    if ask.field.kind == "sizes" and isinstance(leaf.value, str) and not leaf.date:
        return _sizes(leaf, ask)
    return [_placed(_quantity(leaf, ask.field.dimension), leaf.text, leaf, ask)]


def _quantity(leaf: Leaf, dimension: str) -> Quantity:
    """Read one value."""
    if leaf.date:
        return parse_quantity(leaf.text[:10], dimension)
    if isinstance(leaf.value, bool):
        doubt: Doubt = ("text for a number", "yes or no where a number is expected")
        return Quantity(words=leaf.text, doubts=(doubt,))
    if not isinstance(leaf.value, (int, float)):
        return parse_quantity(leaf.text, dimension)
    try:
        number = float(leaf.value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        return Quantity(words=leaf.text[:40], doubts=(("not a number", "not a number"),))
    return Quantity(low=number, high=number, alone=True)


def _sizes(leaf: Leaf, ask: Match) -> list[Quantity]:
    """Read "1/8, 5/32 in" or ".035/.045" as separate sizes."""
    text = re.sub("[øØ⌀]", "", leaf.text)
    parts: list[str] = []
    for part in re.split(
        r",\s+|,(?=[.\d]+/)|(?<=/\d),|(?<=/\d\d),|,(?=\.)|[;&]|\band\b|\bor\b|\s/\s", text
    ):
        decimals = re.fullmatch(r"\s*\d*\.\d+\s*/\s*\d*\.\d+.*", part)
        parts += [size for size in (part.split("/") if decimals else [part]) if size.strip()]
    if len(parts) > MOST_SIZES:
        parts = [text]
    found = [parse_quantity(part.strip(), ask.field.dimension) for part in parts]
    if len(found) > 1 and not all(q.low is not None for q in found):
        found, parts = [parse_quantity(text, ask.field.dimension)], [text]
    last = found[-1].unit if found else ""
    return [
        _placed(replace(q, unit=q.unit or last), part.strip(), leaf, ask)
        for q, part in zip(found, parts, strict=True)
    ]


def _items(node: Items, ask: Match) -> list[Quantity]:
    given = [item for item in node.items if not (isinstance(item, Leaf) and item.blank)]
    plain = [item for item in given if isinstance(item, Leaf)]
    if len(plain) < len(given):
        # A list of lists or of groups, each a range of its own.
        return [each for item in given for each in quantities(item, ask)]
    dimension = ask.field.dimension
    if len(plain) > 1 and (unit := unit_of(plain[-1].text, dimension)):
        ask = replace(ask, unit=unit, unit_place=plain[-1].place)
        plain.pop()
    read = [_quantity(item, dimension) for item in plain]
    pair = len(node.items) == 2 and len(read) == 1 and read[0].alone
    if (
        ask.field.kind == "sizes"
        or (len(plain) < 2 and not pair)
        # Each text is a range of its own: ["60-113 A", "60-118 A"].
        or any(not q.alone and q.low != q.high for q in read)
    ):
        return [each for item in plain for each in _leaf(item, ask)]
    doubts = [doubt for q in read for doubt in q.doubts]
    numbers = [q.low for q in read if q.low is not None]
    if pair:
        # [90, null] leaves the upper limit open.
        low = read[0].low if plain[0] is node.items[0] else None
        high = read[0].high if low is None else None
    elif len(read) == 2:
        low, high = read[0].low, read[1].low
    else:
        low, high = min(numbers, default=None), max(numbers, default=None)
        doubts.append(("several numbers", "more than two numbers: the least and the greatest"))
    units = {q.unit for q in read if q.unit}
    if len(units) > 1:
        doubts.append(("unknown unit", f"limits in two units: {', '.join(sorted(units))}"))
    found = Quantity(
        low=low,
        high=high,
        unit=units.pop() if len(units) == 1 else "",
        words="; ".join(dict.fromkeys(q.words for q in read if q.words)),
        doubts=tuple(doubts),
    )
    whole = _placed(found, " to ".join(item.text for item in plain), plain[0], ask)
    also = tuple(dict.fromkeys((*(item.place for item in plain), *whole.also_at)))
    return [replace(whole, place=node.place, also_at=also)]


def _group(node: Group, ask: Match) -> list[Quantity]:
    """Read {"min": 90, "max": 150, "unit": "A"}, or a range for each process."""
    parts: dict[str, Leaf] = {}
    found: list[Quantity] = []
    for key, child in node.items.items():
        side = side_of(key)
        if side and isinstance(child, Leaf):
            parts.setdefault(side, child)
        elif side in ("value", "low", "high", "typical"):
            found += quantities(child, replace(ask, side=ask.side if side == "value" else side))
    also = [parts["of"].place] if "of" in parts else []
    parts = {side: leaf for side, leaf in parts.items() if side == "value" or not leaf.blank}
    if "of" in parts:
        ask = replace(ask, of=parts["of"].text)
    if unit := parts.get("unit"):
        label = unit_of(unit.text, ask.field.dimension) or unit.text
        ask = replace(ask, declared=label, unit_place=unit.place)
    printed, words = parts.get("text"), parts.get("words")
    also += [leaf.place for leaf in (printed, words) if leaf is not None]
    numbers = {side: parts[side] for side in ("low", "high", "typical") if side in parts}
    if "value" in parts:
        found += quantities(parts["value"], ask)
    elif not numbers and printed is not None and words is None and not found:
        found += quantities(printed, ask)
    for side, leaf in numbers.items():
        found += quantities(leaf, replace(ask, side=side))
    made = (replace(each, of=ask.of, also_at=(*each.also_at, *also)) for each in found)
    # A group gives the whole range: its limits are not joined with others.
    merged = [replace(each, side="") for each in merge(made)]
    if merged and (printed or words):
        first = merged[0]
        merged[0] = replace(
            first,
            words=words.text if words else first.words,
            text=printed.text if printed else first.text,
            place=node.place or first.place,
            also_at=(*first.also_at, first.place),
        )
    elif words is not None:
        # Words alone were read before: they are not judged again.
        only = Quantity(
            words=words.text,
            unit=ask.declared,
            of=ask.of,
            text=printed.text if printed else words.text,
            place=words.place,
            also_at=tuple(filter(None, (*also, ask.unit_place))),
            doubts=_unit_doubt(ask.declared, ask.field),
        )
        merged = [only]
    return merged


def _placed(found: Quantity, text: str, leaf: Leaf, ask: Match) -> Quantity:
    """Complete a quantity: its place, the unit that holds for it, the limit that it is."""
    doubts = list(found.doubts)
    unit = found.unit or ask.unit or ask.declared or ONE_UNIT.get(ask.field.dimension, "")
    if not unit and ask.field.dimension == "length" and found.low and FRACTION.search(text):
        unit = "in"
    doubts += _unit_doubt("" if found.unit else unit, ask.field)
    low, high = found.low, found.high
    if found.alone:
        side = ask.side or ask.field.side
        low = None if side in ("high", "typical") else low
        high = None if side in ("low", "typical") else high
    typical = found.low if ask.side == "typical" and found.alone else found.typical
    no_low, no_high = low == 0 and ask.field.zero == "never", high == 0 and ask.field.zero != "may"
    if no_low or no_high:
        doubts.append(("zero", "0 is not possible: read as not stated"))
    low, high = None if no_low else low, None if no_high else high
    if ask.field.dimension not in ("temperature", "angle") and any(
        number is not None and number < 0 for number in (low, high, typical)
    ):
        doubts.append(("negative", "below zero"))
    plain = Match(ask.field, side=ask.side, of=ask.of)  # the second unit is printed with it
    again = [_placed(second, "", leaf, plain) for second in found.again]
    return replace(
        found,
        low=low,
        high=high,
        typical=typical,
        unit=unit,
        of=ask.of,
        text=text,
        place=leaf.place,
        also_at=(ask.unit_place,) if ask.unit_place else (),
        side=ask.side if found.alone else "",
        doubts=tuple(doubts),
        again=tuple(replace(second, text=str(second)) for second in again),
    )


def _unit_doubt(unit: str, field: Field) -> tuple[Doubt, ...]:
    if not unit or unit_of(unit, field.dimension) is not None:
        return ()
    what = field.dimension or "a plain number"
    return (("unknown unit", f"'{unit}' is not a unit of {what}"),)


def merge(found: Iterable[Quantity]) -> list[Quantity]:
    """Join limits that were given separately: each minimum with its maximum.

    >>> apart = [Quantity(90, unit="A", side="low"), Quantity(None, 150, unit="A", side="high")]
    >>> [str(each) for each in merge(apart)]
    ['90 to 150 A']
    """
    done: list[Quantity] = []
    still_open: dict[str, list[int]] = defaultdict(list)
    for each in found:
        near = still_open[each.of][-MOST_SIZES:]
        partner = next(
            (i for i in near if (done[i].side or each.side) and _fits(done[i], each)), None
        )
        if partner is None:
            still_open[each.of].append(len(done))
            done.append(each)
            continue
        a, b = done[partner], each
        if a.side == "high" and b.side == "low":
            a, b = b, a
        done[partner] = replace(
            a,
            low=a.low if a.low is not None else b.low,
            high=a.high if a.high is not None else b.high,
            unit=a.unit or b.unit,
            words="; ".join(dict.fromkeys(filter(None, (a.words, b.words)))),
            typical=a.typical if a.typical is not None else b.typical,
            text=" to ".join(dict.fromkeys(filter(None, (a.text, b.text)))),
            also_at=tuple(dict.fromkeys((b.place, *a.also_at, *b.also_at))),
            side="both",  # a third part may still join
            doubts=(*a.doubts, *b.doubts),
            again=(*a.again, *b.again),
        )
    return done


def _fits(a: Quantity, b: Quantity) -> bool:
    """Whether two quantities are about the same thing and do not give one limit twice."""
    if a.of != b.of or (a.unit and b.unit and a.unit != b.unit):
        return False
    return not any(
        x is not None and y is not None
        for x, y in ((a.low, b.low), (a.high, b.high), (a.typical, b.typical))
    )
