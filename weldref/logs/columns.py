"""Recognise the columns of a log and their units from headings as people write them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from weldref.core.terms import Vocabulary
from weldref.core.units import Units, UnitSystem
from weldref.data.store import Store
from weldref.errors import InputError

CONDITIONS = {
    "process": "process",
    "transfer_mode": "transfer_mode",
    "material": "material",
    "electrode": "filler_class",
    "joint_type": "joint",
    "position": "position",
    "polarity": "polarity",
    "tungsten": "tungsten_class",
    "code": "scope",
    "diameter": "electrode_size",
    "thickness": "thickness",
    "gas": "gas",
}
"""The conditions that a log may state, in the order in which a check reads them, with the
condition of a published row with which each is compared."""

COLUMN_OF = {condition: field for field, condition in CONDITIONS.items()}
"""The column of a log for each condition of a row."""

LONGEST_HEADING = 200
"""Characters of the longest heading that is read; patterns are slow on longer texts."""

LABELS = ("time", "joint", "welder")
"""What else a record may have: the time, the joint or seam, and the welder."""

HEADINGS = {
    "process": "welding process; weld process",
    "transfer_mode": "transfer; metal transfer; mode of transfer",
    "material": "metal; base metal; base material; parent metal; parent material; alloy",
    "electrode": "class; electrode class; electrode classification; filler; filler class; "
    "filler metal; wire; wire class; rod; consumable; classification; aws class",
    "joint_type": "joint design; type of joint; weld type",
    "position": "welding position; weld position; pos",
    "polarity": "current type; type of current; current and polarity",
    "diameter": "dia; electrode diameter; electrode size; electrode dia; wire diameter; "
    "wire size; wire dia",
    "thickness": "plate thickness; base metal thickness; material thickness; wall thickness; thk",
    "gas": "shielding gas; shield gas; gas mix; gas mixture; shielding",
    "tungsten": "tungsten class; tungsten type; tungsten electrode; type of tungsten",
    "code": "governing code; welding code; construction code; specification",
    "time": "timestamp; time stamp; date time; datetime; date; start time; logged at",
    "joint": "joint id; joint no; joint number; seam; seam id; seam no; weld id; weld no; weld",
    "welder": "welder code; welder id; operator; operator id; stamp; welder stamp",
    "current": "amp; weld current; arc current; welding amps",
    "voltage": "volt; arc volts; weld voltage; welding voltage",
    "wire_feed_speed": "wire feed rate; wire feed; feed speed",
    "travel_speed": "travel rate; welding speed; weld speed",
    "gas_flow": "gas flow rate; flow rate; shielding gas flow rate",
}
"""Common headings for a field besides its own name and the vocabulary's spellings."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the log: its field, its heading and, if it is measured, its unit.

    `quantity` is the vocabulary's name if the column holds readings; `unit_from` is where the unit
    came from: "heading", "option" or "bare" (the unit system of bare numbers).
    """

    field: str
    heading: str
    unit: str | None = None
    unit_from: str | None = None
    quantity: str | None = None

    def __str__(self) -> str:
        unit = f" in {self.unit}" if self.unit else ""
        return f"{self.field.replace('_', ' ')}: '{self.heading}'{unit}"


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns that an audit uses, and the headings that it ignores."""

    used: tuple[Column, ...]
    unknown: tuple[str, ...]

    def get(self, field: str) -> Column | None:
        """The column of a field, if the log has one."""
        return next((column for column in self.used if column.field == field), None)

    @property
    def readings(self) -> tuple[Column, ...]:
        """The columns that hold readings."""
        return tuple(column for column in self.used if column.quantity)


def read_columns(
    store: Store,
    headings: Sequence[str],
    mapping: Mapping[str, str],
    unit_of: Mapping[str, str],
    units: UnitSystem,
) -> Columns:
    """Recognise the columns of a log by their headings.

    Parameters
    ----------
    store
        The open store.
    headings
        As written in the log; a unit may be in brackets or after the name.
    mapping
        Field to heading, for headings that are not understood.
    unit_of
        Field to unit, for columns whose heading does not name it.
    units
        "us" or "metric": the units of columns that name none.

    Raises
    ------
    InputError
        If a field, a heading or a unit is not accepted, if two headings name one field, or if
        no column holds readings.

    Examples
    --------
    >>> from weldref.data.store import open_store
    >>> found = read_columns(open_store(), ["Amps", "travel (mm/s)", "fixture"], {}, {}, "us")
    >>> [str(column) for column in found.used], found.unknown
    (["current: 'Amps' in A", "travel speed: 'travel (mm/s)' in mm/s"], ('fixture',))
    """
    if any(len(heading) > LONGEST_HEADING for heading in headings):
        raise InputError(
            f"log: a heading in line 1 is longer than {LONGEST_HEADING} characters; shorten it"
        )
    reader = _Reader(store)
    doubled = {heading for heading in headings if headings.count(heading) > 1}
    if doubled:
        raise InputError(f"log: two columns are headed '{doubled.pop()}'; give each its own name")
    by_heading: dict[str, tuple[str, str | None]] = {}
    for typed, heading in mapping.items():
        field = reader.field(typed)
        found = _find(headings, heading)
        if found in by_heading:
            raise InputError(
                f"map: '{found}' is mapped twice, to {by_heading[found][0]} and {field}"
            )
        by_heading[found] = field, reader.bracketed(field, found)
    mapped = {field for field, _ in by_heading.values()}
    unknown = []
    for heading in headings:
        if heading in by_heading:
            continue
        split, unit = reader.split(heading)
        if split is None or split in mapped:
            unknown.append(heading)
        else:
            by_heading[heading] = split, unit
    fields: dict[str, str] = {}
    for heading, (field, _) in by_heading.items():
        if field in fields:
            raise InputError(
                f"log: '{fields[field]}' and '{heading}' both read as {field}; choose with "
                f"--map {field}='{heading}'"
            )
        fields[field] = heading
    given = {reader.field(typed): unit for typed, unit in unit_of.items()}
    for field in given:
        if field not in fields:
            raise InputError(f"unit: no column holds {field}; it has {_quoted(headings)}")
    columns = Columns(
        tuple(
            reader.column(field, heading, unit, given.get(field), units)
            for heading in headings
            if heading in by_heading
            for field, unit in [by_heading[heading]]
        ),
        tuple(unknown),
    )
    if not columns.readings:
        raise InputError(
            f"log: no column holds readings; it has {_quoted(headings)}; name one with "
            "--map current=HEADING"
        )
    return columns


class _Reader:
    """Reads fields and units from headings."""

    def __init__(self, store: Store) -> None:
        self.units = Units(store)
        self.vocabulary = Vocabulary(store)
        self.quantities = {r["quantity"]: r for r in store.rows("SELECT * FROM quantities")}
        spellings: dict[str, str] = {}
        for name, row in self.quantities.items():
            for word in (name, row["name"], *(row["spellings"] or "").split(";")):
                # A single letter may head anything: "a" does not mean ampere here.
                if len(_folded(word)) > 1:
                    spellings.setdefault(_folded(word), name)
        # The electrode's diameter is a condition here, not a reading.
        for name in (*CONDITIONS, *LABELS, *HEADINGS):
            for word in (name, *HEADINGS.get(name, "").split(";")):
                spellings[_folded(word)] = name
        self.spellings = {word: name for word, name in spellings.items() if word}

    def field(self, typed: str) -> str:
        """Resolve the name of a field in an option."""
        found = self.spellings.get(_folded(typed))
        if found is None:
            known = ", ".join((*CONDITIONS, *LABELS, *list(self.quantities)[:8]))
            raise InputError(f"map: '{typed}' is not a field of a log; give one of {known} ...")
        return found

    def dimension(self, field: str) -> str | None:
        """Return the dimension of a field; None if it holds words."""
        if field in ("diameter", "thickness"):
            return "length"
        return str(self.quantities[field]["dimension"]) if field in self.quantities else None

    def split(self, heading: str) -> tuple[str | None, str | None]:
        """Return the field and the unit in a heading."""
        if found := self.spellings.get(_folded(heading)):
            return found, None
        bracketed = re.fullmatch(r"\s*(.+?)\s*[\[(]\s*(.+?)\s*[\])]\s*", heading)
        if bracketed:
            tries = [(bracketed[1], bracketed[2])]
        else:
            words = re.split(r"[\s_,;]+", heading.strip())
            tries = [
                (" ".join(words[:cut]), joint.join(words[cut:]))
                for cut in range(len(words) - 1, 0, -1)
                for joint in (" ", "/")
            ]
        for name, unit in tries:
            field = self.spellings.get(_folded(name))
            if field is not None and (label := self.unit(field, unit)):
                return field, label
        return None, None

    def bracketed(self, field: str, heading: str) -> str | None:
        """Return the unit in a heading whose field is known."""
        found = re.search(r"[\[(]\s*(.+?)\s*[\])]\s*$", heading)
        unit = found[1] if found else self.split(heading)[1]
        return self.unit(field, unit) if unit else None

    def unit(self, field: str, text: str) -> str | None:
        """Return the unit of a field by its spelling; None if it is not one."""
        dimension = self.dimension(field)
        found = self.units.by_spelling.get(text) or self.units.by_spelling.get(text.lower())
        return found.label if found and found.dimension == dimension else None

    def column(
        self, field: str, heading: str, unit: str | None, option: str | None, units: UnitSystem
    ) -> Column:
        """Make a column, with its unit from the option, the heading or the unit system."""
        dimension = self.dimension(field)
        quantity = field if field in self.quantities else None
        if dimension is None:
            if option is not None:
                raise InputError(f"unit: {field} is a word and has no unit; leave it out")
            return Column(field, heading)
        if option is not None:
            label = self.units.unit(option, dimension, f"unit of {field}").label
            return Column(field, heading, label, "option", quantity)
        if unit is not None:
            return Column(field, heading, unit, "heading", quantity)
        if quantity:
            bare = str(self.quantities[field][f"{units}_unit"])
        else:
            bare = "in" if units == "us" else "mm"
        return Column(field, heading, bare, "bare", quantity)


def _folded(heading: str) -> str:
    return re.sub(r"[\s_.\-]+", " ", heading).strip().casefold()


def _find(headings: Sequence[str], heading: str) -> str:
    """Find a heading exactly as written, else in any spelling."""
    if heading in headings:
        return heading
    near = [known for known in headings if _folded(known) == _folded(heading)]
    if len(near) != 1:
        raise InputError(f"map: the log has no column '{heading}'; it has {_quoted(headings)}")
    return near[0]


def _quoted(headings: Sequence[str]) -> str:
    shown = ", ".join(f"'{heading}'" for heading in headings[:12])
    return (shown or "no column") + (" ..." if len(headings) > 12 else "")
