"""Pieces of the page as HTML: every text that comes from a table or a user is escaped here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any

from weldref.charts.ranges import shown_span, unit_sign
from weldref.core.cautions import Caution
from weldref.core.check import Together
from weldref.core.situation import LABELS
from weldref.core.verdict import Judgement, Reading, Row
from weldref.data.local_readings import line as local_line
from weldref.data.own import BY_OWN, line
from weldref.text import verdict_word

GRADES = {
    "read": "read in the source",
    "secondary": "quoted by another document",
    "memory": "from memory, not seen in print",
}
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
    "no published range": "none",
}


def problem(text: str) -> str:
    """One sentence beside the entry that it is about."""
    return f'<p class="problem" role="alert">{escape(text[0].upper() + text[1:])}</p>'


def note(text: str) -> str:
    """One quiet sentence.

    >>> note("handouts need A & B")
    '<p class="note">Handouts need A &amp; B.</p>'
    """
    return f'<p class="note">{escape(text[0].upper() + text[1:])}.</p>'


def number(value: float, unit: str) -> str:
    """Write a value with its unit.

    >>> number(35.0, "ft3/h")
    '35 ft³/h'
    """
    return f"{value:g} {unit_sign(unit)}"


def verdict_words(reading: Reading) -> str:
    """Say the verdict in a few words.

    >>> from types import SimpleNamespace as R
    >>> verdict_words(R(verdict="high", by=90.0, unit="A"))
    'High by 90 A'
    """
    if reading.verdict in ("low", "high"):
        return f"{reading.verdict.capitalize()} by {number(reading.by or 0.0, reading.unit)}"
    return f"{reading.verdict[0].upper()}{reading.verdict[1:]}"


def verdict(reading: Reading, title: str, remind: str) -> str:
    """The verdict on one value, with what it rests on; `remind` stands in any "inside"."""
    value = number(reading.value, reading.unit)
    # The document's name says more than its key.
    names = {row.source_id: row.source for row in reading.rows}
    notes = []
    for note in reading.notes:
        for key, name in names.items():
            note = note.replace(key, name)
        notes.append(f"{note[0].upper()}{note[1:]}.")
    sentences = [sentence(reading), *notes]
    word = verdict_words(reading)
    if reading.own:
        word = f"{word.replace('published', 'own')}, {BY_OWN}"
        sentences[0] = sentences[0].replace("published range", "own range")
        if reading.verdict == "no published range":
            sentences[0] = (
                "The own tables hold no range seen in their documents for this situation."
            )
    if reading.from_own:
        sentences.append(own_words(reading.from_own, reading.unit))
    if reading.verdict != "no published range" and reading.grade:
        weakest, strongest = GRADES[reading.grade], GRADES[reading.strongest_grade or reading.grade]
        rest = weakest if weakest == strongest else f"{strongest}, and {weakest}"
        sentences.append(f"Evidence: {rest}.")
    warning = "Warning. " if LOOKS[reading.verdict] == "outside" else ""
    body = "".join(f"<p>{escape(text)}</p>" for text in sentences)
    if reading.verdict == "inside":
        body += reminder(remind)
    return (
        f'<div class="verdict {LOOKS[reading.verdict]}" role="status">'
        f'<p class="asked">{escape(title)} {escape(value)}</p>'
        f'<p class="word">{warning}{escape(word)}</p>{body}</div>'
    )


def own_words(said: Judgement, unit: str) -> str:
    """Tell what own rows say beside published ones.

    >>> from types import SimpleNamespace as R
    >>> own_words(R(verdict="high", by=5.0, rows=(R(how_read="memory"),)), "A")
    'Own rows, not published, from memory, say: high by 5 A. They change no verdict.'
    """
    outside = f" by {number(said.by, unit)}" if said.by and said.verdict in ("low", "high") else ""
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
            "Settings shown here are not published: wherever a page speaks of published rows or "
            "ranges, these own ones stand instead. Practice sheets and formulas use none of them."
        )
    return f'<p class="own" role="note"><b>{escape(line(own))}.</b> {says}</p>'


def local_banner(used: dict[str, Any]) -> str:
    """Say on every page which readings count on this machine.

    >>> used = {"name": "r.jsonl", "digest": "0123456789abcdef", "raised": 2, "differing": 0}
    >>> local_banner(used)[:68]
    '<p class="own" role="note"><b>Local readings: r.jsonl, 0123456789ab '
    """
    text = local_line(used)
    return (
        f'<p class="own" role="note"><b>{escape(text[0].upper() + text[1:])}.</b> '
        "They are published nowhere.</p>"
    )


def sentence(reading: Reading) -> str:
    """Say the verdict in a sentence."""
    value = number(reading.value, reading.unit)
    rows = len(reading.rows)
    several = f"each of the {rows} published ranges" if rows > 1 else "the one published range"
    if reading.verdict == "inside":
        return f"{value} lies inside {several} for this situation."
    if reading.verdict in ("low", "high"):
        side = "above" if reading.verdict == "high" else "below"
        nearest = "the nearest published range" if rows > 1 else "the published range"
        return f"{value} is {side} {nearest}. Find out why before you weld with it."
    if reading.verdict == "sources differ":
        words = [row.verdict for row in reading.rows]
        parts = [f"{words.count(w)} say {w}" for w in ("inside", "low", "high") if w in words]
        text = f"Of {rows} published ranges {', '.join(parts)}"
        if reading.by:
            text += f"; the nearest that does not hold it is {number(reading.by, reading.unit)} off"
        return f"{text}."
    if reading.from_memory is not None:
        return f"No range seen in print covers this. {_recalled(reading)}"
    if reading.single_settings:
        return "Print gives single settings here and no range: compare with them yourself."
    return (
        "The tables hold nothing for this situation, which is not to say that it is wrong: "
        "the consumable maker's data, the governing code or a qualified person may."
    )


def _recalled(reading: Reading) -> str:
    """Tell what recalled rows say, in words that are nobody's pass or fail."""
    rows = reading.from_memory.rows if reading.from_memory else ()
    holding = sum(row.verdict == "inside" for row in rows)
    if len(rows) == 1:
        return f"The recalled range {'holds' if holding else 'does not hold'} it."
    return f"Of {len(rows)} recalled ranges, {holding or 'none'} hold it."


def together(result: Together, places: Mapping[str, str]) -> str:
    """Say whether one printed line holds the values at once; `places` tells where each stands."""
    text = result.say(places)
    return f'<p class="together"><b>Together.</b> {escape(text[0].upper() + text[1:])}.</p>'


def row_list(rows: Sequence[Row], given: Iterable[str], first: int | None = None) -> str:
    """List rows with their sources; numbered like the bars when `first` is given."""
    tag, start = ("ul", "") if first is None else ("ol", f' start="{first}"')
    said = set(given)
    items = "".join(f"<li>{_row(row, said)}</li>" for row in rows)
    return f'<{tag} class="rows"{start}>{items}</{tag}>'


def _row(row: Row, given: set[str]) -> str:
    head = f"<b>{escape(shown_span(row))}</b>"
    says = f"{row.verdict} by {escape(number(row.by, row.unit))}" if row.by else row.verdict
    if says and row.how_read == "memory":
        # A recalled row passes or fails nothing, and its words must not look as if it did.
        says = f"does not hold it, {says}" if row.by else "holds it"
    head += f", {says}" if says else ""
    place = row.source
    if not row.locator or row.locator not in row.source:
        place += f", {row.locator or 'place not noted'}"
    about = GRADES[row.how_read]
    if row.status:
        about += f"; {row.status}"
    parts = [f"{head}. <cite>{escape(place)}</cite>. {escape(about.capitalize())}."]
    parts += [f"{escape(text)}." for text in assumption_sentences(row, given)]
    return f"{' '.join(parts)} {why(shown_span(row), row_place(row))}"


def row_place(row: Row) -> list[tuple[str, str]]:
    """Say where a row stands and what stands there."""
    conditions = "; ".join(f"{_label(name)} {value}" for name, value in row.conditions.items())
    place = [
        ("Source", row.source),
        ("Place", row.locator or "not noted"),
        ("How it was read", GRADES[row.how_read]),
        ("What it is", BASES[row.basis]),
        ("As printed", f"{row.quantity.replace('_', ' ')} {shown_span(row)}"),
        ("Printed for", conditions or "no condition stated"),
    ]
    if row.status:
        place.append(("In doubt", row.status))
    if row.remark:
        place.append(("Remark", row.remark))
    return [*place, ("Row", row.window_id)]


def why(of: str, place: Iterable[tuple[str, str]]) -> str:
    """The printed place of a number, opened when asked for.

    >>> why("35 V", [("Source", "A & B")])[:59]
    '<details class="why"><summary>Why<span class="of"> 35 V</sp'
    """
    items = "".join(f"<dt>{escape(term)}</dt><dd>{escape(said)}</dd>" for term, said in place)
    return (
        f'<details class="why"><summary>Why<span class="of"> {escape(of)}</span></summary>'
        f"<dl>{items}</dl></details>"
    )


def assumption_sentences(row: Row, given: set[str]) -> list[str]:
    """Say what a row adds to the situation: first what was left out, in one sentence.

    >>> from types import SimpleNamespace as R
    >>> row = R(assumed={"material": "carbon steel"}, assumptions=("holds for ...",))
    >>> assumption_sentences(row, set())
    ['Holds for metal carbon steel; you did not say']
    """
    left_out = [f"{_label(n)} {v}" for n, v in row.assumed.items() if n not in given]
    narrower = [f"{_label(n)} {v}" for n, v in row.assumed.items() if n in given]
    sentences = []
    if left_out:
        sentences.append(f"Holds for {', '.join(left_out)}; you did not say")
    if narrower:
        sentences.append(f"Holds for {', '.join(narrower)}; you said something wider")
    others = [text for text in row.assumptions if not text.startswith("holds for ")]
    return sentences + [f"{text[0].upper()}{text[1:]}" for text in others]


def _label(name: str) -> str:
    return "metal" if name == "material" else LABELS[name]


_SWATCHES = {
    "read": ("solid", "solid: read in the source"),
    "secondary": ("dashed", "dashed: quoted by another document"),
    "memory": ("dotted", "dotted: from memory, not seen in print"),
}


def key_to_chart(rows: Sequence[Row], *, with_value: bool) -> str:
    """Explain what a chart shows, and only that."""
    items = [
        f'<li><span class="swatch {look}"></span>{words}</li>'
        for grade, (look, words) in _SWATCHES.items()
        if any(row.how_read == grade for row in rows)
    ]
    if any(row.own for row in rows):
        items.append('<li><span class="swatch striped"></span>striped: own row, not published</li>')
    ranges = [row for row in rows if row.min is not None or row.max is not None]
    if any(row.min is None or row.max is None for row in ranges):
        items.append("<li>arrow: no end is printed on that side</li>")
    if any(row.typical is not None for row in rows):
        items.append("<li>diamond: a single or typical setting</li>")
    if with_value:
        items.append('<li><span class="swatch line"></span>upright line: your value</li>')
    return f'<ul class="key" aria-label="Key to the chart">{"".join(items)}</ul>'


def chart_words(rows: Sequence[Row], title: str, value: str | None) -> str:
    """Say what a chart shows to who cannot see it."""
    ranges = "; ".join(
        f"{shown_span(row)}, {'own row, not published, ' if row.own else ''}{GRADES[row.how_read]}"
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
    return (
        f'<p class="more">... and {count} more: say more about the weld to narrow them.</p>'
        if count > 0
        else ""
    )


def cautions(shown: Iterable[Caution], remind: str, names: Mapping[str, str] | None = None) -> str:
    """The reminder and the cautions of the situation, each with where it comes from.

    `names` gives each document's name by its key; without it the key itself is shown.
    """
    known = names or {}
    items = "".join(
        f"<li>{escape(c.wording)} <cite>{escape(known.get(c.source_id, c.source_id))}, "
        f"{escape(c.locator or 'place not noted')}; {GRADES[c.how_read]}</cite></li>"
        for c in shown
    )
    return (
        f'<section class="cautions"><h2>Cautions</h2>{reminder(remind)}<ul>{items}</ul></section>'
    )


def reminder(text: str) -> str:
    """The reminder that no answer here is an approval."""
    return f'<p class="reminder">{escape(text)}</p>'


def situation_line(situation: str, notes: Iterable[str]) -> str:
    """Say how the situation was understood."""
    read_as = "".join(f'<p class="note">{escape(n[0].upper() + n[1:])}.</p>' for n in notes)
    return f'<p class="situation"><span>For</span> {escape(situation)}</p>{read_as}'
