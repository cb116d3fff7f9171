"""Count what is published, by process, metal and quantity, and show the gaps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from html import escape

import streamlit as st

from weldref.dashboard import tables, widgets
from weldref.data.catalogue import FAMILIES, Coverage, coverage
from weldref.data.store import Store

TAB = "coverage"
METALS = (*FAMILIES, "other", "not stated")
Counts = dict[tuple[str, str], tuple[int, int]]


def draw(store: Store) -> None:
    """Draw the tab."""
    every = _coverage(store.digest)
    names = widgets.quantities(store)
    known = [name for name in names if any(one.quantity == name for one in every)]
    # In the order of their table, also those without a row.
    processes = dict(widgets.offered(store, "process"))
    for one in every:
        processes.setdefault(one.process, one.process)
    printed = sum(one.read + one.secondary for one in every)
    recalled = sum(one.memory for one in every)
    st.html(
        f"<h2>{printed:,} published rows give a verdict <span>{recalled:,} more are from memory, "
        "and never pass or fail anything</span></h2>"
    )
    with st.container(key=f"{TAB}-entries"):
        quantity: str | None = widgets.one_of(
            "Quantity", {name: names[name] for name in known}, f"{TAB}-quantity",
            index=None, placeholder="all", width=widgets.WIDE,
        )  # fmt: skip
    chosen = [one for one in every if quantity in (None, one.quantity)]
    what = names[quantity] if quantity else "All quantities"
    counts = count(chosen, lambda one: one.process)
    st.html(grid(f"{what}: rows by process and metal", "process", [*processes.items()], counts))
    with st.container(key=f"{TAB}-process-entries"):
        process: str = widgets.one_of("Process", processes, f"{TAB}-process", width=widgets.WIDE)
    counts = count((one for one in every if one.process == process), lambda one: one.quantity)
    said = {quantity for quantity, _ in counts}
    lines = [(name, names[name]) for name in known if name in said]
    st.html(grid(f"{process}: rows by quantity and metal", "quantity", lines, counts))
    if unsaid := ", ".join(names[name] for name in known if name not in said):
        widgets.note(f"no row of {process} for any metal: {unsaid}")


@lru_cache(maxsize=2)
def _coverage(_digest: str) -> tuple[Coverage, ...]:
    return tuple(coverage())


def count(some: Iterable[Coverage], of: Callable[[Coverage], str]) -> Counts:
    """Count printed and recalled rows for each pair of a line's name and a metal.

    >>> count([Coverage("SMAW", "steel", "current", 2, 1, 4)], lambda one: one.process)
    {('SMAW', 'steel'): (3, 4)}
    """
    found: Counts = defaultdict(lambda: (0, 0))
    for one in some:
        printed, recalled = found[of(one), one.material]
        printed += one.read + one.secondary
        found[of(one), one.material] = (printed, recalled + one.memory)
    return dict(found)


def grid(caption: str, first: str, lines: Sequence[tuple[str, str]], counts: Counts) -> str:
    """Write a map: a number in every cell, the shade repeats it, and empty cells say "none"."""
    metals = [metal for metal in METALS if any(key[1] == metal for key in counts)]
    heads = "".join(f'<th scope="col" class="n">{escape(metal)}</th>' for metal in metals)
    body = []
    for name, title in lines:
        cells = "".join(_cell(*counts.get((name, metal), (0, 0))) for metal in metals)
        short, _, long = title.partition(": ")
        more = f" <span>{escape(long)}</span>" if long else ""
        body.append(f'<tr><th scope="row">{escape(short)}{more}</th>{cells}</tr>')
    return tables.boxed(
        f'<table class="map"><caption>{escape(caption)}</caption>'
        f'<thead><tr><th scope="col">{first}</th>{heads}</tr></thead>'
        f"<tbody>{''.join(body)}</tbody></table>",
        caption,
    )


def _cell(printed: int, recalled: int) -> str:
    """Write one cell.

    >>> _cell(0, 0), _cell(12, 3)
    ('<td class="none">none</td>', '<td class="some">12 <span>+ 3 memory</span></td>')
    """
    if not printed and not recalled:
        return '<td class="none">none</td>'
    if not printed:
        return f"<td>none <span>+ {recalled} memory</span></td>"
    look = "few" if printed < 10 else "some" if printed < 50 else "many"
    more = f" <span>+ {recalled} memory</span>" if recalled else ""
    return f'<td class="{look}">{printed:,}{more}</td>'
