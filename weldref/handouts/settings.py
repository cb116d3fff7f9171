"""Choose the printed rows of a situation's table, and mark where documents disagree.

The rows are those on which `weldref check` would rest a verdict: of each document the most
specific statement, in the reader's unit system where it prints both. Rows under a code or another
condition that was not stated stand apart, as do ranges too general to be a setting, and after
them what was only recalled from memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import inf, isfinite
from typing import Any

from weldref.core.cases import most_specific
from weldref.core.index import NOMINAL
from weldref.core.lookup import Match, find
from weldref.core.situation import LABELS, Situation
from weldref.core.units import UnitSystem, Value
from weldref.core.verdict import Row, in_system, show_rows
from weldref.data.store import Store
from weldref.handouts.conversion import Converter, Shown, fraction, rounded
from weldref.handouts.selection import Selection, quantities_for
from weldref.handouts.texts import Notes
from weldref.handouts.words import Words, later

SLACK = 1e-6
"""How far (m) beyond the end of a band a thickness is still inside."""

# Documents have their own names for metals and cases: two names are not a contradiction.
_OWN_NAMES = ("material", "other_condition")


@dataclass(frozen=True, slots=True)
class Setting:
    """One printed row as the sheet shows it.

    `raw` is the row as stored. `differs` tells whether another document prints other limits
    under conditions that do not contradict those of this row.
    """

    row: Row
    raw: dict[str, Any]
    differs: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """The rows of one quantity.

    `printed` are those that decide, and single settings that fit; `conditional` hold only under a
    condition that was not stated, and `asks` names these conditions; `general` are too broad to
    be a setting, or one side of one. `recalled` were not seen in print; `unshown` counts those of
    them that are too broad to show.
    """

    quantity: str
    printed: tuple[Setting, ...]
    recalled: tuple[Setting, ...] = ()
    conditional: tuple[Setting, ...] = ()
    general: tuple[Setting, ...] = ()
    asks: tuple[str, ...] = ()
    unshown: int = 0

    @property
    def rows(self) -> tuple[Setting, ...]:
        """Every row of the group, in the order of the sheet."""
        return (*self.printed, *self.conditional, *self.general, *self.recalled)

    @property
    def differ(self) -> bool:
        """Whether printed documents disagree."""
        return any(setting.differs for setting in self.printed)


@dataclass(frozen=True, slots=True)
class Settings:
    """What is published for a situation.

    `also_seen` are rows of what somebody once did, or in doubt; `left_out` counts them if they
    are not asked for. `own` are own rows beside the published ones.
    """

    groups: tuple[Group, ...]
    also_seen: tuple[Setting, ...]
    left_out: int
    own: tuple[Setting, ...] = ()


def settings_for(store: Store, situation: Situation, selection: Selection) -> Settings:
    """Collect the rows of a situation for the quantities of the selection."""
    wanted = quantities_for(store, situation, selection)
    # The rows of one quantity are found faster than all of them.
    only = wanted[0] if len(wanted) == 1 else None
    matches = [
        m for m in find(store, situation, only, selection.grade) if m.row["quantity"] in wanted
    ]
    converter = Converter(store)
    groups = []
    for quantity in wanted:
        deciding = [m for m in matches if m.row["quantity"] == quantity and m.gives_verdict]
        if not deciding and selection.quantities == ():
            continue
        printed = _shown([m for m in deciding if m.grade != "memory"], selection.shown)
        recalled = _shown([m for m in deciding if m.grade == "memory"], selection.shown)
        conditional = [m for m in printed if m.special and not _is_general(m)]
        fitting = [m for m in printed if not m.special and not _is_general(m)]
        near = [m for m in recalled if not _is_general(m)]
        groups.append(
            Group(
                quantity,
                mark(_settings(store, fitting), converter),
                _settings(store, near),
                _settings(store, conditional),
                _settings(store, [m for m in printed if _is_general(m)]),
                tuple(dict.fromkeys(LABELS[m.special[0]] for m in conditional)),
                len(recalled) - len(near),
            )
        )
    aside = _settings(store, [m for m in matches if not m.gives_verdict])
    added = find(store, situation, None, selection.grade, own=True) if store.beside else []
    added = [m for m in added if m.row["quantity"] in wanted]
    asked = [m for m in added if m.gives_verdict or selection.also_seen]
    left_out = len(added) - len(asked) + (0 if selection.also_seen else len(aside))
    also_seen = aside if selection.also_seen else ()
    return Settings(tuple(groups), also_seen, left_out, _settings(store, asked))


def _is_general(match: Match) -> bool:
    """Tell whether a row is too broad to be a setting, or only one side of one."""
    return bool(match.ignores) or (match.is_range and match.bounds)


def _shown(matches: Sequence[Match], shown: Shown) -> list[Match]:
    """Keep the most specific ranges of each document, as a check does, and all single settings."""
    by_source: dict[str, list[Match]] = defaultdict(list)
    for match in matches:
        by_source[match.row["source_id"]].append(match)
    system: UnitSystem | None = None if shown == "both" else shown
    kept: list[Match] = []
    for rows in by_source.values():
        own = in_system(rows, system)
        ranges = [m for m in own if m.is_range]
        kept += [*most_specific(ranges), *(m for m in own if m not in ranges)]
    ids = {match.row["window_id"] for match in kept}
    return [match for match in matches if match.row["window_id"] in ids]


def _settings(store: Store, matches: Sequence[Match]) -> tuple[Setting, ...]:
    raw = {match.row["window_id"]: match.row for match in matches}
    return tuple(Setting(row, raw[row.window_id]) for row in show_rows(store, matches))


def mark(settings: Sequence[Setting], converter: Converter) -> tuple[Setting, ...]:
    """Mark rows for like conditions whose documents print different limits."""
    differing: set[str] = set()
    for one, other in combinations(settings, 2):
        if one.row.source_id != other.row.source_id and disagree(one, other, converter):
            differing |= {one.row.window_id, other.row.window_id}
    return tuple(replace(s, differs=s.row.window_id in differing) for s in settings)


def disagree(one: Setting, other: Setting, converter: Converter) -> bool:
    """Tell whether some value is inside one row and outside another that may hold as well."""
    mine, yours = one.row.assumed, other.row.assumed
    if any(mine[n] != yours[n] for n in mine.keys() & yours.keys() if n not in _OWN_NAMES):
        return False
    unit, quantity = one.row.unit, one.row.quantity
    systems = {converter.system(quantity, unit), converter.system(quantity, other.row.unit)}
    # Limits printed in the other unit system are rounded: 66 °C and 150 °F are one limit.
    slack = NOMINAL if len(systems) > 1 else 1e-6

    def ends(row: Row) -> tuple[float, float]:
        low = -inf if row.min is None else converter.number_in(row.min, row.unit, unit)
        return low, inf if row.max is None else converter.number_in(row.max, row.unit, unit)

    def outside(value: float, span: tuple[float, float]) -> bool:
        room = slack * max(abs(value), 1e-9)
        return isfinite(value) and not span[0] - room <= value <= span[1] + room

    first, second = ends(one.row), ends(other.row)
    if (-inf, inf) in (first, second):
        return False
    return any(outside(end, second) for end in first) or any(outside(end, first) for end in second)


def conditions_said(setting: Setting, notes: Notes, thickness: Value | None = None) -> list[str]:
    """List the conditions of a row that the situation does not state.

    The thickness of the row is listed unless it includes that of the situation.
    """
    row, raw, words = setting.row, setting.raw, notes.words
    said = [notes.condition(n, value) for n, value in row.assumed.items() if n != "thickness"]
    if raw["joint_detail"]:
        said.append(words.term(raw["joint_detail"]))
    said += [words.say("names no {condition}", condition=words.say(LABELS[n])) for n in row.ignores]
    group = any(one.kind == "member" for one in row.assumptions)
    if group and row.conditions.get("material"):
        said.append(words.say("as {group}", group=words.term(row.conditions["material"])))
    low, high = raw["thickness_min_si"] or 0.0, raw["thickness_max_si"] or inf
    covered = thickness is not None and low - SLACK <= thickness.si <= high + SLACK
    if not covered and (band := band_text(raw, words)):
        said.append(words.say("thickness {band}", band=band))
    return list(dict.fromkeys(said))


def stated_text(store: Store, window_id: str, name: str, value: str, words: Words) -> str:
    """Write the value of a row's condition in the reader's language; a band as it is printed.

    `value` is the one in English.
    """
    rows = []
    if name == "thickness":
        query = "SELECT * FROM windows WHERE window_id = $id"
        rows = store.rows(query, {"id": window_id})
    return band_text(rows[0], words) if rows else words.term(value)


_BANDS = {
    (None, True): later("up to {high} {unit}"),
    (None, False): later("below {high} {unit}"),
    (True, None): later("{low} {unit} and up"),
    (False, None): later("over {low} {unit}"),
    (True, True): later("{low} to {high} {unit}"),
    (True, False): later("{low} to below {high} {unit}"),
    (False, True): later("over {low} to {high} {unit}"),
    (False, False): later("over {low} to below {high} {unit}"),
}
"""A band of thickness, by whether it includes its lower and upper end; None if it has no end."""


def band_text(raw: dict[str, Any], words: Words) -> str:
    """Write a row's thickness band in the reader's language, inches as fractions if they are.

    >>> from weldref.handouts.words import words
    >>> band = {"thickness_min": 0.75, "thickness_min_inclusive": False,
    ...         "thickness_max": 1.5, "thickness_max_inclusive": True, "thickness_unit": "in"}
    >>> band_text(band, words("es"))
    'más de 3/4 hasta 1-1/2 in (19.1–38.1 mm)'
    """
    low, high = ends = (raw["thickness_min"], raw["thickness_max"])
    if ends == (None, None):
        return ""
    inches = raw["thickness_unit"] == "in"
    unit = words.term(raw["thickness_unit"])
    texts = [(fraction(end or 0.0) if inches else "") or f"{end or 0:g}" for end in ends]
    included = [
        None if end is None else bool(raw[f"thickness_{name}_inclusive"])
        for name, end in zip(("min", "max"), ends, strict=True)
    ]
    text = f"{texts[0]} {unit}"
    if low != high:
        message = _BANDS[included[0], included[1]]
        text = words.say(message, low=texts[0], high=texts[1], unit=unit)
    if words.language == "en" or not inches:
        return text
    metric = (rounded(end * 25.4, "mm") for end in dict.fromkeys(ends) if end is not None)
    return f"{text} ({'–'.join(metric)} mm)"
