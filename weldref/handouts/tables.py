"""Lay out a situation's rows: as a table with bars on one scale, and flat for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from weldref.core.situation import Situation
from weldref.data.store import Store, described
from weldref.grades import SHORT
from weldref.handouts.blocks import Align, Bar, Cell, Column, Rows, Table
from weldref.handouts.conversion import Converter, Shown, fraction, number, rounded
from weldref.handouts.selection import Selection
from weldref.handouts.settings import Group, Setting, Settings, conditions_said
from weldref.handouts.texts import Notes, cited, range_text
from weldref.handouts.words import Words, later, sentence
from weldref.text import unit_sign

MOST_RECALLED = 8
"""Further rows from memory are counted and not printed."""

BAR_COLUMN = 5
COLUMNS: tuple[tuple[str, float, Align], ...] = (
    (later("min"), 0.45, "right"),
    (later("max"), 0.45, "right"),
    (later("typical"), 0.55, "right"),
    (later("unit"), 0.6, "left"),
    ("", 1.2, "left"),
    (later("range"), 1.15, "left"),
    (later("holds for"), 2.35, "left"),
    (later("how read"), 1.0, "left"),
    (later("source"), 0.65, "left"),
)
CONVERTED = {
    "us": later("≈ in inch units"),
    "metric": later("≈ in metric units"),
    "both": later("≈ converted"),
}
"""The title of the column of converted numbers, by the unit system of the sheet."""

MARGIN = 0.07
"""Share of a scale kept free on either side, for open ends."""


def _table(groups: Iterable[Rows], notes: Notes) -> Table:
    columns = (
        Column(notes.words.say(title or CONVERTED[notes.shown]), share, align)
        for title, share, align in COLUMNS
    )
    return Table(tuple(columns), tuple(groups), BAR_COLUMN)


def settings_table(settings: Settings, notes: Notes, printed: Printed) -> Table:
    """Lay out the published rows, one line a row, a group for each quantity."""
    groups = (_rows(group, notes) for group in settings.groups)
    return _table([_once(one, printed, notes.words) for one in groups], notes)


@dataclass
class Printed:
    """What a booklet has printed so far, and under which situation.

    `title` is the current situation.
    """

    title: str = ""
    under: dict[Any, str] = field(default_factory=dict)

    def before(self, content: Any) -> str:
        """Return the other situation under which a content is printed; note a new content."""
        first = self.under.setdefault(content, self.title)
        return "" if first == self.title else first


def _once(rows: Rows, printed: Printed, words: Words) -> Rows:
    """Refer to another situation with the same rows, if there are several rows."""
    first = printed.before(rows) if len(rows.rows) > 1 else ""
    if not first:
        return rows
    said = words.say("as printed for {situation}", situation=first)
    return Rows(rows.title, (), rows.mark, None, ((0, said),))


def _rows(group: Group, notes: Notes) -> Rows:
    words, recalled = notes.words, group.recalled[:MOST_RECALLED]
    scale = Scale.of([*group.printed, *group.conditional, *recalled], notes.converter, notes.shown)
    parts = (
        ("", group.printed, scale),
        (later("only under a condition that was not stated:"), group.conditional, scale),
        # Without a bar: a general or one-sided range is not a setting to aim at.
        (later("general ranges and limits, no setting:"), group.general, None),
        (later("from memory, not seen in print:"), recalled, scale),
    )
    says: list[tuple[int, str]] = []
    lines: list[tuple[Cell, ...]] = []
    for heading, settings, bars in parts:
        if heading and settings:
            says.append((len(lines), words.say(heading)))
        lines += [_line(one, notes, bars) for one in settings]
    if left := len(group.recalled) - len(recalled) + group.unshown:
        message = later("and {count} more from memory; name more conditions to see them")
        says.append((len(lines), words.say(message, count=left)))
    title, texts = sentence(notes.quantity(group.quantity)), scale.texts if scale else None
    return Rows(title, tuple(lines), _mark(group, words), texts, tuple(says))


def _mark(group: Group, words: Words) -> str:
    """Say what a check would say of a group: that sources differ, it depends, or no row fits."""
    if group.differ:
        return words.say("≠ sources differ")
    if any(_is_range(setting) for setting in group.printed):
        return ""
    if any(setting.row.own for setting in group.rows):
        return words.say("no own range")
    if any(_is_range(setting) for setting in group.conditional):
        asked = words.listed(words.say(name) for name in group.asks)
        return words.say("depends: which {condition}?", condition=asked)
    if group.printed:
        return words.say("no published range, single settings in print")
    return words.say("no published range")


def also_seen_table(settings: Sequence[Setting], notes: Notes) -> Table:
    """Lay out rows of what somebody once did, or in doubt."""
    groups = []
    for quantity in dict.fromkeys(setting.row.quantity for setting in settings):
        own = [setting for setting in settings if setting.row.quantity == quantity]
        scale = Scale.of(own, notes.converter, notes.shown)
        rows = tuple(_line(one, notes, scale) for one in own)
        title = sentence(notes.quantity(quantity))
        groups.append(Rows(title, rows, scale=scale.texts if scale else None))
    return _table(groups, notes)


def _line(setting: Setting, notes: Notes, scale: Scale | None) -> tuple[Cell, ...]:
    row, words = setting.row, notes.words
    marks = ["≠"] if setting.differs else []
    if row.status:
        marks.append(words.say(row.status))
    return (
        number(row.min),
        number(row.max),
        number(row.typical),
        unit_sign(row.unit),
        converted_text(setting, notes),
        scale.bar(setting) if scale else None,
        words.listed(conditions_said(setting, notes)) or "—",
        words.say(SHORT[row.how_read]),
        " ".join([notes.mark(row), *marks]),
    )


def converted_text(setting: Setting, notes: Notes) -> str:
    """Write a row in the reader's units, marked as converted; empty if it is printed in them.

    Inch sizes that the trade writes as fractions are written so, which is exact.
    """
    row, converter = setting.row, notes.converter
    ends = (row.min, row.max, row.typical)
    target = converter.target(row.quantity, row.unit, notes.shown)
    if target is None:
        texts = [fraction(end) for end in ends if end is not None] if row.unit == "in" else []
        plain = notes.shown == "metric" or "" in texts or not any("/" in text for text in texts)
        return "" if plain else f"= {' – '.join(texts)} in"
    low, high, typical = (
        "" if end is None else converter.text_in(end, row.unit, target) for end in ends
    )
    return f"≈ {range_text(low, high, typical, unit_sign(target), notes.words)}"


@dataclass(frozen=True, slots=True)
class Scale:
    """One scale for the rows of a quantity, from the smallest to the greatest printed number."""

    unit: str
    low: float
    high: float
    texts: tuple[str, str]
    converter: Converter

    @classmethod
    def of(cls, settings: Sequence[Setting], converter: Converter, shown: Shown) -> Scale | None:
        """Make the scale of some rows; None if they print fewer than two different numbers."""
        if not settings:
            return None
        row = settings[0].row
        us, metric = converter.usual[row.quantity]
        unit = {"us": us, "metric": metric, "both": row.unit}[shown]
        # Each printed number on the scale, as printed where the scale has its unit.
        placed = [
            (value, number(value))
            if s.row.unit == unit
            else (other := converter.number_in(value, s.row.unit, unit), rounded(other, unit))
            for s in settings
            for value in (s.row.min, s.row.max, s.row.typical)
            if value is not None
        ]
        (low, first), (high, last) = min(placed), max(placed)
        # 0 °C and 32 °F are one point; the slack covers rounding of the conversion.
        if high - low <= 1e-6 * max(abs(low), abs(high), 1.0):
            return None
        return cls(unit, low, high, (first, f"{last} {unit_sign(unit)}"), converter)

    def bar(self, setting: Setting) -> Bar:
        """Place a row on the scale; an end that is not printed is at the end of the scale."""
        row, ranged = setting.row, _is_range(setting)

        def share(value: float | None, beyond: float | None) -> float | None:
            if value is None:
                return beyond
            placed = self.converter.number_in(value, row.unit, self.unit)
            inner = (placed - self.low) / (self.high - self.low)
            return round(MARGIN + (1 - 2 * MARGIN) * inner, 4)

        return Bar(
            low=share(row.min, 0.0 if ranged else None),
            high=share(row.max, 1.0 if ranged else None),
            open_low=ranged and row.min is None,
            open_high=ranged and row.max is None,
            point=share(row.typical, None),
            grade=row.how_read,
        )


def _is_range(setting: Setting) -> bool:
    return setting.row.min is not None or setting.row.max is not None


HANDOUT_HEADER = (
    "situation", "quantity", "min", "max", "typical", "unit", "converted", "holds for",
    "how read", "sources differ", "statement", "source", "place", "source id", "row id",
    "dataset", "digest",
)  # fmt: skip
"""The header stays English, so that a program may read it; the cells follow the language."""


def handout_records(
    store: Store, selection: Selection, pages: Sequence[tuple[Situation, Settings]]
) -> Iterator[tuple[Any, ...]]:
    """Write the header, a line for each row shown, and one for each quantity without a row."""
    words = selection.words
    notes = Notes(store, words, selection.shown)
    (dataset,) = store.rows("SELECT version, digest FROM dataset")
    used = described(store)
    name = words.say("own, not published: {name}", name=used["name"]) if used else ""

    def tail(own: str) -> tuple[Any, ...]:
        return (dataset["version"], dataset["digest"], *((own,) if used else ()))

    def line(situation: str, setting: Setting, statement: str = "") -> tuple[Any, ...]:
        row = setting.row
        if not statement:
            how = later("from memory") if row.how_read == "memory" else later("published")
            statement = later("own") if row.own else how
        return (
            situation,
            notes.quantity(row.quantity),
            number(row.min),
            number(row.max),
            number(row.typical),
            unit_sign(row.unit),
            converted_text(setting, notes),
            words.listed(conditions_said(setting, notes)),
            words.say(SHORT[row.how_read]),
            words.say("yes") if setting.differs else "",
            words.say(statement),
            cited(words, row.source_id, row.source),
            cited(words, row.source_id, row.locator or ""),
            row.source_id,
            row.window_id,
            *tail(name if row.own else ""),
        )

    yield (*HANDOUT_HEADER, *(("own tables",) if used else ()))
    for situation, settings in pages:
        title = words.listed(map(words.term, situation.given().values()))
        for group in settings.groups:
            if not group.rows:
                nothing = words.say("no published range")
                quantity = notes.quantity(group.quantity)
                yield (title, quantity, *[""] * 8, nothing, *[""] * 4, *tail(""))
            statements = {
                later("only under a condition that was not stated"): group.conditional,
                later("general, no setting"): group.general,
            }
            yield from (line(title, one) for one in group.printed)
            for statement, rows in statements.items():
                yield from (line(title, one, statement) for one in rows)
            yield from (line(title, one) for one in group.recalled)
        yield from (line(title, one, later("also seen")) for one in settings.also_seen)
        yield from (line(title, one) for one in settings.own)
