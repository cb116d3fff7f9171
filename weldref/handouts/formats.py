"""Draw a document as PDF, HTML or CSV: from plain data, so that no text can become markup."""

from __future__ import annotations

import csv
import datetime
import io
import json
import re
from html import escape
from pathlib import Path
from typing import Any, Literal

from weldref.cells import harmless
from weldref.handouts.blocks import Document, Drawn
from weldref.handouts.school import School
from weldref.text import displayable

TEMPLATES = Path(__file__).parent / "templates"
STANDARD: Literal["ua-1"] = "ua-1"
"""The standard whose rules typst applies and refuses to break: tags, language, title, alt texts."""

_LONG = re.compile(r"\S{24,}")


def html(document: Document) -> Drawn:
    """Draw a document as one HTML file that runs no script and loads nothing."""
    from jinja2 import Environment, FileSystemLoader

    pages = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True)
    page = pages.get_template("page.html").render(
        document=document,
        anchor=_anchor,
        style=(TEMPLATES / "page.css").read_text(encoding="utf-8"),
        header=school_html(document.school) if document.school else "",
    )
    return Drawn(page.encode("utf-8"))


def school_html(of: School) -> str:
    """Draw a school's header; its look is its own."""
    logo = f'<img src="{of.logo_address}" alt="" style="max-height:2.4em">' if of.logo else ""
    said = "".join(f"<span>{escape(text)}</span>" for text in (of.course, of.instructor) if text)
    look = f"background:{of.colour};color:{of.ink}"
    return f'<div class="school" style="{look}">{logo}<b>{escape(of.name)}</b>{said}</div>\n'


def _anchor(text: str) -> str:
    return "at-" + "".join(c if c.isalnum() else "-" for c in text.casefold())[:60]


def pdf(document: Document) -> Drawn:
    """Draw a document as a tagged PDF with typst and its own fonts, which gets it as JSON."""
    import typst

    data = json.dumps(_breakable(document.as_dict()), ensure_ascii=False)
    stamp = datetime.datetime.fromisoformat(document.date or "2000-01-01")
    compiler = typst.Compiler(
        str(TEMPLATES / f"{document.template}.typ"),
        root=str(TEMPLATES),
        sys_inputs={"data": data},
        ignore_system_fonts=True,
    )
    drawn: Any = compiler.compile(
        format="pdf", pdf_standards=[STANDARD], timestamp=stamp.replace(tzinfo=datetime.UTC)
    )
    measured = json.loads(compiler.query("<measured>", field="value", one=True))
    return Drawn(bytes(drawn), measured["pages"], measured.get("size"))


def _breakable(value: Any) -> Any:
    """Leave what the fonts can show, and let a very long word break: it would run off the page."""
    if isinstance(value, str) and not value.startswith(("<svg", "<?xml")):
        shown = displayable(value)
        return _LONG.sub(lambda word: "\u200b".join(re.findall(".{1,16}", word[0])), shown)
    if isinstance(value, dict):
        return {key: _breakable(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_breakable(item) for item in value]
    return value


def spreadsheet(document: Document) -> Drawn:
    """Write the flat table as CSV; the mark in front lets a spreadsheet know it for UTF-8."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows([harmless(cell) for cell in record] for record in document.records)
    return Drawn(out.getvalue().encode("utf-8-sig"))
