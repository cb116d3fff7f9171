"""Look up the reference tables: lens shade, sheet gauge, weld sizes.

Each answer is one printed statement with its source. At an edge that two bands share, or that the
source does not assign to one, the safer side counts: the darker shade, the larger weld. Above the
end of a table the answer is "outside the table".
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from weldref.core.bands import SLACK, Band, inside_sql
from weldref.core.index import NOMINAL
from weldref.core.terms import Vocabulary
from weldref.data.store import Store, open_store
from weldref.errors import InputError


@dataclass(frozen=True, slots=True)
class Statement:
    """One printed value: what it is, under which condition, and where it is printed.

    `value` is None if the source's table has no row for the question; `note` says so.
    """

    what: str
    value: float | None
    unit: str
    condition: str
    source_id: str
    source: str
    locator: str | None
    how_read: str
    note: str = ""


def _statement(
    row: dict[str, Any],
    what: str,
    value: float | None,
    unit: str,
    condition: Iterable[str | None],
    note: str,
) -> Statement:
    said = ", ".join(filter(None, condition))
    place = (row["source_id"], row["source"], row["locator"], row["how_read"])
    return Statement(what, value, unit, said, *place, note)


@lru_cache(maxsize=64)
def _shade_rows(store: Store, processes: tuple[str, ...]) -> list[dict[str, Any]]:
    return store.rows(
        """
        SELECT s.*, d.name AS source FROM filter_shades s JOIN documents d USING (source_id)
        WHERE list_has_any(string_split(process, '; '), $letters)
        AND status IS DISTINCT FROM 'misprint'
        ORDER BY source_id, locator, s.rowid
        """,
        {"letters": list(processes)},
    )


def filter_shade(
    process: str,
    current: float | None = None,
    plate: float | None = None,
    electrode: float | None = None,
) -> list[Statement]:
    """Filter lens shades for a process, one answer for each regulation or guide.

    Parameters
    ----------
    process
        Any common spelling.
    current
        Arc current in A.
    plate
        Plate thickness in m, for oxyfuel work.
    electrode
        Diameter of a covered electrode in m (29 CFR 1910.133 goes by size and current); a size
        in millimetres is also taken as the inch size it is sold as, and the note says so.

    Returns
    -------
    list of Statement
        Minimum and suggested shades separately; tables by current before fixed lists by size.
        In any doubt the darker shade counts, and the note says why: two rows of one table meet,
        copies differ, or no row holds both the size and the current.

    Raises
    ------
    InputError
        If the process is not known, or neither current nor plate is given where needed.

    Examples
    --------
    29 CFR 1910.133(a)(5): SMAW at 130 A needs at least shade 8.

    >>> [s.value for s in filter_shade("SMAW", current=130)
    ...  if s.source_id == "cfr-29-1910-133" and s.what == "minimum shade"]
    [8.0]
    """
    store = open_store()
    name = Vocabulary(store).term("process", process)
    rows = _shade_rows(store, tuple(name.broader))
    if not rows:
        return []
    for what, column in (("current", "current_max"), ("plate thickness", "plate_max")):
        if current is None and plate is None and any(row[column] is not None for row in rows):
            raise InputError(f"{what}: the shade for {name.name} depends on it; give it")
    measured = {
        "current": current,
        "plate": None if plate is None else plate / 0.0254,
        "electrode": None if electrode is None else electrode / 0.0254 * 32,
    }
    found: list[Statement] = []
    tables: dict[tuple[str, str | None, str | None], list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        tables[row["source_id"], row["locator"], row["edition"]].append(row)
    for table in sorted(tables.values(), key=_is_fixed_list):
        fitting = [row for row in table if _fits(row, measured, NOMINAL)]
        first = table[0]
        apart = "" if fitting else _APART
        if not fitting:
            fitting = _by_one_alone(table, measured)
        if not fitting:
            found.append(_shade(first, "minimum shade", None, "outside the table"))
            continue
        for what, column in (
            ("minimum shade", "shade_min"),
            ("suggested shade", "shade_suggested_min"),
        ):
            printed = [row for row in fitting if row[column] is not None]
            if printed:
                darkest = max(printed, key=lambda row: row[column])
                several = len({row[column] for row in printed}) > 1
                note = apart or (_why_darkest(printed, measured) if several else "")
                if not apart and not _fits(darkest, measured, SLACK):
                    sold = "the diameter taken as the inch size it is sold as"
                    note = "; ".join(filter(None, (note, sold)))
                found.append(_shade(darkest, what, darkest[column], note))
    return found


_APART = "no row holds both the current and the electrode diameter: the darker of the two counts"


def _by_one_alone(
    table: list[dict[str, Any]], measured: dict[str, float | None]
) -> list[dict[str, Any]]:
    """Return the rows that hold for the current alone or for the electrode's size alone.

    Empty if the current is beyond the end of the table.
    """
    size = measured["electrode"]
    if measured["current"] is None or size is None:
        return []
    if abs(round(size) / size - 1) <= NOMINAL:
        size = float(round(size))  # a size in millimetres is the inch size it is sold as
    by_current = [row for row in table if _fits(row, {**measured, "electrode": None}, NOMINAL)]
    by_size = [
        row for row in table if _fits(row, {**measured, "current": None, "electrode": size}, SLACK)
    ]
    return by_current + by_size if by_current else []


def _is_fixed_list(table: list[dict[str, Any]]) -> bool:
    """Tell whether a table is an old list by electrode size, without current or plate."""
    return all(row["current_max"] is None and row["plate_max"] is None for row in table)


def _why_darkest(rows: list[dict[str, Any]], measured: dict[str, float | None]) -> str:
    """Say why several rows of one table fit: an edge they share, or a size not given."""
    names = {"current": "current", "plate": "plate thickness", "electrode": "electrode diameter"}
    left_open = [
        called
        for name, called in names.items()
        if measured[name] is None and any(row[f"{name}_max"] is not None for row in rows)
    ]
    if left_open:
        return f"depends on {' and '.join(left_open)}, not given: the darkest counts"
    if any(row["status"] for row in rows):
        return "copies of the source differ: the darker counts"
    if len({row["condition"] for row in rows}) > 1:
        return "depends on a condition not given: the darkest counts"
    return "two bands meet here: the darker counts"


def _fits(row: dict[str, Any], measured: dict[str, float | None], nominal: float) -> bool:
    """Tell whether a row's bands hold what was measured; what was not measured fits any.

    An electrode also fits as the size it is sold as, with `nominal` the greatest difference: 4 mm
    is sold as 5/32 in.
    """
    bands = {name: Band.of(row, name) for name in measured}
    return all(
        value is None
        or bands[name].holds(value)
        or (name == "electrode" and bands[name].holds(value, nominal))
        for name, value in measured.items()
    )


def _shade(row: dict[str, Any], what: str, value: float | None, note: str) -> Statement:
    kind = row["regulation"] or "guide"
    parts = [kind, row["condition"], row["edition"]]
    upper = row["shade_suggested_max"]
    if what == "suggested shade" and upper is not None and upper != value:
        note = "; ".join(filter(None, [f"printed {value:g} to {upper:g}", note]))
    if row["status"] and value is not None:
        note = "; ".join(filter(None, [f"{row['status']} reading", note]))
    return _statement(row, what, value, "", parts, note)


def sheet_gauge(gauge: str, system: str = "US standard gauge") -> list[Statement]:
    """Thickness of a sheet gauge number in one gauge system.

    Parameters
    ----------
    gauge
        The number: "11", "16", "0000000".
    system
        The gauge system; one number means different thicknesses in different systems.

    Examples
    --------
    15 U.S.C. 206: US standard gauge 11 is 1/8 in.

    >>> [(s.value, s.unit) for s in sheet_gauge("11")]
    [(0.125, 'in')]
    """
    store = open_store()
    systems = [r["s"] for r in store.rows("SELECT DISTINCT gauge_system AS s FROM sheet_gauges")]
    if system not in systems:
        raise InputError(f"system: '{system}' is not known; give {' or '.join(sorted(systems))}")
    rows = store.rows(
        """
        SELECT g.*, d.name AS source FROM sheet_gauges g JOIN documents d USING (source_id)
        WHERE gauge = $gauge AND gauge_system = $system
        """,
        {"gauge": str(gauge).strip(), "system": system},
    )
    if not rows:
        raise InputError(f"gauge: '{gauge}' is not in the table of {system}")
    said = [f"{system} {str(gauge).strip()}"]
    return [
        _statement(row, "thickness", row["thickness_in"], "in", said, row["remark"] or "")
        for row in rows
    ]


def minimum_fillet(thickness: float, unit: str = "in") -> list[Statement]:
    """Minimum fillet leg by thickness, from each code's table in the unit asked for.

    The inch and the metric table of one code have limits of their own; neither is derived
    from the other.

    Parameters
    ----------
    thickness
        Thickness in `unit`; under which code, of which part and under which loading, each
        answer's condition says.
    unit
        "in" or "mm".

    Examples
    --------
    ANSI/AISC 360-05, Table J2.4: 3/16 in for over 1/4 to 1/2 in.

    >>> [s.value for s in minimum_fillet(0.375) if s.source_id == "aisc-360-05-j2"]
    [0.1875]
    """
    return _by_thickness("minimum_fillet", "size_min", "minimum fillet leg", thickness, unit)


def minimum_partial_joint(thickness: float, unit: str = "in") -> list[Statement]:
    """Minimum effective throat of a partial-joint-penetration weld by thickness.

    Parameters and answers as in `minimum_fillet`.

    Examples
    --------
    AISC Table J2.3 as reproduced in a steel designers' handbook: 5/16 in for 1 in plate.

    >>> [s.value for s in minimum_partial_joint(1.0)]
    [0.3125]
    """
    return _by_thickness("minimum_pjp", "throat_min", "minimum effective throat", thickness, unit)


def _by_thickness(
    table: str, column: str, what: str, thickness: float, unit: str
) -> list[Statement]:
    if unit not in ("in", "mm"):
        raise InputError(f"unit: '{unit}' is not accepted; give in or mm")
    if not thickness > 0:
        raise InputError(f"thickness: {thickness:g} is not possible; give a thickness above 0")
    store: Store = open_store()
    band = inside_sql("$thickness", "thickness_over", "thickness_to", low_included="false")
    rows = store.rows(
        f"""
        SELECT t.*, d.name AS source FROM {table} t JOIN documents d USING (source_id)
        WHERE unit = $unit AND status IS NULL AND {band}
        ORDER BY source_id, t.rowid
        """,  # noqa: S608  the name of a table of ours
        {"unit": unit, "thickness": thickness},
    )
    found = []
    for row in rows:
        loading = f"{row['loading']} loading" if row.get("loading") else ""
        said = (row.get("scope"), row["thickness_basis"], loading)
        found.append(_statement(row, what, row[column], unit, said, row["remark"] or ""))
    return found
