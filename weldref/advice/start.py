"""Where does one start? A printed setting, or the middle of what every printed window allows.

A start is never made of anything else:

- a setting that a row prints as typical;
- else the middle of the overlap of the printed windows, when both ends are printed and nothing
  lies between alternatives;
- else nothing, and the answer says why.

A row too broad to pass a value, or under a condition that was not stated, gives no start; one side
of a machine setting only narrows what a window gives. Rows recalled from memory are asked only
where print is silent, and the answer is marked so.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from weldref.core.lookup import GRADES, Match
from weldref.core.situation import LABELS
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import Evidence, Row, Word, as_row, by_document, distinct_rows
from weldref.data.store import Store

Kind = Literal["printed setting", "middle of the window", "middle of the overlap"]


@dataclass(frozen=True, slots=True)
class Start:
    """One value to start from, and what it rests on.

    Attributes
    ----------
    value, unit
        As printed for a printed setting; the middle in the unit asked for otherwise.
    kind
        Which of the two it is.
    grade
        The weakest grade among `rows`; "memory" is never a plain start.
    rows
        The row that prints the setting, or the rows whose windows overlap.
    window
        The ends of the overlap in `unit`; None for a printed setting.
    verdict
        What the printed windows say of a printed setting; None where no window is printed.
    """

    value: float
    unit: str
    kind: Kind
    grade: str
    rows: tuple[Row, ...]
    window: tuple[float, float] | None = None
    verdict: Word | None = None

    @property
    def text(self) -> str:
        """The value with its unit, as one would type it."""
        return f"{self.value:.6g} {self.unit}"


@dataclass(frozen=True, slots=True)
class StartingPoint:
    """Where to start with one quantity: printed settings, one middle, or nothing and why."""

    quantity: str
    starts: tuple[Start, ...]
    why_not: str = ""


def start_here(
    store: Store, matches: Iterable[Match], quantity: str, unit: str, system: UnitSystem | None
) -> StartingPoint:
    """Find where to start with a quantity.

    Parameters
    ----------
    store
        The open store.
    matches
        Rows that apply to the situation, as `weldref.core.lookup.find` returns them.
    quantity
        Stored name.
    unit
        The unit in which a middle is given.
    system
        The reader's unit system: of a table printed in both, that version speaks.

    Returns
    -------
    StartingPoint
        Printed settings first; several differing ones are all given, and never averaged.

    Examples
    --------
    Machinery's Handbook, 31st edition, p. 1594, Table 14 prints 110 to 160 A:

    >>> from weldref.core.lookup import find
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> bench = describe(store, process="SMAW", electrode="E7018", diameter="1/8")
    >>> rows = find(store, bench, grade="read")
    >>> point = start_here(store, rows, "current", "A", "us")
    >>> [(start.text, start.kind) for start in point.starts]
    [('135 A', 'middle of the window')]
    >>> start_here(store, rows, "voltage", "V", "us").why_not
    'nothing is published for this situation'
    """
    units = Units(store)
    named = [m for m in matches if m.row["quantity"] == quantity and m.gives_verdict]
    speaking = [m for m in named if not m.ignores and not m.special]
    printed = [m for m in speaking if m.grade != "memory"]
    recalled = [m for m in speaking if m.grade == "memory"]
    if not named:
        return StartingPoint(quantity, (), "nothing is published for this situation")
    if not speaking:
        why = "what is published is general, or holds under a condition that was not stated"
        return StartingPoint(quantity, (), why)
    for rows in filter(None, (printed, recalled)):
        kept = [m for ms in by_document(rows, system).values() for m in ms]
        settings = _printed_settings(store, units, kept, system)
        if settings:
            return StartingPoint(quantity, settings)
        middle = _middle(units, kept, unit)
        # What print leaves open, memory must not close.
        return StartingPoint(quantity, *_answer(middle))
    raise AssertionError  # one of the two holds what `speaking` does


def _answer(found: Start | str) -> tuple[tuple[Start, ...], str]:
    return ((), found) if isinstance(found, str) else ((found,), "")


def _printed_settings(
    store: Store, units: Units, matches: Sequence[Match], system: UnitSystem | None
) -> tuple[Start, ...]:
    """Return each distinct setting that a row prints as typical, most specific row first."""
    windows = Evidence(store, [m for m in matches if m.is_range], system)
    found: dict[float, Start] = {}
    for match in matches:
        typical = match.row["typical"]
        if typical is None:
            continue
        unit = match.row["unit"]
        value = Value(typical, unit, match.row["typical_si"], f"{typical:g} {unit}")
        start = Start(
            typical,
            unit,
            "printed setting",
            match.grade,
            (as_row(units, match, None),),
            verdict=windows.settle(value.si).word if windows.deciding else None,
        )
        found.setdefault(round(value.si, 9), start)
    return tuple(found.values())


def _middle(units: Units, matches: Sequence[Match], unit: str) -> Start | str:
    """Return the middle of what all windows share, or the reason why there is none."""
    windows = [m for m in matches if m.is_range]
    if _alternatives(windows):
        return "separate windows are published for this situation: choose one of them"
    if open_condition := _excluding(windows):
        return f"the windows are for different {open_condition}: say which"
    lows = [m.row["min_si"] for m in windows if m.row["min_si"] is not None]
    highs = [m.row["max_si"] for m in windows if m.row["max_si"] is not None]
    if not highs:
        return "a minimum alone is published: it has no middle"
    if not lows:
        return "a maximum alone is published: it has no middle"
    if all(m.bounds for m in windows):
        return "a minimum and a maximum alone are published: no window is"
    if max(lows) > min(highs):
        return "the published windows do not overlap: the sources differ"
    low, high = (_tidy(units.convert(si, unit)) for si in (max(lows), min(highs)))
    if low == high and all(m.row["min_si"] != m.row["max_si"] for m in windows):
        return f"the published windows only touch, at {low:g} {unit}"
    kind: Kind = "middle of the overlap" if len(windows) > 1 else "middle of the window"
    grade = max((m.grade for m in windows), key=GRADES.index)
    rows = distinct_rows(as_row(units, m, None) for m in windows)
    return Start(_tidy((low + high) / 2), unit, kind, grade, rows, (low, high))


def _alternatives(windows: Sequence[Match]) -> bool:
    """Tell whether a document prints two windows under the same conditions."""

    def key(match: Match) -> tuple[str, tuple[tuple[str, str], ...]]:
        return match.row["source_id"], _left_open(match)

    choosable = sorted((m for m in windows if m.row["basis"] != "limit"), key=key)
    return any(
        len({(m.row["min_si"], m.row["max_si"]) for m in group}) > 1
        for _, group in groupby(choosable, key)
    )


def _excluding(windows: Sequence[Match]) -> str:
    """Name what the windows add in different ways: one weld cannot be inside all of them."""
    stated: dict[str, set[str]] = {}
    for match in windows:
        for name, value in _left_open(match):
            stated.setdefault(name, set()).add(value)
    apart = [name for name in _EXCLUSIVE if len(stated.get(name, ())) > 1]
    return " and ".join(f"{LABELS[name]}s" for name in apart)


_EXCLUSIVE = ("transfer_mode", "process")
"""Conditions of which a weld has one: what is printed for two of them is not shared by both."""


def _left_open(match: Match) -> tuple[tuple[str, str], ...]:
    """List the conditions that a row adds, with what it states for each."""
    return tuple(sorted((name, match.state(name)) for name in match.assumed))


def _tidy(number: float) -> float:
    return float(f"{number:.6g}")
