"""Turn recalled rows into cells that ask for a value without showing the recalled one.

A cell is one row: the document, the place, the conditions in words, and the names of the values
that the print should have. What was recalled stays in the store.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from weldref.data.fetch import Ask, Row

Kind = Literal["number", "words"]


@dataclass(frozen=True, slots=True)
class Columns:
    """Which columns of a table are shown to a reader, and which are asked.

    `free` are shown columns that hold sentences: one that names the answer is kept back.
    `unit` is the column that holds the unit of what is asked; `units` gives it by column where
    the table fixes it.
    """

    shown: tuple[str, ...]
    numbers: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    free: tuple[str, ...] = ()
    unit: str = ""
    units: tuple[tuple[str, str], ...] = ()


def _c(
    shown: str, numbers: str = "", words: str = "", free: str = "", unit: str = "", units: str = ""
) -> Columns:
    pairs = tuple(tuple(one.split("=")) for one in units.split())
    return Columns(
        tuple(shown.split()), tuple(numbers.split()), tuple(words.split()), tuple(free.split()),
        unit, pairs,  # type: ignore[arg-type]
    )  # fmt: skip


_SETTING = (
    "process transfer_mode material filler_class electrode_size joint joint_detail position "
    "thickness_min thickness_max thickness_unit polarity gas environment other_condition quantity"
)
_COMPOSITION = "element product thickness_over thickness_to thickness_unit"

CELLS: dict[str, Columns] = {
    "windows": _c(
        f"{_SETTING} tungsten_class filler_size cup gas_role technique pass basis",
        "min max typical", free="joint_detail technique other_condition", unit="unit",
    ),
    "process_facts": _c(
        f"fact_id {_SETTING} basis", "min max typical", free="joint_detail other_condition",
        unit="unit",
    ),
    "electrode_sizes": _c("size", words="also_sold_as"),
    "exposure_limits": _c(
        "agent body limit_name limit_type averaging_time locator", "value", unit="unit"
    ),
    "shielding_gas_codes": _c(
        "code statement", "co2_min co2_max o2_min o2_max h2_min h2_max he_min he_max n2_min n2_max",
        "balance",
        units="co2_min=% co2_max=% o2_min=% o2_max=% h2_min=% h2_max=% he_min=% he_max=% n2_min=% "
        "n2_max=%",
    ),
    "shielding_gas_tolerance": _c("component_min component_max", "tolerance", unit="unit",
                                  units="component_min=% component_max=%"),
    "sheet_gauges": _c(
        "gauge_system gauge", "thickness_in weight_oz_per_ft2 weight_lb_per_ft2",
        units="thickness_in=in weight_oz_per_ft2=oz/ft2 weight_lb_per_ft2=lb/ft2",
    ),
    "wire_sizes": _c(
        "decimal_in fraction", "metric_nominal metric_also",
        units="metric_nominal=mm metric_also=mm",
    ),
    "smaw_classes": _c(
        "classification",
        "tensile_min yield_min yield_max elongation_min impact_energy_min impact_temperature",
        "positions current",
        units="tensile_min=ksi yield_min=ksi yield_max=ksi elongation_min=% "
        "impact_energy_min=ft-lb impact_temperature=F",
    ),
    "designators": _c("scheme symbol locator", "value min max", unit="unit"),
    "electrode_equivalents": _c("aws", words="iso_2560_a iso_2560_b"),
    "electrode_storage": _c("topic filler condition locator", "min max", free="condition",
                            unit="unit"),
    "fcaw_usability": _c("usability", words="polarity passes"),
    "filler_strength": _c("specification classification property condition locator", "min",
                          free="condition", unit="unit"),
    "filler_composition": _c("specification classification uns analysed element", "min max",
                             units="min=% max=%"),
    "matching_fillers": _c("base_group base_yield process", words="classifications"),
    "tungsten_classes": _c("standard edition class_code", "oxide_min oxide_max", "tip_colour",
                           units="oxide_min=% oxide_max=%"),
    "weld_discoloration": _c("sample_number", "purge_oxygen", units="purge_oxygen=ppm"),
    "base_metals": _c(
        "specification grade thickness_over thickness_to",
        "yield_min_ksi tensile_min_ksi tensile_max_ksi yield_min_mpa tensile_min_mpa "
        "tensile_max_mpa", "d11_group",
        units="yield_min_ksi=ksi tensile_min_ksi=ksi tensile_max_ksi=ksi yield_min_mpa=MPa "
        "tensile_min_mpa=MPa tensile_max_mpa=MPa thickness_over=in thickness_to=in",
    ),
    "base_metal_composition": _c(f"standard grade uns {_COMPOSITION}", "min max",
                                 units="min=% max=%"),
    "carbon_equivalent_limits": _c(
        "formula standard grade thickness_over thickness_to statement condition", "value",
        free="condition", units="value=% thickness_over=mm thickness_to=mm",
    ),
    "p_numbers": _c("specification grade uns product", "tensile_min_ksi", "p_number group_number",
                    units="tensile_min_ksi=ksi"),
    "iso15608_groups": _c("material_group", "yield_over yield_to",
                          units="yield_over=MPa yield_to=MPa"),
    "densities": _c("material unit", "density", unit="unit"),
    "prequalified_joints": _c(
        "designation process joint thickness groove_angle positions locator",
        "root_opening_min root_opening_max root_face_min root_face_max",
        units="root_opening_min=in root_opening_max=in root_face_min=in root_face_max=in "
        "groove_angle=deg",
    ),
    "visual_acceptance": _c("standard edition criterion condition loading", "limit_value",
                            free="condition", unit="unit"),
    "iso5817_limits": _c(
        "standard edition imperfection iso_6520 weld level thickness_min thickness_max",
        "constant factor cap", "factor_of",
        units="constant=mm cap=mm thickness_min=mm thickness_max=mm",
    ),
    "thermal_efficiency": _c("process iso_4063 kind material", "value", unit="unit"),
    "cooling_time_factors": _c("joint", "f2_min f2_max f3"),
    "hydrogen_levels": _c("scheme level", "hydrogen_over hydrogen_to",
                          units="hydrogen_over=mL/100_g hydrogen_to=mL/100_g"),
    "d11_susceptibility_groups": _c("hydrogen_level hydrogen pcm_below",
                                    words="susceptibility_group", units="hydrogen=mL/100_g"),
    "d11_susceptibility_ranges": _c("susceptibility_group", "index_min index_max"),
    "d11_annex_preheat": _c("restraint thickness_min thickness_max susceptibility_group",
                            "preheat_min", units="preheat_min=F thickness_min=in thickness_max=in"),
    "constitution": _c("topic grade diagram quantity locator", "min max typical", unit="unit"),
    "qualification_rules": _c(
        "standard edition clause variable process iso_4063 application rule_kind tested_symbol "
        "tested_min tested_max tested_unit condition locator",
        "lower upper", "lower_rule upper_rule", free="condition", unit="unit",
    ),
}  # fmt: skip
"""The tables whose recalled rows can be asked for. Rows that hold sentences alone cannot."""

_NAMES = {"min": "minimum", "max": "maximum", "typical": "single value", "to": "up to",
          "co2": "CO2", "o2": "O2", "h2": "H2", "he": "He", "n2": "N2"}  # fmt: skip
_UNITS_IN_NAMES = ("_ksi", "_mpa", "_in", "_oz_per_ft2", "_lb_per_ft2")
_LABELS = {
    "other_condition": "condition",
    "filler_class": "filler",
    "electrode_size": "diameter",
    "basis": "kind of statement",
    "material": "metal",
    "thickness_min": "thickness from",
    "thickness_max": "thickness up to",
    "thickness_to": "thickness up to",
    "tested_min": "tested from",
    "tested_max": "tested up to",
    "component_min": "component from",
    "component_max": "component up to",
}
_KEYS = ("fact_id", "unit", "thickness_unit", "tested_unit", "locator", "quantity")
"""Columns that tell rows apart or serve others, and are no condition of their own."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One value that the print should have: its column, its name and the unit of the row."""

    column: str
    name: str
    unit: str
    kind: Kind


@dataclass(frozen=True, slots=True)
class Cell:
    """A recalled row as a reader sees it: all but what was recalled.

    `kept_back` tells that a condition is not shown because it names the answer.
    """

    source_id: str
    table: str
    row: str
    place: str
    conditions: tuple[tuple[str, str], ...]
    quantity: str
    asked: tuple[Asked, ...]
    kept_back: bool = False

    @property
    def words(self) -> str:
        """What is asked for, in a line."""
        parts = [self.place, self.quantity or self.table.replace("_", " ")]
        parts += [f"{label} {value}" for label, value in self.conditions]
        return "; ".join(part for part in parts if part)[:400]


@dataclass(frozen=True, slots=True)
class Recalled:
    """A cell with the row that was recalled; `rowid` is its place in the store."""

    cell: Cell
    row: Row
    rowid: int

    @property
    def values(self) -> dict[str, Any]:
        """The recalled value of each column that is asked."""
        return {asked.column: self.row[asked.column] for asked in self.cell.asked}


def recalled(
    ask: Ask, source_id: str | None = None, *, every_grade: bool = False
) -> list[Recalled]:
    """List the recalled rows that can be asked for, of one document or of all.

    Parameters
    ----------
    ask
        What answers a query: `rows` of a store of the published tables.
    source_id
        The document; None for every document.
    every_grade
        Whether to list rows of any grade, those that have been read too.

    Examples
    --------
    >>> from weldref.data.store import open_store
    >>> found = recalled(open_store().rows, "en-1011-4")
    >>> bool(found[0].cell.conditions), bool(found[0].cell.asked)
    (True, True)
    """
    return list(_recalled(ask, source_id, every_grade))


def by_eye(ask: Ask, source_id: str) -> int:
    """Count a document's recalled rows that cannot be asked for: they hold sentences alone.

    >>> from weldref.data.store import open_store
    >>> by_eye(open_store().rows, "en-1011-1")
    0
    """
    listed = ask(
        "SELECT name FROM table_list JOIN duckdb_columns() ON table_name = name "
        "WHERE column_name = 'source_id' AND name NOT IN ('sources', 'local_readings')", {},
    )  # fmt: skip
    total = 0
    for name in (row["name"] for row in listed):
        if name != "known_gaps":
            (count,) = ask(
                f'SELECT count(*) AS n FROM "{name}" '  # noqa: S608
                "WHERE source_id = $id AND how_read = 'memory'", {"id": source_id},
            )  # fmt: skip
            total += count["n"]
    return total - len(recalled(ask, source_id))


def _recalled(ask: Ask, source_id: str | None, every_grade: bool) -> Iterator[Recalled]:
    for table, columns in CELLS.items():
        rows = ask(
            f"""
            SELECT t.rowid AS _rowid, t.* FROM "{table}" t JOIN sources s USING (source_id)
            WHERE ($every OR t.how_read = 'memory') AND s.issuer IS DISTINCT FROM 'none'
                AND ($id IS NULL OR source_id = $id) ORDER BY t.rowid
            """,  # noqa: S608
            {"every": every_grade, "id": source_id},
        )
        for row in rows:
            rowid = row.pop("_rowid")
            cell = cell_of(table, columns, row)
            if cell.asked:
                yield Recalled(cell, row, rowid)


def cell_of(table: str, columns: Columns, row: Row) -> Cell:
    """Describe a row without its values."""
    asked = tuple(_asked(columns, row))
    answers = {str(row[one.column]).casefold() for one in asked if one.kind == "words"}
    numbers = {float(row[one.column]) for one in asked if one.kind == "number"}
    conditions, kept_back = [], False
    beside = row.get("thickness_unit") or row.get("tested_unit") or ""
    units = dict(columns.units)
    for name in columns.shown:
        value = row.get(name)
        if name in _KEYS or value is None:
            continue
        if name in columns.free and _names(str(value), numbers, answers):
            kept_back = True
            continue
        shown = f"{value:g}" if isinstance(value, float) else str(value)
        if isinstance(value, float):
            shown = f"{shown} {units.get(name, beside).replace('_', ' ')}".strip()
        conditions.append((_LABELS.get(name, name.replace("_", " ")), shown))
    return Cell(
        row["source_id"], table, row_id(table, row), row.get("locator") or "", tuple(conditions),
        str(row.get("quantity") or "").replace("_", " "), asked, kept_back,
    )  # fmt: skip


def _asked(columns: Columns, row: Row) -> Iterator[Asked]:
    units = dict(columns.units)
    for column in columns.numbers:
        if row[column] is not None:
            unit = units.get(column, "").replace("_", " ")
            if columns.unit:
                unit = row[columns.unit] or ""
            yield Asked(column, _name(column), {"degF": "F", "degC": "C"}.get(unit, unit), "number")
    for column in columns.words:
        if row[column] is not None:
            yield Asked(column, column.replace("_", " "), "", "words")


def _name(column: str) -> str:
    """Write the name of a column as words: its unit stands beside it."""
    for unit in _UNITS_IN_NAMES:
        column = column.removesuffix(unit)
    return " ".join(_NAMES.get(part, part) for part in column.split("_"))


def _names(text: str, numbers: set[float], answers: set[str]) -> bool:
    """Tell whether a sentence names one of the answers."""
    if any(abs(float(one)) in {abs(n) for n in numbers} for one in re.findall(r"\d+\.?\d*", text)):
        return True
    return any(word in re.findall(r"[\w.]+", text.casefold()) for word in answers)


def row_id(table: str, row: Row) -> str:
    """Name a row by what a reader is shown of it, so that the name tells nothing of its value.

    >>> row_id("densities", {"material": "copper", "unit": "g/cm3", "source_id": "a"})
    'densities:f9e131faa52a'
    """
    if table == "windows":
        return str(row["window_id"])
    held = [str(row["source_id"]), *(_plain(row.get(name)) for name in CELLS[table].shown)]
    return f"{table}:{hashlib.sha256(chr(0).join(held).encode()).hexdigest()[:12]}"


def _plain(value: Any) -> str:
    """Write a cell alike whether it comes from the store or from a CSV file."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    try:
        return f"{float(value):.12g}"
    except (TypeError, ValueError):
        return str(value)
