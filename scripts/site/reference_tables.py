"""The data dictionary: every table and column, written from what is declared of them."""

from __future__ import annotations

import posixpath
from collections.abc import Mapping
from typing import Any

from layout import cell, code, sentence, table

from weldref.data.catalogue import tables
from weldref.data.schemas.declared import declared
from weldref.exchange.table_schema import key_of, table_schema

FOLDER = "reference/tables"

PAGES = {
    "windows": "The tables of published windows, of their sources and of process facts.",
    "vocabulary": "The controlled vocabulary: terms as small trees, gases, sizes, quantities and "
    "units.",
    "examples": "The worked examples that the tests check against.",
    "safety": "Tables of what protects people: shades, exposure, ventilation, gas handling.",
    "fillers": "Tables of electrodes, wires and rods, and of their sizes.",
    "base metals": "Tables of base metals: grades, compositions, groups.",
    "iso": "Tables of ISO and EN standards: qualification of procedures and welders, steels, "
    "numbers.",
    "welds": "Tables of joints and welds: preparation, sizes, acceptance.",
    "heat": "Tables behind heat input, preheat, cooling and constitution.",
    "practice": "Tables of practice and of procedures: rules of thumb, qualification, findings.",
    "setup": "The table of set-up rules: what cannot go together, and what seldom does.",
}
"""What stands above the tables of a page, by the page's title."""


def page_of(name: str) -> str:
    """Name the page of a table.

    >>> page_of("densities")
    'base-metals'
    """
    return declared()[name].page.replace(" ", "-")


def pages() -> dict[str, str]:
    """Write the pages by their path."""
    bodies: dict[str, str] = {}
    for name, declaration in declared().items():
        page = page_of(name)
        if page not in bodies:
            title = declaration.page
            bodies[page] = f"# {title.capitalize()}\n\n{PAGES[title]}\n"
        bodies[page] += "\n" + _section(name)
    written = {f"{FOLDER}/index.md": _index()}
    return written | {f"{FOLDER}/{page}.md": body for page, body in bodies.items()}


def _index() -> str:
    rows = [
        (
            f"[{code(one.name)}]({page_of(one.name)}.md#{one.name})",
            str(one.rows),
            cell(one.description),
        )
        for one in tables()
        if one.name in declared()
    ]
    return (
        "# Tables\n\nThe files are UTF-8 CSV in the folder `datasets`. Values stand as printed; an "
        "empty cell means that the source does not say. `weldref validate` checks every cell "
        f"against what is declared here.\n\n{table(('table', 'rows', 'what a row is'), rows)}"
    )


def _section(name: str) -> str:
    declaration = declared()[name]
    schema = table_schema(name)
    links = {
        link["fields"][0]: f"{link['reference']['resource']}.{link['reference']['fields'][0]}"
        for link in schema.get("foreignKeys", ())
    }
    rows = [
        (
            f"{code(field['name'])}{{ #{name}.{field['name']} }}",
            ", ".join(filter(None, (field["type"], _unit(field)))),
            sentence(cell(field["description"]))
            + _accepted(field, links.get(field["name"]) or field.get("references"), name),
        )
        for field in schema["fields"]
    ]
    key = ", ".join(code(column) for column in key_of(name))
    return (
        f"## {name} {{ #{name} }}\n\n{sentence(declaration.about)} "
        f"File: {code(posixpath.join('datasets', declaration.files))}. Key: {key}.\n\n"
        + table(("column", "holds", "meaning; what is accepted"), rows)
    )


def _unit(field: Mapping[str, Any]) -> str:
    if "unitColumn" in field:
        return "in " + code(field["unitColumn"])
    unit = field.get("unit", "")
    return "plain number" if unit == "1" else cell(unit)


def _accepted(field: Mapping[str, Any], refers: str | None, name: str) -> str:
    limits = dict(field.get("constraints", {}))
    words = [] if limits.get("required") else ["may be empty"]
    if limits.get("unique"):
        words.append("unique")
    if field["type"] == "boolean":
        words.append("true or false")
    if "enum" in limits:
        words.append("one of " + ", ".join(code(value) for value in limits["enum"]))
    if "pattern" in limits:
        words.append("written as " + code(limits["pattern"]))
    for limit, said in (
        ("exclusiveMinimum", "above"),
        ("minimum", "at least"),
        ("exclusiveMaximum", "below"),
        ("maximum", "at most"),
    ):
        if limit in limits:
            words.append(f"{said} {limits[limit]:g}")
    if refers:
        words.append(
            f"{'values' if field['type'] == 'list' else 'a value'} of {_link(refers, name)}"
        )
    return f" *{sentence('; '.join(words))}*" if words else ""


def _link(refers: str, name: str) -> str:
    to = refers.partition(".")[0]
    page = "" if page_of(to) == page_of(name) else f"{page_of(to)}.md"
    return f"[{code(refers)}]({page}#{refers})"
