"""Pieces of the page as HTML: every text that comes from a table or a user is escaped here."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from html import escape
from typing import Any

from weldref.advice.ladder import Rung
from weldref.charts.ranges import shown_span
from weldref.core.cautions import Caution
from weldref.core.check import Together
from weldref.core.lookup import Assumption
from weldref.core.setup import SetupFinding
from weldref.core.verdict import Ask, Judgement, Near, Reading, Row
from weldref.core.wording import as_said
from weldref.dashboard.said import ENGLISH, condition, distance, first_up, number, said_of
from weldref.data.local_readings import line as local_line
from weldref.data.own import BY_OWN, line
from weldref.grades import FULL, LINES
from weldref.handouts.words import Words
from weldref.text import MEANINGS, answer_words, names_none_of, verdict_word

BASES = {
    "limit": "a limit of the document",
    "recommended": "recommended",
    "acceptable-window": "tested and found good",
    "general-practice": "general practice",
    "procedure-used": "somebody's procedure",
    "test-condition": "condition of a test",
    "tested-range": "range of a test",
    "optimum": "best result of a test",
    "measured": "measured",
}
# The look of a verdict: the word says it, and the outline repeats it.
LOOKS = {
    "inside": "inside",
    "low": "outside",
    "high": "outside",
    "sources differ": "differ",
    "depends": "asks",
    "no published range": "none",
}


def problem(text: str) -> str:
    """One sentence beside the entry that it is about."""
    return f'<p class="problem" role="alert">{escape(first_up(text))}</p>'


def note(text: str) -> str:
    """One quiet sentence.

    >>> note("handouts need A & B")
    '<p class="note">Handouts need A &amp; B.</p>'
    """
    return f'<p class="note">{escape(first_up(text))}.</p>'


def told(text: str) -> str:
    """A sentence that explains what is below."""
    return f'<p class="told">{escape(text)}</p>'


def empty(text: str) -> str:
    """What is said in the place of an answer."""
    return f'<p class="empty">{escape(text)}</p>'


def facts(pairs: Iterable[tuple[str, object]], look: str = "") -> str:
    """A list of names, each with what is said of it; without those of which nothing is.

    >>> facts([("Place", "p. 4 & 5"), ("Remark", "")])
    '<dl><dt>Place</dt><dd>p. 4 &amp; 5</dd></dl>'
    """
    rows = (f"<dt>{escape(name)}</dt><dd>{escape(str(text))}</dd>" for name, text in pairs if text)
    kind = f' class="{look}"' if look else ""
    return f"<dl{kind}>{''.join(rows)}</dl>"


def bullets(items: Iterable[str], look: str) -> str:
    """A list of pieces that are HTML already."""
    return f'<ul class="{look}">{"".join(f"<li>{item}</li>" for item in items)}</ul>'


def chart_key(items: Iterable[str]) -> str:
    """Explain what a chart shows, in pieces that are HTML already."""
    listed = "".join(f"<li>{item}</li>" for item in items)
    return f'<ul class="key" aria-label="Key to the chart">{listed}</ul>'


def verdict_words(reading: Reading, words: Words = ENGLISH) -> str:
    """Say the verdict in a few words.

    >>> from types import SimpleNamespace as R
    >>> verdict_words(R(verdict="high", by=90.0, unit="A"))
    'High by 90 A'
    """
    word = first_up(words.say(reading.verdict))
    if reading.verdict in ("low", "high"):
        return words.say("{word} by {distance}", word=word,
                         distance=distance(reading.by or 0.0, reading.unit))  # fmt: skip
    return word


def verdict(reading: Reading, title: str, remind: str, words: Words = ENGLISH) -> str:
    """The verdict on one value, with what it rests on; `remind` stands in any "inside"."""
    value = number(reading.value, reading.unit)
    sentences = said_of(reading, words)
    word = verdict_words(reading, words)
    if reading.own:
        word = f"{word.replace('published', 'own')}, {BY_OWN}"
    if reading.from_own:
        sentences.append(own_words(reading.from_own, reading.unit))
    if (reading.rows or reading.general) and reading.grade and not reading.held_back:
        weakest, strongest = (
            words.say(FULL[grade])
            for grade in (reading.grade, reading.strongest_grade or reading.grade)
        )
        rest = weakest if weakest == strongest else f"{strongest}; {weakest}"
        sentences.append(words.say("Evidence: {rest}.", rest=rest))
    warning = words.say("Warning.") + " " if LOOKS[reading.verdict] == "outside" else ""
    body = "".join(f"<p>{escape(text)}</p>" for text in sentences)
    if reading.verdict == "inside":
        body += reminder(words.say(remind))
    return (
        f'<div class="verdict {LOOKS[reading.verdict]}" role="status">'
        f'<p class="asked">{escape(title)} {escape(value)}</p>'
        f'<p class="word">{warning}{escape(word)}</p>{body}</div>'
    )


def meanings(words: Words = ENGLISH) -> str:
    """Explain the words of a verdict, each in one sentence.

    >>> "<dt>Depends</dt>" in meanings()
    True
    """
    said = ((first_up(words.say(word)), first_up(words.say(m))) for word, m in MEANINGS.items())
    return aside(words.say("What the words of a verdict mean"), facts(said, "words"))


def sense(found: Iterable[SetupFinding], names: Mapping[str, str], words: Words = ENGLISH) -> str:
    """Say what of a set-up cannot be or is unusual; what is only worth knowing opens."""
    groups: dict[bool, list[str]] = {True: [], False: []}
    for one in found:
        groups[one.strength == "worth knowing"].append(_finding(one, names, words))
    first, rest = (f'<ul class="sense">{"".join(groups[quiet])}</ul>' for quiet in (False, True))
    body = first if groups[False] else ""
    if groups[True]:
        title = words.say("Worth knowing of this set-up: {count}", count=len(groups[True]))
        body += aside(title, rest)
    return body


def _finding(found: SetupFinding, names: Mapping[str, str], words: Words) -> str:
    look = found.strength.replace(" ", "-")
    strength = first_up(words.say(found.strength))
    what, why, exception = (
        escape(words.term(text).rstrip(".")) for text in (found.what, found.why, found.exception)
    )
    text = f"<b>{escape(strength)}: {what}.</b> {why}."
    if exception:
        unless = words.say("Except")
        text += f" {escape(unless)}: {exception}."
    source = names.get(found.source_id, found.source_id)
    if found.locator not in source:  # recalled practice has no place
        source += f", {found.locator}"
    how = escape(words.say(FULL[found.how_read]))
    return f'<li class="{look}">{text} <cite>{escape(source)}; {how}</cite></li>'


def own_words(said: Judgement, unit: str) -> str:
    """Tell what own rows say beside published ones.

    >>> from types import SimpleNamespace as R
    >>> own_words(R(verdict="high", by=5.0, rows=(R(how_read="memory"),)), "A")
    'Own rows, not published, from memory, say: high by 5 A. They change no verdict.'
    """
    outside = (
        f" by {distance(said.by, unit)}" if said.by and said.verdict in ("low", "high") else ""
    )
    recalled = ", from memory," if said.rows[0].how_read == "memory" else ""
    word = verdict_word(said.verdict, own=True)
    return f"Own rows, not published{recalled or ','} say: {word}{outside}. They change no verdict."


def own_banner(own: dict[str, str]) -> str:
    """Say on every page which own tables are in use.

    >>> own_banner({"name": "workshop", "digest": "0123456789abcdef", "mode": "beside"})[:65]
    '<p class="own" role="note"><b>own tables: workshop, 0123456789ab '
    """
    says = "Their rows are marked as own, and change no verdict on published rows."
    if own["mode"] == "instead":
        says = (
            "Settings shown here are not published: where a page says published rows or ranges, "
            "these own ones are shown instead. Practice sheets and formulas use none of them."
        )
    return _banner(line(own), says)


def local_banner(used: dict[str, Any]) -> str:
    """Say on every page which readings count on this machine.

    >>> used = {"name": "r.jsonl", "digest": "0123456789abcdef", "raised": 2, "differing": 0}
    >>> local_banner(used)[:68]
    '<p class="own" role="note"><b>Local readings: r.jsonl, 0123456789ab '
    """
    return _banner(first_up(local_line(used)), "They are published nowhere.")


def _banner(what: str, says: str) -> str:
    return f'<p class="own" role="note"><b>{escape(what)}.</b> {says}</p>'


def asked(ask: Ask, words: Words = ENGLISH) -> str:
    """Write a question as the heading above its answers.

    >>> from weldref.core.cases import Answer
    >>> asked(Ask("electrode_size", (), Answer("", "high", 20.0)))
    '<p class="ask">Which diameter?</p>'
    """
    what = words.say("Which {what}?", what=condition(ask.condition, words))
    return f'<p class="ask">{escape(what)}</p>'


def answers_in_words(ask: Ask, unit: str, values: Iterable[str]) -> str:
    """List the answers to a question that no field can take, and what any other answer gives."""
    wanted = set(values)
    said = [
        f"{as_said(a.value)}: {answer_words(a, unit)}" for a in ask.answers if a.value in wanted
    ]
    said.append(f"any other: {answer_words(ask.other, unit)}")
    return bullets(map(escape, said), "answers")


def together(result: Together, places: Mapping[str, str]) -> str:
    """Say whether one printed line holds the values at once; `places` tells where each stands."""
    text = escape(first_up(result.say(places)))
    return f'<p class="together"><b>Together.</b> {text}.</p>'


def row_list(rows: Sequence[Row], first: int | None = None) -> str:
    """List rows with their sources; numbered like the bars when `first` is given."""
    if first is None:
        return bullets(map(_row, rows), "rows")
    items = "".join(f"<li>{_row(row)}</li>" for row in rows)
    return f'<ol class="rows" start="{first}">{items}</ol>'


def near_list(found: Iterable[Near]) -> str:
    """List rows that nearly apply, each with what it differs in, and on which side by how much."""
    items = []
    for near in found:
        differs = ", ".join(
            f"{condition(name)} {as_said(value)}" for name, value in near.differs.items()
        )
        away = f"{near.away:.2g} {near.away_unit} {near.side} yours" if near.side else "not yours"
        items.append(_row(near.row, f"for {differs} ({away})"))
    return bullets(items, "rows")


def _row(row: Row, near: str = "") -> str:
    head = f"<b>{escape(shown_span(row))}</b>"
    if row.ignores:
        head = f"General range {head}, which {escape(names_none_of(row))}"
    elif row.special:
        only = " and ".join(as_said(row.conditions[name]) for name in row.special)
        head = f"Only with {escape(only)}: {head}"
    says = f"{row.verdict} by {escape(distance(row.by, row.unit))}" if row.by else row.verdict
    if says and row.how_read == "memory":
        # A recalled row passes or fails nothing, and its words must not look as if it did.
        says = f"does not hold it, {says}" if row.by else "holds it"
    head += "".join(f", {text}" for text in (says, escape(near)) if text)
    place = row.source
    if not row.locator or row.locator not in row.source:
        place += f", {row.locator or 'place not noted'}"
    about = FULL[row.how_read]
    if row.status:
        about += f"; {row.status}"
    parts = [f"{head}. <cite>{escape(place)}</cite>. {escape(about.capitalize())}."]
    parts += [f"{escape(text)}." for text in assumption_sentences(row)]
    return f"{' '.join(parts)} {why(shown_span(row), _row_place(row))}"


def _row_place(row: Row) -> list[tuple[str, str]]:
    conditions = "; ".join(f"{condition(name)} {value}" for name, value in row.conditions.items())
    return [
        ("Source", row.source),
        ("Place", row.locator or "not noted"),
        ("How it was read", FULL[row.how_read]),
        ("What it is", BASES[row.basis]),
        ("As printed", f"{row.quantity.replace('_', ' ')} {shown_span(row)}"),
        ("Printed for", conditions or "no condition stated"),
        ("In doubt", row.status or ""),
        ("Remark", row.remark or ""),
        ("Row", row.window_id),
    ]


def why(of: str, place: Iterable[tuple[str, object]]) -> str:
    """The printed place of a number, opened when asked for.

    >>> why("35 V", [("Source", "A & B")])[:59]
    '<details class="why"><summary>Why<span class="of"> 35 V</sp'
    """
    return (
        f'<details class="why"><summary>Why<span class="of"> {escape(of)}</span></summary>'
        f"{facts(place)}</details>"
    )


def assumption_sentences(row: Row) -> list[str]:
    """Say what a row adds to the situation: first what was left out, in one sentence.

    >>> from types import SimpleNamespace as R
    >>> said = Assumption("material", "unsaid", "carbon steel")
    >>> assumption_sentences(R(special=(), assumptions=(said,)))
    ['Holds for metal carbon steel; you did not say']
    """
    unsaid = [
        f"{condition(one.condition)} {as_said(one.value)}"
        for one in row.assumptions
        if one.kind == "unsaid" and one.condition not in row.special
    ]
    sentences = [f"Holds for {', '.join(unsaid)}; you did not say"] if unsaid else []
    return sentences + [_assumed(one) for one in row.assumptions if one.kind != "unsaid"]


def _assumed(one: Assumption) -> str:
    if one.kind == "narrower":
        return f"Holds for {condition(one.condition)} {one.value}; you said {one.said}"
    if one.kind == "member":
        return f"Takes {one.said} as {one.value}, {FULL[one.grade]}"
    return first_up(str(one))


def swatch(look: str) -> str:
    """A small piece of a chart."""
    return f'<span class="swatch {look}"></span>'


def _grades(grades: Collection[str]) -> list[str]:
    """Explain the outlines of bars, and only those that a chart has."""
    return [
        f"{swatch(look)}{look}: {FULL[grade]}" for grade, look in LINES.items() if grade in grades
    ]


def key_to_chart(rows: Sequence[Row], *, with_value: bool) -> str:
    """Explain what a chart shows, and only that."""
    items = _grades({row.how_read for row in rows})
    if any(row.own for row in rows):
        items.append(f"{swatch('striped')}striped: own row, not published")
    ranges = [row for row in rows if row.min is not None or row.max is not None]
    if any(row.min is None or row.max is None for row in ranges):
        items.append("arrow: no end is printed on that side")
    if any(row.typical is not None for row in rows):
        items.append("diamond: a single or typical setting")
    if with_value:
        items.append(f"{swatch('line')}upright line: your value")
    return chart_key(items)


def key_to_ladder(rungs: Iterable[Rung]) -> str:
    """Explain the bars of a ladder, and only those that it has."""
    items = _grades({rung.grade for rung in rungs})
    between = "between the bars nothing is published"
    return chart_key([*items, f"{swatch('line')}line: yours", between])


def chart_words(rows: Sequence[Row], title: str, value: str | None) -> str:
    """Say what a chart shows to who cannot see it."""
    ranges = "; ".join(
        f"{shown_span(row)}, {'own row, not published, ' if row.own else ''}{FULL[row.how_read]}"
        for row in rows
    )
    yours = f" Your value: {value}." if value else ""
    kind = "Own" if rows and all(row.own for row in rows) else "Published"
    return f"{kind} {title}: {ranges}.{yours}"


def heading(text: str) -> str:
    """A heading above rows; nothing for no text."""
    return f'<p class="heading">{escape(text)}</p>' if text else ""


def aside(summary: str, body: str) -> str:
    """Something that opens when asked for; on paper it is open."""
    return f'<details class="aside"><summary>{escape(summary)}</summary>{body}</details>'


def counted(rows: Sequence[Row]) -> str:
    """Count rows, those seen in print apart from the recalled.

    >>> from types import SimpleNamespace as R
    >>> counted([R(how_read="read", own=False), R(how_read="memory", own=False)])
    '1 published, 1 from memory'
    >>> counted([R(how_read="memory", own=False), R(how_read="read", own=True)])
    '1 from memory, none seen in print, 1 own'
    """
    own = sum(row.own for row in rows)
    if own:
        others = [row for row in rows if not row.own]
        return f"{counted(others)}, {own} own" if others else f"{own} own"
    recalled = sum(row.how_read == "memory" for row in rows)
    printed = len(rows) - recalled
    if not printed:
        return f"{recalled} from memory, none seen in print"
    return f"{printed} published" + (f", {recalled} from memory" if recalled else "")


def left_over(count: int) -> str:
    """Say how many rows are not shown."""
    more = f"... and {count} more: say more about the weld to narrow them."
    return f'<p class="more">{more}</p>' if count > 0 else ""


def cautions(
    shown: Iterable[Caution], remind: str, names: Mapping[str, str], words: Words = ENGLISH
) -> str:
    """The reminder and the cautions of the situation, each with the name of its document."""
    title = escape(words.say("Cautions"))
    return (
        f'<section class="cautions"><h2>{title}</h2>{reminder(words.say(remind))}'
        f"{caution_list(shown, names, words)}</section>"
    )


def caution_list(shown: Iterable[Caution], names: Mapping[str, str], words: Words = ENGLISH) -> str:
    """List cautions, each with where it comes from."""
    items = []
    for c in shown:
        place = f"{names.get(c.source_id, c.source_id)}, {c.locator or 'place not noted'}"
        cited = escape(f"{place}; {words.say(FULL[c.how_read])}")
        items.append(f"{escape(words.term(c.wording))} <cite>{cited}</cite>")
    return bullets(items, "caution-list")


def reminder(text: str) -> str:
    """The reminder that no answer here is an approval."""
    return f'<p class="reminder">{escape(text)}</p>'


def situation_line(situation: str, notes: Iterable[str]) -> str:
    """Say how the situation was understood."""
    read_as = "".join(map(note, notes))
    return f'<p class="situation"><span>For</span> {escape(situation)}</p>{read_as}'
