"""Look up the choices around a setting: polarity, gas, filler metal, tungsten, lens shade.

Each answer is one printed statement. If the tables have none, the list is empty.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from weldref.advice import handbook
from weldref.core.bands import Band, inside_sql
from weldref.core.index import cutting
from weldref.core.lookup import Match
from weldref.core.situation import Situation
from weldref.core.terms import Term, Vocabulary
from weldref.core.units import Units
from weldref.core.verdict import by_document
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.grades import GRADES

REFUSING = ("not recommended", "not suitable")
"""How a source advises against a polarity."""

# Sources' own words for metals, as in the tables, which are not spellings of the vocabulary.
METALS: dict[str, tuple[str, ...]] = {
    "aluminium and its alloys": ("aluminium",),
    "aluminium castings": ("aluminium",),
    "magnesium and its alloys": ("magnesium",),
    "magnesium castings": ("magnesium",),
    "heat-resisting steel": (),
    "copper, deoxidised": ("deoxidised copper",),
    "nickel, copper and alloys": ("nickel alloy", "copper"),
    "stainless 300 series": ("300-series stainless steel",),
    "steel up to 0.4% C and low alloy": ("carbon steel", "low-alloy steel"),
}
GASES = ("GMAW", "GTAW", "FCAW-G", "PAW", "FCAW")
"""Processes that take a shielding gas, or of which some kinds do."""


@dataclass(frozen=True, slots=True)
class Statement:
    """One printed statement: what it names, what it advises, and under which conditions.

    `advice` is empty where naming it is the advice; `only_for` has the source's own conditions.
    """

    value: str
    advice: str
    only_for: tuple[str, ...]
    how_read: str
    status: str | None
    source_id: str
    locator: str | None

    @property
    def refuses(self) -> bool:
        """Whether the source advises against it."""
        return self.advice in REFUSING


def polarities(store: Store, situation: Situation) -> list[Statement]:
    """List what the tables say of polarity, by metal, covered electrode or flux cored wire."""
    found = [
        _statement(
            row, row["current_type"], row["advice"], metal, row["as_printed"], row["condition"]
        )
        for row, metal in _fitting(store, situation, "polarity")
        if row["advice"] is not None
    ]
    electrode = situation.terms.get("filler_class")
    if electrode is not None:
        covered = store.rows(
            "SELECT * FROM smaw_classes WHERE list_contains($names, classification) ORDER BY rowid",
            {"names": list(electrode.broader)},
        )
        found += [_statement(row, row["current"], "", row["classification"]) for row in covered]
        found += [
            _statement(row, row["polarity"], "", electrode.name, _passes(row))
            for row in _cored_wires(store, electrode)
        ]
    return _printed_first(found)


def _cored_wires(store: Store, electrode: Term) -> list[dict[str, Any]]:
    """Return the rows for a flux cored wire: those of its class, else of its usability."""
    rows: list[dict[str, Any]] = store.rows(
        "SELECT * FROM fcaw_classes WHERE classification = $name ORDER BY rowid",
        {"name": electrode.name},
    )
    usability = re.fullmatch(r"E\d+(T-(?:\d+|GS))[A-Z]?", electrode.name)
    if rows or usability is None:
        return rows
    return store.rows(
        "SELECT * FROM fcaw_usability WHERE usability = $usability", {"usability": usability[1]}
    )


def _passes(row: dict[str, Any]) -> str | None:
    """Say if a row for a flux cored wire is for single-pass welds only."""
    return "single-pass welds only" if row["passes"] == "single" else None


def gases(store: Store, situation: Situation) -> list[Statement]:
    """List the shielding gases for the process, metal, transfer mode and thickness."""
    mode = situation.terms.get("transfer_mode")
    found = []
    for row, metal in _fitting(store, situation, "shielding_gas_selection"):
        modes = row["transfer_mode"].split("; ") if row["transfer_mode"] else []
        if mode is None or not modes or set(modes) & set(mode.broader):
            only = (metal, *([] if mode else modes), row["as_printed"], row["note"])
            found.append(_statement(row, row["shielding_gas"], "", *only))
    electrode = situation.terms.get("filler_class")
    if electrode is not None:
        for row in _cored_wires(store, electrode):
            gas = "no shielding gas" if row["external_gas"] == "none" else row["external_gas"]
            found.append(_statement(row, gas, "", electrode.name, _passes(row)))
    return _printed_first(found)


def takes_gas(situation: Situation) -> bool:
    """Tell whether the process takes a shielding gas, or has kinds that do."""
    return _is_any(situation, GASES)


def fillers(store: Store, situation: Situation) -> list[Statement]:
    """List what the tables say of the electrode's class or, without one, matching filler metals."""
    electrode = situation.terms.get("filler_class")
    if electrode is not None:
        rows = store.rows(
            """
            SELECT *, 'vertical ' || progression AS vertical FROM smaw_classes
            WHERE classification = $name AND covering IS NOT NULL ORDER BY rowid
            """,
            {"name": electrode.name},
        )
        return [
            _statement(r, r["classification"], r["covering"], r["positions"], r["vertical"])
            for r in rows
        ]
    process, material = situation.terms.get("process"), situation.terms.get("material")
    if process is None or material is None:
        return []
    band = inside_sql("$inches", "b.thickness_over", "b.thickness_to", low_included="false")
    rows = store.rows(
        f"""
        SELECT f.*, 'AWS D1.1 Group ' || b.d11_group AS "group", 'except ' || f.excluded AS apart
        FROM base_metals b
        JOIN matching_fillers f ON f.base_group = b.d11_group
        WHERE concat_ws(' ', b.specification, b.grade) = $metal
        AND list_contains($processes, f.process) AND ($inches IS NULL OR {band})
        ORDER BY b.d11_group, f.rowid
        """,  # noqa: S608  SQL of our own
        {
            "metal": material.name,
            "processes": list(process.broader),
            "inches": situation.thickness.si / 0.0254 if situation.thickness else None,
        },
    )
    return [
        _statement(r, r["as_printed"], "", r["group"], r["apart"], r["condition"]) for r in rows
    ]


def tungstens(store: Store, situation: Situation) -> list[Statement]:
    """List what the tables say of the stated tungsten class, else of each class for the polarity.

    Empty if neither a class nor a polarity is stated.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> (found,) = tungstens(store, describe(store, process="GTAW", tungsten="EWTh-1"))
    >>> found.value, found.advice, found.only_for
    ('EWTh-1', 'DC', ('yellow',))
    """
    polarity, stated = (situation.terms.get(name) for name in ("polarity", "tungsten_class"))
    if not takes_tungsten(situation) or (polarity is None and stated is None):
        return []
    found = []
    for row in store.rows(
        "SELECT * FROM tungsten_classes WHERE standard = 'AWS A5.12' AND current IS NOT NULL "
        "ORDER BY rowid"
    ):
        kinds = row["current"].split("; ")
        if stated is not None:
            fits = row["class_code"] in {stated.name, *stated.narrower}
        else:
            fits = polarity is not None and any(kind in polarity.broader for kind in kinds)
        if fits:
            only = (row["tip_colour"], row["edition"])
            found.append(_statement(row, row["class_code"], row["current"], *only))
    return found


@dataclass(frozen=True, slots=True)
class Shade:
    """Filter shades at one current (A); for oxyfuel work, for the plate's thickness."""

    at: float | None
    statements: tuple[handbook.Statement, ...]


@dataclass(frozen=True, slots=True)
class Currents:
    """The currents (A) at which to look up the lens shade, and whether they are only recalled."""

    amperes: tuple[float, ...]
    from_memory: bool = False


def shade_currents(matches: Iterable[Match], proposed: float | None = None) -> Currents:
    """Pick the currents at which to look up the lens shade.

    Parameters
    ----------
    matches
        Rows that apply, as `weldref.core.lookup.find` returns them.
    proposed
        The current that is set, in A.

    Returns
    -------
    Currents
        The proposed current; else the lowest and the highest on which a check would rest, from
        printed rows or, only if there are none, from recalled ones. Empty if there is none.

    Examples
    --------
    >>> from weldref.core.lookup import find
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> post = describe(store, process="SMAW", electrode="E7018", diameter="1/8")
    >>> shade_currents(find(store, post))
    Currents(amperes=(110.0, 160.0), from_memory=False)
    """
    if proposed is not None:
        return Currents((proposed,))
    rows = [
        m
        for m in matches
        if m.row["quantity"] == "current"
        and m.gives_verdict
        and not (m.ignores or m.special or (m.is_range and m.bounds))
    ]
    printed = [m for m in rows if not m.recalled]
    ranges = by_document((m for m in printed or rows if m.is_range), None)
    counting = [m for own in ranges.values() for m in own]
    counting += [m for m in printed or rows if not m.is_range]
    ends = [
        number
        for match in counting
        for end in ("min_si", "max_si", "typical_si")
        if (number := match.row[end]) is not None
    ]
    amperes = tuple(dict.fromkeys((min(ends), max(ends)))) if ends else ()
    return Currents(amperes, from_memory=bool(ends) and not printed)


def shades(store: Store, situation: Situation, currents: Iterable[float]) -> list[Shade]:
    """Look up the lens shade at each current; without one, by thickness or by process alone."""
    process = situation.terms.get("process")
    if process is None:
        return []
    plate = situation.thickness.si if situation.thickness else None
    electrode = None
    if situation.size and "SMAW" in process.broader:
        electrode = Units(store).parse(situation.size, "length", "in", "diameter").si
    found = []
    tried: list[float | None] = [*currents]
    for current in tried or [None]:
        try:
            statements = handbook.filter_shade(
                process.name, current=current, plate=plate, electrode=electrode
            )
        except InputError:
            continue
        if statements:
            found.append(Shade(current, tuple(statements)))
    return found


def lens(
    shades: Iterable[Shade],
) -> tuple[handbook.Statement | None, tuple[handbook.Statement, ...]]:
    """Pick the darkest minimum shade, and the suggested shades that are at least as dark.

    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> least, better = lens(shades(store, describe(store, process="GMAW"), (110.0,)))
    >>> least.value if least else None, better[0].value
    (10.0, 11.0)
    """
    said = [(s.value, s) for shade in shades for s in shade.statements if s.value is not None]
    said.sort(key=lambda one: (one[0], GRADES.index(one[1].how_read)))
    floor, least = max(
        ((value, s) for value, s in said if s.what == "minimum shade"),
        key=lambda one: one[0],
        default=(0.0, None),
    )
    return least, tuple(s for value, s in said if s.what == "suggested shade" and value >= floor)


def is_flame(situation: Situation) -> bool:
    """Tell whether the process burns a fuel gas, so that no arc current exists."""
    return _is_any(situation, ("OFW", "OFC"))


def cuts(store: Store, situation: Situation) -> bool:
    """Tell whether the process cuts."""
    process = situation.terms.get("process")
    return process is not None and process.name in cutting(store)


def takes_tungsten(situation: Situation) -> bool:
    """Tell whether the arc burns from a tungsten electrode."""
    return _is_any(situation, ("GTAW", "PAW"))


def _is_any(situation: Situation, processes: Iterable[str]) -> bool:
    """Tell whether the process is one of several, or a kind of one."""
    process = situation.terms.get("process")
    return process is not None and not process.broader.keys().isdisjoint(processes)


def named_by_rows(matches: Iterable[Match], condition: str) -> list[Statement]:
    """List the values that the rows which apply have for a condition that nobody is asked for.

    Parameters
    ----------
    matches
        Rows that apply, as `weldref.core.lookup.find` returns them.
    condition
        "tungsten_class" or "cup".

    Examples
    --------
    >>> from weldref.core.lookup import find
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> rows = find(store, describe(store, process="GTAW", diameter="3/32"), "current")
    >>> sorted({s.value for s in named_by_rows(rows, "tungsten_class")})
    ['EWP', 'EWTh-2']
    """
    found: dict[tuple[str, str | None, str], Statement] = {}
    for match in matches:
        value = match.row[condition]
        if value is None or not match.gives_verdict:
            continue
        key = (value, match.row["electrode_size"], match.grade)
        only = (match.row["electrode_size"], match.row["polarity"])
        statement = _statement(match.row, str(value), "", *only)
        found.setdefault(key, replace(statement, how_read=match.grade))
    return _printed_first(found.values())


def cup_diameters(matches: Iterable[Match]) -> list[Statement]:
    """List the inside diameters of gas cups in the rows that apply, with the tungsten."""
    found = []
    for match in matches:
        row = match.row
        if row["quantity"] == "cup_diameter" and match.gives_verdict and row["typical"]:
            value = f"{row['typical']:g} {row['unit']} inside diameter"
            only = f"tungsten {row['electrode_size']}" if row["electrode_size"] else None
            found.append(replace(_statement(row, value, "", only), how_read=match.grade))
    return found


def best_grade(matches: Iterable[Match], quantity: str) -> str | None:
    """Return the best grade of the rows that say what to set of a quantity; None without any."""
    grades = [m.grade for m in matches if m.row["quantity"] == quantity and m.gives_verdict]
    return min(grades, key=GRADES.index, default=None)


def _statement(row: dict[str, Any], value: str, advice: str, *only_for: str | None) -> Statement:
    """Make a statement of a row; conditions that are empty are left out."""
    said = tuple(filter(None, only_for))
    place = (row["how_read"], row["status"], row["source_id"], row["locator"])
    return Statement(value, advice, said, *place)


def _printed_first(found: Iterable[Statement]) -> list[Statement]:
    return sorted(found, key=lambda statement: statement.how_read == "memory")


def _fitting(
    store: Store, situation: Situation, table: str
) -> Iterator[tuple[dict[str, Any], str]]:
    """Yield the rows of a table that fit process, metal and thickness, with the word for the metal.

    That word is the source's, and empty if it is the situation's own.
    """
    process, thickness = situation.terms.get("process"), situation.thickness
    for row in store.rows(f"SELECT * FROM {table} ORDER BY rowid"):  # noqa: S608  a table of ours
        fits, metal = _metal_fits(store, situation, row["material"])
        if not fits or (process and row["process"] not in process.broader):
            continue
        if thickness is None or Band.of(row, "thickness").holds(thickness.si / 0.0254):
            yield row, metal


def _metal_fits(store: Store, situation: Situation, text: str) -> tuple[bool, str]:
    """Tell whether a source's metal includes the situation's or is a kind of it, and its word."""
    names = metals_of(store, text)
    material = situation.terms.get("material")
    if material is None:
        return bool(names), text
    fits = bool(set(names) & (set(material.broader) | set(material.narrower)))
    return fits, "" if text == material.name else text


@lru_cache(maxsize=256)
def metals_of(store: Store, text: str) -> tuple[str, ...]:
    """Return the stored metals for a source's word.

    >>> from weldref.data.store import open_store
    >>> metals_of(open_store(), "stainless 300 series")
    ('300-series stainless steel',)
    """
    if text in METALS:
        return METALS[text]
    try:
        return (Vocabulary(store).term("material", text).name,)
    except InputError:
        return ()
