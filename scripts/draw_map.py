"""Draw `scripts/map.svg`: the modules and packages of weldref, and who imports whom.

The rows are the layers of the import rules in pyproject.toml; the arrows are the imports that are
in the code. An arrow that follows from others is left out. The picture carries what it shows as
data, so that a test can tell whether it is current.

    python scripts/draw_map.py            writes
    python scripts/draw_map.py --check    exits 1 when the picture is not current
"""

from __future__ import annotations

import itertools
import json
import re
import sys
import tomllib
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import grimp
import igraph

ROOT = Path(__file__).parent.parent
PICTURE = ROOT / "scripts/map.svg"
PACKAGE = "weldref"

WIDE, HIGH, ACROSS, DOWN, EDGE, PASSING = 150, 26, 168, 62, 24, 22
INK, LINE, FOLDER, PAPER = "#1c2b33", "#6c7f89", "#dbe7ec", "#ffffff"


def graph() -> dict[str, Any]:
    """Return the rows of boxes, from what is used down to what is used by all, and the arrows."""
    rules = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]
    layers = next(rule for rule in rules["contracts"] if rule["type"] == "layers")
    rows = [re.split(r"\s*[|:]\s*", layer) for layer in layers["layers"]]
    imports = grimp.build_graph(PACKAGE, exclude_type_checking_imports=True, cache_dir=None)
    for rule in layers.get("ignore_imports", ()):
        importer, imported = rule.split(" -> ")
        imports.remove_import(importer=importer, imported=imported)
    folders = []
    for name in sorted(child for row in rows for child in row):
        module = f"{PACKAGE}.{name}"
        if imports.find_children(module):
            folders.append(name)
            imports.squash_module(module)
    below = {
        name: {
            found.removeprefix(f"{PACKAGE}.")
            for found in imports.find_modules_directly_imported_by(f"{PACKAGE}.{name}")
            if found != PACKAGE
        }
        for row in rows
        for name in row
    }
    arrows = [
        [name, one]
        for name in sorted(below)
        for one in sorted(below[name])
        if not any(_reaches(below, other, one) for other in below[name] - {one})
    ]
    return {"rows": rows, "folders": folders, "arrows": arrows}


def _reaches(below: dict[str, set[str]], start: str, end: str) -> bool:
    return any(one == end or _reaches(below, one, end) for one in below[start])


def drawn(shown: dict[str, Any]) -> str:
    """Lay the boxes out with few crossings and draw them."""
    row_of = {name: place for place, row in enumerate(shown["rows"]) for name in row}
    names, links, paths = list(row_of), [], []
    rows = list(row_of.values())
    for start, end in shown["arrows"]:
        # A long arrow gets a bend in each row that it passes, so that it goes around the boxes.
        bends = range(row_of[start] + 1, row_of[end])
        path = [names.index(start), *range(len(rows), len(rows) + len(bends)), names.index(end)]
        rows.extend(bends)
        links.extend(itertools.pairwise(path))
        paths.append(path)
    network = igraph.Graph(n=len(rows), edges=links, directed=True)
    order = network.layout_sugiyama(layers=rows, maxiter=2000).coords
    spots = _packed([x for x, _ in order], rows, len(names))
    left = min(x for x, _ in spots) - WIDE / 2 - EDGE
    spots = [(x - left, y + EDGE + HIGH / 2) for x, y in spots]

    width = max(x for x, _ in spots) + WIDE / 2 + EDGE
    height = max(y for _, y in spots) + HIGH / 2 + EDGE
    svg = ET.Element(
        "svg",
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {width:.0f} {height:.0f}",
        attrib={"font-family": "system-ui, sans-serif", "font-size": "14"},
    )
    ET.SubElement(svg, "title").text = "The modules of weldref: an arrow points to what is imported"
    ET.SubElement(svg, "metadata").text = json.dumps(shown)
    ET.SubElement(svg, "rect", width="100%", height="100%", fill=PAPER)
    size = {"markerWidth": "8", "markerHeight": "8", "refX": "7", "refY": "4"}
    marker = ET.SubElement(svg, "marker", size, id="tip", orient="auto")
    ET.SubElement(marker, "path", d="M0 1 L7 4 L0 7 z", fill=LINE)
    for path in paths:
        ET.SubElement(
            svg,
            "path",
            {"d": _curve([spots[one] for one in path]), "marker-end": "url(#tip)"},
            fill="none",
            stroke=LINE,
        )
    for name, (x, y) in zip(names, spots, strict=False):
        folder = name in shown["folders"]
        ET.SubElement(
            svg,
            "rect",
            x=f"{x - WIDE / 2:.0f}",
            y=f"{y - HIGH / 2:.0f}",
            width=str(WIDE),
            height=str(HIGH),
            rx="4",
            fill=FOLDER if folder else PAPER,
            stroke=INK,
        )
        text = ET.SubElement(
            svg, "text", {"text-anchor": "middle"}, x=f"{x:.0f}", y=f"{y + 5:.0f}", fill=INK
        )
        text.text = f"{name}/" if folder else name
    ET.indent(svg)
    return ET.tostring(svg, encoding="unicode") + "\n"


def _packed(order: list[float], rows: list[int], boxes: int) -> list[tuple[float, float]]:
    """Put what stands in a row side by side, around the middle; a passing arrow needs little."""
    spots = [(0.0, 0.0)] * len(rows)
    for row in set(rows):
        there = sorted((one for one in range(len(rows)) if rows[one] == row), key=order.__getitem__)
        needs = [ACROSS if one < boxes else PASSING for one in there]
        x = -sum(needs) / 2
        for one, need in zip(there, needs, strict=True):
            spots[one] = (x + need / 2, row * DOWN)
            x += need
    return spots


def _curve(spots: list[tuple[float, float]]) -> str:
    (x, y), *others = spots
    y += HIGH / 2
    path = f"M{x:.0f} {y:.0f}"
    for place, (to_x, to_y) in enumerate(others, start=1):
        to_y -= HIGH / 2 if place == len(others) else 0
        half = (y + to_y) / 2
        path += f" C{x:.0f} {half:.0f} {to_x:.0f} {half:.0f} {to_x:.0f} {to_y:.0f}"
        x, y = to_x, to_y
    return path


def stored() -> object:
    """Return what the committed picture shows."""
    found = re.search(r"<metadata>(.*)</metadata>", PICTURE.read_text(encoding="utf-8"))
    return json.loads(found[1]) if found else None


def main() -> int:
    shown = graph()
    if "--check" not in sys.argv:
        PICTURE.write_text(drawn(shown), encoding="utf-8")
    elif shown != stored():
        print(f"{PICTURE.relative_to(ROOT)} is not current; run python scripts/draw_map.py")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
