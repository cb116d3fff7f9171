"""Check every row of a pandas frame against what is published."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from pandas.api.types import is_bool_dtype, is_complex_dtype, is_numeric_dtype

from weldref.core.cases import SAID_FIRST
from weldref.core.check import read_value
from weldref.core.frames import WORDS, dataset_attrs
from weldref.core.lookup import FITS
from weldref.core.profile import Piece
from weldref.core.profiles import Base, Profiles, State
from weldref.core.setup import impossible_together
from weldref.core.situation import (
    Conditions,
    Situation,
    conditions_in,
    describe,
    plate_thickness,
    plausible_limits,
)
from weldref.core.units import Units, UnitSystem, Value, tidy
from weldref.core.verdict import system_of
from weldref.data.own import Given
from weldref.data.store import Store, open_tables
from weldref.errors import InputError
from weldref.grades import accepted_grades
from weldref.logs.columns import Column, Columns, read_columns
from weldref.logs.words import argument, with_unit

Codes = NDArray[np.int64]
Numbers = NDArray[np.float64]
Flags = NDArray[np.bool_]

NOTHING = WORDS.index("no published range")
TAKEN_BACK = (WORDS.index("inside"), WORDS.index("depends"))
"""Words that a set-up rule withdraws where nothing passes, as in `weldref.core.check`."""


def check_frame(
    frame: pd.DataFrame,
    columns: Mapping[str, str] | None = None,
    *,
    unit_of: Mapping[str, str] | None = None,
    units: UnitSystem = "us",
    grade: str = "memory",
    own: Given = None,
    **conditions: Any,
) -> pd.DataFrame:
    """Check a frame of settings, one row a reading, each row as `weldref.check` does.

    Parameters
    ----------
    frame
        With columns named like the conditions and quantities of `weldref.check`, or as logs
        name them: ``amps``, ``travel speed (mm/s)``. Any other column is ignored.
    columns
        Field to heading, for headings that are not understood: ``{"current": "ch1"}``.
    unit_of
        The unit of a column whose heading names none: ``{"travel_speed": "mm/s"}``. A cell may
        have a unit of its own: ``"250 mm/min"``.
    units
        "us" or "metric": how numbers without a unit are read.
    grade, own
        As in `weldref.check`.
    **conditions
        Conditions of `weldref.check` that hold for every row: ``process="GMAW"``.

    Returns
    -------
    pandas.DataFrame
        A copy with four more columns for each quantity, named after it: ``current_verdict`` (one
        of the six words), ``current_by`` (how far outside, in the unit of the reading),
        ``current_fit`` (exact, near or broad) and ``current_ask`` (the condition to state if
        the verdict depends). A cell that cannot be read gets no verdict; the column ``problem``
        has a sentence about the first such cell in its row. ``attrs`` tells how each column was
        read (``read_as``), which were ``not_read``, and the dataset.

    Raises
    ------
    InputError
        If no column holds readings, or a name, a unit or an option is not accepted; never for
        a single row.

    Examples
    --------
    >>> import pandas as pd
    >>> settings = pd.DataFrame({"diameter": ["1/8", "1/8"], "current": [130, 250]})
    >>> checked = check_frame(settings, process="SMAW", electrode="E7018")
    >>> checked[["current_verdict", "current_by"]].values.tolist()
    [['inside', 0.0], ['high', 90.0]]
    """
    if not isinstance(frame, pd.DataFrame):
        raise InputError(f"check_frame: a {type(frame).__name__} is not a pandas DataFrame")
    store = open_tables(own)
    accepted_grades(grade)
    same, unknown = conditions_in({**conditions, "units": units})
    for name in unknown:
        listed = ", ".join(Conditions.__annotations__)
        raise InputError(f"check_frame: '{name}' is not a condition; give {listed}")
    describe(store, **same)  # refuse what holds for every row before any row is read
    read = _columns(store, frame, columns or {}, unit_of or {}, units)
    for column in read.used:
        if same.get(argument(column.field)) is not None:
            raise InputError(
                f"{argument(column.field)}: given for every row, and in the column "
                f"'{column.heading}'; give it once"
            )
    readings = [_Readings.read(store, frame, c, units) for c in read.readings]
    asked = dict.fromkeys((r.quantity, system) for r in readings for system in r.systems)
    profiles = Profiles(store, list(asked), grade)
    rows = _Rows.read(store, frame, read, same, units)
    states = rows.states(profiles)
    held = rows.held(store, {r.quantity: r.si for r in readings})
    made: dict[str, pd.Series[Any]] = {}
    for one in readings:
        made |= one.judged(profiles, rows.number, states, held[one.quantity], frame.index)
    problems = [rows.problem, *(one.problem for one in readings)]
    made["problem"] = _first(problems, frame.index)
    for name in made:
        if name in frame.columns:
            raise InputError(f"check_frame: the frame has a column '{name}'; rename or drop it")
    answer = frame.assign(**made)
    answer.attrs = frame.attrs | {
        "read_as": {column.heading: str(column) for column in read.used},
        "not_read": list(read.unknown),
        **dataset_attrs(store),
    }
    return answer


_Problem = tuple["Codes", list[str | None]]
"""A number for each row, and the sentence for each number; -1 and None mean no problem."""


def _columns(
    store: Store,
    frame: pd.DataFrame,
    columns: Mapping[str, str],
    unit_of: Mapping[str, str],
    units: UnitSystem,
) -> Columns:
    """Recognise the columns. In a log `joint` is the name of a weld; here it is its type."""
    headings = [str(heading) for heading in frame.columns if isinstance(heading, str)]
    named = {("joint_type" if name == "joint" else name): said for name, said in columns.items()}
    if "joint" in headings and "joint" not in named.values() and "joint_type" not in headings:
        named.setdefault("joint_type", "joint")
    found = read_columns(store, headings, named, unit_of, units)
    used = [column for column in found.used if column.quantity or column.field in _FIELDS]
    aside = [column.heading for column in found.used if column not in used]
    return Columns(tuple(used), (*found.unknown, *aside))


_FIELDS = {"joint_type", *Conditions.__annotations__}


def _text(cell: object) -> str:
    """Write a cell as people type it: 304.0 in a column of numbers is the grade 304."""
    return f"{cell:.15g}" if isinstance(cell, float) else str(cell).strip()


def _cells(values: pd.Series[Any]) -> tuple[Codes, list[str]]:
    """Number the different texts of a column; -1 is an empty cell."""
    cells = values.astype(object)
    try:
        codes, found = pd.factorize(cells, use_na_sentinel=True)
    except TypeError:  # a cell that is a list or the like is read as what it looks like
        codes, found = pd.factorize(cells.map(str, na_action="ignore"), use_na_sentinel=True)
    texts = [_text(cell) for cell in found]
    empty = np.array([code for code, text in enumerate(texts) if not text], dtype=np.int64)
    return np.where(np.isin(codes, empty), -1, codes).astype(np.int64), texts


def _numbered(keys: Iterable[Codes], length: int) -> tuple[Codes, Codes]:
    """Number the different combinations of codes; return the numbers and a row for each."""
    key = np.zeros(length, dtype=np.int64)
    for codes in keys:
        width = int(codes.max(initial=-1)) + 2
        key = pd.factorize(key * width + codes + 1)[0].astype(np.int64)
    first = np.zeros(int(key.max(initial=-1)) + 1, dtype=np.int64)
    first[key[::-1]] = np.arange(length - 1, -1, -1)
    return key, first


@dataclass(slots=True)
class _Rows:
    """The situation of every row: `number` is its place in `situations`, None if not read.

    Situations that differ only in thickness have the same number in `base_of`.
    """

    number: Codes
    situations: list[Situation | None]
    base_of: list[int]
    problem: _Problem

    @classmethod
    def read(
        cls,
        store: Store,
        frame: pd.DataFrame,
        columns: Columns,
        same: Conditions,
        units: UnitSystem,
    ) -> _Rows:
        """Read the conditions of every row, each combination once."""
        words = {c: _cells(frame[c.heading]) for c in columns.used if not c.quantity}
        thick = next((c for c in words if c.field == "thickness"), None)
        others = [c for c in words if c is not thick]
        combination, first = _numbered([words[c][0] for c in others], len(frame))
        read: list[Situation | str] = []
        for row in first:
            said: dict[str, Any] = {**same}
            for column in others:
                codes, texts = words[column]
                if codes[row] >= 0:
                    said[argument(column.field)] = with_unit(texts[codes[row]], column.unit)
            read.append(_or_sentence(partial(describe, store, **said)))
        no_codes = np.full(len(frame), -1, dtype=np.int64)
        codes, texts = words[thick] if thick else (no_codes, [])
        unit = thick.unit if thick else None

        lengths: dict[tuple[int, str], Value | str] = {}

        def length_of(code: int, situation: Situation) -> Value | str:
            # A gauge number is a thickness of some metals and not of others.
            metal = situation.terms.get("material")
            key = (code, metal.name if metal else "")
            if key not in lengths:
                text = with_unit(texts[code], unit)
                lengths[key] = _or_sentence(lambda: plate_thickness(store, text, units, metal)[0])
            return lengths[key]

        number, first = _numbered([combination, codes], len(frame))
        situations: list[Situation | None] = []
        sentences: list[str | None] = []
        for row in first:
            found = read[combination[row]]
            length = None
            if codes[row] >= 0 and isinstance(found, Situation):
                length = length_of(int(codes[row]), found)
            refused = next((one for one in (found, length) if isinstance(one, str)), None)
            sentences.append(refused)
            if refused is not None or isinstance(found, str):
                situations.append(None)
            elif isinstance(length, Value):
                situations.append(replace(found, thickness=length))
            else:
                situations.append(found)
        bases = [2 * int(combination[row]) + int(codes[row] >= 0) for row in first]
        return cls(number, situations, bases, (number, sentences))

    def states(self, profiles: Profiles) -> Codes:
        """Return for every situation the number of the state of each quantity; -1 if not read."""
        bases: dict[int, Base] = {}
        found = np.full((len(self.situations), len(profiles.asked)), -1, dtype=np.int64)
        for place, (situation, key) in enumerate(zip(self.situations, self.base_of, strict=True)):
            if situation is None:
                continue
            if key not in bases:
                bases[key] = profiles.base(profiles.part(situation))
            thickness = situation.thickness.si if situation.thickness else None
            found[place] = profiles.of(bases[key], thickness)
        return found

    def held(self, store: Store, proposed: Mapping[str, Numbers]) -> dict[str, Flags]:
        """Tell of each value whether a set-up rule excludes it beside the others of its row."""
        found = {name: np.zeros(len(self.number), dtype=bool) for name in proposed}
        order = np.argsort(self.number, kind="stable")
        ends = np.cumsum(np.bincount(self.number, minlength=len(self.situations)))
        for place, situation in enumerate(self.situations):
            test = situation and impossible_together(store, situation, proposed)
            if not test:
                continue
            rows = order[ends[place - 1] if place else 0 : ends[place]]
            numbers = zip(*(proposed[name][rows].tolist() for name in proposed), strict=True)
            for row, line in zip(rows, numbers, strict=True):
                for name in test({n: si for n, si in zip(proposed, line, strict=True) if si == si}):
                    found[name][row] = True
        return found


def _or_sentence(ask: Any) -> Any:
    """Return the answer, or the sentence with which it is refused."""
    try:
        return ask()
    except InputError as error:
        return str(error)


@dataclass(slots=True)
class _Readings:
    """One column of readings in SI, NaN where there is none.

    `system_at` is the place of a reading's unit system in `systems`; a distance in SI divided by
    `factor` is in the reading's unit.
    """

    quantity: str
    si: Numbers
    factor: Numbers
    system_at: Codes
    systems: list[UnitSystem | None]
    problem: _Problem

    @classmethod
    def read(
        cls, store: Store, frame: pd.DataFrame, column: Column, units: UnitSystem
    ) -> _Readings:
        """Read the cells of a column, each different text once."""
        quantity, unit = str(column.quantity), str(column.unit)
        values = frame[column.heading]
        by_spelling = Units(store).by_spelling

        def parse(text: str) -> Value | str:
            return _or_sentence(  # type: ignore[no-any-return]
                lambda: read_value(store, quantity, with_unit(text, unit), units)[1]
            )

        is_number = is_numeric_dtype(values.dtype) and not is_complex_dtype(values.dtype)
        if is_number and not is_bool_dtype(values.dtype):
            numbers = values.to_numpy(dtype=np.float64, na_value=np.nan)
            si = numbers * by_spelling[unit].factor + by_spelling[unit].shift
            low, high = plausible_limits(store, quantity)
            wrong = ~np.isnan(numbers) & ~((si >= low) & (si <= high))
            codes, texts = _cells(values.where(wrong))
            sentences = [str(parse(text)) for text in texts]
            factor = np.full(len(si), by_spelling[unit].factor)
            place = np.zeros(len(si), dtype=np.int64)
            si = np.where(wrong, np.nan, si)
            return cls(quantity, si, factor, place, [system_of(unit)], (codes, [*sentences]))
        codes, texts = _cells(values)
        found = [parse(text) for text in texts]
        read = [one if isinstance(one, Value) else None for one in found]
        systems = list(dict.fromkeys(system_of(one.unit) for one in read if one)) or [None]
        at = [systems.index(system_of(one.unit)) if one else 0 for one in read]
        return cls(
            quantity,
            np.array([*(one.si if one else np.nan for one in read), np.nan])[codes],
            np.array([*(by_spelling[one.unit].factor if one else 1.0 for one in read), 1.0])[codes],
            np.array([*at, 0], dtype=np.int64)[codes],
            systems,
            (codes, [one if isinstance(one, str) else None for one in found]),
        )

    def judged(
        self,
        profiles: Profiles,
        number: Codes,
        states_of: Codes,
        held: Flags,
        index: pd.Index[Any],
    ) -> dict[str, pd.Series[Any]]:
        """Look every reading up in the profile of its row; `number` is its place in `states_of`."""
        places = np.array(
            [profiles.asked.index((self.quantity, system)) for system in self.systems]
        )
        states = states_of[number, places[self.system_at]]
        states = np.where(np.isnan(self.si), -1, states)
        word, ask, fit = (np.full(len(states), -1, dtype=np.int8) for _ in range(3))
        by = np.full(len(states), np.nan)
        order = np.argsort(states, kind="stable")
        cuts = np.flatnonzero(np.diff(states[order])) + 1
        for some in np.split(order, cuts):
            if not len(some) or states[some[0]] < 0:
                continue
            state: State = profiles.states[states[some[0]]]
            closest = profiles.fit(state)
            fit[some] = FITS.index(closest) if closest else -1
            word[some], ask[some], by[some] = _looked_up(state.profile.pieces, self.si[some])
        outside = np.flatnonzero(~np.isnan(by) & (by != 0))
        distances = (by[outside] / self.factor[outside]).tolist()
        by[outside] = [tidy(one) for one in distances]
        back = held & np.isin(word, TAKEN_BACK)
        word[back], ask[back], by[back] = NOTHING, -1, np.nan

        def named(codes: NDArray[np.int8], names: tuple[str, ...], *, ordered: bool = False) -> Any:
            kind = pd.CategoricalDtype([*names], ordered=ordered)
            return pd.Series(pd.Categorical.from_codes(codes, dtype=kind), index=index)

        return {
            f"{self.quantity}_verdict": named(word, WORDS),
            f"{self.quantity}_by": pd.Series(by, index=index),
            f"{self.quantity}_fit": named(fit, FITS, ordered=True),
            f"{self.quantity}_ask": named(ask, SAID_FIRST),
        }


def _looked_up(
    pieces: tuple[Piece, ...], si: Numbers
) -> tuple[NDArray[np.int8], NDArray[np.int8], Numbers]:
    """Return the word of every value, the condition it asks for, and the distance (`Piece.by`)."""
    at = np.searchsorted([piece.begin for piece in pieces], si, side="right") - 1
    words = np.array([WORDS.index(piece.word) for piece in pieces], dtype=np.int8)
    asks = [SAID_FIRST.index(piece.ask) if piece.ask else -1 for piece in pieces]
    below = np.array([np.nan if p.below is None else p.below for p in pieces])[at]
    above = np.array([np.nan if p.above is None else p.above for p in pieces])[at]
    word = words[at]
    by = np.fmin(si - below, above - si)
    inside = np.isnan(by) & (word == WORDS.index("inside"))
    return word, np.array(asks, dtype=np.int8)[at], np.where(inside, 0.0, by)


def _first(problems: Iterable[_Problem], index: pd.Index[Any]) -> pd.Series[Any]:
    """Return the first sentence about each row."""
    found = np.full(len(index), None, dtype=object)
    for codes, sentences in problems:
        texts = np.array([*sentences, None], dtype=object)[codes]
        found = np.where(pd.isna(found), texts, found)
    return pd.Series(found, index=index, dtype="str")
