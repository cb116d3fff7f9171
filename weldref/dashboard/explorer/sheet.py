"""Show rows as HTML, each with its document and its grade in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from weldref.dashboard import tables
from weldref.dashboard.markup import Markup, aside, facts, tag
from weldref.dashboard.said import spaced
from weldref.data.browse import Document
from weldref.grades import FULL
from weldref.handouts.words import sentence

ORIGIN = ("source_id", "locator", "how_read")
"""Columns that are shown together at the end of a row."""

_STATES = ("quantity", "min", "max", "typical", "unit", "basis")
_KEYS = ("window_id", "line")
_MADE = ("_si", "_inclusive")
_WIDE = 24
_LONG = 40


def rows_table(
    caption: str,
    names: Sequence[str],
    rows: Sequence[Sequence[Any]],
    documents: Mapping[str, Document] | None = None,
) -> tuple[Markup, list[str]]:
    """Draw rows as a table; return it with the names of columns that are empty in all of them.

    With `documents` the columns of the origin become one that opens; it also holds keys, converted
    values and the edges of bands. A wide table begins with what each row states.
    """
    told = documents is not None and "source_id" in names
    where = {name: index for index, name in enumerate(names)}
    inside = [name for name in names if told and (name in _KEYS or name.endswith(_MADE))]
    shown = [name for name in names if not (told and name in ORIGIN) and name not in inside]
    if len(names) > _WIDE:
        first = [name for name in _STATES if name in shown]
        shown = [*first, *(name for name in shown if name not in first)]
    empty = [name for name in shown if all(row[where[name]] is None for row in rows)]
    shown = [name for name in shown if name not in empty]
    long = {name for name in shown if any(len(_text(row[where[name]])) > _LONG for row in rows)}
    # What a query names stays as it was named.
    labels = {name: spaced(name) if documents is not None else name for name in shown}
    heads = [tag("th", labels[name], scope="col") for name in shown]
    if told:
        heads.append(tag("th", "Source and grade", look="origin", scope="col"))
    body = []
    for row in rows:
        cells = [_cell(labels[name], row[where[name]], name in long) for name in shown]
        if told and documents is not None:
            origin = {n: row[where[n]] for n in (*ORIGIN, *inside) if n in where}
            cells.append(_origin(origin, inside, documents))
        body.append(tag("tr", *cells))
    return tables.boxed(caption, heads, [tag("tbody", *body)], box="sheet"), empty


def _grade(grade: str | None) -> Markup:
    """Say a grade in words, with the outline that it has in every chart."""
    words = "no grade of its own" if grade is None else FULL.get(grade, grade)
    return tag("span", words, look=f"grade {grade or 'none'}")


def _cell(label: str, value: Any, long: bool) -> Markup:
    kinds = {
        "number": isinstance(value, (int, float)) and not isinstance(value, bool),
        "long": long,
        "void": value is None,
    }
    look = " ".join(kind for kind, holds in kinds.items() if holds)
    # The label is before the cell on a phone, where a row is a card.
    return tag("td", tag("span", _text(value)), look=look, data_label=label)


def _origin(
    origin: Mapping[str, Any], inside: Sequence[str], documents: Mapping[str, Document]
) -> Markup:
    grade = _grade(origin["how_read"]) if "how_read" in origin else ""
    document = documents.get(str(origin.get("source_id")))
    if document is None:
        said = origin.get("source_id") or "no document of its own"
        return tag("td", tag("div", said, tag("br"), grade), look="origin", data_label="Source")
    place = origin.get("locator") or "place not noted"
    listed = [
        ("Title", document.title),
        ("Issued by", document.issuer),
        ("Number", document.document_number),
        ("Edition", document.edition or "not noted"),
        ("Place", place),
        ("This row", FULL.get(str(origin.get("how_read")))),
        ("The document", FULL.get(document.how_read)),
        ("Where it was found", document.address),
        ("Remark", document.remark),
        ("Key of the document", document.source_id),
        *((sentence(spaced(name)), _text(origin[name])) for name in inside),
    ]
    opens = aside(f"{document.name}, {place}", facts(listed), look="")
    return tag("td", tag("div", opens, grade), look="origin", data_label="Source")


def _text(value: Any) -> str:
    """Write a value as a person would.

    >>> _text(0.0625), _text(True), _text(None), _text([1, "a"])
    ('0.0625', 'yes', '', '1, a')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.7g}"
    if isinstance(value, list):
        return ", ".join(map(_text, value))
    return str(value)
