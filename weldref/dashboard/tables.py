"""Write tables as HTML that a screen reader can read and that scroll inside their own box."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeVar

from weldref.dashboard.markup import Markup, tag

T = TypeVar("T")


def of(
    caption: str,
    items: Iterable[T],
    columns: Mapping[str, Callable[[T], object]],
    *,
    numbers: Sequence[int] = (),
) -> Markup:
    """Write a table with a row for each item; `columns` gives each heading and what is below it.

    >>> made = of("Sizes", ["1"], {"size": min, "count": len})
    >>> '<th scope="row">1</th><td class="long">1</td>' in made
    True
    """
    rows = [[cell(item) for cell in columns.values()] for item in items]
    return table(caption, tuple(columns), rows, numbers=numbers)


def table(
    caption: str,
    header: Sequence[str],
    rows: Iterable[Sequence[object]],
    *,
    numbers: Sequence[int] = (),
) -> Markup:
    """Write a table of plain texts and numbers; the first cell of each row is its heading.

    `numbers` are the places of the columns that hold numbers.

    >>> made = table("Sizes", ("size", "count"), [("1/8", 2)], numbers=[1])
    >>> '<th scope="row">1/8</th><td class="n">2</td>' in made
    True
    """
    looks = ["n" if place in numbers else "" for place in range(len(header))]
    looks[-1] = looks[-1] or "long"
    heads = [
        tag("th", text, look=look, scope="col") for text, look in zip(header, looks, strict=True)
    ]
    lines = []
    for first, *others in rows:
        cells = (
            tag("td", _cell(value), look=look if value != 0 else "n zero")
            for value, look in zip(others, looks[1:], strict=True)
        )
        lines.append(tag("tr", tag("th", _cell(first), scope="row"), *cells))
    return boxed(caption, heads, [tag("tbody", *lines)])


def boxed(
    caption: str,
    heads: Iterable[Markup],
    bodies: Iterable[Markup],
    look: str = "",
    box: str = "box",
) -> Markup:
    """Write a table in a box that scrolls, also by keyboard; `look` and `box` are classes."""
    head = tag("thead", tag("tr", *heads))
    made = tag("table", tag("caption", caption), head, *bodies, look=look)
    return tag("div", made, look=box, role="region", tabindex=0, aria_label=caption)


def _cell(value: object) -> str:
    return f"{value:,}" if isinstance(value, int) else str(value)
