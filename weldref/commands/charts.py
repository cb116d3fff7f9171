"""The command that keeps a shop's own chart of settings."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from weldref.commands.options import INSIDE, Command, add_own, own_of
from weldref.errors import InputError

if TYPE_CHECKING:
    from weldref.data.store import Store
    from weldref.exchange.shop_chart import Chart

SAID = {
    "name": "what the chart is called",
    "date": "the day it is of, as 2026-11-28 (today)",
    "shop": "whose chart it is",
    "place": "where it hangs",
}


def declare(command: Command) -> None:
    """Declare the command of this module."""
    chart = command("chart", run_chart, "keep the shop's own chart of settings as own tables")
    chart.add_argument(
        "action",
        metavar="ACTION",
        choices=("read", "add", "import", "list", "show", "export", "remove"),
        help="read: check a file; add, import: check it and save it; list, show, export, remove",
    )
    chart.add_argument(
        "what", nargs="?", metavar="FILE|NAME", help="a CSV, XLSX or chart file; or a chart's name"
    )
    for name, text in SAID.items():
        chart.add_argument(f"--{name}", metavar="TEXT", help=f"{text}; else what the file says")
    chart.add_argument("-o", "--output", type=Path, metavar="FILE", help="of export: one file")
    add_own(chart)


def run_chart(arguments: argparse.Namespace) -> int:
    """Read, save, show or hand over a chart."""
    from weldref.data.store import open_store
    from weldref.exchange import shop_chart
    from weldref.text import clean

    action, what = arguments.action, arguments.what
    if (what is None) != (action == "list"):
        wanted = "takes no name" if what else "needs a file" if _reads(action) else "needs a name"
        raise InputError(f"chart: {action} {wanted}")
    if (arguments.output is None) == (action == "export"):
        raise InputError("chart: -o FILE belongs to export, and export needs it")
    store = open_store()
    if _reads(action):
        return _take(arguments, store)
    folder = _folder(arguments)
    if action == "list":
        found = shop_chart.names(folder)
        for name in found:
            print(clean(name))
        if not found:
            print(clean(f"no chart in {folder}"))
        return INSIDE
    chart = shop_chart.load(store, folder, what)
    if action == "show":
        _print(store, chart)
    elif action == "export":
        from weldref.files import write_whole

        write_whole(arguments.output, shop_chart.as_json(chart).encode())
        print(clean(arguments.output))
    else:
        shop_chart.remove(folder, what)
        print(clean(f"removed {chart.name}"))
    return INSIDE


def _reads(action: str) -> bool:
    return action in ("read", "add", "import")


def _take(arguments: argparse.Namespace, store: Store) -> int:
    """Read a file, say what is wrong with it and save it if that is asked."""
    from weldref.exchange import shop_chart
    from weldref.text import clean

    chart = shop_chart.read_file(store, Path(arguments.what))
    said = {name: getattr(arguments, name) for name in SAID}
    chart = replace(chart, **{name: text for name, text in said.items() if text is not None})
    found = shop_chart.checked(store, chart)
    if arguments.action == "read":
        _print(store, chart)
    for problem in found.problems:
        word = "refused" if problem.refused else "doubtful"
        print(clean(f"{word}: {problem}"), file=sys.stderr)
    if found.refused:
        count = len(found.refused)
        raise InputError(
            f"chart: {count} thing{'s' if count > 1 else ''} to correct in '{arguments.what}'; "
            "nothing is saved"
        )
    if arguments.action != "read":
        print(clean(shop_chart.save(store, chart, _folder(arguments, new=True))))
    return INSIDE


def _folder(arguments: argparse.Namespace, *, new: bool = False) -> Path:
    """Find the folder of own tables; one that is named and missing may be made."""
    if new and arguments.tables and not Path(arguments.tables).exists():
        return Path(arguments.tables)
    own = own_of(arguments)
    if own is None:
        raise InputError("chart: no folder of own tables is named; give it with --tables DIR")
    return own.folder


def _print(store: Store, chart: Chart) -> None:
    from weldref.exchange import shop_chart
    from weldref.text import clean, table

    lines = shop_chart.grid_of(store, chart)
    cut = lines.index([])
    for label, text in (line for line in lines[:cut] if line[1]):
        print(clean(f"{label}: {text}"))
    print()
    print(table(tuple(lines[cut + 1]), [tuple(line) for line in lines[cut + 2 :]]))
