"""Read a quantity as people print it, such as "90 - 150 A": limits, a unit, words.

Only the print is read. "1/8" is a fraction where a length is expected, and "20/23" a range where a
voltage is; a print that is ambiguous or impossible gets a doubt beside the number, not a guess.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, fields, replace
from itertools import pairwise

from weldref.procedures.model import Range, SlipKind
from weldref.procedures.units import unit_of

Doubt = tuple[SlipKind, str]

LONGEST = 120
"""No quantity is longer, and the patterns below are slow on long texts."""

USUAL_WORDS = re.compile(
    r"(?:-+|n\.?\s?/?\s?a\.?|none|nil|no|not (?:applicable|required|stated|recorded|specified|used)"
    r"|as (?:required|needed|per .*)|per .*|see .*|unlimited|no limit|all|any|both|ambient|room.*"
    r"|tbd|varies|various|unknown|not .*|all (?:sizes|thicknesses|diameters)|on request)",
    re.IGNORECASE,
)
"""What forms write instead of a number; it is not a slip."""

_DECIMAL = r"(?:\d{1,3}(?:,\d{3})+(?:\.\d+)?(?!\d)|\d+[.,]\d+|\d+\.?|[.,]\d+)(?:e[-+]?\d{1,3})?"
_FRACTION = r"(?:[1-9]\d*(?:-|\s+|\s+-)(?=\d+/))?\d+/\d+"
_NUMBERS = {
    True: re.compile(rf"(?:{_FRACTION}|{_DECIMAL})", re.IGNORECASE),
    False: re.compile(_DECIMAL, re.IGNORECASE),
}
_LOW = (
    r"(?:minimum|min\.?|at least|not less than|from|over|above|more than|greater than|>=|=>|≥|>|⩾)"
)
_HIGH = (
    r"(?:maximum|max\.?|at most|not over|not more than|up to|to|through|below|under|less than"
    r"|<=|=<|≤|<|⩽)"
)
_LOW_AFTER = r"(?:minimum|min\.?|and (?:over|up|above)|or (?:more|over)|\+)"
_HIGH_AFTER = r"(?:maximum|max\.?|and (?:under|below)|or (?:less|under))"
_BEFORE = {
    side: re.compile(rf"{words}\s*:?", re.IGNORECASE)
    for side, words in (("low", _LOW), ("high", _HIGH))
}
_AFTER = {
    side: re.compile(rf"{words}(?![a-z])", re.IGNORECASE)
    for side, words in (("low", _LOW_AFTER), ("high", _HIGH_AFTER))
}
_JOIN = re.compile(
    rf"(?P<unit>.*?)\s*(?:{_LOW_AFTER}[,;/]?\s*)?"
    r"(?P<join>-+|to|thru|through|till|until|and|/|;|,|\.{2,}|…|÷|~|<=?|≤|&|±)?"
    rf"\s*(?P<high>{_HIGH}\s*:?)?",
    re.IGNORECASE,
)
DENOMINATORS = (2, 4, 8, 16, 32, 64)
_MONTHS = "jan feb mar apr may jun jul aug sep oct nov dec".split()
_MONTH = "|".join(_MONTHS)
_DATES = (
    re.compile(rf"(?P<month>{_MONTH})[a-z]*[-/. ](?P<rest>\d{{1,4}})", re.IGNORECASE),
    re.compile(rf"(?P<rest>\d{{1,2}})[-/. ](?P<month>{_MONTH})[a-z]*", re.IGNORECASE),
    re.compile(r"(?P<year>(?:19|20)\d\d)-(?P<month>\d\d)-(?P<day>\d\d)(?:[T ][\d:.]*)?"),
    re.compile(r"(?P<month>\d{1,2})/(?P<day>\d{1,2})/(?P<year>(?:19|20)\d\d)"),
)
_DEGREE = re.compile(r"(?P<number>\d{2,3})\s+0\s?(?P<unit>[CF])\b")
_NOT_FINITE = re.compile(r"[-+]?\.?(?:nan|inf|infinity)|#[a-z/0]+[!?]?", re.IGNORECASE)
_CLEAN = str.maketrans({
    "\u00a0": " ", "\u2009": " ", "\u202f": " ", "–": "-", "—": "-", "−": "-", "‐": "-",
    "‑": "-", "″": '"', "”": '"', "“": '"', "’": "'", "′": "'",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    "⁄": "/",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Quantity(Range):
    """A range while it is read: how much of it one print gives, and what is doubtful about it.

    `alone` marks a lone number, whose side the field decides ("preheat 100" is a minimum).
    `side` is the limit that the key names, or "both" once two limits are joined. `again` is the
    same quantity printed in brackets in another unit.
    """

    alone: bool = False
    side: str = ""
    doubts: tuple[Doubt, ...] = ()
    again: tuple[Quantity, ...] = ()

    @property
    def range(self) -> Range:
        """The range alone."""
        return Range(**{each.name: getattr(self, each.name) for each in fields(Range)})


def suspect_date(text: str) -> str | None:
    """Say what size or range a spreadsheet may have turned into this date.

    >>> suspect_date("Mar-32"), suspect_date("2032-03-01"), suspect_date("8-Jan")
    ('3/32', '3/32', '1/8')
    >>> suspect_date("2026-10-15"), suspect_date("3/32")
    ('10/15 or 10-15', None)
    """
    for pattern in _DATES:
        match = pattern.fullmatch(text.strip())
        if match is None:
            continue
        parts = match.groupdict()
        named = parts["month"].casefold()
        month = _MONTHS.index(named[:3]) + 1 if named.isalpha() else int(named)
        if "year" in parts:
            day = int(parts["day"])
            # 3/32 cannot be a day of March, so it becomes a day of the year 32.
            year = int(parts["year"]) % 100
            last = year if day == 1 or year in DENOMINATORS else day
        else:
            last = int(parts["rest"]) % 100
        fraction = f"{month}/{last}"
        return fraction if last in DENOMINATORS else f"{fraction} or {month}-{last}"
    return None


def parse_quantity(printed: str, dimension: str) -> Quantity:
    """Read a quantity.

    `dimension` is what it measures, as in the table of units; empty for a plain number.

    >>> found = parse_quantity("90 - 150 A", "current")
    >>> found.low, found.high, found.unit
    (90.0, 150.0, 'A')
    >>> parse_quantity("20/23", "voltage").high, parse_quantity("1-1/2 in", "length").low
    (23.0, 1.5)
    >>> parse_quantity("150 F min. (66 C)", "temperature").again[0].low
    66.0
    >>> parse_quantity("1500C", "temperature").low  # as printed; slips.py reports it
    1500.0
    """
    if len(printed) > LONGEST:
        return _words(printed, ("text for a number", "a long text where a number is expected"))
    # The 3 of "ft3/h" is not a number of the range.
    printed = re.sub(r"\b(ft|in|cm|m)\s?\^?3\b", r"\1³", printed, flags=re.IGNORECASE)
    text = re.sub(r"\+\s?/?\s?-", "±", " ".join(printed.translate(_CLEAN).split()))
    suspected = suspect_date(text)
    if suspected:
        return _words(printed, ("date", f"a spreadsheet's date for {suspected}"))
    if _NOT_FINITE.fullmatch(text):
        return _words(printed, ("not a number", "not a number"))
    if USUAL_WORDS.fullmatch(text):
        return _words(printed)
    again: tuple[Quantity, ...] = ()
    if bracket := re.fullmatch(r"(.*?)\s*[(\[]([^()\[\]]*)[)\]]\s*(.*)", text):
        inside = _read(bracket[2], dimension)
        outside = f"{bracket[1]} {bracket[3]}".strip()
        unit = unit_of(inside.unit, dimension)
        if unit and inside.low and not inside.words and re.search(r"\d", outside):
            text, again = outside, (inside,)
    doubts: list[Doubt] = []
    if dimension == "temperature" and (match := _DEGREE.search(text)):
        doubts.append(
            ("degree sign", f"{match['number']} {match['unit']}, the degree sign read as a zero")
        )
        text = _DEGREE.sub(r"\g<number> \g<unit>", text)
    found = _read(text, dimension)
    return replace(found, doubts=(*doubts, *found.doubts), again=again)


def _words(printed: str, *doubts: Doubt) -> Quantity:
    return Quantity(words=" ".join(printed.split()), doubts=doubts)


def _read(text: str, dimension: str) -> Quantity:
    """Read numbers, the unit after them, and the words that say which limit they are."""
    fractions = dimension in ("length", "")
    numbers = list(_NUMBERS[fractions].finditer(text))
    if not numbers:
        return _words(text, ("text for a number", "words where a number is expected"))
    if any(text[: match.start()][-1:].isalpha() for match in numbers):
        # The digits of "E7018" are not a quantity.
        return _words(text, ("text for a number", "digits within a word"))
    if re.search(r"\d\s?[xX×*]?\s?[Tt]\b", text) and dimension == "length":
        return _words(text)  # "2T": a multiple of the thickness
    doubts: list[Doubt] = []
    read = [_number(match[0], dimension, doubts) for match in numbers]
    if any(number is None or not math.isfinite(number) for number in read):
        return _words(text, ("not a number", "not a possible number"))
    values = [number for number in read if number is not None]
    before = text[: numbers[0].start()].strip()
    gaps = [text[a.end() : b.start()].strip() for a, b in pairwise(numbers)]
    gaps.append(text[numbers[-1].end() :].strip())
    if before and not before.strip("- "):
        values[0], before = -values[0], ""
    if len(values) == 1:
        return _one(values[0], before, gaps[0], dimension, text, doubts)
    if len(values) == 2:
        return _two(values, before, gaps, dimension, text, doubts)
    return _words(text, *doubts, ("several numbers", "more than two numbers for one range"))


def _number(text: str, dimension: str, doubts: list[Doubt]) -> float | None:
    """Read one number; note a comma that may separate decimals or thousands."""
    if "/" in text:
        whole, _, fraction = text.replace("-", " ").rpartition(" ")
        top, bottom = (int(part) for part in fraction.split("/"))
        return int(whole or 0) + top / bottom if bottom else None
    whole, comma, rest = text.partition(",")
    if comma and "," not in rest and "." not in text:
        if len(rest) != 3 or not whole.strip("0"):
            return float(f"{whole}.{rest}")
        if len(whole) == 1 and dimension in ("length", "heat input"):
            number = float(whole + rest)
            said = f"read as {number:g}; as a decimal comma it would be {whole}.{rest}"
            doubts.append(("comma", said))
    return float(text.replace(",", ""))


def _one(
    value: float, before: str, after: str, dimension: str, text: str, doubts: list[Doubt]
) -> Quantity:
    side = next((name for name, words in _BEFORE.items() if words.fullmatch(before)), "")
    lead = "" if side else before
    unit, limit, rest = _tail(after, dimension, "low", "high")
    side = limit or side
    within_word = re.match(r"\d[a-z]{2,}", text[-len(after) - 1 :], re.IGNORECASE)
    if not unit and not side and text.endswith(after) and within_word:
        return _words(text, *doubts, ("text for a number", "digits within a word"))
    if not unit and _looks_like_unit(rest):
        unit, rest = _unknown(rest, dimension, doubts), ""
    return Quantity(
        low=value if side != "high" else None,
        high=value if side != "low" else None,
        unit=unit,
        words=" ".join(filter(None, (lead.strip(" :"), rest))),
        alone=side == "",
        doubts=tuple(doubts),
    )


def _two(
    values: list[float], before: str, gaps: list[str], dimension: str, text: str,
    doubts: list[Doubt],
) -> Quantity:  # fmt: skip
    not_one: Doubt = ("text for a number", "two numbers that are not one range")
    lead = re.sub(rf"^{_LOW}\s*:?$", "", before, flags=re.IGNORECASE).strip(" :")
    joined = _JOIN.fullmatch(gaps[0])
    first_unit = (unit_of(joined["unit"], dimension) or "") if joined else ""
    if joined is None or (joined["unit"] and not first_unit):
        return _words(text, *doubts, not_one)
    after = gaps[1]
    share = joined["join"] == "±" and after.startswith("%")
    unit, _, tail = _tail(after.removeprefix("%") if share else after, dimension, "high")
    if first_unit and not share and unit not in ("", "%", first_unit):
        return _words(text, *doubts, ("unknown unit", f"limits in two units: {first_unit}, {unit}"))
    join = (joined["join"] or "").casefold()
    low, high = values
    typical = None
    if join == "±":
        spread = low * high / 100 if share else high
        low, high, typical = low - spread, low + spread, low
    elif join in (",", ";", "&", "and") and not joined["high"] and lead.casefold() != "between":
        doubts.append(("several numbers", "two numbers, read as the limits of a range"))
    lead = "" if lead.casefold() == "between" else lead
    if not unit and _looks_like_unit(tail):
        if first_unit:
            return _words(text, *doubts, not_one)
        unit, tail = _unknown(tail, dimension, doubts), ""
    return Quantity(
        low=low,
        high=high,
        typical=typical,
        unit=unit or first_unit,
        words=" ".join(filter(None, (lead, tail))),
        doubts=tuple(doubts),
    )


def _unknown(unit: str, dimension: str, doubts: list[Doubt]) -> str:
    doubts.append(("unknown unit", f"'{unit}' is not a unit of {dimension or 'this field'}"))
    return unit


def _tail(text: str, dimension: str, *sides: str) -> tuple[str, str, str]:
    """Read what follows a number: its unit, a word for the limit that it is, and the rest."""
    unit, rest = _split_unit(text, dimension)
    side = ""
    for name in sides:
        if match := _AFTER[name].match(rest):
            side, rest = name, rest[match.end() :]
            break
    if not unit:
        unit, rest = _split_unit(rest, dimension)
    return unit, side, rest.strip(" ,;.-")


def _split_unit(text: str, dimension: str) -> tuple[str, str]:
    """Take a unit off the start of a text: the longest that is one of the dimension."""
    text = text.strip()
    cuts = [m.end() for m in re.finditer(r"[^\s,;]+(?=[\s,;]|$)", text)][:6]
    cuts += [m.end() for m in re.finditer(r"^[^\s,;-]+(?=-)", text)]
    # `150F-min` and `3/16"-` have no space behind the unit.
    for cut in sorted(cuts, reverse=True):
        if label := unit_of(text[:cut].strip(" .,-"), dimension) or (
            unit_of(text[:cut].strip(" ,-"), dimension)
        ):
            return label, text[cut:].strip()
    return "", text


def _looks_like_unit(text: str) -> bool:
    """Whether a text is like "V" or "mm/hr", not words of a remark."""
    return unit_of(text) is not None or (len(text) <= 8 and "/" in text and " " not in text)
