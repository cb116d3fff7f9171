"""Draw a document as PDF with typst and its own fonts, from data and never from markup."""

from __future__ import annotations

import datetime
import json
import re
from pathlib import Path
from typing import Any, Literal

from weldref.handouts.blocks import Document, Drawn
from weldref.text import displayable

TEMPLATES = Path(__file__).parent / "templates"
STANDARD: Literal["ua-1"] = "ua-1"
"""The standard whose rules typst applies and refuses to break: tags, language, title, alt texts."""

_LONG = re.compile(r"\S{24,}")


def pdf(document: Document) -> Drawn:
    """Draw a document as a tagged PDF.

    The document goes to typst as JSON; the template prints each text letter by letter, so that
    no text of a user or of the data can become markup.
    """
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
    if isinstance(value, str):
        if value.startswith(("<svg", "<?xml")):
            return value
        return _LONG.sub(lambda word: "\u200b".join(_pieces(word[0])), displayable(value))
    if isinstance(value, dict):
        return {key: _breakable(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_breakable(item) for item in value]
    return value


def _pieces(word: str) -> list[str]:
    return [word[i : i + 16] for i in range(0, len(word), 16)]
