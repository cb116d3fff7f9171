"""Write a table as HTML that a screen reader can read and that scrolls inside its own box."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

CSS = """
.box { overflow: auto; max-width: 100%; max-height: 44rem; border-bottom: 1px solid #c3ccd3; }
.box tbody:last-child tr:last-child > * { border-bottom: 0; }
.box table { border-collapse: collapse; width: auto; min-width: min(100%, 40rem);
  font-variant-numeric: tabular-nums; }
.box caption { text-align: left; color: #4a5764; padding: 0 0 .3rem; caption-side: top; }
.box th, .box td { border: 0; border-bottom: 1px solid #c3ccd3; padding: .35rem .7rem .35rem .2rem;
  text-align: left; vertical-align: top; line-height: 1.4; }
.box thead th { border-bottom: 2px solid #66737f; font-weight: 650; vertical-align: bottom;
  position: sticky; top: 0; z-index: 1; background: #fff; }
.box tbody th { font-weight: 400; overflow-wrap: anywhere; min-width: 6rem; }
.box td { white-space: nowrap; }
.box .long, .box .sides td { white-space: normal; }
.box .long { min-width: 9rem; max-width: 40rem; }
.box .n { text-align: right; white-space: nowrap; padding-left: .5rem; }
.box .zero { color: #66737f; }
@media print { .box { overflow: visible; max-height: none; } }
"""


def table(
    caption: str,
    header: Sequence[str],
    rows: Iterable[Sequence[object]],
    *,
    numbers: Sequence[int] = (),
) -> str:
    """Write a table; the first cell of each row is its heading.

    Parameters
    ----------
    caption
        What the table shows.
    header, rows
        Plain texts and numbers; they are escaped here.
    numbers
        The places of the columns that hold numbers.

    Examples
    --------
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
