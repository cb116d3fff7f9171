"""Answers as text for a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from weldref.core.situation import LABELS
from weldref.data import own as own_tables
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.errors import InputError

if TYPE_CHECKING:
    from weldref.core.cautions import Caution
    from weldref.core.check import CheckResult, Published
    from weldref.core.verdict import Reading, Row
    from weldref.data.catalogue import Coverage, Source, TableSummary

WIDTH = 80
MOST_ROWS = 8
MOST_LISTED = 25
GRADE_WORDS = {"read": "read", "secondary": "quoted", "memory": "memory"}
_COLOURS = {"inside": "36", "low": "1;33", "high": "1;33", "sources differ": "1;35"}


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


def span(row: Row) -> str:
    """Write a row's range as printed.

    >>> from types import SimpleNamespace as R
    >>> span(R(min=110.0, max=160.0, typical=None, unit="A"))
    '110 to 160 A'
    """
    if row.min is not None and row.max is not None:
        text = f"{row.min:g} to {row.max:g} {row.unit}"
        return text if row.typical is None else f"{text}, typical {row.typical:g}"
    if row.min is not None:
        return f"at least {row.min:g} {row.unit}"
    if row.max is not None:
        return f"at most {row.max:g} {row.unit}"
    return f"{row.typical:g} {row.unit}"


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
    """Name the documents that the rows shown point to."""
    named = {row.source_id: row.source for row in rows}
    return "\n".join(
        textwrap.fill(clean(f"{key}: {name}"), WIDTH, subsequent_indent="  ")
        for key, name in sorted(named.items())
    )


def _place(row: Row) -> str:
    place = f"{row.source_id}, {row.locator or 'place not noted'}"
    if row.own:
        place = f"own row: {place}"
    if row.status:
        place += f" [{row.status}]"
    unsaid = [f"{LABELS[name]} {value}" for name, value in row.assumed.items()]
    sentences = [text for text in row.assumptions if not text.startswith("holds for ")]
    if unsaid:
        sentences.insert(0, "if " + ", ".join(unsaid))
    return place + (f" ({'; '.join(sentences)})" if sentences else "")


def rows_table(rows: Sequence[Row]) -> str:
    """Show published rows: range, verdict, how read, and the place, with the assumptions."""
    shown = []
    for row in rows[:MOST_ROWS]:
        outside = f"{row.verdict} by {row.by:g}" if row.by else row.verdict
        shown.append((span(row), outside or "shown", GRADE_WORDS[row.how_read], _place(row)))
    said = "own rows" if rows[0].own else "published"
    text = table((said, "value is", "how read", "source, place (if ...)"), shown)
    left = len(rows) - MOST_ROWS
    return text + (
        f"\n... and {left} more; name more conditions to narrow them" if left > 0 else ""
    )


def check_text(result: CheckResult, *, colour: bool = False) -> str:
    """Write the answer to a check."""
    parts = [paragraph(", ".join(result.situation.values()) or "any situation")]
    parts += [paragraph(f"note: {note}") for note in result.notes]
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
            reading.nearby,
            reading.from_own.rows[:MOST_ROWS] if reading.from_own else (),
        )
        for row in rows
    ]
    if shown:
        parts.append("\nsources:\n" + documents(shown))
    parts.append("\n" + paragraph(result.reminder))
    parts.append(cautions_text(result.cautions))
    version, digest = result.dataset["version"], result.dataset["digest"][:12]
    parts.append(f"\ndataset {version}, {digest}")
    if result.own_tables:
        parts.append(clean(own_tables.line(result.own_tables)))
    return "\n".join(parts)


def verdict_word(verdict: str, *, own: bool) -> str:
    """Write the word of a verdict; of own tables it says nothing about what is published.

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
        line += f" by {reading.by:g} {reading.unit}"
    if reading.own:
        line += f" {own_tables.BY_OWN}"
    if reading.grade:
        line += f" (grade: {GRADE_WORDS[reading.grade]})"
    parts = [line]
    if reading.verdict != "no published range":
        parts.append(rows_table(reading.rows))
    parts += [paragraph(f"note: {note}") for note in reading.notes]
    if reading.from_memory:
        parts.append("from memory, not seen in print: " + reading.from_memory.verdict)
        parts.append(rows_table(reading.from_memory.rows))
    if reading.single_settings:
        where = "of own tables, not published" if reading.own else "in print"
        parts.append(f"single settings {where} (no pass or fail):")
        parts.append(rows_table(reading.single_settings))
    if reading.also_seen:
        parts.append("also seen (somebody's own use or tests, or in doubt):")
        parts.append(rows_table(reading.also_seen[:3]))
    if reading.nearby:
        parts.append("own rows nearby:" if reading.own else "published nearby:")
        parts.append(rows_table(reading.nearby))
    if reading.from_own and own:
        word = verdict_word(reading.from_own.verdict, own=True)
        recalled = ", from memory" if reading.from_own.rows[0].how_read == "memory" else ""
        parts.append(paragraph(f"{own_tables.heading(own['name'])}{recalled}: {word}"))
        parts.append(rows_table(reading.from_own.rows))
        parts += [paragraph(f"note: {note}") for note in reading.from_own.notes]
    return "\n".join(parts)


def published_text(found: Published) -> str:
    """Write the rows that apply to a situation: what one may set, then what was also seen."""
    parts = [paragraph(", ".join(found.situation.values()) or "any situation")]
    parts += [paragraph(f"note: {note}") for note in found.notes]
    said = [row for row in found.rows if row.basis in VERDICT_BASES and not row.status]
    seen = [row for row in found.rows if row not in said]
    used = found.own_tables
    own = f"{own_tables.heading(used['name'])}:" if used else ""
    instead = used is not None and used["mode"] == "instead"
    if not said:
        parts.append("\nno own range" if instead else "\nno published range")
    for heading, rows in (
        (own if instead else "published:", said),
        ("also seen (somebody's own use or tests, or in doubt):", seen),
        ("own rows nearby:" if instead else "published nearby:", found.nearby),
        (own, found.own_rows),
    ):
        if rows:
            parts.append("\n" + heading)
            parts.append(_published_table(rows))
    shown = [*found.rows[:MOST_LISTED], *found.own_rows[:MOST_LISTED], *found.nearby]
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
    said = "own rows" if rows[0].own else "published"
    text = table(("quantity", said, "how read", "source, place (if ...)"), shown)
    left = len(rows) - MOST_LISTED
    return text + (
        f"\n... and {left} more; name more conditions to narrow them" if left > 0 else ""
    )


def cautions_text(cautions: Iterable[Caution]) -> str:
    """Write the cautions, one a paragraph."""
    lines = [
        textwrap.fill(clean(c.wording), WIDTH, initial_indent="! ", subsequent_indent="  ")
        for c in cautions
    ]
    return "\n".join(lines)


def source_text(source: Source) -> str:
    """Write what is known of a document."""
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
