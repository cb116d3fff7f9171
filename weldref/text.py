"""Write answers as text for a terminal of 80 columns."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING
from unicodedata import category, normalize

from weldref.core.situation import LABELS
from weldref.core.wording import answer_words as answer_words
from weldref.core.wording import as_said, settable
from weldref.core.wording import question as question
from weldref.core.wording import recalled_line as recalled_line
from weldref.core.wording import span as span
from weldref.data import own as own_tables
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.errors import InputError
from weldref.grades import GRADE_WORDS, GRADES, weakest

if TYPE_CHECKING:
    from weldref.advice.card import Card, CardValue
    from weldref.core.cautions import Caution
    from weldref.core.check import CheckResult, Published
    from weldref.core.setup import SetupFinding
    from weldref.core.verdict import Near, Reading, Row
    from weldref.data.catalogue import Coverage, Source, TableSummary

WIDTH = 80
MOST_ROWS = 8
MOST_LISTED = 25
MOST_NAMED = 4
_COLOURS = {
    "inside": "36",
    "low": "1;33",
    "high": "1;33",
    "sources differ": "1;35",
    "depends": "1;34",
}


MEANINGS = {
    "inside": "within every published range that fits.",
    "low, high": "outside them, by so much.",
    "sources differ": "two documents that fit disagree.",
    "depends": "the answer turns on something you have not said; here is the question.",
    "no published range": "nothing printed fits; here is what is near, what is general, and what "
    "the trade recalls.",
}
"""What the words of a verdict mean, the same wherever they are explained."""


def clean(value: object) -> str:
    r"""Make a text safe to print: no control characters reach the terminal.

    >>> clean("a\x1b[31mb")
    'a [31mb'
    """
    return "".join(c if c.isprintable() else " " for c in str(value))


def pairs(option: str, given: Sequence[str]) -> dict[str, str]:
    """Read the values of an option that may repeat.

    >>> pairs("--unit", ["travel_speed=mm/s"])
    {'travel_speed': 'mm/s'}

    Raises
    ------
    InputError
        If a value is not NAME=VALUE, or a name is given twice.
    """
    found = {}
    for pair in given:
        name, equals, value = pair.partition("=")
        if not (name and equals and value):
            raise InputError(f"{option}: '{pair}' is not accepted; give NAME=VALUE")
        if name in found:
            raise InputError(f"{option}: {name} is given twice; give it once")
        found[name] = value
    return found


def table(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Lay out rows in columns of which the last wraps.

    Our own few lines: importing a table library would take longer than the whole answer.

    >>> print(table(("size", "place"), [("1/8", "p. 1"), ("3/32", "p. 2")]))
    size  place
    1/8   p. 1
    3/32  p. 2
    """
    texts = [[clean("" if c is None else c) for c in row] for row in (header, *rows)]
    widths = [max(len(text[i]) for text in texts) + 2 for i in range(len(header) - 1)]
    indent = " " * sum(widths)
    room = max(WIDTH - len(indent), 20)
    lines = []
    for text in texts:
        start = "".join(cell.ljust(width) for cell, width in zip(text, widths, strict=False))
        for number, part in enumerate(textwrap.wrap(text[-1], room) or [""]):
            lines.append(((indent if number else start) + part).rstrip())
    return "\n".join(lines)


def paragraph(text: str, indent: str = "") -> str:
    """Wrap a text to the width."""
    return textwrap.fill(clean(text), WIDTH, initial_indent=indent, subsequent_indent=indent)


def documents(rows: Iterable[Row]) -> str:
    """Name the documents of the rows that are shown."""
    named = {row.source_id: row.source for row in rows}
    return "\n".join(
        textwrap.fill(clean(f"{key}: {name}"), WIDTH, subsequent_indent="  ")
        for key, name in sorted(named.items())
    )


def _stated(conditions: Mapping[str, str]) -> str:
    return ", ".join(f"{LABELS[name]} {as_said(value)}" for name, value in conditions.items())


def _cited(one: Row | CardValue) -> str:
    return f"{one.source_id}, {one.locator or 'place not noted'}"


def _place(row: Row) -> str:
    place = _cited(row)
    if row.own:
        place = f"own row: {place}"
    if row.local:
        place = f"read on this machine: {place}"
    if row.status:
        place += f" [{row.status}]"
    sentences = [f"if {_stated(row.assumed)}"] if row.assumed else []
    sentences += [str(one) for one in row.assumptions if one.condition not in row.assumed]
    return place + (f" ({'; '.join(sentences)})" if sentences else "")


def names_none_of(row: Row) -> str:
    """Say which conditions a general range ignores.

    >>> from types import SimpleNamespace as R
    >>> names_none_of(R(ignores=("electrode_size", "thickness")))
    'names no diameter and no thickness'
    """
    return "names " + " and ".join(f"no {LABELS[name]}" for name in row.ignores)


def rows_table(rows: Sequence[Row]) -> str:
    """Show published rows: range, verdict, how read, and the place, with the assumptions."""
    shown = []
    for row in rows[:MOST_ROWS]:
        outside = f"{row.verdict} by {settable(row.by)}" if row.by else row.verdict
        shown.append((span(row), outside or "shown", GRADE_WORDS[row.how_read], _place(row)))
    said = "own range" if rows[0].own else "range"
    text = table((said, "value is", "how read", "source, place (if ...)"), shown)
    return text + _more(len(rows) - MOST_ROWS)


def _more(left: int) -> str:
    return f"\n... and {left} more; name more conditions to narrow them" if left > 0 else ""


def check_text(result: CheckResult, *, colour: bool = False) -> str:
    """Write the answer to a check."""
    parts = _opening(result, result.sense)
    for reading in result.readings:
        parts.append("\n" + _reading_text(reading, result.own_tables, colour=colour))
    if result.together:
        by = f" {own_tables.BY_OWN}" if result.readings[0].own else ""
        parts.append("\n" + paragraph(f"together{by}: {result.together}"))
    shown = [
        row
        for reading in result.readings
        for rows in (
            reading.rows[:MOST_ROWS],
            reading.from_memory.rows[:MOST_ROWS] if reading.from_memory else (),
            reading.single_settings[:MOST_ROWS],
            reading.also_seen[:3],
            reading.general,
            reading.conditional,
            tuple(near.row for near in reading.neighbours),
            reading.from_own.rows[:MOST_ROWS] if reading.from_own else (),
        )
        for row in rows
    ]
    if shown:
        parts.append("\nsources:\n" + documents(shown))
    return "\n".join([*parts, *_closing(result)])


def _opening(
    found: CheckResult | Card | Published, sense: Iterable[SetupFinding] = ()
) -> list[str]:
    """Say what was asked, what was assumed, and what does not make sense."""
    return [
        paragraph(", ".join(found.situation.values()) or "any situation"),
        *(paragraph(f"note: {note}") for note in found.notes),
        *(paragraph(sense_line(one)) for one in sense),
    ]


def _closing(found: CheckResult | Card) -> list[str]:
    """Write the reminder and the cautions, and name the dataset and the own tables."""
    version, digest = found.dataset["version"], found.dataset["digest"][:12]
    return [
        "\n" + paragraph(found.reminder),
        cautions_text(found.cautions),
        f"\ndataset {version}, {digest}",
        *([clean(own_tables.line(found.own_tables))] if found.own_tables else []),
    ]


def sense_line(found: SetupFinding) -> str:
    """Write what a set-up rule says, with its exception and its source."""
    text = f"{found.strength.upper()}: {found.what}. {found.why}".rstrip(". ")
    if found.exception:
        text += f". Except: {found.exception}".rstrip(". ")
    return f"{text} ({found.source_id}, {GRADE_WORDS[found.how_read]})"


def verdict_word(verdict: str, *, own: bool) -> str:
    """Write the word of a verdict; a verdict by own tables says nothing about what is published.

    >>> verdict_word("no published range", own=True)
    'no own range'
    """
    return "no own range" if own and verdict == "no published range" else verdict


def _reading_text(reading: Reading, own: dict[str, str] | None, *, colour: bool) -> str:
    word = verdict_word(reading.verdict, own=reading.own).upper()
    if colour and reading.verdict in _COLOURS:
        word = f"\x1b[{_COLOURS[reading.verdict]}m{word}\x1b[0m"
    name = reading.quantity.replace("_", " ")
    line = f"{name} {reading.value:g} {reading.unit}: {word}"
    if reading.by and reading.verdict in ("low", "high"):
        line += f" by {settable(reading.by)} {reading.unit}"
    if reading.own:
        line += f" {own_tables.BY_OWN}"
    if reading.grade and reading.verdict != "no published range":
        line += f" (grade: {GRADE_WORDS[reading.grade]})"
    parts = [line]
    if reading.nothing_passes:
        parts.append("no verdict: no published range is for such a set-up, see above")
    if reading.ask:
        parts.append(paragraph(question(reading.ask, reading.unit)))
    if (
        reading.verdict == "no published range"
        and reading.from_memory
        and not reading.nothing_passes
    ):
        parts.append(paragraph(recalled_line(reading.from_memory, reading.unit)))
    parts += _judged_text(reading)
    if reading.from_memory:
        heading = "recalled from memory, not seen in print (passes and fails nothing): "
        parts.append(heading + reading.from_memory.verdict)
        rows = reading.from_memory
        parts.append(rows_table(rows.rows or rows.conditional or rows.general))
    if reading.single_settings:
        where = "of own tables, not published" if reading.own else "in print"
        parts.append(f"single settings {where} (no pass or fail):")
        parts.append(rows_table(reading.single_settings))
    if reading.also_seen:
        parts.append("also seen (somebody's own use or tests, or in doubt):")
        parts.append(rows_table(reading.also_seen[:3]))
    if reading.neighbours:
        parts.append("own rows nearby:" if reading.own else "nearby:")
        parts.append(near_table(reading.neighbours))
    if reading.from_own and own:
        word = verdict_word(reading.from_own.verdict, own=True)
        rows = reading.from_own
        shown = (*rows.rows, *rows.conditional, *rows.general)
        recalled = ", from memory" if shown[0].how_read == "memory" else ""
        parts.append(paragraph(f"{own_tables.heading(own['name'])}{recalled}: {word}"))
        if rows.ask:
            parts.append(paragraph(question(rows.ask, reading.unit)))
        parts.append(rows_table(shown))
    return "\n".join(parts)


def _judged_text(reading: Reading) -> list[str]:
    """Write the rows that decide, then those that only bound the value or have a condition."""
    parts = [rows_table(reading.rows)] if reading.rows else []
    if reading.one_sided:
        there, lacking = ("minimum", "maximum")[:: 1 if reading.one_sided == "min" else -1]
        given = "given" if reading.own else "published"
        parts.append(f"note: one-sided: a {there} is {given}, no {lacking}")
    for row in [one for one in reading.general if one.verdict][:3]:
        of = "" if row.verdict == "inside" else " of"
        why = f", which {names_none_of(row)}" if row.ignores else ", a bound and no setting"
        parts.append(
            paragraph(f"{row.verdict}{of} the general range {span(row)}{why}: {_place(row)}")
        )
    for row in reading.conditional[:3]:
        only = " and ".join(as_said(row.conditions[name]) for name in row.special)
        word = "" if reading.nothing_passes else f" ({row.verdict})"
        parts.append(paragraph(f"only with {only}: {span(row)}{word}: {_place(row)}"))
    return parts


def near_table(found: Iterable[Near]) -> str:
    """Show rows that nearly apply: range, grade, how they differ, and the place."""
    shown = []
    for near in found:
        away = f", {near.away:.2g} {near.away_unit} {near.side}" if near.side else ""
        how = GRADE_WORDS[near.row.how_read]
        shown.append((span(near.row), how, f"{_stated(near.differs)}{away}: {_cited(near.row)}"))
    return table(("range", "how read", "for"), shown)


def card_text(found: Card) -> str:
    """Write a bench card: what to set, line by line, where that is from, and the next question."""
    parts = _opening(found, found.sense)
    if found.set_up:
        said = [f"{LABELS[name]} {value}" for name, value in found.set_up.items()]
        parts.append("\n" + paragraph(f"set up with: {', '.join(said)}"))
    if also := _also_assumed(found):
        parts.append(paragraph(f"holds if: {also}"))
    if found.values:
        shown = [_card_row(value) for value in found.values]
        parts.append("\n" + table(("set", "start", "range", "how read", "source"), shown))
    elif any(one.holds_back for one in found.sense):
        parts.append("\nno start: no published range is for such a set-up")
    elif not found.ask:
        parts.append(
            "\nnothing that is published or recalled fits: state more conditions, or fewer"
        )
    if found.neighbours:
        name = found.neighbours[0].row.quantity.replace("_", " ")
        parts.append(f"\nnearest to it, {name}:\n" + near_table(found.neighbours))
    if any(not value.same_line for value in found.values):
        parts.append("+ is from another line than the first values, and goes with it")
    parts += _choice_lines(found)
    parts += _lens_lines(found)
    for one in found.tungstens[:3]:
        kind = f" {one.tungsten_class}" if one.tungsten_class else ""
        how = GRADE_WORDS[one.grade]
        parts.append(f"tungsten {one.size}{kind}, carries {one.printed} ({how})")
    if found.missing and found.values:
        names = ", ".join(name.replace("_", " ") for name in found.missing)
        parts.append(paragraph(f"nothing fits for: {names}"))
    if found.ask:
        parts.append("\n" + paragraph(found.ask.text()))
    if len(found.lines) > 1:
        parts.append(f"{len(found.lines)} lines fit; see the others with --line 2 and so on")
    return "\n".join([*parts, *_closing(found)])


def _choice_lines(found: Card) -> list[str]:
    """List what documents name for each open choice, and what they advise against."""
    chosen = {**found.situation, **found.set_up}
    lines = []
    for name, statements in (("polarity", found.polarities), ("gas", found.gases)):
        grades: dict[tuple[bool, str], list[str]] = {}
        for one in statements:
            grades.setdefault((one.refuses, one.value), []).append(one.how_read)
        said = [
            f"{'not ' if refused else ''}{value} ({GRADE_WORDS[min(how, key=GRADES.index)]})"
            for (refused, value), how in sorted(grades.items(), key=lambda one: one[0][0])
        ]
        if said and name not in chosen:
            more = f" and {len(said) - MOST_NAMED} more" if len(said) > MOST_NAMED else ""
            lines.append(paragraph(f"{name}, as named: {', '.join(said[:MOST_NAMED])}{more}"))
    return lines


def _lens_lines(found: Card) -> list[str]:
    from weldref.advice.choices import lens

    least, better = lens(found.shades)
    said = [f"at least {least.value:g} ({GRADE_WORDS[least.how_read]})"] if least else []
    if better:
        shown = " to ".join(dict.fromkeys(f"{s.value:g}" for s in (better[0], better[-1])))
        said.append(f"better {shown} ({GRADE_WORDS[weakest(s.how_read for s in better)]})")
    return ["lens shade " + ", ".join(said)] if said else []


def _also_assumed(found: Card) -> str:
    """Name the conditions of the leading line that were neither stated nor are to be set up."""
    same = next((value for value in found.values if value.same_line), None)
    unsaid = same.assumed.items() if same else ()
    return _stated({name: value for name, value in unsaid if name not in found.set_up})


def _card_row(value: CardValue) -> tuple[str, str, str, str, str]:
    name = value.quantity.replace("_", " ") + ("" if value.same_line else " +")
    start = "" if value.start is None else f"{value.start:g} {value.unit}"
    ends = value.printed
    if ends != value.shown and value.value is None:
        ends = f"{ends} ({value.shown})"
    place = _cited(value)
    if value.own:
        place = f"own row: {place}"
    if value.reading:
        word = verdict_word(value.reading.verdict, own=value.reading.own)
        place = f"yours {value.reading.value:g} {value.reading.unit}: {word}; {place}"
    return name, start, ends, GRADE_WORDS[value.grade], place


def published_text(found: Published) -> str:
    """Write the rows that apply to a situation: first what may be set, then what was also seen."""
    parts = _opening(found)
    said = [row for row in found.rows if row.basis in VERDICT_BASES and not row.status]
    seen = [row for row in found.rows if row not in said]
    used = found.own_tables
    own = f"{own_tables.heading(used['name'])}:" if used else ""
    instead = used is not None and used["mode"] == "instead"
    if not said:
        parts.append("\nno own range" if instead else "\nno published range")
    for heading, rows in (
        (own if instead else "published:", [row for row in said if row.how_read != "memory"]),
        (
            "recalled from memory, not seen in print:",
            [row for row in said if row.how_read == "memory"],
        ),
        ("also seen (somebody's own use or tests, or in doubt):", seen),
        (own, found.own_rows),
    ):
        if rows:
            parts.append("\n" + heading)
            parts.append(_published_table(rows))
    if found.neighbours:
        parts.append("\nown rows nearby:" if instead else "\nnearby:")
        parts.append(near_table(found.neighbours))
    near = [one.row for one in found.neighbours]
    shown = [*found.rows[:MOST_LISTED], *found.own_rows[:MOST_LISTED], *near]
    if shown:
        parts.append("\nsources:\n" + documents(shown))
    parts.append("\n" + paragraph(found.reminder))
    parts.append(cautions_text(found.cautions))
    if used:
        parts.append("\n" + clean(own_tables.line(used)))
    return "\n".join(parts)


def _published_table(rows: Sequence[Row]) -> str:
    shown = [
        (row.quantity.replace("_", " "), span(row), GRADE_WORDS[row.how_read], _place(row))
        for row in rows[:MOST_LISTED]
    ]
    said = "own range" if rows[0].own else "range"
    text = table(("quantity", said, "how read", "source, place (if ...)"), shown)
    return text + _more(len(rows) - MOST_LISTED)


def displayable(text: str) -> str:
    """Keep what the fonts of a PDF can show; other characters become a question mark.

    >>> displayable("Ø 3,2 mm, 气体")
    'Ø 3,2 mm, ?'
    """
    whole = normalize("NFC", text)
    return re.sub("\0+", "?", "".join(c if _in_fonts(c) else "\0" for c in whole))


def _in_fonts(sign: str) -> bool:
    known = _IN_FONTS.match(sign) and category(sign) not in _NO_SIGN
    return bool(known) or sign in "\n\t"


_IN_FONTS = re.compile(
    "[\u0001-\u04ff\u1e00-\u22ff](?<![\u2041\u2043\u2053\u211f\u2121\u2123\u2125\u2152\u2185-\u218b])",
    re.DOTALL,
)
_NO_SIGN = ("Cc", "Cn", "Co", "Cs", "Me", "Mn")


def cautions_text(cautions: Iterable[Caution]) -> str:
    """Write each caution as a paragraph."""
    lines = [
        textwrap.fill(clean(c.wording), WIDTH, initial_indent="! ", subsequent_indent="  ")
        for c in cautions
    ]
    return "\n".join(lines)


def source_text(source: Source) -> str:
    """Write what is known about a document."""
    pairs = [
        ("own", "a document of own tables, not published" if source.own else ""),
        ("title", source.title),
        ("issuer", source.issuer),
        ("number", source.document_number),
        ("edition", source.edition),
        ("terms", source.terms),
        ("how read", source.how_read),
        ("remark", source.remark),
        ("rows", ", ".join(f"{n} in {t}" for t, n in source.rows.items()) or "none"),
    ]
    text = table((source.source_id, ""), [(k, v) for k, v in pairs if v])
    # An address is one word, however long.
    addresses = [clean(part.strip()) for part in (source.address or "").split(" ; ") if part]
    return "\n".join([text, *(f"address  {address}" for address in addresses)])


def tables_text(summaries: Iterable[TableSummary]) -> str:
    """List the tables with their rows by grade."""
    rows = [(s.name, s.rows, s.read, s.secondary, s.memory, s.description) for s in summaries]
    return table(("table", "rows", "read", "quoted", "memory", "what a row is"), rows)


def coverage_text(rows: Iterable[Coverage]) -> str:
    """Print the coverage: a line for each process and metal, rows by grade for each quantity."""
    lines: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        counts = f"{row.read}/{row.secondary}/{row.memory}"
        said = f"{row.quantity.replace('_', ' ')} {counts}"
        lines.setdefault((row.process, row.material), []).append(said)
    return table(
        ("process", "material", "rows that give verdicts: read/quoted/memory"),
        [(*key, ", ".join(said)) for key, said in lines.items()],
    )


_SIGNS = {"F": "°F", "C": "°C", "deg": "°", "ft3/h": "ft³/h", "ft3/min": "ft³/min"}


def unit_sign(unit: str) -> str:
    """Write a unit as a person would.

    >>> unit_sign("F"), unit_sign("ft3/h"), unit_sign("A")
    ('°F', 'ft³/h', 'A')
    """
    return _SIGNS.get(unit, unit)
