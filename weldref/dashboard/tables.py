"""Write a table as HTML that a screen reader can read and that scrolls inside its own box."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from html import escape
from typing import TypeVar

T = TypeVar("T")


def of(
    caption: str,
    items: Iterable[T],
    columns: Mapping[str, Callable[[T], object]],
    *,
    numbers: Sequence[int] = (),
) -> str:
    """Write a table of things: the heading of each column, and what stands in it of a thing.

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
) -> str:
    """Write a table of plain texts and numbers; the first cell of each row is its heading.

    `numbers` are the places of the columns that hold numbers.

    >>> made = table("Sizes", ("size", "count"), [("1/8", 2)], numbers=[1])
    >>> '<th scope="row">1/8</th><td class="n">2</td>' in made
    True
    """
    looks = [' class="n"' if place in numbers else "" for place in range(len(header))]
    looks[-1] = looks[-1] or ' class="long"'
    heads = "".join(
        f'<th scope="col"{look}>{escape(text)}</th>'
        for text, look in zip(header, looks, strict=True)
    )
    lines = []
    for first, *others in rows:
        cells = "".join(
            f"<td{look if value != 0 else _ZERO}>{_cell(value)}</td>"
            for value, look in zip(others, looks[1:], strict=True)
        )
        lines.append(f'<tr><th scope="row">{_cell(first)}</th>{cells}</tr>')
    return boxed(
        f"<table><caption>{escape(caption)}</caption><thead><tr>{heads}</tr></thead>"
        f"<tbody>{''.join(lines)}</tbody></table>",
        caption,
    )


_ZERO = ' class="n zero"'


def boxed(table: str, name: str) -> str:
    """Put a table into a box that scrolls, also for who uses the keyboard."""
    return f'<div class="box" role="region" tabindex="0" aria-label="{escape(name)}">{table}</div>'


def _cell(value: object) -> str:
    return f"{value:,}" if isinstance(value, int) else escape(str(value))
