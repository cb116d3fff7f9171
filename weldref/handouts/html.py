"""Draw a document as one HTML file that runs no script and loads nothing."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

from weldref.handouts.blocks import (
    Bar,
    Blanks,
    Block,
    Break,
    Cell,
    ChartCell,
    Contents,
    Document,
    Exercise,
    Facts,
    Figure,
    Heading,
    Items,
    Log,
    Masthead,
    Matrix,
    Paragraph,
    Rows,
    Table,
)  # fmt: skip
from weldref.handouts.school import School

STYLE = Path(__file__).parent / "templates" / "page.css"

_DASHES = {"read": "none", "secondary": "6 3", "memory": "1.5 2"}


def html_bytes(document: Document) -> bytes:
    """Draw a document as one HTML file."""
    style = STYLE.read_text(encoding="utf-8")
    body = "\n".join(_draw(block, document) for block in document.blocks)
    page = f"""<!doctype html>
<html lang="{escape(document.language)}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; \
style-src 'unsafe-inline'; img-src data:">
<title>{escape(document.title)}</title>
<style>
{style}</style>
</head>
<body>
{school_html(document.school) if document.school else ""}<header>{escape(document.running)}</header>
<main>
{body}
</main>
<footer>{escape(document.foot)}</footer>
</body>
</html>
"""
    return page.encode("utf-8")


def school_html(of: School) -> str:
    """Draw a school's header; its look is its own."""
    logo = f'<img src="{of.logo_address}" alt="" style="max-height:2.4em">' if of.logo else ""
    said = "".join(f"<span>{escape(text)}</span>" for text in (of.course, of.instructor) if text)
    look = f"background:{of.colour};color:{of.ink}"
    return f'<div class="school" style="{look}">{logo}<b>{escape(of.name)}</b>{said}</div>\n'


def _draw(block: Block, document: Document) -> str:
    if isinstance(block, Contents):
        return _contents(block, document)
    return _DRAWERS[type(block)](block)


def _anchor(text: str) -> str:
    return "at-" + "".join(c if c.isalnum() else "-" for c in text.casefold())[:60]


def _heading(block: Heading) -> str:
    level = max(block.level, 0) + 1
    anchor = f' id="{escape(_anchor(block.text))}"' if block.level == 1 else ""
    return f"<h{level}{anchor}>{escape(block.text)}</h{level}>"


def _masthead(block: Masthead) -> str:
    parts = [f'<h2 id="{escape(_anchor(block.title))}">{escape(block.title)}</h2>']
    if block.lead:
        parts.append(f'<p class="lead">{escape(block.lead)}</p>')
    parts += [f'<p class="small">{escape(note)}</p>' for note in block.notes]
    if block.address:
        target = escape(block.address)
        parts.append(
            f'<p class="small">{escape(block.caption)} <a href="{target}">{target}</a></p>'
        )
    code = ""
    if block.code:
        # The code is drawn by us from an address that was checked.
        code = f'<div class="code" role="img" aria-label="{escape(block.told)}">{block.code}</div>'
    return f'<div class="masthead"><div>{"".join(parts)}</div>{code}</div>'


def _paragraph(block: Paragraph) -> str:
    return f'<p class="{block.look}">{escape(block.text)}</p>'


def _table(block: Table) -> str:
    head = "".join(
        f'<th scope="col" class="{column.align}">{escape(column.title)}</th>'
        for column in block.columns
    )
    groups = "\n".join(_group(block, group) for group in block.groups)
    return f'<div class="wide"><table><thead><tr>{head}</tr></thead>\n{groups}</table></div>'


def _group(block: Table, group: Rows) -> str:
    count = len(block.columns)
    lines = []
    if group.title:
        at = block.bar_column if block.bar_column is not None else count - 1
        scale = ""
        if group.scale:
            low, high = group.scale
            ends = f"<i>{escape(low)}</i><i>{escape(high)}</i>"
            scale = f'<span class="scale" aria-hidden="true">{ends}</span>'
        rest = count - at - 1
        lines.append(
            f'<tr class="group"><th scope="rowgroup" colspan="{at}">{escape(group.title)}</th>'
            f"<td>{scale}</td>"
            + (f'<td colspan="{rest}"><b>{escape(group.mark)}</b></td>' if rest else "")
            + "</tr>"
        )
    for index, row in enumerate(group.rows):
        lines += [_across(text, count) for at_row, text in group.says if at_row == index]
        cells = "".join(
            f'<td class="{column.align}">{_cell(cell)}</td>'
            for column, cell in zip(block.columns, row, strict=True)
        )
        lines.append(f"<tr>{cells}</tr>")
    lines += [_across(text, count) for at_row, text in group.says if at_row >= len(group.rows)]
    return f"<tbody>{''.join(lines)}</tbody>"


def _across(text: str, count: int) -> str:
    return f'<tr class="says"><td colspan="{count}">{escape(text)}</td></tr>'


def _cell(cell: Cell) -> str:
    if cell is None:
        return ""
    return _bar(cell) if isinstance(cell, Bar) else escape(cell)


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


def _matrix(block: Matrix) -> str:
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in block.heads)
    heads += "".join(
        f'<th scope="col" class="center">{escape(title)}<br>{escape(unit)}</th>'
        for title, unit in block.titles
    )
    lines = []
    for row in block.rows:
        first, *more = row.labels
        cells = f'<th scope="row">{escape(first)}</th>'
        cells += "".join(f"<td>{escape(label)}</td>" for label in more)
        cells += "".join(_chart_cell(cell) for cell in row.cells)
        lines.append(f"<tr>{cells}</tr>")
    caption = f"<caption>{escape(block.caption)}</caption>" if block.caption else ""
    body = f"<thead><tr>{heads}</tr></thead><tbody>{''.join(lines)}</tbody>"
    return f'<div class="wide"><table class="chart">{caption}{body}</table></div>'


def _chart_cell(cell: ChartCell) -> str:
    parts = []
    for entry in cell.entries:
        mark = f"<sup>{escape(entry.mark)}</sup>"
        parts.append(f'<span class="{entry.look}">{escape(entry.text)}{mark}</span>')
        parts += [f"<small>{escape('; '.join(entry.holds))}</small>"] if entry.holds else []
    return f'<td class="center">{"<br>".join(parts) or escape(cell.said or "–")}</td>'


def _facts(block: Facts) -> str:
    pairs = "".join(
        f"<dt>{escape(label)}</dt>" + "".join(f"<dd>{escape(text)}</dd>" for text in texts)
        for label, texts in block.pairs
    )
    return f"<dl>{pairs}</dl>"


def _items(block: Items) -> str:
    if block.first is None:
        texts = "".join(f"<li>{escape(text)}</li>" for text in block.texts)
        return f'<ul class="{block.look}">{texts}</ul>'
    texts = "".join(
        f"<li>[{number}] {escape(text)}</li>"
        for number, text in enumerate(block.texts, block.first)
    )
    return f'<ul class="{block.look} notes">{texts}</ul>'


def _blanks(block: Blanks) -> str:
    labels = "".join(f"<div><span>{escape(label)}</span></div>" for label in block.labels)
    return f'<div class="blanks" style="--columns: {block.columns}">{labels}</div>'


def _figure(block: Figure) -> str:
    drawing = f'<div role="img" aria-label="{escape(block.told)}">{block.svg}</div>'
    caption = f"<figcaption>{escape(block.caption)}</figcaption>" if block.caption else ""
    return f"<figure>{drawing}{caption}</figure>"


def _log(block: Log) -> str:
    heads = "".join(f'<th scope="col">{escape(title)}</th>' for title in block.columns)
    cells = "<td></td>" * (len(block.columns) - 1)
    lines = "".join(f"<tr><td>{line}</td>{cells}</tr>" for line in range(1, block.lines + 1))
    return (
        f'<div class="wide"><table class="log"><thead><tr>{heads}</tr></thead>'
        f"<tbody>{lines}</tbody></table></div>"
    )


def _exercise(block: Exercise) -> str:
    given = "".join(f"<p>{escape(text)}</p>" for text in block.given)
    lines = "".join(f"<div><span>{escape(label)}</span></div>" for label in block.answers)
    return (
        f'<section class="exercise"><p class="asked"><b>{block.number}.</b> '
        f'{escape(block.title)}</p>{given}<div class="answers">{lines}</div></section>'
    )


def _contents(block: Contents, document: Document) -> str:
    titles = [b.title for b in document.blocks if isinstance(b, Masthead)]
    links = "".join(f'<li><a href="#{_anchor(t)}">{escape(t)}</a></li>' for t in titles)
    return f"<h3>{escape(block.title)}</h3><ul>{links}</ul>"


def _break(_: Break) -> str:
    return '<hr class="break">'


_DRAWERS: dict[type, Callable[[Any], str]] = {
    Heading: _heading,
    Masthead: _masthead,
    Paragraph: _paragraph,
    Table: _table,
    Matrix: _matrix,
    Facts: _facts,
    Items: _items,
    Blanks: _blanks,
    Figure: _figure,
    Log: _log,
    Exercise: _exercise,
    Break: _break,
}
