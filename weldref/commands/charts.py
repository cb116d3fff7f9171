"""The command that keeps a shop's own chart of settings."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from weldref.commands.parser import INSIDE, given, own_of, print_all
from weldref.errors import InputError

if TYPE_CHECKING:
    from weldref.data.store import Store
    from weldref.exchange.shop_chart import Chart

SAID = ("name", "date", "shop", "place")


def run_chart(arguments: argparse.Namespace) -> int:
    """Read, save, show, export or remove a chart."""
    from weldref.data.store import open_store
    from weldref.exchange import shop_chart
    from weldref.text import clean

    action, what = arguments.action, arguments.what
    if (what is None) != (action == "list"):
        wanted = "takes no name" if what else "needs a file" if _reads(action) else "needs a name"
        raise InputError(f"chart: {action} {wanted}")
    if (arguments.output is None) == (action == "export"):
        raise InputError("chart: -o FILE belongs to export, and export needs it")
    if action == "export" and arguments.output.suffix.lower() != ".json":
        raise InputError(
            f"output: '{arguments.output}' is not accepted; give a name that ends in .json"
        )
    store = open_store()
    if _reads(action):
        return _take(arguments, store)
    folder = _folder(arguments)
    if action == "list":
        return print_all(shop_chart.names(folder) or [f"no chart in {folder}"])
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
    """Read a file, report what is wrong with it and save it if asked."""
    from weldref.exchange import shop_chart
    from weldref.text import clean

    chart = shop_chart.read_file(store, Path(arguments.what))
    said = {name: text for name, text in given(arguments, *SAID).items() if text is not None}
    chart = replace(chart, **said)
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
