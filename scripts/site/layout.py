"""Markdown shared by the generated pages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


def cell(text: object) -> str:
    """Make a text safe for a cell of a table."""
    escaped = str(text).replace("|", "\\|").replace("<", "&lt;").replace("*", "\\*")
    return " ".join(escaped.split())


def code(text: object) -> str:
    """Write a text as code, also within a table."""
    return f"`{str(text).replace('|', chr(92) + '|')}`"


def table(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Write a table of cells that are Markdown already."""
    lines = [f"| {' | '.join(header)} |", "|" + "---|" * len(header)]
    lines += [f"| {' | '.join(row)} |" for row in rows]
    return "\n".join(lines) + "\n"


def sentence(text: str) -> str:
    """Begin with a capital and end with a full stop."""
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
