"""Check a chart: each cell as it was typed, then the rows with each other."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import pairwise
from typing import Any

from weldref.core.gas import Gases
from weldref.core.situation import (
    Situation,
    describe,
    electrode_size,
    plate_thickness,
    refuse_implausible,
)
from weldref.core.terms import TREE_OF, Vocabulary, quantity_choices
from weldref.core.units import Unit, Units, Value
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange.shop_chart.model import (
    ASIDE,
    CONDITIONS,
    KEYS,
    LABELS,
    LONGEST_CELL,
    LONGEST_TEXT,
    MOST_COLUMNS,
    MOST_ROWS,
    SIZE_OF,
    Chart,
    Column,
    Problem,
    plain_text,
    short_name,
)
from weldref.formulas.wire import wire_feed_speed_burn_off
from weldref.procedures.quantity import Quantity, parse_quantity

RISES = ("current", "voltage", "wire_feed_speed", "oxygen_pressure")
"""What a chart sets higher for thicker metal, other things equal."""

FAR = 2.0
"""A wire feed speed this many times off what the current melts is most likely a slip."""

EXTENSION = 0.015
"""Metres of wire beyond the contact tip, for that comparison alone."""


@dataclass(frozen=True, slots=True)
class Setting:
    """A cell that holds a setting: its limits or its single value, in its unit and in SI."""

    quantity: str
    low: float | None
    high: float | None
    typical: float | None
    unit: str
    low_si: float
    high_si: float


@dataclass(frozen=True, slots=True)
class Band:
    """The thickness of a row: the ends as printed, the unit, and the ends in metres."""

    low: float | None
    high: float | None
    unit: str
    low_si: float
    high_si: float


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the grid as it was understood."""

    row: int
    situation: Situation
    terms: Mapping[str, str]
    thickness: Band | None
    asides: Mapping[str, str]
    settings: tuple[Setting, ...]


@dataclass(frozen=True, slots=True)
class Checked:
    """A chart as it was understood, and what is wrong or doubtful about it."""

    lines: tuple[Line, ...]
    problems: tuple[Problem, ...]

    @property
    def refused(self) -> tuple[Problem, ...]:
        """The problems for which the chart cannot be saved."""
        return tuple(problem for problem in self.problems if problem.refused)


def problems(store: Store, chart: Chart) -> tuple[Problem, ...]:
    """Say of each cell what is wrong with it, and what in the chart is doubtful.

    >>> from weldref.data.store import open_store
    >>> chart = Chart("Booth 3", "2026-11-28", conditions={"process": "stick", "material": "steel",
    ...     "electrode": "E7018"}, columns=(Column("diameter"), Column("current")),
    ...     rows=({"diameter": "1/8", "current": "150-110"},))
    >>> print(problems(open_store(), chart)[0])
    row 1, current: '150-110' falls; give the lower value first
    """
    return checked(store, chart).problems


def checked(store: Store, chart: Chart) -> Checked:
    """Read a chart, cell by cell."""
    found: list[Problem] = [*_about(chart)]
    common, terms = _conditions(store, chart, found)
    names = [column.name for column in chart.columns]
    titles = titles_for(store, chart)
    for name in names:
        if name not in titles:
            found.append(
                Problem(None, name, name, f"'{name}' is not a column; give {_columns(titles)}")
            )
        elif names.count(name) > 1:
            said = f"'{titles[name]}' heads {names.count(name)} columns; give it once"
            found.append(Problem(None, titles[name], name, said))
    if len(chart.rows) > MOST_ROWS or len(names) > MOST_COLUMNS:
        size = f"{len(chart.rows)} rows and {len(names)} columns"
        said = f"{size} are too many; at most {MOST_ROWS} and {MOST_COLUMNS} are accepted"
        return Checked((), (*found, Problem(None, "grid", size, said)))
    lines = []
    for number, cells in enumerate(chart.rows, 1):
        typed = {name: text for name, text in cells.items() if text.strip() and name in names}
        if typed:
            line = _line(store, chart, number, typed, (common, terms), found)
            lines += [line] if line else []
    if not any(line.settings for line in lines) and not any(p.row and p.refused for p in found):
        found.append(Problem(None, "grid", "", "no setting is typed in; give at least one"))
    found += _compared(titles, lines)
    found.sort(key=lambda one: (one.row or 0, not one.refused))
    return Checked(tuple(lines), tuple(dict.fromkeys(found)))


def titles_for(store: Store, chart: Chart) -> dict[str, str]:
    """Name every column as a chart of this process calls it.

    >>> from weldref.data.store import open_store
    >>> titles_for(open_store(), Chart("x", "", conditions={"process": "tig"}))["diameter"]
    'tungsten size'
    """
    return _titles(store, chart.conditions.get("process", ""))


@lru_cache(maxsize=64)
def _titles(store: Store, process: str) -> dict[str, str]:
    titles = titles_of(store)
    with suppress(InputError):
        term = Vocabulary(store).term("process", process).name
        return titles | {"diameter": SIZE_OF.get(term, titles["diameter"])}
    return titles


# A store holds one content of the tables for good: what is kept by store cannot go stale.
@lru_cache(maxsize=4)
def titles_of(store: Store) -> dict[str, str]:
    """Name every column that a chart may have."""
    titles = {name: LABELS[name] for name in (*KEYS, *ASIDE)}
    return titles | {name: one.title for name, one in quantity_choices(store).items()}


@lru_cache(maxsize=4)
def dimensions(store: Store) -> dict[str, str]:
    """Say what each quantity measures."""
    rows = store.rows("SELECT quantity, dimension FROM quantities")
    return {row["quantity"]: row["dimension"] for row in rows}


def unit_for(store: Store, chart: Chart, column: Column) -> str:
    """Return the unit in which a bare number of a column is read.

    >>> from weldref.data.store import open_store
    >>> unit_for(open_store(), Chart("x", "", "metric"), Column("wire_feed_speed"))
    'm/min'
    """
    if column.unit:
        return column.unit
    choice = quantity_choices(store).get(column.name)
    if choice:
        return choice.us_unit if chart.units == "us" else choice.metric_unit
    if column.name in ("thickness", "diameter", "filler_size"):
        return "in" if chart.units == "us" else "mm"
    return ""


def _columns(titles: Mapping[str, str]) -> str:
    return f"{', '.join(list(titles.values())[:14])} or another quantity of the tables"


def _about(chart: Chart) -> Iterator[Problem]:
    """Check the name, the day and the rest of what is said of the chart itself."""
    for called, text in (("name", chart.name), ("shop", chart.shop), ("place", chart.place)):
        try:
            if not plain_text(text, called, LONGEST_TEXT if called != "name" else LONGEST_CELL):
                raise InputError(f"{called}: nothing is said; give a few words")
            if called == "name":
                short_name(text)
        except InputError as error:
            yield _of(error, None, called, text)
    try:
        date.fromisoformat(chart.date)
    except ValueError:
        said = f"'{chart.date[:20]}' is not a date; give it as 2026-11-28"
        yield Problem(None, "date", chart.date, said)
    if chart.units not in ("us", "metric"):
        said = f"'{chart.units}' is not a unit system; give us or metric"
        yield Problem(None, "units", chart.units, said)


def _of(error: InputError, row: int | None, column: str, value: str) -> Problem:
    """Take over a sentence that names its field in front."""
    return Problem(row, column, value, re.sub(r"^[a-z][a-z -]*: ", "", str(error)))


def _conditions(
    store: Store, chart: Chart, found: list[Problem]
) -> tuple[dict[str, str], dict[str, str]]:
    """Resolve what holds for every row; return what is accepted as typed and as stored."""
    typed: dict[str, str] = {}
    terms: dict[str, str] = {}
    for name, text in chart.conditions.items():
        if name not in CONDITIONS:
            said = f"'{name[:LONGEST_CELL]}' is not a condition; give {', '.join(CONDITIONS)}"
            found.append(Problem(None, name[:LONGEST_CELL], text, said))
        elif text.strip():
            stored = _condition(store, name, text, None, found)
            if stored is not None:
                typed[name], terms[_stored(name)] = stored, stored
    if not chart.conditions.get("process", "").strip():
        found.append(Problem(None, "process", "", "it is not stated; give one, for example GMAW"))
    rows = {column.name for column in chart.columns}
    if not chart.conditions.get("material", "").strip() and "material" not in rows:
        said = "it is not stated: the values would be shown for any metal"
        found.append(Problem(None, "metal", "", said, refused=False))
    return typed, terms


def _stored(name: str) -> str:
    return "filler_class" if name == "electrode" else name


def _condition(
    store: Store, name: str, text: str, row: int | None, found: list[Problem]
) -> str | None:
    """Resolve one condition to a term that a table may hold; None if it is refused."""
    label = LABELS[name]
    try:
        words: Any = {name: plain_text(text, label, LONGEST_CELL)}
        situation = describe(store, **words)
    except InputError as error:
        found.append(_of(error, row, label, text))
        return None
    if name == "gas":
        stored = situation.gas or ""
        if not _known(store, "gases", stored):
            wider = [
                one for one in Gases(store).wider(situation.composition or {})
                if _known(store, "gases", one)
            ]  # fmt: skip
            of = f"its group {wider[0]}" if wider else "one of the table gases"
            found.append(Problem(row, label, text, f"'{text}' is in no table; give {of}"))
            return None
        return stored
    term = situation.terms[_stored(name)]
    stored = term.name
    if not _known(store, TREE_OF[_stored(name)][0], stored):
        stored = min(term.broader, key=lambda one: term.broader[one])
    if term.read_as:
        found.append(Problem(row, label, text, f"{term.read_as}; saved as {stored}", refused=False))
    return stored


@lru_cache(maxsize=512)
def _known(store: Store, tree: str, term: str) -> bool:
    return bool(store.rows(f'SELECT 1 FROM "{tree}" WHERE term = $term', {"term": term}))


def _line(
    store: Store,
    chart: Chart,
    number: int,
    typed: Mapping[str, str],
    common: tuple[dict[str, str], dict[str, str]],
    found: list[Problem],
) -> Line | None:
    """Read a row; None where a condition of it is refused."""
    before = len(found)
    conditions, terms = dict(common[0]), dict(common[1])
    thickness = size = None
    asides: dict[str, str] = {}
    settings: list[Setting] = []
    titles = titles_for(store, chart)
    for column in chart.columns:
        name, text = column.name, typed.get(column.name, "")
        if not text or name not in titles:
            continue
        unit = unit_for(store, chart, column)
        try:
            plain = plain_text(text, titles[name], LONGEST_CELL)
            if name == "thickness":
                thickness = _thickness(store, plain, unit)
            elif name == "diameter":
                size = _size(store, plain, unit, titles[name])
            elif name in KEYS:
                stored = _condition(store, name, plain, number, found)
                if stored is not None:
                    conditions[name], terms[_stored(name)] = stored, stored
            elif name in ASIDE:
                rod = name == "filler_size"
                asides[name] = _size(store, plain, unit, titles[name]) if rod else plain
            else:
                settings.append(_setting(store, name, plain, unit))
        except InputError as error:
            found.append(_of(error, number, titles[name], text))
    if not typed.get("thickness") and not typed.get("diameter"):
        said = "neither thickness nor size is given; give one of them"
        found.append(Problem(number, "row", "", said))
    elif not settings and len(found) == before:
        said = "no setting is typed in; the row is left out"
        found.append(Problem(number, "row", "", said, refused=False))
    if any(problem.refused for problem in found[before:]):
        return None
    words: Any = conditions
    try:
        situation = describe(store, **words, diameter=size)
    except InputError as error:
        found.append(_of(error, number, "row", ""))
        return None
    found += [
        Problem(number, LABELS["electrode"], "", note, refused=False)
        for note in situation.notes
        if "no filler metal" in note
    ]
    return Line(number, situation, terms, thickness, asides, tuple(settings))


def _unit_said(found: Quantity, text: str, called: str, unit: str) -> None:
    """Refuse what is no number or no range, and say which unit is wanted."""
    for kind, doubt in found.doubts:
        if kind == "unknown unit":
            raise InputError(f"{called}: '{text}' is not accepted: {doubt}; give it in {unit}")
        if kind == "date":
            raise InputError(f"{called}: '{text}' is not accepted: {doubt}; type it again as text")
    if found.words or found.doubts or found.again or (found.low is None and found.high is None):
        raise InputError(
            f"{called}: '{text}' is not accepted; give one value, a range such as 18-20 or 18 to "
            f"20, or nothing, in {unit}"
        )
    if found.low is not None and found.high is not None and found.low > found.high:
        raise InputError(f"{called}: '{text}' falls; give the lower value first")


def _setting(store: Store, quantity: str, text: str, unit: str) -> Setting:
    called = titles_of(store)[quantity]
    found = parse_quantity(text, dimensions(store)[quantity])
    _unit_said(found, text, called, unit)
    bare = "in" if "/" in text and dimensions(store)[quantity] == "length" else unit
    label = Units(store).unit(found.unit or bare, dimensions(store)[quantity], called)
    ends = _ends(store, quantity, (called, text), found, label)
    low, high = (None, None) if found.alone else (found.low, found.high)
    typical = found.low if found.alone else found.typical
    return Setting(quantity, low, high, typical, label.label, ends[0], ends[-1])


def _ends(
    store: Store, quantity: str, typed: tuple[str, str], found: Quantity, unit: Unit
) -> list[float]:
    """Return the limits in SI, refusing what nobody ever sets; `typed` is title and text."""
    called, text = typed
    ends = []
    for number in (found.low, found.high):
        if number is not None:
            value = Value(number, unit.label, number * unit.factor + unit.shift, text)
            refuse_implausible(store, quantity, called, value)
            ends.append(value.si)
    return ends


def _thickness(store: Store, text: str, unit: str) -> Band:
    called = LABELS["thickness"]
    found = parse_quantity(text, "length")
    _unit_said(found, text, called, unit)
    if (found.unit or unit) == "ga":
        if not found.alone or found.low is None or not found.low.is_integer():
            raise InputError(
                f"{called}: '{text}' is not accepted; give one gauge, for example 16 ga"
            )
        si = plate_thickness(store, f"{found.low:g} ga", "us")[0].si
        return Band(found.low, found.low, "gauge", si, si)
    bare = "in" if "/" in text else unit
    label = Units(store).unit(found.unit or bare, "length", called)
    if label.label not in ("in", "mm"):
        raise InputError(f"{called}: '{text}' is not accepted; give it in in, mm or ga")
    ends = _ends(store, "base_metal_thickness", (called, text), found, label)
    return Band(found.low, found.high, label.label, ends[0], ends[-1])


def _size(store: Store, text: str, unit: str, called: str) -> str:
    """Find the label under which a size is sold."""
    found = parse_quantity(text, "length")
    _unit_said(found, text, called, unit)
    if not found.alone:
        raise InputError(f"{called}: '{text}' is a range; give one size, each in a row of its own")
    given = found.unit or ("in" if "/" in text else unit)
    size, sold = electrode_size(store, f"{found.low!r} {given}", "us")
    if not sold:
        raise InputError(
            f"{called}: '{text}' is not a size that is sold; give {_near(store, found.low, given)}"
        )
    return size


def _near(store: Store, number: float | None, unit: str) -> str:
    """Name the sold sizes nearest to one that is not."""
    column = "inch" if unit == "in" else "mm"
    rows = store.rows(
        f"SELECT size FROM electrode_sizes WHERE {column} IS NOT NULL "
        f"ORDER BY abs({column} - $number) LIMIT 3",
        {"number": number},
    )
    return " or ".join(row["size"] for row in rows) or "it in in or mm"


def _compared(titles: Mapping[str, str], lines: list[Line]) -> Iterator[Problem]:
    """Compare rows with each other and settings with each other: doubts, never refusals."""
    said: dict[tuple[Any, ...], int] = {}
    for line in lines:
        band = line.thickness
        place = (*sorted(line.terms.items()), line.situation.size, band and (band.low, band.high))
        first = said.setdefault(place, line.row)
        if first != line.row:
            same = f"the conditions are those of row {first}: both will be shown"
            yield Problem(line.row, "row", "", same, refused=False)
        yield from _feed_fits(titles, line)
    series: dict[tuple[Any, ...], list[tuple[Line, Setting]]] = defaultdict(list)
    for line in lines:
        kind = (*sorted(line.terms.items()), line.situation.size, *sorted(line.asides.items()))
        for setting in line.settings:
            if line.thickness and setting.quantity in RISES:
                series[setting.quantity, *kind].append((line, setting))
    for one in series.values():
        one.sort(key=lambda pair: _middle(pair[0].thickness))
        for (thin, before), (thick, after) in pairwise(one):
            if _middle(after) < _middle(before) * (1 - 1e-9):
                lower = f"{titles[after.quantity]} is lower than in row {thin.row}, for thinner"
                yield Problem(
                    thick.row, titles[after.quantity], shown(after),
                    f"{shown(after)}: the {lower} metal; is that so?", refused=False,
                )  # fmt: skip


def _middle(ends: Setting | Band | None) -> float:
    return (ends.low_si + ends.high_si) / 2 if ends else 0.0


def _feed_fits(titles: Mapping[str, str], line: Line) -> Iterator[Problem]:
    """Compare the wire feed speed with what the current melts, for solid steel wire alone."""
    by_name = {setting.quantity: setting for setting in line.settings}
    process, metal = (line.situation.terms.get(name) for name in ("process", "material"))
    filler = line.situation.terms.get("filler_class")
    if (
        not {"wire_feed_speed", "current"} <= by_name.keys()
        or line.situation.size is None
        or process is None
        or "GMAW" not in process.broader
        or metal is None
        or not {"steel", "stainless steel"} & metal.broader.keys()
        or (filler and "metal cored wire" in filler.broader)
    ):
        return
    feed, current = by_name["wire_feed_speed"], by_name["current"]
    number, _, unit = line.situation.size.partition(" ")
    whole, _, under = number.partition("/")
    diameter = float(whole) / float(under or 1) * (0.0254 if unit == "in" else 0.001)
    with suppress(InputError):
        least = wire_feed_speed_burn_off(current.low_si, diameter, EXTENSION).value / FAR
        most = wire_feed_speed_burn_off(current.high_si, diameter, EXTENSION).value * FAR
        if feed.high_si < least or feed.low_si > most:
            side = "far less" if feed.high_si < least else "far more"
            yield Problem(
                line.row, titles["wire_feed_speed"], shown(feed),
                f"{shown(feed)} is {side} wire than {shown(current)} melts of "
                f"{line.situation.size} steel wire, by a formula from memory; is that so?",
                refused=False,
            )  # fmt: skip


def number_text(number: float) -> str:
    """Write a number in full, without a point where it is whole.

    >>> number_text(110.0), number_text(1.140625)
    ('110', '1.140625')
    """
    return str(int(number)) if number.is_integer() and abs(number) < 1e15 else repr(number)


def shown(setting: Setting) -> str:
    """Write a setting with its unit.

    >>> shown(Setting("current", 110.0, 150.0, None, "A", 110.0, 150.0))
    '110 to 150 A'
    """
    low, high, typical = (
        None if one is None else number_text(one)
        for one in (setting.low, setting.high, setting.typical)
    )
    if low and high:
        text = f"{low} to {high}"
    elif low or high:
        text = f"at least {low}" if low else f"at most {high}"
    else:
        text = typical or ""
    return f"{text} {setting.unit}"
