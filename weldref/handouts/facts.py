"""Word the choices around a setting and the worked line of heat input."""

from __future__ import annotations

from collections.abc import Sequence

from weldref.advice.choices import Shade, Statement
from weldref.core.cautions import Caution
from weldref.core.lookup import Match, accepted_grades
from weldref.core.setup import SetupFinding
from weldref.core.situation import Situation
from weldref.data.store import Store
from weldref.handouts.conversion import Converter, number, rounded, sign
from weldref.handouts.sources import Notes
from weldref.handouts.tables import GRADES
from weldref.handouts.words import Words
from weldref.handouts.worked import work


def statement_text(statement: Statement, words: Words, notes: Notes) -> str:
    """Say one printed statement with its mark; anything but a plain reading is named."""
    text = words.term(statement.value)
    if statement.advice:
        text += f": {words.term(statement.advice)}"
    if statement.only_for:
        text += f" ({words.listed(words.term(part) for part in statement.only_for)})"
    doubts = []
    if statement.how_read != "read":
        doubts.append(words.say(GRADES[statement.how_read]))
    if statement.status:
        doubts.append(words.say(statement.status))
    if doubts:
        text += f", {', '.join(doubts)}"
    return f"{text}\u00a0{notes.mark(statement.source_id, statement.locator)}"


def caution_text(caution: Caution, words: Words, notes: Notes) -> str:
    """Word a caution with its source; what was recalled says so."""
    recalled = f" ({words.say('from memory')})" if caution.how_read == "memory" else ""
    mark = notes.mark(caution.source_id, caution.locator)
    return f"{words.term(caution.wording)}{recalled}\u00a0{mark}"


def remark_text(found: SetupFinding, words: Words, notes: Notes, *, why: bool = False) -> str:
    """Say what a set-up rule says, with its mark; what was recalled says so."""
    text = rule_text(found, words)
    if why and found.why:
        text += f" {words.term(found.why).rstrip('.')}."
    recalled = f" ({words.say(GRADES['memory'])})" if found.how_read == "memory" else ""
    return f"{text}{recalled}\u00a0{notes.mark(found.source_id, found.locator)}"


def rule_text(found: SetupFinding, words: Words) -> str:
    """Write what a set-up rule says, with its exception."""
    strength = words.say(found.strength)
    text = f"{strength[:1].upper()}{strength[1:]}: {words.term(found.what).rstrip('.')}."
    if found.exception:
        unless = words.say("Except")
        text += f" {unless}: {words.term(found.exception).rstrip('.')}."
    return text


def shades_said(shade: Shade, notes: Notes, grade: str) -> list[tuple[str, str, str, str]]:
    """List the shades at one current: what each is, its value, its grade, its marks.

    A value that was read is not said again as quoted by another document.
    """
    words, accepted = notes.words, accepted_grades(grade)
    found: dict[tuple[str, str], dict[str, None]] = {}
    grades: dict[tuple[str, str], str] = {}
    kept = sorted(
        (one for one in shade.statements if one.how_read in accepted),
        key=lambda one: (one.what, one.value or 0.0, accepted.index(one.how_read)),
    )
    for one in kept:
        value = words.say("outside the table") if one.value is None else number(one.value)
        key = (words.say(one.what), value)
        if grades.setdefault(key, one.how_read) == one.how_read:
            found.setdefault(key, {})[notes.mark(one.source_id, one.locator)] = None
    return [(*key, grades[key], "".join(marks)) for key, marks in found.items()]


def worked_texts(
    store: Store, situation: Situation, matches: Sequence[Match], words: Words, notes: Notes
) -> tuple[str, ...]:
    """Say the arithmetic of heat input with one worked line; empty where none applies."""
    worked = work(store, situation, matches)
    if worked is None:
        return ()
    say = words.say
    marks = "".join(notes.mark(s.source_id, s.locator) for s in worked.sources)
    given = notes.mark(*worked.given_by)
    speed = Converter(store).number_in(worked.travel_speed, worked.travel_unit, "mm/s")
    values = {
        "volts": number(worked.voltage),
        "amps": number(worked.current),
        "travel": f"{number(worked.travel_speed)} {sign(worked.travel_unit)}",
        "speed": rounded(speed, "mm/s"),
        "energy": rounded(worked.energy, "kJ/mm"),
        "heat": rounded(worked.heat, "kJ/mm"),
        "heat_us": rounded(worked.heat_us, "kJ/in"),
        "k": number(worked.efficiency),
        "given": given,
    }
    if worked.from_rows:
        line = say(
            "One printed line: {volts} V, {amps} A, {travel} {given}. "
            "{volts} × {amps} ÷ {speed} mm/s = {energy} kJ/mm; × k = {k}: {heat} kJ/mm "
            "(≈ {heat_us} kJ/in).",
            **values,
        )
    else:
        line = say(
            "A published example, not a setting for this situation: {volts} V, {amps} A, "
            "{travel} {given}. {volts} × {amps} ÷ {speed} mm/s = {energy} kJ/mm; "
            "× k = {k}: {heat} kJ/mm (≈ {heat_us} kJ/in).",
            **values,
        )
    rule = say(
        "{equation}, with U in V, I in A, v in mm/s and Q in J/mm, then divided by 1000; k is the "
        "thermal efficiency of the process {marks}.",
        equation=worked.equation,
        marks=marks,
    )
    return rule, line
