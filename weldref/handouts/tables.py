"""Lay out a situation's rows as a table: groups, bars on one scale, marks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from weldref.handouts.blocks import Bar, Cell, Column, Rows, Table
from weldref.handouts.conversion import Converter, Shown, fraction, number, rounded, sign
from weldref.handouts.selection import quantity_names
from weldref.handouts.settings import Group, Setting, Settings, conditions_text
from weldref.handouts.sources import Notes
from weldref.handouts.words import Words, later

MOST_RECALLED = 8
"""Rows from memory beyond this are counted and not printed: print comes first."""

GRADES = {"read": later("read"), "secondary": later("quoted"), "memory": later("from memory")}
"""How a grade is called on paper."""

BAR_COLUMN = 5

MARGIN = 0.07
"""Share of a scale kept free on either side, where open ends run out."""


def columns(words: Words, shown: Shown) -> tuple[Column, ...]:
    """Write the columns of a table of settings."""
    converted = {
        "us": words.say("≈ in inch units"),
        "metric": words.say("≈ in metric units"),
        "both": words.say("≈ converted"),
    }[shown]
    return (
        Column(words.say("min"), 0.45, "right"),
        Column(words.say("max"), 0.45, "right"),
        Column(words.say("typical"), 0.55, "right"),
        Column(words.say("unit"), 0.6),
        Column(converted, 1.2),
        Column(words.say("range"), 1.15),
        Column(words.say("holds for"), 2.35),
        Column(words.say("how read"), 1.0),
        Column(words.say("source"), 0.65),
    )


def settings_table(
    settings: Settings,
    words: Words,
    notes: Notes,
    converter: Converter,
    shown: Shown,
    printed: Printed,
) -> Table:
    """Lay out the published rows, one line a row, a group for each quantity."""
    groups = (_rows(group, words, notes, converter, shown) for group in settings.groups)
    return Table(
        columns(words, shown), tuple(_once(one, printed, words) for one in groups), BAR_COLUMN
    )


@dataclass
class Printed:
    """What a booklet has printed, with the situation that it is printed under.

    `title` is the situation at hand.
    """

    title: str = ""
    under: dict[Any, str] = field(default_factory=dict)

    def before(self, content: Any) -> str:
        """Return under which other situation a content is printed; note it where it is new."""
        first = self.under.setdefault(content, self.title)
        return "" if first == self.title else first


def _once(rows: Rows, printed: Printed, words: Words) -> Rows:
    """Point to rows that stand under another situation in the same words."""
    first = printed.before(rows) if len(rows.rows) > 1 else ""
    if not first:
        return rows
    said = words.say("as printed for {situation}", situation=first)
    return Rows(rows.title, (), rows.mark, None, ((0, said),))


def _rows(group: Group, words: Words, notes: Notes, converter: Converter, shown: Shown) -> Rows:
    recalled = group.recalled[:MOST_RECALLED]
    scale = Scale.of([*group.printed, *group.conditional, *recalled], converter, shown)
    parts = (
        ("", group.printed, scale),
        (later("only under a condition that was not stated:"), group.conditional, scale),
        # Without a bar: what is general or one-sided is no setting to aim at.
        (later("general ranges and limits, no setting:"), group.general, None),
        (later("from memory, not seen in print:"), recalled, scale),
    )
    says: list[tuple[int, str]] = []
    lines: list[tuple[Cell, ...]] = []
    for heading, settings, bars in parts:
        if heading and settings:
            says.append((len(lines), words.say(heading)))
        lines += [_line(s, words, notes, converter, shown, bars) for s in settings]
    left = len(group.recalled) - len(recalled) + group.unshown
    if left:
        message = later("and {count} more from memory; name more conditions to see them")
        says.append((len(lines), words.say(message, count=left)))
    return Rows(
        title=_sentence(words.term(group.name)),
        rows=tuple(lines),
        mark=_mark(group, words),
        scale=scale.texts if scale else None,
        says=tuple(says),
    )


def _mark(group: Group, words: Words) -> str:
    """Say of a group what a check would: that sources differ, that it depends, that none fits."""
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


def also_seen_table(
    settings: Sequence[Setting], words: Words, notes: Notes, converter: Converter, shown: Shown
) -> Table:
    """Lay out the rows that tell what somebody once did, or that are in doubt."""
    groups = []
    names = quantity_names(converter.store)
    for quantity in dict.fromkeys(setting.row.quantity for setting in settings):
        own = [setting for setting in settings if setting.row.quantity == quantity]
        scale = Scale.of(own, converter, shown)
        rows = tuple(_line(s, words, notes, converter, shown, scale) for s in own)
        title = _sentence(words.term(names[quantity]))
        groups.append(Rows(title, rows, scale=scale.texts if scale else None))
    return Table(columns(words, shown), tuple(groups), bar_column=BAR_COLUMN)


def _line(
    setting: Setting,
    words: Words,
    notes: Notes,
    converter: Converter,
    shown: Shown,
    scale: Scale | None,
) -> tuple[Cell, ...]:
    row = setting.row
    holds = conditions_text(setting, words)
    marks = ["≠"] if setting.differs else []
    if row.status:
        marks.append(words.say(row.status))
    return (
        number(row.min),
        number(row.max),
        number(row.typical),
        sign(row.unit),
        converted_text(setting, converter, shown, words),
        scale.bar(setting) if scale else None,
        holds or "—",
        words.say(GRADES[row.how_read]),
        " ".join([notes.mark(row.source_id, row.locator), *marks]),
    )


def converted_text(setting: Setting, converter: Converter, shown: Shown, words: Words) -> str:
    """Write a row in the reader's units, marked as converted; empty where print serves.

    Inch sizes that are fractions of the trade are given as such, which is exact.
    """
    found = converter.converted(setting.raw, shown)
    if found is None:
        return _fractions(setting) if shown != "metric" else ""
    low, high, typical, unit = found
    text = _span(low, high, typical, words)
    return f"≈ {text} {sign(unit)}"


def _span(low: str, high: str, typical: str, words: Words) -> str:
    if low and high:
        text = words.say("{low} to {high}", low=low, high=high)
    elif low:
        text = words.say("at least {low}", low=low)
    elif high:
        text = words.say("at most {high}", high=high)
    else:
        return typical
    return words.say("{range}, typical {typical}", range=text, typical=typical) if typical else text


def _fractions(setting: Setting) -> str:
    row = setting.row
    if row.unit != "in":
        return ""
    texts = [fraction(v) for v in (row.min, row.max, row.typical) if v is not None]
    if not any("/" in text for text in texts) or "" in texts:
        return ""
    return f"= {' – '.join(texts)} in"


class Scale:
    """One scale for the rows of a quantity, from the smallest to the greatest printed number."""

    def __init__(
        self, unit: str, ends: tuple[float, float], texts: tuple[str, str], converter: Converter
    ) -> None:
        self.unit, self.texts, self.converter = unit, texts, converter
        self.low, self.high = ends

    @classmethod
    def of(cls, settings: Iterable[Setting], converter: Converter, shown: Shown) -> Scale | None:
        """Make the scale of some rows; None where they print fewer than two numbers."""
        listed = list(settings)
        if not listed:
            return None
        row = listed[0].row
        us, metric = converter.usual[row.quantity]
        unit = metric if shown == "metric" else us if shown == "us" else row.unit
        # Each printed number on the scale, as printed where the scale has its unit.
        placed = [
            (value, number(value))
            if s.row.unit == unit
            else (other := converter.number_in(value, s.row.unit, unit), rounded(other, unit))
            for s in listed
            for value in (s.row.min, s.row.max, s.row.typical)
            if value is not None
        ]
        (low, first), (high, last) = min(placed), max(placed)
        # 0 °C and 32 °F are one point; the slack covers what a conversion leaves over.
        if high - low <= 1e-6 * max(abs(low), abs(high), 1.0):
            return None
        return cls(unit, (low, high), (first, f"{last} {sign(unit)}"), converter)

    def bar(self, setting: Setting) -> Bar:
        """Place a row on the scale; an end that is not printed lies beyond the scale's numbers."""
        row = setting.row

        def share(value: float | None) -> float | None:
            if value is None:
                return None
            placed = self.converter.number_in(value, row.unit, self.unit)
            inner = (placed - self.low) / (self.high - self.low)
            return round(MARGIN + (1 - 2 * MARGIN) * inner, 4)

        ranged = _is_range(setting)
        return Bar(
            low=share(row.min) if row.min is not None else (0.0 if ranged else None),
            high=share(row.max) if row.max is not None else (1.0 if ranged else None),
            open_low=ranged and row.min is None,
            open_high=ranged and row.max is None,
            point=share(row.typical),
            grade=row.how_read,
        )


def _is_range(setting: Setting) -> bool:
    return setting.row.min is not None or setting.row.max is not None


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
