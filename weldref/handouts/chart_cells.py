"""Word the cells of charts and cards, and explain how to read them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable

from weldref.advice.card import CardValue
from weldref.core.situation import LABELS
from weldref.handouts.blocks import ChartCell, Entry
from weldref.handouts.chart_grid import Charted
from weldref.handouts.conversion import fraction, number, rounded, within
from weldref.handouts.settings import conditions_said
from weldref.handouts.texts import Notes
from weldref.handouts.words import Words
from weldref.text import unit_sign

Ends = tuple[float | None, float | None, float | None]
"""A printed minimum, maximum and typical value."""


def legend(words: Words) -> tuple[str, ...]:
    """Explain how to read the numbers of a chart or a card."""
    say = words.say
    return (
        say("Each number is one statement of one source and ends with the number of that source."),
        say("Plain: seen in the source's text. Dashed frame: quoted in another document."),
        say("Dotted frame, slanted: from memory, not seen in print; it decides nothing."),
        say("Double frame: the school's own, not published."),
        say(
            "≈, or a printed number below it: converted. –: nothing is published or recalled here."
        ),
    )


def worded(cell: Charted, unit: str, notes: Notes, *, with_unit: bool = False) -> ChartCell:
    """Word a cell in a unit, which `with_unit` writes out where no column title names it."""
    words = notes.words
    entries: dict[tuple[str, tuple[str, ...], str], dict[str, None]] = {}
    for setting in (*cell.settings, *cell.own):
        row = setting.row
        ends = (row.min, row.max, row.typical)
        text, printed = value_texts(ends, row.unit, unit, row.quantity, notes)
        if with_unit:
            text = f"{text} {unit_sign(unit)}".replace(" °", "°")
        held = conditions_said(setting, notes, cell.situation.thickness)
        key = (text, tuple(filter(None, (printed, *held))), "own" if row.own else row.how_read)
        entries.setdefault(key, {})[notes.mark(row)] = None
    shown = tuple(
        Entry(text, "".join(marks), held, grade) for (text, held, grade), marks in entries.items()
    )
    if shown or not cell.depends:
        return ChartCell(shown)
    asked = words.listed(words.say(LABELS.get(name, name)) for name in cell.depends)
    return ChartCell((), words.say("depends: which {condition}?", condition=asked))


def by_value(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Write each value once, with all its conditions, marked where the sources differ."""
    grouped: dict[tuple[str, str], list[Entry]] = defaultdict(list)
    for entry in entries:
        grouped[entry.text, entry.grade].append(entry)
    merged = []
    for (text, grade), ones in grouped.items():
        marks = dict.fromkeys(one.mark for one in ones)
        apart = len(marks) > 1 and len({one.holds for one in ones}) > 1
        held = dict.fromkeys(
            ", ".join(one.holds) + (f"\u00a0{one.mark}" if apart else "")
            for one in ones
            if one.holds
        )
        merged.append(Entry(text, "".join(marks), tuple(held), grade))
    return tuple(merged)


def card_texts(value: CardValue, notes: Notes) -> tuple[str, str, str]:
    """Write a value of a card in its unit, as printed if that is another unit, and that unit."""
    (raw,) = notes.store.rows(
        f"SELECT * FROM {'own_windows' if value.own and notes.store.beside else 'windows'} "  # noqa: S608
        "WHERE quantity = $quantity AND (line = $line OR window_id = $line) LIMIT 1",
        {"quantity": value.quantity, "line": value.line},
    )
    ends = (raw["min"], raw["max"], raw["typical"])
    text, printed = value_texts(ends, raw["unit"], value.unit, value.quantity, notes)
    return text, printed, raw["unit"]


def start_text(start: float, unit: str, printed: str) -> str:
    """Write where to start in the card's unit, rounded where another unit is printed."""
    if unit != printed:
        return f"≈ {rounded(start, unit)} {unit_sign(unit)}"
    inches = fraction(start) if unit == "in" else ""
    return f"{inches or number(start)} {unit_sign(unit)}"


def value_texts(ends: Ends, unit: str, wanted: str, quantity: str, notes: Notes) -> tuple[str, str]:
    """Write a printed statement in the unit wanted, and as printed if that is another unit.

    Readers of languages other than English think in metric units: inches come with these.
    """
    low, high, typical = ends
    words, converter = notes.words, notes.converter
    if unit == "in" and all(fraction(value) for value in ends if value is not None):
        as_printed = _span(ends, fraction, "\u2009–\u2009")
    else:
        as_printed = _span(ends, number)

    def converted(to: str) -> str:
        one_sided = typical is None and (low is None or high is None)

        def write(value: float) -> str:
            there = converter.number_in(value, unit, to)
            if one_sided and to in ("F", "C"):
                there = within(there, at_least=high is None)
            return rounded(there, to)

        return _span(ends, write)

    if unit == wanted:
        metric = converter.target(quantity, unit, "metric") if words.language != "en" else None
        return as_printed, f"≈ {converted(metric)} {unit_sign(metric)}" if metric else ""
    printed = words.say("printed {value} {unit}", value=as_printed, unit=unit_sign(unit))
    text = converted(wanted)
    exact = set(ends) <= {None, 0.0} and unit not in ("F", "C")
    return text if exact or text.startswith(("≤", "≥")) else f"≈ {text}", printed


def _span(ends: Ends, write: Callable[[float], str], to: str = "–") -> str:
    low, high, typical = ends
    if low is not None and high is not None:
        text = f"{write(low)}{to}{write(high)}" if low != high else write(low)
    elif low is not None:
        text = f"≥ {write(low)}"
    elif high is not None:
        text = f"≤ {write(high)}"
    else:
        return "" if typical is None else write(typical)
    return text if typical is None else f"{text} ({write(typical)})"
