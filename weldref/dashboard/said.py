"""Say in sentences what a verdict rests on, recalled practice first where nothing is printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from weldref.charts.ranges import shown_span, unit_sign
from weldref.core.situation import LABELS
from weldref.core.verdict import Judgement, Reading, Row
from weldref.core.wording import settable
from weldref.handouts.words import Words, later, sentence, words
from weldref.text import names_none_of, recalled_line

ENGLISH = words("en")
METAL = later("metal")
FAILS = {
    "high": later("{value} is above {what}. Find out why before you weld with it."),
    "low": later("{value} is below {what}. Find out why before you weld with it."),
}
ONE_SIDED = {
    "min": later("One-sided: a minimum is published, no maximum."),
    "max": later("One-sided: a maximum is published, no minimum."),
}
COUNTS = {
    "inside": later("{count} say inside"),
    "low": later("{count} say low"),
    "high": later("{count} say high"),
}


def many(count: int, thing: str) -> str:
    """Count things.

    >>> many(1, "row"), many(1200, "row")
    ('1 row', '1,200 rows')
    """
    return f"{count:,} {thing}{'' if count == 1 else 's'}"


def spaced(name: str) -> str:
    """Write a stored name as words."""
    return name.replace("_", " ")


def number(value: float, unit: str) -> str:
    """Write a value with its unit.

    >>> number(35.0, "ft3/h")
    '35 ft³/h'
    """
    return f"{value:g} {unit_sign(unit)}"


def distance(by: float, unit: str) -> str:
    """Write how far outside a value is, as exactly as anybody sets it.

    >>> distance(1.81102, "in/min"), distance(1234.5, "A")
    ('1.81 in/min', '1234 A')
    """
    return f"{settable(by)} {unit_sign(unit)}"


def condition(name: str, spoken: Words = ENGLISH) -> str:
    """Name a condition in a sentence.

    >>> condition("material"), condition("electrode_size")
    ('metal', 'diameter')
    """
    return spoken.say(METAL if name == "material" else LABELS[name])


def said_of(reading: Reading, spoken: Words = ENGLISH) -> list[str]:
    """Say in sentences what a verdict rests on."""
    say = spoken.say
    if reading.nothing_passes:
        return [say("No verdict: no published range is for such a set-up, see above.")]
    said = []
    if reading.verdict == "no published range":
        if reading.from_memory:
            said.append(_recalled(reading.from_memory, reading.unit, spoken))
        said.append(_nothing_fits(reading, spoken))
    elif reading.verdict == "depends" and reading.ask:
        what = condition(reading.ask.condition, spoken)
        said.append(say("The answer turns on this: {what}.", what=what))
    elif reading.verdict == "sources differ":
        said.append(_differ(reading, spoken))
    elif reading.verdict == "inside":
        said.append(_inside(reading, spoken))
    else:
        value = number(reading.value, reading.unit)
        said.append(say(FAILS[reading.verdict], value=value, what=_outside_of(reading, spoken)))
    if reading.rows and (silent := _silent(reading.rows, spoken)):
        said.append(say("What fits says nothing of: {what}.", what=silent))
    if reading.one_sided:
        text = say(ONE_SIDED[reading.one_sided])
        said.append(text.replace("published", "given") if reading.own else text)
    return said


def _recalled(judgement: Judgement, unit: str, spoken: Words) -> str:
    """Say what the trade recalls; a question with several answers is below, as buttons."""
    if judgement.ask and len(judgement.ask.answers) > 1:
        judgement = replace(judgement, ask=None)
    text = recalled_line(judgement, unit, spoken.say)
    return f"{sentence(text)}."


def _differ(reading: Reading, spoken: Words) -> str:
    rows = (*reading.rows, *reading.general)
    counts = {word: sum(row.verdict == word for row in rows) for word in COUNTS}
    parts = [spoken.say(COUNTS[word], count=count) for word, count in counts.items() if count]
    text = spoken.say("Of {count} ranges {parts}", count=len(rows), parts=", ".join(parts))
    if reading.by:
        by = distance(reading.by, reading.unit)
        text += spoken.say("; the nearest that does not hold it is {by} off", by=by)
    return f"{text}."


def _inside(reading: Reading, spoken: Words) -> str:
    value, rows = number(reading.value, reading.unit), len(reading.rows)
    if reading.own:
        return spoken.say("{value} lies inside the own ranges that fit.", value=value)
    if rows == 1:
        return spoken.say("{value} lies inside the one published range that fits.", value=value)
    return spoken.say(
        "{value} lies inside each of the {rows} published ranges that fit.", value=value, rows=rows
    )


def _outside_of(reading: Reading, spoken: Words) -> str:
    if not reading.rows and reading.general:
        # As a share of its end: the same in any unit.
        general = min(reading.general, key=lambda row: row.by / abs(row.min or row.max or 1.0))
        return spoken.say(
            "the general range, {span}, which {lacks}",
            span=shown_span(general), lacks=names_none_of(general),
        )  # fmt: skip
    if reading.own:
        return spoken.say("the own range")
    if len(reading.rows) == 1:
        return spoken.say("the published range")
    return spoken.say("the nearest published range")


def _silent(rows: Sequence[Row], spoken: Words) -> str:
    """Name the stated conditions that no row says anything of."""
    shared = [name for name in rows[0].silent_on if all(name in row.silent_on for row in rows)]
    return ", ".join(condition(name, spoken) for name in shared)


def _nothing_fits(reading: Reading, spoken: Words) -> str:
    say = spoken.say
    if reading.own:
        return say("The own tables hold no range seen in their documents for this situation.")
    if reading.single_settings:
        return say("Print gives single settings here and no range: compare with them yourself.")
    if reading.general:
        return say("Nothing printed fits; what is general is shown below, and passes nothing.")
    if reading.neighbours:
        return say("Nothing printed fits; what is near is shown below, and passes nothing.")
    return say(
        "The tables hold nothing for this situation, which is not to say that it is wrong: the "
        "consumable maker's data, the governing code or a qualified person may."
    )
