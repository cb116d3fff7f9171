"""Word statements, cautions, set-up rules and shades, each with the mark of its source."""

from __future__ import annotations

from weldref.advice.choices import Shade, Statement
from weldref.core.cautions import Caution
from weldref.core.lookup import accepted_grades
from weldref.core.setup import SetupFinding
from weldref.handouts.conversion import number
from weldref.handouts.sources import Notes
from weldref.handouts.words import Words, later, sentence

GRADES = {"read": later("read"), "secondary": later("quoted"), "memory": later("from memory")}
"""How a grade is called on paper."""


def statement_text(statement: Statement, notes: Notes) -> str:
    """Say one printed statement with its mark; anything but a plain reading is named."""
    words = notes.words
    text = words.term(statement.value)
    if statement.advice:
        text += f": {words.term(statement.advice)}"
    if statement.only_for:
        text += f" ({words.listed(words.term(part) for part in statement.only_for)})"
    if statement.how_read != "read":
        text += f", {words.say(GRADES[statement.how_read])}"
    if statement.status:
        text += f", {words.say(statement.status)}"
    return f"{text}\u00a0{notes.mark(statement.source_id, statement.locator)}"


def caution_text(caution: Caution, notes: Notes) -> str:
    """Word a caution with its source; what was recalled says so."""
    return _recalled(notes.words.term(caution.wording), caution, notes)


def remark_text(found: SetupFinding, notes: Notes, *, why: bool = False) -> str:
    """Say what a set-up rule says, with its mark; what was recalled says so."""
    text = rule_text(found, notes.words)
    if why and found.why:
        text += f" {notes.words.term(found.why).rstrip('.')}."
    return _recalled(text, found, notes)


def _recalled(text: str, one: Caution | SetupFinding, notes: Notes) -> str:
    recalled = f" ({notes.words.say(GRADES['memory'])})" if one.how_read == "memory" else ""
    return f"{text}{recalled}\u00a0{notes.mark(one.source_id, one.locator)}"


def rule_text(found: SetupFinding, words: Words) -> str:
    """Write what a set-up rule says, with its exception."""
    text = f"{sentence(words.say(found.strength))}: {words.term(found.what).rstrip('.')}."
    if found.exception:
        text += f" {words.say('Except')}: {words.term(found.exception).rstrip('.')}."
    return text


def shades_said(shade: Shade, notes: Notes, grade: str) -> list[tuple[str, str, str, str]]:
    """List the shades at one current: what each is, its value, its grade, its marks.

    A value that was read is not said again as quoted by another document.
    """
    words, accepted = notes.words, accepted_grades(grade)
    marks: dict[tuple[str, str], dict[str, None]] = {}
    grades: dict[tuple[str, str], str] = {}
    kept = sorted(
        (one for one in shade.statements if one.how_read in accepted),
        key=lambda one: (one.what, one.value or 0.0, accepted.index(one.how_read)),
    )
    for one in kept:
        value = words.say("outside the table") if one.value is None else number(one.value)
        key = (words.say(one.what), value)
        if grades.setdefault(key, one.how_read) == one.how_read:
            marks.setdefault(key, {})[notes.mark(one.source_id, one.locator)] = None
    return [(*key, grades[key], "".join(found)) for key, found in marks.items()]
