"""Look up the choices around a setting: polarity, gas, filler metal, lens shade.

Each answer is one printed statement, as in the tables of windows. Where the tables have none,
the list is empty and the sheet says so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from weldref.advice import handbook
from weldref.core.bands import inside, inside_sql
from weldref.core.lookup import Match
from weldref.core.situation import Situation
from weldref.core.terms import Term, Vocabulary
from weldref.core.units import Units
from weldref.core.verdict import by_document
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.grades import GRADES

REFUSING = ("not recommended", "not suitable")
"""What a source writes of a polarity that it advises against."""

# The tables keep a source's own words for a metal; these are none of the vocabulary's spellings.
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
"""Processes that take a shielding gas, or whose kinds may."""


@dataclass(frozen=True, slots=True)
class Statement:
    """One printed statement: what it names, what it says of that, and for what alone.

    `advice` is empty where naming it is the advice; `only_for` holds the source's own conditions.
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
    """What the tables say of polarity: by metal, by covered electrode, by flux cored wire."""
    found = []
    for row in store.rows("SELECT * FROM polarity ORDER BY rowid"):
        if row["advice"] is None or not _is_process(situation, row["process"]):
            continue
        fits, metal = _metal_fits(store, situation, row["material"])
        if fits and _thickness_fits(situation, row):
            only = tuple(filter(None, (metal, row["as_printed"], row["condition"])))
            found.append(_statement(row, row["current_type"], row["advice"], only))
    electrode = situation.terms.get("filler_class")
    if electrode is not None:
        found += _by_electrode(store, electrode)
    return sorted(found, key=lambda s: s.how_read == "memory")


def _by_electrode(store: Store, electrode: Term) -> list[Statement]:
    rows = store.rows(
        "SELECT * FROM smaw_classes WHERE list_contains($names, classification) ORDER BY rowid",
        {"names": list(electrode.broader)},
    )
    found = [_statement(row, row["current"], "", (row["classification"],)) for row in rows]
    wires = _cored_wires(store, electrode)
    return found + [_statement(row, row["polarity"], "", _wire(electrode, row)) for row in wires]


def _cored_wires(store: Store, electrode: Term) -> list[dict[str, Any]]:
    """Find what a table says of a flux cored wire: of its class, else of its usability."""
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


def _wire(electrode: Term, row: dict[str, Any]) -> tuple[str, ...]:
    """Say for what a row on a flux cored wire holds: the class, and single-pass welds alone."""
    single = row["passes"] == "single"
    return (electrode.name, "single-pass welds only") if single else (electrode.name,)


def gases(store: Store, situation: Situation) -> list[Statement]:
    """What the tables name as shielding gas for the process, metal, transfer mode, thickness."""
    mode = situation.terms.get("transfer_mode")
    found = []
    for row in store.rows("SELECT * FROM shielding_gas_selection ORDER BY rowid"):
        if not _is_process(situation, row["process"]):
            continue
        fits, metal = _metal_fits(store, situation, row["material"])
        modes = (row["transfer_mode"] or "").split("; ") if row["transfer_mode"] else []
        if mode is not None and modes and not set(modes) & set(mode.broader):
            continue
        if not fits or not _thickness_fits(situation, row):
            continue
        only = [metal, *([] if mode else modes), row["as_printed"], row["note"]]
        found.append(_statement(row, row["shielding_gas"], "", tuple(filter(None, only))))
    electrode = situation.terms.get("filler_class")
    if electrode is not None:
        for row in _cored_wires(store, electrode):
            gas = "no shielding gas" if row["external_gas"] == "none" else row["external_gas"]
            found.append(_statement(row, gas, "", _wire(electrode, row)))
    return sorted(found, key=lambda s: s.how_read == "memory")


def takes_gas(situation: Situation) -> bool:
    """Tell whether the process takes a shielding gas, or has kinds that do."""
    process = situation.terms.get("process")
    return process is not None and bool(set(process.broader) & set(GASES))


def fillers(store: Store, situation: Situation) -> list[Statement]:
    """What the tables say of the electrode: its class as given, and matching filler metals."""
    found = []
    electrode = situation.terms.get("filler_class")
    if electrode is not None:
        rows = store.rows(
            """
            SELECT * FROM smaw_classes
            WHERE classification = $name AND covering IS NOT NULL ORDER BY rowid
            """,
            {"name": electrode.name},
        )
        found += [
            _statement(row, row["classification"], row["covering"], _positions(row)) for row in rows
        ]
    process, material = situation.terms.get("process"), situation.terms.get("material")
    if process is None or material is None or electrode is not None:
        return found
    band = inside_sql("$inches", "b.thickness_over", "b.thickness_to", low_included="false")
    rows = store.rows(
        f"""
        SELECT f.*, b.d11_group, b.how_read AS metal_read FROM base_metals b
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
    return found + [_statement(row, row["as_printed"], "", _group(row)) for row in rows]


def _positions(row: dict[str, Any]) -> tuple[str, ...]:
    """Say in which positions a covered electrode is used, and which way it runs on a wall."""
    progression = row["progression"]
    vertical = f"vertical {progression}" if progression else None
    return tuple(filter(None, (row["positions"], vertical)))


def _group(row: dict[str, Any]) -> tuple[str, ...]:
    """Say for which group of base metals a filler metal is listed, and what is left out."""
    left_out = f"except {row['excluded']}" if row["excluded"] else None
    group = f"AWS D1.1 Group {row['d11_group']}"
    return tuple(filter(None, (group, left_out, row["condition"])))


def tungstens(store: Store, situation: Situation) -> list[Statement]:
    """What the tables say of tungsten: the class as given, else each class for the current.

    Empty where neither a class nor a polarity is stated.

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
            only = tuple(filter(None, (row["tip_colour"], row["edition"])))
            found.append(_statement(row, row["class_code"], row["current"], only))
    return found


@dataclass(frozen=True, slots=True)
class Shade:
    """Filter shades at one current (A) or, for oxyfuel work, at the plate's thickness."""

    at: float | None
    statements: tuple[handbook.Statement, ...]


@dataclass(frozen=True, slots=True)
class Currents:
    """The currents (A) at which to look up the lens shade, and whether only memory gives them."""

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
        The proposed current; else the lowest and the highest on which a check would rest, of
        printed rows, and of recalled ones only where none is printed. Empty if there is none.

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
    printed = [m for m in rows if m.grade != "memory"]
    ranges = by_document((m for m in printed or rows if m.is_range), None)
    speaking = [m for own in ranges.values() for m in own]
    speaking += [m for m in printed or rows if not m.is_range]
    ends = [
        number
        for match in speaking
        for end in ("min_si", "max_si", "typical_si")
        if (number := match.row[end]) is not None
    ]
    amperes = tuple(dict.fromkeys((min(ends), max(ends)))) if ends else ()
    return Currents(amperes, from_memory=bool(ends) and not printed)


def shades(store: Store, situation: Situation, currents: Iterable[float]) -> list[Shade]:
    """Look up the lens shade at each current; without one, by plate thickness or process alone."""
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
    """Pick the darkest minimum, and the suggested shades from it to the darkest, of all printed.

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
    process = situation.terms.get("process")
    return process is not None and bool({"OFW", "OFC"} & set(process.broader))


def cuts(store: Store, situation: Situation) -> bool:
    """Tell whether the situation is one of cutting."""
    process = situation.terms.get("process")
    return process is not None and is_cutting(store, process.name)


@lru_cache(maxsize=64)
def is_cutting(store: Store, process: str) -> bool:
    """Tell whether a process cuts and does not join."""
    rows = store.rows("SELECT name FROM processes WHERE term = $term", {"term": process})
    return bool(rows) and "cutting" in rows[0]["name"]


def takes_tungsten(situation: Situation) -> bool:
    """Tell whether the arc burns from a tungsten electrode."""
    process = situation.terms.get("process")
    return process is not None and bool({"GTAW", "PAW"} & set(process.broader))


def named_by_rows(matches: Iterable[Match], condition: str) -> list[Statement]:
    """List what the rows that apply name for a condition that nobody can be asked for.

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
        only = tuple(filter(None, (match.row["electrode_size"], match.row["polarity"])))
        statement = _statement(match.row, str(value), "", only)
        found.setdefault(key, replace(statement, how_read=match.grade))
    return sorted(found.values(), key=lambda s: s.how_read == "memory")


def cup_diameters(matches: Iterable[Match]) -> list[Statement]:
    """List the inside diameters of gas cups that the rows that apply give, with the tungsten."""
    found = []
    for match in matches:
        row = match.row
        if row["quantity"] == "cup_diameter" and match.gives_verdict and row["typical"]:
            value = f"{row['typical']:g} {row['unit']} inside diameter"
            only = (f"tungsten {row['electrode_size']}",) if row["electrode_size"] else ()
            found.append(replace(_statement(row, value, "", only), how_read=match.grade))
    return found


def best_grade(matches: Iterable[Match], quantity: str) -> str | None:
    """Name the best evidence on which a quantity rests; None where no row says what to set."""
    grades = [m.grade for m in matches if m.row["quantity"] == quantity and m.gives_verdict]
    return min(grades, key=GRADES.index, default=None)


def _statement(
    row: dict[str, Any], value: str, advice: str, only_for: tuple[str, ...]
) -> Statement:
    return Statement(
        value, advice, only_for, row["how_read"], row["status"], row["source_id"], row["locator"]
    )


def _is_process(situation: Situation, letters: str) -> bool:
    process = situation.terms.get("process")
    return process is None or letters in process.broader


def _metal_fits(store: Store, situation: Situation, text: str) -> tuple[bool, str]:
    """Tell whether a metal as a source calls it takes in the situation's, or is a kind of it.

    Returns
    -------
    tuple
        Whether it fits, and the source's word for the metal where it is another word.
    """
    names = metals_of(store, text)
    material = situation.terms.get("material")
    if material is None:
        return bool(names), text
    fits = bool(set(names) & (set(material.broader) | set(material.narrower)))
    return fits, "" if text == material.name else text


@lru_cache(maxsize=256)
def metals_of(store: Store, text: str) -> tuple[str, ...]:
    """Find the stored metals for a source's word for one.

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


def _thickness_fits(situation: Situation, row: dict[str, Any]) -> bool:
    """Tell whether a band in inches holds the thickness; a table may tell no edge's owner."""
    if situation.thickness is None:
        return True
    return inside(
        situation.thickness.si / 0.0254,
        row["thickness_min"],
        row["thickness_max"],
        row.get("thickness_min_inclusive"),
        row.get("thickness_max_inclusive"),
    )
