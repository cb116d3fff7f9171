"""Draw the card: a strip of tiles that stays in sight while values are changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from weldref.advice.card import Card, CardValue
from weldref.advice.choices import Shade, Statement, lens
from weldref.charts.ranges import unit_sign
from weldref.core.terms import QuantityChoice
from weldref.core.verdict import Judgement, Reading
from weldref.dashboard import fragments
from weldref.dashboard.markup import Markup, tag
from weldref.dashboard.said import distance, number
from weldref.dashboard.settings.look import READ_HOW, Look
from weldref.handouts.conversion import fraction
from weldref.text import verdict_word

MOST_TUNGSTENS = 2
LAST = ("preheat", "interpass")
"""Quantities of the metal, shown after what is set at the machine."""


def figure(value: float, unit: str) -> str:
    """Write a number as people say it at the bench: a fraction of an inch, else three figures.

    >>> figure(0.375, "in"), figure(0.035, "in"), figure(19.913, "psi"), figure(1450.0, "mm/min")
    ('3/8', '0.035', '19.9', '1450')
    """
    if unit == "in" and (text := fraction(value)):
        return text
    return f"{value:.3g}" if abs(value) < 1000 else f"{value:g}"


def set_to(value: float, unit: str) -> str:
    """Write a setting with its unit, as people say it at the bench."""
    return f"{figure(value, unit)} {unit_sign(unit)}"


def strip(
    card: Card,
    look: Look,
    quantities: Mapping[str, QuantityChoice],
    readings: Mapping[str, Reading],
    shades: Sequence[Shade],
    *,
    cutting: bool = False,
) -> Markup:
    """Write the card as tiles: what to set, then the set-up, then lens and heat.

    Nobody chooses a polarity at a cutting machine: it is shown where it was said or the line
    names it.
    """
    say = look.words.say
    values = {value.quantity: value for value in card.values}
    named = [*values, *(q for q in readings if q not in values)]
    tiles = [
        _value_tile(values.get(q), readings.get(q), look, quantities[q])
        for q in named
        if q not in LAST
    ]
    tiles += _set_up_tiles(card, look, cutting=cutting)
    if lens := _lens(shades, look):
        tiles.append(_tile(say("Lens shade"), "", lens, ""))
    tiles += [
        _value_tile(values.get(q), readings.get(q), look, quantities[q]) for q in named if q in LAST
    ]
    listed = tag("dl", *tiles, look="tiles")
    return tag("div", listed, look="card", role="region", tabindex=0, aria_label=say("Card"))


def lead(card: Card, look: Look, number: int) -> str:
    """Say in one line where the card comes from; recalled practice is named as such."""
    say = look.words.say
    if not card.lines:
        return _without_a_line(card, look)
    line = card.lines[number]
    if line.own:
        text = say("Own settings: {source}", source=line.source)
    elif line.grade == "memory":
        text = say("Trade practice, recalled, no printed source")
    else:
        text = say("One printed line: {source}", source=line.source)
    if card.ask:
        example = [look.words.term(card.set_up[n]) for n in card.set_up if n == card.ask.condition]
        if example:
            text += say("; shown for {example} until you say which", example=example[0])
    return text


def _without_a_line(card: Card, look: Look) -> str:
    say = look.words.say
    if any(found.holds_back for found in card.sense):
        return say("No start: no published range is for such a set-up")
    if card.ask:
        return say("No start yet: say what is asked above")
    if card.neighbours and card.neighbours[0].side:
        return say("Nothing printed or recalled here; the nearest is below")
    return say("Nothing printed or recalled fits: choose by the maker's data")


def _value_tile(
    value: CardValue | None, reading: Reading | None, look: Look, choice: QuantityChoice
) -> Markup:
    name, trade = look.quantity(choice)
    look_of, about = "", ""
    if value is not None:
        shown = value.start if value.start is not None else value.value
        big = "" if shown is None else set_to(shown, value.unit)
        about = span_of(value, look) if value.min is not None or value.max is not None else ""
        if not big:
            big, about = about, ""
        grade = look.words.say(READ_HOW["own" if value.own else value.grade])
        about = f"{about} · {grade}" if about else grade
        look_of = value.grade
    if reading is not None:
        big = number(reading.value, reading.unit)
        word = _word(reading, look, reading.unit)
        if reading.from_own:
            word = look.words.say("published: {word}", word=word)
            word += "; " + look.words.say(
                "own: {word}", word=_word(reading.from_own, look, reading.unit)
            )
        about = f"{word}; {about}" if about else word
        look_of += f" yours {fragments.LOOKS[reading.verdict]}"
    return _tile(name, trade, big, about, look_of)


def _word(judged: Reading | Judgement, look: Look, unit: str) -> str:
    own = isinstance(judged, Judgement) or judged.own
    word = look.words.say(verdict_word(judged.verdict, own=own))
    if judged.by and judged.verdict in ("low", "high"):
        word += f" {distance(judged.by, unit)}"
    return word


def span_of(value: CardValue, look: Look) -> str:
    """Write a range in the language of the page, with its unit where one end is open."""
    say, sign = look.words.say, unit_sign(value.unit)
    low, high = (None if end is None else figure(end, value.unit) for end in (value.min, value.max))
    if low is not None and high is not None:
        return say("{low} to {high}", low=low, high=high)
    if low is not None:
        return say("at least {low} {unit}", low=low, unit=sign)
    return say("at most {high} {unit}", high=high, unit=sign)


def _set_up_tiles(card: Card, look: Look, *, cutting: bool) -> list[Markup]:
    """Write the set-up: what was entered, else what the line names, else what documents name."""
    say = look.words.say
    said = {"polarity": () if cutting else card.polarities, "gas": card.gases}
    tiles = []
    for name in ("electrode_size", "filler_class", "polarity", "gas", "transfer_mode",
                 "tungsten_class"):  # fmt: skip
        value, about = card.situation.get(name, ""), say("yours")
        if not value and name in card.set_up:
            value, about = card.set_up[name], look.words.say("of this line")
        elif not value and said.get(name):
            value, about = _first(said[name], look)
        if value:
            label, trade = look.condition(name)
            tiles.append(_tile(label, trade, look.words.term(value), about))
    if card.tungstens and "electrode_size" not in {**card.situation, **card.set_up}:
        label, trade = look.condition("tungsten_class")
        sizes = " / ".join(dict.fromkeys(one.size for one in card.tungstens[:MOST_TUNGSTENS]))
        tiles.append(_tile(label, trade, sizes, say(READ_HOW[card.tungstens[0].grade])))
    return tiles


def _first(statements: Sequence[Statement], look: Look) -> tuple[str, str]:
    """Return the one value that the documents name, or how many they name."""
    named = list(dict.fromkeys(s.value for s in statements if not s.refuses))
    if not named:
        return "", ""
    if len(named) > 1:
        return look.words.say("{count} named", count=len(named)), look.words.say("see below")
    return named[0], look.words.say(READ_HOW[statements[0].how_read])


def _lens(shades: Iterable[Shade], look: Look) -> str:
    """Write the darkest minimum and the suggested shades, of all that is printed."""
    least, better = lens(shades)
    words = []
    if least is not None:
        darkest = f"{least.value:g}"
        words.append(look.words.say("at least {low}", low=darkest))
    if better:
        first, last = f"{better[0].value:g}", f"{better[-1].value:g}"
        span = first if first == last else f"{first}-{last}"
        words.append(look.words.say("better {shade}", shade=span))
    return ", ".join(words)


def _tile(name: str, trade: str, big: str, about: str, look_of: str = "") -> Markup:
    beside = (" ", tag("small", trade)) if trade else ()
    below = tag("span", about) if about else ""
    return tag(
        "div",
        tag("dt", name, *beside),
        tag("dd", tag("b", big), below),
        look=f"tile {look_of}",
    )
