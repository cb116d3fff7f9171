"""Draw a document as one HTML file that runs no script and loads nothing."""

from __future__ import annotations

from html import escape

from weldref.handouts.blocks import Bar, Cell, Document
from weldref.handouts.pdf import TEMPLATES
from weldref.handouts.school import School

_DASHES = {"read": "none", "secondary": "6 3", "memory": "1.5 2"}


def html_bytes(document: Document) -> bytes:
    """Draw a document as one HTML file."""
    from jinja2 import Environment, FileSystemLoader

    pages = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True)
    page = pages.get_template("page.html").render(
        document=document,
        anchor=_anchor,
        drawn=_cell,
        style=(TEMPLATES / "page.css").read_text(encoding="utf-8"),
        header=school_html(document.school) if document.school else "",
    )
    return page.encode("utf-8")


def school_html(of: School) -> str:
    """Draw a school's header; its look is its own."""
    logo = f'<img src="{of.logo_address}" alt="" style="max-height:2.4em">' if of.logo else ""
    said = "".join(f"<span>{escape(text)}</span>" for text in (of.course, of.instructor) if text)
    look = f"background:{of.colour};color:{of.ink}"
    return f'<div class="school" style="{look}">{logo}<b>{escape(of.name)}</b>{said}</div>\n'


def _anchor(text: str) -> str:
    return "at-" + "".join(c if c.isalnum() else "-" for c in text.casefold())[:60]


def _cell(cell: Cell) -> str:
    """Draw a bar as markup; a text stays one, and is escaped."""
    from markupsafe import Markup

    return Markup(_bar(cell)) if isinstance(cell, Bar) else cell or ""  # noqa: S704  numbers alone


def _bar(bar: Bar) -> str:
    """Draw a bar; its numbers stand in the same row, so a screen reader skips it."""
    shapes = ['<line x1="0" y1="7" x2="120" y2="7" class="axis"/>']
    if bar.low is not None and bar.high is not None:
        left, width = bar.low * 120, max((bar.high - bar.low) * 120, 1.5)
        shapes.append(
            f'<rect x="{left:.1f}" y="2" width="{width:.1f}" height="10" class="{bar.grade}" '
            f'stroke-dasharray="{_DASHES[bar.grade]}"/>'
        )
        if bar.open_low:
            shapes.append(f'<path d="M{left + 5:.1f} 2 L{left:.1f} 7 L{left + 5:.1f} 12 Z"/>')
        if bar.open_high:
            end = left + width
            shapes.append(f'<path d="M{end - 5:.1f} 2 L{end:.1f} 7 L{end - 5:.1f} 12 Z"/>')
    if bar.point is not None:
        at = bar.point * 120
        shapes.append(
            f'<path class="point" d="M{at:.1f} 2 L{at + 5:.1f} 7 L{at:.1f} 12 L{at - 5:.1f} 7 Z"/>'
        )
    return (
        '<svg class="bar" viewBox="-6 0 132 14" aria-hidden="true" focusable="false">'
        + "".join(shapes)
        + "</svg>"
    )
