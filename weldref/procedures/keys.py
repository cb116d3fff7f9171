"""Find the field, unit and limit that a key such as "travel_speed_mm_min" means.

A key is split into words, and the words are looked up in the table of fields: as they are, then
without a unit, without a word for a limit, without a qualifier ("GTAW", "root") and without
filler words. A key inside groups is looked up together with the keys around it, then without
the outer ones.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from weldref.procedures.fields import AT_THE_TOP, Field, all_fields, fields_of
from weldref.procedures.fields import field as field_of
from weldref.procedures.units import compact, spellings, unit_of

LONGEST_KEY = 120
MOST_WORDS = 9

PROCESS = re.compile(
    r"(?:SMAW|MMA|GMAW(?:-[SP])?|MIG|MAG|GTAW(?:-P)?|TIG|FCAW(?:-[GS])?|MCAW|SAW|PAW|EGW|OFW|ESW|SW"
    r"|111|114|12[0-9]?|13[0-9]?|14[1-9]|15[0-9]?|31[0-9]?)",
    re.IGNORECASE,
)
"""A process by its letters (AWS A3.0) or number (ISO 4063)."""

# Words of keys that mean the same. A spelling in the table is written with these words as well.
SAME = {
    "amp": "current", "amperage": "current", "ampere": "current", "volt": "voltage",
    "temp": "temperature", "dia": "diameter", "diam": "diameter", "number": "no", "num": "no",
    "nr": "no", "thk": "thickness", "thick": "thickness", "spec": "specification",
    "class": "classification", "material": "metal", "parent": "base", "ext": "extension",
    "organisation": "organization", "mechanisation": "mechanization", "std": "standard",
    "shield": "shielding", "flowrate": "flow",
}  # fmt: skip
SIDES = {
    "low": frozenset(
        "min minimum low lower lo from least over start above mín mínimo mínima mindest".split()
    ),
    "high": frozenset(
        "max maximum high upper hi to most up end below limit máx máximo máxima höchst".split()
    ),
    "typical": frozenset("typical nominal target typ avg average mean".split()),
}
LIMITS = SIDES["low"] | SIDES["high"]
PARTS = {word: side for side, words in SIDES.items() for word in words} | {
    "unit": "unit", "uom": "unit", "value": "value", "range": "value", "reading": "value",
    "printed": "text", "text": "text", "word": "words", "note": "words", "remark": "words",
    "comment": "words", "of": "of", "process": "of",
}  # fmt: skip
"""Which part of a range a key inside a group is."""
NOISE = frozenset(
    "range value welding weld the of for used printed stated found actual allowed setting"
    " and limit required details permitted approx"
    " de del la el los las y o u en der die das des und von".split()
)
QUALIFIERS = frozenset(
    "root hot fill cap final aws asme iso en groove fillet pipe plate with without impact cvn 1 2"
    " 3 4 first second inside outside balance side one two test butt pcm cet ce iiw".split()
)
MEASURES = {
    "pass.gas": "pass.gas_flow",
    "gas.composition": "gas.flow",
    "procedure.gases": "gases.shielding.flow",
    "gases.shielding.composition": "gases.shielding.flow",
    "gases.backing.composition": "gases.backing.flow",
    "pass.filler_class": "pass.sizes",
    "filler.text": "filler.sizes",
}
"""Which quantity a key means that has a unit, and means words without one: "gas_cfh"."""


@dataclass(frozen=True, slots=True)
class Match:
    """What a key means.

    `unit` is the unit in the key, `side` the limit ("typical" beside low and high), `of` the
    qualifier, and `depth` how many outer keys were ignored. `declared` is a unit from a field of
    its own, at `unit_place`.
    """

    field: Field
    unit: str = ""
    side: str = ""
    of: str = ""
    depth: int = 0
    declared: str = ""
    unit_place: str = ""


@lru_cache(maxsize=8192)
def words_of(key: str) -> tuple[str, ...]:
    """Split a key into words as they are compared.

    >>> words_of("travelSpeed"), words_of("WPS No."), words_of("Filler Ø")
    (('travel', 'speed'), ('wps', 'no'), ('filler', 'diameter'))
    """
    return tuple(_same(word) for word in _split(key, camel=True))


def _split(key: str, *, camel: bool) -> list[str]:
    # The titles of ASME IX forms begin with the number of a paragraph.
    key = re.sub(r"\bQ[WB]-?\d{3}(?:\.\d+)?\b", " ", key)
    key = re.sub(r"\((?:e?s)\)|°", "", key.replace("#", " no "))
    key = re.sub("[Øø⌀]", " diameter ", key)
    if camel:
        key = re.sub(r"(?<=[a-z0-9])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", " ", key)
    return re.findall(r"[^\W_]+|%|\"", key)


def _same(word: str) -> str:
    word = SAME.get(word.casefold(), word.casefold())
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is", "gas")):
        word = word[:-2] if word.endswith(("sses", "ases")) else word[:-1]
    return SAME.get(word, word)


def _key(words: tuple[str, ...]) -> str:
    return " ".join(sorted(words))


@dataclass(frozen=True, slots=True)
class _Table:
    """The strong and weak spellings of an area, and the words in them.

    `usual` are all words with a meaning: a key with any other word means nothing.
    """

    strong: dict[str, Field]
    weak: dict[str, Field]
    known: frozenset[str]
    usual: frozenset[str]


@cache
def _table(area: str) -> _Table:
    areas = AT_THE_TOP if area == "procedure" else (area,)
    strong: dict[str, Field] = {}
    weak: dict[str, Field] = {}
    for each in (each for each in all_fields() if each.area in areas):
        for spelling in (*each.spellings, each.title):
            strong.setdefault(_key(words_of(spelling)), each)
    for each in fields_of(area):
        for spelling in each.weak_spellings:
            weak.setdefault(_key(words_of(spelling)), each)
    strong.pop("", None)
    known = frozenset(word for key in (*strong, *weak) for word in key.split())
    units = {word for spelling in spellings() for word in words_of(spelling)}
    others = {*NOISE, *QUALIFIERS, *LIMITS, *SIDES["typical"], "per", "deg", "degree"}
    return _Table(strong, weak, known, known | units | others)


def resolve(path: tuple[str, ...], area: str) -> Match | None:
    """Find the field that a key means, given the keys around it, outermost first.

    >>> found = resolve(("travel_speed_mm_min",), "pass")
    >>> found.field.name, found.unit
    ('travel_speed', 'mm/min')
    >>> found = resolve(("technical data", "Thickness (GTAW), max"), "procedure")
    >>> found.field.name, found.side, found.of
    ('thickness', 'high', 'GTAW')
    >>> resolve(("shoe size",), "procedure") is None
    True
    """
    if any(len(key) > LONGEST_KEY for key in path):
        return None
    return _resolve(path[-4:], area)


@lru_cache(maxsize=4096)
def _resolve(path: tuple[str, ...], area: str) -> Match | None:
    table = _table(area)
    for depth in range(len(path)):
        keys = path[depth:]
        words = {word for key in keys for word in words_of(key)} - table.usual
        if sum(len(_split(key, camel=True)) for key in keys) > MOST_WORDS or not all(
            PROCESS.fullmatch(word) for word in words
        ):
            continue
        options = [
            (some, unit) for some, unit in _without_unit(keys) if not table.known.isdisjoint(some)
        ]
        for without in (_as_it_stands, _without_noise, _without_qualifiers):
            for some, unit in options:
                for plain, side in _without_side(some):
                    for rest, of in without(plain):
                        key = _key(rest)
                        field = table.strong.get(key) or (
                            table.weak.get(key) if not depth else None
                        )
                        if field and (found := _measured(field, unit, side, keys)):
                            field, label = found
                            return Match(field, label, side or _side_alone(plain, area), of, depth)
    return None


def _measured(
    field: Field, unit: str, side: str, keys: tuple[str, ...]
) -> tuple[Field, str] | None:
    """Return what a key with its unit means, and the unit's label; None if they do not fit."""
    label, dimension = spellings().get(unit, ("", ""))
    if unit and field.target in MEASURES:
        field = field_of(MEASURES[field.target])
    if (unit and dimension != field.dimension) or ((side or unit) and not field.numeric):
        return None
    if not unit and field.numeric and len(keys) == 1:
        # "ipm" and "amps" name a field and its unit at once.
        label = unit_of(keys[0], field.dimension) or ""
    return field, label


def _without_unit(keys: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    """Yield the words of a path, whole and then without each unit in it."""
    yield tuple(word for key in keys for word in words_of(key)), ""
    outer = tuple(word for key in keys[:-1] for word in words_of(key))
    last = keys[-1]
    for bracket in re.finditer(r"[(\[]([^()\[\]]*)[)\]]", last):
        if unit_of(bracket[1]):
            rest = last[: bracket.start()] + " " + last[bracket.end() :]
            yield (*outer, *words_of(rest)), _spelling(bracket[1])
    before, comma, after = last.rpartition(",")
    if comma and unit_of(after):
        yield (*outer, *words_of(before)), _spelling(after)
    for camel in (False, True):
        words = _split(last, camel=camel)
        for length in (3, 2, 1):
            for start in range(len(words) - length, -1, -1):
                unit = _unit_words(words[start : start + length])
                if unit:
                    others = (*words[:start], *words[start + length :])
                    more = tuple(w for word in others for w in words_of(word))
                    yield (*outer, *more), unit


def _spelling(text: str) -> str:
    return compact(text) if compact(text) in spellings() else text.strip().casefold()


def _unit_words(words: list[str]) -> str:
    """Return the unit that words of a key are, or nothing: mm min, in per min, kj mm, deg c."""
    words = [word.casefold() for word in words]
    if len(words) == 3 and words[1] != "per":
        return ""
    if len(words) == 2 and words[0] in ("deg", "degree", "degrees"):
        written = words[1] if words[1] in ("c", "f") else ""
    else:
        written = "/".join(word for word in words if word != "per")
    return written if written in spellings() else ""


def _without_side(words: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    yield words, ""
    for side, marks in SIDES.items():
        if not marks.isdisjoint(words) and not marks.issuperset(words):
            yield tuple(word for word in words if word not in marks), side


def _side_alone(words: tuple[str, ...], area: str) -> str:
    """Return the limit that a key of a preheat table means: {"over": 3/4, "to": 1 1/2}."""
    sides = (side for side in ("low", "high") if SIDES[side].issuperset(words))
    return next(sides, "") if area == "step" else ""


def _as_it_stands(words: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    yield words, ""


def _without_noise(words: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    # "weld" means nothing in "weld position", but everything in "weld metal thickness range".
    for noise in (NOISE - {"weld", "welding"}, NOISE):
        quiet = tuple(word for word in words if word not in noise)
        if quiet and quiet != words:
            yield quiet, ""


def _without_qualifiers(words: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    """Leave out one qualifier or all, first from all the words."""
    for some in (words, *(quiet for quiet, _ in _without_noise(words))):
        marks = [word for word in some if _qualifier(word)]
        for left_out in (*([mark] for mark in marks), marks):
            rest = tuple(word for word in some if word not in left_out)
            if left_out and rest:
                yield rest, " ".join(map(_qualifier, left_out))


@lru_cache(maxsize=8192)
def _qualifier(word: str) -> str:
    """Return a qualifier as it is shown; empty for another word."""
    if PROCESS.fullmatch(word):
        return word.upper()
    return word if word in QUALIFIERS else ""


def side_of(key: str) -> str:
    """Return which part of a range a key inside a group is: low, high, typical, unit, text ...

    >>> side_of("min"), side_of("Maximum"), side_of("units"), side_of("GTAW")
    ('low', 'high', 'unit', '')
    """
    words = words_of(key)
    return PARTS.get(words[0], "") if len(words) == 1 else ""
