"""Cite a document as BibTeX and as CSL JSON, with nothing added to what the table holds."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Any

from weldref.data.catalogue import Source, source
from weldref.data.own import OWN_DOCUMENT, Given
from weldref.grades import FULL

_TEX = {
    "\\": r"\textbackslash{}", "{": r"\{", "}": r"\}", "&": r"\&", "%": r"\%", "$": r"\$",
    "#": r"\#", "_": r"\_", "~": r"\textasciitilde{}", "^": r"\textasciicircum{}",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Citation:
    """A document as bibliographies take it; printed, it is the BibTeX."""

    bibtex: str
    csl: dict[str, Any]

    def __str__(self) -> str:
        return self.bibtex

    @property
    def csl_json(self) -> str:
        """The CSL item as JSON text, in the list that programs import."""
        return json.dumps([self.csl], ensure_ascii=False, indent=2)


def cite(source_id: str, own: Given = None) -> Citation:
    """Cite a document that rows point to.

    Only what the table of sources says is written: a year only where the edition is one, an
    address only where the document was read at one. How it was read stands in the note.

    Parameters
    ----------
    source_id
        Its key, as every answer prints it.
    own
        Own tables, as in `weldref.check`.

    Raises
    ------
    InputError
        If no document has this key.

    Examples
    --------
    >>> cited = cite("aisc-360-22")
    >>> cited.csl["title"], cited.csl["issued"]
    ('Specification for Structural Steel Buildings, Chapter J2', {'date-parts': [[2022]]})
    >>> print(cited.bibtex.splitlines()[0])
    @misc{aisc-360-22,
    """
    found = source(source_id, own)
    year = found.edition if re.fullmatch(r"(?:1[6-9]|20)\d\d", found.edition or "") else None
    address = re.search(r"https?://\S+", found.address or "")
    note = _note(found, with_edition=year is None)
    fields = {
        "title": found.title,
        "organization": found.issuer,
        "number": found.document_number,
        "year": year,
        "note": note,
    }
    lines = [f"  {name} = {{{_tex(value)}}}" for name, value in fields.items() if value]
    if address:  # as it is: a link is followed, not set in type
        lines.append(f"  url = {{{address[0]}}}")
    csl: dict[str, Any] = {"id": found.source_id, "type": "document"}
    said = {
        "title": found.title,
        "publisher": found.issuer,
        "number": found.document_number,
        "URL": address and address[0],
        "note": note,
    }
    csl |= {name: value for name, value in said.items() if value}
    if year:
        csl["issued"] = {"date-parts": [[int(year)]]}
    return Citation(f"@misc{{{found.source_id},\n" + ",\n".join(lines) + "\n}", csl)


def _note(found: Source, *, with_edition: bool) -> str:
    """Say what else is known: the edition as it is written down, and how well it was read."""
    parts = [OWN_DOCUMENT] if found.own else []
    if with_edition and found.edition:
        parts.append(f"edition: {found.edition}")
    return "; ".join([*parts, f"how read: {FULL[found.how_read]}"])


def _tex(text: str) -> str:
    """Write a text so that TeX prints it as it is; the inner braces keep its capitals."""
    return "{" + "".join(_TEX.get(letter, letter) for letter in text) + "}"
