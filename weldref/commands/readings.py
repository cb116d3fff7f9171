"""The commands that read a document cell by cell and apply the readings."""

from __future__ import annotations

import argparse
import sys
from dataclasses import asdict

from weldref.commands.parser import INSIDE, print_json, print_one
from weldref.errors import InputError


def run_read(arguments: argparse.Namespace) -> int:
    """Read a document, or show how far it has been read."""
    from weldref.data.readings import desk_file, read_file
    from weldref.data.store import open_store
    from weldref.exchange import reading_desk, readings_text
    from weldref.text import clean

    store = open_store()
    file = arguments.file or desk_file()
    kept = read_file(file)
    if arguments.list or (arguments.status and not arguments.source):
        found = reading_desk.documents(store, kept.found)
        listed = [asdict(one) for one in found]
        print_one(arguments, listed, lambda: readings_text.waiting_text(found, file))
        return INSIDE
    if not arguments.source:
        raise InputError("read: no document is named; weldref read --list lists them")
    if kept.note:
        print(clean(kept.note))
    cells = reading_desk.queue(store, arguments.source)
    if arguments.status:
        far = reading_desk.progress(cells, kept.found)
        if arguments.json:
            print_json([{"reader": reader, "left": left} for reader, left in far])
            return INSIDE
        print(readings_text.progress_text(cells, far))
        done = [reader for reader, left in far if not left]
        if done:
            seen = reading_desk.answered(store, arguments.source, kept.found, done[0])
            print("\n" + readings_text.summary_text(seen))
        return INSIDE
    from weldref.commands.reading_dialogue import Dialogue

    return Dialogue(store, file, sys.stdin, sys.stdout).run(
        arguments.source, arguments.reader, arguments.edition, arguments.copy
    )


def run_apply_readings(arguments: argparse.Namespace) -> int:
    """Raise the grades of the rows that readings agree with."""
    from weldref.data.folder import datasets_folder
    from weldref.exchange.apply_readings import plan, write
    from weldref.exchange.readings_text import plan_text

    folder = arguments.datasets or datasets_folder()
    made = plan(arguments.files, folder)
    written = write(made, folder) if arguments.write else []
    print(plan_text(made, written=written))
    return INSIDE
