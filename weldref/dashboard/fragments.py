"""Pieces of the page as HTML: every text that comes from a table or a user is escaped here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape

from weldref.charts.ranges import shown_span, unit_sign
from weldref.core.cautions import Caution
from weldref.core.check import Together
from weldref.core.lookup import Assumption
from weldref.core.situation import LABELS
from weldref.core.verdict import Ask, Judgement, Near, Reading, Row
from weldref.data.own import BY_OWN, line
from weldref.text import MEANINGS, answer_words, names_none_of, recalled_line, verdict_word

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
    "depends": "asks",
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


def distance(by: float, unit: str) -> str:
    """Write how far outside a value is: as exact as anybody sets it.

    >>> distance(1.81102, "in/min"), distance(1234.5, "A")
    ('1.81 in/min', '1234 A')
    """
    return number(float(f"{by:.3g}") if by < 100 else round(by), unit)


def verdict_words(reading: Reading) -> str:
    """Say the verdict in a few words.

    >>> from types import SimpleNamespace as R
    >>> verdict_words(R(verdict="high", by=90.0, unit="A"))
    'High by 90 A'
    """
    if reading.verdict in ("low", "high"):
        return f"{reading.verdict.capitalize()} by {distance(reading.by or 0.0, reading.unit)}"
    return f"{reading.verdict[0].upper()}{reading.verdict[1:]}"


def verdict(reading: Reading, title: str, remind: str) -> str:
    """The verdict on one value, with what it rests on; `remind` stands in any "inside"."""
    value = number(reading.value, reading.unit)
    sentences = said_of(reading)
    word = verdict_words(reading)
    if reading.own:
        word = f"{word.replace('published', 'own')}, {BY_OWN}"
    if reading.from_own:
        sentences.append(own_words(reading.from_own, reading.unit))
    if (reading.rows or reading.general) and reading.grade:
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


def meanings() -> str:
    """Explain the words of a verdict, each in one sentence.

    >>> "<dt>Depends</dt>" in meanings()
    True
    """
    items = "".join(
        f"<dt>{_first_up(word)}</dt><dd>{_first_up(said)}</dd>" for word, said in MEANINGS.items()
    )
    return aside("What the words of a verdict mean", f'<dl class="words">{items}</dl>')


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
            "Settings shown here are not published: wherever a page speaks of published rows or "
            "ranges, these own ones stand instead. Practice sheets and formulas use none of them."
        )
    return f'<p class="own" role="note"><b>{escape(line(own))}.</b> {says}</p>'


def said_of(reading: Reading) -> list[str]:
    """Say in sentences what a verdict rests on: recalled practice first, where print is silent."""
    value = number(reading.value, reading.unit)
    published = "own" if reading.own else "published"
    rows = len(reading.rows)
    said = []
    if reading.verdict == "no published range":
        if reading.from_memory:
            said.append(_sentence(recalled_line(reading.from_memory, reading.unit)))
        said.append(_nothing_fits(reading))
    elif reading.verdict == "depends" and reading.ask:
        said.append(f"The answer turns on the {_label(reading.ask.condition)}.")
    elif reading.verdict == "sources differ":
        words = [row.verdict for row in (*reading.rows, *reading.general)]
        parts = [f"{words.count(w)} say {w}" for w in ("inside", "low", "high") if w in words]
        text = f"Of {len(words)} {published} ranges {', '.join(parts)}"
        if reading.by:
            text += (
                f"; the nearest that does not hold it is {distance(reading.by, reading.unit)} off"
            )
        said.append(f"{text}.")
    elif reading.verdict == "inside":
        every = f"each of the {rows}" if rows > 1 else "the one"
        said.append(
            f"{value} lies inside {every} {published} range{'s' * (rows > 1)} that fit"
            f"{'s' * (rows == 1)}."
        )
    else:
        side = "above" if reading.verdict == "high" else "below"
        what = f"the {'nearest ' * (rows > 1)}{published} range"
        if not rows and reading.general:
            general = min(reading.general, key=_share_outside)
            what = f"the general range, {shown_span(general)}, which {names_none_of(general)}"
        said.append(f"{value} is {side} {what}. Find out why before you weld with it.")
    if reading.rows and (silent := _silent(reading.rows)):
        said.append(f"What fits says nothing of the {silent}.")
    if reading.one_sided:
        there, lacking = ("minimum", "maximum")[:: 1 if reading.one_sided == "min" else -1]
        given = "given" if reading.own else "published"
        said.append(f"One-sided: a {there} is {given}, no {lacking}.")
    return said


def _share_outside(row: Row) -> float:
    """Return how far outside a row the value is as a share of its end: the same in any unit."""
    return row.by / abs(row.min or row.max or 1.0)


def _silent(rows: Sequence[Row]) -> str:
    """Name the stated conditions that no row says anything of."""
    shared = [name for name in rows[0].silent_on if all(name in row.silent_on for row in rows)]
    return " and the ".join(_label(name) for name in shared)


def _nothing_fits(reading: Reading) -> str:
    if reading.own:
        return "The own tables hold no range seen in their documents for this situation."
    if reading.single_settings:
        return "Print gives single settings here and no range: compare with them yourself."
    if reading.general or reading.neighbours:
        what = "is general" if reading.general else "is near"
        return f"Nothing printed fits; what {what} stands below, and passes nothing."
    return (
        "The tables hold nothing for this situation, which is not to say that it is wrong: "
        "the consumable maker's data, the governing code or a qualified person may."
    )


def asked(ask: Ask) -> str:
    """Write a question as the heading above its answers.

    >>> from weldref.core.cases import Answer
    >>> asked(Ask("electrode_size", (), Answer("", "high", 20.0)))
    '<p class="ask">Which diameter?</p>'
    """
    return f'<p class="ask">Which {escape(_label(ask.condition))}?</p>'


def answers_in_words(ask: Ask, unit: str, values: Iterable[str]) -> str:
    """List the answers to a question that no field can take, and what any other answer gives."""
    wanted = set(values)
    said = [f"{a.value}: {answer_words(a, unit)}" for a in ask.answers if a.value in wanted]
    said.append(f"any other: {answer_words(ask.other, unit)}")
    return f'<ul class="answers">{"".join(f"<li>{escape(text)}</li>" for text in said)}</ul>'


def together(result: Together, places: Mapping[str, str]) -> str:
    """Say whether one printed line holds the values at once; `places` tells where each stands."""
    text = result.say(places)
    return f'<p class="together"><b>Together.</b> {escape(text[0].upper() + text[1:])}.</p>'


def row_list(rows: Sequence[Row], first: int | None = None) -> str:
    """List rows with their sources; numbered like the bars when `first` is given."""
    tag, start = ("ul", "") if first is None else ("ol", f' start="{first}"')
    items = "".join(f"<li>{_row(row)}</li>" for row in rows)
    return f'<{tag} class="rows"{start}>{items}</{tag}>'


def near_list(found: Iterable[Near]) -> str:
    """List rows that nearly apply, each with what it differs in, and on which side by how much."""
    items = []
    for near in found:
        differs = ", ".join(f"{_label(name)} {value}" for name, value in near.differs.items())
        away = (
            f" ({near.away:.2g} {near.away_unit} {near.side} yours)"
            if near.side
            else " (not yours)"
        )
        items.append(f"<li>{_row(near.row, f'for {differs}{away}')}</li>")
    return f'<ul class="rows">{"".join(items)}</ul>'


def _row(row: Row, near: str = "") -> str:
    head = f"<b>{escape(shown_span(row))}</b>"
    if row.ignores:
        head = f"General range {head}, which {escape(names_none_of(row))}"
    elif row.special:
        only = " and ".join(row.conditions[name] for name in row.special)
        head = f"Only with {escape(only)}: {head}"
    says = f"{row.verdict} by {escape(distance(row.by, row.unit))}" if row.by else row.verdict
    if says and row.how_read == "memory":
        # A recalled row passes or fails nothing, and its words must not look as if it did.
        says = f"does not hold it, {says}" if row.by else "holds it"
    head += "".join(f", {text}" for text in (says, escape(near)) if text)
    place = row.source
    if not row.locator or row.locator not in row.source:
        place += f", {row.locator or 'place not noted'}"
    about = GRADES[row.how_read]
    if row.status:
        about += f"; {row.status}"
    parts = [f"{head}. <cite>{escape(place)}</cite>. {escape(about.capitalize())}."]
    parts += [f"{escape(text)}." for text in assumption_sentences(row)]
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


def assumption_sentences(row: Row) -> list[str]:
    """Say what a row adds to the situation: first what was left out, in one sentence.

    >>> from types import SimpleNamespace as R
    >>> said = Assumption("material", "unsaid", "carbon steel")
    >>> assumption_sentences(R(special=(), assumptions=(said,)))
    ['Holds for metal carbon steel; you did not say']
    """
    unsaid = [
        f"{_label(one.condition)} {one.value}"
        for one in row.assumptions
        if one.kind == "unsaid" and one.condition not in row.special
    ]
    sentences = [f"Holds for {', '.join(unsaid)}; you did not say"] if unsaid else []
    return sentences + [_assumed(one) for one in row.assumptions if one.kind != "unsaid"]


def _assumed(one: Assumption) -> str:
    if one.kind == "narrower":
        return f"Holds for {_label(one.condition)} {one.value}; you said {one.said}"
    if one.kind == "member":
        return f"Takes {one.said} as {one.value}, {GRADES[one.grade]}"
    return _first_up(str(one))


def _first_up(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _sentence(text: str) -> str:
    return f"{_first_up(text)}."


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
