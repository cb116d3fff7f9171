"""Write practice sheets as an IMS QTI 2.1 package, the open standard of learning platforms.

A sheet is a section of one test. A ticket is a choice that the platform marks itself; a question
takes a number within the tolerance. The package holds the answers: it belongs beside the key.
"""

from __future__ import annotations

import io
import zipfile
from typing import Any
from xml.sax.saxutils import escape

from weldref.handouts.answers import asked
from weldref.handouts.arithmetic import TOLERANCE, Question
from weldref.handouts.output import TEMPLATES
from weldref.handouts.practice_draw import Practice
from weldref.handouts.texts import Notes
from weldref.handouts.tickets import ASK, RIGHT, WRONG, Ticket

NAMES = {
    "QTI": "http://www.imsglobal.org/xsd/imsqti_v2p1",
    "PACKAGE": "http://www.imsglobal.org/xsd/imscp_v1p1",
    "CORRECT": "http://www.imsglobal.org/question/qti_v2p1/rptemplates/match_correct",
}
"""The names of the standard's own documents."""

_MOMENT = (1980, 1, 1, 0, 0, 0)
"""A fixed time in the archive, so that the same sheets give the same file."""


def qti_package(made: Practice) -> bytes:
    """Write the package: a manifest, a test, and a file for each ticket and question."""
    from jinja2 import Environment, FileSystemLoader

    pages = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=False)  # noqa: S701  XML
    pages.filters.update(text=escape, attribute=lambda text: escape(text, {'"': "&quot;"}))
    pages.globals.update(NAMES)
    write: Any = pages.get_template("qti.xml").module
    items, sections = {}, []
    for sheet in made.sheets:
        names = [f"sheet-{sheet.number}-item-{n}" for n in range(1, len(sheet.asked) + 1)]
        sections.append((f"sheet-{sheet.number}", sheet.number, names))
        for number, (name, (one, _)) in enumerate(zip(names, sheet.asked, strict=True), 1):
            place = (name, f"{sheet.number}.{number}", made.words.language)
            items[name] = write.item(*place, **_item(made, one))
    files = {"imsmanifest": write.manifest([*items]), "test": write.test(made.title, sections)}
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in {**files, **items}.items():
            whole = f"<?xml version='1.0' encoding='utf-8'?>\n{content}".encode()
            archive.writestr(zipfile.ZipInfo(f"{name}.xml", _MOMENT), whole, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _item(made: Practice, one: Ticket | Question) -> dict[str, Any]:
    """Return the question of an item, and its answer."""
    say, (title, lines) = made.words.say, asked(one, Notes(made.store, made.words))
    if isinstance(one, Question):
        return {"base": "float", "answer": one.answer, "texts": [title], "tolerance": TOLERANCE}
    return {
        "base": "identifier",
        "answer": one.answer,
        "texts": [title, *lines, say("Invented for practice: do not weld or cut by it.")],
        "prompt": say("Right, wrong, or what to ask"),
        "choices": [(answer, say(answer)) for answer in (RIGHT, WRONG, ASK)],
    }
