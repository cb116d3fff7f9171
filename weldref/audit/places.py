"""Say in plain words where a finding is: field, pass, sheet and cell."""

from __future__ import annotations

import re

from weldref.procedures.fields import in_words
from weldref.procedures.model import Procedure, values
from weldref.procedures.paper.page import box_at

POINTS = 72 / 25.4
"""Points in a millimetre."""


def fields_at(procedure: Procedure) -> dict[str, str]:
    """Name the field at each place of a document; a pass is named by its label.

    >>> from weldref.procedures.model import Pass, Range, Text
    >>> weld = Pass(label=Text("root"), current=Range(90, 120, "A", place="Passes!K2"))
    >>> fields_at(Procedure(passes=(weld,)))
    {'Passes!K2': 'passes[root].current'}
    """
    labels = {
        f"passes[{turn}]": f"passes[{weld.label.text if weld.label else turn + 1}]"
        for turn, weld in enumerate(procedure.passes)
    }
    found: dict[str, str] = {}
    for name, value in values(procedure):
        place = getattr(value, "place", "")
        if place:
            head, dot, rest = name.partition(".")
            found.setdefault(place, f"{labels.get(head, head)}{dot}{rest}")
    for turn, weld in enumerate(procedure.passes):
        if weld.place:
            found.setdefault(weld.place, labels[f"passes[{turn}]"])
    return found


def spot(place: str) -> str:
    """Write a place in a file: sheet and cell, line and column, or the path in a JSON file.

    >>> spot("Passes!K2"), spot("line 82:12"), spot("/passes/0/current")
    ('sheet Passes, cell K2', 'line 82, column 12', '/passes/0/current')
    """
    if match := re.fullmatch(r"(?P<sheet>[^!]+)!(?P<cell>[A-Z]{1,3}\d+)", place):
        return f"sheet {match['sheet']}, cell {match['cell']}"
    if match := re.fullmatch(r"line (\d+):(\d+)", place):
        return f"line {match[1]}, column {match[2]}"
    if paper := box_at(place):
        page, box = paper
        return f"page {page}, {box[0] / POINTS:.0f} mm from the left, {box[1] / POINTS:.0f} mm down"
    return place


def where(place: str, fields: dict[str, str]) -> str:
    """Write a place, with its field if that is known."""
    field = fields.get(place)
    return f"{in_words(field)} ({spot(place)})" if field else spot(place)
