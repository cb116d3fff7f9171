"""Word the choices around a setting and the worked line of heat input."""

from __future__ import annotations

from collections.abc import Sequence

from weldref.advice import choices
from weldref.advice.choices import Shade, Statement
from weldref.core.cautions import Caution
from weldref.core.lookup import Match, accepted_grades
from weldref.core.setup import SetupFinding
from weldref.core.situation import Situation
from weldref.data.store import Store
from weldref.handouts.conversion import Converter, number, rounded, sign
from weldref.handouts.settings import Settings
from weldref.handouts.sources import Notes
from weldref.handouts.tables import GRADES
from weldref.handouts.words import Words
from weldref.handouts.worked import work

Pair = tuple[str, tuple[str, ...]]


def choice_facts(
    store: Store,
    situation: Situation,
    matches: Sequence[Match],
    settings: Settings,
    words: Words,
    notes: Notes,
    grade: str = "memory",
) -> tuple[Pair, ...]:
    """Say what is published of polarity, gas, electrode, tungsten and filter shade.

    Nothing below the lowest `grade` accepted is said.
    """
    say = words.say
    accepted = accepted_grades(grade)

    def kept(statements: Sequence[Statement]) -> list[Statement]:
        return [statement for statement in statements if statement.how_read in accepted]

    facts: list[Pair] = []
    flame = choices.is_flame(situation)
    cutting = choices.cuts(store, situation)
    if not flame and not cutting:
        polarity = kept(choices.polarities(store, situation))
        facts.append((say("Polarity"), _said(polarity, words, notes)))
        if choices.takes_gas(situation):
            named = kept(choices.gases(store, situation))
            facts.append((say("Shielding gas"), _gases(named, settings, words, notes)))
        electrode = kept(choices.fillers(store, situation))
        if electrode:
            facts.append((say("Electrode"), _said(electrode, words, notes)))
        if choices.takes_tungsten(situation):
            classes = kept(choices.tungstens(store, situation))
            facts.append((say("Tungsten"), _tungstens(classes, settings, words, notes)))
    shades = shade_texts(store, situation, matches, words, notes, grade)
    facts.append((say("Filter shade"), shades))
    return tuple(facts)


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
        text += f" {found.why.rstrip('.')}."
    recalled = f" ({words.say(GRADES['memory'])})" if found.how_read == "memory" else ""
    return f"{text}{recalled}\u00a0{notes.mark(found.source_id, found.locator)}"


def rule_text(found: SetupFinding, words: Words) -> str:
    """Write what a set-up rule says, with its exception."""
    strength = words.say(found.strength)
    text = f"{strength[:1].upper()}{strength[1:]}: {found.what.rstrip('.')}."
    if found.exception:
        text += f" {words.say('Except')}: {found.exception.rstrip('.')}."
    return text


def _said(statements: Sequence[Statement], words: Words, notes: Notes) -> tuple[str, ...]:
    if not statements:
        return (words.say("nothing published in this dataset"),)
    return tuple(dict.fromkeys(statement_text(s, words, notes) for s in statements))


def _gases(
    statements: Sequence[Statement], settings: Settings, words: Words, notes: Notes
) -> tuple[str, ...]:
    named = dict.fromkeys(
        setting.row.conditions["gas"]
        for group in settings.groups
        for setting in group.printed
        if "gas" in setting.row.conditions
    )
    said = [] if not statements and named else list(_said(statements, words, notes))
    if named:
        text = words.say("Named by the printed rows above: {gases}", gases=_terms(named, words))
        said.append(text)
    return tuple(said)


def _tungstens(
    statements: Sequence[Statement], settings: Settings, words: Words, notes: Notes
) -> tuple[str, ...]:
    group = settings.group("current")
    named: dict[str, None] = {}
    for setting in (*group.printed, *group.recalled) if group else ():
        if "tungsten_class" in setting.row.conditions:
            named[setting.row.conditions["tungsten_class"]] = None
    said = [] if not statements and named else list(_said(statements, words, notes))
    if named:
        text = words.say(
            "Named by the rows of current above, each with its diameter: {classes}",
            classes=_terms(named, words),
        )
        said.append(text)
    return tuple(said)


def _terms(named: dict[str, None], words: Words) -> str:
    return words.listed(words.term(name) for name in named)


def shade_texts(
    store: Store,
    situation: Situation,
    matches: Sequence[Match],
    words: Words,
    notes: Notes,
    grade: str = "memory",
) -> tuple[str, ...]:
    """Say the lens shade at the lowest and at the highest published current."""
    currents = choices.shade_currents(matches)
    texts = []
    for shade in choices.shades(store, situation, currents.amperes):
        said = words.listed(
            f"{what} {value}{'' if read == 'read' else f', {words.say(GRADES[read])}'} {marks}"
            for what, value, read, marks in shades_said(shade, words, notes, grade)
        )
        if shade.at is None:
            texts.append(said)
        elif currents.from_memory:
            texts.append(
                words.say(
                    "At {current} A, a current from memory, not seen in print: {shades}",
                    current=number(shade.at),
                    shades=said,
                )
            )
        else:
            texts.append(
                words.say("At {current} A: {shades}", current=number(shade.at), shades=said)
            )
    if not texts and choices.is_flame(situation):
        return (words.say("depends on the thickness, which is not given"),)
    if not texts:
        return (words.say("no published range of current to choose it by"),)
    return tuple(texts)


def shades_said(
    shade: Shade, words: Words, notes: Notes, grade: str = "memory"
) -> list[tuple[str, str, str, str]]:
    """List the shades at one current: what each is, its value, its grade, its marks.

    A value that was read is not said again as quoted by another document.
    """
    accepted = accepted_grades(grade)
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
