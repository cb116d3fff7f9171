"""Count what is published, by process, metal and quantity, and show the gaps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache

import streamlit as st

from weldref.dashboard import tables, widgets
from weldref.dashboard.markup import Markup, tag, title
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
    more = f"{recalled:,} more are from memory, and never pass or fail anything"
    st.html(title(f"{printed:,} published rows give a verdict", more))
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


def grid(caption: str, first: str, lines: Sequence[tuple[str, str]], counts: Counts) -> Markup:
    """Write a map: a number in every cell, the shade repeats it, and empty cells say "none"."""
    metals = [metal for metal in METALS if any(key[1] == metal for key in counts)]
    heads = [tag("th", first, scope="col")]
    heads += [tag("th", metal, look="n", scope="col") for metal in metals]
    body = []
    for name, words in lines:
        cells = (_cell(*counts.get((name, metal), (0, 0))) for metal in metals)
        short, _, long = words.partition(": ")
        more = (" ", tag("span", long)) if long else ()
        body.append(tag("tr", tag("th", short, *more, scope="row"), *cells))
    return tables.boxed(caption, heads, [tag("tbody", *body)], "map")


def _cell(printed: int, recalled: int) -> Markup:
    """Write one cell.

    >>> print(_cell(0, 0), _cell(12, 3))
    <td class="none">none</td> <td class="some">12 <span>+ 3 memory</span></td>
    """
    looks = ((50, "many"), (10, "some"), (1, "few"), (0, "" if recalled else "none"))
    look = next(look for least, look in looks if printed >= least)
    more = (" ", tag("span", f"+ {recalled} memory")) if recalled else ()
    return tag("td", f"{printed:,}" if printed else "none", *more, look=look)
