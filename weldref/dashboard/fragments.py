"""Write what the pages say of rows, verdicts and cautions as HTML."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from weldref.advice.ladder import Rung
from weldref.charts.ranges import shown_span
from weldref.core.cautions import Caution
from weldref.core.check import NOT_APPROVAL
from weldref.core.lookup import Assumption
from weldref.core.setup import SetupFinding
from weldref.core.together import Together
from weldref.core.verdict import Ask, Judgement, Near, Reading, Row
from weldref.core.wording import as_said
from weldref.dashboard.markup import Markup, aside, bullets, facts, joined, note, p, tag
from weldref.dashboard.said import ENGLISH, condition, distance, number, said_of, spaced
from weldref.data.local_readings import line as local_line
from weldref.data.own import BY_OWN, line
from weldref.grades import FULL, LINES
from weldref.handouts.words import Words, sentence
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


def verdict_words(reading: Reading, words: Words) -> str:
    """Say the verdict in a few words.

    >>> from types import SimpleNamespace as R
    >>> verdict_words(R(verdict="high", by=90.0, unit="A"), ENGLISH)
    'High by 90 A'
    """
    word = sentence(words.say(reading.verdict))
    if reading.verdict in ("low", "high"):
        return words.say("{word} by {distance}", word=word,
                         distance=distance(reading.by or 0.0, reading.unit))  # fmt: skip
    return word


def verdict(reading: Reading, title: str, words: Words) -> Markup:
    """Write the verdict on one value with its reasons; "inside" says that it approves nothing."""
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
    look = LOOKS[reading.verdict]
    return tag(
        "div",
        p("asked", f"{title} {number(reading.value, reading.unit)}"),
        p("word", words.say("Warning.") + " " if look == "outside" else "", word),
        *(tag("p", text) for text in sentences),
        p("reminder", words.say(NOT_APPROVAL)) if look == "inside" else "",
        look=f"verdict {look}",
        role="status",
    )


def meanings(words: Words = ENGLISH) -> Markup:
    """Explain the words of a verdict, each in one sentence.

    >>> "<dt>Depends</dt>" in meanings()
    True
    """
    said = ((sentence(words.say(word)), sentence(words.say(m))) for word, m in MEANINGS.items())
    return aside(words.say("What the words of a verdict mean"), facts(said, "words"))


def sense(found: Sequence[SetupFinding], names: Mapping[str, str], words: Words) -> Markup:
    """Say what is impossible or unusual in a set-up; what is only worth knowing opens."""
    first, rest = (
        [_finding(one, names, words) for one in found if (one.strength == "worth knowing") == quiet]
        for quiet in (False, True)
    )
    body = tag("ul", *first, look="sense") if first else Markup()
    if rest:
        title = words.say("Worth knowing of this set-up: {count}", count=len(rest))
        body += aside(title, tag("ul", *rest, look="sense"))
    return body


def _finding(found: SetupFinding, names: Mapping[str, str], words: Words) -> Markup:
    what, why, exception = (
        words.term(text).rstrip(".") for text in (found.what, found.why, found.exception)
    )
    unless = (" ", words.say("Except"), f": {exception}.") if exception else ()
    source = names.get(found.source_id, found.source_id)
    if found.locator not in source:  # recalled practice has no place
        source += f", {found.locator}"
    return tag(
        "li",
        tag("b", f"{sentence(words.say(found.strength))}: {what}."),
        f" {why}.",
        *unless,
        " ",
        tag("cite", f"{source}; {words.say(FULL[found.how_read])}"),
        look=found.strength.replace(" ", "-"),
    )


def own_words(said: Judgement, unit: str) -> str:
    """Say what own rows tell beside published ones.

    >>> from types import SimpleNamespace as R
    >>> rows = (R(how_read="memory"),)
    >>> own_words(R(verdict="high", by=5.0, rows=rows, general=(), conditional=()), "A")
    'Own rows, not published, from memory, say: high by 5 A. They change no verdict.'
    """
    outside = (
        f" by {distance(said.by, unit)}" if said.by and said.verdict in ("low", "high") else ""
    )
    first, *_ = (*said.rows, *said.conditional, *said.general)
    recalled = ", from memory," if first.how_read == "memory" else ""
    word = verdict_word(said.verdict, own=True)
    return f"Own rows, not published{recalled or ','} say: {word}{outside}. They change no verdict."


def own_banner(own: dict[str, str]) -> Markup:
    """Say on every page which own tables are in use.

    >>> own_banner({"name": "workshop", "digest": "0123456789abcdef", "mode": "beside"})[:65]
    Markup('<p class="own" role="note"><b>own tables: workshop, 0123456789ab ')
    """
    says = "Their rows are marked as own, and change no verdict on published rows."
    if own["mode"] == "instead":
        says = (
            "Settings shown here are not published: where a page says published rows or ranges, "
            "these own ones are shown instead. Practice sheets and formulas use none of them."
        )
    return _banner(line(own), says)


def local_banner(used: dict[str, Any]) -> Markup:
    """Say on every page which readings count on this machine.

    >>> used = {"name": "r.jsonl", "digest": "0123456789abcdef", "raised": 2, "differing": 0}
    >>> local_banner(used)[:68]
    Markup('<p class="own" role="note"><b>Local readings: r.jsonl, 0123456789ab ')
    """
    return _banner(sentence(local_line(used)), "They are published nowhere.")


def _banner(what: str, says: str) -> Markup:
    return p("own", tag("b", f"{what}."), f" {says}", role="note")


def answers_in_words(ask: Ask, unit: str, values: Iterable[str]) -> Markup:
    """List the answers to a question that no field can take, and what any other answer gives."""
    wanted = set(values)
    said = [
        f"{as_said(a.value)}: {answer_words(a, unit)}" for a in ask.answers if a.value in wanted
    ]
    return bullets([*said, f"any other: {answer_words(ask.other, unit)}"], "answers")


def together(result: Together, places: Mapping[str, str]) -> Markup:
    """Say whether one printed line holds the values at once; `places` names the place of each."""
    return p("together", tag("b", "Together."), f" {sentence(result.say(places))}.")


def row_list(rows: Iterable[Row], first: int | None = None) -> Markup:
    """List rows with their sources; numbered like the bars when `first` is given."""
    items = (tag("li", _row(row)) for row in rows)
    return tag("ul" if first is None else "ol", *items, look="rows", start=first)


def near_list(found: Iterable[Near]) -> Markup:
    """List rows that nearly apply, each with what it differs in, and on which side by how much."""
    items = []
    for near in found:
        differs = ", ".join(
            f"{condition(name)} {as_said(value)}" for name, value in near.differs.items()
        )
        away = f"{near.away:.2g} {near.away_unit} {near.side} yours" if near.side else "not yours"
        items.append(_row(near.row, f"for {differs} ({away})"))
    return bullets(items, "rows")


def _row(row: Row, near: str = "") -> Markup:
    before, after = "", ""
    if row.ignores:
        before, after = "General range ", f", which {names_none_of(row)}"
    elif row.special:
        only = " and ".join(as_said(row.conditions[name]) for name in row.special)
        before = f"Only with {only}: "
    says = f"{row.verdict} by {distance(row.by, row.unit)}" if row.by else row.verdict
    if says and row.how_read == "memory":
        # A recalled row passes or fails nothing, and its words must not look as if it did.
        says = f"does not hold it, {says}" if row.by else "holds it"
    after += "".join(f", {text}" for text in (says, near) if text)
    place = row.source
    if not row.locator or row.locator not in row.source:
        place += f", {row.locator or 'place not noted'}"
    about = with_status(FULL[row.how_read], row).capitalize()
    span = shown_span(row)
    return joined([
        *(before, tag("b", span), f"{after}. ", tag("cite", place), ". "),
        *(f"{text}. " for text in (about, *assumption_sentences(row))),
        why(span, _row_place(row)),
    ])  # fmt: skip


def with_status(about: str, row: Row) -> str:
    """Add to a text what is in doubt about a row."""
    return f"{about}; {row.status}" if row.status else about


def _row_place(row: Row) -> list[tuple[str, str]]:
    conditions = "; ".join(f"{condition(name)} {value}" for name, value in row.conditions.items())
    return [
        ("Source", row.source),
        ("Place", row.locator or "not noted"),
        ("How it was read", FULL[row.how_read]),
        ("What it is", BASES[row.basis]),
        ("As printed", f"{spaced(row.quantity)} {shown_span(row)}"),
        ("Printed for", conditions or "no condition stated"),
        ("In doubt", row.status or ""),
        ("Remark", row.remark or ""),
        ("Row", row.window_id),
    ]


def why(of: str, place: Iterable[tuple[str, object]]) -> Markup:
    """Write the printed place of a number, opened when asked for."""
    return aside(joined(["Why", tag("span", f" {of}", look="of")]), facts(place), look="why")


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
    return sentence(str(one))


def swatch(look: str) -> Markup:
    """Draw a small piece of a chart."""
    return tag("span", look=f"swatch {look}")


def chart_key(items: Iterable[object]) -> Markup:
    """Explain what a chart shows."""
    return bullets(items, "key", aria_label="Key to the chart")


def _grades(grades: Iterable[str]) -> list[Markup]:
    """Explain the outlines of bars, and only those that a chart has."""
    held = set(grades)
    return [
        swatch(look) + f"{look}: {FULL[grade]}" for grade, look in LINES.items() if grade in held
    ]


def key_to_chart(rows: Sequence[Row], *, with_value: bool) -> Markup:
    """Explain what a chart shows, and only that."""
    items = _grades(row.how_read for row in rows)
    if any(row.own for row in rows):
        items.append(swatch("striped") + "striped: own row, not published")
    ranges = [row for row in rows if row.min is not None or row.max is not None]
    if any(row.min is None or row.max is None for row in ranges):
        items.append(Markup("arrow: no end is printed on that side"))
    if any(row.typical is not None for row in rows):
        items.append(Markup("diamond: a single or typical setting"))
    if with_value:
        items.append(swatch("line") + "upright line: your value")
    return chart_key(items)


def key_to_ladder(rungs: Iterable[Rung]) -> Markup:
    """Explain the bars of a ladder, and only those that it has."""
    between = "between the bars nothing is published"
    return chart_key([*_grades(r.grade for r in rungs), swatch("line") + "line: yours", between])


def chart_words(rows: Sequence[Row], title: str, value: str | None) -> str:
    """Say in words what a chart shows, for a screen reader."""
    ranges = "; ".join(
        f"{shown_span(row)}, {'own row, not published, ' if row.own else ''}{FULL[row.how_read]}"
        for row in rows
    )
    yours = f" Your value: {value}." if value else ""
    kind = "Own" if rows and all(row.own for row in rows) else "Published"
    return f"{kind} {title}: {ranges}.{yours}"


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


def left_over(count: int) -> Markup:
    """Say how many rows are not shown."""
    more = f"... and {count} more: say more about the weld to narrow them."
    return p("more", more) if count > 0 else Markup()


def cautions(shown: Iterable[Caution], names: Mapping[str, str], words: Words = ENGLISH) -> Markup:
    """Write the reminder and the cautions of the situation, each with the name of its document."""
    return tag(
        "section",
        tag("h2", words.say("Cautions")),
        p("reminder", words.say(NOT_APPROVAL)),
        caution_list(shown, names, words),
        look="cautions",
    )


def caution_list(
    shown: Iterable[Caution], names: Mapping[str, str], words: Words = ENGLISH
) -> Markup:
    """List cautions, each with its source and grade."""
    items = []
    for c in shown:
        place = f"{names.get(c.source_id, c.source_id)}, {c.locator or 'place not noted'}"
        cited = tag("cite", f"{place}; {words.say(FULL[c.how_read])}")
        items.append(joined([words.term(c.wording), " ", cited]))
    return bullets(items, "caution-list")


def situation_line(situation: str, notes: Iterable[str]) -> Markup:
    """Say how the situation was understood."""
    return p("situation", tag("span", "For"), f" {situation}") + joined(map(note, notes))
