"""Draw a document as PDF, HTML or CSV, from plain data, and write it whole or not at all."""

from __future__ import annotations

import csv
import datetime
import io
import json
import re
from collections.abc import Callable, Iterable, Sequence
from contextlib import ExitStack
from html import escape
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Literal

from weldref.cells import harmless
from weldref.errors import InputError
from weldref.files import check_place as check_file
from weldref.files import unfinished
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
    """Draw a school's header in its own colours."""
    logo = f'<img src="{of.logo_address}" alt="" style="max-height:2.4em">' if of.logo else ""
    said = "".join(f"<span>{escape(text)}</span>" for text in (of.course, of.instructor) if text)
    look = f"background:{of.colour};color:{of.ink}"
    return f'<div class="school" style="{look}">{logo}<b>{escape(of.name)}</b>{said}</div>\n'


def _anchor(text: str) -> str:
    return "at-" + "".join(c if c.isalnum() else "-" for c in text.casefold())[:60]


def pdf(document: Document) -> Drawn:
    """Draw a document as a tagged PDF: typst reads it as JSON and uses its own fonts."""
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
    """Keep what the fonts can show, and let a very long word break before the page ends."""
    if isinstance(value, str) and not value.startswith(("<svg", "<?xml")):
        shown = displayable(value)
        return _LONG.sub(lambda word: "\u200b".join(re.findall(".{1,16}", word[0])), shown)
    if isinstance(value, dict):
        return {key: _breakable(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_breakable(item) for item in value]
    return value


def spreadsheet(document: Document) -> Drawn:
    """Write the flat table as CSV; its byte order mark tells a spreadsheet that it is UTF-8."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows([harmless(cell) for cell in record] for record in document.records)
    return Drawn(out.getvalue().encode("utf-8-sig"))


def renderer(path: Path) -> Callable[[Document], Drawn]:
    """Choose how to draw a document by the ending of its file; refuse an unknown ending."""
    known = {".pdf": pdf, ".html": html, ".htm": html, ".csv": spreadsheet}
    if path.suffix.casefold() not in known:
        raise InputError(f"--output: '{path.name}' ends in none of .pdf, .html, .csv")
    return known[path.suffix.casefold()]


def check_tools() -> None:
    """Refuse to start if a package that draws pages is not installed; say how to install it."""
    missing = [name for name in ("typst", "babel", "segno") if find_spec(name) is None]
    if missing:
        raise InputError(
            f"handouts need {' and '.join(missing)}, not installed here; "
            "install the extra: pip install 'weldref[print]'"
        )


def check_place(
    path: Path, option: str = "--output", endings: Sequence[str] = (), inputs: Iterable[Path] = ()
) -> None:
    """Make sure that a file may be written at a place, before any work is done.

    Its ending must be one of `endings`, or of a known format if none are given; `inputs` are
    files that are read.
    """
    if not endings:
        renderer(path)
    elif path.suffix.casefold() not in endings:
        raise InputError(f"{option}: '{path.name}' does not end in {endings[0]}")
    check_file(path, option, inputs)
    if not path.parent.is_dir():
        raise InputError(f"{option}: the folder '{path.parent}' does not exist")
    if path.is_dir():
        raise InputError(f"{option}: '{path}' is a folder; give the name of a file")


def write(files: Iterable[tuple[Document | bytes, Path]]) -> dict[Path, Drawn]:
    """Draw all documents, then put each file in its place, whole; return what was drawn there.

    Bytes are written as they are. If one file cannot be written, none is.
    """
    drawn = {
        path: Drawn(one) if isinstance(one, bytes) else renderer(path)(one) for one, path in files
    }
    try:
        with ExitStack() as places:
            for path, one in drawn.items():
                places.enter_context(unfinished(path)).write_bytes(one.content)
    except OSError as error:
        reason = error.strerror or "unknown"
        raise InputError(f"--output: '{path}' cannot be written: {reason}") from None
    return drawn


FROM_TWO_METRES = 4.4
"""Height of a figure (mm) that can be read from two metres: 7.5 minutes of arc, the limit of 20/30
eyesight (20/20 sees 5 minutes by definition; from memory)."""

FIGURE = 0.65 * 25.4 / 72
"""Height of a figure of our font (mm) for each point of its size."""


def said(drawn: Drawn) -> str:
    """Say how many pages a PDF has, and from how far its figures can be read.

    >>> said(Drawn(b"", 1, 19.4))
    ': 1 page, figures 4.4 mm high, to read from 2 m'
    """
    if drawn.pages is None:
        return ""
    text = f": {drawn.pages} page{'s' if drawn.pages > 1 else ''}"
    if drawn.size is None:
        return text
    height = drawn.size * FIGURE
    distance = 2 * height / FROM_TWO_METRES
    text += f", figures {height:.1f} mm high, to read from {distance:.2g} m"
    if round(height, 1) < FROM_TWO_METRES:
        text += (
            f" (from 2 m they need {FROM_TWO_METRES} mm: choose a larger --paper, more --pages, or "
            "fewer --thickness, --diameter or --quantity)"
        )
    return text
